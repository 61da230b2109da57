//! What pigs need, by phase and sex.
//!
//! Tables: NRC 2012 for growing pigs, Farmer (ed.) 2015 for milk, NRC 2012 from memory for sows in pig. Lysine is kept in
//! proportion to net energy, other amino acids in proportion to lysine; a margin stands apart and is never hidden.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::FeedParams;
use crate::nutrient::Nutrient;
use crate::table;

macro_rules! phases {
    ($($variant:ident = $key:literal, $row:literal, $words:literal;)+) => {
        /// A phase of feeding.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Phase { $(#[doc = $words] #[serde(rename = $key)] $variant,)+ }

        impl Phase {
            /// Every phase, youngest first.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];
            /// As written in the book.
            pub const fn key(self) -> &'static str { match self { $(Self::$variant => $key,)+ } }
            /// As a person reads it.
            pub const fn words(self) -> &'static str { match self { $(Self::$variant => $words,)+ } }
            const fn row(self) -> &'static str { match self { $(Self::$variant => $row,)+ } }
        }
    };
}

phases! {
    Starter1 = "starter_1", "starter_1", "starter, 5-7 kg";
    Starter2 = "starter_2", "starter_2", "starter, 7-11 kg";
    Starter3 = "starter_3", "starter_3", "starter, 11-25 kg";
    Grower1 = "grower_1", "grower_1", "grower, 25-50 kg";
    Grower2 = "grower_2", "grower_2", "grower, 50-75 kg";
    Finisher1 = "finisher_1", "finisher_1", "finisher, 75-100 kg";
    Finisher2 = "finisher_2", "finisher_2", "finisher, 100-135 kg";
    Gestation = "gestation", "gestation_2_early", "sows in pig";
    Lactation = "lactation", "lactation_2p_230_min", "sows in milk";
}

impl Phase {
    /// The phase of a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|p| p.key() == key)
    }

    /// The phase a growing pig of this weight is in.
    pub fn at_kg(kg: f64) -> Self {
        match kg {
            x if x < 7.0 => Self::Starter1,
            x if x < 11.0 => Self::Starter2,
            x if x < 25.0 => Self::Starter3,
            x if x < 50.0 => Self::Grower1,
            x if x < 75.0 => Self::Grower2,
            x if x < 100.0 => Self::Finisher1,
            _ => Self::Finisher2,
        }
    }

    /// Sows, whose litters a toxin takes first.
    pub fn is_sow(self) -> bool {
        matches!(self, Self::Gestation | Self::Lactation)
    }

    /// Pigs up to 25 kg.
    pub fn is_young(self) -> bool {
        matches!(self, Self::Starter1 | Self::Starter2 | Self::Starter3)
    }

    /// First in line to be hurt by a toxin: sows and the nursery.
    pub fn is_delicate(self) -> bool {
        self.is_sow() || self.is_young()
    }

    /// Weight range, kg, of growing pigs.
    pub fn kg(self) -> Option<(f64, f64)> {
        let r = row(self.row())?;
        (!self.is_sow()).then_some((r.bw_from_kg?, r.bw_to_kg?))
    }
}

/// Whose intake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Sex {
    /// Together.
    #[default]
    Mixed,
    /// Gilts.
    Gilt,
    /// Barrows.
    Barrow,
}

impl Sex {
    /// The sex of a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Some(match key {
            "mixed" => Self::Mixed,
            "gilt" => Self::Gilt,
            "barrow" => Self::Barrow,
            _ => return None,
        })
    }
}

