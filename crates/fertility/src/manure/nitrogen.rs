//! What of a manure's nitrogen, phosphorus and potassium the crop gets, by table.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::{Analysis, AnalysisError, ManureParams};
use crate::nutrients::Nutrients;
use crate::soil_test::form::{k_to_k2o, p_to_p2o5};
use crate::table;

const KEPT: &str = include_str!("../../../../reference/fertility-manure-retention.csv");
const WHOLE: &str = include_str!("../../../../reference/fertility-manure-whole-n.csv");

/// How manure is put on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Spread, and worked in after some days.
    Incorporated,
    /// Spread on bare soil and left. A liquid soaks in: counted as worked in within a day.
    LeftBare,
    /// Spread on residue, forage or a standing crop and left: a liquid is counted by the cover-crop row.
    LeftOnResidue,
    /// Solid manure spread and left.
    SolidLeft,
    /// Injected.
    Injected,
}

/// The weather of spreading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Conditions {
    /// Not known.
    Average,
    /// Cool and wet.
    CoolWet,
    /// Cool and dry.
    CoolDry,
    /// Warm and wet.
    WarmWet,
    /// Warm and dry.
    WarmDry,
}

impl Conditions {
    fn key(self) -> &'static str {
        match self {
            Self::Average => "average",
            Self::CoolWet => "cool_wet",
            Self::CoolDry => "cool_dry",
            Self::WarmWet => "warm_wet",
            Self::WarmDry => "warm_dry",
        }
    }
}

/// A cell of the table of ammonium kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// Way of spreading.
    pub strategy: String,
    /// Weather.
    pub conditions: String,
    /// Share kept, as used.
    pub kept: f64,
    /// As printed. Two cells print the loss instead.
    pub printed: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// Why used differs from printed.
    pub note: String,
}

impl Kept {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Kept>> =
            LazyLock::new(|| table::shipped("fertility-manure-retention.csv", KEPT));
        &ALL
    }

    /// A cell.
    pub fn of(strategy: &str, conditions: Conditions) -> Option<&'static Self> {
        Self::shipped().iter().find(|k| k.strategy == strategy && k.conditions == conditions.key())
    }
}

fn cell(strategy: &str, conditions: Conditions) -> f64 {
    Kept::of(strategy, conditions).expect("every way and weather has a cell; a test reads them all").kept
}

/// Share of the ammonium that stays in the soil. `days` until it is worked in counts only for
/// [`Method::Incorporated`]: within a day the one-day row, then in a straight line to the five-day row, and the row
/// for manure that is left after that.
///
/// Source: Alberta Nutrient Management Planning Guide 2007, Table 4.3.4 with notes 1 and 2, two cells corrected.
pub fn ammonium_kept(method: Method, days: f64, conditions: Conditions, p: &ManureParams) -> f64 {
    match method {
        Method::Injected => cell("injected", conditions),
        Method::LeftBare => cell("incorporated_1_day", conditions),
        Method::LeftOnResidue => cell("cover_crop", conditions),
        Method::SolidLeft => cell("not_incorporated", conditions),
        Method::Incorporated if days > p.incorporation_days_max => cell("not_incorporated", conditions),
        Method::Incorporated => {
            let (one, five) =
                (cell("incorporated_1_day", conditions), cell("incorporated_5_days", conditions));
            let share = ((days - 1.0) / (p.incorporation_days_max - 1.0)).clamp(0.0, 1.0);
            one + share * (five - one)
        }
    }
}

/// What the crop gets of one m3 or tonne, in fertilizer terms.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Available {
    /// This year.
    pub year_1: Nutrients,
    /// The year after.
    pub year_2: Nutrients,
    /// The year after that.
    pub year_3: Nutrients,
    /// Nitrogen lost to the air.
    pub n_lost_to_air: f64,
}

/// What the crop gets: a share of the organic nitrogen, the ammonium kept, and the nitrate.
///
/// Phosphorus and potassium by the shares of the guide; sulphur is left out of later years. The balance that a law
/// asks for counts all of the phosphorus: use [`Analysis::whole`] for it.
///
/// # Errors
/// When the analysis cannot be.
///
/// ```
/// use stook_fertility::FertilityParams;
/// use stook_fertility::manure::{Analysis, nitrogen::available};
/// let a = Analysis { total_n: 3.5, ammonium_n: 1.8, nitrate_n: 0.0, p: 0.3, k: 1.6, s: 0.0 };
/// let crop = available(&a, 0.75, false, &FertilityParams::shipped().manure).unwrap();
/// assert!((crop.year_1.n - 1.775).abs() < 1e-9);
/// ```
pub fn available(
    a: &Analysis,
    ammonium_kept: f64,
    composted: bool,
    p: &ManureParams,
) -> Result<Available, AnalysisError> {
    a.check()?;
    let freed = if composted { &p.composted } else { &p.organic };
    let (p2o5, k2o, organic) = (p_to_p2o5(a.p), k_to_k2o(a.k), a.organic_n());
    let year = |i: usize| Nutrients::new(freed[i] * organic, p.phosphorus[i] * p2o5, 0.0, 0.0);
    let mut year_1 = year(0);
    year_1.n += ammonium_kept * a.ammonium_n + a.nitrate_n;
    year_1.k2o = p.potassium * k2o;
    year_1.s = a.s;
    Ok(Available {
        year_1,
        year_2: year(1),
        year_3: year(2),
        n_lost_to_air: (1.0 - ammonium_kept) * a.ammonium_n,
    })
}

