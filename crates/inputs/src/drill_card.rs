//! The drill card of a field: seed rate, products, tanks, fills, the seed row checked, catches, and afterwards what went
//! on against the plan.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::FieldRecord;
use stook_book::payload::{
    Crop, FertilizerPlacement, FertilizerPlan, MachineKind, NutrientRates, SeedLot, SeedLotId,
};
use stook_book::{Farm, FieldId};
use stook_crop::CropParams;
use stook_crop::seeding::{self, Region};
use stook_fertility::blend::{self, by_hand};
use stook_fertility::drill::{Catch, calibrate, strip_ha};
use stook_fertility::fills::{self, Layout, Tank, packages};
use stook_fertility::product::{Product, conflict, lb_ft3_to_kg_m3};
use stook_fertility::{FertilityParams, Nutrients};
use stook_harvest::capacity::hectares_per_hour;
use stook_measure::units::{KG_PER_LB, L_PER_US_BUSHEL, kg_ha_to_lb_ac, per_m2_to_per_ft2};
use stook_measure::{Op, Reference, Working, figure};

use crate::balance::{self, nutrients_of};
use crate::propose;

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
    }
    cautions.extend(conflicts(&products));
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

fn lot_words(l: &SeedLot) -> String {
    l.cultivar.as_ref().map_or_else(|| l.id.to_string(), |c| format!("{} ({c})", l.id))
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        format!("{}{}.", c.to_uppercase(), letters.as_str().trim_end_matches('.'))
    })
}

/// Products of a plan: those written in it, or the usual four by hand, what goes with the seed first.
fn products(plan: Option<&FertilizerPlan>, area_ha: f64) -> (Vec<Line>, String) {
    let Some(p) = plan else { return (Vec::new(), "No plan is accepted for this field and year.".into()) };
    let line = |key: &str, name: &str, kg_ha: f64, with_seed: bool| Line {
        key: key.into(),
        name: name.into(),
        kg_ha,
        with_seed,
        total_kg: kg_ha * area_ha,
        totes: packages(kg_ha * area_ha, 1000.0),
    };
    if !p.products.is_empty() {
        let all = p
            .products
            .iter()
            .map(|x| {
                line(
                    &x.product,
                    Product::of(&x.product).map_or(x.product.as_str(), |k| k.name.as_str()),
                    x.kg_ha,
                    x.with_seed,
                )
            })
            .collect();
        return (all, "As chosen in the plan.".into());
    }
    let usual = blend::usual();
    let seed = if p.placement == FertilizerPlacement::SeedRow { None } else { p.seed_row };
    let whole = Nutrients::new(p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha);
    let all_with_seed = p.placement == FertilizerPlacement::SeedRow;
    let mut out: Vec<Line> = Vec::new();
    let mut put = |need: Nutrients, with_seed: bool| -> Nutrients {
        let Ok(b) = by_hand(need, &usual) else { return Nutrients::NONE };
        for (product, kg) in [
            (usual.p2o5, b.p2o5_product),
            (usual.s, b.s_product),
            (usual.k2o, b.k2o_product),
            (usual.n, b.n_product),
        ] {
            if kg > 0.05 {
                out.push(line(&product.key, &product.name, kg, with_seed));
            }
        }
        b.supplied
    };
    let mut given = Nutrients::NONE;
    if let Some(s) = seed {
        // phosphate brings its own nitrogen; urea is for what is asked beyond it
        given = put(Nutrients::new(beyond_along(&s), s.p2o5_kg_ha, s.k2o_kg_ha, s.s_kg_ha), true);
    }
    put(given.short_of(whole), all_with_seed);
    (out, "Urea, monoammonium phosphate, potash and ammonium sulphate by hand; a cheaper blend may be on the order page.".into())
}

/// Nitrogen with the seed, unless it is only what rides along with the phosphate.
fn beyond_along(s: &NutrientRates) -> f64 {
    let along = propose::along_n_kg_ha(s);
    if s.n_kg_ha <= along + 1.2 { 0.0 } else { s.n_kg_ha }
}

fn conflicts(products: &[Line]) -> Vec<String> {
    let mut out = Vec::new();
    for (i, a) in products.iter().enumerate() {
        for b in &products[i + 1..] {
            if let Some(why) = conflict(&a.key, &b.key) {
                out.push(sentence(why));
            }
        }
    }
    out
}

fn region(farm: &Farm) -> (Region, &'static str) {
    let text =
        farm.set_up.as_ref().and_then(|f| f.is.place.region.clone()).unwrap_or_default().to_lowercase();
    if text.contains("sask") || text.contains("albert") {
        (Region::Saskatchewan, "Saskatchewan")
    } else if text.contains("north dak") || text.contains("minnes") {
        (Region::NorthDakota, "North Dakota and Minnesota")
    } else if text.contains("south dak") {
        (Region::SouthDakota, "South Dakota")
    } else {
        (Region::Manitoba, "Manitoba")
    }
}

