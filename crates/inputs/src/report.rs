//! One field's sheet, and the farm's: what the tests say, what each field wants, what is decided.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::{Crop, FertilizerPlan, NutrientRates};
use stook_book::{Farm, FieldId};
use stook_fertility::response::Follow;
use stook_fertility::response::premium::Premium;
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::units::kg_ha_to_lb_ac;
use stook_measure::{Range, Reference, figure};
use stook_season::ceiling::Ceiling;

use crate::balance::{self, ByLoads, Year};
use crate::manure::credit::{Credit as ManureCredit, credit, evening};
use crate::nitrogen::{Asked, Nitrogen, nitrogen};
use crate::nutrients::{self, Row};
use crate::params::InputsParams;
use crate::prices::{NutrientPrices, assumed_sentence, nutrient_prices};
use crate::propose;
use crate::soil::{self, Soil};
pub use crate::taken::{by_philosophy, of_rates, usual_yield_kg_ha, year_decided_on};
use crate::taken::{by_sulphur, credit_of, expected_yield, wheat_price};
use crate::top_up::{TopUp, top_up};

/// What a person may choose on a field's sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choices {
    /// Need a bushel, key of the table.
    pub need: String,
    /// How the curve follows its ceiling.
    pub follow: Follow,
    /// Yield aimed at, kg/ha; none for the outlook's middle.
    pub target_kg_ha: Option<f64>,
    /// Credit for the crop before, key of the table; none for what the crop before suggests.
    pub credit: Option<String>,
    /// Nitrogen from manure, kg/ha; none for what the book says.
    pub manure_n_kg_ha: Option<f64>,
    /// Phosphate and potash by `sufficiency`, `build`, `replacement` or `table`.
    pub philosophy: String,
}

impl Default for Choices {
    fn default() -> Self {
        Self {
            need: "minnesota".into(),
            follow: Follow::NeedPerYield,
            target_kg_ha: None,
            credit: None,
            manure_n_kg_ha: None,
            philosophy: "sufficiency".into(),
        }
    }
}

/// A field's sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldReport {
    /// Key.
    pub field: String,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Crop year.
    pub crop_year: i16,
    /// Crop planned, in words; none when no plan is written.
    pub crop: Option<String>,
    /// Crop before, in words.
    pub crop_before: Option<String>,
    /// The tests.
    pub soil: Soil,
    /// Yield ceiling over the weathers, kg/ha.
    pub ceiling_kg_ha: Option<Range>,
    /// Yield the budget aims at, kg/ha.
    pub target_kg_ha: Option<f64>,
    /// Nitrogen, for wheat.
    pub nitrogen: Option<Nitrogen>,
    /// More nitrogen on the growing crop; none before seeding and after the cut.
    pub top_up: Option<TopUp>,
    /// What was taken for the soil's nitrate, kg/ha, and why.
    pub nitrate_taken: (f64, String),
    /// Credit used: words, kg/ha.
    pub credit: (String, f64),
    /// What manure in the book gives this crop.
    pub manure: ManureCredit,
    /// The part of it that takes the place of fertilizer in what is proposed, kg/ha.
    pub manure_counted_kg_ha: Nutrients,
    /// What that fertilizer would cost, money a ha.
    pub manure_spares_ha: f64,
    /// The others.
    pub nutrients: Vec<Row>,
    /// Proposed, all places together.
    pub proposed: NutrientRates,
    /// Proposed with the seed.
    pub proposed_seed: NutrientRates,
    /// Seed row the limits are for.
    pub row: propose::Row,
    /// The plan in the book, if there is one.
    pub plan: Option<FertilizerPlan>,
    /// Seasons on record.
    pub balance: Vec<Year>,
    /// Prices of the nutrients.
    pub prices: NutrientPrices,
    /// Price of wheat, money a kg.
    pub wheat_per_kg: f64,
    /// What stands in for what is not known.
    pub assumed: Vec<String>,
    /// What was chosen.
    pub choices: Choices,
}

/// Everything on one field.
pub fn field_report(
    farm: &Farm,
    shipped: &Reference,
    ceilings: &[Ceiling],
    id: &FieldId,
    on: Date,
    crop_year: i16,
    choices: &Choices,
) -> Option<FieldReport> {
    let (reference, _) = farm.reference(shipped);
    let loads = ByLoads::of(farm, &reference, on);
    report(farm, &reference, ceilings, id, on, crop_year, choices, &loads)
}

