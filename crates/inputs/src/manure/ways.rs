//! What the way of spreading does to the nitrogen: by the guide's table, and by the open equations of ammonia loss as a
//! second opinion.

use serde::Serialize;
use stook_book::payload::ManureMethod;
use stook_fertility::FertilityParams;
use stook_fertility::manure::ammonia::{self, Slurry, Spreading, Working, share_lost};
use stook_fertility::manure::nitrogen::{Conditions, ammonium_kept};

use super::gather::{self, Content};
use super::plan::{Job, Store};

/// Steady air after spreading, for the second opinion.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Air {
    /// Air, C.
    pub temperature_c: f64,
    /// Wind at 2 m, m/s.
    pub wind_2m_ms: f64,
}

impl Default for Air {
    /// The reference page's own comparison: 12 C and 3 m/s.
    fn default() -> Self {
        Self { temperature_c: 12.0, wind_2m_ms: 3.0 }
    }
}

/// What a way of spreading is worth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Way {
    /// In words.
    pub words: String,
    /// Share of the ammonium that stays, by the table.
    pub kept: f64,
    /// The same by the equations; none where they do not reach.
    pub kept_by_equations: Option<f64>,
    /// The two differ by more than is worth leaving unsaid.
    pub differ: bool,
    /// Nitrogen of use in a m3, kg.
    pub n_kg_m3: f64,
    /// Nitrogen in all the pit, money.
    pub n_money: f64,
    /// Less than injected, money over what is hauled.
    pub less_than_injected: f64,
}

/// Dry matter taken where no test has it, %: dilute hog slurry.
const DRY_MATTER_PCT: f64 = 3.0;
/// pH at which the equations were centred; a pit's sheet seldom has it.
const PH: f64 = 7.5;
/// A week, by when nearly all that goes has gone, h.
const HOURS: f64 = 168.0;

/// Ammonium kept by the equations.
fn by_equations(
    m: ManureMethod,
    days: Option<f64>,
    dry_matter_pct: f64,
    rate_t_ha: f64,
    air: Air,
) -> Option<f64> {
    let slurry = Slurry { dry_matter_pct, ph: PH, rate_t_ha, spreading: Spreading::Broadcast };
    let air = ammonia::Air { temperature_c: air.temperature_c, wind_2m_ms: air.wind_2m_ms, rain_mm_h: 0.0 };
    let worked = match m {
        ManureMethod::Injected => return None, // closed slots are outside its data
        ManureMethod::WorkedIn => Some((Working::Deep, 24.0 * days.unwrap_or(1.0))),
        ManureMethod::LeftBare | ManureMethod::LeftOnResidue => None,
    };
    Some(1.0 - share_lost(&slurry, &air, HOURS, worked))
}

/// The ways, over what is in the pits.
pub(super) fn ways(
    job: &Job,
    stores: &[(Store, Content)],
    rate_m3_ha: f64,
    air: Air,
    p: &FertilityParams,
) -> Vec<Way> {
    let all = [
        ("injected", ManureMethod::Injected, None),
        ("spread, worked in within a day", ManureMethod::WorkedIn, Some(1.0)),
        ("spread, worked in after 3 days", ManureMethod::WorkedIn, Some(3.0)),
        ("spread, worked in after 5 days", ManureMethod::WorkedIn, Some(5.0)),
        ("spread on stubble and left", ManureMethod::LeftOnResidue, None),
    ];
    let held: f64 = stores.iter().map(|s| s.0.held_m3).sum();
    let dry = stores.iter().find_map(|s| s.1.dry_matter_pct).unwrap_or(DRY_MATTER_PCT);
    let mut out: Vec<Way> = Vec::new();
    for (words, m, days) in all {
        let how = gather::method(m, days);
        let n: f64 = stores
            .iter()
            .filter_map(|(s, c)| Some(s.held_m3 * gather::of_use(&c.analysis, how, &p.manure).ok()?.n))
            .sum();
        let n_money = n * job.per_kg.n;
        let first = out.first().map_or(n_money, |w| w.n_money);
        let kept = ammonium_kept(how.0, how.1, Conditions::Average, &p.manure);
        // A m3 of slurry weighs about a tonne.
        let kept_by_equations = by_equations(m, days, dry, rate_m3_ha, air);
        out.push(Way {
            words: words.into(),
            kept,
            kept_by_equations,
            differ: kept_by_equations
                .is_some_and(|k| 100.0 * (k - kept).abs() > p.manure.views_differ_pct * kept.max(k)),
            n_kg_m3: n / held.max(1e-9),
            n_money,
            less_than_injected: first - n_money,
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pages_own_comparison() {
        // 3.5 % dry matter, 12 C, 3 m/s, broadcast on bare soil, a week: 28 % lost, beside 25 % in the table's one-day row.
        let kept = by_equations(ManureMethod::LeftBare, None, 3.5, 40.0, Air::default()).unwrap();
        assert!((1.0 - kept - 0.28).abs() < 0.01, "{kept}");
        let p = FertilityParams::shipped();
        let how = gather::method(ManureMethod::LeftBare, None);
        assert!((ammonium_kept(how.0, how.1, Conditions::Average, &p.manure) - 0.75).abs() < 1e-9);
        // sooner in, more kept; warmer and windier, less
        let at = |days, c, wind| {
            let air = Air { temperature_c: c, wind_2m_ms: wind };
            by_equations(ManureMethod::WorkedIn, Some(days), 3.0, 40.0, air).unwrap()
        };
        assert!(at(0.2, 12.0, 3.0) > at(1.0, 12.0, 3.0) && at(1.0, 12.0, 3.0) > at(5.0, 12.0, 3.0));
        assert!(at(1.0, 25.0, 6.0) < at(1.0, 12.0, 3.0));
        assert_eq!(by_equations(ManureMethod::Injected, None, 3.0, 40.0, Air::default()), None);
    }
}
