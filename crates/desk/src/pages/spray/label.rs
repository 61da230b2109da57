//! What the form of a pass takes from the farm's own label facts: chosen product in, its rate and intervals filled.

use stook_book::Farm;
use stook_book::SprayProductId;
use stook_book::payload::{SprayProduct, SprayPurpose, UnitChoice};

use crate::forms::{self, Values};

/// The hidden input that says whose label the form was filled from.
pub const FILLED_FROM: &str = "label_of";

/// What a label gives a pass: the form's inputs with their values as typed.
fn facts(p: &SprayProduct, units: &UnitChoice) -> Values {
    let mut out = Values::new();
    let mut put = |key: &str, value: Option<String>| {
        out.insert(key.into(), value.unwrap_or_default());
    };
    let number = |key: &str, si: Option<f64>| {
        let input = forms::find("spray_pass")?.inputs.iter().find(|i| i.key == key)?;
        let forms::Ask::Number { from_si, .. } = input.ask else { return None };
        Some(format!("{}", (from_si(units, si?) * 100.0).round() / 100.0))
    };
    put("product", Some(p.name.clone()));
    put("rate", p.rate_words());
    put("pre_harvest_days", p.pre_harvest_days.map(|d| d.to_string()));
    put("re_entry_hours", p.re_entry_hours.map(|h| h.to_string()));
    put("water_l_ha", number("water_l_ha", p.water_l_ha));
    put("buffer_m", number("buffer_m", p.buffer_m));
    out
}

fn product<'a>(farm: &'a Farm, id: &str) -> Option<&'a SprayProduct> {
    farm.spray_products.get(&SprayProductId::from(id)).map(|p| &p.is)
}

/// What was last sprayed stays in the form, unless it was for something else than is asked now; and the product's label
/// fills the rest.
pub fn before_showing(values: &mut Values, asked: &Values, farm: &Farm, units: &UnitChoice) {
    if values.contains_key("replaces") {
        let now = values.get("product_id").cloned().unwrap_or_default();
        values.insert(FILLED_FROM.into(), now);
        return;
    }
    let purpose = values.get("purpose").and_then(|p| SprayPurpose::from_key(p));
    let chosen = values.get("product_id").cloned().unwrap_or_default();
    let suits = |p: &SprayProduct| Some(p.purpose) == purpose;
    let keep = asked.contains_key("product_id") || product(farm, &chosen).is_some_and(suits);
    if !keep {
        for key in ["product_id", "product", "rate"] {
            values.remove(key);
        }
        // One product for the purpose in the shed: that will be it.
        let mut fitting = farm.spray_products.values().filter(|p| suits(&p.is));
        if let (Some(only), None) = (fitting.next(), fitting.next()) {
            values.insert("product_id".into(), only.is.id.to_string());
        }
    }
    let id = values.get("product_id").cloned().unwrap_or_default();
    if let Some(p) = product(farm, &id) {
        values.extend(facts(p, units).into_iter().filter(|(k, v)| !(v.is_empty() || asked.contains_key(k))));
        // The chosen product says its own name.
        values.remove("product");
    }
    values.insert(FILLED_FROM.into(), id);
}

/// With more in the tank, the longest interval holds, unless a person wrote another.
fn longest_waits(values: &mut Values, farm: &Farm, p: &SprayProduct) {
    let parts: Vec<&SprayProduct> = ["mix_0", "mix_1"]
        .iter()
        .filter_map(|k| product(farm, values.get(*k).map_or("", |v| v.trim())))
        .collect();
    for (key, own, of) in [
        (
            "pre_harvest_days",
            p.pre_harvest_days,
            (|l| l.pre_harvest_days) as fn(&SprayProduct) -> Option<u16>,
        ),
        ("re_entry_hours", p.re_entry_hours, |l| l.re_entry_hours),
    ] {
        let longest = parts.iter().filter_map(|l| of(l)).chain(own).max();
        let typed = values.get(key).map_or(String::new(), |v| v.trim().to_string());
        let as_filled = typed.is_empty() || own.is_some_and(|o| typed == o.to_string());
        if let Some(longest) = longest.filter(|_| as_filled) {
            values.insert(key.into(), longest.to_string());
        }
    }
}

/// Before a form is read: names and rates of chosen products; and when another product was chosen than the form was
/// filled from, its label facts, with a sentence to look at them first.
pub fn before_reading(values: &mut Values, farm: &Farm, units: &UnitChoice) -> Option<String> {
    let get = |v: &Values, key: &str| v.get(key).map_or(String::new(), |x| x.trim().to_string());
    for key in ["mix_0", "mix_1"] {
        if let Some(p) = product(farm, &get(values, key)) {
            values.insert(format!("{key}.product"), p.name.clone());
            if let Some(rate) = p.rate_words() {
                values.insert(format!("{key}.rate"), rate);
            }
        }
    }
    let (id, from) = (get(values, "product_id"), get(values, FILLED_FROM));
    let p = product(farm, &id)?;
    let changed = id != from;
    let named = get(values, "product");
    let known = [Some(p), product(farm, &from)].into_iter().flatten().any(|x| x.name == named);
    if !named.is_empty() && !known {
        return Some(format!(
            "Both {} and {named} are named: choose \"another\" above, or clear the name.",
            p.name
        ));
    }
    for (key, fact) in facts(p, units) {
        // What came from the other label goes; what a person typed stays.
        let was = product(farm, &from).map(|old| facts(old, units)).and_then(|f| f.get(&key).cloned());
        let typed = get(values, &key);
        if key == "product" || typed.is_empty() || (changed && was.as_deref() == Some(typed.as_str())) {
            values.insert(key, fact);
        }
    }
    longest_waits(values, farm, p);
    values.insert(FILLED_FROM.into(), id);
    changed.then(|| {
        format!("The label facts of {} were put in: look at rate and intervals, then write it down.", p.name)
    })
}
