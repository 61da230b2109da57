//! Air, its moisture as stations report it, and wind.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Reference, Working};

use super::{ea, pressure, rh, temp, tmax, tmin, wind};
use crate::spray::SprayLimits;
use crate::{humidity, psychro};

const WATER: &str =
    "FAO-56 (Allen and others 1998), ch. 3: saturation over water at every temperature; published";

pub fn all() -> Vec<Calculator> {
    vec![air_pressure(), saturation(), rules(), dew_point(), delta_t(), rh_from_wet_bulb(), wind_at_2m()]
}

fn air_pressure() -> Calculator {
    Calculator {
        name: "weather.air_pressure",
        title: "Air pressure from elevation",
        about: "Mean pressure by the two conventions in use (evapotranspiration and air conditioning; they differ by less than 0.1 kPa) and the psychrometric constant.",
        inputs: vec![Input::number("elev_m", "m", -400.0, 5000.0, "elevation above the sea")],
        outputs: vec![
            Output { key: "pressure_kpa", unit: "kPa", about: "FAO-56 pressure" },
            Output { key: "gamma_kpa_c", unit: "kPa/C", about: "psychrometric constant" },
            Output { key: "standard_kpa", unit: "kPa", about: "standard atmosphere of ASHRAE" },
        ],
        source: "FAO-56 Eq. 7 and 8; ASHRAE (2017) ch. 1 Eq. 3",
        run: |a| {
            let z = a.number("elev_m");
            let p = humidity::pressure(z);
            Ok(Outcome::new(
                Working::new("Psychrometric constant")
                    .line(Op::Note, "standard atmosphere of ASHRAE", psychro::standard_pressure(z), "kPa", 3)
                    .line(Op::Start, "pressure", p, "kPa", 3)
                    .line(Op::Times, "constant", 0.000665, "1/C", 6)
                    .sum("psychrometric constant", humidity::gamma(p), "kPa/C", 4)
                    .source("FAO-56 Eq. 7 and 8"),
            )
            .with("pressure_kpa", p)
            .with("gamma_kpa_c", humidity::gamma(p))
            .with("standard_kpa", psychro::standard_pressure(z)))
        },
    }
}

fn saturation() -> Calculator {
    Calculator {
        name: "weather.saturation",
        title: "Most vapour air can hold",
        about: "Saturation vapour pressure over water (FAO-56; use with station humidity) and over ice below freezing (ASHRAE; use for drying and barns), and the slope of the first.",
        inputs: vec![Input::number("temp_c", "C", -60.0, 120.0, "air temperature")],
        outputs: vec![
            Output { key: "over_water_kpa", unit: "kPa", about: "FAO-56, over water" },
            Output { key: "slope_kpa_c", unit: "kPa/C", about: "slope of the FAO-56 curve" },
            Output { key: "ashrae_kpa", unit: "kPa", about: "ASHRAE, over ice below 0 C" },
        ],
        source: "FAO-56 Eq. 11 and 13; ASHRAE (2017) ch. 1 Eq. 5 and 6",
        run: |a| {
            let t = a.number("temp_c");
            Ok(Outcome::new(
                Working::new("Saturation vapour pressure")
                    .line(Op::Note, "ASHRAE, over ice below 0 C", psychro::saturation(t), "kPa", 5)
                    .line(Op::Note, "slope", humidity::slope(t), "kPa/C", 4)
                    .sum("FAO-56, over water", humidity::e0(t), "kPa", 3)
                    .note("at -20 C the two differ by a fifth: say which is meant")
                    .source("FAO-56 Eq. 11 and 13; ASHRAE (2017) ch. 1"),
            )
            .with("over_water_kpa", humidity::e0(t))
            .with("slope_kpa_c", humidity::slope(t))
            .with("ashrae_kpa", psychro::saturation(t)))
        },
    }
}

