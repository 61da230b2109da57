//! The farm's money of a year: field by field, by crop, by use.

use serde::Serialize;
use stook_barn::{Facts, Whole};
use stook_book::FieldId;
use stook_book::payload::{Crop, CropPlan};
use stook_inputs::prices::nutrient_prices;
use stook_measure::{Range, figure, units};

use crate::field::{self, Around};
use crate::said::{FieldMoney, How, Made};
use crate::uses::Use;

/// What is asked for, with the fields it holds up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// What.
    pub what: String,
    /// Kind of entry that mends it.
    pub form: String,
    /// Names of the fields.
    pub fields: Vec<String>,
}

/// A crop over its fields.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropMoney {
    /// Crop.
    pub crop: Crop,
    /// Area, ha.
    pub area_ha: f64,
    /// Pounds in its bushel.
    pub lb_per_bu: f64,
    /// Yield, kg/ha.
    pub yield_kg_ha: Option<f64>,
    /// The farm's own mean of other years, kg/ha, for a crop to come.
    pub usual_kg_ha: Option<f64>,
    /// Whether something of it is asked for.
    pub asked: bool,
    /// Costs known, money/ha.
    pub cost_ha: f64,
    /// Price that breaks even, money a tonne.
    pub break_even_t: Option<f64>,
    /// Price, money a tonne.
    pub price_t: Option<f64>,
    /// Left, money/ha.
    pub margin_ha: Option<f64>,
}

/// What a use of the grain brought over what it cost to grow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UseMoney {
    /// Crop.
    pub crop: Crop,
    /// Milled (sold), fed, sown, kept.
    pub to: String,
    /// Tonnes.
    pub tonnes: f64,
    /// Worth a tonne.
    pub worth_t: f64,
    /// Cost of growing a tonne, as far as known.
    pub cost_t: f64,
    /// Left, money in all.
    pub margin: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Money {
    /// Year of the harvest.
    pub year: i16,
    /// Years with a crop plan, earliest first.
    pub years: Vec<i16>,
    /// First sentence.
    pub headline: String,
    /// Second: how sure.
    pub sure: String,
    /// Fields.
    pub fields: Vec<FieldMoney>,
    /// By crop.
    pub crops: Vec<CropMoney>,
    /// By use.
    pub uses: Vec<UseMoney>,
    /// All costs known, money.
    pub cost: f64,
    /// All value known, money.
    pub value: f64,
    /// Left over the fields whose value is known, money.
    pub margin: f64,
    /// What is asked for.
    pub asked: Vec<Asked>,
    /// What it rests on.
    pub notes: Vec<String>,
}

fn by_crop(fields: &[FieldMoney]) -> Vec<CropMoney> {
    let mut crops: Vec<Crop> = fields.iter().map(|f| f.crop.clone()).collect();
    crops.sort();
    crops.dedup();
    crops
        .into_iter()
        .map(|crop| {
            let of: Vec<&FieldMoney> = fields.iter().filter(|f| f.crop == crop).collect();
            let area: f64 = of.iter().map(|f| f.area_ha).sum();
            let mean = |x: &dyn Fn(&FieldMoney) -> Option<f64>| {
                of.iter().map(|f| Some(x(f)? * f.area_ha)).sum::<Option<f64>>().map(|s| s / area)
            };
            let (cost_ha, yield_kg_ha) =
                (mean(&|f| Some(f.cost_ha)).unwrap_or(0.0), mean(&|f| f.yield_kg_ha.map(|y| y.p50)));
            let value = mean(&|f| f.value_ha);
            CropMoney {
                lb_per_bu: of[0].lb_per_bu,
                area_ha: area,
                break_even_t: yield_kg_ha.filter(|y| *y > 0.0).map(|y| 1000.0 * cost_ha / y),
                price_t: value.zip(yield_kg_ha).filter(|x| x.1 > 0.0).map(|(v, y)| 1000.0 * v / y),
                margin_ha: value.map(|v| v - cost_ha),
                usual_kg_ha: mean(&|f| f.usual_kg_ha),
                asked: of.iter().any(|f| !f.asked.is_empty()),
                yield_kg_ha,
                cost_ha,
                crop,
            }
        })
        .collect()
}

