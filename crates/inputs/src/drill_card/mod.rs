//! The drill card of a field: seed rate, products, tanks, fills, the seed row checked, catches, and afterwards what went
//! on against the plan.

mod after;
mod left;
mod products;
mod seed;
mod tanks;
mod whole;

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::{Crop, FertilizerPlan, MachineKind, SeedLot, SeedLotId};
use stook_book::{Farm, FieldId};
use stook_crop::CropParams;
use stook_fertility::drill::Catch;
use stook_fertility::fills::{self, Layout};
use stook_fertility::{FertilityParams, Nutrients};
use stook_harvest::capacity::hectares_per_hour;
use stook_measure::{Reference, Working};

use self::after::{applied, catches, stand_words};
pub use self::left::{Leftover, TankAccount, leftovers};
use self::products::{conflicts, products};
use self::seed::{lot_words, seed, target};
use self::tanks::tanks;
pub use self::whole::{Amount, WholeJob, whole};
use crate::propose;
use crate::words::sentence;

/// What may be said for a card; all may be left.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CardAsked {
    /// Seed lot.
    pub lot: Option<SeedLotId>,
    /// Weeks past the best seeding date.
    pub weeks_late: Option<f64>,
    /// Soil at seed depth, C.
    pub soil_c: Option<f64>,
    /// A dry seedbed.
    pub dry: bool,
}

/// Seed of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Seed {
    /// Lot.
    pub lot: String,
    /// Cultivar.
    pub cultivar: Option<String>,
    /// Target stand, plants/m2.
    pub stand_m2: f64,
    /// Share of live seed that gives no plant.
    pub loss: f64,
    /// Rate, exact, kg/ha.
    pub exact_kg_ha: f64,
    /// Rate by the prairie short form, kg/ha.
    pub short_kg_ha: f64,
    /// For the whole field, kg.
    pub total_kg: f64,
    /// What to know of the lot.
    pub notes: Vec<String>,
    /// How reckoned.
    pub working: Working,
}

/// A product on the field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Rate, kg/ha.
    pub kg_ha: f64,
    /// In the seed row.
    pub with_seed: bool,
    /// For the whole field, kg.
    pub total_kg: f64,
    /// Totes of a tonne, and what is left of the last, kg.
    pub totes: (f64, f64),
}

/// A tank on the card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankLine {
    /// Name.
    pub name: String,
    /// What it holds, in words.
    pub holds: String,
    /// Rate, kg/ha.
    pub rate_kg_ha: f64,
    /// What a full tank takes, kg.
    pub full_kg: f64,
    /// How far it goes, ha; none when it is not in use.
    pub ha_per_fill: Option<f64>,
}

/// A catch worked out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CatchLine {
    /// What was caught.
    pub what: String,
    /// Day.
    pub on: Date,
    /// The result, or why there is none.
    pub is: Result<Catch, String>,
}

/// What went on against the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Applied {
    /// Planned, kg/ha.
    pub planned_kg_ha: Nutrients,
    /// Went on, kg/ha.
    pub went_on_kg_ha: Nutrients,
    /// In a sentence for each nutrient that is off by a tenth or more.
    pub said: Vec<String>,
}

/// Plants against the target.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stand {
    /// Counted, plants/m2.
    pub counted_m2: f64,
    /// Target, plants/m2.
    pub target_m2: f64,
    /// Day of the count.
    pub on: Date,
    /// In a sentence.
    pub said: String,
}

/// The card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Card {
    /// Key of the field.
    pub field: String,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Crop in words.
    pub crop: String,
    /// Crop year.
    pub crop_year: i16,
    /// Drill in words.
    pub drill: Option<String>,
    /// Seed, or what is missing for it.
    pub seed: Result<Seed, String>,
    /// Lots to choose from: key, words.
    pub lots: Vec<(String, String)>,
    /// Plan in force.
    pub plan: Option<FertilizerPlan>,
    /// Products.
    pub products: Vec<Line>,
    /// Where the products are from.
    pub products_from: String,
    /// Tanks.
    pub tanks: Vec<TankLine>,
    /// Refills, or why there are none.
    pub fills: Result<fills::Plan, String>,
    /// Hours with refills, the first fill standing ready.
    pub hours: Option<f64>,
    /// Why the seed row is refused; empty when it is not.
    pub refused: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Catches for what is on the card.
    pub catches: Vec<CatchLine>,
    /// What was left in the tanks.
    pub left: Vec<TankAccount>,
    /// As applied.
    pub applied: Option<Applied>,
    /// Stand.
    pub stand: Option<Stand>,
    /// What stands in for what is not known.
    pub assumed: Vec<String>,
}

