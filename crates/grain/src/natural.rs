//! Rules and one-line estimates for natural-air drying and for cooling fronts.

use stook_measure::Reference;

use crate::bed::{Air, BedGrain};
use crate::moist::volume_m3_kg;

/// Numbers behind the rules.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NaturalParams {
    /// Hours for a cooling front x cfm/bu, by rule.
    pub rule_hours: f64,
    /// Until the middle of the front leaves.
    pub mid_hours: f64,
    /// Until nine tenths are done.
    pub done_hours: f64,
    /// Share of the air's drying counted by the one-line estimate.
    pub front_efficiency: f64,
    /// Wettest wheat for natural air, % wet basis.
    pub wheat_max_pct: f64,
    /// Least airflow for it, cfm/bu.
    pub wheat_min_cfm_bu: f64,
    /// Deepest bed, m.
    pub deep_m: f64,
    /// Mean humidity above which a little heat is worth it, 0 to 1.
    pub heat_above_rh: f64,
    /// That heat, K.
    pub heat_k: f64,
    /// Grain warmer than outdoors by more than this lets moisture creep, K.
    pub outside_gap_k: f64,
}

impl NaturalParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            rule_hours: r.get("grain.cool.rule_hours"),
            mid_hours: r.get("grain.cool.mid_hours"),
            done_hours: r.get("grain.cool.done_hours"),
            front_efficiency: r.get("grain.dry.front_efficiency"),
            wheat_max_pct: r.get("grain.dry.wheat_max_pct"),
            wheat_min_cfm_bu: r.get("grain.dry.wheat_min_cfm_bu"),
            deep_m: r.get("grain.air.deep_wheat_m"),
            heat_above_rh: r.get("grain.dry.heat_above_rh"),
            heat_k: r.get("grain.dry.heat_k"),
            outside_gap_k: r.get("grain.cool.outside_gap_k"),
        }
    }

    /// Fan hours of one cooling front at an airflow in cfm/bu: middle leaves, rule, nine tenths done.
    pub fn front_hours(&self, cfm_bu: f64) -> [f64; 3] {
        [self.mid_hours / cfm_bu, self.rule_hours / cfm_bu, self.done_hours / cfm_bu]
    }

    /// One-line estimate of natural-air drying.
    pub fn estimate(&self, grain: &BedGrain, case: &Drying) -> Estimate {
        let m_dd = |wb: f64| wb / (100.0 - wb);
        let leaves = grain.landing(m_dd(case.from_pct), case.inlet, case.pressure_pa);
        let carries = (leaves.w - case.inlet.w).max(0.0);
        let water_kg_m3 = case.density_kg_m3 * (case.from_pct - case.to_pct) / (100.0 - case.to_pct);
        let air_kg_day_m3 =
            case.flow_per_s * 86_400.0 / volume_m3_kg(case.inlet.t_c, case.inlet.w, case.pressure_pa);
        let days = if carries > 0.0 {
            water_kg_m3 / (air_kg_day_m3 * carries) / self.front_efficiency
        } else {
            f64::INFINITY
        };
        Estimate { leaves_c: leaves.t_c, carries, water_kg_m3, air_kg_day_m3, days }
    }

    /// What stands against natural-air drying of wheat; empty when nothing does.
    pub fn wheat_objections(&self, m_pct: f64, cfm_bu: f64, depth_m: f64) -> Vec<String> {
        let mut out = Vec::new();
        if m_pct > self.wheat_max_pct {
            out.push(format!("{m_pct:.1} % is above {:.1} %: dry it with heat first", self.wheat_max_pct));
        }
        if cfm_bu < self.wheat_min_cfm_bu {
            out.push(format!(
                "{cfm_bu:.2} cfm/bu is below {:.2}: less depth or a bigger fan",
                self.wheat_min_cfm_bu
            ));
        }
        if depth_m > self.deep_m {
            out.push(format!("{depth_m:.1} m is deeper than {:.1} m", self.deep_m));
        }
        out
    }
}

/// A case for the one-line estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drying {
    /// Start, percent wet basis.
    pub from_pct: f64,
    /// End.
    pub to_pct: f64,
    /// Airflow, m3/s for each m3 of grain.
    pub flow_per_s: f64,
    /// Wet bulk density, kg/m3.
    pub density_kg_m3: f64,
    /// Air after fan and heater.
    pub inlet: Air,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
}

/// The estimate with its steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Temperature of the air as it leaves wet grain, C.
    pub leaves_c: f64,
    /// Water each kg of dry air takes along, kg.
    pub carries: f64,
    /// Water to go, kg for each m3 of grain.
    pub water_kg_m3: f64,
    /// Dry air a day, kg for each m3.
    pub air_kg_day_m3: f64,
    /// Days of fan.
    pub days: f64,
}
