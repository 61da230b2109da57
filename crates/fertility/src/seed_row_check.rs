//! A seed row of wheat against all limits: refused with the limit, the reason and the nearest safe way, or let pass with
//! what to mind. In pounds an acre and inches, as the tables of [`crate::seed_row`].

use serde::{Deserialize, Serialize};

use crate::seed_row::{
    PhosphateRow, Province, SeedRowParams, Texture, n_k_limit_lb_ac, seedbed_for_urea, seedbed_used,
    urea_limit_lb_ac, whole_pounds,
};

/// What is to go in the seed row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeedRow {
    /// Texture.
    pub texture: Texture,
    /// Width of the band, measured, in.
    pub spread_in: f64,
    /// Row spacing, in.
    pub spacing_in: f64,
    /// A double-disc drill.
    pub double_disc: bool,
    /// Dry seedbed, or a warm drying wind.
    pub dry: bool,
    /// Table of phosphate.
    pub province: Province,
    /// Urea nitrogen, lb/ac.
    pub urea_n_lb_ac: f64,
    /// Nitrogen that comes with phosphate and sulphur, lb/ac.
    pub other_n_lb_ac: f64,
    /// Phosphate, lb/ac.
    pub p2o5_lb_ac: f64,
    /// Potash, lb/ac.
    pub k2o_lb_ac: f64,
    /// Anhydrous ammonia in the seed row, lb N/ac.
    pub anhydrous_n_lb_ac: f64,
}

/// The limits of a seed row of wheat, lb/ac.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// Urea nitrogen.
    pub urea_n_lb_ac: f64,
    /// Phosphate; `None` where no table gives one.
    pub p2o5_lb_ac: Option<f64>,
    /// Nitrogen and potash together.
    pub n_k_lb_ac: f64,
    /// Potash: what the nitrogen leaves of it.
    pub k2o_lb_ac: f64,
}

/// The limits for wheat, all in whole pounds.
///
/// The rule of nitrogen and potash together is asked only where there is potash: the urea table, which is of another
/// source and allows more at a wide spread, governs nitrogen alone. All nitrogen counts against the potash.
pub fn limits(row: &SeedRow, p: &SeedRowParams) -> Limits {
    let used = seedbed_used(row.spread_in, row.spacing_in);
    let light_disc = row.double_disc && row.texture == Texture::Light;
    let table = if light_disc { 0.0 } else { urea_limit_lb_ac(row.texture, used) };
    let moisture = if row.dry { p.dry_factor } else { 1.0 };
    let sandy_or_dry = row.dry || row.texture == Texture::Light;
    let n_k = whole_pounds(n_k_limit_lb_ac(row.spacing_in, sandy_or_dry, p));
    Limits {
        urea_n_lb_ac: whole_pounds(table * moisture),
        p2o5_lb_ac: PhosphateRow::limit("cereals", row.province),
        n_k_lb_ac: n_k,
        k2o_lb_ac: whole_pounds(n_k - row.urea_n_lb_ac - row.other_n_lb_ac),
    }
}

/// A rate that is refused.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Refusal {
    /// Anhydrous ammonia.
    Anhydrous,
    /// Too much urea.
    Urea {
        /// Asked, lb N/ac.
        asked: f64,
        /// Limit.
        limit: f64,
        /// Texture.
        texture: Texture,
        /// Share of the seedbed used.
        used: f64,
        /// Halved for a dry seedbed.
        dry: bool,
        /// A double disc on light soil.
        light_disc: bool,
        /// Width that would bear it, in, if one does.
        spread_in: Option<f64>,
    },
    /// Too much phosphate.
    Phosphate {
        /// Asked, lb P2O5/ac.
        asked: f64,
        /// Limit.
        limit: f64,
    },
    /// Too much potash beside the nitrogen.
    Potash {
        /// Asked, lb K2O/ac.
        asked: f64,
        /// Limit beside the nitrogen.
        limit: f64,
        /// Limit of both.
        both: f64,
    },
}

