//! From what a field wants to a plan that the seed bears: rates in whole pounds, what goes with the seed, where the rest
//! goes.

use serde::Serialize;
use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_book::payload::{
    DrillSetUp, FertilizerPlacement, FertilizerPlan, NutrientRates, SoilDescription, TextureClass,
};
use stook_fertility::FertilityParams;
use stook_fertility::product::Product;
use stook_fertility::seed_row::{Province, Texture};
use stook_fertility::seed_row_check::{Checked, Limits, SeedRow, check, limits};
use stook_fertility::stand_loss::Slope;
use stook_measure::units::{kg_ha_to_lb_ac, lb_ac_to_kg_ha};

/// How a seed row stands, in the tables' terms, and what of it was assumed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Texture.
    pub texture: Texture,
    /// Spread, in.
    pub spread_in: f64,
    /// Spacing, in.
    pub spacing_in: f64,
    /// A double disc.
    pub double_disc: bool,
    /// Table of phosphate.
    pub province: Province,
    /// Where the rest can go.
    pub band: FertilizerPlacement,
    /// What was assumed, in sentences.
    pub assumed: Vec<String>,
}

const CM_PER_IN: f64 = 2.54;

/// The farm's drill with its rows, if one is set up.
pub fn drill(farm: &Farm) -> Option<&DrillSetUp> {
    farm.drills.values().map(|d| &d.is).next()
}

/// The seed row of a field under the farm's drill.
pub fn row(farm: &Farm, record: &FieldRecord) -> Row {
    let mut assumed = Vec::new();
    let class = match &record.field().soil {
        SoilDescription::Class { class } => Some(*class),
        SoilDescription::Layers { layers } => layers.first().map(|l| {
            if l.clay_pct >= 40.0 {
                TextureClass::Clay
            } else if l.sand_pct >= 55.0 && l.clay_pct < 20.0 {
                TextureClass::SandyLoam
            } else {
                TextureClass::Loam
            }
        }),
        SoilDescription::NotKnown => None,
    };
    let texture = match class {
        Some(TextureClass::Sand | TextureClass::LoamySand | TextureClass::SandyLoam) => Texture::Light,
        Some(TextureClass::Clay | TextureClass::SiltyClay | TextureClass::SandyClay) => Texture::Heavy,
        Some(_) => Texture::Medium,
        None => {
            assumed.push("The soil is not known: light soil is taken, which bears least.".into());
            Texture::Light
        }
    };
    let province = match farm.set_up.as_ref().and_then(|f| f.is.place.region.as_deref()) {
        Some(r) if r.to_lowercase().contains("sask") => Province::Saskatchewan,
        _ => Province::Manitoba,
    };
    let Some(d) = drill(farm) else {
        assumed.push("The drill's rows are not in the book: 10 in rows with a 1 in spread are taken.".into());
        return Row {
            texture,
            spread_in: 1.0,
            spacing_in: 10.0,
            double_disc: false,
            province,
            band: FertilizerPlacement::SideBand,
            assumed,
        };
    };
    Row {
        texture,
        spread_in: d.spread_cm / CM_PER_IN,
        spacing_in: d.row_spacing_cm / CM_PER_IN,
        double_disc: d.double_disc,
        province,
        band: d.band,
        assumed,
    }
}

/// The seed row with amounts in it. Nitrogen that comes with phosphate (as in monoammonium phosphate) and sulphate is
/// told apart from urea.
pub fn filled(row: &Row, seed: &NutrientRates, dry: bool) -> SeedRow {
    let lb = kg_ha_to_lb_ac;
    let along = along_n_kg_ha(seed).min(seed.n_kg_ha);
    SeedRow {
        texture: row.texture,
        spread_in: row.spread_in,
        spacing_in: row.spacing_in,
        double_disc: row.double_disc,
        dry,
        province: row.province,
        urea_n_lb_ac: snug(lb(seed.n_kg_ha - along)),
        other_n_lb_ac: snug(lb(along)),
        p2o5_lb_ac: snug(lb(seed.p2o5_kg_ha)),
        k2o_lb_ac: snug(lb(seed.k2o_kg_ha)),
        anhydrous_n_lb_ac: 0.0,
    }
}

/// A whole pound that went through kilograms comes back whole.
fn snug(lb: f64) -> f64 {
    let whole = lb.round();
    if (lb - whole).abs() < 0.02 { whole } else { lb.max(0.0) }
}

/// Nitrogen that the usual phosphate and sulphate products bring along, kg/ha.
pub fn along_n_kg_ha(r: &NutrientRates) -> f64 {
    let share = |key: &str, of: fn(&Product) -> f64| Product::of(key).map_or(0.0, |p| p.n_pct / of(p));
    r.p2o5_kg_ha * share("map", |p| p.p2o5_pct) + r.s_kg_ha * share("ams", |p| p.s_pct)
}

/// A plan held against the seed-row limits.
pub fn safe(row: &Row, plan: &FertilizerPlan, dry: bool, f: &FertilityParams) -> Checked {
    let all = NutrientRates {
        n_kg_ha: plan.n_kg_ha,
        p2o5_kg_ha: plan.p2o5_kg_ha,
        k2o_kg_ha: plan.k2o_kg_ha,
        s_kg_ha: plan.s_kg_ha,
    };
    let seed =
        if plan.placement == FertilizerPlacement::SeedRow { all } else { plan.seed_row.unwrap_or_default() };
    check(&filled(row, &seed, dry), &f.seed_row)
}