/// Makes the card of a field.
pub fn card(
    farm: &Farm,
    shipped: &Reference,
    id: &FieldId,
    on: Date,
    crop_year: i16,
    soil_now_c: Option<f64>,
    asked: &CardAsked,
) -> Option<Card> {
    let record = farm.fields.get(id)?;
    let (reference, _) = farm.reference(shipped);
    let f = FertilityParams::from_reference(&reference);
    let c = CropParams::from_reference(&reference);
    let field = record.field();
    let crop = record.plan(crop_year).map_or(Crop::SpringWheat, |p| p.crop.clone());
    let mut assumed = Vec::new();
    let plan = record.fertilizer_plans.get(&crop_year).map(|p| p.is.clone());
    let row = propose::row(farm, record);
    assumed.extend(row.assumed.iter().cloned());
    let (products, products_from) = products(plan.as_ref(), field.area_ha);
    let same_crop: Vec<&SeedLot> =
        farm.seed_lots.values().map(|l| &l.is).filter(|l| l.crop == crop).collect();
    let lots = same_crop.iter().map(|l| (l.id.to_string(), lot_words(l))).collect();
    let used = record.seeded_in(crop_year).filter_map(|s| s.is.lot.clone()).last();
    let lot = asked
        .lot
        .as_ref()
        .or(used.as_ref())
        .and_then(|k| same_crop.iter().find(|l| l.id == *k))
        .or_else(|| same_crop.iter().find(|l| l.tkw_g.is_some() && l.germination_pct.is_some()))
        .copied();
    let seed = seed(farm, record, &crop, lot, crop_year, on, soil_now_c, asked, &c, &mut assumed);
    let seed_rate = seed.as_ref().map_or(0.0, |s| s.exact_kg_ha);
    let drill = propose::drill(farm);
    let (tanks, model_tanks) = tanks(drill, &products, seed_rate, &crop, &f, &mut assumed);
    let fills = if drill.is_none() {
        Err("Give the drill's tanks first: Set-up, Drill: rows and tanks.".to_string())
    } else if model_tanks.is_empty() {
        Err("Nothing flows yet: give a seed lot and accept a fertilizer plan.".to_string())
    } else {
        fills::plan(field.area_ha, &model_tanks, Layout::FullThenRest).map_err(|e| sentence(&e.to_string()))
    };
    let machine = farm.machine(MachineKind::Drill);
    let hours = machine.zip(fills.as_ref().ok()).map(|(m, plan)| {
        let efficiency =
            m.field_efficiency.unwrap_or_else(|| reference.get("season.machine.drill.efficiency"));
        let rate = hectares_per_hour(m.width_m, m.speed_kmh, efficiency);
        let refill_h = drill.and_then(|d| d.refill_min).unwrap_or(30.0) / 60.0;
        fills::hours(field.area_ha, rate, plan.fills.len(), refill_h, true)
    });
    let (mut refused, mut cautions) = (Vec::new(), Vec::new());
    if let Some(p) = &plan {
        let checked = propose::safe(&row, p, asked.dry, &f);
        refused = checked.refusals.iter().map(|r| r.sentence()).collect();
        cautions.extend(checked.cautions.iter().map(|x| x.sentence().to_string()));
        cautions.extend(propose::stand_loss_words(&row, &p.seed_row.unwrap_or_default(), asked.dry));
    }
    cautions.extend(conflicts(&products));
    if products.iter().any(|p| p.key == "anhydrous") {
        cautions.push(stook_fertility::safety::ANHYDROUS.into());
    }
    cautions.push("Keep hands and loose clothes out of augers and meters; block the drill and take the key before reaching in. Treated seed: gloves and dust mask, as its label says.".into());
    let stand = record.emergence.iter().rev().find(|e| e.on().year() == crop_year).and_then(|e| {
        let counted = e.is.plants_per_m2?;
        let target = seed
            .as_ref()
            .map_or_else(|_| target(farm, record, crop_year, on, asked, &c, &reference).0, |s| s.stand_m2);
        Some(Stand {
            counted_m2: counted,
            target_m2: target,
            on: e.on(),
            said: stand_words(counted, target, seed.as_ref().ok(), record, crop_year),
        })
    });
    Some(Card {
        field: id.to_string(),
        name: field.name.clone(),
        area_ha: field.area_ha,
        crop: crop.words().to_string(),
        crop_year,
        drill: machine.map(|m| m.name.clone()),
        seed,
        lots,
        applied: applied(record, crop_year, plan.as_ref()),
        plan,
        products,
        products_from,
        left: left::accounts(record, crop_year, on, &tanks),
        tanks,
        fills,
        hours,
        refused,
        cautions,
        catches: catches(farm, &f),
        stand,
        assumed,
    })
}
