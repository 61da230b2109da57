//! Acres and hectares an hour.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

/// Field machines with a usual efficiency and speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Machine {
    /// Grain drill.
    Drill,
    /// Row planter.
    Planter,
    /// Boom sprayer.
    Sprayer,
    /// Fertilizer spreader.
    Spreader,
    /// Self-propelled combine.
    Combine,
    /// Self-propelled windrower.
    Windrower,
    /// Field cultivator, spring-tooth harrow.
    Cultivator,
    /// Tandem disk.
    TandemDisk,
    /// Chisel plow.
    ChiselPlow,
}

impl Machine {
    /// All, in the order of [`crate::HarvestParams::machines`].
    pub const ALL: [Self; 9] = [
        Self::Drill,
        Self::Planter,
        Self::Sprayer,
        Self::Spreader,
        Self::Combine,
        Self::Windrower,
        Self::Cultivator,
        Self::TandemDisk,
        Self::ChiselPlow,
    ];

    /// As named in the reference and in calculators.
    pub fn key(self) -> &'static str {
        KEYS[self as usize]
    }

    /// The machine with a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.key() == key)
    }
}

/// The keys of [`Machine::ALL`].
pub const KEYS: [&str; 9] = [
    "drill",
    "planter",
    "sprayer",
    "spreader",
    "combine",
    "windrower",
    "cultivator",
    "tandem_disk",
    "chisel_plow",
];

/// Usual efficiency and speed with their ranges: a warning band, not a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Typical {
    /// Share of field time at full width and speed.
    pub efficiency: f64,
    /// Its usual lowest and highest.
    pub efficiency_range: (f64, f64),
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Its usual lowest and highest, km/h.
    pub speed_range_kmh: (f64, f64),
}

impl Typical {
    /// Reads `harvest.machine.*` for all machines.
    ///
    /// # Panics
    /// When a machine is not in the reference.
    pub fn from_reference(r: &Reference) -> [Self; 9] {
        Machine::ALL.map(|m| {
            let of = |what: &str| {
                let name = format!("harvest.machine.{}_{what}", m.key());
                let c = r.coefficient(&name).unwrap_or_else(|| panic!("no {name} in reference/"));
                (c.value, (c.low.unwrap_or(c.value), c.high.unwrap_or(c.value)))
            };
            let ((efficiency, efficiency_range), (speed_kmh, speed_range_kmh)) =
                (of("efficiency"), of("speed_kmh"));
            Self { efficiency, efficiency_range, speed_kmh, speed_range_kmh }
        })
    }
}

/// Effective field capacity, ac/h: `width ft * speed mph * efficiency / 8.25`.
///
/// The working width counts, not the nominal one. Source: Iowa State Univ. AgDM A3-24 and PM 696; Srivastava et al.
/// 2006, ch. 15.
pub fn acres_per_hour(width_ft: f64, speed_mph: f64, efficiency: f64) -> f64 {
    width_ft * speed_mph * efficiency / 8.25
}

/// Effective field capacity, ha/h: `width m * speed km/h * efficiency / 10` (Srivastava et al. 2006, eq. 15.1).
pub fn hectares_per_hour(width_m: f64, speed_kmh: f64, efficiency: f64) -> f64 {
    width_m * speed_kmh * efficiency / 10.0
}

/// Material capacity, t/h, at a yield in t/ha (the same, eq. 15.2).
pub fn tonnes_per_hour(width_m: f64, speed_kmh: f64, efficiency: f64, yield_t_ha: f64) -> f64 {
    hectares_per_hour(width_m, speed_kmh, efficiency) * yield_t_ha
}

/// Hours for an area; area and capacity in the same unit.
pub fn hours_for(area: f64, capacity_per_h: f64) -> f64 {
    area / capacity_per_h
}

/// Efficiency from the farm's own records: area done in so many field hours against full width and speed.
pub fn efficiency_from_records(area_ha: f64, field_hours: f64, width_m: f64, speed_kmh: f64) -> f64 {
    area_ha / field_hours / hectares_per_hour(width_m, speed_kmh, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_measure::units::{ha_to_acre, kmh_to_mph, m_to_ft};

    proptest! {
        #[test]
        fn both_unit_forms_agree(width in 1.0..50.0f64, speed in 1.0..30.0f64, eff in 0.3..1.0f64) {
            let ha = hectares_per_hour(width, speed, eff);
            let ac = acres_per_hour(m_to_ft(width), kmh_to_mph(speed), eff);
            prop_assert!((ha_to_acre(ha) - ac).abs() < 1e-9 * ac);
        }

        #[test]
        fn records_give_the_efficiency_back(width in 1.0..50.0f64, speed in 1.0..30.0f64, eff in 0.3..1.0f64) {
            let area = 5.0 * hectares_per_hour(width, speed, eff);
            prop_assert!((efficiency_from_records(area, 5.0, width, speed) - eff).abs() < 1e-12);
        }
    }
}
