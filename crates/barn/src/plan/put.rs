//! The farm's question to the plan: lots, rations, buyers, cash.

use jiff::civil::Date;
use stook_book::Fact;
use stook_book::payload::Buyer as BuyerOffer;
use stook_feed::Phase;
use stook_feed::plan::{Average, Buyer, Contract, Keep, Lot, PlanAsk, Wanted};
use stook_feed::ration::{self, Formulated, Safety};
use stook_measure::figure;
use uuid::Uuid;

use super::{Asked, Blend};
use crate::offers::{self, OwnLot};
use crate::{BarnError, Facts, buyers, cash, demand, hold, rations};

/// Months looked ahead at most.
const MONTHS: usize = 12;
/// Least months looked ahead.
const FEWEST: usize = 6;

/// How the question was put: kept so that it can be asked again with a change.
pub(super) struct Put {
    pub ask: PlanAsk,
    pub months: Vec<Date>,
    pub lots: Vec<OwnLot>,
    pub phases: Vec<Phase>,
    pub buyers: Vec<String>,
    /// The entry behind each buyer.
    pub offered: Vec<Uuid>,
    /// Limits on the average of what is delivered, with what went already.
    pub blends: Vec<Blend>,
    pub notes: Vec<String>,
}

pub(super) fn month_index(months: &[Date], day: Date) -> Option<usize> {
    months.iter().rposition(|m| *m <= day)
}

/// Puts the question; with so many points of protein more in the wheat.
pub(super) fn put(f: &Facts<'_>, asked: &Asked<'_>, points: f64) -> Result<Put, BarnError> {
    let mut notes = Vec::new();
    let lots: Vec<OwnLot> = offers::own_lots_if(f, points);
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
        let (need, offers_) = rations::offers_for(f, &lots, &bought, phase, rations::Asked::default());
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
    let (mut buyers, mut names, mut offered, mut blends) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for b in buyers::in_force(f.farm, f.on) {
        if b.is.from.is_some_and(|d| d > months[n - 1].last_of_month()) {
            continue;
        }
        let Some((buyer, limits)) = buyer(f, &b, &lots, &months) else { continue };
        let place = buyers.len();
        blends.extend(limits.into_iter().map(|l| Blend { place, ..l }));
        names.push(b.is.name.clone());
        offered.push(b.entry);
        buyers.push(buyer);
    }
    if buyers.is_empty() {
        notes.push("No buyer's offer is written down: grain is valued at the feed wheat price and nothing is sold. Enter the offers as you get them.".into());
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
                gone_by: gone_by(f, asked, l, &months),
                never_fed: false,
            })
            .collect(),
        rations: wanted,
        buyers,
        interest_month,
        cash_by,
        cash_pays_feed: pigs_priced,
        truck_t: None,
        keep: keep(f, asked, &lots, &months),
        grind_t: f.reference.get("barn.plan.grind_t"),
    };
    Ok(Put { ask, months, lots, phases: kept_phases, buyers: names, offered, blends, notes })
}

/// A buyer as the plan takes it, with the limits on the average of what it is delivered; none when it takes none of the lots.
fn buyer(
    f: &Facts<'_>,
    b: &Fact<BuyerOffer>,
    lots: &[OwnLot],
    months: &[Date],
) -> Option<(Buyer, Vec<Blend>)> {
    let n = months.len();
    let x = &b.is;
    let from = x.from.map_or(0, |d| month_index(months, d).unwrap_or(0));
    let to = x.until.map_or(n - 1, |d| month_index(months, d).unwrap_or(0));
    let price_t: Vec<Option<f64>> = lots.iter().map(|l| buyers::net_t(x, &l.sample)).collect();
    if price_t.iter().all(Option::is_none) {
        return None;
    }
    let word = match x.prices.as_slice() {
        [one] if !one.grade.is_empty() => format!(", {}", one.grade),
        _ => x.contract.as_ref().map_or(String::new(), |c| format!(", contract {c}")),
    };
    let name = format!("{}{word}", x.name);
    let gone = buyers::delivered(f, b);
    let still = |t: f64| (t - gone.tonnes).max(0.0);
    let mut limits = Vec::new();
    let mut averages = Vec::new();
    if x.average {
        let mut add =
            |what: &str, of_lot: Vec<f64>, least: Option<f64>, most: Option<f64>, had: Option<f64>| {
                let had = had.filter(|_| gone.tonnes > 0.0).map(|v| (gone.tonnes, v));
                averages.push(Average {
                    what: what.into(),
                    of_lot: of_lot.clone(),
                    least,
                    most,
                    window: Some((from, to)),
                    had,
                });
                limits.push(Blend {
                    buyer: name.clone(),
                    what: what.into(),
                    least,
                    most,
                    had,
                    place: 0,
                    of_lot,
                    comes_to: None,
                    tonnes: 0.0,
                });
            };
        if let Some(least) = x.lowest_protein_pct {
            // A lot without a test counts as nothing toward a least.
            let of = lots.iter().map(|l| l.protein_pct.unwrap_or(0.0)).collect();
            add("protein", of, Some(least), None, gone.protein_pct);
        }
        if let Some(most) = x.most_don_ppm {
            add("DON", lots.iter().map(|l| l.sample.don_ppm).collect(), None, Some(most), gone.don_ppm);
        }
    }
    let buyer = Buyer {
        name,
        price_t,
        by_month: Vec::new(),
        open: (0..n).map(|m| (from..=to).contains(&m)).collect(),
        most_month_t: x.most_t_month.unwrap_or(f.reference.get("barn.plan.most_t_month")),
        most_t: x.tonnes.map(still),
        contracts: x
            .tonnes
            .filter(|_| x.contract.is_some())
            .map(|t| Contract { from, to, tonnes: still(t) })
            .into_iter()
            .collect(),
        averages,
    };
    Some((buyer, limits))
}

/// The last month a lot keeps, by the life its bin has left as it lies; none beyond the plan.
fn gone_by(f: &Facts<'_>, asked: &Asked<'_>, lot: &OwnLot, months: &[Date]) -> Option<usize> {
    let days = asked.life.get(&lot.bin).filter(|l| !l.at_least)?.days;
    let last = f.on.saturating_add(jiff::Span::new().days(days.clamp(0.0, 1e4) as i64));
    (last < months.last()?.last_of_month()).then(|| month_index(months, last).unwrap_or(0))
}

/// What is kept in hand to new crop over what the barn is likely to eat, by crop, as far as there is so much.
fn keep(f: &Facts<'_>, asked: &Asked<'_>, lots: &[OwnLot], months: &[Date]) -> Vec<Keep> {
    hold::answer(f, asked.short_pct)
        .into_iter()
        .filter_map(|h| {
            // Only grain that keeps so long as it lies can be kept so long.
            let keeps =
                |l: &OwnLot| l.crop == h.crop && l.never.is_none() && gone_by(f, asked, l, months).is_none();
            let of: Vec<usize> = (0..lots.len()).filter(|i| keeps(&lots[*i])).collect();
            let there: f64 = of.iter().map(|i| lots[*i].tonnes).sum();
            let tonnes = (h.hold_t - h.wanted_t.p50).min(h.have_t - h.wanted_t.p50).min(there);
            (tonnes > 0.0 && !of.is_empty()).then(|| Keep {
                name: format!("{} kept in hand to new crop", h.crop.replace('_', " ")),
                lots: of,
                month: month_index(months, h.until).unwrap_or(months.len() - 1).min(months.len() - 1),
                tonnes,
            })
        })
        .collect()
}
