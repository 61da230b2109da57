//! Sprays on ground without a crop: the burn-off before seeding, and the stubble while its leaf is still good.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::{Farm, FieldRecord};
use stook_book::payload::{CropPlan, SprayPurpose, UnitChoice};
use stook_crop::CropParams;
use stook_measure::{Range, Reference, figure};
use stook_spray::SprayParams;

use super::green_money::{self, GreenMoney, Ground};
use crate::answer::{DateRange, Job, Today};
use crate::params::SeasonParams;
use crate::sky::Sky;
use crate::words;

/// What is worth knowing of green on bare ground, by the season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Green {
    /// `Burn off the green first?` or `Spray the stubble, or leave it?`
    pub title: String,
    /// The answer as far as it can be given, in sentences.
    pub words: String,
    /// When the last good leaf goes, in the fall.
    pub good_leaf_until: Option<DateRange>,
    /// Chance that tonight ends it.
    pub tonight: Option<f64>,
    /// Field by field.
    pub fields: Vec<GreenField>,
}

/// A field without a crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreenField {
    /// Its key.
    pub field: String,
    /// Its name.
    pub name: String,
    /// What to know, in a sentence.
    pub words: String,
    /// Purpose to write a pass down with.
    pub purpose: &'static str,
    /// What the pass gains; none once it is done.
    pub money: Option<GreenMoney>,
}

/// What money is reckoned with.
#[derive(Debug, Clone, Copy)]
pub struct Terms<'a> {
    /// The farm.
    pub farm: &'a Farm,
    /// The day.
    pub as_of: Date,
    /// Coefficients with the farm's own numbers.
    pub reference: &'a Reference,
    /// Spray coefficients.
    pub spray: &'a SprayParams,
    /// Prices.
    pub season: &'a SeasonParams,
    /// Crop coefficients.
    pub crop: &'a CropParams,
    /// The farm's units.
    pub units: &'a UnitChoice,
    /// Share of the stubble in thistle patches, where it was told.
    pub patches: Option<f64>,
}

/// The label's wait before seeding, the longest of the farm's products for `purposes`, with the product's name.
fn plant_back<'a>(farm: &'a Farm, purposes: &[SprayPurpose]) -> Option<(i64, &'a str)> {
    farm.spray_products
        .values()
        .filter(|p| purposes.contains(&p.is.purpose))
        .filter_map(|p| Some((i64::from(p.is.plant_back_days?), p.is.name.as_str())))
        .max()
}

fn sprayed_since(r: &FieldRecord, purpose: SprayPurpose, since: Date) -> Option<Date> {
    r.sprays.iter().rev().find(|s| s.is.purpose == purpose && s.on() >= since).map(|s| s.on())
}

/// Days from seeding to the weed spray in the crop when the outlook has no window for it.
const USUAL_TO_WEED_SPRAY: i64 = 30;

/// The burn-off: wheat fields to be seeded within some days.
pub fn burn_off(t: &Terms<'_>, today: &Today) -> Option<Green> {
    let (farm, p) = (t.farm, t.spray);
    let as_of = today.as_of;
    let spring = Date::new(as_of.year(), 4, 1).ok()?;
    if as_of < spring || as_of > Date::new(as_of.year(), 6, 20).ok()? {
        return None;
    }
    let wait = plant_back(farm, &[SprayPurpose::Burnoff]);
    let mut fields = Vec::new();
    for f in &today.fields {
        let Some(w) = f.windows.iter().find(|w| w.job == Job::Seed) else { continue };
        let days = i64::from((w.opens.middle - as_of).get_days());
        let record = farm.fields.values().find(|r| r.field().id.as_str() == f.field);
        if days > p.burnoff_days as i64 {
            continue;
        }
        let done = record.and_then(|r| sprayed_since(r, SprayPurpose::Burnoff, spring));
        let words = match (done, wait) {
            (Some(day), _) => format!("burnt off on {}", words::day(day)),
            (None, Some((wait, product))) => {
                let by = w.opens.middle.saturating_sub(jiff::Span::new().days(wait));
                let by = if by == as_of {
                    "spray today to seed then".to_string()
                } else if by < as_of {
                    format!("sprayed today it may be seeded from {}", words::day(after(as_of, wait)))
                } else {
                    format!("spray by {} to seed then", words::day_from(as_of, by))
                };
                format!(
                    "fit to seed about {}: {by} ({wait} d by the label of {product})",
                    words::day_from(as_of, w.opens.middle)
                )
            }
            (None, None) => format!(
                "fit to seed about {}; no burn-off product with its wait before seeding is in set-up",
                words::day_from(as_of, w.opens.middle)
            ),
        };
        let money = done.is_none().then(|| {
            let weeds = f.windows.iter().find(|w| w.job == Job::Herbicide).map(|w| w.opens.middle);
            let left = weeds.map_or(USUAL_TO_WEED_SPRAY + days, |d| i64::from((d - as_of).get_days()));
            let held = wait.map_or(0, |(wait, _)| (wait - days).max(0));
            let held_cost = today
                .open
                .iter()
                .find(|d| d.field == f.field && d.job == Job::Seed)
                .and_then(|d| d.waiting.as_ref())
                .filter(|w| w.clear)
                .map(|w| w.money.mean);
            let ground = Ground {
                name: &f.name,
                area_ha: f.area_ha,
                yield_kg_ha: f.yield_kg_ha.map_or(0.65 * t.season.cap_kg_ha, |r| r.p50),
                per_kg: t.season.wheat_per_t / 1000.0,
                units: t.units,
                reference: t.reference,
            };
            green_money::burn_off(&ground, left.max(0) as f64, held as f64, held_cost, p)
        });
        fields.push(GreenField {
            field: f.field.clone(),
            name: f.name.clone(),
            words,
            purpose: SprayPurpose::Burnoff.key(),
            money,
        });
    }
    if fields.is_empty() {
        return None;
    }
    Some(Green {
        title: "Burn off the green first?".into(),
        words: "Weeds left standing go on with a crop that has yet to come up; but a drying seedbed waits for nobody, so \
                spray in the fit hours ahead of the drill and do not hold the drill for it. At dawn the air lies in layers and \
                drifts far."
            .into(),
        good_leaf_until: None,
        tonight: None,
        fields,
    })
}

