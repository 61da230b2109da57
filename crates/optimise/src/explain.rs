//! Why nothing meets all limits, said with the fewest limits that already cannot stand together.
//!
//! First every limit may give way at a price, and those that must are made firm until nothing fits (an elastic filter);
//! then each of those is left out in turn, and stays out if the rest still does not fit (a deletion filter). What is
//! left is a smallest set in the sense that any one of them gone, the others stand. J. W. Chinneck, "Feasibility and
//! Infeasibility in Optimization", Springer 2008, chapters 6 and 7, describes both.

use serde::{Deserialize, Serialize};

use crate::problem::{Problem, SolveError};
use crate::solution::Status;

/// Which side of a sum or an amount is limited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// At least.
    AtLeast,
    /// At most.
    AtMost,
}

/// One limit of a conflict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Name of the row or the column.
    pub name: String,
    /// Whether it is the bound of a column.
    pub of_column: bool,
    /// Which side.
    pub side: Side,
    /// Where it stands now.
    pub limit: f64,
    /// Where it would have to stand for the whole problem to be met with every other limit as it is; none when giving
    /// way here alone is not enough, since something else does not fit either.
    pub give_way_to: Option<f64>,
    /// What the objective would then be.
    pub objective: Option<f64>,
}

/// Limits that cannot stand together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Conflict {
    /// Any one of them gone, the others stand.
    pub limits: Vec<Limit>,
}

/// A limit by place in the problem.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Item {
    place: Place,
    side: Side,
    limit: f64,
    /// Typical size, so that pounds and percents weigh alike.
    size: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Row(usize),
    Column(usize),
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Mode {
    Firm,
    Soft(f64),
    Out,
}

impl Item {
    /// Sets this limit in a problem.
    fn put(&self, p: &mut Problem) {
        let end = match (self.place, self.side) {
            (Place::Row(r), Side::AtLeast) => &mut p.rows[r].low,
            (Place::Row(r), Side::AtMost) => &mut p.rows[r].high,
            (Place::Column(c), Side::AtLeast) => &mut p.columns[c].low,
            (Place::Column(c), Side::AtMost) => &mut p.columns[c].high,
        };
        *end = Some(self.limit);
    }
}

/// Share of a limit's size below which it counts as met.
const MET: f64 = 1e-7;

impl Problem {
    /// Names a smallest set of limits that cannot stand together, and what giving way on each would take. None when
    /// the problem can be met. That amounts are not negative is taken as nature's law and never given way on.
    ///
    /// # Errors
    /// As [`Problem::solve`].
    pub fn explain_infeasible(&self) -> Result<Option<Conflict>, SolveError> {
        self.check()?;
        let items = self.items();
        let Some(suspects) = self.elastic_filter(&items)? else { return Ok(None) };
        let core = self.deletion_filter(&items, suspects)?;
        let limits = core.into_iter().map(|i| self.give_way(&items, i)).collect::<Result<_, _>>()?;
        Ok(Some(Conflict { limits }))
    }

    fn items(&self) -> Vec<Item> {
        let mut items = Vec::new();
        let mut both = |place, low: Option<f64>, high: Option<f64>, size: f64| {
            for (side, limit) in [(Side::AtLeast, low), (Side::AtMost, high)] {
                if let Some(limit) = limit {
                    items.push(Item { place, side, limit, size: size.max(limit.abs()).max(1e-9) });
                }
            }
        };
        for (i, r) in self.rows.iter().enumerate() {
            let size = r.terms.iter().map(|(_, k)| k.abs()).fold(0.0, f64::max);
            both(Place::Row(i), r.low, r.high, size);
        }
        for (i, c) in self.columns.iter().enumerate() {
            let yes_no = c.whole && (c.low, c.high) == (Some(0.0), Some(1.0));
            if !yes_no {
                both(Place::Column(i), c.low.filter(|l| *l != 0.0), c.high, 1.0);
            }
        }
        items
    }

