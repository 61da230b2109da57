//! Is the scale telling the truth, and is the screen right?

use jiff::civil::Date;
use serde::Serialize;
use stook_book::Fact;
use stook_feed::particle::{self, Particles};
use stook_measure::figure;

use crate::Facts;

/// A scale with its last check.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScaleToday {
    /// Mixer and scale in words.
    pub name: String,
    /// Day of the check.
    pub checked: Date,
    /// Read over put on, less one.
    pub bias: f64,
    /// In a sentence.
    pub words: String,
}

/// Every scale that was checked, latest of each.
pub fn scales(f: &Facts<'_>) -> Vec<ScaleToday> {
    let mut out: Vec<ScaleToday> = Vec::new();
    for c in f.farm.barn.scale_checks.iter().rev().filter(|c| c.on() <= f.on) {
        let mixer =
            f.farm.barn.mixers.get(&c.is.mixer).map_or_else(|| c.is.mixer.to_string(), |m| m.is.name.clone());
        let name = format!("{mixer}, {}", c.is.scale.words());
        if out.iter().any(|s| s.name == name) {
            continue;
        }
        let bias = c.is.read_kg / c.is.put_kg - 1.0;
        let due =
            if (f.on - c.on()).get_days() > 100 { " Check it again: three months have passed." } else { "" };
        let words = if bias.abs() <= f.params.scale_pass {
            format!("Reads {} % off: true enough.{due}", figure(100.0 * bias, 1))
        } else {
            format!(
                "Reads {} % {}: have it set before the next batch; every weight of it is off by that.{due}",
                figure(100.0 * bias.abs(), 1),
                if bias > 0.0 { "high" } else { "low" }
            )
        };
        out.push(ScaleToday { name, checked: c.on(), bias, words });
    }
    out
}

/// The grind with what it costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrindToday {
    /// What was ground.
    pub of: String,
    /// Day.
    pub sieved: Date,
    /// Sizes.
    pub particles: Particles,
    /// Feed lost a year by grinding too coarse, t.
    pub lost_t: f64,
    /// In a sentence.
    pub words: String,
}

/// Ground grain sieved last, of each kind.
pub fn grinds(f: &Facts<'_>) -> Vec<GrindToday> {
    let feed_t: f64 = crate::demand::weeks(f, 52).iter().map(|w| w.all_kg.p50).sum::<f64>() / 1000.0;
    let mut out: Vec<GrindToday> = Vec::new();
    for s in f.farm.barn.sieve_tests.iter().rev().filter(|s| s.on() <= f.on) {
        if out.iter().any(|x| x.of.eq_ignore_ascii_case(&s.is.of)) {
            continue;
        }
        let catches: Vec<(f64, f64)> = s.is.catches.iter().map(|c| (c.opening_um, c.g)).collect();
        let Some(p) = particle::geometric(&catches, s.is.pan_g) else { continue };
        let (aim, fine) = (f.params.grind_aim_um, f.params.grind_least_um);
        let lost = stook_feed::mixer::finer_saves(&f.params, p.mean_um, aim).max(0.0) * feed_t;
        let words = if p.mean_um < fine {
            format!(
                "{} um: finer than {} brings dust, bridging and ulcers; a coarser screen.",
                figure(p.mean_um, 0),
                figure(fine, 0)
            )
        } else if p.mean_um > aim + 100.0 {
            format!(
                "{} um against {} aimed at: about {} t of feed a year. Turn the hammers, look at the screen for holes, or go a size finer.",
                figure(p.mean_um, 0),
                figure(aim, 0),
                figure(lost, 0)
            )
        } else {
            format!("{} um: as it should be.", figure(p.mean_um, 0))
        };
        out.push(GrindToday { of: s.is.of.clone(), sieved: Fact::on(s), particles: p, lost_t: lost, words });
    }
    out
}