fn rules() -> Calculator {
    Calculator {
        name: "weather.vapour_pressure",
        title: "Vapour pressure of a day from relative humidity",
        about: "Three rules for the day's vapour pressure, best first, and the deficit by the best. A dew point is better than any of them.",
        inputs: vec![
            tmax(),
            tmin(),
            Input::number("rh_max_pct", "%", 1.0, 100.0, "highest relative humidity"),
            Input::number("rh_min_pct", "%", 1.0, 100.0, "lowest relative humidity"),
        ],
        outputs: vec![
            Output { key: "saturation_kpa", unit: "kPa", about: "mean saturation of the day" },
            Output { key: "by_range_kpa", unit: "kPa", about: "from both ends" },
            Output { key: "by_highest_kpa", unit: "kPa", about: "from the highest" },
            Output { key: "by_mean_kpa", unit: "kPa", about: "from the mean" },
            Output { key: "deficit_kpa", unit: "kPa", about: "deficit by the first rule" },
        ],
        source: WATER,
        run: |a| {
            let (high, low) = (a.number("tmax_c"), a.number("tmin_c"));
            let (most, least) = (a.number("rh_max_pct"), a.number("rh_min_pct"));
            if low > high || least > most {
                return Err(CalcError::Together("a lowest value is above its highest; swap them".into()));
            }
            let es = humidity::es_mean(high, low);
            let range = humidity::ea_from_rh_range(high, low, most, least);
            Ok(Outcome::new(
                Working::new("Vapour pressure deficit")
                    .line(Op::Start, "mean saturation of the day", es, "kPa", 3)
                    .line(Op::Minus, "vapour pressure from both ends of humidity", range, "kPa", 3)
                    .sum("deficit", es - range, "kPa", 3)
                    .source("FAO-56 Eq. 12 and 17 to 19"),
            )
            .with("saturation_kpa", es)
            .with("by_range_kpa", range)
            .with("by_highest_kpa", humidity::ea_from_rh_max(low, most))
            .with("by_mean_kpa", humidity::ea_from_rh_mean(high, low, 0.5 * (most + least)))
            .with("deficit_kpa", es - range))
        },
    }
}

fn dew_point() -> Calculator {
    Calculator {
        name: "weather.dew_point",
        title: "Dew point from vapour pressure",
        about: "The temperature to which air must cool for dew, over water, by the printed equation and by the exact turn of the saturation curve.",
        inputs: vec![ea()],
        outputs: vec![
            Output { key: "tdew_c", unit: "C", about: "as printed" },
            Output { key: "exact_c", unit: "C", about: "exact inverse of the saturation curve" },
        ],
        source: WATER,
        run: |a| {
            let e = a.number("ea_kpa");
            Ok(Outcome::new(
                Working::new("Dew point")
                    .line(Op::Note, "vapour pressure", e, "kPa", 3)
                    .line(Op::Note, "exact", humidity::e0_inverse(e), "C", 2)
                    .sum("dew point", humidity::dew_point(e), "C", 2)
                    .source("FAO-56 Eq. 3-11"),
            )
            .with("tdew_c", humidity::dew_point(e))
            .with("exact_c", humidity::e0_inverse(e)))
        },
    }
}

fn delta_t() -> Calculator {
    Calculator {
        name: "weather.delta_t",
        title: "Wet bulb and Delta T",
        about: "Delta T is air temperature less wet bulb: how fast a spray drop dries. It is 0.1 to 0.3 C larger at 500 m than at the sea.",
        inputs: vec![temp(), rh(), pressure()],
        outputs: vec![
            Output { key: "delta_t_c", unit: "C", about: "Delta T" },
            Output { key: "wet_bulb_c", unit: "C", about: "aspirated wet bulb" },
            Output { key: "ea_kpa", unit: "kPa", about: "vapour pressure" },
            Output { key: "means", unit: "", about: "what it means for spraying" },
        ],
        source: "FAO-56 Eq. 15 solved for the wet bulb; bands as relayed by North Dakota State University Crop and Pest Report of 23 May 2019",
        run: |a| {
            let (t, p) = (a.number("temp_c"), a.number("pressure_kpa"));
            let e = humidity::e0(t) * a.number("rh_pct") / 100.0;
            let wet = humidity::wet_bulb(t, e, p);
            let dt = t - wet;
            let l = SprayLimits::from_reference(&Reference::shipped());
            let means = if dt < l.delta_t_low_c {
                "caution: damp, drops hang"
            } else if dt <= l.delta_t_high_c {
                "suitable"
            } else if dt <= l.delta_t_stop_c {
                "caution: dry, use coarser drops"
            } else {
                "unsuitable"
            };
            Ok(Outcome::new(
                Working::new("Delta T")
                    .line(Op::Note, "vapour pressure", e, "kPa", 3)
                    .line(Op::Start, "air temperature", t, "C", 2)
                    .line(Op::Minus, "wet bulb", wet, "C", 2)
                    .sum("Delta T", dt, "C", 2)
                    .note("2 to 8 suits most spraying; the label rules")
                    .source("FAO-56 Eq. 15; Delta T bands from extension"),
            )
            .with("delta_t_c", dt)
            .with("wet_bulb_c", wet)
            .with("ea_kpa", e)
            .with("means", means))
        },
    }
}