#[allow(clippy::too_many_arguments)]
fn report(
    farm: &Farm,
    reference: &Reference,
    ceilings: &[Ceiling],
    id: &FieldId,
    on: Date,
    crop_year: i16,
    choices: &Choices,
    loads: &ByLoads,
) -> Option<FieldReport> {
    let record = farm.fields.get(id)?;
    let f = FertilityParams::from_reference(reference);
    let p = InputsParams::from_reference(reference);
    let mut assumed = Vec::new();
    let soil = soil::soil(record, on, &f);
    let plan = record.plan(crop_year);
    let crop = plan.map_or(Crop::SpringWheat, |x| x.crop.clone());
    let wheat = matches!(crop, Crop::SpringWheat | Crop::Durum);
    let before = record.plan(crop_year - 1).map(|x| x.crop.clone());
    let own: Vec<f64> =
        ceilings.iter().find(|c| c.field == id.as_str()).map(|c| c.yields_kg_ha.clone()).unwrap_or_default();
    let ceiling_kg_ha = Range::of(&own);
    let prices = nutrient_prices(farm, reference, on);
    assumed.extend(assumed_sentence(&prices));
    let wheat_per_kg = wheat_price(farm, reference, on, &mut assumed);
    let target_kg_ha =
        choices.target_kg_ha.or_else(|| expected_yield(record, &crop, ceiling_kg_ha, crop_year));
    let nitrate_taken = match soil.used.nitrate_kg_ha {
        Some(x) if !soil.used.nitrate_stale => {
            let part = if soil.used.nitrate_complete {
                "measured to 60 cm"
            } else {
                "measured, not to 60 cm: the rest is not guessed"
            };
            (x, part.to_string())
        }
        stale => {
            let why =
                if stale.is_some() { "the test is from before the last crop" } else { "there is no test" };
            assumed.push(format!(
                "Nitrate: {why}, so {} lb/ac stands in.",
                figure(kg_ha_to_lb_ac(p.nitrate_without_test_kg_ha), 0)
            ));
            (p.nitrate_without_test_kg_ha, format!("assumed, as {why}"))
        }
    };
    let previous = credit_of(before.as_ref(), record, crop_year, choices.credit.as_deref());
    let premium = farm.premiums.values().map(|x| &x.is).next().map(|x| Premium {
        base_pct: x.base_pct,
        up_per_point: x.up_per_t_point / 1000.0,
        down_per_point: x.down_per_t_point / 1000.0,
        cap_pct: x.cap_pct,
        step_pct: x.step_pct,
    });
    let mut manure = credit(farm, record, crop_year, evening(on), &f);
    if let Some(n) = choices.manure_n_kg_ha {
        manure.gives_kg_ha.n = n;
    }
    let asked = Asked {
        ceilings_kg_ha: own.clone(),
        target_kg_ha: target_kg_ha.unwrap_or(0.0),
        need: choices.need.clone(),
        follow: choices.follow,
        nitrate_kg_ha: nitrate_taken.0,
        previous_crop_kg_ha: previous.1,
        manure_kg_ha: manure.gives_kg_ha.n,
        n_per_kg: prices.per_kg.n,
        wheat_per_kg,
        premium,
    };
    let top_up = if wheat { top_up(record, crop_year, on, &asked, &f, &p) } else { None };
    let without = Asked { manure_kg_ha: 0.0, ..asked.clone() };
    let nitrogen_of = |a: &Asked| wheat.then(|| nitrogen(a, &f, &p));
    let nitrogen = nitrogen_of(&asked);
    let yield_for_others = target_kg_ha.unwrap_or(0.0);
    let removal =
        balance::grain_removal(&crop, yield_for_others).map_or(Nutrients::NONE, |t| t.middle_kg_ha());
    let rows = nutrients::rows(farm, crop.key(), &soil.used, yield_for_others, removal, &f);
    let row = propose::row(farm, record);
    assumed.extend(row.assumed.iter().cloned());
    let by = |key: &str| {
        rows.iter().find(|r| r.key == key).and_then(|r| by_philosophy(r, &choices.philosophy)).unwrap_or(0.0)
    };
    // legumes and hay make their own, and fallow grows nothing
    let makes_own = matches!(crop, Crop::Peas | Crop::Hay | Crop::Fallow);
    let nothing = if crop == Crop::Fallow { 0.0 } else { 1.0 };
    let n_of = |x: Option<&Nitrogen>, manure: f64| match x {
        _ if makes_own => 0.0,
        Some(x) => x
            .pays
            .as_ref()
            .map(|y| y.n_kg_ha)
            .or_else(|_| x.budget.as_ref().map(|b| b.fertilizer_kg_ha))
            .unwrap_or(0.0),
        None => (removal.n - manure).max(0.0),
    };
    let proposal = |n: f64, there: Nutrients| {
        let left = |need: f64, there: f64| (need - there).max(0.0);
        propose::round(
            n,
            left(by("p2o5") * nothing, there.p2o5),
            left(by("k2o") * nothing, there.k2o),
            left(by_sulphur(&rows, &crop), there.s),
            &row,
            &f,
        )
    };
    let gives = manure.gives_kg_ha;
    let (proposed, proposed_seed) = proposal(n_of(nitrogen.as_ref(), gives.n), gives);
    let mut manure_counted_kg_ha = Nutrients::NONE;
    if gives != Nutrients::NONE {
        let (alone, _) = proposal(n_of(nitrogen_of(&without).as_ref(), 0.0), Nutrients::NONE);
        // Whole pounds on both sides may make more of it than there is.
        manure_counted_kg_ha = of_rates(&proposed).short_of(of_rates(&alone)).map_with(gives, f64::min);
    }
    let manure_spares_ha = manure_counted_kg_ha.worth(prices.per_kg);
    if plan.is_none() {
        assumed.push(format!("No crop is written for {crop_year}: spring wheat is taken."));
    } else if !wheat {
        assumed.push(format!("Stook has no curve for {}: its nitrogen is what the grain takes; use your guide and write your own rate.", crop.words()));
    }
    Some(FieldReport {
        field: id.to_string(),
        name: record.field().name.clone(),
        area_ha: record.field().area_ha,
        crop_year,
        crop: plan.map(|x| x.crop.words().to_string()),
        crop_before: before.map(|c| c.words().to_string()),
        soil,
        ceiling_kg_ha,
        target_kg_ha,
        nitrogen,
        top_up,
        nitrate_taken,
        credit: previous,
        manure,
        manure_counted_kg_ha,
        manure_spares_ha,
        nutrients: rows,
        proposed,
        proposed_seed,
        row,
        plan: record.fertilizer_plans.get(&crop_year).map(|x| x.is.clone()),
        balance: balance::balance(farm, record, on, loads, &f),
        prices,
        wheat_per_kg,
        assumed,
        choices: choices.clone(),
    })
}

