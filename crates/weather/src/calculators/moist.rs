//! State of moist air for drying and barns, over ice below freezing.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Working};

use super::{pressure, rh, temp};
use crate::psychro;

const ICE: &str = "ASHRAE Handbook of Fundamentals (2017), ch. 1, after Hyland and Wexler (1983): saturation over ice below 0 C; secondary";

pub fn all() -> Vec<Calculator> {
    vec![moist_air(), ratio_from_wet_bulb(), ratio_from_vapour(), heated_air()]
}

fn moist_air() -> Calculator {
    Calculator {
        name: "weather.moist_air",
        title: "State of moist air",
        about: "Water carried, wet bulb, dew point, heat content and volume, for drying, aeration and barn air. Relative humidity below freezing is taken over ice here; a station's is over water.",
        inputs: vec![temp(), rh(), pressure()],
        outputs: vec![
            Output { key: "humidity_ratio", unit: "kg/kg", about: "water to dry air" },
            Output { key: "wet_bulb_c", unit: "C", about: "thermodynamic wet bulb" },
            Output { key: "dew_point_c", unit: "C", about: "dew point, frost point below freezing" },
            Output {
                key: "enthalpy_kj_kg",
                unit: "kJ/kg",
                about: "heat content of dry air and its water, from 0 C",
            },
            Output { key: "volume_m3_kg", unit: "m3/kg", about: "volume with each kg of dry air" },
        ],
        source: ICE,
        run: |a| {
            let (t, p) = (a.number("temp_c"), a.number("pressure_kpa"));
            let w = psychro::ratio_from_rh(t, a.number("rh_pct") / 100.0, p);
            let (wet, dew) = (psychro::wet_bulb(t, w, p), psychro::dew_point(psychro::vapour_pressure(w, p)));
            let (h, v) = (psychro::enthalpy(t, w), psychro::volume(t, w, p));
            Ok(Outcome::new(
                Working::new("Heat content of moist air")
                    .line(Op::Note, "water to dry air", 1000.0 * w, "g/kg", 2)
                    .line(Op::Note, "wet bulb", wet, "C", 2)
                    .line(Op::Note, "dew point", dew, "C", 2)
                    .line(Op::Start, "of the dry air", 1.006 * t, "kJ/kg", 3)
                    .line(Op::Plus, "of its water", h - 1.006 * t, "kJ/kg", 3)
                    .sum("heat content", h, "kJ/kg", 2)
                    .source("ASHRAE (2017) ch. 1 Eq. 5, 6, 20, 26, 30, 33, 35"),
            )
            .with("humidity_ratio", w)
            .with("wet_bulb_c", wet)
            .with("dew_point_c", dew)
            .with("enthalpy_kj_kg", h)
            .with("volume_m3_kg", v))
        },
    }
}

fn ratio_from_wet_bulb() -> Calculator {
    Calculator {
        name: "weather.humidity_ratio_from_wet_bulb",
        title: "Water in air from its wet bulb",
        about: "Humidity ratio from a thermodynamic wet bulb, over ice below freezing.",
        inputs: vec![temp(), Input::number("wet_c", "C", -40.0, 60.0, "thermodynamic wet bulb"), pressure()],
        outputs: vec![Output { key: "humidity_ratio", unit: "kg/kg", about: "water to dry air" }],
        source: ICE,
        run: |a| {
            let (t, wet, p) = (a.number("temp_c"), a.number("wet_c"), a.number("pressure_kpa"));
            if wet > t {
                return Err(CalcError::Together(
                    "the wet bulb cannot be above the dry bulb; swap them".into(),
                ));
            }
            let w = psychro::ratio_from_wet_bulb(t, wet, p);
            Ok(Outcome::new(
                Working::new("Water in air")
                    .line(
                        Op::Note,
                        "water at saturation at the wet bulb",
                        1000.0 * psychro::saturation_ratio(wet, p),
                        "g/kg",
                        3,
                    )
                    .sum("water to dry air", 1000.0 * w, "g/kg", 3)
                    .source("ASHRAE (2017) ch. 1 Eq. 33 and 35"),
            )
            .with("humidity_ratio", w))
        },
    }
}

fn ratio_from_vapour() -> Calculator {
    Calculator {
        name: "weather.humidity_ratio",
        title: "Water in air from its vapour pressure",
        about: "Humidity ratio: water carried by each kg of dry air. It does not change when air is heated.",
        inputs: vec![Input::number("vapour_kpa", "kPa", 0.0001, 20.0, "vapour pressure"), pressure()],
        outputs: vec![Output { key: "humidity_ratio", unit: "kg/kg", about: "water to dry air" }],
        source: ICE,
        run: |a| {
            let (e, p) = (a.number("vapour_kpa"), a.number("pressure_kpa"));
            let w = psychro::humidity_ratio(e, p);
            Ok(Outcome::new(
                Working::new("Water in air")
                    .line(Op::Start, "vapour pressure", e, "kPa", 5)
                    .line(Op::Over, "pressure of the dry air", p - e, "kPa", 5)
                    .line(Op::Times, "weight of water to air", 621.945, "g/kg", 3)
                    .sum("water to dry air", 1000.0 * w, "g/kg", 2)
                    .source("ASHRAE (2017) ch. 1 Eq. 20"),
            )
            .with("humidity_ratio", w))
        },
    }
}

fn heated_air() -> Calculator {
    Calculator {
        name: "weather.heated_air",
        title: "Air through a heater",
        about: "Relative humidity, wet bulb and heat needed when air is warmed and its water stays the same.",
        inputs: vec![
            temp(),
            rh(),
            pressure(),
            Input::number("to_c", "C", -40.0, 150.0, "temperature after the heater"),
        ],
        outputs: vec![
            Output { key: "rh_pct", unit: "%", about: "relative humidity after" },
            Output { key: "wet_bulb_c", unit: "C", about: "wet bulb after" },
            Output { key: "heat_kj_kg", unit: "kJ/kg", about: "heat for each kg of dry air" },
        ],
        source: ICE,
        run: |a| {
            let (t, to, p) = (a.number("temp_c"), a.number("to_c"), a.number("pressure_kpa"));
            if to < t {
                return Err(CalcError::Together("to_c is below temp_c; a heater cannot cool".into()));
            }
            let w = psychro::ratio_from_rh(t, a.number("rh_pct") / 100.0, p);
            let (h1, h2) = (psychro::enthalpy(t, w), psychro::enthalpy(to, w));
            let rh = 100.0 * psychro::rh_from_ratio(to, w, p);
            Ok(Outcome::new(
                Working::new("Heat for each kg of dry air")
                    .line(Op::Note, "relative humidity after", rh, "%", 1)
                    .line(Op::Start, "heat content after", h2, "kJ/kg", 3)
                    .line(Op::Minus, "heat content before", h1, "kJ/kg", 3)
                    .sum("heat needed", h2 - h1, "kJ/kg", 2)
                    .source("ASHRAE (2017) ch. 1 Eq. 30 at constant humidity ratio"),
            )
            .with("rh_pct", rh)
            .with("wet_bulb_c", psychro::wet_bulb(to, w, p))
            .with("heat_kj_kg", h2 - h1))
        },
    }
}