/// Target stand, plants/m2, weeks late and whose target it is.
fn target(
    farm: &Farm,
    record: &FieldRecord,
    year: i16,
    on: Date,
    asked: &CardAsked,
    c: &CropParams,
    r: &Reference,
) -> (f64, f64, &'static str) {
    let (region, words) = region(farm);
    let best = record.plan(year).and_then(|p| p.best_seeding_until).or_else(|| {
        let doy = r.get("crop.yield.best_day") as i64;
        Date::new(year, 1, 1).ok()?.checked_add(jiff::Span::new().days(doy - 1)).ok()
    });
    let day = record.seeded_on(year).unwrap_or(on);
    let late = asked
        .weeks_late
        .unwrap_or_else(|| {
            best.filter(|_| day.year() == year).map_or(0.0, |b| f64::from((day - b).get_days()) / 7.0)
        })
        .max(0.0);
    let late = if record.seeded_on(year).is_none() && day.month() > 6 { 0.0 } else { late };
    (seeding::target_stand_m2(region, late, &c.seeding), late, words)
}

#[allow(clippy::too_many_arguments)]
fn seed(
    farm: &Farm,
    record: &FieldRecord,
    crop: &Crop,
    lot: Option<&SeedLot>,
    year: i16,
    on: Date,
    soil_now_c: Option<f64>,
    asked: &CardAsked,
    c: &CropParams,
    assumed: &mut Vec<String>,
) -> Result<Seed, String> {
    if !matches!(crop, Crop::SpringWheat | Crop::Durum) {
        return Err(format!(
            "Stook has a target stand for wheat only; sow {} by its own guide and write the rate down.",
            crop.words()
        ));
    }
    let Some(lot) = lot else {
        return Err("There is no lot of this crop's seed with its thousand-kernel weight and germination; write one down first.".into());
    };
    let Some(tkw) = lot.tkw_g else {
        return Err(format!(
            "The lot {} has no thousand-kernel weight: count 1,000 kernels and weigh them.",
            lot.id
        ));
    };
    let Some(germination) = lot.germination_pct else {
        return Err(format!("The lot {} has no germination: send a sample to the laboratory.", lot.id));
    };
    let (reference, _) = farm.reference(&Reference::shipped());
    let (stand, late, whose) = target(farm, record, year, on, asked, c, &reference);
    let spring = (4..=6).contains(&on.month()) && on.year() == year;
    let soil_c = asked.soil_c.or(soil_now_c.filter(|t| spring && t.is_finite()));
    if soil_c.is_none() {
        assumed.push("Soil at seeding: cool, 6 C, until spring shows it.".into());
    }
    let soil_c = soil_c.unwrap_or(6.0);
    let loss = seeding::expected_loss(soil_c, lot.treated, &c.seeding);
    let survival = seeding::survival_product(germination / 100.0, loss);
    let exact = seeding::rate_kg_ha(stand, tkw, survival);
    let ft2 = per_m2_to_per_ft2(stand);
    let short = seeding::rate_lb_ac_short(ft2, tkw, survival) * KG_PER_LB / stook_measure::units::HA_PER_ACRE;
    let working = Working::new("Seed rate, exact")
        .line(Op::Note, format!("Target, {whose}"), ft2, "plants/ft2", 1)
        .line(Op::Note, "Soil at seed depth", soil_c, "C", 0)
        .line(Op::Start, "Target stand", stand.round(), "plants/m2", 0)
        .line(Op::Times, "A thousand kernels", tkw, "g", 1)
        .line(Op::Over, "Seeds that become plants: germination less loss", 100.0 * survival, "%", 1)
        .sum("Seed", exact, "kg/ha", 0)
        .note(format!(
            "{} lb/ac. The prairie short form (plants a square foot x thousand-kernel weight / survival x 10) says {} lb/ac: 4 % too much, from rounding its factor.",
            figure(kg_ha_to_lb_ac(exact), 0),
            figure(kg_ha_to_lb_ac(short), 0)
        ))
        .note(format!("{} % of live seed is taken as lost{}.", figure(100.0 * loss, 0), if lot.treated { "" } else { ", 2 of it because the seed is not treated" }))
        .note(format!("{} weeks past the best date adds {} plants/ft2.", figure(late, 1), figure(late, 1)))
        .source("Saskatchewan form, which is exact; targets and losses: reference/crop.csv")
        .would_change("a count of last year's emergence")
        .would_change("a colder or warmer seedbed");
    let total = exact * record.field().area_ha;
    let mut notes = Vec::new();
    if let Some(x) = lot.fusarium_pct {
        notes.push(if x < 2.0 {
            format!("Fusarium {} %: fine.", figure(x, 1))
        } else if x <= 5.0 {
            format!(
                "Fusarium {} %: treat it.{}",
                figure(x, 1),
                if lot.treated { "" } else { " This lot is not treated." }
            )
        } else {
            format!("Fusarium {} %: over 5, find other seed.", figure(x, 1))
        });
    }
    if let Some(v) = lot.vigour_pct
        && v + 8.0 < germination
    {
        notes.push(format!(
            "Vigour {} % is well under germination: weak seed in cold soil. Seed it last and shallow.",
            figure(v, 0)
        ));
    }
    if germination < 85.0 {
        notes.push(format!(
            "Germination {} % is low; weigh better seed against the extra bushels.",
            figure(germination, 0)
        ));
    }
    if lot.treated {
        notes.push("Treated: what is left over is never feed and never goes into a load.".into());
    }
    if let Some(have) = lot.on_hand_kg.filter(|h| *h < total) {
        notes.push(format!(
            "On hand {} t, this field alone takes {} t.",
            figure(have / 1000.0, 1),
            figure(total / 1000.0, 1)
        ));
    }
    Ok(Seed {
        lot: lot.id.to_string(),
        cultivar: lot.cultivar.clone(),
        stand_m2: stand,
        loss,
        exact_kg_ha: exact,
        short_kg_ha: short,
        total_kg: total,
        notes,
        working,
    })
}

