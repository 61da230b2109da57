//! Fans: the curve by points, where fan and bed meet, several fans, power, heat and vents.

use stook_measure::Reference;

/// One point of a fan curve.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Point {
    /// Static pressure, Pa.
    pub pa: f64,
    /// Airflow, m3/s.
    pub m3_s: f64,
}

/// A fan curve: straight pieces between points, flow falling as pressure rises. Never extended past its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve(Vec<Point>);

/// What can be wrong with a fan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FanError {
    /// Too few points.
    #[error(
        "a fan curve needs at least two points, from the maker's table or the plate: pressure and airflow"
    )]
    TooFew,
    /// Not falling.
    #[error("the fan curve must fall: at {0:.0} Pa the airflow does not come down; check that point")]
    NotFalling(f64),
    /// No fan.
    #[error("no fan is given for this bin; enter its curve by at least two points")]
    NoFan,
    /// No pressure or flow that all fans share.
    #[error("these fans cannot work together: their curves share no {0}")]
    NothingShared(&'static str),
    /// The bed is too much for it.
    #[error(
        "the fan cannot push this bed: it needs {needed_pa:.0} Pa where the curve ends at {shut_off_pa:.0} Pa; less depth or another fan"
    )]
    TooDeep {
        /// Pressure at the lowest flow of the curve.
        needed_pa: f64,
        /// Highest pressure of the curve.
        shut_off_pa: f64,
    },
    /// The bed is too little for it.
    #[error(
        "the bed holds back so little ({bed_pa:.0} Pa) that the fan runs off the end of its curve at {end_pa:.0} Pa; add a point at lower pressure"
    )]
    OffTheEnd {
        /// Pressure of the bed at the highest flow of the curve.
        bed_pa: f64,
        /// Lowest pressure of the curve.
        end_pa: f64,
    },
}

/// Where fan and bed meet.
pub type Operating = Point;

impl Curve {
    /// A curve from points in any order.
    ///
    /// # Errors
    /// With fewer than two points, or when airflow does not fall as pressure rises.
    pub fn new(points: &[Point]) -> Result<Self, FanError> {
        let mut p = points.to_vec();
        p.sort_by(|x, y| x.pa.total_cmp(&y.pa));
        if p.len() < 2 {
            return Err(FanError::TooFew);
        }
        if let Some(w) = p.windows(2).find(|w| w[1].m3_s >= w[0].m3_s || w[1].pa <= w[0].pa) {
            return Err(FanError::NotFalling(w[1].pa));
        }
        Ok(Self(p))
    }

    /// The points, from low pressure to high.
    pub fn points(&self) -> &[Point] {
        &self.0
    }

    /// Highest flow and its pressure.
    fn open(&self) -> Point {
        self.0[0]
    }

    /// Highest pressure and its flow.
    fn shut(&self) -> Point {
        self.0[self.0.len() - 1]
    }

    /// Airflow at a pressure; `None` beyond the ends.
    pub fn flow(&self, pa: f64) -> Option<f64> {
        let w = self.0.windows(2).find(|w| (w[0].pa..=w[1].pa).contains(&pa))?;
        Some(w[0].m3_s + (pa - w[0].pa) / (w[1].pa - w[0].pa) * (w[1].m3_s - w[0].m3_s))
    }

    /// Pressure at an airflow; `None` beyond the ends.
    pub fn pressure(&self, m3_s: f64) -> Option<f64> {
        let w = self.0.windows(2).find(|w| (w[1].m3_s..=w[0].m3_s).contains(&m3_s))?;
        Some(w[0].pa + (m3_s - w[0].m3_s) / (w[1].m3_s - w[0].m3_s) * (w[1].pa - w[0].pa))
    }

    /// Fans side by side: flows add at equal pressure. Exact, since sums of straight pieces are straight pieces.
    ///
    /// # Errors
    /// With no fans, or curves that share no pressure.
    pub fn parallel(fans: &[Self]) -> Result<Self, FanError> {
        Self::combine(fans, |p| p.pa, Self::flow, |pa, m3_s| Point { pa, m3_s }, "pressure")
    }

    /// Fans one behind another: pressures add at equal flow.
    ///
    /// # Errors
    /// With no fans, or curves that share no airflow.
    pub fn series(fans: &[Self]) -> Result<Self, FanError> {
        Self::combine(fans, |p| p.m3_s, Self::pressure, |m3_s, pa| Point { pa, m3_s }, "airflow")
    }

    fn combine(
        fans: &[Self],
        common: fn(&Point) -> f64,
        other: fn(&Self, f64) -> Option<f64>,
        point: fn(f64, f64) -> Point,
        what: &'static str,
    ) -> Result<Self, FanError> {
        if fans.is_empty() {
            return Err(FanError::NoFan);
        }
        let mut at: Vec<f64> = fans.iter().flat_map(|f| f.0.iter().map(common)).collect();
        at.sort_by(f64::total_cmp);
        at.dedup();
        let points: Vec<Point> = at
            .into_iter()
            .filter_map(|x| fans.iter().map(|f| other(f, x)).sum::<Option<f64>>().map(|sum| point(x, sum)))
            .collect();
        Self::new(&points).map_err(|_| FanError::NothingShared(what))
    }

