//! The tank mix sheet: products in the order they go in, what each fill takes, and the check of nozzle and speed.

use serde::Serialize;
use stook_book::SprayProductId;
use stook_book::farm::Farm;
use stook_book::payload::{MixStep, SprayProduct, SprayPurpose};
use stook_measure::{Op, Reference, Working, figure};
use stook_spray::tank::{self, Job, Part, Per, Sheet};
use stook_spray::{SprayParams, nozzle};

use super::record::{SiRate, si_rate};

/// What is to be mixed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MixAsk {
    /// Products, in any order.
    pub products: Vec<SprayProductId>,
    /// Area, ha.
    pub area_ha: f64,
    /// Water and product together, L/ha; the labels' own most when not given.
    pub water_l_ha: Option<f64>,
    /// What the tank is filled to, L.
    pub tank_l: f64,
    /// Mix of the same kind still in the tank, L.
    pub left_l: f64,
    /// All fills the same.
    pub even: bool,
}

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixSheet {
    /// Area, ha.
    pub area_ha: f64,
    /// Water and product together, L/ha.
    pub water_l_ha: f64,
    /// The tank, L.
    pub tank_l: f64,
    /// Products in the order they go in.
    pub products: Vec<MixProduct>,
    /// Fills.
    pub sheet: Sheet,
    /// Where the order comes from, in a sentence.
    pub order: String,
    /// What to look at, each in a sentence.
    pub look: Vec<String>,
    /// How the amounts come about.
    pub working: Working,
}

/// A product on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixProduct {
    /// Name as on the label.
    pub name: String,
    /// Rate as on the label.
    pub rate: String,
    /// Unit of its amounts: `L` or `kg`.
    pub unit: &'static str,
    /// By fill.
    pub fills: Vec<f64>,
    /// In all.
    pub total: f64,
    /// Containers to open and what is left in the last, with what one holds.
    pub containers: Option<(u32, f64, f64)>,
    /// Mixing in the label's words.
    pub mixing: Option<String>,
}

/// Makes the sheet.
///
/// # Errors
/// What is wrong and how to mend it.
pub fn sheet(farm: &Farm, ask: &MixAsk) -> Result<MixSheet, String> {
    let mut labels: Vec<&SprayProduct> = Vec::new();
    for id in &ask.products {
        let found = farm.spray_products.get(id).ok_or_else(|| {
            format!("There is no spray product \"{id}\"; add it in set-up with what its label says.")
        })?;
        if labels.iter().any(|p| p.id == *id) {
            return Err(format!("{} is named twice.", found.is.name));
        }
        labels.push(&found.is);
    }
    if labels.is_empty() {
        return Err("Choose a product.".into());
    }
    let by_label = labels.iter().any(|p| p.mix_place.is_some());
    labels.sort_by_key(|p| (place(p, by_label), p.mix_step.unwrap_or(MixStep::Solution)));
    let least = labels.iter().filter_map(|p| p.water_l_ha).fold(f64::NAN, f64::max);
    let water = match ask.water_l_ha {
        Some(w) => w,
        None if least.is_finite() => least,
        None => return Err("Say how much water: no label in the mix does.".into()),
    };
    let mut parts = Vec::new();
    for p in &labels {
        let (Some(rate), Some(unit)) = (p.rate, p.rate_unit) else {
            return Err(format!("{} has no rate in set-up; copy it from the label first.", p.name));
        };
        let per = match si_rate(rate, unit) {
            SiRate::Liquid(x) => Per::LPerHa(x),
            SiRate::Dry(x) => Per::KgPerHa(x),
            SiRate::Share(x) => Per::PercentOfTank(x),
        };
        parts.push(Part { per });
    }
    let job = Job {
        area_ha: ask.area_ha,
        water_l_ha: water,
        tank_l: ask.tank_l,
        left_l: ask.left_l,
        even: ask.even,
    };
    let sheet = tank::fills(&job, &parts).map_err(|t| t.words().to_string())?;
    let products = labels
        .iter()
        .zip(&parts)
        .enumerate()
        .map(|(k, (p, part))| {
            let unit = if matches!(part.per, Per::KgPerHa(_)) { "kg" } else { "L" };
            let total = sheet.totals[k];
            MixProduct {
                name: p.name.clone(),
                rate: p.rate_words().unwrap_or_default(),
                unit,
                fills: sheet.fills.iter().map(|f| f.parts[k]).collect(),
                total,
                containers: p
                    .container
                    .and_then(|c| tank::containers(total, c).map(|(n, rest)| (n, rest, c))),
                mixing: p.mixing.clone(),
            }
        })
        .collect();
    Ok(MixSheet {
        area_ha: ask.area_ha,
        water_l_ha: water,
        tank_l: ask.tank_l,
        products,
        order: order_words(&labels, by_label),
        look: look(&labels, water, least),
        working: working(&job, &sheet),
        sheet,
    })
}

/// A label's own place goes first; without one a product keeps to its step among the rest.
fn place(p: &SprayProduct, by_label: bool) -> u8 {
    if by_label { p.mix_place.unwrap_or(u8::MAX) } else { 0 }
}

fn order_words(labels: &[&SprayProduct], by_label: bool) -> String {
    let unknown: Vec<String> = labels
        .iter()
        .filter(|p| p.mix_place.is_none() && p.mix_step.is_none())
        .map(|p| p.name.clone())
        .collect();
    let from = if by_label {
        "The order is the labels', as entered in set-up"
    } else {
        "No label here gives a place, so the order is the common one: conditioner, bags, dry, flowable, emulsion, \
         solution, surfactant"
    };
    let rest = if unknown.is_empty() {
        String::new()
    } else {
        format!("; nothing is entered for {}, so look at the label", crate::model::list(&unknown))
    };
    format!("{from}{rest}. The label always rules.")
}

