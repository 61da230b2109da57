//! How much manure to spread: by nitrogen, by phosphate and by potash, and which one binds.

use serde::{Deserialize, Serialize};

use crate::nutrients::Nutrients;

/// The limit that sets a rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Binds {
    /// Available nitrogen meets the need.
    Nitrogen,
    /// All of the phosphate equals what is allowed.
    Phosphate,
    /// Available potash meets the target.
    Potash,
    /// A rule forbids manure.
    Forbidden,
}

/// Targets and contents. A content is of one m3 or tonne; rates come out in the same, an ha.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Available to the crop this year, kg.
    pub available: Nutrients,
    /// All that is in it, kg.
    pub whole: Nutrients,
    /// Nitrogen wanted after credits, kg/ha.
    pub n_kg_ha: f64,
    /// Most phosphate allowed or wished, kg/ha, all of it counted; `None` for no limit.
    pub p2o5_max_kg_ha: Option<f64>,
    /// Potash wanted, kg/ha; `None` when potash is no limit.
    pub k2o_kg_ha: Option<f64>,
}

/// The rates, a hectare.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rates {
    /// By nitrogen.
    pub by_n: Option<f64>,
    /// By phosphate.
    pub by_p: Option<f64>,
    /// By potash.
    pub by_k: Option<f64>,
    /// The one to use: the lowest.
    pub rate: f64,
    /// What set it.
    pub binds: Binds,
    /// Available to the crop at that rate, kg/ha.
    pub supplied_kg_ha: Nutrients,
    /// All that is put on at that rate, kg/ha: what the balance of the field counts.
    pub applied_kg_ha: Nutrients,
}

/// Why there is no rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum RateError {
    /// Nothing limits it.
    #[error(
        "nothing sets the rate: the analysis has no available nitrogen and no phosphate or potash limit is given"
    )]
    Unbounded,
    /// A negative.
    #[error("a target or a content is negative or not a number; check it")]
    Bad,
}

/// The rates and which binds. Never negative.
///
/// # Errors
/// When nothing limits the rate, or a number is negative.
pub fn rates(a: &Ask) -> Result<Rates, RateError> {
    let numbers = [
        a.available.n,
        a.available.k2o,
        a.whole.p2o5,
        a.n_kg_ha,
        a.p2o5_max_kg_ha.unwrap_or(0.0),
        a.k2o_kg_ha.unwrap_or(0.0),
    ];
    if numbers.iter().any(|x| !(x.is_finite() && *x >= 0.0)) {
        return Err(RateError::Bad);
    }
    let per = |target: f64, content: f64| (content > 0.0).then(|| target / content);
    let by_n = per(a.n_kg_ha, a.available.n);
    let by_p = a.p2o5_max_kg_ha.and_then(|max| per(max, a.whole.p2o5));
    let by_k = a.k2o_kg_ha.and_then(|max| per(max, a.available.k2o));
    let forbidden = a.p2o5_max_kg_ha == Some(0.0);
    let candidates = [(by_n, Binds::Nitrogen), (by_p, Binds::Phosphate), (by_k, Binds::Potash)];
    let lowest =
        candidates.into_iter().filter_map(|(r, b)| r.map(|r| (r, b))).min_by(|x, y| x.0.total_cmp(&y.0));
    let (rate, binds) = match lowest {
        _ if forbidden => (0.0, Binds::Forbidden),
        Some(found) => found,
        None => return Err(RateError::Unbounded),
    };
    Ok(Rates {
        by_n,
        by_p,
        by_k,
        rate,
        binds,
        supplied_kg_ha: a.available.times(rate),
        applied_kg_ha: a.whole.times(rate),
    })
}

/// Land, ha, that a store covers at a rate; `None` at no rate.
pub fn covers_ha(stored: f64, rate: f64) -> Option<f64> {
    (rate > 0.0).then(|| stored / rate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_rule_that_forbids_is_not_a_limit_of_zero_in_disguise() {
        let a = Ask {
            available: Nutrients::new(1.8, 0.5, 1.7, 0.0),
            whole: Nutrients::new(3.5, 0.7, 1.9, 0.0),
            n_kg_ha: 100.0,
            p2o5_max_kg_ha: Some(0.0),
            k2o_kg_ha: None,
        };
        let r = rates(&a).unwrap();
        assert!(r.binds == Binds::Forbidden && r.rate == 0.0);
        let none = Ask { available: Nutrients::NONE, p2o5_max_kg_ha: None, ..a };
        assert_eq!(rates(&none), Err(RateError::Unbounded));
        assert_eq!(rates(&Ask { n_kg_ha: -1.0, ..a }), Err(RateError::Bad));
        assert_eq!((covers_ha(100.0, 50.0), covers_ha(100.0, 0.0)), (Some(2.0), None));
    }

    proptest! {
        #[test]
        fn no_target_is_passed_and_one_is_met(
            n in 0.3..6.0f64, p in 0.05..3.0f64, k in 0.1..4.0f64, want in 1.0..150.0f64, max in 1.0..90.0f64, potash in 1.0..90.0f64,
        ) {
            let a = Ask {
                available: Nutrients::new(n * 0.6, p * 0.7, k * 0.9, 0.0),
                whole: Nutrients::new(n, p, k, 0.0),
                n_kg_ha: want, p2o5_max_kg_ha: Some(max), k2o_kg_ha: Some(potash),
            };
            let r = rates(&a).unwrap();
            prop_assert!(r.supplied_kg_ha.n <= want + 1e-9 && r.applied_kg_ha.p2o5 <= max + 1e-9);
            prop_assert!(r.supplied_kg_ha.k2o <= potash + 1e-9);
            let met = match r.binds {
                Binds::Nitrogen => r.supplied_kg_ha.n - want,
                Binds::Phosphate => r.applied_kg_ha.p2o5 - max,
                Binds::Potash => r.supplied_kg_ha.k2o - potash,
                Binds::Forbidden => 1.0,
            };
            prop_assert!(met.abs() < 1e-9);
        }
    }
}