fn rh_from_wet_bulb() -> Calculator {
    Calculator {
        name: "weather.rh_from_wet_bulb",
        title: "Relative humidity from a wet and a dry bulb",
        about: "For a sling or whirling psychrometer. The constant depends on how the air moves past the wet bulb.",
        inputs: vec![
            temp(),
            Input::number("wet_c", "C", -20.0, 60.0, "wet bulb"),
            Input::number("pressure_kpa", "kPa", 50.0, 110.0, "air pressure").or(101.3),
            Input::choice(
                "air",
                &["aspirated", "open", "still"],
                "air past the wet bulb: about 5 m/s, about 1 m/s, still indoors",
            )
            .or("aspirated"),
        ],
        outputs: vec![
            Output { key: "rh_pct", unit: "%", about: "relative humidity over water" },
            Output { key: "ea_kpa", unit: "kPa", about: "vapour pressure" },
        ],
        source: WATER,
        run: |a| {
            let (t, wet) = (a.number("temp_c"), a.number("wet_c"));
            if wet > t {
                return Err(CalcError::Together(
                    "the wet bulb cannot be above the dry bulb; swap them".into(),
                ));
            }
            let psy = match a.text("air") {
                "open" => 0.0008,
                "still" => 0.0012,
                _ => humidity::ASPIRATED,
            };
            let p = a.number("pressure_kpa");
            let e = humidity::ea_from_wet_bulb(t, wet, p, psy);
            if e <= 0.0 {
                return Err(CalcError::Together(
                    "air cannot be so dry: the wet bulb is too far below the dry one; read both again".into(),
                ));
            }
            let rh = 100.0 * e / humidity::e0(t);
            Ok(Outcome::new(
                Working::new("Vapour pressure")
                    .line(Op::Start, "saturation at the wet bulb", humidity::e0(wet), "kPa", 4)
                    .line(Op::Minus, "what drying at the bulb takes", psy * p * (t - wet), "kPa", 4)
                    .sum("vapour pressure", e, "kPa", 3)
                    .note(format!("relative humidity is this over saturation at the dry bulb: {rh:.0} %"))
                    .source("FAO-56 Eq. 15"),
            )
            .with("rh_pct", rh)
            .with("ea_kpa", e))
        },
    }
}

fn wind_at_2m() -> Calculator {
    Calculator {
        name: "weather.wind_at_2m",
        title: "Wind at 2 m from a mast",
        about: "Brings wind down (or up) to 2 m over short grass. Airport masts are 10 m.",
        inputs: vec![
            wind(),
            Input::number("wind_height_m", "m", 0.5, 30.0, "height of the wind gauge").or(10.0),
        ],
        outputs: vec![
            Output { key: "wind_2m_ms", unit: "m/s", about: "wind at 2 m" },
            Output { key: "factor", unit: "1", about: "what the reading is multiplied by" },
        ],
        source: "FAO-56 Eq. 47; published",
        run: |a| {
            let f = humidity::wind_factor(a.number("wind_height_m"));
            let u = a.number("wind_ms");
            Ok(Outcome::new(
                Working::new("Wind at 2 m")
                    .line(Op::Start, "wind at the gauge", u, "m/s", 2)
                    .line(Op::Times, "factor for the height", f, "", 4)
                    .sum("wind at 2 m", u * f, "m/s", 2)
                    .source("FAO-56 Eq. 47"),
            )
            .with("wind_2m_ms", u * f)
            .with("factor", f))
        },
    }
}
