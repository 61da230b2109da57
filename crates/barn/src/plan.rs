//! Mill or trough for the farm as it stands: which bin to feed, which to sell, when, and what would change it.

use jiff::civil::Date;
use serde::Serialize;
use stook_feed::Phase;
use stook_feed::plan::{self, Buyer, Contract, Lot, PlanAnswer, PlanAsk, Planned, Wanted};
use stook_feed::ration::{self, Formulated, Safety, conflict_words};
use stook_measure::figure;

use crate::cash::{self, CashMonth};
use crate::hold::{self, Hold};
use crate::offers::{self, OwnLot};
use crate::rations::{self, Asked};
use crate::{BarnError, Facts, bids, demand};

/// Months looked ahead at most.
const MONTHS: usize = 12;
/// Least months looked ahead.
const FEWEST: usize = 6;

/// Where a lot goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Goes {
    /// To the pigs, all or nearly.
    Trough,
    /// To a buyer, all or nearly.
    Mill,
    /// Some to each.
    Both,
    /// Kept.
    Kept,
}

/// A lot in the plan.
#[derive(Debug, Clone, Serialize)]
pub struct LotAnswer {
    /// The lot.
    pub lot: OwnLot,
    /// Where it goes.
    pub goes: Goes,
    /// In a sentence: what to do, worth in the trough against at the mill.
    pub words: String,
    /// Why, in a sentence.
    pub why: String,
    /// Tonnes fed, sold, left.
    pub fed_t: f64,
    /// Sold.
    pub sold_t: f64,
    /// Left at the end.
    pub left_t: f64,
    /// Worth of a tonne in the trough.
    pub trough_t: Option<f64>,
    /// What it brings at the mill.
    pub mill_t: Option<f64>,
    /// Sales: month, buyer, tonnes, net price.
    pub sales: Vec<(Date, String, f64, f64)>,
    /// Fed: month and tonnes.
    pub feeding: Vec<(Date, f64)>,
    /// Fed by phase, tonnes.
    pub by_phase: Vec<(Phase, f64)>,
}

/// What one change does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIf {
    /// What is changed.
    pub what: String,
    /// Money gained (lost when less than nothing) over the plan, money.
    pub money: f64,
    /// Lots that go elsewhere then, in words; empty when the plan stands.
    pub moves: Vec<String>,
}

/// The whole answer.
#[derive(Debug, Clone, Serialize)]
pub struct Whole {
    /// The day.
    pub on: Date,
    /// First days of the months.
    pub months: Vec<Date>,
    /// In the first sentences: what to do.
    pub headline: Vec<String>,
    /// Lots.
    pub lots: Vec<LotAnswer>,
    /// Bushels to keep.
    pub hold: Vec<Hold>,
    /// What would change it.
    pub what_if: Vec<WhatIf>,
    /// Cash.
    pub cash: Vec<CashMonth>,
    /// Whether sales are whole trucks.
    pub whole_trucks: bool,
    /// What the plan rests on and leaves out.
    pub notes: Vec<String>,
    /// Why there is no plan, in sentences.
    pub conflict: Vec<String>,
    /// Grain and feed wanted by phase over the months, t.
    pub wanted: Vec<(Phase, f64)>,
    /// Worth of the plan, money.
    pub worth: Option<f64>,
}

/// How the question was put: kept so that it can be asked again with a change.
struct Put {
    ask: PlanAsk,
    months: Vec<Date>,
    lots: Vec<OwnLot>,
    phases: Vec<Phase>,
    buyers: Vec<String>,
    notes: Vec<String>,
}

fn month_index(months: &[Date], day: Date) -> Option<usize> {
    months.iter().rposition(|m| *m <= day)
}