fn after(d: Date, days: i64) -> Date {
    d.saturating_add(jiff::Span::new().days(days))
}

/// Days of leaf taken when no killing night is in sight.
const USUAL_LEAF_DAYS: i32 = 56;

/// The stubble: fields that are off, and the days of good leaf left before a night that ends it.
pub fn stubble(t: &Terms<'_>, sky: &Sky) -> Option<Green> {
    let (farm, as_of, p) = (t.farm, t.as_of, t.spray);
    let first = Date::new(as_of.year(), 8, 1).ok()?;
    if as_of < first || as_of > Date::new(as_of.year(), 11, 10).ok()? {
        return None;
    }
    let off: Vec<(&FieldRecord, Date)> =
        farm.fields.values().filter_map(|r| Some((r, r.cut_on(as_of.year())?))).collect();
    if off.is_empty() {
        return None;
    }
    let wait = plant_back(farm, &[SprayPurpose::Burnoff, SprayPurpose::Stubble]);
    let next_year = CropPlan::year_on(as_of.saturating_add(jiff::Span::new().days(120)));
    let (until, tonight) = last_leaf(sky, p.kill_c);
    let warm = last_leaf(sky, p.good_leaf_c).1;
    let left = until.as_ref().map_or(USUAL_LEAF_DAYS, |u| (u.middle - as_of).get_days()).max(0);
    let fields = off
        .iter()
        .map(|(r, cut)| {
            let days = (as_of - *cut).get_days();
            let done = sprayed_since(r, SprayPurpose::Stubble, *cut);
            let said = match done {
                Some(day) => format!("stubble sprayed on {}", words::day(day)),
                None => format!("cut {}, {days} days of regrowth", words::day(*cut)),
            };
            let next = r.plan(next_year).map_or(String::new(), |c| {
                format!("; {} next year: look at the label's wait for it", c.crop.words())
            });
            let money = done.is_none().then(|| {
                let target = r.plan(next_year).and_then(|c| c.target_yield_kg_ha);
                let ground = Ground {
                    name: &r.field().name,
                    area_ha: r.field().area_ha,
                    yield_kg_ha: target.unwrap_or(0.65 * t.season.cap_kg_ha),
                    per_kg: t.season.wheat_per_t / 1000.0,
                    units: t.units,
                    reference: t.reference,
                };
                let per_mm = t.crop.yield_.line.slope_kg_ha_mm;
                green_money::stubble(&ground, f64::from(left), t.patches, tonight, per_mm, p)
            });
            GreenField {
                field: r.field().id.to_string(),
                name: r.field().name.clone(),
                words: format!("{said}{next}"),
                purpose: SprayPurpose::Stubble.key(),
                money,
            }
        })
        .collect();
    let leaf = match until {
        Some(u) if u.middle > as_of => format!(
            "Good leaf until about {} ({} to {}): {} days of it.",
            words::day(u.middle),
            words::day(u.early),
            words::day(u.late),
            (u.middle - as_of).get_days()
        ),
        Some(_) => "A killing night is due: look at the leaf first.".into(),
        None => "No killing night in most weathers of the days looked at.".into(),
    };
    let wheat = if let Some((days, product)) = wait {
        format!(" {product} asks {days} d before seeding.")
    } else {
        String::new()
    };
    let words = format!(
        "{leaf} A night of {} C or colder ends it tonight in {}; frost of {} C in {}. Thistle wants {} cm of new growth \
         and green leaf; a light frost is no reason to stop, brown leaf is. Volunteers must be dead {} days before \
         wheat.{wheat} The first hard frost takes what a spray can do. Tell what share is in thistle patches for the gain in money.",
        figure(p.kill_c, 1),
        words::in_ten(tonight),
        figure(p.good_leaf_c, 0),
        words::in_ten(warm),
        figure(p.regrowth_cm, 0),
        figure(p.volunteers_days, 0)
    );
    Some(Green {
        title: "Spray the stubble, or leave it?".into(),
        words,
        good_leaf_until: until,
        tonight: Some(tonight),
        fields,
    })
}

/// When the first night at or under `limit_c` comes, and the chance that it is tonight (tomorrow's low).
fn last_leaf(sky: &Sky, limit_c: f64) -> (Option<DateRange>, f64) {
    let n = sky.members.len().max(1) as f64;
    let mut days: Vec<f64> = Vec::new();
    let mut tonight = 0.0;
    for m in &sky.members {
        let ahead = &m[sky.lead.min(m.len())..];
        if let Some(d) = ahead.iter().skip(1).position(|f| f.day.tmin_c <= limit_c) {
            days.push(d as f64);
            if d == 0 {
                tonight += 1.0;
            }
        }
    }
    let as_of = after(sky.start, sky.lead as i64);
    // Fewer than half of the weathers with such a night: no date worth saying.
    let range = if days.len() as f64 * 2.0 < n { None } else { Range::of(&days) };
    let date = |x: f64| after(as_of, x.round() as i64);
    (range.map(|r| DateRange { early: date(r.p10), middle: date(r.p50), late: date(r.p90) }), tonight / n)
}
