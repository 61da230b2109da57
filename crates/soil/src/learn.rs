//! Learning a field's limit from the owner's own go and no-go days.

use stook_measure::{Op, Working};

use crate::fitness::go_share;

/// A refitted limit and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// The limit now, water over field capacity.
    pub limit: f64,
    /// What it was before the log.
    pub from: f64,
    /// Days the owner went.
    pub n_go: usize,
    /// Days the owner did not.
    pub n_no: usize,
    /// Days the starting limit counts for.
    pub prior_weight: f64,
}

/// Refits a limit to days on which the modelled wetness (water over field capacity) and the owner's decision are
/// known.
///
/// Penalised logistic regression in one unknown: the go curve keeps its `width`, its middle moves. The penalty
/// stands for `prior_weight` more days exactly at the starting limit, half of them gone, so a handful of odd days
/// cannot move it far and many days can. The slope of the penalised likelihood falls all the way, so its zero is
/// found by halving. Days with a wetness that is not a number are left out.
///
/// The result lies within `bounds`. A go on a wetter day never lowers it and a no-go on a drier day never raises it.
pub fn refit(
    days: &[(f64, bool)],
    prior_limit: f64,
    width: f64,
    prior_weight: f64,
    bounds: (f64, f64),
) -> Learned {
    let seen = || days.iter().filter(|d| d.0.is_finite());
    let n_go = seen().filter(|d| d.1).count();
    let n_no = seen().count() - n_go;
    // d(log likelihood)/d(limit), times the width.
    let pull = |limit: f64| {
        let data: f64 = seen().map(|(x, go)| f64::from(u8::from(*go)) - go_share(*x, limit, width)).sum();
        data + prior_weight * (0.5 - go_share(prior_limit, limit, width))
    };
    let (mut low, mut high) = bounds;
    let limit = if n_go + n_no == 0 {
        prior_limit.clamp(low, high)
    } else {
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if pull(middle) > 0.0 { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    Learned { limit, from: prior_limit, n_go, n_no, prior_weight }
}

impl Learned {
    /// How the limit came about.
    pub fn working(&self) -> Working {
        Working::new("Limit learned from the log")
            .line(Op::Note, "days gone", self.n_go as f64, "d", 0)
            .line(Op::Note, "days not gone", self.n_no as f64, "d", 0)
            .line(Op::Note, "days the starting limit counts for", self.prior_weight, "d", 0)
            .line(Op::Start, "limit before", self.from, "", 3)
            .line(Op::Plus, "moved by the log", self.limit - self.from, "", 3)
            .sum("limit now, water over field capacity", self.limit, "", 3)
            .note("Logistic regression of your own decisions on the modelled water, drawn toward the starting limit.")
            .would_change("more logged days, above all days close to the limit")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn moves_to_where_the_owner_goes() {
        // An owner who goes up to 1.05 of field capacity.
        let days: Vec<(f64, bool)> = (0..40)
            .map(|i| {
                let x = 0.85 + 0.01 * f64::from(i);
                (x, x < 1.05)
            })
            .collect();
        let l = refit(&days, 0.95, 0.02, 6.0, (0.6, 1.3));
        assert!((l.limit - 1.045).abs() < 0.04, "{}", l.limit);
        assert_eq!((l.n_go, l.n_no), (20, 20));
        assert!(l.working().adds_up(0.001));
        let heavy = refit(&days, 0.95, 0.02, 1000.0, (0.6, 1.3));
        assert!(heavy.limit < l.limit);
        assert_eq!(refit(&[], 0.95, 0.02, 6.0, (0.6, 1.3)).limit, 0.95);
    }

    proptest! {
        #[test]
        fn bounded_and_monotone(
            days in prop::collection::vec((0.3f64..1.6, any::<bool>()), 0..30),
            x in 0.3f64..1.6,
        ) {
            let fit = |d: &[(f64, bool)]| refit(d, 0.95, 0.02, 6.0, (0.6, 1.3)).limit;
            let base = fit(&days);
            prop_assert!((0.6..=1.3).contains(&base));
            let with = |go: bool| {
                let mut d = days.clone();
                d.push((x, go));
                fit(&d)
            };
            prop_assert!(with(true) >= base - 1e-9);
            prop_assert!(with(false) <= base + 1e-9);
        }
    }
}