fn put(f: &Facts<'_>) -> Result<Put, BarnError> {
    let mut notes = Vec::new();
    let lots: Vec<OwnLot> = offers::own_lots(f);
    for l in &lots {
        notes.extend(l.never.clone());
    }
    let lots: Vec<OwnLot> = lots.into_iter().filter(|l| l.never.is_none()).collect();
    let bought = offers::bought(f);
    let harvest = hold::harvest(f);
    let n = ((harvest - f.on).get_days() as usize / 30 + 1).clamp(FEWEST, MONTHS);
    let by_month = demand::months(f, n);
    let months: Vec<Date> = by_month.iter().map(|m| m.0).collect();
    let mut phases: Vec<Phase> = by_month.iter().flat_map(|m| m.1.keys().copied()).collect();
    phases.sort_unstable();
    phases.dedup();
    let mut wanted = Vec::new();
    let mut kept_phases = Vec::new();
    for phase in phases {
        let (need, offers_) = rations::offers_for(f, &lots, &bought, phase, Asked::default());
        if !matches!(ration::formulate(&need, &offers_, Safety::default())?, Formulated::Found(_)) {
            notes.push(format!("No ration for {} can be made from what is on offer: it is taken as bought ready and left out here.", phase.words()));
            continue;
        }
        wanted.push(Wanted {
            name: phase.words().into(),
            need,
            lot_max: lots.iter().map(|l| offers::lot_max(l, phase)).collect(),
            tonnes: by_month.iter().map(|m| m.1.get(&phase).copied().unwrap_or(0.0)).collect(),
            bought: bought.iter().map(|b| b.offer(f, phase)).collect(),
        });
        kept_phases.push(phase);
    }
    let (mut buyers, mut names) = (Vec::new(), Vec::new());
    for b in bids::in_force(f.farm, f.on) {
        let from = b.is.from.map_or(0, |d| month_index(&months, d).unwrap_or(0));
        let to = b.is.to.map_or(n - 1, |d| month_index(&months, d).unwrap_or(0));
        if b.is.from.is_some_and(|d| d > months[n - 1].last_of_month()) {
            continue;
        }
        let price_t: Vec<Option<f64>> = lots.iter().map(|l| bids::net_t(&b.is, &l.sample)).collect();
        if price_t.iter().all(Option::is_none) {
            continue;
        }
        let grade = b.is.grade.as_ref().map_or(String::new(), |g| format!(", {g}"));
        names.push(b.is.buyer.clone());
        buyers.push(Buyer {
            name: format!("{}{grade}", b.is.buyer),
            price_t,
            by_month: Vec::new(),
            open: (0..n).map(|m| (from..=to).contains(&m)).collect(),
            most_month_t: b.is.most_t_month.unwrap_or(f.reference.get("barn.plan.most_t_month")),
            contracts: b.is.committed_t.map(|t| Contract { from, to, tonnes: t }).into_iter().collect(),
            averages: Vec::new(),
        });
    }
    if buyers.is_empty() {
        notes.push("No bid is written down: grain is valued at the feed wheat price and nothing is sold. Enter the bids as you get them.".into());
    }
    for l in lots.iter().filter(|l| !l.don_tested && matches!(l.offer.class.as_str(), "wheat_hrs" | "barley"))
    {
        notes.push(format!(
            "{} has no DON test; it is taken at {} ppm for the pigs.",
            l.name,
            figure(l.don_ppm, 1)
        ));
    }
    let interest_month = f.reference.get("barn.plan.interest_pct") / 1200.0;
    let carry = f.reference.get("barn.plan.carry_over_share");
    let storage = f.reference.get("barn.plan.storage_t_month");
    let cash_by = cash::wanted(f, &months);
    let pigs_priced = cash::pigs(f, &months).is_some();
    if !pigs_priced && !f.farm.barn.groups.is_empty() {
        notes.push("No price of a market pig is written down, so pigs bring no cash here and what falls due is asked of the grain alone.".into());
    }
    let ask = PlanAsk {
        months: n,
        lots: lots
            .iter()
            .map(|l| Lot {
                offer: stook_feed::ration::Offer {
                    price_t: carry * l.mill_t.unwrap_or(l.offer.price_t),
                    ..l.offer.clone()
                },
                tonnes: l.tonnes,
                protein_pct: l.protein_pct,
                storage_t_month: storage,
                gone_by: None,
                never_fed: false,
            })
            .collect(),
        rations: wanted,
        buyers,
        interest_month,
        cash_by,
        cash_pays_feed: pigs_priced,
        truck_t: None,
        grind_t: f.reference.get("barn.plan.grind_t"),
    };
    Ok(Put { ask, months, lots, phases: kept_phases, buyers: names, notes })
}

