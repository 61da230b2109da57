//! Equilibrium moisture: the moisture grain settles at in air of a given temperature and humidity, both ways.
//!
//! Forms as in ASAE/ASABE D245. Valid from about 0 to 50 C and 20 to 90 % relative humidity; standard error 0.6 to
//! 1 point. The constants are mostly for drying grain: grain being rewetted settles 0.5 to 1.5 points lower.

use stook_measure::Reference;
use stook_measure::units::{moisture_db_to_wb_pct, moisture_wb_to_db_pct};

use crate::grain::Grain;

/// An equilibrium equation with its constants. Moisture inside is decimal, dry basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Isotherm {
    /// RH = 1 - exp(-K (T + C) Md^N), Md in percent dry basis.
    Henderson {
        /// K.
        k: f64,
        /// N.
        n: f64,
        /// C, degrees.
        c: f64,
    },
    /// RH = exp(-A / (T + C) exp(-B Mdd)), Mdd decimal dry basis.
    ChungPfost {
        /// A, degrees.
        a: f64,
        /// B, on decimal moisture.
        b: f64,
        /// C, degrees.
        c: f64,
    },
    /// RH = exp(-exp(A + B T) Md^-C), Md in percent dry basis.
    Halsey {
        /// A.
        a: f64,
        /// B, per degree.
        b: f64,
        /// C.
        c: f64,
    },
    /// Md = (A + B T) (RH / (1 - RH))^(1 / C), Md in percent dry basis.
    Oswin {
        /// A.
        a: f64,
        /// B, per degree.
        b: f64,
        /// C.
        c: f64,
    },
}

/// Lowest temperature at which an isotherm is evaluated: colder grain is treated as this cold.
pub const COLDEST_C: f64 = -30.0;
/// Highest humidity turned into a moisture: above it the equations run away.
pub const WETTEST_RH: f64 = 0.95;

impl Isotherm {
    /// Chung-Pfost from the form Mdd = E - F ln(-(T + C) ln RH).
    pub fn chung_pfost_ef(e: f64, f: f64, c: f64) -> Self {
        Self::ChungPfost { a: (e / f).exp(), b: 1.0 / f, c }
    }

    /// Relative humidity (0 to 1) of the air between kernels at `m_dd` (decimal dry basis) and `t_c`.
    pub fn rh(&self, m_dd: f64, t_c: f64) -> f64 {
        let t = t_c.max(COLDEST_C);
        let m = m_dd.max(1e-4);
        match *self {
            Self::Henderson { k, n, c } => -(-k * (t + c) * (100.0 * m).powf(n)).exp_m1(),
            Self::ChungPfost { a, b, c } => (-a / (t + c) * (-b * m).exp()).exp(),
            Self::Halsey { a, b, c } => (-(a + b * t).exp() * (100.0 * m).powf(-c)).exp(),
            Self::Oswin { a, b, c } => {
                let x = (100.0 * m / (a + b * t)).powf(c);
                x / (1.0 + x)
            }
        }
    }

    /// Moisture, decimal dry basis, in equilibrium with `rh` (0 to 1, held to 0.001 to 0.95) at `t_c`.
    pub fn m_dd(&self, rh: f64, t_c: f64) -> f64 {
        let t = t_c.max(COLDEST_C);
        let rh = rh.clamp(0.001, WETTEST_RH);
        match *self {
            Self::Henderson { k, n, c } => (-(-rh).ln_1p() / (k * (t + c))).powf(1.0 / n) / 100.0,
            Self::ChungPfost { a, b, c } => ((a / (t + c)) / -rh.ln()).ln() / b,
            Self::Halsey { a, b, c } => ((a + b * t).exp() / -rh.ln()).powf(1.0 / c) / 100.0,
            Self::Oswin { a, b, c } => (a + b * t) * (rh / (1.0 - rh)).powf(1.0 / c) / 100.0,
        }
    }

    /// d ln RH / dT at constant moisture, 1/K, in closed form.
    pub fn dlnrh_dt(&self, m_dd: f64, t_c: f64) -> f64 {
        let t = t_c.max(COLDEST_C);
        let m = m_dd.max(1e-4);
        match *self {
            Self::Henderson { k, n, c } => {
                let u = k * (100.0 * m).powf(n);
                let x = u * (t + c);
                u / x.exp_m1()
            }
            Self::ChungPfost { a, b, c } => a / (t + c).powi(2) * (-b * m).exp(),
            Self::Halsey { a, b, c } => -b * (a + b * t).exp() * (100.0 * m).powf(-c),
            Self::Oswin { a, b, c } => {
                let x = (100.0 * m / (a + b * t)).powf(c);
                -b * c / ((a + b * t) * (1.0 + x))
            }
        }
    }

    /// Heat to evaporate water out of the grain over the heat to evaporate free water, from the slope of the
    /// isotherm (Clausius-Clapeyron): 1 + Rv Tk^2 / L0 x d ln RH / dT, with L0 = 2501 - 2.36 T kJ/kg.
    pub fn heat_ratio(&self, m_dd: f64, t_c: f64) -> f64 {
        const RV_KJ_KG_K: f64 = 0.461_52;
        let tk = t_c + 273.15;
        1.0 + RV_KJ_KG_K * tk * tk / (2501.0 - 2.36 * t_c) * self.dlnrh_dt(m_dd, t_c)
    }
}