    /// The limits that are firm, soft at a price, or out; nothing else costs. Soft limits' misses are the last columns.
    fn variant(&self, items: &[Item], mode: impl Fn(usize) -> Mode) -> (Self, Vec<(usize, usize)>) {
        let mut p = self.clone();
        p.sense = crate::Sense::Minimise;
        for r in &mut p.rows {
            (r.low, r.high) = (None, None);
        }
        for (c, column) in p.columns.iter_mut().enumerate() {
            column.cost = 0.0;
            let listed = |side| items.iter().any(|i| i.place == Place::Column(c) && i.side == side);
            if listed(Side::AtLeast) {
                column.low = None;
            }
            if listed(Side::AtMost) {
                column.high = None;
            }
        }
        let mut misses = Vec::new();
        for (i, item) in items.iter().enumerate() {
            match (mode(i), item.place) {
                (Mode::Out, _) => {}
                (Mode::Firm, _) => item.put(&mut p),
                (Mode::Soft(price), place) => {
                    let miss = p.column("miss", price, 0.0, f64::INFINITY);
                    misses.push((i, miss.0));
                    let mut terms = match place {
                        Place::Row(r) => self.rows[r].terms.clone(),
                        Place::Column(c) => vec![(c, 1.0)],
                    };
                    terms.push((miss.0, if item.side == Side::AtLeast { 1.0 } else { -1.0 }));
                    let (low, high) = match item.side {
                        Side::AtLeast => (Some(item.limit), None),
                        Side::AtMost => (None, Some(item.limit)),
                    };
                    p.rows.push(crate::RowLimits { name: "soft".into(), low, high, terms });
                }
            }
        }
        (p, misses)
    }

    /// None when everything can be met.
    fn elastic_filter(&self, items: &[Item]) -> Result<Option<Vec<usize>>, SolveError> {
        let mut firm: Vec<usize> = Vec::new();
        loop {
            let (p, misses) = self.variant(items, |i| {
                if firm.contains(&i) { Mode::Firm } else { Mode::Soft(1.0 / items[i].size) }
            });
            let s = p.solve()?;
            if s.status == Status::Infeasible {
                return Ok(Some(firm));
            }
            let missed: Vec<usize> =
                misses.iter().filter(|(i, c)| s.x[*c] / items[*i].size > MET).map(|(i, _)| *i).collect();
            if missed.is_empty() {
                return Ok(None);
            }
            firm.extend(missed);
        }
    }

    fn deletion_filter(&self, items: &[Item], suspects: Vec<usize>) -> Result<Vec<usize>, SolveError> {
        let mut core = suspects.clone();
        for leave in suspects {
            let without = |i: usize| {
                if i != leave && core.contains(&i) { Mode::Firm } else { Mode::Out }
            };
            if self.variant(items, without).0.solve()?.status == Status::Infeasible {
                core.retain(|i| *i != leave);
            }
        }
        core.sort_unstable();
        Ok(core)
    }

    fn give_way(&self, items: &[Item], one: usize) -> Result<Limit, SolveError> {
        let item = items[one];
        let name = match item.place {
            Place::Row(r) => self.rows[r].name.clone(),
            Place::Column(c) => self.columns[c].name.clone(),
        };
        let mut limit = Limit {
            name,
            of_column: matches!(item.place, Place::Column(_)),
            side: item.side,
            limit: item.limit,
            give_way_to: None,
            objective: None,
        };
        let soft = self.variant(items, |i| if i == one { Mode::Soft(1.0) } else { Mode::Firm });
        let s = soft.0.solve()?;
        if !s.found() {
            return Ok(limit);
        }
        let miss = s.x[soft.1[0].1];
        let to = match item.side {
            Side::AtLeast => item.limit - miss,
            Side::AtMost => item.limit + miss,
        };
        limit.give_way_to = Some(to);
        // A hair beyond, so that rounding does not shut it again.
        let hair = item.size * 1e-8;
        let mut p = self.clone();
        let beyond = Item { limit: if item.side == Side::AtLeast { to - hair } else { to + hair }, ..item };
        beyond.put(&mut p);
        let relaxed = p.solve()?;
        limit.objective = relaxed.found().then_some(relaxed.objective);
        Ok(limit)
    }
}