/// Answers for the farm.
///
/// # Errors
/// When the solver cannot be used.
pub fn answer(f: &Facts<'_>) -> Result<Whole, BarnError> {
    let mut p = put(f)?;
    let hold = hold::answer(f);
    let wanted: Vec<(Phase, f64)> =
        p.phases.iter().zip(&p.ask.rations).map(|(ph, w)| (*ph, w.tonnes.iter().sum())).collect();
    if p.ask.lots.is_empty() {
        p.notes.insert(0, "There is no grain in the bins that the barn or a buyer could take.".into());
    }
    let (mut found, mut conflict) = (None, Vec::new());
    match plan::plan(&p.ask)? {
        Planned::Found(a) => found = Some(*a),
        Planned::Impossible(c) => {
            conflict = c.as_ref().map_or_else(Vec::new, conflict_words);
            // Cash cannot be had from grain alone: say so and plan without it.
            if p.ask.cash_by.iter().any(|c| *c > 0.0) {
                p.ask.cash_by = vec![0.0; p.ask.months];
                if let Planned::Found(a) = plan::plan(&p.ask)? {
                    p.notes.insert(0, "The payments due cannot be met from grain alone by their day: the plan leaves them out; see what does not go together.".into());
                    found = Some(*a);
                }
            }
        }
    }
    let Some(linear) = found else {
        return Ok(Whole {
            on: f.on,
            months: p.months,
            headline: vec!["No plan meets all that is asked.".into()],
            lots: Vec::new(),
            hold,
            what_if: Vec::new(),
            cash: Vec::new(),
            whole_trucks: false,
            notes: p.notes,
            conflict,
            wanted,
            worth: None,
        });
    };
    let what_if = what_if(f, &p, &linear)?;
    let truck = f.reference.get("barn.plan.truck_t");
    let a = match plan::plan(&PlanAsk { truck_t: Some(truck), ..p.ask.clone() })? {
        Planned::Found(a) => *a,
        Planned::Impossible(_) => linear.clone(),
    };
    let lots: Vec<LotAnswer> = a
        .lots
        .iter()
        .zip(&p.lots)
        .map(|(l, own)| lot_answer(&p, l, own, a.whole_trucks.then_some(truck)))
        .collect();
    let cash = cash::by_month(f, &p.months, &a.cash);
    p.notes.push(format!(
        "Sold in whole trucks of {} t; storage {} a tonne and month, interest {} % a year, grinding {} a tonne; grain left at the end is worth {} % of today's best bid. Prices are taken as bid; what a lower or higher one does stands under what would change it.",
        figure(truck, 0),
        figure(f.reference.get("barn.plan.storage_t_month"), 2),
        figure(f.reference.get("barn.plan.interest_pct"), 1),
        figure(p.ask.grind_t, 0),
        figure(100.0 * f.reference.get("barn.plan.carry_over_share"), 0),
    ));
    p.notes.push("Each lot is sold on its own grade; nothing here is blended to slip past a limit. In a ration the DON of all parts together is held under the limit for pigs.".into());
    Ok(Whole {
        on: f.on,
        months: p.months.clone(),
        headline: headline(&lots),
        lots,
        hold,
        what_if,
        cash,
        whole_trucks: a.whole_trucks,
        notes: p.notes,
        conflict,
        wanted,
        worth: Some(linear.worth),
    })
}

fn goes(fed: f64, sold: f64, left: f64) -> Goes {
    let all = (fed + sold + left).max(1e-9);
    if fed > 0.85 * all {
        Goes::Trough
    } else if sold > 0.85 * all {
        Goes::Mill
    } else if left > 0.5 * all && fed + sold < 0.3 * all {
        Goes::Kept
    } else {
        Goes::Both
    }
}