/// The farm's sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FarmReport {
    /// Crop year.
    pub crop_year: i16,
    /// Every field that grows something, by name.
    pub fields: Vec<FieldReport>,
    /// Accepted, kg of each nutrient over the farm.
    pub decided_kg: Nutrients,
    /// What the fields without a plan would take as proposed, kg.
    pub open_kg: Nutrients,
    /// Fields with a plan.
    pub decided: usize,
}

/// All fields of the farm.
pub fn farm_report(
    farm: &Farm,
    shipped: &Reference,
    ceilings: &[Ceiling],
    on: Date,
    crop_year: i16,
) -> FarmReport {
    let (reference, _) = farm.reference(shipped);
    let (loads, choices) = (ByLoads::of(farm, &reference, on), Choices::default());
    let mut fields: Vec<FieldReport> = farm
        .fields
        .keys()
        .filter_map(|id| report(farm, &reference, ceilings, id, on, crop_year, &choices, &loads))
        .collect();
    fields.sort_by(|a, b| a.name.cmp(&b.name));
    let (mut decided_kg, mut open_kg, mut decided) = (Nutrients::NONE, Nutrients::NONE, 0);
    for r in &fields {
        match &r.plan {
            Some(p) => {
                decided += 1;
                decided_kg +=
                    Nutrients::new(p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha).times(r.area_ha);
            }
            None => {
                open_kg += Nutrients::new(
                    r.proposed.n_kg_ha,
                    r.proposed.p2o5_kg_ha,
                    r.proposed.k2o_kg_ha,
                    r.proposed.s_kg_ha,
                )
                .times(r.area_ha)
            }
        }
    }
    FarmReport { crop_year, fields, decided_kg, open_kg, decided }
}
