//! The forms of spraying: a product's label facts, a pass with what an inspector asks, and going in early.

use serde_json::{Map, Value as Json, json};
use stook_book::payload::{
    AirBy, AreaUnit, MixStep, SpeedUnit, SprayPurpose, SprayRateUnit, TemperatureUnit, WindFrom,
};
use stook_measure::units;

use super::ask::{AREA, FIELD, first, maybe, needed, pairs, plain};
use super::{Ask, Form, Input};

/// Litres in a US gallon.
pub const L_PER_US_GAL: f64 = 3.785_411_784;

/// Litres a hectare as US gallons an acre.
pub fn l_ha_to_gal_ac(l_ha: f64) -> f64 {
    l_ha * units::HA_PER_ACRE / L_PER_US_GAL
}

/// What a tank holds; the book keeps L.
pub const TANK: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "US gal" } else { "L" },
    to_si: |u, x| if u.area == AreaUnit::Acres { x * L_PER_US_GAL } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { x / L_PER_US_GAL } else { x },
    step: 100.0,
};
const WATER: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "US gal/ac" } else { "L/ha" },
    to_si: |u, x| if u.area == AreaUnit::Acres { x * L_PER_US_GAL / units::HA_PER_ACRE } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { l_ha_to_gal_ac(x) } else { x },
    step: 1.0,
};
const WIND: Ask = Ask::Number {
    unit: |u| u.speed.words(),
    to_si: |u, x| units::kmh_to_ms(if u.speed == SpeedUnit::Mph { units::mph_to_kmh(x) } else { x }),
    from_si: |u, x| {
        let kmh = units::ms_to_kmh(x);
        if u.speed == SpeedUnit::Mph { units::kmh_to_mph(kmh) } else { kmh }
    },
    step: 1.0,
};
const TEMP: Ask = Ask::Number {
    unit: |u| u.temperature.words(),
    to_si: |u, x| if u.temperature == TemperatureUnit::Fahrenheit { units::f_to_c(x) } else { x },
    from_si: |u, x| if u.temperature == TemperatureUnit::Fahrenheit { units::c_to_f(x) } else { x },
    step: 1.0,
};

/// The forms.
pub const FORMS: &[Form] = &[
    Form { kind: "spray_pass", title: "Sprayed", glove: true, set_up: false, inputs: PASS },
    Form { kind: "entered_early", title: "Entered early", glove: true, set_up: false, inputs: EARLY },
    Form { kind: "spray_product", title: "Spray product", glove: false, set_up: true, inputs: PRODUCT },
];

/// Asked of a product.
const PRODUCT: &[Input] = &[
    needed("name", "Name, as on the label", "", Ask::Text),
    needed("purpose", "For", "", pairs!(SprayPurpose)),
    maybe("registration", "Registration number", "On the front of the label.", Ask::Text),
    maybe("crops", "Crops and use, in the label's words", "", Ask::Text),
    maybe("rate", "Rate", "The figure alone; its unit comes next.", plain(|_| "", 0.1)),
    maybe("rate_unit", "Unit of the rate", "As printed: an acre is not a hectare.", pairs!(SprayRateUnit)),
    maybe("water_l_ha", "Least water", "", WATER),
    maybe("leaf_from", "From leaf stage", "Leaves on the main stem.", plain(|_| "leaves", 1.0)),
    maybe("leaf_to", "To leaf stage", "", plain(|_| "leaves", 1.0)),
    maybe("pre_harvest_days", "Days to harvest", "Cutting is blocked until then.", plain(|_| "days", 1.0)),
    maybe("re_entry_hours", "Hours before anyone may enter", "", plain(|_| "h", 1.0)),
    maybe(
        "plant_back_days",
        "Days before seeding",
        "For a burn-off or the next crop.",
        plain(|_| "days", 1.0),
    ),
    maybe("rainfast_h", "Hours it needs without rain", "", plain(|_| "h", 0.5)),
    maybe("wind_low_ms", "Least wind", "", WIND),
    maybe("wind_high_ms", "Most wind", "", WIND),
    maybe("temp_low_c", "Coldest", "", TEMP),
    maybe("temp_high_c", "Warmest", "", TEMP),
    maybe("buffer_m", "Strip to leave along water and the like", "", plain(|_| "m", 5.0)),
    maybe(
        "container",
        "A container holds",
        "Litres, or kilograms for a dry product.",
        plain(|_| "L or kg", 1.0),
    ),
    maybe("mix_step", "What it is in the tank", "Sets the common mixing order.", pairs!(MixStep)),
    maybe(
        "mix_place",
        "Place in the tank by its label",
        "1 goes in first. Leave it when the label gives none.",
        plain(|_| "", 1.0),
    ),
    maybe("mixing", "Adjuvant and mixing, in the label's words", "", Ask::LongText),
];