fn lot_answer(p: &Put, l: &plan::LotPlan, own: &OwnLot, truck_t: Option<f64>) -> LotAnswer {
    let (fed, sold) = (l.fed_t(), l.sold_t());
    let g = goes(fed, sold, l.left_t);
    let worth = match (l.trough_t, l.mill_t) {
        (Some(t), Some(m)) => format!("{} a tonne in the trough, {} at the mill", figure(t, 0), figure(m, 0)),
        (Some(t), None) => format!("{} a tonne in the trough, and nobody bids", figure(t, 0)),
        (None, Some(m)) => format!("{} a tonne at the mill, and no ration has room", figure(m, 0)),
        (None, None) => "nobody bids, and no ration has room".to_string(),
    };
    let label = match (own.protein_pct, own.offer.class.as_str()) {
        (Some(x), "wheat_hrs") => format!(
            "{} ({} % protein{})",
            own.name,
            figure(x, 1),
            if own.don_ppm > 0.5 {
                format!(", DON taken at {}", figure(own.don_ppm, 1))
            } else {
                String::new()
            }
        ),
        _ => format!("{} ({})", own.name, own.crop.replace('_', " ")),
    };
    let verb = match g {
        Goes::Trough => "Feed",
        Goes::Mill => "Sell",
        Goes::Both => "Feed and sell",
        Goes::Kept => "Keep",
    };
    let words = format!("{verb} {label}: {worth}.");
    let why = match (g, l.trough_t, l.mill_t) {
        (Goes::Trough, Some(t), Some(m)) if m > t => format!(
            "A buyer would pay {} net and the pigs gain {} from a tonne; it is fed all the same, because {}.",
            figure(m, 0),
            figure(t, 0),
            if truck_t.is_some_and(|truck| fed < truck) {
                "it does not fill a truck"
            } else {
                "whole trucks and what the barn needs come out best together that way"
            }
        ),
        (Goes::Trough, Some(t), Some(m)) => format!(
            "A tonne of it saves {} of other feed and would bring {} net at the best buyer: {} more in the trough.",
            figure(t, 0),
            figure(m, 0),
            figure(t - m, 0)
        ),
        (Goes::Mill, Some(t), Some(m)) => format!(
            "A buyer pays {} net for it and the pigs gain {} from a tonne: {} more at the mill.",
            figure(m, 0),
            figure(t, 0),
            figure(m - t, 0)
        ),
        (Goes::Trough | Goes::Both, Some(t), None) => {
            format!("Nobody bids for it; in the trough a tonne saves {}.", figure(t, 0))
        }
        (Goes::Both, _, _) => "The barn takes what it needs; the rest is worth more sold.".into(),
        (Goes::Kept, _, _) => "It is worth more kept than sold at these bids.".into(),
        (_, None, _) => "Every ration that may hold it is full of it already.".into(),
        (Goes::Mill, Some(_), None) => String::new(),
    };
    let mut feeding: Vec<(Date, f64)> = Vec::new();
    let mut by_phase: Vec<(Phase, f64)> = Vec::new();
    for x in &l.fed {
        match feeding.iter_mut().find(|y| y.0 == p.months[x.month]) {
            Some(y) => y.1 += x.tonnes,
            None => feeding.push((p.months[x.month], x.tonnes)),
        }
        let phase = p.phases[x.ration];
        match by_phase.iter_mut().find(|y| y.0 == phase) {
            Some(y) => y.1 += x.tonnes,
            None => by_phase.push((phase, x.tonnes)),
        }
    }
    let sales =
        l.sold.iter().map(|s| (p.months[s.month], p.buyers[s.buyer].clone(), s.tonnes, s.price_t)).collect();
    LotAnswer {
        lot: own.clone(),
        goes: g,
        words,
        why,
        fed_t: fed,
        sold_t: sold,
        left_t: l.left_t,
        trough_t: l.trough_t,
        mill_t: l.mill_t,
        sales,
        feeding,
        by_phase,
    }
}

