//! Ingredients: the shipped table, and how an own analysis takes the place of it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::nutrient::{Composition, Nutrient};
use crate::table;

/// An ingredient as the shipped table has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// Key, such as `barley`.
    pub key: String,
    /// As a person reads it.
    pub name: String,
    /// What it is: `grain`, `pulse`, `meal`, `fat`, `by-product`, `animal`, `amino acid`, `mineral`, `premix`, or
    /// `other analysis` for a second source of the same feed.
    pub group: String,
    /// What it holds.
    pub holds: Composition,
    /// Digestibility of each amino acid and of phosphorus, %, where known.
    pub digestible_pct: BTreeMap<Nutrient, f64>,
    /// Offered to rations; the rest are second opinions.
    pub offered: bool,
    /// How sure.
    pub sure: String,
    /// Where from.
    pub source: String,
    /// What to know of it.
    pub note: String,
}

#[derive(Deserialize)]
struct Row {
    key: String,
    name: String,
    group: String,
    dm_pct: Option<f64>,
    cp_pct: Option<f64>,
    cf_pct: Option<f64>,
    me_kcal_kg: Option<f64>,
    ne_kcal_kg: Option<f64>,
    ca_pct: Option<f64>,
    p_total_pct: Option<f64>,
    p_sttd_coef_pct: Option<f64>,
    p_sttd_pct: Option<f64>,
    na_pct: Option<f64>,
    lys_total_pct: Option<f64>,
    lys_sid_coef_pct: Option<f64>,
    lys_sid_pct: Option<f64>,
    met_sid_coef_pct: Option<f64>,
    met_sid_pct: Option<f64>,
    cys_sid_pct: Option<f64>,
    thr_sid_coef_pct: Option<f64>,
    thr_sid_pct: Option<f64>,
    trp_sid_coef_pct: Option<f64>,
    trp_sid_pct: Option<f64>,
    val_sid_coef_pct: Option<f64>,
    val_sid_pct: Option<f64>,
    ile_sid_coef_pct: Option<f64>,
    ile_sid_pct: Option<f64>,
    leu_sid_coef_pct: Option<f64>,
    leu_sid_pct: Option<f64>,
    his_sid_coef_pct: Option<f64>,
    his_sid_pct: Option<f64>,
    offered: u8,
    sure: String,
    source: String,
    note: String,
}

impl From<Row> for Ingredient {
    fn from(r: Row) -> Self {
        use Nutrient as N;
        let mut holds = Composition::default();
        let metcys = r.met_sid_pct.zip(r.cys_sid_pct).map(|(m, c)| m + c);
        for (n, value) in [
            (N::DryMatter, r.dm_pct),
            (N::Ne, r.ne_kcal_kg),
            (N::Me, r.me_kcal_kg),
            (N::Protein, r.cp_pct),
            (N::Fibre, r.cf_pct),
            (N::Ca, r.ca_pct),
            (N::P, r.p_total_pct),
            (N::SttdP, r.p_sttd_pct),
            (N::Na, r.na_pct),
            (N::LysTotal, r.lys_total_pct),
            (N::Lys, r.lys_sid_pct),
            (N::Met, r.met_sid_pct),
            (N::MetCys, metcys),
            (N::Thr, r.thr_sid_pct),
            (N::Trp, r.trp_sid_pct),
            (N::Val, r.val_sid_pct),
            (N::Ile, r.ile_sid_pct),
            (N::Leu, r.leu_sid_pct),
            (N::His, r.his_sid_pct),
        ] {
            if let Some(x) = value {
                holds.set(n, x);
            }
        }
        let digestible_pct = [
            (N::SttdP, r.p_sttd_coef_pct),
            (N::Lys, r.lys_sid_coef_pct),
            (N::Met, r.met_sid_coef_pct),
            (N::Thr, r.thr_sid_coef_pct),
            (N::Trp, r.trp_sid_coef_pct),
            (N::Val, r.val_sid_coef_pct),
            (N::Ile, r.ile_sid_coef_pct),
            (N::Leu, r.leu_sid_coef_pct),
            (N::His, r.his_sid_coef_pct),
        ]
        .into_iter()
        .filter_map(|(n, x)| Some((n, x?)))
        .collect();
        Self {
            key: r.key,
            name: r.name,
            group: r.group,
            holds,
            digestible_pct,
            offered: r.offered == 1,
            sure: r.sure,
            source: r.source,
            note: r.note,
        }
    }
}

/// The shipped table.
pub fn all() -> &'static [Ingredient] {
    static ALL: LazyLock<Vec<Ingredient>> = LazyLock::new(|| {
        table::shipped::<Row>("feed-ingredients", include_str!("../../../reference/feed-ingredients.csv"))
            .into_iter()
            .map(Ingredient::from)
            .collect()
    });
    &ALL
}

/// The ingredient of a key.
pub fn find(key: &str) -> Option<&'static Ingredient> {
    all().iter().find(|i| i.key == key)
}

/// Those offered to rations.
pub fn offered() -> impl Iterator<Item = &'static Ingredient> {
    all().iter().filter(|i| i.offered)
}

impl Ingredient {
    /// Whether the farm's mill weighs it on the small scale.
    pub fn is_micro(&self) -> bool {
        self.group == "amino acid"
    }

    /// Whether it is added by hand.
    pub fn is_hand_added(&self) -> bool {
        matches!(self.group.as_str(), "amino acid" | "mineral" | "premix")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_closes_on_itself() {
        let mut seen = std::collections::BTreeSet::new();
        for i in all() {
            assert!(seen.insert(&i.key), "{} is there twice", i.key);
            assert!(!i.source.is_empty() && !i.name.is_empty(), "{}", i.key);
            if let (Some(p), Some(digestible), Some(k)) = (
                i.holds.get(Nutrient::P),
                i.holds.get(Nutrient::SttdP),
                i.digestible_pct.get(&Nutrient::SttdP),
            ) {
                assert!((p * k / 100.0 - digestible).abs() < 1e-3, "{}", i.key);
            }
            if let (Some(t), Some(digestible), Some(k)) = (
                i.holds.get(Nutrient::LysTotal),
                i.holds.get(Nutrient::Lys),
                i.digestible_pct.get(&Nutrient::Lys),
            ) {
                assert!((t * k / 100.0 - digestible).abs() < 1.5e-3, "{}", i.key);
            }
            if let (Some(me), Some(ne)) = (i.holds.get(Nutrient::Me), i.holds.get(Nutrient::Ne)) {
                assert!(ne <= me, "{}", i.key);
            }
        }
        assert_eq!(offered().count(), 23);
        assert!(find("wheat_hrs").is_some() && find("oak").is_none());
    }
}
