//! Grain to keep for the barn until new crop is fit to feed, at a chosen risk.

use jiff::civil::Date;
use serde::Serialize;
use stook_feed::Phase;
use stook_feed::ration::{self, Formulated, Safety};
use stook_measure::{Op, Range, Working, figure, normal_quantile, units};

use crate::offers;
use crate::rations::{self, Asked};
use crate::{Facts, demand};

/// What to hold of a crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hold {
    /// Crop.
    pub crop: String,
    /// Until.
    pub until: Date,
    /// Tonnes wanted.
    pub wanted_t: Range,
    /// Held back so that it lasts but for the chance accepted, t.
    pub hold_t: f64,
    /// Chance of running short that is accepted, %.
    pub short_pct: f64,
    /// In the bins, t.
    pub have_t: f64,
    /// Free to sell, t; less than nothing when it is short.
    pub free_t: f64,
    /// Pounds in a bushel.
    pub lb_per_bu: f64,
    /// How reckoned.
    pub working: Working,
}

impl Hold {
    /// Bushels of tonnes of this crop.
    pub fn bushels(&self, tonnes: f64) -> f64 {
        tonnes * units::bushels_per_tonne(self.lb_per_bu)
    }
}

/// The day new wheat is taken to be fit to feed: the next one.
pub fn harvest(f: &Facts<'_>) -> Date {
    let day = f.params.harvest_day as i16;
    let of = |year: i16| {
        Date::new(year, 1, 1).map_or(f.on, |d| d.saturating_add(jiff::Span::new().days(i64::from(day) - 1)))
    };
    let this = of(f.on.year());
    if this > f.on { this } else { of(f.on.year() + 1) }
}

/// The chance of running short that is accepted, %: the farm's own number, or one asked for here.
pub fn short_pct(f: &Facts<'_>, asked: Option<f64>) -> f64 {
    asked.unwrap_or_else(|| f.reference.get("barn.hold.short_chance_pct")).clamp(0.5, 50.0)
}

/// `9 years in 10`, `19 years in 20`.
pub fn enough_words(short_pct: f64) -> String {
    let n = (100.0 / short_pct).round();
    if (100.0 / n - short_pct).abs() < 0.05 * short_pct {
        format!("{} years in {}", figure(n - 1.0, 0), figure(n, 0))
    } else {
        format!("{} years in 100", figure(100.0 - short_pct, 0))
    }
}

/// By crop. The share of each crop in each phase is that of the least-cost ration today.
pub fn answer(f: &Facts<'_>, short: Option<f64>) -> Vec<Hold> {
    let short = short_pct(f, short);
    let z = normal_quantile(1.0 - short / 100.0);
    let until = harvest(f);
    let days = (until - f.on).get_days().max(0) as usize;
    let mut by_phase = demand::ByPhase::new();
    for d in demand::days(f, days) {
        for (p, kg) in d {
            *by_phase.entry(p).or_insert(0.0) += kg / 1000.0;
        }
    }
    let (lots, bought) = (offers::own_lots(f), offers::bought(f));
    let mut by_crop: Vec<(String, f64, Vec<(Phase, f64)>)> = Vec::new();
    for (phase, tonnes) in &by_phase {
        let (need, offers_) = rations::offers_for(f, &lots, &bought, *phase, Asked::default());
        let Ok(Formulated::Found(r)) = ration::formulate(&need, &offers_, Safety::default()) else {
            continue;
        };
        for part in &r.parts {
            let Some(lot) = lots.iter().find(|l| l.bin.as_str() == part.key) else { continue };
            let t = part.share * tonnes;
            let crop = match by_crop.iter_mut().position(|c| c.0 == lot.crop) {
                Some(i) => &mut by_crop[i],
                None => {
                    by_crop.push((lot.crop.clone(), 0.0, Vec::new()));
                    by_crop.last_mut().expect("just pushed")
                }
            };
            crop.1 += t;
            match crop.2.iter_mut().find(|x| x.0 == *phase) {
                Some(x) => x.1 += t,
                None => crop.2.push((*phase, t)),
            }
        }
    }
    by_crop
        .into_iter()
        .map(|(crop, wanted, phases)| {
            let range = demand::range(f, wanted);
            let hold_t = wanted * (1.0 + z * f.params.growth_spread);
            let have: f64 = lots.iter().filter(|l| l.crop == crop && l.never.is_none()).map(|l| l.tonnes).sum();
            let lb = units::lb_per_bushel(if crop.contains("wheat") { "wheat" } else { crop.as_str() }).unwrap_or(60.0);
            let mut w = Working::new(format!("{} to keep", crop.replace('_', " ")));
            for (phase, t) in &phases {
                w = w.line(Op::Plus, phase.words(), *t, "t", 1);
            }
            let w = w
                .line(Op::Plus, format!("kept in hand, enough {}", enough_words(short)), hold_t - wanted, "t", 1)
                .sum("Keep", hold_t, "t", 0)
                .note(format!("{days} days to {until}; feed by the growth curve, share of the crop by today's least-cost ration"))
                .source("NRC 2012 intake and gains; spread of groups is our judgement until close-outs say better");
            Hold { crop, until, wanted_t: range, hold_t, short_pct: short, have_t: have, free_t: have - hold_t, lb_per_bu: lb, working: w }
        })
        .collect()
}
