//! A bin as this crate reckons it: its grain, its floor, its fan.

use stook_grain::air::{AirError, Resistance, per_bushel_to_per_m3, per_m3_to_per_bushel};
use stook_grain::bed::BedGrain;
use stook_grain::fan::{Curve, FanError, shaft_kw, warming_k};
use stook_grain::{EmcError, EmcSet, Grain, Point, Properties};

use crate::params::KeepParams;

/// What pushes the air.
#[derive(Debug, Clone, PartialEq)]
pub struct Fan {
    /// Its curve, where it is known.
    pub curve: Option<Curve>,
    /// Power of its motor, kW, where it is known.
    pub power_kw: Option<f64>,
    /// Whether it blows up through the grain; one that sucks does not warm it.
    pub blows: bool,
}

/// A bin with its grain.
#[derive(Debug, Clone)]
pub struct Case {
    /// Grain.
    pub grain: Grain,
    /// Equilibrium constants.
    pub emc: EmcSet,
    /// Grain as a bed.
    pub bed_grain: BedGrain,
    /// Resistance to air.
    pub resistance: Option<Resistance>,
    /// Floor, m2.
    pub area_m2: f64,
    /// Radius, m.
    pub radius_m: f64,
    /// Weight of the grain as it lies, kg/m3.
    pub kg_m3: f64,
    /// Fan, if there is one.
    pub fan: Option<Fan>,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Dry enough to keep through winter, % wet basis.
    pub keep_pct: f64,
    /// Driest that the buyer pays for: straight grade up to here, % wet basis.
    pub market_pct: f64,
}

/// What the fan does at a depth of grain.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Push {
    /// Airflow, m3/s for each m2 of floor.
    pub flow_m3_s_m2: f64,
    /// Airflow for each US volume bushel, cfm.
    pub cfm_bu: f64,
    /// Static pressure, Pa.
    pub pa: f64,
    /// Warming of the air before the grain, K.
    pub rise_k: f64,
    /// Power drawn, kW for the whole fan.
    pub kw: f64,
    /// How it is known.
    pub by: PushBy,
}

/// How the airflow is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PushBy {
    /// The fan's curve meets the bed.
    Curve,
    /// The motor's power at the usual efficiency.
    Power,
    /// Nothing is known of the fan: the least airflow for cooling.
    Taken,
}