/// A second opinion on urea beside the seed: plants lost, %, by the stand-loss equation; none without urea there.
pub fn stand_loss_pct(row: &Row, seed: &NutrientRates, dry: bool) -> Option<f64> {
    let r = filled(row, seed, dry);
    let slope = Slope::of("urea", "spring_wheat").filter(|_| r.urea_n_lb_ac > 0.5)?;
    Some(slope.loss_pct(r.urea_n_lb_ac * 100.0 / slope.n_pct, row.spread_in, row.spacing_in, 1.0))
}

/// The same in a sentence.
pub fn stand_loss_words(row: &Row, seed: &NutrientRates, dry: bool) -> Option<String> {
    let loss = stand_loss_pct(row, seed, dry)?;
    Some(format!(
        "A second opinion, South Dakota's stand-loss equation for moist soil: about {} % of the plants; 10 % is what most would bear.",
        stook_measure::figure(loss, 0)
    ))
}

/// Limits of an empty row, for a card.
pub fn bare_limits(row: &Row, f: &FertilityParams) -> Limits {
    limits(&filled(row, &NutrientRates::default(), false), &f.seed_row)
}

/// Rates in whole pounds, and the part of the phosphate that the seed bears beside it with its nitrogen.
pub fn round(
    n: f64,
    p2o5: f64,
    k2o: f64,
    s: f64,
    row: &Row,
    f: &FertilityParams,
) -> (NutrientRates, NutrientRates) {
    let lb = |x: f64| kg_ha_to_lb_ac(x).round().max(0.0);
    let back = lb_ac_to_kg_ha;
    let all = NutrientRates {
        n_kg_ha: back(lb(n)),
        p2o5_kg_ha: back(lb(p2o5)),
        k2o_kg_ha: back(lb(k2o)),
        s_kg_ha: back(lb(s)),
    };
    let limit = bare_limits(row, f).p2o5_lb_ac.unwrap_or(0.0);
    let p_seed = lb(p2o5).min(limit);
    let n_along = (p_seed * Product::of("map").map_or(0.0, |m| m.n_pct / m.p2o5_pct)).floor();
    let seed = NutrientRates {
        n_kg_ha: back(n_along.min(lb(n))),
        p2o5_kg_ha: back(p_seed),
        ..NutrientRates::default()
    };
    (all, seed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_measure::Reference;

    fn a_row(texture: Texture, spread: f64, spacing: f64) -> Row {
        Row {
            texture,
            spread_in: spread,
            spacing_in: spacing,
            double_disc: false,
            province: Province::Manitoba,
            band: FertilizerPlacement::SideBand,
            assumed: vec![],
        }
    }

    proptest! {
        #[test]
        fn what_is_proposed_is_never_refused(
            n in 0.0..170.0f64, p in 0.0..90.0f64, k in 0.0..60.0f64, s in 0.0..25.0f64, spread in 0.7..4.0f64, spacing in 6.0..14.0f64, t in 0usize..3,
        ) {
            let f = FertilityParams::from_reference(&Reference::shipped());
            let row = a_row([Texture::Light, Texture::Medium, Texture::Heavy][t], spread, spacing);
            let (all, seed) = round(n, p, k, s, &row, &f);
            prop_assert!(check(&filled(&row, &seed, false), &f.seed_row).is_safe(), "{:?} {:?}", seed, row);
            prop_assert!(seed.p2o5_kg_ha <= all.p2o5_kg_ha + 1e-9 && seed.n_kg_ha <= all.n_kg_ha + 1e-9);
        }
    }

    #[test]
    fn the_stand_loss_equation_gives_the_sheets_figure() {
        // hard red spring, 1 in furrow, 10 in rows, 9.6 lb N: 10 % of the stand (the worksheet's own case)
        let row = a_row(Texture::Medium, 1.0, 10.0);
        let seed = NutrientRates { n_kg_ha: lb_ac_to_kg_ha(9.6), ..NutrientRates::default() };
        assert!((stand_loss_pct(&row, &seed, false).unwrap() - 10.0).abs() < 0.1);
        assert_eq!(stand_loss_pct(&row, &NutrientRates::default(), false), None);
    }

    #[test]
    fn urea_over_the_limit_is_refused_with_a_way_out() {
        let f = FertilityParams::from_reference(&Reference::shipped());
        let row = a_row(Texture::Medium, 1.0, 10.0);
        let plan = FertilizerPlan {
            field: "a".into(),
            crop_year: 2026,
            n_kg_ha: lb_ac_to_kg_ha(80.0),
            p2o5_kg_ha: 0.0,
            k2o_kg_ha: 0.0,
            s_kg_ha: 0.0,
            seed_row: None,
            placement: FertilizerPlacement::SeedRow,
            products: vec![],
            target_yield_kg_ha: None,
            manure: None,
            why: None,
        };
        let refused = safe(&row, &plan, false, &f);
        assert!(!refused.is_safe());
        assert!(
            refused.refusals[0].sentence().contains("side or mid-row band"),
            "{}",
            refused.refusals[0].sentence()
        );
        assert!(
            safe(&row, &FertilizerPlan { placement: FertilizerPlacement::SideBand, ..plan }, false, &f)
                .is_safe()
        );
    }
}
