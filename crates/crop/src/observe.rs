//! What a person saw in the field, put in place of what the model reckoned.

use serde::{Deserialize, Serialize};

use crate::params::CropParams;
use crate::phase::Phase;
use crate::ripening::{KernelMoisture, fill_share_at_moisture};
use crate::stage::WheatState;
use crate::thermal::haun_sum;

/// A stage seen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Rows show.
    Emerged,
    /// Leaves on the main stem, counted in whole and tenths.
    Leaves(f64),
    /// A phase has just begun.
    Begun(Phase),
    /// A phase has not begun yet.
    NotYet(Phase),
}

impl WheatState {
    /// Sets the degree-day sums to what was seen. Water, yield and weather sums kept elsewhere are not touched.
    ///
    /// A shift of the leaf stage shifts the later stages by as much; a phase sets its own threshold, and the leaf
    /// sum moves along. [`Seen::NotYet`] changes nothing when the model had not got there either.
    pub fn re_anchor(&mut self, seen: Seen, p: &CropParams) {
        let s = &p.stage;
        match seen {
            Seen::Emerged | Seen::Begun(Phase::Seedling) => self.emerge_now(),
            Seen::Leaves(leaves) => {
                if !self.emerged {
                    self.emerge_now();
                }
                let wanted = haun_sum(leaves, s.first_leaf_cd, s.per_leaf_cd);
                self.sum_cd = (self.sum_cd + wanted - self.since_emergence_cd).max(0.0);
                self.since_emergence_cd = wanted;
            }
            Seen::Begun(Phase::Seeded) | Seen::NotYet(Phase::Seeded) => {}
            Seen::Begun(phase) => self.set_sum(s.threshold_cd(phase), phase, p),
            Seen::NotYet(Phase::Seedling) => self.not_up_yet(),
            Seen::NotYet(phase) => {
                // A day short of the threshold: it may begin tomorrow.
                let just_before = s.threshold_cd(phase) - 0.5 * s.late_season_cd_per_day;
                if self.emerged && self.sum_cd > just_before {
                    self.set_sum(just_before, phase, p);
                }
            }
        }
    }

    /// Sets the stage to fit a kernel moisture measured (or judged by thumb), and gives the moisture to dry from.
    ///
    /// Wetter than at full weight: the crop is put on the filling line. Drier: filling is over, whatever the sum said.
    pub fn re_anchor_moisture(&mut self, moisture_pct: f64, p: &CropParams) -> KernelMoisture {
        let (s, r) = (&p.stage, &p.ripening);
        if moisture_pct > r.pm_moisture_pct {
            let share = fill_share_at_moisture(moisture_pct, r);
            let sum = s.flowering_cd + share * (s.hard_dough_cd - s.flowering_cd);
            self.set_sum(sum, Phase::Milk, p);
            // A hair short of the end, so that the next day goes on along the line.
            self.sum_cd = self.sum_cd.min(s.hard_dough_cd - 1e-6);
        } else if !self.is_mature(p) {
            self.set_sum(s.hard_dough_cd, Phase::HardDough, p);
        }
        KernelMoisture::measured(moisture_pct)
    }

    fn emerge_now(&mut self) {
        self.emerged = true;
        self.seed.wet = true;
        self.seed.growing = true;
        self.seed.sum_cd = self.seed.need_cd;
        self.since_emergence_cd = 0.0;
        self.sum_cd = self.seed.need_cd;
    }

    fn not_up_yet(&mut self) {
        if self.emerged {
            self.emerged = false;
            self.since_emergence_cd = 0.0;
            let nearly = 0.95 * self.seed.need_cd;
            self.seed.sum_cd = nearly;
            self.sum_cd = nearly;
        }
    }

    fn set_sum(&mut self, sum_cd: f64, phase: Phase, p: &CropParams) {
        if !self.emerged {
            self.emerge_now();
        }
        self.since_emergence_cd = (self.since_emergence_cd + sum_cd - self.sum_cd).max(0.0);
        self.sum_cd = sum_cd;
        if self.sum_cd < p.stage.flowering_cd || phase == Phase::Flowering {
            self.days_flowering = 0;
        }
        if self.sum_cd < p.stage.ripe_cd || phase == Phase::Ripe {
            self.days_ripe = 0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> CropParams {
        *CropParams::shipped()
    }

    fn at(sum: f64) -> WheatState {
        let mut w = WheatState::sown(4.0, &p());
        w.re_anchor(Seen::Emerged, &p());
        w.since_emergence_cd += sum - w.sum_cd;
        w.sum_cd = sum;
        w
    }

    #[test]
    fn seen_is_believed() {
        let p = p();
        for phase in Phase::ALL.into_iter().skip(1) {
            let mut w = WheatState::sown(4.0, &p);
            w.re_anchor(Seen::Begun(phase), &p);
            assert_eq!(w.phase(&p), phase);
            let mut late = at(1700.0);
            late.re_anchor(Seen::NotYet(phase), &p);
            assert!(late.phase(&p) < phase, "{phase:?} gave {:?}", late.phase(&p));
        }
    }

    #[test]
    fn not_yet_leaves_a_younger_crop_alone() {
        let (p, w) = (p(), at(500.0));
        let mut same = w;
        same.re_anchor(Seen::NotYet(Phase::Heading), &p);
        assert_eq!(same, w);
    }

    #[test]
    fn a_moisture_sets_the_stage() {
        let p = p();
        let mut w = at(1600.0);
        w.re_anchor_moisture(50.0, &p);
        assert!(!w.is_mature(&p));
        assert!((KernelMoisture::filling(&w, &p).pct() - 50.0).abs() < 1e-6);
        let mut w = at(1300.0);
        assert_eq!(w.re_anchor_moisture(30.0, &p).pct(), 30.0);
        assert!(w.is_mature(&p));
    }

    proptest! {
        #[test]
        fn a_leaf_count_shifts_heading_as_much(sum in 150.0..700.0f64, leaves in 0.2..8.0f64) {
            let p = p();
            let (before, mut after) = (at(sum), at(sum));
            after.re_anchor(Seen::Leaves(leaves), &p);
            prop_assert!((after.leaves(&p) - leaves).abs() < 1e-9);
            let shift = after.since_emergence_cd - before.since_emergence_cd;
            if before.sum_cd + shift > 0.0 {
                prop_assert!((after.sum_cd - before.sum_cd - shift).abs() < 1e-9);
            }
        }
    }
}
