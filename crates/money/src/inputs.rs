//! Seed, fertilizer and sprays of a field: from what was put on and the farm's prices.

use jiff::civil::Date;
use stook_barn::Facts;
use stook_book::farm::FieldRecord;
use stook_book::payload::{Crop, MachineKind, SprayPurpose};
use stook_fertility::Nutrients;
use stook_fertility::product::Product;
use stook_inputs::prices::{NutrientPrices, money_per_kg};
use stook_measure::{figure, units};
use stook_season::spraying::record::{SiRate, read_rate, si_rate};

use crate::machines;
use crate::prices;
use crate::said::{How, Line, Part};

/// What could not be reckoned: the sentence's end, and the form that mends it.
pub type Asks = Vec<(String, String)>;

/// Seed: rate as sown, else the farm's mean rate of that crop, at the farm's price of its seed.
pub fn seed(
    f: &Facts<'_>,
    record: &FieldRecord,
    crop: &Crop,
    year: i16,
    on: Date,
    asks: &mut Asks,
) -> Option<Line> {
    if matches!(crop, Crop::Hay | Crop::Fallow) {
        return None;
    }
    let sown: Vec<f64> = record.seeded_in(year).filter_map(|s| s.is.rate_kg_ha).collect();
    let own: Vec<f64> = f
        .farm
        .fields
        .values()
        .flat_map(|r| r.seedings.iter().map(move |s| (r, s)))
        .filter(|(r, s)| r.plan(s.on().year()).is_some_and(|p| p.crop == *crop))
        .filter_map(|(_, s)| s.is.rate_kg_ha)
        .collect();
    let (rate, words) = match (sown.as_slice(), own.as_slice()) {
        ([.., last], _) => (*last, "seed as sown"),
        ([], [_, ..]) => (own.iter().sum::<f64>() / own.len() as f64, "seed at your usual rate"),
        _ => {
            asks.push((format!("the rate and price of {} seed, or its bill", crop.words()), "cost".into()));
            return None;
        }
    };
    let Some(per_kg) = prices::seed_per_kg(f.farm, crop, on) else {
        asks.push((format!("the price of {} seed", crop.words()), "price".into()));
        return None;
    };
    let words = format!("{words}, {} lb an acre", figure(units::kg_ha_to_lb_ac(rate), 0));
    Some(Line::new(Part::Seed, words, rate * per_kg, How::YourPrice))
}

/// Fertilizer: what went on, else the accepted plan.
pub fn fertilizer(
    f: &Facts<'_>,
    record: &FieldRecord,
    year: i16,
    on: Date,
    nutrients: &NutrientPrices,
    asks: &mut Asks,
) -> Option<Line> {
    let area = record.field().area_ha.max(1e-9);
    let how = |ours: bool| if ours { How::OurPrice("nutrients".into()) } else { How::YourPrice };
    let worth = |n: Nutrients| {
        let by = |k: f64, price: f64| k * price;
        by(n.n, nutrients.per_kg.n)
            + by(n.p2o5, nutrients.per_kg.p2o5)
            + by(n.k2o, nutrients.per_kg.k2o)
            + by(n.s, nutrients.per_kg.s)
    };
    let needs_ours = |n: Nutrients| {
        [("N", n.n), ("P2O5", n.p2o5), ("K2O", n.k2o), ("S", n.s)]
            .iter()
            .any(|(name, x)| *x > 0.0 && nutrients.assumed.contains(name))
    };
    let applied: Vec<_> = record.fertilizer.iter().filter(|x| x.is.crop_year == year).collect();
    if !applied.is_empty() {
        let (mut money, mut ours, mut kg_all) = (0.0, false, 0.0);
        for used in applied.iter().flat_map(|a| &a.is.products) {
            kg_all += used.kg;
            let own = f.farm.price(&used.product, on).and_then(money_per_kg);
            let grade = used
                .grade
                .map(|g| Nutrients::new(g.n_pct, g.p2o5_pct, g.k2o_pct, g.s_pct))
                .or_else(|| Product::of(&used.product).map(Product::grade_pct));
            match (own, grade) {
                (Some(per_kg), _) => money += used.kg * per_kg,
                (None, Some(g)) => {
                    let n = g.times(used.kg / 100.0);
                    ours |= needs_ours(n);
                    money += worth(n);
                }
                (None, None) => {
                    asks.push((format!("the price of {}", used.product), "price".into()));
                }
            }
        }
        let words = format!("fertilizer put on, {} kg in all", figure(kg_all, 0));
        return Some(Line::new(Part::Fertilizer, words, money / area, how(ours)));
    }
    let plan = record.fertilizer_plans.get(&year)?;
    let n = Nutrients::new(plan.is.n_kg_ha, plan.is.p2o5_kg_ha, plan.is.k2o_kg_ha, plan.is.s_kg_ha);
    let lb = |x: f64| figure(units::kg_ha_to_lb_ac(x), 0);
    let words =
        format!("fertilizer by the plan, {}-{}-{}-{} lb an acre", lb(n.n), lb(n.p2o5), lb(n.k2o), lb(n.s));
    Some(Line::new(Part::Fertilizer, words, worth(n), how(needs_ours(n))))
}

