//! A thin stand: keep it, patch it or seed it again.

use serde::Serialize;

use crate::yield_::{YieldParams, stand_factor};

/// What the choice is made on. Money and yields a hectare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinStand {
    /// Plants counted where the crop stands, per m2.
    pub stand_m2: f64,
    /// Share of the field that is bare or as good as bare, 0 to 1.
    pub bare_share: f64,
    /// Yield of a full stand seeded when this one was, kg/ha.
    pub full_kg_ha: f64,
    /// Share of that yield a crop seeded now would make.
    pub reseed_share: f64,
    /// Share of its worth a crop seeded now is expected to keep after frost before ripe.
    pub reseed_kept: f64,
    /// Price, money/kg.
    pub price_per_kg: f64,
    /// Seed and pass to seed again, money/ha.
    pub reseed_cost: f64,
}

/// What each way leaves, money/ha over the whole field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StandChoice {
    /// Leave it.
    pub keep: f64,
    /// Seed the bare part again.
    pub patch: f64,
    /// Seed it all again.
    pub reseed: f64,
    /// Share of the full yield the standing part makes.
    pub standing_share: f64,
}

impl StandChoice {
    /// The best, in a word.
    pub fn best(&self) -> &'static str {
        if self.keep >= self.patch && self.keep >= self.reseed {
            "keep"
        } else if self.patch >= self.reseed {
            "patch"
        } else {
            "reseed"
        }
    }
}

/// Weighs the three ways.
///
/// What is standing makes [`stand_factor`] of a full stand's yield; bare ground makes nothing; what is seeded again
/// makes its share for the date, times what it keeps from frost, less its cost. A late stand that ripens apart from
/// the rest costs grade and time too, which is not counted: the patch must gain clearly to be worth it.
pub fn choose(x: &ThinStand, p: &YieldParams) -> StandChoice {
    let standing_share = stand_factor(x.stand_m2, p);
    let full = x.full_kg_ha * x.price_per_kg;
    let bare = x.bare_share.clamp(0.0, 1.0);
    let again = full * x.reseed_share * x.reseed_kept - x.reseed_cost;
    let keep = full * standing_share * (1.0 - bare);
    StandChoice { keep, patch: keep + bare * again, reseed: again, standing_share }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> YieldParams {
        crate::CropParams::shipped().yield_
    }

    fn thin() -> ThinStand {
        ThinStand {
            stand_m2: 120.0,
            bare_share: 0.0,
            full_kg_ha: 3500.0,
            reseed_share: 0.8,
            reseed_kept: 0.95,
            price_per_kg: 0.276,
            reseed_cost: 110.0,
        }
    }

    #[test]
    fn a_thin_even_stand_often_beats_seeding_again() {
        let c = choose(&thin(), &p());
        assert_eq!(c.best(), "keep");
        // By hand: half a stand keeps about 82 %.
        assert!((c.keep - 3500.0 * 0.276 * c.standing_share).abs() < 1e-9);
        assert!((c.reseed - (3500.0 * 0.276 * 0.8 * 0.95 - 110.0)).abs() < 1e-9);
        let holes = ThinStand { stand_m2: 250.0, bare_share: 0.3, ..thin() };
        assert_eq!(choose(&holes, &p()).best(), "patch");
        let gone = ThinStand { stand_m2: 15.0, bare_share: 0.6, ..thin() };
        assert_eq!(choose(&gone, &p()).best(), "reseed");
    }

    proptest! {
        #[test]
        fn more_plants_never_make_keeping_worth_less(stand in 0.0..300.0f64, more in 0.0..100.0f64, bare in 0.0..1.0f64) {
            let at = |s| choose(&ThinStand { stand_m2: s, bare_share: bare, ..thin() }, &p());
            prop_assert!(at(stand + more).keep >= at(stand).keep - 1e-9);
            prop_assert!(at(stand).reseed == at(stand + more).reseed);
        }
    }
}
