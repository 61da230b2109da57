//! How much fertilizer the seed bears beside it, and where to put the rest.
//!
//! In pounds an acre and inches, as the published tables are, because their limits are whole pounds. Every limit holds
//! for good to excellent moisture and is halved for a dry seedbed. Anhydrous ammonia never goes in the seed row.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

use crate::table;

const UREA: &str = include_str!("../../../reference/fertility-seed-row-urea.csv");
const PHOSPHATE: &str = include_str!("../../../reference/fertility-seed-row-phosphate.csv");
const OPENERS: &str = include_str!("../../../reference/fertility-openers.csv");

/// Coefficients `fertility.seed_row.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SeedRowParams {
    /// Share of a limit left in a dry seedbed or warm, drying wind.
    pub dry_factor: f64,
    /// N + K2O limit x row spacing on medium and fine soil, lb in/ac.
    pub n_k_medium_lb_in: f64,
    /// The same on sandy or dry soil.
    pub n_k_sandy_lb_in: f64,
    /// Further cut on coarse dry soil.
    pub coarse_dry_cut: f64,
    /// Further cut on coarse moist soil.
    pub coarse_moist_cut: f64,
    /// Stand loss tolerated, %.
    pub tolerated_loss_pct: f64,
}

impl SeedRowParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.seed_row.{what}"));
        Self {
            dry_factor: get("dry_factor"),
            n_k_medium_lb_in: get("n_k_medium_lb_in"),
            n_k_sandy_lb_in: get("n_k_sandy_lb_in"),
            coarse_dry_cut: get("coarse_dry_cut"),
            coarse_moist_cut: get("coarse_moist_cut"),
            tolerated_loss_pct: get("tolerated_loss_pct"),
        }
    }
}

/// Soil texture as the tables name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Texture {
    /// Sandy loam.
    Light,
    /// Loam to clay loam.
    Medium,
    /// Clay.
    Heavy,
}

impl Texture {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Medium => "medium",
            Self::Heavy => "heavy",
        }
    }
}

/// A cell of the urea table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UreaCell {
    /// Texture.
    pub texture: Texture,
    /// Width of the band of seed and fertilizer, in.
    pub spread_in: f64,
    /// Row spacing, in.
    pub spacing_in: f64,
    /// Limit, lb N/ac.
    pub n_lb_ac: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

impl UreaCell {
    /// All shipped, by texture and then by seedbed used.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<UreaCell>> =
            LazyLock::new(|| table::shipped("fertility-seed-row-urea.csv", UREA));
        &ALL
    }
}

/// Seed-row phosphate of a crop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PhosphateRow {
    /// Crop.
    pub crop: String,
    /// Manitoba, lb P2O5/ac.
    pub manitoba_p2o5_lb_ac: Option<f64>,
    /// Saskatchewan, lb P2O5/ac.
    pub saskatchewan_p2o5_lb_ac: Option<f64>,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

/// Whose table of seed-row phosphate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Province {
    /// 1 in spread on 6-7 in rows.
    Manitoba,
    /// 1 in knife on 9 in rows.
    Saskatchewan,
}

impl PhosphateRow {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<PhosphateRow>> =
            LazyLock::new(|| table::shipped("fertility-seed-row-phosphate.csv", PHOSPHATE));
        &ALL
    }

    /// The limit of a crop, lb P2O5/ac; `None` where the table gives none.
    pub fn limit(crop: &str, province: Province) -> Option<f64> {
        let row = Self::shipped().iter().find(|r| r.crop == crop)?;
        match province {
            Province::Manitoba => row.manitoba_p2o5_lb_ac,
            Province::Saskatchewan => row.saskatchewan_p2o5_lb_ac,
        }
    }
}

/// An opener and how much of the seedbed it uses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Opener {
    /// Key.
    pub key: String,
    /// In words.
    pub name: String,
    /// Least, %.
    pub sbu_low_pct: f64,
    /// Most, %.
    pub sbu_high_pct: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

impl Opener {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Opener>> =
            LazyLock::new(|| table::shipped("fertility-openers.csv", OPENERS));
        &ALL
    }

    /// One by its key. The lower figure is the safe one; better is to dig and measure the spread.
    pub fn of(key: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|o| o.key == key)
    }
}

/// Share of the seedbed that seed and fertilizer lie in: spread over spacing, at most 1.
pub fn seedbed_used(spread_in: f64, spacing_in: f64) -> f64 {
    (spread_in / spacing_in).clamp(0.0, 1.0)
}

/// Whole pounds that do not pass `lb`; the grace keeps an exact limit from losing a pound to rounding.
pub(crate) fn whole_pounds(lb: f64) -> f64 {
    (lb + 1e-9).floor().max(0.0)
}

/// Urea nitrogen with cereal seed, lb N/ac, for a share of the seedbed used, in good to excellent moisture.
///
/// The published table of spread and spacing is one line of the share used: straight between its points, rounded down
/// to whole pounds, nothing below the first point and no more than the last. Source: Heard, Manitoba Agriculture.
pub fn urea_limit_lb_ac(texture: Texture, used: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    for cell in UreaCell::shipped().iter().filter(|c| c.texture == texture) {
        let (x, n) = (cell.spread_in / cell.spacing_in, cell.n_lb_ac);
        if used < x - 1e-9 {
            return before.map_or(0.0, |(x0, n0)| whole_pounds(n0 + (n - n0) * (used - x0) / (x - x0)));
        }
        before = Some((x, n));
    }
    before.map_or(0.0, |(_, n)| n)
}

/// The least share of the seedbed at which the table bears a rate; `None` where no share does.
pub fn seedbed_for_urea(texture: Texture, n_lb_ac: f64) -> Option<f64> {
    let mut before: Option<(f64, f64)> = None;
    for cell in UreaCell::shipped().iter().filter(|c| c.texture == texture) {
        let (x, n) = (cell.spread_in / cell.spacing_in, cell.n_lb_ac);
        if n >= n_lb_ac {
            return Some(match before {
                Some((x0, n0)) if n0 < n_lb_ac => x0 + (x - x0) * (n_lb_ac - n0) / (n - n0),
                _ => x,
            });
        }
        before = Some((x, n));
    }
    None
}

/// N + K2O in contact with wheat seed, lb/ac, for a row spacing: not rounded. Source: Kansas State Univ.
pub fn n_k_limit_lb_ac(spacing_in: f64, sandy_or_dry: bool, p: &SeedRowParams) -> f64 {
    (if sandy_or_dry { p.n_k_sandy_lb_in } else { p.n_k_medium_lb_in }) / spacing_in
}
