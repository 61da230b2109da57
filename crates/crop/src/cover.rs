//! Ground cover, height and roots as FAO-56 wants them, driven by development instead of the calendar.

use serde::Serialize;
use stook_measure::Reference;

use crate::params::CropParams;
use crate::stage::{StageParams, WheatState};

/// Coefficients `crop.cover.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CoverParams {
    /// Basal coefficient of seedlings.
    pub kcb_ini: f64,
    /// Basal coefficient of a full crop.
    pub kcb_mid: f64,
    /// Basal coefficient of a ripe crop.
    pub kcb_end: f64,
    /// Full height, m.
    pub height_max_m: f64,
    /// Rooting depth at emergence, m.
    pub root_min_m: f64,
    /// Rooting depth at flowering, m.
    pub root_max_m: f64,
    /// Cover starts to grow, C d from seeding.
    pub growth_from_cd: f64,
    /// Full cover, C d from seeding.
    pub full_cd: f64,
    /// Leaves begin to go, C d from seeding.
    pub yellowing_cd: f64,
}

impl CoverParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.cover.{what}"));
        Self {
            kcb_ini: get("kcb_ini"),
            kcb_mid: get("kcb_mid"),
            kcb_end: get("kcb_end"),
            height_max_m: get("height_max_m"),
            root_min_m: get("root_min_m"),
            root_max_m: get("root_max_m"),
            growth_from_cd: get("growth_from_cd"),
            full_cd: get("full_cd"),
            yellowing_cd: get("yellowing_cd"),
        }
    }

    pub(crate) fn shifted(mut self, stage: &StageParams, days_late: f64) -> Self {
        let (heading, whole) = stage.shift_cd(days_late);
        self.full_cd += heading;
        self.yellowing_cd += 0.5 * (heading + whole);
        self
    }
}

/// What the water balance needs of the crop today.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cover {
    /// Basal crop coefficient, before the climate adjustment of FAO-56 Eq. 70.
    pub kcb: f64,
    /// Height, m.
    pub height_m: f64,
    /// Rooting depth, m.
    pub root_depth_m: f64,
}

/// Cover of the crop as it stands.
///
/// Basal coefficient: nothing before emergence, `kcb_ini` until about two leaves, a straight rise to `kcb_mid` at the
/// boot, level until half way through the fill, a straight fall to `kcb_end` when ripe (FAO-56 Eq. 66 with
/// degree-days in place of days; values FAO-56 tables 12, 17, 22). Height is full at heading, roots at flowering.
#[inline]
pub fn cover(w: &WheatState, p: &CropParams) -> Cover {
    let (c, s, x) = (&p.cover, &p.stage, w.sum_cd);
    if !w.emerged {
        return Cover { kcb: 0.0, height_m: 0.0, root_depth_m: c.root_min_m };
    }
    let share = |from: f64, to: f64| ((x - from) / (to - from)).clamp(0.0, 1.0);
    let kcb = if x < c.yellowing_cd {
        c.kcb_ini + (c.kcb_mid - c.kcb_ini) * share(c.growth_from_cd, c.full_cd)
    } else {
        c.kcb_mid + (c.kcb_end - c.kcb_mid) * share(c.yellowing_cd, s.ripe_cd)
    };
    let up_cd = w.seed.need_cd;
    Cover {
        kcb,
        height_m: 0.02 + (c.height_max_m - 0.02) * share(up_cd, s.heading_cd),
        root_depth_m: c.root_min_m + (c.root_max_m - c.root_min_m) * share(up_cd, s.flowering_cd),
    }
}

/// Share of the ground under leaves, 0 to 0.99 (FAO-56 Eq. 76).
pub fn ground_share(kcb: f64, kc_max: f64, height_m: f64) -> f64 {
    const KC_MIN: f64 = 0.15;
    let rise = (kcb - KC_MIN).max(0.01);
    (rise / (kc_max - KC_MIN).max(rise)).powf(1.0 + 0.5 * height_m).min(0.99)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::Seen;
    use crate::phase::Phase;

    fn at(phase: Phase) -> Cover {
        let p = *CropParams::shipped();
        let mut w = WheatState::sown(4.0, &p);
        if phase > Phase::Seeded {
            w.re_anchor(Seen::Begun(phase), &p);
        }
        cover(&w, &p)
    }

    #[test]
    fn follows_the_stage() {
        assert_eq!(at(Phase::Seeded).kcb, 0.0);
        assert_eq!(at(Phase::Seedling).kcb, 0.15);
        assert_eq!(at(Phase::Boot).kcb, 1.10);
        assert_eq!(at(Phase::Milk).kcb, 1.10);
        assert!((at(Phase::Ripe).kcb - 0.15).abs() < 1e-12);
        assert_eq!(at(Phase::Heading).height_m, 1.0);
        assert_eq!(at(Phase::Flowering).root_depth_m, 1.2);
        assert!(at(Phase::Tillering).root_depth_m < at(Phase::Jointing).root_depth_m);
    }

    #[test]
    fn ground_share_is_a_share() {
        assert!(ground_share(0.15, 1.2, 0.05) < 0.02);
        assert!((0.85..=0.99).contains(&ground_share(1.10, 1.2, 1.0)));
        assert!(ground_share(1.3, 1.2, 1.0) <= 0.99);
    }
}