/// Asked of a pass.
const PASS: &[Input] = &[
    FIELD,
    first(needed("purpose", "For", "", pairs!(SprayPurpose)), "herbicide"),
    maybe("product_id", "Product", "", Ask::ProductOr("another: write it below")),
    maybe("product", "If another product: its name, as on the label", "", Ask::Text),
    maybe("rate", "Rate, as on the label", "With its unit.", Ask::Text),
    maybe("mix_0", "And in the same tank", "", Ask::ProductOr("nothing more")),
    maybe("mix_1", "And besides", "", Ask::ProductOr("nothing more")),
    maybe(
        "pre_harvest_days",
        "Days to harvest, from the label",
        "The field is blocked for cutting until then.",
        plain(|_| "days", 1.0),
    ),
    maybe("re_entry_hours", "Hours before anyone may enter, from the label", "", plain(|_| "h", 1.0)),
    maybe("area_ha", "Area, if not the whole field", "", AREA),
    maybe("finished", "Left the field at", "On the same day, or past midnight.", Ask::Time),
    maybe("water_l_ha", "Water and product together", "", WATER),
    maybe("air.temp_c", "Temperature at the time", "", TEMP),
    maybe("air.rh_pct", "Humidity at the time", "", plain(|_| "%", 5.0)),
    maybe("air.wind_ms", "Wind at the time", "", WIND),
    maybe("air.wind_from", "Wind from", "", pairs!(WindFrom)),
    maybe("air.by", "Weather by", "", pairs!(AirBy)),
    maybe("operator", "Who drove, if not who writes", "", Ask::Text),
    maybe("licence", "Licence or certificate", "", Ask::Text),
    maybe("target", "Aimed at", "The weed, disease or insect.", Ask::Text),
    maybe("stage", "Stage of the crop", "", Ask::Text),
    maybe("nozzle", "Nozzle and drop size", "", Ask::Text),
    maybe("buffer_m", "Strip left unsprayed", "", plain(|_| "m", 5.0)),
];

/// Asked when somebody went in early.
const EARLY: &[Input] = &[
    FIELD,
    needed("why", "Why it could not wait", "", Ask::Text),
    needed("protection", "What was worn and done", "As the label asks.", Ask::Text),
];

/// Typed values of a pass into the entry's own shape.
///
/// # Errors
/// The input and what is wrong with it.
pub fn assemble_pass(flat: &mut Map<String, Json>, on: &str, at: &str) -> Result<(), (&'static str, String)> {
    whole(flat, &["pre_harvest_days", "re_entry_hours"]);
    if !flat.contains_key("product") {
        return Err(("product", "Choose the product, or write its name as on the label.".into()));
    }
    // The parts' names and rates come from the set-up, put in by the page that took the form.
    let mut mix = Vec::new();
    for key in ["mix_0", "mix_1"] {
        if let Some(id) = flat.remove(key) {
            let known = |what: &str| flat.get(&format!("{key}.{what}")).cloned().unwrap_or(Json::Null);
            let mut part = json!({"product": known("product"), "product_id": id});
            if !known("rate").is_null() {
                part["rate"] = known("rate");
            }
            mix.push(part);
        }
        flat.remove(&format!("{key}.product"));
        flat.remove(&format!("{key}.rate"));
    }
    if !mix.is_empty() {
        flat.insert("mix".into(), json!(mix));
    }
    if let Some(time) = flat.get("finished").and_then(Json::as_str) {
        let (Ok(day), Ok(time)) = (on.parse::<jiff::civil::Date>(), time.parse::<jiff::civil::Time>()) else {
            return Err(("finished", "Write the time as 20:15.".into()));
        };
        let began = at.parse::<jiff::civil::Time>().ok();
        // Sprayed past midnight: the finish is on the next day.
        let day = if began.is_some_and(|b| b > time) { day.tomorrow().unwrap_or(day) } else { day };
        flat.insert("finished".into(), json!(day.to_datetime(time).to_string()));
    }
    let said =
        ["air.temp_c", "air.rh_pct", "air.wind_ms", "air.wind_from"].iter().any(|k| flat.contains_key(*k));
    if !said {
        flat.remove("air.by");
    } else if !flat.contains_key("air.by") {
        flat.insert("air.by".into(), json!(AirBy::Hand.key()));
    }
    Ok(())
}

/// Whole numbers where the book holds whole numbers.
pub fn whole(flat: &mut Map<String, Json>, keys: &[&str]) {
    for key in keys {
        if let Some(x) = flat.get(*key).and_then(Json::as_f64) {
            flat.insert((*key).into(), json!(x.round() as i64));
        }
    }
}

/// A pass's own shape as the form holds it.
pub fn prefill_pass(data: &Json, key: &str) -> Option<String> {
    match key {
        "mix_0" => data["mix"][0]["product_id"].as_str().map(Into::into),
        "mix_1" => data["mix"][1]["product_id"].as_str().map(Into::into),
        "finished" => data["finished"].as_str().and_then(|t| t.get(11..16)).map(Into::into),
        _ => None,
    }
}

/// Whether a key of the pass is held by several inputs of the form.
pub fn is_own_shape(key: &str) -> bool {
    matches!(key, "mix_0" | "mix_1" | "finished")
}