/// A row of the requirement table.
#[derive(Debug, Clone, Deserialize)]
pub struct Row {
    /// Key.
    pub key: String,
    /// As printed.
    pub stage: String,
    /// From this weight, kg.
    pub bw_from_kg: Option<f64>,
    /// To this weight, kg.
    pub bw_to_kg: Option<f64>,
    /// Net energy of the table's diet, kcal/kg.
    pub ne_kcal_kg: Option<f64>,
    /// Metabolizable energy of it, kcal/kg.
    pub me_kcal_kg: Option<f64>,
    /// Taken a day, kcal ME.
    pub me_intake_kcal_d: Option<f64>,
    /// Feed a day with 5 % waste, g.
    pub feed_incl_5pct_waste_g_d: Option<f64>,
    /// Gain a day, g.
    pub adg_g_d: Option<f64>,
    /// Calcium, %.
    pub ca_total_pct: Option<f64>,
    /// Digestible phosphorus, %.
    pub p_sttd_pct: Option<f64>,
    /// Sodium, %.
    pub na_pct: Option<f64>,
    /// Lysine, %.
    pub lys_sid_pct: Option<f64>,
    /// Methionine, %.
    pub met_sid_pct: Option<f64>,
    /// Methionine and cystine, %.
    pub metcys_sid_pct: Option<f64>,
    /// Threonine, %.
    pub thr_sid_pct: Option<f64>,
    /// Tryptophan, %.
    pub trp_sid_pct: Option<f64>,
    /// Valine, %.
    pub val_sid_pct: Option<f64>,
    /// Isoleucine, %.
    pub ile_sid_pct: Option<f64>,
    /// How sure.
    pub sure: String,
    /// Where from.
    pub source: String,
}

/// The requirement table.
pub fn rows() -> &'static [Row] {
    static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
        table::shipped("feed-pig-requirements", include_str!("../../../reference/feed-pig-requirements.csv"))
    });
    &ROWS
}

/// One row.
pub fn row(key: &str) -> Option<&'static Row> {
    rows().iter().find(|r| r.key == key)
}

/// Which set of amino acid ratios.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum RatioSet {
    /// As formulators in the printed diets have them: somewhat higher.
    #[default]
    Formulators,
    /// From the NRC table.
    Table,
}

#[derive(Debug, Deserialize)]
struct RatioRow {
    set: String,
    from_kg: f64,
    to_kg: f64,
    met: f64,
    metcys: f64,
    thr: f64,
    trp: f64,
    val: f64,
    ile: f64,
}

/// Amino acids over lysine, in the order of [`Nutrient::RATIOED`].
pub type Ratios = [f64; 6];

fn ratios(phase: Phase, set: RatioSet) -> Ratios {
    static ROWS: LazyLock<Vec<RatioRow>> = LazyLock::new(|| {
        table::shipped("feed-lysine-ratios", include_str!("../../../reference/feed-lysine-ratios.csv"))
    });
    let (name, kg) = match (phase, set) {
        (Phase::Gestation, _) => ("gestation", 1.0),
        (Phase::Lactation, _) => ("lactation", 1.0),
        (p, RatioSet::Table) => ("table", p.kg().map_or(30.0, |(a, _)| a)),
        (p, RatioSet::Formulators) => ("formulators", p.kg().map_or(30.0, |(a, _)| a)),
    };
    let r = ROWS
        .iter()
        .find(|r| r.set == name && (r.from_kg..r.to_kg).contains(&kg))
        .expect("every phase has its ratios; a test asks for all");
    [r.met, r.metcys, r.thr, r.trp, r.val, r.ile]
}

/// What a diet must hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Need {
    /// Phase.
    pub phase: Phase,
    /// Lowest net energy, kcal/kg.
    pub ne_kcal_kg: f64,
    /// Digestible lysine for each Mcal of net energy, g, margin included.
    pub lys_g_mcal: f64,
    /// The margin in it, as a share.
    pub margin: f64,
    /// Amino acids over lysine.
    pub ratios: Ratios,
    /// Digestible phosphorus, %, margin included.
    pub sttd_p_pct: f64,
    /// Of it, released by phytase, %.
    pub phytase_p_pct: f64,
    /// Least calcium, %.
    pub ca_min_pct: f64,
    /// Most calcium, %.
    pub ca_max_pct: f64,
    /// Sodium, %.
    pub na_min_pct: f64,
    /// Most calcium over total phosphorus, if held.
    pub ca_per_p_max: Option<f64>,
    /// Premix, share.
    pub premix_share: f64,
    /// Most DON, ppm, if known for the class.
    pub don_max_ppm: Option<f64>,
}

/// What has been chosen about a need.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Choices {
    /// Sex.
    pub sex: Sex,
    /// Ratios.
    pub set: RatioSet,
    /// Margin in place of the usual one, as a share.
    pub margin: Option<f64>,
    /// Digestible phosphorus from phytase, %.
    pub phytase_p_pct: Option<f64>,
}