impl Refusal {
    /// The limit, why, and the nearest safe way.
    pub fn sentence(self) -> String {
        match self {
            Self::Anhydrous => {
                "Anhydrous ammonia never goes in the seed row: it kills seed on contact. Put it in a band \
                                between the rows, or give the nitrogen as urea within its limit."
                    .into()
            }
            Self::Urea { asked, limit, texture, used, dry, light_disc, spread_in } => {
                let soil = texture.words();
                let why = if light_disc {
                    "no urea goes through a double-disc drill on light soil".to_string()
                } else {
                    let halved = if dry { ", halved for a dry seedbed" } else { "" };
                    format!(
                        "{limit:.0} is the limit on {soil} soil with {:.0} % of the seedbed used{halved}",
                        100.0 * used
                    )
                };
                let rest = asked - limit;
                let wider = spread_in.map_or_else(String::new, |s| {
                    format!(" A spread of {s:.1} in would bear it all, if you dig and measure that much.")
                });
                format!(
                    "{asked:.0} lb/ac of urea nitrogen beside the seed is too much: {why}. Keep {limit:.0} with the seed and \
                     put the other {rest:.0} in a side or mid-row band that is truly apart from it.{wider}"
                )
            }
            Self::Phosphate { asked, limit } => format!(
                "{asked:.0} lb/ac of phosphate beside the seed is too much: {limit:.0} is the published limit for cereals. Put \
                 the other {:.0} in a side or mid-row band.",
                asked - limit
            ),
            Self::Potash { asked, limit, both } => format!(
                "{asked:.0} lb/ac of potash beside the seed is too much: nitrogen and potash together may be {both:.0} at this \
                 spacing, and the nitrogen leaves {limit:.0}. Band the other {:.0}, or broadcast twice as much of it and work \
                 it in.",
                asked - limit
            ),
        }
    }
}

/// Something to mind although the rate is within the limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Caution {
    /// The limits are for good moisture.
    Moisture,
    /// Halved for a dry seedbed.
    Dry,
    /// Nitrogen with the phosphate is not in the urea limit.
    OtherNitrogen,
    /// Within a tenth of the urea limit.
    Close,
}

impl Caution {
    /// In a sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Moisture => {
                "These limits hold for good to excellent moisture. If the seedbed is dry or a warm wind is drying it, \
                 halve the nitrogen."
            }
            Self::Dry => "The urea limit is halved, as the seedbed is dry. If rain comes first, look again.",
            Self::OtherNitrogen => {
                "The nitrogen that comes with phosphate is counted apart from the urea limit; it still adds some salt."
            }
            Self::Close => {
                "This is close to the limit. Dig behind the drill and measure the spread before you trust it."
            }
        }
    }
}

/// A seed row checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// Limits.
    pub limits: Limits,
    /// Why it is refused; empty when it is not.
    pub refusals: Vec<Refusal>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl Checked {
    /// Whether the rates may go in the seed row.
    pub fn is_safe(&self) -> bool {
        self.refusals.is_empty()
    }
}

/// Checks a seed row of wheat against all limits; the smallest holds.
pub fn check(row: &SeedRow, p: &SeedRowParams) -> Checked {
    let l = limits(row, p);
    let over = |asked: f64, limit: f64| asked > limit + 1e-9;
    let mut refusals = vec![];
    if row.anhydrous_n_lb_ac > 0.0 {
        refusals.push(Refusal::Anhydrous);
    }
    if over(row.urea_n_lb_ac, l.urea_n_lb_ac) {
        let light_disc = row.double_disc && row.texture == Texture::Light;
        let wanted = row.urea_n_lb_ac / if row.dry { p.dry_factor } else { 1.0 };
        // a tenth up, so that a person who sets what is printed is not a hair short
        let spread =
            seedbed_for_urea(row.texture, wanted.ceil()).map(|x| (x * row.spacing_in * 10.0).ceil() / 10.0);
        refusals.push(Refusal::Urea {
            asked: row.urea_n_lb_ac,
            limit: l.urea_n_lb_ac,
            texture: row.texture,
            used: seedbed_used(row.spread_in, row.spacing_in),
            dry: row.dry,
            light_disc,
            spread_in: spread.filter(|_| !light_disc),
        });
    }
    if let Some(limit) = l.p2o5_lb_ac.filter(|limit| over(row.p2o5_lb_ac, *limit)) {
        refusals.push(Refusal::Phosphate { asked: row.p2o5_lb_ac, limit });
    }
    if row.k2o_lb_ac > 0.0 && over(row.k2o_lb_ac, l.k2o_lb_ac) {
        refusals.push(Refusal::Potash { asked: row.k2o_lb_ac, limit: l.k2o_lb_ac, both: l.n_k_lb_ac });
    }
    let mut cautions = vec![if row.dry { Caution::Dry } else { Caution::Moisture }];
    if row.other_n_lb_ac > 0.0 && row.urea_n_lb_ac > 0.0 {
        cautions.push(Caution::OtherNitrogen);
    }
    let close = row.urea_n_lb_ac > 0.9 * l.urea_n_lb_ac && !over(row.urea_n_lb_ac, l.urea_n_lb_ac);
    if close && row.urea_n_lb_ac > 0.0 {
        cautions.push(Caution::Close);
    }
    Checked { limits: l, refusals, cautions }
}

#[cfg(test)]
#[path = "seed_row_tests.rs"]
mod tests;