/// What does not go together, as far as the entered facts tell.
fn look(labels: &[&SprayProduct], water: f64, least: f64) -> Vec<String> {
    let mut out = Vec::new();
    if least.is_finite() && water < least - 1e-6 {
        let by = labels.iter().filter(|p| p.water_l_ha.is_some_and(|w| w > water));
        let names: Vec<String> = by.map(|p| p.name.clone()).collect();
        out.push(format!(
            "{} L/ha is less water than the label of {} asks ({} L/ha).",
            figure(water, 0),
            crate::model::list(&names),
            figure(least, 0)
        ));
    }
    let purposes: std::collections::BTreeSet<SprayPurpose> =
        labels.iter().map(|p| p.purpose).filter(|p| *p != SprayPurpose::Other).collect();
    if purposes.len() > 1 {
        out.push("The products are for different times of the crop: do the labels allow this mix?".into());
    }
    let wait = labels.iter().filter_map(|p| p.pre_harvest_days).max();
    let enter = labels.iter().filter_map(|p| p.re_entry_hours).max();
    if let Some(d) = wait {
        out.push(format!("The longest wait to harvest in this tank is {d} days."));
    }
    if let Some(h) = enter {
        out.push(format!("The longest wait before anyone enters is {h} h."));
    }
    out
}

fn working(job: &Job, sheet: &Sheet) -> Working {
    Working::new("Mix for the job")
        .line(Op::Start, "area", job.area_ha, "ha", 1)
        .line(Op::Times, "water and product together", job.water_l_ha, "L/ha", 1)
        .line(Op::Minus, "mix still in the tank", job.left_l, "L", 0)
        .sum("mix to make", sheet.fills.iter().map(|f| f.mix_l).sum(), "L", 0)
        .note(format!("A full tank goes for {} ha.", figure(sheet.ha_per_tank, 1)))
        .note("A liquid takes the room of so much water; a dry product is taken to need none.")
        .source("arithmetic; Alberta Agriculture, crop protection guide, Agdex 606-1")
}

/// The nozzle and the speed that go with a rate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NozzleCheck {
    /// What one nozzle must give, L/min.
    pub output_l_min: f64,
    /// The same in half a minute, mL: what stands in the jug.
    pub in_30_s_ml: f64,
    /// Least and most that is let pass in half a minute, mL.
    pub pass_ml: (f64, f64),
    /// Seconds over 100 m at the speed.
    pub seconds_100_m: f64,
    /// Pressure at which the chosen nozzle gives it, kPa.
    pub pressure_kpa: Option<f64>,
    /// The rate really worked by a catch, L/ha.
    pub worked_l_ha: Option<f64>,
    /// That against the rate asked, %.
    pub off_pct: Option<f64>,
    /// How it was reckoned.
    pub working: Working,
}

/// What is known of the boom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boom {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// From nozzle to nozzle, m.
    pub spacing_m: f64,
    /// Nozzle size, tenths of a US gallon a minute.
    pub size: Option<f64>,
    /// Caught from one nozzle in half a minute, mL.
    pub caught_ml: Option<f64>,
    /// Seconds really driven over 100 m.
    pub seconds_100_m: Option<f64>,
}

/// Checks nozzle and speed against a rate; none when a figure is not sensible.
pub fn nozzle_check(rate_l_ha: f64, b: &Boom, reference: &Reference) -> Option<NozzleCheck> {
    if !(rate_l_ha > 0.0 && b.speed_kmh > 0.0 && b.spacing_m > 0.0) {
        return None;
    }
    let p = SprayParams::from_reference(reference);
    let wanted = nozzle::output_for_rate(rate_l_ha, b.speed_kmh, b.spacing_m);
    let half = wanted * 500.0;
    let driven = b.seconds_100_m.filter(|s| *s > 0.0).map_or(b.speed_kmh, |s| nozzle::speed_kmh(100.0, s));
    let caught = b.caught_ml.filter(|c| *c > 0.0).map(|ml| ml / 500.0);
    let worked = caught.map(|l_min| nozzle::rate_l_ha(l_min, driven, b.spacing_m));
    let mut working = Working::new("Output of one nozzle")
        .line(Op::Start, "rate", rate_l_ha, "L/ha", 1)
        .line(Op::Times, "speed", b.speed_kmh, "km/h", 2)
        .line(Op::Times, "from nozzle to nozzle", b.spacing_m, "m", 3)
        .line(Op::Over, "to litres a minute", 600.0, "", 0)
        .sum("output", wanted, "L/min", 2)
        .would_change("the nozzle's own chart, which goes before this rule")
        .source("one nozzle covers speed times spacing; flow goes with the square root of pressure");
    if let (Some(l_min), Some(worked)) = (caught, worked) {
        working = working.note(format!(
            "Caught {} L/min at {} km/h: {} L/ha.",
            figure(l_min, 2),
            figure(driven, 1),
            figure(worked, 1)
        ));
    }
    Some(NozzleCheck {
        output_l_min: wanted,
        in_30_s_ml: half,
        pass_ml: (half * (1.0 - p.uneven_pct / 100.0), half * (1.0 + p.uneven_pct / 100.0)),
        seconds_100_m: 360.0 / b.speed_kmh,
        pressure_kpa: b
            .size
            .filter(|s| *s > 0.0)
            .map(|s| nozzle::pressure_for(nozzle::output_of_size(s), p.rated_kpa, wanted)),
        worked_l_ha: worked,
        off_pct: worked.map(|w| 100.0 * (w / rate_l_ha - 1.0)),
        working,
    })
}
