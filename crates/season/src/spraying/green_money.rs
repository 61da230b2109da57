//! Sprays on ground without a crop in money: what leaving the green costs the crop to come, against the pass.

use serde::Serialize;
use stook_book::payload::UnitChoice;
use stook_measure::{Op, Reference, Working, figure};
use stook_spray::{SprayParams, green};

use crate::words;

/// What a pass on green gains and what a day's wait does, for a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreenMoney {
    /// Gained by spraying today over leaving it, money on the field; below zero it does not pay.
    pub gain: f64,
    /// Lost by waiting a day.
    pub wait_a_day: f64,
    /// Share of the field in thistle patches from which the pass pays, %; stubble only.
    pub pays_from_pct: Option<f64>,
    /// In a sentence or two.
    pub words: String,
    /// How it comes about.
    pub working: Working,
}

/// A field, its crop to come and what that is worth.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// Field name.
    pub name: &'a str,
    /// Area, ha.
    pub area_ha: f64,
    /// Yield the coming crop is expected to make, kg/ha.
    pub yield_kg_ha: f64,
    /// Price, money/kg.
    pub per_kg: f64,
    /// The farm's units.
    pub units: &'a UnitChoice,
    /// For the sources.
    pub reference: &'a Reference,
}

/// The sum, with what rounding of the lines leaves over as a line of its own.
fn summed(w: Working, label: &str, gain: f64) -> Working {
    let rest = gain.round() - w.by_hand().unwrap_or(0.0);
    let op = if rest < 0.0 { Op::Minus } else { Op::Plus };
    let w = if rest.abs() >= 0.5 { w.line(op, "Rounding of the lines", rest.abs(), "", 0) } else { w };
    w.sum(label, gain, "", 0)
}

fn sources(mut w: Working, r: &Reference, names: &[&str]) -> Working {
    for name in names {
        if let Some(k) = r.coefficient(name) {
            w = w.source(format!("{}: {} {}. {} ({})", k.note, k.value, k.unit, k.source, k.sure.words()));
        }
    }
    w
}

/// Burning off: `left_days` until the weed spray in the crop would take the green, `held_days` the label holds the drill
/// past the day the ground is fit, and what such a day costs.
pub fn burn_off(
    g: &Ground<'_>,
    left_days: f64,
    held_days: f64,
    held_per_day: Option<f64>,
    p: &SprayParams,
) -> GreenMoney {
    let u = g.units;
    let crop = g.yield_kg_ha * g.per_kg * g.area_ha;
    let share = green::burn_off_loss(left_days, p);
    let (saved, pass) = (share * crop, p.burnoff_per_ha * g.area_ha);
    let held = held_days * held_per_day.unwrap_or(0.0).max(0.0);
    let gain = saved - pass - held;
    // A day's growth costs its share for as long as the trial's days are not used up.
    let wait = green::burn_off_loss(1.0, p) * crop;
    let cash = |x: f64| words::cash(u, x);
    let mut words = if gain > 0.0 {
        format!(
            "burning off gains about {} over leaving the green to the spray in the crop; each day it grows on costs about {}",
            cash(gain),
            cash(wait)
        )
    } else {
        format!(
            "leaving the green costs about {}, the pass {}: it does not pay by itself",
            cash(saved),
            cash(pass)
        )
    };
    if held_days > 0.0 {
        words.push_str(&match held_per_day {
            Some(x) if x > 0.0 => format!(
                ". The label would hold the drill {} d, at about {} a day: counted",
                figure(held_days, 0),
                cash(x)
            ),
            _ => format!(
                ". The label would hold the drill {} d; that costs nothing clear today",
                figure(held_days, 0)
            ),
        });
    }
    let mut w = Working::new(format!("{}: burning off against leaving it", g.name))
        .line(Op::Start, "Yield the crop is expected to make", g.yield_kg_ha, "kg/ha", 0)
        .line(Op::Times, "Price", g.per_kg, "a kg", 4)
        .line(Op::Times, "Area", g.area_ha, "ha", 2)
        .line(Op::Times, "Share lost to green left until the spray in the crop", share, "", 4)
        .line(Op::Minus, "The pass", pass, "", 0);
    if held > 0.0 {
        w = w.line(Op::Minus, "Drill held back by the label", held, "", 0);
    }
    w = summed(w, "Gained by burning off", gain)
        .note(format!(
            "The green would stand about {} days longer; {} % was lost over three weeks in the trial, and no more than that is counted. The water it takes is in that figure. Few weeds cost less.",
            figure(left_days, 0),
            figure(100.0 * p.burnoff_gain_share, 0)
        ))
        .would_change("what stands there: walk it")
        .would_change("what the pass costs: enter spray.burnoff.cost_per_ha as your own number");
    let names = ["spray.burnoff.gain_share", "spray.burnoff.over_days", "spray.burnoff.cost_per_ha"];
    GreenMoney {
        gain,
        wait_a_day: wait,
        pays_from_pct: None,
        words,
        working: sources(w, g.reference, &names),
    }
}

