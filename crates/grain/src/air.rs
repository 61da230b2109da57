//! Pressure it takes to push air through grain.
//!
//! ASABE D272: dP/L = a Q^2 / ln(1 + b Q), for loose-fill clean dry grain, air going up, 0.0056 to 0.203 m/s
//! (1.1 to 40 cfm/ft2). Packing and fines raise it by up to half; very moist grain has about 80 % of it.

use stook_measure::Reference;

use crate::grain::Grain;

/// Pascals in an inch of water.
pub const PA_PER_IN_WATER: f64 = 249.1;
/// Cubic metres a second in a cubic foot a minute.
pub const M3_S_PER_CFM: f64 = 0.000_471_947_443_2;

/// Airflow for each volume of grain, m3/s per m3, from cubic feet a minute per volume bushel (US).
pub fn per_bushel_to_per_m3(cfm_bu: f64) -> f64 {
    cfm_bu * M3_S_PER_CFM / (stook_measure::units::L_PER_US_BUSHEL / 1000.0)
}

/// Cubic feet a minute per volume bushel (US) from m3/s per m3.
pub fn per_m3_to_per_bushel(per_s: f64) -> f64 {
    per_s / per_bushel_to_per_m3(1.0)
}

/// Resistance of one grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// a, Pa s2/m3.
    pub a: f64,
    /// b, s/m.
    pub b: f64,
    /// Multiplies the loose-fill pressure for packing and fines; 1.0 to 1.5.
    pub pack: f64,
}

/// Why there is no pressure drop.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AirError {
    /// No constants.
    #[error(
        "no airflow resistance of {0} could be confirmed, so none is offered; measure the pressure under the floor instead"
    )]
    NoGrain(&'static str),
}

impl Resistance {
    /// The shipped or local constants.
    ///
    /// # Errors
    /// For a grain without confirmed constants (peas).
    pub fn from_reference(r: &Reference, grain: Grain) -> Result<Self, AirError> {
        if grain == Grain::Peas {
            return Err(AirError::NoGrain(grain.words()));
        }
        let get = |what: &str| r.get(&format!("grain.air.{}.{what}", grain.family()));
        Ok(Self { a: get("a"), b: get("b"), pack: get("pack") })
    }

    /// The same with another pack factor.
    #[must_use]
    pub fn with_pack(self, pack: f64) -> Self {
        Self { pack, ..self }
    }

    /// Pressure drop of loose fill, Pa for each metre, at `q_m_s` m3/s for each m2 of floor.
    ///
    /// Near no flow it tends to a/b x Q, without the 0/0 of the written form.
    pub fn loose_pa_m(&self, q_m_s: f64) -> f64 {
        let x = self.b * q_m_s;
        if x.abs() < 1e-8 { self.a / self.b * q_m_s } else { self.a * q_m_s * q_m_s / x.ln_1p() }
    }

    /// Pressure drop of a bed `depth_m` deep, Pa, packing included.
    pub fn bed_pa(&self, q_m_s: f64, depth_m: f64) -> f64 {
        self.pack * self.loose_pa_m(q_m_s) * depth_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn peas_are_refused() {
        assert!(Resistance::from_reference(&Reference::shipped(), Grain::Peas).is_err());
    }

    proptest! {
        #[test]
        fn more_air_more_pressure(q in 0.0..0.3f64, dq in 1e-6..0.1f64) {
            let w = Resistance::from_reference(&Reference::shipped(), Grain::HardWheat).unwrap();
            prop_assert!(w.loose_pa_m(q + dq) > w.loose_pa_m(q));
            prop_assert!(w.loose_pa_m(q).is_finite());
        }
    }
}