/// How far a set of constants can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Reproduces values printed by a public source.
    Confirmed,
    /// Remembered, not confirmed.
    FromMemory,
    /// A stand-in shifted to meet a single printed value.
    StandIn,
}

impl Status {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed against printed values",
            Self::FromMemory => "from memory, not confirmed",
            Self::StandIn => "a stand-in: it meets one printed value only",
        }
    }
}

/// Which equation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Modified Henderson: the recommended one where there are constants.
    Henderson,
    /// Modified Chung-Pfost.
    ChungPfost,
    /// Modified Chung-Pfost with the constants for hard red spring wheat.
    ChungPfostSpring,
    /// Modified Halsey.
    Halsey,
    /// Modified Oswin.
    Oswin,
}

/// Keys of the forms, for choices; `best` takes the recommended one of each grain.
pub const FORM_KEYS: [&str; 6] =
    ["best", "henderson", "chung_pfost", "chung_pfost_spring", "halsey", "oswin"];

impl Form {
    /// The key used in files and calls.
    pub fn key(self) -> &'static str {
        FORM_KEYS[self as usize + 1]
    }
}

/// One grain's constants with their standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EmcSet {
    /// Grain.
    pub grain: Grain,
    /// Equation.
    pub form: Form,
    /// Constants.
    pub isotherm: Isotherm,
    /// Standing.
    pub status: Status,
    /// Points of wet-basis moisture added to what the equation gives.
    pub offset_wb_pct: f64,
}

/// A moisture with its caveats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Emc {
    /// Percent of wet weight.
    pub m_wb_pct: f64,
    /// Whether the air is outside 0 to 50 C or 20 to 90 %.
    pub outside: bool,
}

impl EmcSet {
    /// Equilibrium moisture, percent wet basis, in air at `t_c` and `rh` (0 to 1).
    ///
    /// ```
    /// use stook_grain::{EmcTable, Grain};
    /// let table = EmcTable::from_reference(&stook_measure::Reference::shipped());
    /// let wheat = table.best(Grain::HardWheat).unwrap();
    /// assert!((wheat.emc(21.11, 0.60).m_wb_pct - 13.3).abs() < 0.1);
    /// ```
    pub fn emc(&self, t_c: f64, rh: f64) -> Emc {
        Emc {
            m_wb_pct: moisture_db_to_wb_pct(100.0 * self.isotherm.m_dd(rh, t_c)) + self.offset_wb_pct,
            outside: !(0.0..=50.0).contains(&t_c) || !(0.2..=0.9).contains(&rh),
        }
    }

    /// Relative humidity (0 to 1) between kernels at `m_wb_pct` percent wet basis and `t_c`.
    pub fn erh(&self, m_wb_pct: f64, t_c: f64) -> f64 {
        self.isotherm.rh(self.m_dd(m_wb_pct), t_c)
    }

    /// Decimal dry-basis moisture as the isotherm sees it: the offset taken off.
    pub fn m_dd(&self, m_wb_pct: f64) -> f64 {
        moisture_wb_to_db_pct((m_wb_pct - self.offset_wb_pct).max(0.1)) / 100.0
    }
}