/// Stubble with `leaf_days` of good leaf to come, `patches` of it (share) in thistle where that was told; `tonight` is the
/// chance that the leaf goes.
pub fn stubble(
    g: &Ground<'_>,
    leaf_days: f64,
    patches: Option<f64>,
    tonight: f64,
    kg_ha_per_mm: f64,
    p: &SprayParams,
) -> GreenMoney {
    let u = g.units;
    let t = patches.unwrap_or(0.0);
    let saved = green::stubble_saved(leaf_days, t, g.yield_kg_ha, kg_ha_per_mm, p);
    let money = |kg_ha: f64| kg_ha * g.per_kg * g.area_ha;
    let (water, thistle) = (money(saved.by_water_kg_ha), money(saved.by_thistle_kg_ha));
    let pass = p.stubble_per_ha * g.area_ha;
    let gain = water + thistle - pass;
    let pays_from = green::pays_from_patch_share(leaf_days, g.yield_kg_ha, kg_ha_per_mm, g.per_kg, p);
    let a_day = green::stubble_water_mm(leaf_days, p) - green::stubble_water_mm(leaf_days - 1.0, p);
    let wait = tonight * gain.max(0.0) + (1.0 - tonight) * money(a_day * kg_ha_per_mm);
    let cash = |x: f64| words::cash(u, x);
    let mut words = match patches {
        Some(t) if gain > 0.0 => format!(
            "with {} % of it in thistle the pass gains about {}; waiting a day costs about {}, most of it {}",
            figure(100.0 * t, 0),
            cash(gain),
            cash(wait),
            if tonight * gain > 0.5 * wait { "the chance of frost tonight" } else { "the water it drinks" }
        ),
        Some(t) => {
            format!("with {} % of it in thistle the pass loses about {}", figure(100.0 * t, 0), cash(-gain))
        }
        None => {
            format!("the water it would keep is worth about {}, the pass costs {}", cash(water), cash(pass))
        }
    };
    words.push_str(&match pays_from {
        Some(_) if patches.is_some() => String::new(),
        Some(s) if s <= 0.0 => ". The water alone pays for it".to_string(),
        Some(s) => format!(". It pays from about {} % of the field in thistle patches", figure(100.0 * s, 0)),
        None => ". At these prices it would not pay on thistle alone".to_string(),
    });
    let w = Working::new(format!("{}: spraying the stubble against leaving it", g.name))
        .line(Op::Start, "Water kept for the next crop", green::stubble_water_mm(leaf_days, p), "mm", 2)
        .line(Op::Times, "Grain a millimetre makes", kg_ha_per_mm, "kg/ha", 2)
        .line(Op::Plus, "Yield a spray saves in the thistle patches", saved.by_thistle_kg_ha, "kg/ha", 1)
        .line(Op::Times, "Price", g.per_kg, "a kg", 4)
        .line(Op::Times, "Area", g.area_ha, "ha", 2)
        .line(Op::Minus, "The pass", pass, "", 0);
    let w = summed(w, "Gained by spraying", gain)
        .note(format!(
            "{} days of good leaf to come. Reckoned as wheat of {} kg/ha next year. Mites and virus on volunteers, seed set and what thistle does the year after are not in it.",
            figure(leaf_days, 0),
            figure(g.yield_kg_ha, 0)
        ))
        .would_change("the share of the field in thistle patches: walk it")
        .would_change("what the pass costs: enter spray.stubble.cost_per_ha as your own number");
    let names = [
        "spray.stubble.water_mm_d",
        "spray.stubble.water_kept",
        "spray.stubble.patch_loss",
        "spray.stubble.patch_control",
        "spray.stubble.cost_per_ha",
    ];
    GreenMoney {
        gain,
        wait_a_day: wait,
        pays_from_pct: pays_from.map(|s| 100.0 * s),
        words,
        working: sources(w, g.reference, &names),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn workings_add_up_and_more_green_never_pays_less(
            days in 0.0..60.0f64, yield_kg in 500.0..6000.0f64, ha in 5.0..200.0f64,
            patch in 0.0..0.6f64, more in 0.0..0.3f64, tonight in 0.0..1.0f64, held in 0.0..5.0f64,
        ) {
            let (units, reference) = (UnitChoice::default(), Reference::shipped());
            let p = SprayParams::shipped();
            let g = Ground { name: "A", area_ha: ha, yield_kg_ha: yield_kg, per_kg: 0.276, units: &units, reference: &reference };
            let near = |w: &Working, gain: f64| w.adds_up(1.0) && (w.by_hand().unwrap() - gain).abs() <= 1.5;
            let b = burn_off(&g, days, held, Some(300.0), p);
            prop_assert!(near(&b.working, b.gain), "{:?}", b.working);
            prop_assert!(burn_off(&g, days + 1.0, held, Some(300.0), p).gain >= b.gain - 1e-9);
            prop_assert!(burn_off(&g, days, held + 1.0, Some(300.0), p).gain < b.gain);
            let s = stubble(&g, days, Some(patch), tonight, 11.0, p);
            prop_assert!(near(&s.working, s.gain), "{:?}", s.working);
            prop_assert!(stubble(&g, days, Some(patch + more), tonight, 11.0, p).gain >= s.gain - 1e-9);
            prop_assert!(s.wait_a_day >= 0.0);
            if let Some(from) = s.pays_from_pct && from > 0.0 {
                let at = stubble(&g, days, Some(from / 100.0), tonight, 11.0, p);
                prop_assert!(at.gain.abs() < 1e-6 * (1.0 + ha * yield_kg));
            }
        }
    }
}
