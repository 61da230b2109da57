//! The ration of a phase from what the farm has: least cost, what it says, and against the one accepted.

use serde::Serialize;
use stook_book::payload::{AcceptedRation, RationItem};
use stook_book::{Fact, RationId};
use stook_feed::need::{self, Choices};
use stook_feed::ration::{self, Formulated, Offer, Ration, Safety, conflict_words, price_words, round_batch};
use stook_feed::{Need, Nutrient, Phase, ingredient};
use stook_measure::figure;

use crate::offers::{self, Bought, OwnLot};
use crate::{BarnError, Facts};

/// What is asked of a ration.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Asked {
    /// Phase; the first starter when not given is of no use, so it is always given.
    pub phase: Option<Phase>,
    /// Standard deviations of lysine kept in hand.
    pub safety_z: f64,
    /// Margin on lysine and phosphorus in place of the usual, as a share.
    pub margin: Option<f64>,
}

/// A limit as a person reads it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitShown {
    /// What.
    pub what: String,
    /// The ration's.
    pub has: f64,
    /// Least.
    pub least: Option<f64>,
    /// Most.
    pub most: Option<f64>,
    /// Unit.
    pub unit: &'static str,
    /// Places to show.
    pub decimals: u8,
}

/// A ration answered.
#[derive(Debug, Clone, Serialize)]
pub struct RationAnswer {
    /// Phase.
    pub phase: Phase,
    /// Phase in words.
    pub words: &'static str,
    /// The ration; none when none meets the limits.
    pub ration: Option<Ration>,
    /// Why there is none, in sentences.
    pub conflict: Vec<String>,
    /// What each limit costs.
    pub prices: Vec<String>,
    /// What would bring in what is left out, and how far prices may move.
    pub would_change: Vec<String>,
    /// How it stands.
    pub limits: Vec<LimitShown>,
    /// Against the ration accepted last.
    pub accepted: Option<Compared>,
    /// Prices taken from us because the farm has none.
    pub assumed: Vec<String>,
    /// What to know: DON not tested, no review, wheat in sow diets, particle size.
    pub notes: Vec<String>,
    /// The mixer's batch.
    pub batch: Option<ration::Batch>,
    /// What is needed of it.
    pub need: Need,
    /// Everything on offer.
    #[serde(skip)]
    pub offers: Vec<Offer>,
}

/// The accepted ration at today's prices and tests.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Its key.
    pub id: RationId,
    /// Its name.
    pub name: String,
    /// The day it was accepted.
    pub on: jiff::civil::Date,
    /// Whether a nutritionist has looked at it.
    pub reviewed_by: Option<String>,
    /// What it costs now, money a tonne; none when a part of it is no longer on offer.
    pub cost_t: Option<f64>,
    /// Limits it misses by today's tests, in sentences.
    pub misses: Vec<String>,
    /// Part by part: name, share then, share in the new ration.
    pub parts: Vec<(String, f64, f64)>,
}

/// Own lots and bought things as offers to a phase, with the need they are asked for.
pub fn offers_for(
    f: &Facts<'_>,
    lots: &[OwnLot],
    bought: &[Bought],
    phase: Phase,
    asked: Asked,
) -> (Need, Vec<Offer>) {
    let mut all: Vec<Offer> = lots
        .iter()
        .filter(|l| l.never.is_none())
        .map(|l| Offer { max: offers::lot_max(l, phase), ..l.offer.clone() })
        .filter(|o| o.max > 0.0)
        .collect();
    all.extend(bought.iter().map(|b| b.offer(f, phase)));
    let premix = bought.iter().find(|b| b.rate.is_some() || b.phytase_p_pct.is_some());
    let mut need = need::need(
        &f.params,
        phase,
        Choices {
            margin: asked.margin,
            phytase_p_pct: premix.and_then(|p| p.phytase_p_pct),
            ..Choices::default()
        },
    );
    if let Some(rate) = premix.and_then(|p| p.rate) {
        need.premix_share = rate;
    }
    (need, all)
}

