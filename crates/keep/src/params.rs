//! Numbers behind keeping, from `reference/keep.csv` and the grain models' own.

use stook_grain::control::ControlParams;
use stook_grain::life::LifeParams;
use stook_grain::natural::NaturalParams;
use stook_grain::pests::PestParams;
use stook_grain::{EmcTable, FanParams};
use stook_measure::Reference;

/// All numbers of the crate.
#[derive(Debug, Clone)]
pub struct KeepParams {
    /// Layers of the bin as it is shown.
    pub layers: usize,
    /// Layers of the runs ahead.
    pub layers_ahead: usize,
    /// Days run ahead.
    pub horizon_days: usize,
    /// First hour of tonight.
    pub evening_h: u8,
    /// Likely true life over the tables'.
    pub median_share: f64,
    /// Spread of its logarithm.
    pub life_spread: f64,
    /// Heat conductivity of the grain, W/m K, and its rise for each percent of moisture.
    pub conductivity: (f64, f64),
    /// Airflow where the fan is not known, cfm/bu.
    pub unknown_cfm_bu: f64,
    /// Price of electricity, a kWh.
    pub kwh: f64,
    /// Price of propane, a litre.
    pub propane_l: f64,
    /// A buyer's discount for each tonne and point over straight grade.
    pub tough_t_point: f64,
    /// Moving a tonne out and back.
    pub handling_t: f64,
    /// Wheat the barn eats in a week, kg; nothing when not known.
    pub feed_kg_week: f64,
    /// Readings alike before a sensor is stuck.
    pub still_readings: usize,
    /// Days alike before a sensor is stuck.
    pub still_days: f64,
    /// Distance from its neighbours at which a reading is not used, C.
    pub far_c: f64,
    /// Days between walks: first two months, warm, winter, canola.
    pub walk_days: [f64; 4],
    /// Temperature to reach soon, C.
    pub soon_c: f64,
    /// Daily mean at which drying starts again in spring, C.
    pub restart_c: f64,
    /// Wet grain is held below this in winter, C.
    pub hold_below_c: f64,
    /// Share of weathers that must dry in time.
    pub sure_share: f64,
    /// Control of fans.
    pub control: ControlParams,
    /// Storage life.
    pub life: LifeParams,
    /// Fans.
    pub fan: FanParams,
    /// Rules of natural air and cooling.
    pub natural: NaturalParams,
    /// Insects and signs.
    pub pests: PestParams,
    /// Equilibrium moisture.
    pub emc: EmcTable,
    /// All coefficients, for the grain's own.
    pub reference: Reference,
}

impl KeepParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |name: &str| r.get(&format!("keep.{name}"));
        Self {
            layers: get("layers") as usize,
            layers_ahead: get("layers_ahead") as usize,
            horizon_days: get("horizon_days") as usize,
            evening_h: get("evening_h") as u8,
            median_share: get("life.median_share"),
            life_spread: get("life.spread"),
            conductivity: (get("wall.conductivity"), get("wall.conductivity_per_pct")),
            unknown_cfm_bu: get("air.unknown_cfm_bu"),
            kwh: get("price.kwh"),
            propane_l: get("price.propane_l"),
            tough_t_point: get("price.tough_t_point"),
            handling_t: get("price.handling_t"),
            feed_kg_week: get("feed_pace_kg_week"),
            still_readings: get("cable.still_readings") as usize,
            still_days: get("cable.still_days"),
            far_c: get("cable.far_c"),
            walk_days: ["first", "warm", "winter", "canola"].map(|w| get(&format!("walk.{w}_days"))),
            soon_c: get("cool.soon_c"),
            restart_c: get("spring.restart_c"),
            hold_below_c: get("spring.hold_below_c"),
            sure_share: get("race.sure_share"),
            control: ControlParams::from_reference(r),
            life: LifeParams::from_reference(r),
            fan: FanParams::from_reference(r),
            natural: NaturalParams::from_reference(r),
            pests: PestParams::from_reference(r),
            emc: EmcTable::from_reference(r),
            reference: r.clone(),
        }
    }

    /// Temperature to bring grain down to next, C, when its warmest is at `warmest_c`: first where insects stand still,
    /// then for winter.
    pub fn cool_to_c(&self, warmest_c: f64) -> f64 {
        if warmest_c > self.soon_c { self.soon_c } else { self.control.winter_c + self.control.stop_within_k }
    }

    /// Chance that a layer is out of condition, by the share of its tabled life that is spent: the true life is the
    /// tabled one times a factor about `median_share`, spread on a logarithm.
    pub fn chance_spoiled(&self, spent: f64) -> f64 {
        if spent <= 0.0 { 0.0 } else { normal_below((spent / self.median_share).ln() / self.life_spread) }
    }
}

/// Share of the normal law below `z` (Abramowitz and Stegun 26.2.17, within 7.5e-8).
fn normal_below(z: f64) -> f64 {
    const B: [f64; 5] = [0.319_381_530, -0.356_563_782, 1.781_477_937, -1.821_255_978, 1.330_274_429];
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let tail = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
        * B.iter().rev().fold(0.0, |sum, b| t * (b + sum));
    if z < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_coefficient_is_there_and_chance_rises() {
        let p = KeepParams::from_reference(&Reference::shipped());
        assert!(
            (normal_below(1.0) - 0.841_344_75).abs() < 1e-6 && (normal_below(-1.96) - 0.025).abs() < 1e-4
        );
        assert!((p.chance_spoiled(p.median_share) - 0.5).abs() < 1e-7);
        assert!((0..30).all(|i| {
            let s = f64::from(i) * 0.1;
            p.chance_spoiled(s + 0.1) >= p.chance_spoiled(s)
        }));
        assert_eq!(p.chance_spoiled(0.0), 0.0);
    }
}