/// Why there is no air.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoAir {
    /// No fan.
    #[error("this bin has no fan in the book")]
    NoFan,
    /// The fan cannot.
    #[error("{0}")]
    Fan(#[from] FanError),
    /// The grain.
    #[error("{0}")]
    Grain(#[from] AirError),
    /// Nothing in it.
    #[error("there is no grain in it to push air through")]
    Empty,
}

/// Weight of an imaginary bin wall: what a case is made from.
#[derive(Debug, Clone)]
pub struct CaseOf {
    /// Grain.
    pub grain: Grain,
    /// Inside diameter, m.
    pub diameter_m: f64,
    /// Weight of the grain as it lies, kg/m3.
    pub kg_m3: f64,
    /// Fan.
    pub fan: Option<Fan>,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Straight grade up to here, % wet basis, where it is known.
    pub market_pct: Option<f64>,
}

impl Case {
    /// From what the book says of a bin.
    ///
    /// # Errors
    /// For a grain without equilibrium constants (peas): nothing can be reckoned.
    pub fn new(p: &KeepParams, of: CaseOf) -> Result<Self, EmcError> {
        let emc = *p.emc.best(of.grain)?;
        let properties = Properties::from_reference(&p.reference, of.grain);
        let family = |what: &str| {
            p.reference.coefficient(&format!("grain.life.{}.{what}", of.grain.family())).map(|c| c.value)
        };
        let safe = emc.emc(15.0, p.emc.safe_rh).m_wb_pct;
        let keep_pct = family("winter_moisture").unwrap_or(safe);
        Ok(Self {
            grain: of.grain,
            emc,
            bed_grain: BedGrain::new(&emc, &properties),
            resistance: Resistance::from_reference(&p.reference, of.grain).ok(),
            area_m2: std::f64::consts::PI * of.diameter_m * of.diameter_m / 4.0,
            radius_m: of.diameter_m / 2.0,
            kg_m3: of.kg_m3,
            fan: of.fan,
            pressure_pa: of.pressure_pa,
            keep_pct,
            market_pct: of.market_pct.unwrap_or(keep_pct),
        })
    }

    /// Dry matter in a cubic metre as it lies, kg, at a moisture.
    pub fn dry_kg_m3(&self, m_wb_pct: f64) -> f64 {
        self.kg_m3 * (1.0 - m_wb_pct / 100.0)
    }

    /// Depth, m, of `kg_m2` of wet grain.
    pub fn depth_m(&self, kg_m2: f64) -> f64 {
        kg_m2 / self.kg_m3
    }

    /// What the fan does with `depth_m` of grain on the floor.
    ///
    /// # Errors
    /// When there is no fan, no grain, or the two do not meet.
    pub fn push(&self, p: &KeepParams, depth_m: f64) -> Result<Push, NoAir> {
        let fan = self.fan.as_ref().ok_or(NoAir::NoFan)?;
        if depth_m <= 0.01 {
            return Err(NoAir::Empty);
        }
        let volume_m3 = self.area_m2 * depth_m;
        let taken = |by: PushBy, m3_s: f64, pa: f64, kw: Option<f64>| {
            let shaft = shaft_kw(Point { pa, m3_s }, p.fan.efficiency);
            Push {
                flow_m3_s_m2: m3_s / self.area_m2,
                cfm_bu: per_m3_to_per_bushel(m3_s / volume_m3),
                pa,
                rise_k: if fan.blows { warming_k(pa, p.fan.efficiency, 1.2) } else { 0.0 },
                kw: kw.unwrap_or(shaft / p.fan.motor_efficiency),
                by,
            }
        };
        let Some(r) = self.resistance else {
            return Err(NoAir::Grain(
                Resistance::from_reference(&p.reference, self.grain)
                    .err()
                    .unwrap_or(AirError::NoGrain(self.grain.words())),
            ));
        };
        let bed = |m3_s: f64| r.bed_pa(m3_s / self.area_m2, depth_m) + p.fan.duct_pa;
        if let Some(curve) = &fan.curve {
            let at = curve.meet(bed)?;
            return Ok(taken(
                PushBy::Curve,
                at.m3_s,
                at.pa,
                fan.power_kw.map(|k| k.min(shaft_kw(at, p.fan.efficiency) / p.fan.motor_efficiency)),
            ));
        }
        if let Some(kw) = fan.power_kw {
            // Flow at which flow x pressure takes what the shaft gives.
            let gives = 1000.0 * kw * p.fan.efficiency;
            let (mut low, mut high) = (0.0, 100.0 * self.area_m2);
            for _ in 0..60 {
                let mid = f64::midpoint(low, high);
                if mid * bed(mid) > gives { high = mid } else { low = mid }
            }
            return Ok(taken(PushBy::Power, low, bed(low), Some(kw / p.fan.motor_efficiency)));
        }
        let m3_s = per_bushel_to_per_m3(p.unknown_cfm_bu) * volume_m3;
        Ok(taken(PushBy::Taken, m3_s, bed(m3_s), None))
    }

    /// Share of the gap to outdoors by which layers move in a day, fan off: the first mode of a cylinder's heat.
    pub fn creep_a_day(&self, p: &KeepParams, m_wb_pct: f64) -> f64 {
        // First root of the Bessel function J0, squared.
        const MODE: f64 = 5.783;
        let k = p.conductivity.0 + p.conductivity.1 * m_wb_pct;
        let properties = Properties::from_reference(&p.reference, self.grain);
        let heat = 1000.0 * self.kg_m3 * properties.heat_kj_kg_k(m_wb_pct);
        let rate = MODE * k / heat / (self.radius_m * self.radius_m) * 86_400.0;
        1.0 - (-rate).exp()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use stook_measure::Reference;

    pub(crate) fn params() -> KeepParams {
        KeepParams::from_reference(&Reference::shipped())
    }

    pub(crate) fn curve() -> Curve {
        let cfm = 0.000_471_947_443_2;
        let points: Vec<Point> =
            [(0.0, 12_500.0), (498.2, 11_500.0), (996.4, 10_200.0), (1494.6, 8_300.0), (1992.8, 5_200.0)]
                .iter()
                .map(|(pa, q)| Point { pa: *pa, m3_s: q * cfm })
                .collect();
        Curve::new(&points).unwrap()
    }

    pub(crate) fn case(fan: Option<Fan>) -> Case {
        Case::new(
            &params(),
            CaseOf {
                grain: Grain::HardWheat,
                diameter_m: 8.2296,
                kg_m3: 795.0,
                fan,
                pressure_pa: 95_000.0,
                market_pct: Some(14.5),
            },
        )
        .unwrap()
    }

    #[test]
    fn air_is_known_by_curve_by_power_or_taken_and_said_so() {
        let p = params();
        let by =
            |curve, power_kw, blows| case(Some(Fan { curve, power_kw, blows })).push(&p, 4.8768).unwrap();
        let c = by(Some(curve()), None, true);
        assert_eq!(c.by, PushBy::Curve);
        assert!((0.9..1.02).contains(&c.cfm_bu) && c.rise_k > 2.0, "{c:?}");
        let w = by(None, Some(11.0), false);
        assert_eq!((w.by, w.rise_k), (PushBy::Power, 0.0));
        assert!((0.5..1.5).contains(&w.cfm_bu), "{w:?}");
        let t = by(None, None, true);
        assert_eq!(t.by, PushBy::Taken);
        assert!((t.cfm_bu - 0.1).abs() < 1e-9);
        assert_eq!(case(None).push(&p, 4.0), Err(NoAir::NoFan));
        let deep =
            case(Some(Fan { curve: Some(curve()), power_kw: None, blows: true })).push(&p, 30.0).unwrap_err();
        assert!(deep.to_string().contains("cannot push"), "{deep}");
    }

    #[test]
    fn walls_leak_slowly_and_more_in_a_small_bin() {
        let p = params();
        let big = case(None);
        let mut small = case(None);
        small.radius_m /= 2.0;
        let (a, b) = (big.creep_a_day(&p, 14.0), small.creep_a_day(&p, 14.0));
        assert!((0.001..0.006).contains(&a) && (b / a - 4.0).abs() < 0.1, "{a} {b}");
    }
}
