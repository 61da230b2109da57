//! Coefficients of the yard, read once.

use stook_book::payload::Weighed;
use stook_measure::Reference;

/// Coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct YardParams {
    sd_share: Vec<(Weighed, f64)>,
    /// Spread of a depth read at the wall, m.
    pub level_sd_m: f64,
    /// Share of a load out of a flat bin that comes evenly from all depths.
    pub core_share: f64,
    /// Slope from which a hopper empties first in, first out, degrees.
    pub mass_flow_slope_deg: f64,
    /// Outlet of a hopper that is not given, m.
    pub outlet_m: f64,
    /// Moisture where nothing is known, % wet basis.
    pub moisture_wb_pct: f64,
    /// Loss in handling, share of the weight.
    pub handling_shrink: f64,
}

impl YardParams {
    /// The shipped or local values.
    pub fn new(r: &Reference) -> Self {
        let sd_share = Weighed::ALL
            .iter()
            .map(|w| (*w, r.get(&format!("yard.weight.{}_sd", w.key())) / 100.0))
            .collect();
        Self {
            sd_share,
            level_sd_m: r.get("yard.weight.level_sd"),
            core_share: r.get("yard.draw.core_share"),
            mass_flow_slope_deg: r.get("yard.draw.mass_flow_slope"),
            outlet_m: r.get("yard.hopper.outlet"),
            moisture_wb_pct: r.get("yard.load.moisture"),
            handling_shrink: r.get("yard.handling_shrink") / 100.0,
        }
    }

    /// Spread (one standard deviation) of a weight, as a share of it.
    pub fn sd_share(&self, weighed: Weighed) -> f64 {
        self.sd_share.iter().find(|(w, _)| *w == weighed).map_or(0.05, |(_, sd)| *sd)
    }
}