/// Answers for a phase.
///
/// # Errors
/// When the solver cannot be used.
pub fn answer(f: &Facts<'_>, phase: Phase, asked: Asked) -> Result<RationAnswer, BarnError> {
    let (lots, bought) = (offers::own_lots(f), offers::bought(f));
    let (need, all) = offers_for(f, &lots, &bought, phase, asked);
    let formulated = ration::formulate(&need, &all, Safety { z: asked.safety_z })?;
    let (found, conflict) = match formulated {
        Formulated::Found(r) => (Some(*r), Vec::new()),
        Formulated::Impossible(c) => (None, c.map_or_else(Vec::new, |c| conflict_words(&c))),
    };
    let assumed = bought.iter().filter(|b| b.assumed).map(|b| b.name.clone()).collect();
    let batch = found.as_ref().map(|r| round_batch(&mill_params(f), &need, &all, r, mixer_kg(f)));
    let accepted = f.farm.barn.ration_for(phase.key(), f.on).map(|a| compare(a, found.as_ref(), &need, &all));
    Ok(RationAnswer {
        phase,
        words: phase.words(),
        prices: found.as_ref().map(price_words).unwrap_or_default(),
        would_change: found.as_ref().map(|r| would_change(r)).unwrap_or_default(),
        limits: found.as_ref().map(limits_shown).unwrap_or_default(),
        notes: notes(&lots, found.as_ref(), phase, &bought),
        ration: found,
        conflict,
        accepted,
        assumed,
        batch,
        need,
        offers: all,
    })
}

/// Scale steps of the farm's mixer in place of the usual.
pub fn mill_params(f: &Facts<'_>) -> stook_feed::FeedParams {
    let mut p = f.params;
    if let Some(m) = f.farm.barn.mixers.values().next() {
        p.bulk_step_kg = m.is.step_kg.unwrap_or(p.bulk_step_kg);
        p.hand_step_kg = m.is.hand_step_kg.unwrap_or(p.hand_step_kg);
        p.micro_step_kg = m.is.small_step_kg.unwrap_or(p.micro_step_kg);
    }
    p
}

/// What the mixer holds, kg.
pub fn mixer_kg(f: &Facts<'_>) -> f64 {
    f.farm.barn.mixers.values().next().map_or(1000.0, |m| m.is.batch_kg)
}

fn limits_shown(r: &Ration) -> Vec<LimitShown> {
    r.standing
        .iter()
        .map(|s| LimitShown {
            what: s.what.clone(),
            has: s.has,
            least: s.least,
            most: s.most,
            unit: if s.unit == "1" { "" } else { s.unit },
            decimals: match s.unit {
                "kcal/kg" => 0,
                "%" | "ppm" | "g/Mcal" => 2,
                _ => 3,
            },
        })
        .collect()
}

fn would_change(r: &Ration) -> Vec<String> {
    let mut all = Vec::new();
    for l in &r.left_out {
        if let Some(at) = l.comes_in_at.filter(|at| *at > 0.0 && *at > 0.4 * l.price_t) {
            all.push(format!(
                "{} comes in at {} a tonne; it is {}.",
                l.name,
                figure(at, 0),
                figure(l.price_t, 0)
            ));
        }
    }
    for p in r.parts.iter().filter(|p| p.share > 0.02) {
        if let Some(s) = p.stays {
            let low = s.low.filter(|l| *l > 0.0).map(|l| figure(l, 0));
            let high = s.high.map(|h| figure(h, 0));
            all.push(match (low, high) {
                (Some(l), Some(h)) => format!("{} stays as it is from {l} to {h} a tonne.", p.name),
                (None, Some(h)) => format!("{} stays as it is up to {h} a tonne.", p.name),
                (Some(l), None) => format!("{} stays as it is from {l} a tonne up.", p.name),
                (None, None) => continue,
            });
        }
    }
    all
}

fn notes(lots: &[OwnLot], r: Option<&Ration>, phase: Phase, bought: &[Bought]) -> Vec<String> {
    let mut all = vec!["A nutritionist looks at a ration before it is fed. Step it in over a week; a sudden change scours pigs.".to_string()];
    for l in lots.iter().filter(|l| l.never.is_some()) {
        all.push(l.never.clone().unwrap_or_default());
    }
    let Some(r) = r else { return all };
    let used = |l: &&OwnLot| r.parts.iter().any(|p| p.key == l.bin.as_str());
    for l in lots.iter().filter(used) {
        if !l.don_tested && matches!(l.offer.class.as_str(), "wheat_hrs" | "barley") {
            all.push(format!(
                "{} has no DON test: it is taken at {} ppm. Test it before young pigs or sows get it.",
                l.name,
                figure(l.don_ppm, 1)
            ));
        }
    }
    if phase.is_delicate() && r.don_ppm > 0.5 {
        all.push(format!(
            "DON comes to {} ppm. Sows, gilts and the nursery are hurt first: halve it if you can.",
            figure(r.don_ppm, 2)
        ));
    }
    let wheat: f64 = r
        .parts
        .iter()
        .filter(|p| lots.iter().any(|l| l.bin.as_str() == p.key && l.offer.class == "wheat_hrs"))
        .map(|p| p.share)
        .sum();
    if wheat > 0.4 {
        all.push("Wheat grinds to flour: about 700 um, not under 500, or ulcers and bridging follow.".into());
    }
    if bought.iter().any(|b| b.copper && r.parts.iter().any(|p| p.key == b.key)) {
        all.push("The premix holds copper above need: this feed never to sheep, nor to goats.".into());
    }
    all
}