    /// Where the fan meets a bed whose pressure at a flow (m3/s) is `bed_pa`, which must rise with flow.
    ///
    /// # Errors
    /// When they do not meet within the curve.
    pub fn meet(&self, bed_pa: impl Fn(f64) -> f64) -> Result<Operating, FanError> {
        let (shut, open) = (self.shut(), self.open());
        if bed_pa(shut.m3_s) > shut.pa {
            return Err(FanError::TooDeep { needed_pa: bed_pa(shut.m3_s), shut_off_pa: shut.pa });
        }
        if bed_pa(open.m3_s) < open.pa {
            return Err(FanError::OffTheEnd { bed_pa: bed_pa(open.m3_s), end_pa: open.pa });
        }
        let (mut low, mut high) = (shut.m3_s, open.m3_s);
        for _ in 0..60 {
            let mid = f64::midpoint(low, high);
            if bed_pa(mid) > self.pressure(mid).unwrap_or(f64::NEG_INFINITY) {
                high = mid;
            } else {
                low = mid;
            }
        }
        Ok(Point { pa: bed_pa(low), m3_s: low })
    }
}

/// Defaults for fans.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FanParams {
    /// Air power over shaft power.
    pub efficiency: f64,
    /// Shaft power over power drawn.
    pub motor_efficiency: f64,
    /// Pressure above which an axial fan is likely to stall, Pa.
    pub axial_stall_pa: f64,
    /// Vent opening, m2 for each m3/s.
    pub vent_m2_per_m3_s: f64,
    /// Lost in ducts and floor, Pa.
    pub duct_pa: f64,
}

impl FanParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            efficiency: r.get("grain.fan.efficiency"),
            motor_efficiency: r.get("grain.fan.motor_efficiency"),
            axial_stall_pa: r.get("grain.fan.axial_stall_pa"),
            vent_m2_per_m3_s: r.get("grain.fan.vent_m2_per_m3_s"),
            duct_pa: r.get("grain.air.duct_pa"),
        }
    }
}

/// Shaft power, kW: flow x pressure / efficiency.
pub fn shaft_kw(at: Operating, efficiency: f64) -> f64 {
    at.m3_s * at.pa / 1000.0 / efficiency
}

/// Warming of the air by a fan before the bed, K: all shaft power ends as heat.
///
/// `rho_kg_m3` is the density of the air, about 1.2. None of it reaches the grain when the fan sucks.
pub fn warming_k(pa: f64, efficiency: f64, rho_kg_m3: f64) -> f64 {
    const CP_J_KG_K: f64 = 1006.0;
    pa / (rho_kg_m3 * CP_J_KG_K * efficiency)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn curve(p: &[(f64, f64)]) -> Curve {
        Curve::new(&p.iter().map(|&(pa, m3_s)| Point { pa, m3_s }).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn faults_are_named() {
        let p = |pa, m3_s| Point { pa, m3_s };
        assert_eq!(Curve::new(&[p(0.0, 1.0)]), Err(FanError::TooFew));
        assert_eq!(Curve::new(&[p(0.0, 1.0), p(500.0, 2.0)]), Err(FanError::NotFalling(500.0)));
        let c = curve(&[(0.0, 6.0), (1500.0, 2.0)]);
        assert!(matches!(c.meet(|_| 2000.0), Err(FanError::TooDeep { .. })));
        let high = curve(&[(500.0, 6.0), (1500.0, 2.0)]);
        assert!(matches!(high.meet(|_| 100.0), Err(FanError::OffTheEnd { .. })));
        assert_eq!(Curve::parallel(&[]), Err(FanError::NoFan));
        let low = curve(&[(0.0, 2.0), (400.0, 1.0)]);
        assert!(matches!(Curve::parallel(&[low, high]), Err(FanError::NothingShared("pressure"))));
    }

    #[test]
    fn two_equal_fans_double() {
        let c = curve(&[(0.0, 6.0), (500.0, 5.5), (1500.0, 2.0)]);
        let side = Curve::parallel(&[c.clone(), c.clone()]).unwrap();
        let row = Curve::series(&[c.clone(), c.clone()]).unwrap();
        assert!((side.flow(800.0).unwrap() - 2.0 * c.flow(800.0).unwrap()).abs() < 1e-9);
        assert!((row.pressure(3.0).unwrap() - 2.0 * c.pressure(3.0).unwrap()).abs() < 1e-9);
        // Two fans on one bed never give twice the air.
        let bed = |q: f64| 40.0 * q * q;
        let (one, two) = (c.meet(bed).unwrap(), side.meet(bed).unwrap());
        assert!(two.m3_s > one.m3_s && two.m3_s < 2.0 * one.m3_s);
    }

    proptest! {
        #[test]
        fn they_meet_on_both_curves(k in 20.0..300.0f64, flat in 0.0..200.0f64) {
            let c = curve(&[(0.0, 5.9), (498.2, 5.43), (996.4, 4.81), (1494.6, 3.92), (1992.8, 2.45)]);
            let bed = |q: f64| flat + k * q;
            if let Ok(at) = c.meet(bed) {
                prop_assert!((c.pressure(at.m3_s).unwrap() - at.pa).abs() < 1e-6);
                prop_assert!((bed(at.m3_s) - at.pa).abs() < 1e-9);
            }
        }
    }
}
