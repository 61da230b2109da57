//! Rain or snow, the pack and its melt, degree-days.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Working};

use super::{day, doy, params};
use crate::day::{Day, Forcing};
use crate::snowpack::{self, Snowpack};
use crate::{degree_days, forcing};

pub fn all() -> Vec<Calculator> {
    vec![rain_or_snow(), melt(), snow_water(), degree_day_sum()]
}

fn mean() -> Input {
    Input::number("tmean_c", "C", -60.0, 45.0, "mean temperature of the day")
}

fn rain_or_snow() -> Calculator {
    Calculator {
        name: "weather.rain_or_snow",
        title: "How much fell as snow",
        about: "Splits a day's precipitation: all snow at -1 C and below, all rain at 3 C and above, a straight line between. Gauge snow can be raised for what the wind carried past.",
        inputs: vec![mean(), Input::number("precip_mm", "mm", 0.0, 400.0, "precipitation")],
        outputs: vec![
            Output { key: "rain_mm", unit: "mm", about: "rain" },
            Output { key: "snow_mm", unit: "mm", about: "water in snow" },
            Output { key: "snow_share", unit: "1", about: "share that is snow" },
        ],
        source: "linear mix used in Canadian prairie work, from memory; equal point of the US National Weather Service training module",
        run: |a| {
            let p = params();
            let precip = a.number("precip_mm");
            let share = forcing::snow_share(a.number("tmean_c"), &p);
            let (rain, snow) = (precip * (1.0 - share), precip * share * p.snow_catch);
            Ok(Outcome::new(
                Working::new("Water in snow")
                    .line(Op::Note, "rain", rain, "mm", 1)
                    .line(Op::Start, "precipitation", precip, "mm", 2)
                    .line(Op::Times, "share that is snow", share, "", 3)
                    .line(Op::Times, "for what the gauge missed", p.snow_catch, "", 2)
                    .sum("water in snow", snow, "mm", 1)
                    .source("linear mix by mean temperature, from memory"),
            )
            .with("rain_mm", rain)
            .with("snow_mm", snow)
            .with("snow_share", share))
        },
    }
}

fn melt() -> Calculator {
    Calculator {
        name: "weather.snow_melt",
        title: "Snow melt of a day",
        about: "Degree-day melt with a factor that rises through spring, a little liquid held in the pack, rain on snow. Calibrate the factor on snow depths of your own station.",
        inputs: vec![
            mean(),
            day(),
            Input::number("swe_mm", "mm", 0.0, 600.0, "water in the pack"),
            Input::number("liquid_mm", "mm", 0.0, 100.0, "liquid part of it").or(0.0),
            Input::number("rain_mm", "mm", 0.0, 200.0, "rain on it").or(0.0),
            Input::number("snow_mm", "mm", 0.0, 200.0, "water in new snow").or(0.0),
            Input::number(
                "eto_mm",
                "mm/d",
                0.0,
                10.0,
                "reference evapotranspiration, the most that can go off as vapour",
            )
            .or(0.3),
        ],
        outputs: vec![
            Output { key: "to_ground_mm", unit: "mm", about: "water reaching the ground" },
            Output { key: "vapour_mm", unit: "mm", about: "gone off as vapour" },
            Output { key: "swe_after_mm", unit: "mm", about: "water left in the pack" },
            Output { key: "factor_mm_c", unit: "mm/C/d", about: "melt for each degree that day" },
        ],
        source: "degree-day melt (US National Weather Service training module); seasonal factor of Neitsch and others (2011), from memory, set inside USDA-NRCS and Finnish ranges",
        run: |a| {
            let p = params();
            let (t, j) = (a.number("tmean_c"), doy(a));
            let (rain, snow, swe) = (a.number("rain_mm"), a.number("snow_mm"), a.number("swe_mm"));
            if a.number("liquid_mm") > swe {
                return Err(CalcError::Together("liquid_mm is part of swe_mm and cannot be more".into()));
            }
            let mut pack = Snowpack { swe_mm: swe, liquid_mm: a.number("liquid_mm") };
            let day = Day {
                tmax_c: t,
                tmin_c: t,
                precip_mm: rain + snow,
                rs_mj_m2: 0.0,
                ea_kpa: 0.5,
                wind_2m_ms: 2.0,
            };
            let f = Forcing {
                day,
                tmean_c: t,
                rain_mm: rain,
                snow_mm: snow,
                eto_mm: a.number("eto_mm"),
                vpd_kpa: 0.0,
                rh_min_pct: 100.0,
                rh_max_pct: 100.0,
                daylight_h: 12.0,
            };
            let out = pack.step(&f, j, &p);
            let factor = snowpack::melt_factor(j, &p);
            Ok(Outcome::new(
                Working::new("Water left in the pack")
                    .line(Op::Note, "melt for each degree on this date", factor, "mm/C", 2)
                    .line(Op::Start, "water in the pack before", swe, "mm", 2)
                    .line(Op::Plus, "rain and new snow", rain + snow, "mm", 2)
                    .line(Op::Minus, "to the ground", out.to_ground_mm, "mm", 2)
                    .line(Op::Minus, "gone off as vapour", out.sublimation_mm, "mm", 2)
                    .sum("water in the pack after", pack.swe_mm, "mm", 2)
                    .would_change("wind-packed drifts and dirty snow melt later and sooner than this")
                    .source("degree-day melt; seasonal factor from memory"),
            )
            .with("to_ground_mm", out.to_ground_mm)
            .with("vapour_mm", out.sublimation_mm)
            .with("swe_after_mm", pack.swe_mm)
            .with("factor_mm_c", factor))
        },
    }
}