/// The need of a phase.
///
/// Sex: the same grams a day in more or less feed, so lysine for each Mcal is the table's times the table's intake over
/// the sex's own (our reading; no table by sex was at hand).
pub fn need(p: &FeedParams, phase: Phase, c: Choices) -> Need {
    let r = row(phase.row()).expect("every phase has its row");
    let (ne, lys) = (r.ne_kcal_kg.unwrap_or(2475.0), r.lys_sid_pct.unwrap_or(0.6));
    let usual = if phase.is_delicate() { p.margin_young_and_sows } else { p.margin_growing };
    let margin = c.margin.unwrap_or(usual);
    let by_sex = phase.kg().filter(|_| phase.kg().is_some_and(|(a, _)| a >= 25.0)).map_or(1.0, |(a, b)| {
        let mid = f64::midpoint(a, b);
        crate::growth::me_intake_kcal_d(p, Sex::Mixed, mid) / crate::growth::me_intake_kcal_d(p, c.sex, mid)
    });
    let lys_g_mcal = lys * 1e4 / ne * (1.0 + margin) * by_sex;
    let floor = match phase {
        Phase::Gestation => p.ne_gestation,
        Phase::Finisher1 | Phase::Finisher2 => p.ne_finisher,
        _ => p.ne_young,
    };
    // Minerals go with energy as lysine does.
    let thinner = floor / ne;
    let ca = r.ca_total_pct.unwrap_or(0.5) * thinner;
    let na = r.na_pct.unwrap_or(0.1);
    Need {
        phase,
        ne_kcal_kg: floor,
        lys_g_mcal,
        margin,
        ratios: ratios(phase, c.set),
        sttd_p_pct: r.p_sttd_pct.unwrap_or(0.2) * thinner * (1.0 + margin),
        phytase_p_pct: c.phytase_p_pct.unwrap_or(p.phytase_sttd_p_pct),
        ca_min_pct: ca,
        ca_max_pct: ca + p.calcium_room_pct,
        na_min_pct: if phase.is_young() || phase.is_sow() { na } else { na.max(p.sodium_growing_pct) },
        ca_per_p_max: Some(p.ca_p_max),
        premix_share: p.premix_share,
        don_max_ppm: crate::toxin::limit("don", phase).map(|l| l.limit),
    }
}

impl Need {
    /// Lysine a diet of net energy `ne` must hold, %.
    pub fn lys_pct(&self, ne_kcal_kg: f64) -> f64 {
        self.lys_g_mcal * ne_kcal_kg / 1e4
    }

    /// The ratio of an amino acid to lysine, if it is held to one.
    pub fn ratio(&self, n: Nutrient) -> Option<f64> {
        Nutrient::RATIOED.iter().position(|x| *x == n).map(|i| self.ratios[i])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_closes() {
        for r in rows().iter().filter(|r| r.stage.ends_with("kg") && r.bw_from_kg.is_some()) {
            let (Some(me), Some(f), Some(d)) = (r.me_intake_kcal_d, r.feed_incl_5pct_waste_g_d, r.me_kcal_kg)
            else {
                continue;
            };
            assert!((me - 0.95 * f / 1000.0 * d).abs() < 1.6, "{}: {me} {}", r.key, 0.95 * f / 1000.0 * d);
        }
    }

    #[test]
    fn every_phase_has_a_need_that_falls_as_pigs_grow() {
        let p = FeedParams::shipped();
        let all: Vec<Need> = Phase::ALL.iter().map(|f| need(p, *f, Choices::default())).collect();
        for w in all[..7].windows(2) {
            assert!(w[1].lys_g_mcal < w[0].lys_g_mcal && w[1].sttd_p_pct < w[0].sttd_p_pct);
        }
        let (barrow, gilt) = (
            need(p, Phase::Finisher1, Choices { sex: Sex::Barrow, ..Choices::default() }),
            need(p, Phase::Finisher1, Choices { sex: Sex::Gilt, ..Choices::default() }),
        );
        assert!(gilt.lys_g_mcal > barrow.lys_g_mcal);
        assert_eq!(Phase::at_kg(26.0), Phase::Grower1);
    }
}