/// Why there is no equilibrium moisture.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EmcError {
    /// No constants at all.
    #[error(
        "no equilibrium constants for {0} could be confirmed, so none are offered; use a moisture meter and the storage-life rules"
    )]
    NoGrain(&'static str),
    /// Not in this form.
    #[error("{0} has no constants in that form; choose \"best\"")]
    NoForm(&'static str),
}

/// All sets of constants.
#[derive(Debug, Clone, PartialEq)]
pub struct EmcTable {
    sets: Vec<EmcSet>,
    /// Points of moisture by which rewetted grain stays below the drying figure.
    pub hysteresis_points: f64,
    /// Standard error, points.
    pub standard_error_points: f64,
    /// Humidity between kernels at or below which mould does not grow, 0 to 1.
    pub safe_rh: f64,
}

impl EmcTable {
    /// The shipped or local constants.
    pub fn from_reference(r: &Reference) -> Self {
        use Form as F;
        use Grain as G;
        use Status::{Confirmed, FromMemory, StandIn};
        // In order of preference within each grain.
        const SETS: [(Grain, Form, Status); 19] = [
            (G::HardWheat, F::Henderson, Confirmed),
            (G::HardWheat, F::ChungPfostSpring, Confirmed),
            (G::HardWheat, F::ChungPfost, FromMemory),
            (G::HardWheat, F::Oswin, FromMemory),
            (G::SoftWheat, F::Henderson, Confirmed),
            (G::SoftWheat, F::ChungPfost, FromMemory),
            (G::Durum, F::Henderson, FromMemory),
            (G::Durum, F::ChungPfost, FromMemory),
            (G::Durum, F::Oswin, FromMemory),
            (G::Barley, F::Henderson, Confirmed),
            (G::Barley, F::ChungPfost, FromMemory),
            (G::Corn, F::Henderson, Confirmed),
            (G::Corn, F::ChungPfost, Confirmed),
            (G::Soybean, F::Henderson, Confirmed),
            (G::Soybean, F::Halsey, Confirmed),
            (G::Soybean, F::ChungPfost, Confirmed),
            (G::Oats, F::ChungPfost, FromMemory),
            (G::Oats, F::Oswin, FromMemory),
            (G::Canola, F::Halsey, StandIn),
        ];
        let mut sets: Vec<EmcSet> = Vec::with_capacity(SETS.len());
        for (grain, form, status) in SETS {
            let get = |c: &str| r.get(&format!("grain.emc.{}.{}.{c}", grain.key(), form.key()));
            let isotherm = match form {
                F::Henderson => Isotherm::Henderson { k: get("k"), n: get("n"), c: get("c") },
                F::ChungPfostSpring => Isotherm::ChungPfost { a: get("a"), b: get("b"), c: get("c") },
                F::ChungPfost if grain == G::Oats => {
                    Isotherm::ChungPfost { a: get("a"), b: get("b"), c: get("c") }
                }
                F::ChungPfost => Isotherm::chung_pfost_ef(get("e"), get("f"), get("c")),
                F::Halsey => Isotherm::Halsey { a: get("a"), b: get("b"), c: get("c") },
                F::Oswin => Isotherm::Oswin { a: get("a"), b: get("b"), c: get("c") },
            };
            let offset_wb_pct = if status == StandIn { get("offset") } else { 0.0 };
            sets.push(EmcSet { grain, form, isotherm, status, offset_wb_pct });
        }
        Self {
            sets,
            hysteresis_points: r.get("grain.emc.hysteresis_points"),
            standard_error_points: r.get("grain.emc.standard_error_points"),
            safe_rh: r.get("grain.emc.safe_rh"),
        }
    }

    /// All sets, the recommended one of each grain first.
    pub fn sets(&self) -> &[EmcSet] {
        &self.sets
    }

    /// The recommended set of a grain.
    ///
    /// # Errors
    /// When no constants could be confirmed for the grain.
    pub fn best(&self, grain: Grain) -> Result<&EmcSet, EmcError> {
        self.sets.iter().find(|s| s.grain == grain).ok_or(EmcError::NoGrain(grain.words()))
    }

    /// A grain's set in the form with this key; `best` for the recommended one.
    ///
    /// # Errors
    /// When there are no such constants.
    pub fn in_form(&self, grain: Grain, form_key: &str) -> Result<&EmcSet, EmcError> {
        let best = self.best(grain)?;
        if form_key == "best" {
            return Ok(best);
        }
        self.sets
            .iter()
            .find(|s| s.grain == grain && s.form.key() == form_key)
            .ok_or(EmcError::NoForm(grain.words()))
    }

    /// Wettest grain, percent wet basis, whose kernel air at `t_c` stays at the safe humidity.
    ///
    /// # Errors
    /// As [`EmcTable::best`].
    pub fn safe_moisture(&self, grain: Grain, t_c: f64) -> Result<f64, EmcError> {
        Ok(self.best(grain)?.emc(t_c, self.safe_rh).m_wb_pct)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn table() -> EmcTable {
        EmcTable::from_reference(&Reference::shipped())
    }

    #[test]
    fn no_constants_no_answer() {
        let e = table().best(Grain::Peas).unwrap_err().to_string();
        assert!(e.starts_with("no equilibrium constants for peas"), "{e}");
        assert!(table().in_form(Grain::Barley, "oswin").is_err());
    }

    #[test]
    fn slope_in_temperature_is_the_derivative() {
        for s in table().sets() {
            for (m, t) in [(0.12, 5.0), (0.18, 25.0)] {
                let h = 1e-4;
                let by_step = (s.isotherm.rh(m, t + h).ln() - s.isotherm.rh(m, t - h).ln()) / (2.0 * h);
                assert!((by_step - s.isotherm.dlnrh_dt(m, t)).abs() < 1e-7, "{s:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn there_and_back(i in 0usize..19, t in -20.0..50.0f64, rh in 0.05..0.94f64) {
            let t_all = table();
            let s = &t_all.sets()[i];
            let m = s.emc(t, rh).m_wb_pct;
            // Chung-Pfost gives a moisture below nothing in very dry air; there is no way back from there.
            prop_assume!(m > 1.0);
            prop_assert!((s.erh(m, t) - rh).abs() < 1e-9);
        }

        #[test]
        fn wetter_air_wetter_grain_warmer_air_drier_grain(
            i in 0usize..19, t in 0.0..45.0f64, rh in 0.2..0.85f64,
        ) {
            let t_all = table();
            let s = &t_all.sets()[i];
            prop_assert!(s.emc(t, rh + 0.05).m_wb_pct > s.emc(t, rh).m_wb_pct);
            prop_assert!(s.emc(t + 5.0, rh).m_wb_pct < s.emc(t, rh).m_wb_pct);
        }
    }
}