/// Density of a mix of products, kg/m3; none for nothing or for liquids.
fn density(lines: &[&Line]) -> Option<f64> {
    let mut volume = 0.0;
    let mut mass = 0.0;
    for l in lines {
        // a product that is not in the table: a usual granule, 60 lb/ft3
        let d = Product::of(&l.key)
            .and_then(Product::density_kg_m3)
            .map_or(lb_ft3_to_kg_m3(60.0), |(a, b)| 0.5 * (a + b));
        volume += l.kg_ha / d;
        mass += l.kg_ha;
    }
    (volume > 0.0).then(|| mass / volume)
}

fn tanks(
    drill: Option<&stook_book::payload::DrillSetUp>,
    products: &[Line],
    seed_kg_ha: f64,
    crop: &Crop,
    f: &FertilityParams,
    assumed: &mut Vec<String>,
) -> (Vec<TankLine>, Vec<Tank>) {
    let Some(d) = drill else { return (Vec::new(), Vec::new()) };
    let pounds = match crop {
        Crop::Barley => 48.0,
        Crop::Canola => 50.0,
        Crop::Oats => 34.0,
        Crop::Flax => 56.0,
        _ => 60.0,
    };
    let seed_density = pounds * KG_PER_LB / (L_PER_US_BUSHEL / 1000.0);
    let with_seed: Vec<&Line> = products.iter().filter(|p| p.with_seed).collect();
    let banded: Vec<&Line> = products.iter().filter(|p| !p.with_seed).collect();
    let words = |lines: &[&Line]| {
        let names: Vec<String> = lines.iter().map(|l| l.name.clone()).collect();
        stook_season::model::list(&names)
    };
    // the seed tank, then what goes with the seed, then the band; a drill of two tanks has one stream for both
    let mut loads: Vec<(String, f64, String, f64, f64)> = Vec::new();
    let rest = &d.tanks[1.min(d.tanks.len())..];
    if let Some(first) = d.tanks.first() {
        loads.push((first.name.clone(), first.volume_m3, "seed".into(), seed_kg_ha, seed_density));
    }
    let sum = |lines: &[&Line]| lines.iter().map(|l| l.kg_ha).sum::<f64>();
    match rest {
        [] => {
            if !products.is_empty() {
                assumed.push("The drill has one tank: fertilizer goes on in another pass.".into());
            }
        }
        [one] => {
            let all: Vec<&Line> = products.iter().collect();
            if !with_seed.is_empty() && !banded.is_empty() {
                assumed.push("One fertilizer tank: all of it goes to one place, so set the plan for the seed row or for the band, not both.".into());
            }
            loads.push((
                one.name.clone(),
                one.volume_m3,
                words(&all),
                sum(&all),
                density(&all).unwrap_or(1000.0),
            ));
        }
        [one, more @ ..] => {
            let band_volume: f64 = more.iter().map(|t| t.volume_m3).sum();
            let band_name = more.iter().map(|t| t.name.as_str()).collect::<Vec<_>>().join(" and ");
            if with_seed.is_empty() {
                loads.push((
                    format!("{} and {band_name}", one.name),
                    one.volume_m3 + band_volume,
                    words(&banded),
                    sum(&banded),
                    density(&banded).unwrap_or(1000.0),
                ));
            } else {
                loads.push((
                    one.name.clone(),
                    one.volume_m3,
                    words(&with_seed),
                    sum(&with_seed),
                    density(&with_seed).unwrap_or(1000.0),
                ));
                loads.push((
                    band_name,
                    band_volume,
                    words(&banded),
                    sum(&banded),
                    density(&banded).unwrap_or(1000.0),
                ));
            }
        }
    }
    let mut lines = Vec::new();
    let mut model = Vec::new();
    for (name, volume_m3, holds, rate_kg_ha, density_kg_m3) in loads {
        let t = Tank { volume_m3, density_kg_m3, fill_fraction: f.drill.fill_fraction, rate_kg_ha };
        lines.push(TankLine {
            name,
            holds: if holds.is_empty() { "nothing".into() } else { holds },
            rate_kg_ha,
            full_kg: t.capacity_kg(),
            ha_per_fill: Some(t.ha_per_fill()).filter(|x| x.is_finite()),
        });
        model.push(t);
    }
    if model.iter().all(|t| t.rate_kg_ha <= 0.0) {
        model.clear();
    }
    (lines, model)
}

