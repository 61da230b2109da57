//! "Chop or bale the straw?": field by field, with the rain since it was cut and the bedding the barn needs.

use serde::Serialize;
use stook_harvest::straw::{self, Baling, Straw, StrawParams};
use stook_measure::units::HA_PER_ACRE;
use stook_measure::{Op, Working, figure};

use crate::SeasonError;
use crate::answer::Job;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// What the person says for this season; what is left out is the reference's.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct StrawAsked {
    /// A bale sold from the yard, money.
    pub bale_price: Option<f64>,
    /// Pigs finished on straw.
    pub pigs: f64,
    /// Goats.
    pub goats: f64,
    /// Bales already in the stack.
    pub stacked: f64,
}

/// The straw page.
#[derive(Debug, Clone, Serialize)]
pub struct StrawAnswer {
    /// What to do, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// Bales the barn needs beyond the stack.
    pub needed: f64,
    /// Fields, best to bale first.
    pub fields: Vec<StrawField>,
    /// What was asked.
    pub asked: StrawAsked,
    /// A bale, kg.
    pub bale_kg: f64,
    /// Prices used: sold, bought in, baling.
    pub prices: (f64, f64, f64),
}

/// A field's straw.
#[derive(Debug, Clone, Serialize)]
pub struct StrawField {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Whether it is cut.
    pub cut: bool,
    /// Rain since it was cut, mm.
    pub rain_mm: f64,
    /// Straw of a hectare.
    pub straw: Straw,
    /// Selling bales over chopping, of a hectare.
    pub selling: Baling,
    /// Bales of the field.
    pub bales: f64,
    /// Bales to make for bedding.
    pub for_bedding: f64,
    /// The reckoning.
    pub working: Working,
}

/// Answers.
///
/// # Errors
/// When the farm has no place.
pub fn straw(q: &Question<'_>, asked: StrawAsked) -> Result<StrawAnswer, SeasonError> {
    Ok(of(&carry(q)?, q, asked))
}

fn of(c: &Carried, q: &Question<'_>, asked: StrawAsked) -> StrawAnswer {
    let p = &c.model.harvest.straw;
    let price = asked.bale_price.unwrap_or(p.bale_price);
    let mut fields: Vec<StrawField> = (0..c.model.fields.len())
        .filter(|&f| middle_state(c, f).wheat.is_some())
        .map(|f| field(c, q, f, price, p))
        .collect();
    fields.sort_by(|a, b| b.selling.gain().total_cmp(&a.selling.gain()).then_with(|| a.name.cmp(&b.name)));
    let needed = (straw::bedding_bales(asked.pigs, asked.goats, 180.0, p) - asked.stacked).max(0.0);
    // Bedding comes from where its nutrients are least missed, cut fields first.
    let mut short = needed;
    let mut places: Vec<usize> = (0..fields.len()).collect();
    places.sort_by(|&a, &b| {
        fields[b]
            .cut
            .cmp(&fields[a].cut)
            .then(fields[a].selling.nutrients.total_cmp(&fields[b].selling.nutrients))
    });
    for i in places {
        let take = short.min(fields[i].bales).ceil().min(fields[i].bales);
        fields[i].for_bedding = take;
        short -= take;
    }
    let (headline, why) = in_words(c, &fields, needed, short, price, p);
    StrawAnswer {
        headline,
        why,
        needed,
        fields,
        asked,
        bale_kg: p.bale_kg,
        prices: (price, p.bale_bought, p.baling),
    }
}

