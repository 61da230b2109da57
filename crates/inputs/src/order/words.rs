//! The order in words.

use stook_book::payload::{RateUnit, UnitChoice};
use stook_fertility::Nutrient;
use stook_measure::{Op, Working, figure, units};
use stook_season::words::{area, cash};

use super::answer::{Order, PriceChange};
use super::gather::Gathered;
use crate::blend::{FieldMix, Job, Land, Offer, Plan};

/// The first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// `urea`, `MAP`: what the yard calls it.
pub fn short(o: &Offer) -> String {
    match o.key.as_str() {
        "map" | "dap" | "ams" => o.key.to_uppercase(),
        "uan28" => "28-0-0".into(),
        "uan32" => "32-0-0".into(),
        "app10_34" => "10-34-0".into(),
        "ats" => "thiosulphate".into(),
        "anhydrous" => "anhydrous ammonia".into(),
        other => other.replace('_', " "),
    }
}

/// A rate with its unit.
fn rate(u: &UnitChoice, kg_ha: f64) -> String {
    let x = if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(kg_ha) } else { kg_ha };
    format!("{} {}", figure(x, 0), u.rate.words())
}

/// What to mind of a field.
pub fn field_notes(u: &UnitChoice, land: &Land, f: &FieldMix) -> Vec<String> {
    let mut out = Vec::new();
    if f.capped {
        out.push(format!(
            "The seed row bears {} of phosphate here, less than the plan has there; the band makes it up.",
            rate(u, land.limits.p2o5_kg_ha.unwrap_or(0.0))
        ));
    }
    for n in Nutrient::ALL {
        if f.over_kg_ha[n] >= 3.0 {
            let set = f.sets.map_or("", |s| s.name());
            out.push(format!(
                "{} of {} more than planned, as {set} sets the rate.",
                rate(u, f.over_kg_ha[n]),
                n.name()
            ));
        }
    }
    out
}

/// What a price change alters.
pub fn price_change(
    u: &UnitChoice,
    job: &Job,
    plan: &Plan,
    offer: usize,
    changes: &[PriceChange; 2],
) -> String {
    let one = |c: &PriceChange| {
        let dearer = if c.share > 0.0 { "dearer" } else { "cheaper" };
        let pct = figure(100.0 * c.share.abs(), 0);
        let more = if c.new_order >= 0.0 { "more" } else { "less" };
        let money = cash(u, c.new_order.abs());
        let now = plan.product_kg[offer] / 1000.0;
        let then = c.kg[offer] / 1000.0;
        let moved: Vec<String> = (0..job.offers.len())
            .filter(|i| (c.kg[*i] - plan.product_kg[*i]).abs() > 0.05 * plan.product_kg[*i].max(1000.0))
            .map(|i| {
                format!(
                    "{} {:.1} to {:.1} t",
                    short(&job.offers[i]),
                    plan.product_kg[i] / 1000.0,
                    c.kg[i] / 1000.0
                )
            })
            .collect();
        if moved.is_empty() {
            if now < 0.05 && then < 0.05 {
                return format!("{pct} % {dearer}: still none wanted");
            }
            format!("{pct} % {dearer}: {money} {more}, the same tonnes")
        } else {
            format!("{pct} % {dearer}: {money} {more} with a new order ({})", moved.join(", "))
        }
    };
    format!("{}; {}.", one(&changes[0]), one(&changes[1]))
}

/// Fills the sentences and the working.
pub fn say(order: &mut Order, g: &Gathered, plan: &Plan, u: &UnitChoice) {
    let mixes = order.blends.iter().filter(|b| b.parts.len() > 1).count();
    let mut what: Vec<String> = match mixes {
        0 => Vec::new(),
        1 => vec!["one blend".into()],
        n => vec![format!("{n} blends")],
    };
    what.extend(order.blends.iter().filter(|b| b.parts.len() == 1).map(|b| b.name.clone()));
    let blends = stook_season::model::list(&what);
    order.headline = format!("Order {} t, {blends}, for {}.", figure(order.tonnes, 1), cash(u, order.money));
    let ha: f64 = order.fields.iter().map(|f| f.area_ha).sum();
    let extra = order.money - order.floor;
    let held = if extra > 0.005 * order.floor {
        format!(
            "Holding it to {} costs {} over a blend for every field, {} %",
            order.most_blends,
            cash(u, extra),
            figure(100.0 * extra / order.floor, 1)
        )
    } else {
        "A blend for every field would not be cheaper by half a percent".to_string()
    };
    order.why = format!("It meets the plans of {} fields, {}. {held}.", order.fields.len(), area(u, ha));
    let assumed: Vec<String> = order.products.iter().filter(|p| p.assumed).map(|p| p.name.clone()).collect();
    order.change = if assumed.is_empty() {
        "A dealer's price, another plan for a field, or room for one blend more.".into()
    } else {
        format!(
            "Real prices first of all: ours stand in for {}. Then another plan for a field, or room for one blend more.",
            stook_season::model::list(&assumed)
        )
    };
    if !g.manure.is_empty() {
        order.notes.insert(0, manure_words(order, g, u));
    }
    order.working = Some(working(order, g, plan, u));
}

/// What manure takes off the order.
fn manure_words(order: &Order, g: &Gathered, u: &UnitChoice) -> String {
    let x = |kg_ha: f64| {
        let x = if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(kg_ha) } else { kg_ha };
        figure(x, 0)
    };
    let fields: Vec<String> = g
        .manure
        .iter()
        .map(|m| {
            let n = m.spared_kg_ha;
            format!("{} {}-{}-{}-{}", m.field, x(n.n), x(n.p2o5), x(n.k2o), x(n.s))
        })
        .collect();
    format!(
        "Manure spares this order {} of fertilizer at the prices on file ({} of N-P2O5-K2O-S): {}.",
        cash(u, order.manure_spares),
        u.rate.words(),
        stook_season::model::list(&fields)
    )
}

fn working(order: &Order, g: &Gathered, plan: &Plan, u: &UnitChoice) -> Working {
    let mut w = Working::new("The order in money");
    for p in order.products.iter().filter(|p| p.tonnes > 0.0) {
        w = w.line(
            Op::Note,
            format!("{}: {} t at {}{} a tonne", p.name, figure(p.tonnes, 2), u.money, figure(p.per_t, 0)),
            p.money,
            "",
            0,
        );
    }
    for (i, b) in order.blends.iter().enumerate() {
        let op = if i == 0 { Op::Start } else { Op::Plus };
        w = w.line(op, capital(&b.name), b.money, "", 0);
    }
    w.sum("The order", order.money, "", 0)
        .note(format!(
            "Chosen among {} mixes in whole steps of {} kg a tonne, at rates in whole steps of the drill. Each field's own \
             least cost, with no end of blends and no steps, comes to {}: no order can be below it.",
            plan.mixes,
            figure(g.job.settings.part_step_kg_t, 0),
            cash(u, order.floor)
        ))
        .note("Seed-row limits hold for good to excellent moisture; in a dry seedbed halve the nitrogen there.")
        .note("A pound of a nutrient is worth what one more of it would cost in a mix of the field's own.")
        .source("Grades: reference/fertility-products.csv. Seed-row limits: reference/fertility-seed-row-*.csv (Manitoba Agriculture, Heard; Kansas State Univ.)")
        .source("Linear and whole-number programs by HiGHS; compared with SciPy on random farms in checks/")
        .would_change("prices, the plans, the drill's spread and row spacing, blends at most")
}
