//! Straw to bed pigs and goats until new straw, against what is on hand.

use jiff::civil::Date;
use serde::Serialize;
use stook_feed::growth;
use stook_measure::{Op, Working};

use crate::{Facts, herd, hold};

/// A weight at which pigs come onto straw where the group says nothing, kg.
const ONTO_STRAW_KG: f64 = 25.0;

/// Straw wanted and there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Straw {
    /// New straw is baled about then.
    pub until: Date,
    /// Wanted to then, kg.
    pub wanted_kg: f64,
    /// There now: as counted, with what was baled and less what was bedded since, kg; none when never counted.
    pub have_kg: Option<f64>,
    /// Weight of a bale, kg.
    pub bale_kg: f64,
    /// In a sentence.
    pub words: String,
    /// How reckoned.
    pub working: Working,
}

/// Straw of a usual round bale where none is counted, kg: a thousand pounds.
const BALE_KG: f64 = 453.592_37;

/// None when nothing is bedded.
pub fn answer(f: &Facts<'_>) -> Option<Straw> {
    let until = hold::harvest(f);
    let days = f64::from((until - f.on).get_days().max(0));
    let mut a_day = 0.0;
    let mut w = Working::new("Straw to new straw");
    for g in herd::today(f).iter().filter(|g| g.bedded) {
        let each = if g.pigs {
            // So much for each finished pig, over the days it stands on straw.
            f.params.bedding_kg_pig / growth::stretch(&f.params, ONTO_STRAW_KG, g.sold_at_kg).days.max(1.0)
        } else {
            f.params.goat_bedding_kg_d
        };
        a_day += f64::from(g.head) * each;
        w = w.line(
            Op::Plus,
            format!("{}, {} head at {} kg a day", g.name, g.head, stook_measure::figure(each, 2)),
            f64::from(g.head) * each * days,
            "kg",
            0,
        );
    }
    if a_day <= 0.0 {
        return None;
    }
    let wanted = a_day * days;
    let counted = f.farm.barn.straw.iter().rev().find(|s| s.on() <= f.on);
    let bale_kg = counted.map_or(BALE_KG, |s| s.is.bale_kg);
    let have = counted.map(|s| {
        let since = f64::from((f.on - s.on()).get_days().max(0));
        // Bales written down off a field since then came in.
        let baled: f64 = f
            .farm
            .fields
            .values()
            .flat_map(|r| &r.straw)
            .filter(|b| b.on() > s.on() && b.on() <= f.on)
            .map(|b| b.is.bales * b.is.bale_kg)
            .sum();
        (f64::from(s.is.bales) * s.is.bale_kg + baled - since * a_day).max(0.0)
    });
    let bales = |kg: f64| stook_measure::figure((kg / bale_kg).ceil(), 0);
    let words = match have {
        None => format!("Straw to new straw: {} bales. What is on hand is not written down.", bales(wanted)),
        Some(h) if h >= wanted => {
            format!("Straw lasts to new straw: {} bales wanted, {} there.", bales(wanted), bales(h))
        }
        Some(h) => format!(
            "Straw is {} bales short of new straw: {} wanted, {} there. It lasts about {} days.",
            bales(wanted - h),
            bales(wanted),
            bales(h),
            stook_measure::figure(h / a_day, 0)
        ),
    };
    let working = w
        .sum("Straw", wanted, "kg", 0)
        .note(format!("{} days to {until}; the groups stay as many as they are.", stook_measure::figure(days, 0)))
        .source("pigs: Iowa State, 200 lb a finished pig; goats 0.3 to 0.6 kg a day housed, from memory: reference/feed.csv")
        .would_change("weather: a wet cold winter takes more");
    Some(Straw { until, wanted_kg: wanted, have_kg: have, bale_kg, words, working })
}