fn by_use(fields: &[FieldMoney]) -> Vec<UseMoney> {
    let mut out: Vec<UseMoney> = Vec::new();
    for f in fields.iter().filter(|f| f.made == Made::Made) {
        let Some(cost_t) = f.break_even_t else { continue };
        for u in &f.uses {
            let Some(worth) = u.worth_t else { continue };
            let to = match &u.to {
                Use::Sold(who) => format!("sold to {who}"),
                Use::Fed => "fed".into(),
                Use::Sown => "sown".into(),
                Use::Kept(_) => "in the bins".into(),
            };
            match out.iter_mut().find(|x| x.crop == f.crop && x.to == to) {
                Some(x) => {
                    let all = x.tonnes + u.tonnes;
                    x.worth_t = (x.worth_t * x.tonnes + worth * u.tonnes) / all;
                    x.cost_t = (x.cost_t * x.tonnes + cost_t * u.tonnes) / all;
                    x.tonnes = all;
                    x.margin += (worth - cost_t) * u.tonnes;
                }
                None => out.push(UseMoney {
                    crop: f.crop.clone(),
                    to,
                    tonnes: u.tonnes,
                    worth_t: worth,
                    cost_t,
                    margin: (worth - cost_t) * u.tonnes,
                }),
            }
        }
    }
    out.sort_by(|a, b| (&a.crop, &a.to).cmp(&(&b.crop, &b.to)));
    out
}

fn asked(fields: &[FieldMoney]) -> Vec<Asked> {
    let mut out: Vec<Asked> = Vec::new();
    for f in fields {
        for (what, form) in &f.asked {
            match out.iter_mut().find(|a| a.what == *what) {
                Some(a) => a.fields.push(f.name.clone()),
                None => {
                    out.push(Asked { what: what.clone(), form: form.clone(), fields: vec![f.name.clone()] })
                }
            }
        }
    }
    out.sort_by_key(|a| std::cmp::Reverse(a.fields.len()));
    out
}

/// The crop with the largest area that has a figure.
fn first(crops: &[CropMoney]) -> Option<&CropMoney> {
    crops.iter().filter(|c| c.break_even_t.is_some()).max_by(|a, b| a.area_ha.total_cmp(&b.area_ha))
}

/// An outlook far from the usual is said beside the first sentence: the usual may come back, and it may not.
fn beside_the_usual(money: &str, crops: &[CropMoney]) -> Option<String> {
    let c = first(crops)?;
    let (looked_for, own) = (c.yield_kg_ha?, c.usual_kg_ha?);
    let bu_ac = |kg_ha: f64| figure(units::kg_ha_to_bu_ac(kg_ha, c.lb_per_bu), 0);
    let cost_t = 1000.0 * c.cost_ha / own;
    ((looked_for - own).abs() > 0.15 * own).then(|| {
        format!(
            "That is at the {} bushels an acre now looked for; at your usual {} a bushel costs {money}{}.",
            bu_ac(looked_for),
            bu_ac(own),
            figure(cost_t / units::bushels_per_tonne(c.lb_per_bu), 2)
        )
    })
}

/// The first sentence.
fn headline(money: &str, year: i16, crops: &[CropMoney]) -> String {
    let Some(c) = first(crops) else {
        return format!("Not enough is written down to say what the crops of {year} cost.");
    };
    let bu = |t: f64| figure(t / units::bushels_per_tonne(c.lb_per_bu), 2);
    let known = !c.asked;
    let least = if known { "" } else { "at least " };
    let cost = c.break_even_t.map_or(String::new(), bu);
    match (c.price_t, c.margin_ha) {
        (Some(p), Some(m)) => format!(
            "A bushel of {} of {year} costs {least}{money}{cost} to grow and is worth {money}{}: {money}{} an acre {}.",
            c.crop.words(),
            bu(p),
            figure(m.abs() * units::HA_PER_ACRE, 0),
            match (m >= 0.0, known) {
                (true, true) => "is left",
                (true, false) => "is left before what is not known",
                (false, _) => "is lost",
            }
        ),
        _ => format!("A bushel of {} of {year} costs {least}{money}{cost} to grow.", c.crop.words()),
    }
}