fn snow_water() -> Calculator {
    Calculator {
        name: "weather.snow_water",
        title: "Water in snow on the ground",
        about: "From the depth of a settled prairie pack. Fresh fluff holds less, drifts hold more.",
        inputs: vec![Input::number("depth_cm", "cm", 0.0, 300.0, "depth of snow")],
        outputs: vec![Output { key: "swe_mm", unit: "mm", about: "water in it" }],
        source: "prairie depth to water relation after Pomeroy and Gray, read in open hydrology source code; secondary",
        run: |a| {
            let d = a.number("depth_cm");
            let swe = snowpack::water_in_depth(d);
            Ok(Outcome::new(
                Working::new("Water in snow")
                    .line(Op::Note, "depth", d, "cm", 1)
                    .sum("water", swe, "mm", 1)
                    .source("after Pomeroy and Gray; secondary"),
            )
            .with("swe_mm", swe))
        },
    }
}

fn degree_day_sum() -> Calculator {
    Calculator {
        name: "weather.degree_days",
        title: "Degree-days of a run of days",
        about: "Mean of each day's two ends above a base, never below zero, summed. Means from hourly readings give a slightly smaller sum: do not mix the two.",
        inputs: vec![
            Input::list("tmax_list_c", "C", -60.0, 60.0, "highest temperatures, one a day"),
            Input::list("tmin_list_c", "C", -60.0, 60.0, "lowest temperatures, one a day"),
            Input::number("base_c", "C", -5.0, 20.0, "base").or(0.0),
        ],
        outputs: vec![
            Output { key: "sum_cd", unit: "C d", about: "sum" },
            Output { key: "daily_cd", unit: "C d", about: "day by day" },
        ],
        source: "common definition; degree-days by (highest + lowest) / 2",
        run: |a| {
            let (high, low) = (a.list("tmax_list_c"), a.list("tmin_list_c"));
            if high.len() != low.len() {
                return Err(CalcError::Together(format!(
                    "there are {} highest and {} lowest temperatures; give as many of each",
                    high.len(),
                    low.len()
                )));
            }
            let base = a.number("base_c");
            let daily: Vec<f64> =
                high.iter().zip(low).map(|(x, n)| degree_days::of_day(*x, *n, base)).collect();
            let sum: f64 = daily.iter().sum();
            let mut w = Working::new("Degree-days").line(Op::Start, "first day", daily[0], "C d", 2);
            if daily.len() > 1 {
                w = w.line(Op::Plus, format!("{} days after", daily.len() - 1), sum - daily[0], "C d", 2);
            }
            let w = w.sum("degree-days", sum, "C d", 2).source("mean of the day's two ends above the base");
            Ok(Outcome::new(w).with("sum_cd", sum).with("daily_cd", daily))
        },
    }
}