/// A share of the whole nitrogen, by method: the other published view.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WholeN {
    /// Key.
    pub method: String,
    /// In words.
    pub name: String,
    /// Available in the first year, % of the total.
    pub available_pct: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

impl WholeN {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<WholeN>> =
            LazyLock::new(|| table::shipped("fertility-manure-whole-n.csv", WHOLE));
        &ALL
    }

    /// One by its key.
    pub fn of(method: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|w| w.method == method)
    }

    /// The row that a method and a wait in hours amount to.
    ///
    /// # Panics
    /// When the shipped table lacks a row; a test asks for all.
    pub fn for_method(method: Method, hours: f64) -> &'static Self {
        let key = match method {
            Method::Injected => "injected_sweep",
            Method::Incorporated if hours <= 12.0 => "incorporated_12_h",
            Method::Incorporated if hours <= 96.0 => "incorporated_12_to_96_h",
            _ => "incorporated_after_96_h",
        };
        Self::of(key).expect("the shipped table has every method")
    }
}

/// By how much two views differ, % of their mean.
pub fn views_differ_pct(one: f64, other: f64) -> f64 {
    let mean = 0.5 * (one + other);
    if mean > 0.0 { 100.0 * (one - other).abs() / mean } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Conditions; 5] = [
        Conditions::Average,
        Conditions::CoolWet,
        Conditions::CoolDry,
        Conditions::WarmWet,
        Conditions::WarmDry,
    ];

    fn p() -> ManureParams {
        crate::FertilityParams::shipped().manure
    }

    #[test]
    fn every_printed_average_is_the_mean_of_its_row() {
        for strategy in
            ["incorporated_1_day", "incorporated_5_days", "not_incorporated", "injected", "cover_crop"]
        {
            let mean = ALL[1..].iter().map(|c| cell(strategy, *c)).sum::<f64>() / 4.0;
            assert!((mean - cell(strategy, Conditions::Average)).abs() <= 0.005, "{strategy}: {mean}");
        }
        let corrected: Vec<_> = Kept::shipped().iter().filter(|k| k.kept != k.printed).collect();
        assert_eq!(corrected.len(), 2);
        assert!(corrected.iter().all(|k| (k.kept + k.printed - 1.0).abs() < 1e-9 && !k.note.is_empty()));
    }

    #[test]
    fn every_method_has_a_whole_n_row() {
        assert_eq!(WholeN::for_method(Method::Incorporated, 12.0).available_pct, 75.0);
        assert_eq!(WholeN::for_method(Method::Incorporated, 48.0).available_pct, 55.0);
        assert_eq!(WholeN::for_method(Method::LeftBare, 0.0).available_pct, 35.0);
        assert_eq!(WholeN::for_method(Method::Injected, 0.0).available_pct, 80.0);
        assert!((views_differ_pct(80.0, 120.0) - 40.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn waiting_never_keeps_more(days in 0.0..8.0f64, more in 0.0..3.0f64) {
            for c in ALL {
                let kept = |d| ammonium_kept(Method::Incorporated, d, c, &p());
                prop_assert!(kept(days + more) <= kept(days));
                prop_assert!((0.0..=1.0).contains(&kept(days)));
            }
        }

        #[test]
        fn no_more_comes_out_than_was_in(
            total in 0.5..8.0f64, share in 0.0..1.0f64, ph in 0.1..2.0f64, k in 0.1..4.0f64, kept in 0.0..1.0f64,
        ) {
            let a = Analysis { total_n: total, ammonium_n: total * share, nitrate_n: 0.0, p: ph, k, s: 0.0 };
            for composted in [false, true] {
                let g = available(&a, kept, composted, &p()).unwrap();
                let n = g.year_1.n + g.year_2.n + g.year_3.n + g.n_lost_to_air;
                prop_assert!(n <= total + 1e-9);
                let p2o5 = g.year_1.p2o5 + g.year_2.p2o5 + g.year_3.p2o5;
                prop_assert!(p2o5 <= a.whole().p2o5 + 1e-9 && g.year_1.k2o <= a.whole().k2o + 1e-9);
                // all of the nitrogen is somewhere: with the crop, in the air or still in the soil
                let locked = a.organic_n() * (1.0 - if composted { p().composted } else { p().organic }.iter().sum::<f64>());
                prop_assert!((n + locked - total).abs() < 1e-9);
            }
        }
    }
}
