//! Development from seeding to ripe, one day at a time.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_weather::Forcing;

use crate::emergence::Seed;
use crate::params::CropParams;
use crate::phase::Phase;
use crate::thermal::{degree_days_clipped, haun};

/// Coefficients `crop.stage.*`. Thresholds are degree-days (base 0 C, method 2) from the day the seed is moist.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StageParams {
    /// Base temperature, C.
    pub base_c: f64,
    /// Cap up to two leaves, C.
    pub cap_early_c: f64,
    /// Cap afterwards, C.
    pub cap_late_c: f64,
    /// Emergence to one leaf, C d.
    pub first_leaf_cd: f64,
    /// One leaf to the next, C d.
    pub per_leaf_cd: f64,
    /// Leaves on the main stem.
    pub final_leaves: f64,
    /// First tillers, C d.
    pub tillers_cd: f64,
    /// First node, C d.
    pub first_node_cd: f64,
    /// Flag leaf out, C d.
    pub flag_leaf_cd: f64,
    /// Boot, C d.
    pub boot_cd: f64,
    /// Heads showing, C d.
    pub heading_cd: f64,
    /// Flowering begins, C d.
    pub flowering_cd: f64,
    /// Flowering ends, C d.
    pub flowering_ends_cd: f64,
    /// Kernels fill, C d.
    pub milk_cd: f64,
    /// Soft dough, C d.
    pub soft_dough_cd: f64,
    /// Hard dough: fill is over, C d.
    pub hard_dough_cd: f64,
    /// Most kernels hard, C d.
    pub ripe_cd: f64,
    /// Degree-days in a late-season day, C d.
    pub late_season_cd_per_day: f64,
    /// Share of a cultivar's lateness before heading.
    pub shift_before_heading: f64,
}

impl StageParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.stage.{what}"));
        Self {
            base_c: get("base_c"),
            cap_early_c: get("cap_early_c"),
            cap_late_c: get("cap_late_c"),
            first_leaf_cd: get("first_leaf_cd"),
            per_leaf_cd: get("per_leaf_cd"),
            final_leaves: get("final_leaves"),
            tillers_cd: get("tillers_cd"),
            first_node_cd: get("first_node_cd"),
            flag_leaf_cd: get("flag_leaf_cd"),
            boot_cd: get("boot_cd"),
            heading_cd: get("heading_cd"),
            flowering_cd: get("flowering_cd"),
            flowering_ends_cd: get("flowering_ends_cd"),
            milk_cd: get("milk_cd"),
            soft_dough_cd: get("soft_dough_cd"),
            hard_dough_cd: get("hard_dough_cd"),
            ripe_cd: get("ripe_cd"),
            late_season_cd_per_day: get("late_season_cd_per_day"),
            shift_before_heading: get("shift_before_heading"),
        }
    }

    /// Degree-days by which heading and ripening move for a cultivar `days_late` days later than the check.
    pub fn shift_cd(&self, days_late: f64) -> (f64, f64) {
        let whole = days_late * self.late_season_cd_per_day;
        (whole * self.shift_before_heading, whole)
    }

    /// See [`CropParams::for_cultivar`].
    #[must_use]
    pub fn for_cultivar(mut self, days_late: f64) -> Self {
        const DAYS_PER_LEAF: f64 = 4.5;
        let (heading, whole) = self.shift_cd(days_late);
        let late_heading_d = days_late * self.shift_before_heading;
        self.final_leaves = (self.final_leaves + (late_heading_d / DAYS_PER_LEAF).round()).clamp(7.0, 9.0);
        let from_seeding_to_heading = self.heading_cd;
        let fill = self.ripe_cd - self.heading_cd;
        // Early thresholds hardly differ between cultivars; those between tillering and heading move in proportion.
        let stretch = |x: f64, tillers: f64| {
            x + heading * ((x - tillers) / (from_seeding_to_heading - tillers)).clamp(0.0, 1.0)
        };
        let fill_stretch =
            |x: f64| x + heading + (whole - heading) * ((x - from_seeding_to_heading) / fill).clamp(0.0, 1.0);
        let tillers = self.tillers_cd;
        self.first_node_cd = stretch(self.first_node_cd, tillers);
        self.flag_leaf_cd = stretch(self.flag_leaf_cd, tillers);
        self.boot_cd = stretch(self.boot_cd, tillers);
        self.heading_cd = stretch(self.heading_cd, tillers);
        for x in [
            &mut self.flowering_cd,
            &mut self.flowering_ends_cd,
            &mut self.milk_cd,
            &mut self.soft_dough_cd,
            &mut self.hard_dough_cd,
            &mut self.ripe_cd,
        ] {
            *x = fill_stretch(*x);
        }
        self
    }

    /// The degree-days from seeding at which a phase begins; emergence is not in this table.
    pub fn threshold_cd(&self, phase: Phase) -> f64 {
        match phase {
            Phase::Seeded | Phase::Seedling => 0.0,
            Phase::Tillering => self.tillers_cd,
            Phase::Jointing => self.first_node_cd,
            Phase::FlagLeaf => self.flag_leaf_cd,
            Phase::Boot => self.boot_cd,
            Phase::Heading => self.heading_cd,
            Phase::Flowering => self.flowering_cd,
            Phase::Set => self.flowering_ends_cd,
            Phase::Milk => self.milk_cd,
            Phase::SoftDough => self.soft_dough_cd,
            Phase::HardDough => self.hard_dough_cd,
            Phase::Ripe => self.ripe_cd,
        }
    }
}