fn catches(farm: &Farm, f: &FertilityParams) -> Vec<CatchLine> {
    let mut newest: std::collections::BTreeMap<String, CatchLine> = std::collections::BTreeMap::new();
    for c in &farm.catches {
        let is = calibrate(
            &c.is.caught_kg,
            strip_ha(c.is.width_m, c.is.distance_m),
            c.is.wanted_kg_ha,
            c.is.setting,
            &f.drill,
        )
        .map_err(|e| sentence(&e.to_string()));
        newest.insert(c.is.what.clone(), CatchLine { what: c.is.what.clone(), on: c.on(), is });
    }
    newest.into_values().collect()
}

fn applied(record: &FieldRecord, year: i16, plan: Option<&FertilizerPlan>) -> Option<Applied> {
    let went_on = balance::applied(record, year)?;
    let planned =
        plan.map_or(Nutrients::NONE, |p| Nutrients::new(p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha));
    let unknown: Vec<String> = record
        .fertilizer
        .iter()
        .filter(|x| x.is.crop_year == year)
        .flat_map(|x| &x.is.products)
        .filter(|p| nutrients_of(&p.product, p.grade.as_ref(), 1.0).is_none())
        .map(|p| format!("{} has no grade in the book: its nutrients are not counted.", p.product))
        .collect();
    let mut said = unknown;
    for n in stook_fertility::Nutrient::ALL {
        let (a, b) = (planned[n], went_on[n]);
        if plan.is_some() && (b - a).abs() > (0.1 * a).max(2.0) {
            let word = if b > a { "more" } else { "less" };
            said.push(format!(
                "{}: {} lb/ac {word} than planned ({} against {}).",
                n.name(),
                figure(kg_ha_to_lb_ac((b - a).abs()), 0),
                figure(kg_ha_to_lb_ac(b), 0),
                figure(kg_ha_to_lb_ac(a), 0)
            ));
        }
    }
    Some(Applied { planned_kg_ha: planned, went_on_kg_ha: went_on, said })
}

fn stand_words(counted: f64, target: f64, seed: Option<&Seed>, record: &FieldRecord, year: i16) -> String {
    let ft2 = per_m2_to_per_ft2;
    let share = counted / target;
    let sown = record.seeded_in(year).filter_map(|s| s.is.rate_kg_ha).last();
    let lost = seed.zip(sown).map(|(s, rate)| {
        // plants the sown rate would have made with no loss
        let all = s.stand_m2 / (1.0 - s.loss) * rate / s.exact_kg_ha;
        format!(
            " Of the live seed that went in, {} % did not come up; {} % was reckoned.",
            figure(100.0 * (1.0 - counted / all).max(0.0), 0),
            figure(100.0 * s.loss, 0)
        )
    });
    let what = if share >= 0.85 {
        "As many as aimed at: nothing to do."
    } else if share >= 0.6 {
        "Thin, but an even thin stand fills in: keep it, and look for gaps and why."
    } else {
        "Thin: look at keeping, patching or reseeding before the week is out, and let the insurer see it first."
    };
    format!(
        "{} plants/ft2 against {} aimed at. {what}{}",
        figure(ft2(counted), 0),
        figure(ft2(target), 0),
        lost.unwrap_or_default()
    )
}