/// The two or three lots where the choice matters most, first.
fn headline(lots: &[LotAnswer]) -> Vec<String> {
    let gap = |l: &LotAnswer| {
        let (t, m) = (l.trough_t.unwrap_or(0.0), l.mill_t.unwrap_or(0.0));
        (t - m).abs() * (l.fed_t + l.sold_t)
    };
    let mut all: Vec<&LotAnswer> = lots.iter().filter(|l| l.fed_t + l.sold_t > 1.0).collect();
    all.sort_by(|a, b| gap(b).total_cmp(&gap(a)));
    let mut out: Vec<String> = Vec::new();
    // A bin fed although a buyer pays more is explained on its own lines, not held up as the example.
    let fed_gladly = |l: &LotAnswer| l.trough_t.unwrap_or(0.0) >= l.mill_t.unwrap_or(0.0);
    for g in [Goes::Mill, Goes::Trough] {
        let fits = |l: &&&LotAnswer| l.goes == g && (g == Goes::Mill || fed_gladly(l));
        out.extend(all.iter().find(fits).map(|l| l.words.clone()));
    }
    for l in all {
        if out.len() >= 3 {
            break;
        }
        if !out.contains(&l.words) {
            out.push(l.words.clone());
        }
    }
    out
}

/// The same question with something else in it.
fn what_if(f: &Facts<'_>, p: &Put, base: &PlanAnswer) -> Result<Vec<WhatIf>, BarnError> {
    let mut asks: Vec<(String, PlanAsk)> = Vec::new();
    let soy = "sbm_dehulled";
    let change_bought = |by: f64| {
        let mut a = p.ask.clone();
        for w in &mut a.rations {
            for o in w.bought.iter_mut().filter(|o| o.class == soy) {
                o.price_t += by;
            }
        }
        a
    };
    if p.ask.rations.iter().any(|w| w.bought.iter().any(|o| o.class == soy)) {
        asks.push(("Soybean meal 40 a tonne dearer".into(), change_bought(40.0)));
        asks.push(("Soybean meal 40 a tonne cheaper".into(), change_bought(-40.0)));
    }
    let bids_ = bids::in_force(f.farm, f.on);
    let premium_off = {
        let mut a = p.ask.clone();
        for b in &mut a.buyers {
            for (l, price) in b.price_t.iter_mut().enumerate() {
                let (Some(price), Some(protein)) = (price.as_mut(), p.lots[l].protein_pct) else { continue };
                let base_protein = bids_
                    .iter()
                    .filter(|x| b.name.starts_with(&x.is.buyer))
                    .find_map(|x| x.is.base_protein_pct);
                if let Some(base) = base_protein {
                    *price -= 5.0 * (protein - base).max(0.0);
                }
            }
        }
        a
    };
    asks.push(("Protein premium 5 a tonne and point less".into(), premium_off));
    let wheat = |k: f64| {
        let mut a = p.ask.clone();
        for b in &mut a.buyers {
            for price in b.price_t.iter_mut().flatten() {
                *price *= k;
            }
        }
        a
    };
    asks.push(("Every grain bid 10 % lower".into(), wheat(0.9)));
    asks.push(("Every grain bid 10 % higher".into(), wheat(1.1)));
    let mut don = p.ask.clone();
    for l in don.lots.iter_mut().filter(|l| matches!(l.offer.class.as_str(), "wheat_hrs" | "barley")) {
        l.offer.don_ppm += 1.0;
    }
    asks.push(("DON 1 ppm higher in every cereal bin (for the pigs)".into(), don));
    let mut out = Vec::new();
    for (what, ask) in asks {
        let found = plan::plan(&ask)?;
        out.push(match found {
            Planned::Found(a) => {
                let moves = a
                    .lots
                    .iter()
                    .zip(&base.lots)
                    .filter_map(|(now, was)| {
                        let (x, y) = (
                            goes(now.fed_t(), now.sold_t(), now.left_t),
                            goes(was.fed_t(), was.sold_t(), was.left_t),
                        );
                        let name = now.name.split(',').next().unwrap_or(&now.name);
                        (x != y).then(|| {
                            format!(
                                "{name} {}",
                                match x {
                                    Goes::Trough => "goes to the trough",
                                    Goes::Mill => "is sold",
                                    Goes::Both => "is split",
                                    Goes::Kept => "is kept",
                                }
                            )
                        })
                    })
                    .collect();
                WhatIf { what, money: a.worth - base.worth, moves }
            }
            Planned::Impossible(_) => WhatIf {
                what,
                money: f64::NAN,
                moves: vec!["not all rations can be made then: clean grain would have to be bought".into()],
            },
        });
    }
    Ok(out)
}
