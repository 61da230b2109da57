//! Size of ground grain from a stack of sieves: geometric mean and spread by weight.

use serde::Serialize;

/// Mean size of what falls into the pan under a 53 um sieve, um.
const PAN_UM: f64 = 37.0;

/// Sizes of a ground sample.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Particles {
    /// Geometric mean diameter by weight, um.
    pub mean_um: f64,
    /// Geometric standard deviation: two thirds of the weight lies between the mean over it and times it.
    pub spread: f64,
}

/// From sieves, coarsest first: opening in um and grams held back, and grams in the pan. What lies on a sieve is taken at
/// the root of its opening times the next coarser one's; above the first, root two coarser, as sieves are spaced. None
/// when nothing was sieved. Form of ANSI/ASAE S319, from memory.
pub fn geometric(catches: &[(f64, f64)], pan_g: f64) -> Option<Particles> {
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for (i, (opening, g)) in catches.iter().enumerate() {
        let coarser = if i == 0 { opening * std::f64::consts::SQRT_2 } else { catches[i - 1].0 };
        parts.push(((opening * coarser).sqrt(), *g));
    }
    let last = catches.last()?.0;
    // The pan holds what is finer than the last sieve, whatever that was.
    parts.push((if last <= 60.0 { PAN_UM } else { last / std::f64::consts::SQRT_2 }, pan_g));
    let all: f64 = parts.iter().map(|p| p.1).sum();
    if all <= 0.0 {
        return None;
    }
    let mean = parts.iter().map(|(d, g)| g * d.ln()).sum::<f64>() / all;
    let var = parts.iter().map(|(d, g)| g * (d.ln() - mean).powi(2)).sum::<f64>() / all;
    Some(Particles { mean_um: mean.exp(), spread: var.sqrt().exp() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn all_on_one_sieve_is_that_size() {
        let p = geometric(&[(1180.0, 0.0), (850.0, 100.0), (600.0, 0.0)], 0.0).unwrap();
        assert!((p.mean_um - (1180.0_f64 * 850.0).sqrt()).abs() < 1e-9 && (p.spread - 1.0).abs() < 1e-9);
        assert!(geometric(&[(850.0, 0.0)], 0.0).is_none() && geometric(&[], 5.0).is_none());
    }

    proptest! {
        #[test]
        fn the_mean_lies_between_the_ends_and_finer_is_smaller(g in proptest::collection::vec(0.0..50.0f64, 6), pan in 0.1..20.0f64) {
            let sieves = [2360.0, 1180.0, 850.0, 600.0, 300.0, 150.0];
            let stack: Vec<(f64, f64)> = sieves.iter().copied().zip(g).collect();
            let p = geometric(&stack, pan).unwrap();
            prop_assert!((100.0..3400.0).contains(&p.mean_um) && p.spread >= 1.0);
            prop_assert!(geometric(&stack, pan + 10.0).unwrap().mean_um < p.mean_um);
        }
    }
}