/// For a harvest year; the coming one when none is given. `outlook` is the wheat's yield by field, kg/ha, where it is
/// known; `whole` the joint plan.
pub fn answer(
    f: &Facts<'_>,
    whole: Option<&Whole>,
    outlook: &dyn Fn(&FieldId) -> Option<Range>,
    year: Option<i16>,
) -> Money {
    let mut years: Vec<i16> = f.farm.fields.values().flat_map(|r| r.plans.keys().copied()).collect();
    years.sort_unstable();
    years.dedup();
    let coming = CropPlan::year_on(f.on);
    let year = year.unwrap_or_else(|| {
        if years.contains(&coming) { coming } else { years.last().copied().unwrap_or(coming) }
    });
    let of_year = |year: i16, last: &[FieldMoney]| -> Vec<FieldMoney> {
        let nutrients = nutrient_prices(f.farm, &f.reference, f.on);
        let around = Around { f, whole, nutrients, outlook, year, last };
        f.farm.fields.keys().filter_map(|id| field::of(&around, id)).collect()
    };
    let before = of_year(year - 1, &[]);
    let mut fields = of_year(year, &before);
    fields.sort_by(|a, b| (&a.crop, &a.name).cmp(&(&b.crop, &b.name)));
    let crops = by_crop(&fields);
    let asked = asked(&fields);
    let with_value: Vec<&FieldMoney> = fields.iter().filter(|x| x.margin_ha.is_some()).collect();
    let money = f.farm.units().money;
    let ours: Vec<String> = {
        let mut o: Vec<String> = fields
            .iter()
            .flat_map(|x| &x.lines)
            .filter_map(|l| if let How::OurPrice(w) = &l.how { Some(w.clone()) } else { None })
            .collect();
        o.sort();
        o.dedup();
        o
    };
    let as_before = fields.iter().flat_map(|x| &x.lines).any(|l| matches!(l.how, How::AsIn(_)));
    let sure = match (asked.is_empty(), ours.is_empty()) {
        _ if fields.is_empty() => format!("No field has a crop written for {year}."),
        (true, true) => "Every cost is your own: bills, or what was done at your prices.".to_string(),
        (true, false) => {
            format!("Nothing is missing; our prices stand in for {}.", stook_season::model::list(&ours))
        }
        (false, _) => format!(
            "{} not known and not in it; see what is asked.",
            if asked.len() == 1 { "One thing is".to_string() } else { format!("{} things are", asked.len()) }
        ),
    };
    let sure = match beside_the_usual(&money, &crops) {
        Some(beside) => format!("{beside} {sure}"),
        None => sure,
    };
    let mut notes = Vec::new();
    if as_before {
        notes.push(format!(
            "What is not yet written for {year} is taken as it was on the same crop in {}, each such line says so.",
            year - 1
        ));
    }
    notes.extend([
        "A bill takes the place of what is reckoned of its kind on its fields. Machines: worth lost, interest, shelter, repairs, fuel and hands by the hour; the sprayer's pass is in the price of a spray unless its product has a price of its own. Trucks, augers and driers have no published factors here: enter them as a cost.".to_string(),
        "Fed grain is counted at its worth in the trough by the joint plan, sold grain at the tickets settled, grain in the bins at what the joint plan makes of it.".to_string(),
    ]);
    if fields.iter().any(|x| x.crop == Crop::Hay) {
        notes.push("Hay carries its costs; what it is worth is not reckoned.".into());
    }
    Money {
        headline: headline(&money, year, &crops),
        sure,
        cost: fields.iter().map(|x| x.cost_ha * x.area_ha).sum(),
        value: fields.iter().filter_map(|x| Some(x.value_ha? * x.area_ha)).sum(),
        margin: with_value.iter().filter_map(|x| Some(x.margin_ha? * x.area_ha)).sum(),
        uses: by_use(&fields),
        year,
        years,
        fields,
        crops,
        asked,
        notes,
    }
}