fn field(c: &Carried, q: &Question<'_>, f: usize, price: f64, p: &StrawParams) -> StrawField {
    let m = &c.model.fields[f];
    let s = middle_state(c, f);
    let record = &q.farm.fields[&m.id];
    let cut_on = record.cut_on(c.model.year);
    let written =
        record.cuts.iter().rev().filter(|x| x.on().year() == c.model.year).find_map(|x| x.is.yield_kg_ha);
    let yield_kg_ha = written.unwrap_or_else(|| s.by_water_kg_ha(m));
    let rain_mm = cut_on.map_or(0.0, |day| {
        q.weather
            .observed
            .iter()
            .filter(|r| r.date > day && r.date < c.as_of)
            .filter_map(|r| r.precip_mm)
            .sum()
    });
    let b = straw::bale(yield_kg_ha, price, rain_mm, p);
    let per_bale = |x: f64| x / b.bales_ha.max(1e-9);
    let ([n, ph, k], _) = straw::carried_off(rain_mm, p);
    let working = Working::new(format!("Straw of {}: a bale sold over chopping", m.name))
        .line(Op::Start, "Sold from the yard", per_bale(b.worth), "a bale", 2)
        .line(Op::Minus, "Baling, twine, stacking", per_bale(b.cost), "a bale", 2)
        .line(Op::Minus, "Nutrients carried off", per_bale(b.nutrients), "a bale", 2)
        .line(Op::Plus, "Chopping saved", per_bale(b.chopping), "a bale", 2)
        .sum("Gain", per_bale(b.gain()), "a bale", 2)
        .note(format!(
            "A tonne of straw carries off {} kg N, {} P2O5 and {} K2O after {} mm of rain since it was cut; of the nitrogen {} % is counted, since straw ties up as much as it gives in its first year.",
            figure(n, 1),
            figure(ph, 1),
            figure(k, 1),
            figure(rain_mm, 0),
            figure(100.0 * p.n_counts, 0)
        ))
        .source("straw yields and nutrients: prairie, Illinois and Ohio extension; rain takes up to 80 % of straw potash (Illinois)")
        .would_change("your price of a bale; potash in the soil test; residue that a light field needs to hold its soil");
    let area = if cut_on.is_some() { m.area_ha } else { s.left_ha(Job::Cut) };
    StrawField {
        field: m.id.to_string(),
        name: m.name.clone(),
        area_ha: m.area_ha,
        cut: cut_on.is_some(),
        rain_mm,
        straw: straw::straw(yield_kg_ha, p),
        bales: (b.bales_ha * area).floor(),
        selling: b,
        for_bedding: 0.0,
        working,
    }
}

fn in_words(
    c: &Carried,
    fields: &[StrawField],
    needed: f64,
    short: f64,
    price: f64,
    p: &StrawParams,
) -> (String, String) {
    let u = &c.model.units;
    let Some(best) = fields.first() else {
        return ("There is no straw this year.".into(), "No wheat is seeded.".into());
    };
    let per_bale = best.selling.gain() / best.selling.bales_ha.max(1e-9);
    let selling = if per_bale > 0.5 {
        format!(
            "Selling bales at {} gains about {} a bale over chopping, or {} an acre on {}.",
            words::cash(u, price),
            words::cash(u, per_bale),
            words::cash(u, best.selling.gain() * HA_PER_ACRE),
            best.name
        )
    } else if per_bale < -0.5 {
        format!(
            "Selling bales at {} loses about {} a bale against chopping.",
            words::cash(u, price),
            words::cash(u, -per_bale)
        )
    } else {
        format!("Selling bales at {} comes to the same as chopping.", words::cash(u, price))
    };
    // What a bale of one's own costs, nutrients in.
    let own = p.baling + (best.selling.nutrients - best.selling.chopping) / best.selling.bales_ha.max(1e-9);
    if needed > 0.5 {
        let from: Vec<String> = fields
            .iter()
            .filter(|f| f.for_bedding > 0.0)
            .map(|f| format!("{} from {}", figure(f.for_bedding, 0), f.name))
            .collect();
        let rest = if short > 0.5 {
            format!(" {} bales are still to buy.", figure(short, 0))
        } else {
            String::new()
        };
        (
            format!("Bale {} for bedding: {}.", figure(needed - short, 0), from.join(", ")),
            format!(
                "A bale of your own costs about {} with its nutrients, one bought in {}.{rest} {selling}",
                words::cash(u, own),
                words::cash(u, p.bale_bought)
            ),
        )
    } else if per_bale > 0.5 {
        (format!("Bale {} if you can sell at {}.", best.name, words::cash(u, price)), selling)
    } else {
        ("Chop it and spread it to the full cut.".into(), selling)
    }
}