/// A wheat crop's development.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WheatState {
    /// The seed until it is up.
    pub seed: Seed,
    /// Degree-days since the seed was moist, C d.
    pub sum_cd: f64,
    /// Degree-days since emergence, C d.
    pub since_emergence_cd: f64,
    /// Days since seeding.
    pub days: u16,
    /// Whether it is up.
    pub emerged: bool,
    /// Days since flowering began, 0 before and on the day.
    pub days_flowering: u16,
    /// Days since ripe, 0 before and on the day.
    pub days_ripe: u16,
}

impl WheatState {
    /// Just sown at `depth_cm`.
    pub fn sown(depth_cm: f64, p: &CropParams) -> Self {
        Self {
            seed: Seed::sown(depth_cm, &p.emergence),
            sum_cd: 0.0,
            since_emergence_cd: 0.0,
            days: 0,
            emerged: false,
            days_flowering: 0,
            days_ripe: 0,
        }
    }

    /// One day on: the day's weather, the soil at seed depth, and whether the seedbed is moist.
    ///
    /// Returns the phase at the end of the day. Soil temperature and moisture matter only until emergence.
    #[inline]
    pub fn step(
        &mut self,
        p: &CropParams,
        weather: &Forcing,
        seed_soil_c: f64,
        surface_moist: bool,
    ) -> Phase {
        let s = &p.stage;
        self.days = self.days.saturating_add(1);
        if self.sum_cd >= s.flowering_cd {
            self.days_flowering = self.days_flowering.saturating_add(1);
            if self.sum_cd >= s.ripe_cd {
                self.days_ripe = self.days_ripe.saturating_add(1);
            }
        }
        let two_leaves_cd = s.first_leaf_cd + s.per_leaf_cd;
        let cap = if self.since_emergence_cd < two_leaves_cd { s.cap_early_c } else { s.cap_late_c };
        let heat = degree_days_clipped(weather.day.tmax_c, weather.day.tmin_c, s.base_c, cap);
        if self.emerged {
            self.since_emergence_cd += heat;
            self.sum_cd += heat;
        } else {
            self.seed.step(seed_soil_c, surface_moist, weather.rain_mm, &p.emergence);
            if self.seed.wet {
                self.sum_cd += heat;
            }
            self.emerged = self.seed.is_up();
        }
        self.phase(p)
    }

    /// Leaf number (Haun), up to the final number of leaves.
    #[inline]
    pub fn leaves(&self, p: &CropParams) -> f64 {
        let s = &p.stage;
        haun(self.since_emergence_cd, s.first_leaf_cd, s.per_leaf_cd, s.final_leaves)
    }

    /// The phase.
    #[inline]
    pub fn phase(&self, p: &CropParams) -> Phase {
        let (s, x) = (&p.stage, self.sum_cd);
        if !self.emerged {
            return Phase::Seeded;
        }
        // Two halves, so that a day costs at most seven comparisons.
        if x < s.heading_cd {
            match x {
                x if x < s.tillers_cd => Phase::Seedling,
                x if x < s.first_node_cd => Phase::Tillering,
                x if x < s.flag_leaf_cd => Phase::Jointing,
                x if x < s.boot_cd => Phase::FlagLeaf,
                _ => Phase::Boot,
            }
        } else {
            match x {
                x if x < s.flowering_cd => Phase::Heading,
                x if x < s.flowering_ends_cd => Phase::Flowering,
                x if x < s.milk_cd => Phase::Set,
                x if x < s.soft_dough_cd => Phase::Milk,
                x if x < s.hard_dough_cd => Phase::SoftDough,
                x if x < s.ripe_cd => Phase::HardDough,
                _ => Phase::Ripe,
            }
        }
    }

    /// The Zadoks number: leaves counted until tillers show (11 is one leaf), then the phase's own.
    pub fn zadoks(&self, p: &CropParams) -> u8 {
        match self.phase(p) {
            Phase::Seedling => 10 + (self.leaves(p) as u8).min(9),
            phase => phase.zadoks(),
        }
    }

    /// Share of grain fill done by development: 0 at flowering, 1 at hard dough.
    #[inline]
    pub fn fill_share(&self, p: &CropParams) -> f64 {
        let s = &p.stage;
        ((self.sum_cd - s.flowering_cd) / (s.hard_dough_cd - s.flowering_cd)).clamp(0.0, 1.0)
    }

    /// Whether fill is over, so that no treatment can change the yield any more.
    #[inline]
    pub fn is_mature(&self, p: &CropParams) -> bool {
        self.sum_cd >= p.stage.hard_dough_cd
    }
}
