//! Hog manure: what the barn makes, what of it the crop gets, how much to spread and what a load is worth.

pub mod ammonia;
pub mod book;
pub mod nitrogen;
pub mod rate;
pub mod rules;
pub mod worth;

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

use crate::nutrients::Nutrients;
use crate::soil_test::form::{k_to_k2o, p_to_p2o5};

/// Coefficients `fertility.manure.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ManureParams {
    /// Share of organic nitrogen freed in the first, second and third year.
    pub organic: [f64; 3],
    /// The same, composted.
    pub composted: [f64; 3],
    /// Share of phosphorus of use in the first, second and third year.
    pub phosphorus: [f64; 3],
    /// Share of potassium of use in the first year.
    pub potassium: f64,
    /// Ammonium share of total nitrogen, only where the owner accepts a guess.
    pub ammonium_share: f64,
    /// Difference of two views worth showing, %.
    pub views_differ_pct: f64,
    /// Last day with a share kept.
    pub incorporation_days_max: f64,
}

impl ManureParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.manure.{what}"));
        let years = |what: &str| [1, 2, 3].map(|y| get(&format!("{what}_year_{y}")));
        Self {
            organic: years("organic"),
            composted: years("composted"),
            phosphorus: years("phosphorus"),
            potassium: get("potassium_year_1"),
            ammonium_share: get("ammonium_share"),
            views_differ_pct: get("views_differ_pct"),
            incorporation_days_max: get("incorporation_days_max"),
        }
    }
}

/// An analysis, in elements: kg/m3 for a liquid, kg/t for a solid. Give it in one or the other and keep to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Analysis {
    /// Total nitrogen.
    pub total_n: f64,
    /// Ammonium nitrogen, part of the total.
    pub ammonium_n: f64,
    /// Nitrate nitrogen, part of the total.
    pub nitrate_n: f64,
    /// Phosphorus.
    pub p: f64,
    /// Potassium.
    pub k: f64,
    /// Sulphur.
    pub s: f64,
}

/// What is wrong with an analysis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum AnalysisError {
    /// Parts larger than the whole.
    #[error(
        "ammonium and nitrate together are more than the total nitrogen; check the sheet, and whether it says total or Kjeldahl nitrogen"
    )]
    MoreThanTotal,
    /// A negative.
    #[error("an amount in the analysis is negative or not a number; check it")]
    Bad,
}

impl Analysis {
    /// Checks it.
    ///
    /// # Errors
    /// When a part is negative or the parts are more than the total.
    pub fn check(&self) -> Result<(), AnalysisError> {
        let all = [self.total_n, self.ammonium_n, self.nitrate_n, self.p, self.k, self.s];
        if all.iter().any(|x| !(x.is_finite() && *x >= 0.0)) {
            return Err(AnalysisError::Bad);
        }
        if self.ammonium_n + self.nitrate_n > self.total_n + 1e-9 {
            return Err(AnalysisError::MoreThanTotal);
        }
        Ok(())
    }

    /// Organic nitrogen: the rest.
    pub fn organic_n(&self) -> f64 {
        (self.total_n - self.ammonium_n - self.nitrate_n).max(0.0)
    }

    /// Everything in it, as fertilizer is counted: total N, P2O5, K2O, S.
    pub fn whole(&self) -> Nutrients {
        Nutrients::new(self.total_n, p_to_p2o5(self.p), k_to_k2o(self.k), self.s)
    }
}