fn compare(a: &Fact<AcceptedRation>, new: Option<&Ration>, need: &Need, offers: &[Offer]) -> Compared {
    let key = |i: &RationItem| i.bin.as_ref().map_or_else(|| i.of.clone(), ToString::to_string);
    let find = |k: &str| offers.iter().find(|o| o.key == k);
    let parts: Vec<(&RationItem, Option<&Offer>)> = a.is.items.iter().map(|i| (i, find(&key(i)))).collect();
    let whole = parts.iter().all(|(_, o)| o.is_some());
    let cost_t =
        whole.then(|| parts.iter().map(|(i, o)| i.share_pct / 100.0 * o.map_or(0.0, |o| o.price_t)).sum());
    let misses = if whole {
        let c = stook_feed::Composition::mix(
            parts.iter().filter_map(|(i, o)| Some((i.share_pct / 100.0, &o.as_ref()?.holds))),
        );
        let don = parts.iter().map(|(i, o)| i.share_pct / 100.0 * o.map_or(0.0, |o| o.don_ppm)).sum();
        stook_feed::diet::stand(need, &c, don)
            .into_iter()
            .filter(|s| s.miss() > 0.005)
            .map(|s| {
                format!(
                    "{} is {} % {}",
                    s.what,
                    figure(100.0 * s.miss(), 1),
                    if s.least.is_some_and(|l| s.has < l) { "short" } else { "over" }
                )
            })
            .collect()
    } else {
        Vec::new()
    };
    let mut table: Vec<(String, f64, f64)> = parts
        .iter()
        .map(|(i, o)| {
            let k = key(i);
            let now = new.and_then(|r| r.parts.iter().find(|p| p.key == k)).map_or(0.0, |p| p.share);
            let name = o.map_or_else(
                || ingredient::find(&i.of).map_or(k.clone(), |x| x.name.clone()),
                |o| o.name.clone(),
            );
            (name, i.share_pct / 100.0, now)
        })
        .collect();
    for p in new.iter().flat_map(|r| &r.parts) {
        if !a.is.items.iter().any(|i| key(i) == p.key) {
            table.push((p.name.clone(), 0.0, p.share));
        }
    }
    Compared {
        id: a.is.id.clone(),
        name: a.is.name.clone(),
        on: a.on(),
        reviewed_by: a.is.reviewed_by.clone(),
        cost_t,
        misses,
        parts: table,
    }
}

/// The ration as an entry: what is accepted.
pub fn accepted_entry(
    a: &RationAnswer,
    f: &Facts<'_>,
    reviewed_by: Option<String>,
) -> Option<AcceptedRation> {
    let r = a.ration.as_ref()?;
    let lots = offers::own_lots(f);
    let mut items: Vec<RationItem> = r
        .parts
        .iter()
        .map(|p| {
            let lot = lots.iter().find(|l| l.bin.as_str() == p.key);
            RationItem {
                of: lot.map_or_else(|| p.key.clone(), |l| l.crop.clone()),
                bin: lot.map(|l| l.bin.clone()),
                share_pct: (p.share * 1e6).round() / 1e4,
            }
        })
        .collect();
    // Rounded shares come to 100 again on the largest.
    let sum: f64 = items.iter().map(|i| i.share_pct).sum();
    if let Some(first) = items.first_mut() {
        first.share_pct = ((first.share_pct + 100.0 - sum) * 1e4).round() / 1e4;
    }
    let n = f.farm.barn.rations.iter().filter(|x| x.is.phase == a.phase.key()).count() + 1;
    Some(AcceptedRation {
        id: RationId::from_name(&format!("{} {} {n}", a.phase.key().replace('_', "-"), f.on)),
        name: format!("{} of {}", a.phase.words(), f.on),
        phase: a.phase.key().into(),
        items,
        cost_t: Some((r.cost_t * 100.0).round() / 100.0),
        reviewed_by,
    })
}

/// Digestible lysine of a ration, %, for a label.
pub fn lysine_pct(r: &Ration) -> f64 {
    r.holds.of(Nutrient::Lys)
}

/// Phases that groups in the barn eat now, youngest first; all of them when there is no group.
pub fn phases_now(f: &Facts<'_>) -> Vec<Phase> {
    let mut all: Vec<Phase> = crate::herd::today(f).iter().filter_map(|g| g.phase).collect();
    all.extend(f.farm.barn.feed_bins.values().filter_map(|b| Phase::from_key(b.is.phase.as_deref()?)));
    all.sort_unstable();
    all.dedup();
    if all.is_empty() { Phase::ALL.to_vec() } else { all }
}