/// L or kg of product on a hectare.
fn an_area(rate: SiRate, water_l_ha: Option<f64>) -> Option<f64> {
    match rate {
        SiRate::Liquid(x) | SiRate::Dry(x) => Some(x),
        SiRate::Share(pct) => Some(pct / 100.0 * water_l_ha?),
    }
}

/// Sprays: each pass written down, at the price of its product and the sprayer, else at the farm's price of such a pass.
pub fn sprays(f: &Facts<'_>, record: &FieldRecord, year: i16, on: Date, asks: &mut Asks) -> Vec<Line> {
    let mut out = Vec::new();
    for s in record.sprays.iter().filter(|s| s.on().year() == year) {
        let share = s.is.area_ha.map_or(1.0, |a| a / record.field().area_ha.max(1e-9));
        let what = format!("{}, {}", s.is.purpose.words(), s.is.product);
        // Every product in the tank with a price of its own, and the sprayer by its factors.
        let tank: Vec<(&Option<stook_book::SprayProductId>, &Option<String>)> =
            std::iter::once((&s.is.product_id, &s.is.rate))
                .chain(s.is.mix.iter().map(|m| (&m.product_id, &m.rate)))
                .collect();
        let products: Option<f64> = tank
            .iter()
            .map(|(id, rate)| {
                let price = f
                    .farm
                    .price(id.as_ref()?.as_str(), on)
                    .filter(|p| matches!(p.unit.as_str(), "l" | "kg"))?;
                let (x, unit) = read_rate(rate.as_deref()?)?;
                Some(price.value * an_area(si_rate(x, unit), s.is.water_l_ha)?)
            })
            .sum();
        if let Some(money) = products {
            match machines::a_pass(f, MachineKind::Sprayer, year, on) {
                Ok((pass, how, w)) => out.push(Line {
                    working: Some(w),
                    ..Line::new(Part::Spray, format!("{what}: product and pass"), share * (money + pass), how)
                }),
                Err(ask) => {
                    out.push(Line::new(
                        Part::Spray,
                        format!("{what}: product only"),
                        share * money,
                        How::YourPrice,
                    ));
                    asks.push((ask, "machine_value".into()));
                }
            }
            continue;
        }
        let key = match s.is.purpose {
            SprayPurpose::Fungicide => "fungicide_pass",
            SprayPurpose::Insecticide => "insecticide_pass",
            _ => "herbicide_pass",
        };
        match prices::pass_per_ha(f.farm, key, on) {
            Some(per_ha) => out.push(Line::new(
                Part::Spray,
                format!("{what}: product and pass"),
                share * per_ha,
                How::YourPrice,
            )),
            None => asks.push((format!("the price of a pass for {}", s.is.purpose.words()), "price".into())),
        }
    }
    out
}
