//! The seed of a field: target stand, loss, and the rate by both forms.

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_book::payload::{Crop, SeedLot};
use stook_crop::CropParams;
use stook_crop::seeding::{self, Region};
use stook_measure::units::{KG_PER_LB, kg_ha_to_lb_ac, per_m2_to_per_ft2};
use stook_measure::{Op, Reference, Working, figure};

use super::{CardAsked, Seed};

pub(super) fn lot_words(l: &SeedLot) -> String {
    l.cultivar.as_ref().map_or_else(|| l.id.to_string(), |c| format!("{} ({c})", l.id))
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
pub(super) fn target(
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
pub(super) fn seed(
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
