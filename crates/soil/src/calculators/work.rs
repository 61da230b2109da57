//! Soil temperature, and whether a field is fit for work.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Reference, Value, Working};
use stook_weather::{Day, Forcing};

use super::{Days, out};
use crate::field_soil::{Drainage, FieldSoil};
use crate::fitness::{Conditions, Operation, go_share, judge};
use crate::params::SoilParams;
use crate::profile::Profile;
use crate::texture::TextureClass;
use crate::water::{Cover, DayWater, WaterState, step};
use crate::{harrow, learn, temperature};

const OPERATIONS: [&str; 10] =
    ["harrow", "till", "seed", "roll", "spray", "spread", "swath", "combine", "cart", "manure"];
const TEXTURES: [&str; 13] = [
    "sand",
    "loamy sand",
    "sandy loam",
    "loam",
    "silt loam",
    "silt",
    "sandy clay loam",
    "clay loam",
    "silty clay loam",
    "sandy clay",
    "silty clay",
    "clay",
    "heavy clay",
];
const DRAINAGE: [&str; 4] = ["well", "moderate", "imperfect", "poor"];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![soil_temperature(), fitness(), after_rain(), learned()]
}

fn params() -> SoilParams {
    SoilParams::from_reference(&Reference::shipped())
}

fn soil_temperature() -> Calculator {
    Calculator {
        name: "soil.temperature",
        title: "Soil temperature from air temperature",
        about: "A mean of the last days' air, the newest weighing most, moved toward the year's mean air temperature. \
                Eleven days stand for 10 cm; seven for seed depth. Expect to miss by 1-2 C; set it to a sensor first.",
        inputs: vec![
            Input::list("air_c", "C", -50.0, 45.0, "mean air temperature of the last days, oldest first")
                .or(vec![6.0, 7.0, 9.0, 8.0, 10.0, 12.0, 11.0, 9.0, 10.0, 12.0, 13.0]),
            Input::number("annual_mean_c", "C", -10.0, 25.0, "mean air temperature of the year").or(3.0),
            Input::choice("snow", &["no", "yes"], "whether snow lies").or("no"),
        ],
        outputs: vec![
            out("air_mean_c", "C", "weighted mean of the air"),
            out("soil_c", "C", "soil temperature"),
        ],
        source: "open ecosystem model after Zheng, Hunt and Running (1993) Clim. Res. 2:183",
        run: |a| {
            let air = a.list("air_c");
            if air.is_empty() || air.len() > 11 {
                return Err(CalcError::Together(format!(
                    "air_c takes 1 to 11 days, oldest first; {} were given",
                    air.len()
                )));
            }
            let p = params();
            let shift = if a.text("snow") == "yes" { p.temp_shift_snow } else { p.temp_shift_bare };
            let mean = temperature::weighted_mean(air.iter().rev().copied());
            let soil = temperature::shifted(mean, a.number("annual_mean_c"), shift);
            let working = Working::new("Soil temperature")
                .line(Op::Note, "mean air temperature of the year", a.number("annual_mean_c"), "C", 1)
                .line(Op::Start, "weighted mean of the air", mean, "C", 1)
                .line(Op::Plus, format!("{shift} of the way to the year's mean"), soil - mean, "C", 1)
                .sum("soil", soil, "C", 1);
            Ok(Outcome::new(working).with("air_mean_c", mean).with("soil_c", soil))
        },
    }
}

fn fitness() -> Calculator {
    Calculator {
        name: "soil.fitness",
        title: "Share of the day a field is fit for work",
        about: "From the soil's water over field capacity at the work's depth, and the day's rain. The limit is 0.95 \
                as published for Alberta, a little looser for light work; your own log can move it. Snow, frost and \
                standing water stop all work and are not asked here.",
        inputs: vec![
            Input::choice("operation", &OPERATIONS, "the work").or("seed"),
            Input::number("relative_to_fc", "1", 0.0, 2.0, "water over field capacity").or(0.93),
            Input::number("rain_today_mm", "mm", 0.0, 200.0, "rain in the day").or(0.0),
            Input::number("limit", "1", 0.6, 1.3, "your own limit, in place of the shipped one").optional(),
        ],
        outputs: vec![
            out("share", "1", "share of a workable day"),
            out("limit_used", "1", "water over field capacity with an even chance"),
        ],
        source: "Rutledge and McHardy (1968), quoted by Baier (1973) Can. Agric. Eng. 15(2), for the 0.95; the rest \
                 is judgement",
        run: |a| {
            let p = params();
            let op = Operation::parse(a.text("operation"))
                .ok_or_else(|| CalcError::Together("operation is not known".into()))?;
            let l = *p.limits.of(op);
            let limit = a.maybe_number("limit").unwrap_or(l.limit);
            let go = go_share(a.number("relative_to_fc"), limit, l.width);
            let dry = (1.0 - a.number("rain_today_mm") / l.rain_stop_mm).clamp(0.0, 1.0);
            let working = Working::new("Fit for work")
                .line(Op::Note, "limit, water over field capacity", limit, "", 2)
                .line(Op::Note, "judged over the top", l.depth_m, "m", 2)
                .line(Op::Note, "rain that leaves no time", l.rain_stop_mm, "mm", 0)
                .line(Op::Start, "by wetness", go, "", 2)
                .line(Op::Times, "share of the day without rain", dry, "", 2)
                .sum("share of a workable day", go * dry, "", 2)
                .would_change("your own go and no-go days, which refit the limit");
            Ok(Outcome::new(working).with("share", go * dry).with("limit_used", limit))
        },
    }
}

fn after_rain() -> Calculator {
    Calculator {
        name: "soil.days_after_rain",
        title: "How a bare field dries after rain, and when it is fit",
        about: "Runs the season's own water balance on a bare, thawed, uniform field: rain on the first day, then \
                dry days, with or without a harrow pass.",
        inputs: vec![
            Input::choice("texture", &TEXTURES, "texture class").or("clay loam"),
            Input::number("om_pct", "%", 0.0, 8.0, "organic matter of the top").or(4.0),
            Input::choice("drainage", &DRAINAGE, "drainage class").or("well"),
            Input::number(
                "start_share",
                "1",
                0.0,
                1.0,
                "available water before the rain: 1 is field capacity",
            )
            .or(0.9),
            Input::number("rain_mm", "mm", 0.0, 200.0, "rain on the first day").or(25.0),
            Input::list("eto_mm", "mm", 0.0, 12.0, "reference evapotranspiration, from the rain day on")
                .or(vec![2.0, 4.0, 4.0, 4.0, 4.0, 4.0, 4.0]),
            Input::number("residue_cover", "1", 0.0, 1.0, "ground under residue").or(0.5),
            Input::number("harrow_day", "d", 0.0, 30.0, "harrowed on the morning of this day; 0 for never")
                .or(0.0),
            Input::choice("operation", &OPERATIONS, "the work").or("seed"),
        ],
        outputs: vec![
            out("relative_to_fc", "1", "water over field capacity in the top 10 cm, each day's end"),
            out("share", "1", "share of a workable day, each day's end"),
            out("runoff_mm", "mm", "rain that ran off"),
            out("evaporation_mm", "mm", "evaporated over all days"),
            out(
                "first_fit_day",
                "d",
                "days after the rain until the work has an even chance; -1 when not reached",
            ),
        ],
        source: "FAO-56 chapters 7 and 8 with drainage above field capacity; Baier (1973) for the limit",
        run: |a| {
            let p = params();
            let class = TextureClass::parse(a.text("texture"))
                .ok_or_else(|| CalcError::Together("texture is not known".into()))?;
            let op = Operation::parse(a.text("operation"))
                .ok_or_else(|| CalcError::Together("operation is not known".into()))?;
            let drainage = match a.text("drainage") {
                "moderate" => Drainage::Moderate,
                "imperfect" => Drainage::Imperfect,
                "poor" => Drainage::Poor,
                _ => Drainage::Well,
            };
            let profile = Profile::uniform(class, 1.2, a.number("om_pct"))
                .map_err(|e| CalcError::Together(e.to_string()))?;
            let soil = FieldSoil::new(&profile, drainage, &p);
            let mut state = WaterState::at_fraction(&soil, a.number("start_share"));
            let days = Days::of(a, &["eto_mm"])?;
            let mut residue = a.number("residue_cover");
            let (mut relative, mut share) = (Vec::new(), Vec::new());
            let start = state.total_mm();
            let (mut runoff, mut evaporated, mut drained, mut first) = (0.0, 0.0, 0.0, -1.0);
            for i in 0..days.count {
                if i > 0 && a.number("harrow_day").round() as usize == i {
                    residue = harrow::harrow_pass(&mut state, &p, residue);
                }
                let rain_mm = if i == 0 { a.number("rain_mm") } else { 0.0 };
                let forcing = mild_day(rain_mm, days.get(0, i));
                let water = DayWater::rain_only(&forcing);
                let f = step(&mut state, &soil, &p, &forcing, &water, &Cover::bare(residue));
                runoff += f.runoff_mm;
                evaporated += f.evaporation_mm;
                drained += f.drainage_mm;
                let dry = Conditions { snow_on_ground: false, rain_today_mm: 0.0, days_above_zero: 99 };
                let fit = judge(op, &state, &soil, &dry, &p.limits);
                relative.push(state.surface_relative_to_fc(&soil, 0.10));
                share.push(fit.share);
                if first < 0.0 && fit.share >= 0.5 {
                    first = i as f64;
                }
            }
            let working = Working::new("Water in the profile")
                .line(Op::Start, "before the rain", start, "mm", 1)
                .line(Op::Plus, "rain", a.number("rain_mm"), "mm", 1)
                .line(Op::Minus, "ran off", runoff, "mm", 1)
                .line(Op::Minus, "evaporated", evaporated, "mm", 1)
                .line(Op::Minus, "drained out of the bottom", drained, "mm", 1)
                .sum("at the end", state.total_mm(), "mm", 1)
                .would_change("rain, the field's own field capacity, and your own limit for the work");
            Ok(Outcome::new(working)
                .with("relative_to_fc", relative)
                .with("share", share)
                .with("runoff_mm", runoff)
                .with("evaporation_mm", evaporated)
                .with("first_fit_day", first))
        },
    }
}

/// A thawed day of which only rain and demand matter.
fn mild_day(rain_mm: f64, eto_mm: f64) -> Forcing {
    let day =
        Day { tmax_c: 17.0, tmin_c: 3.0, precip_mm: rain_mm, rs_mj_m2: 18.0, ea_kpa: 0.7, wind_2m_ms: 3.0 };
    Forcing {
        day,
        tmean_c: 10.0,
        rain_mm,
        snow_mm: 0.0,
        eto_mm,
        vpd_kpa: 0.6,
        rh_min_pct: 40.0,
        rh_max_pct: 90.0,
        daylight_h: 15.0,
    }
}

fn learned() -> Calculator {
    Calculator {
        name: "soil.learned_limit",
        title: "Your own limit, from days you went and days you did not",
        about: "Refits the limit of a work to your decisions, drawn toward the starting limit until the log is long.",
        inputs: vec![
            Input::list("relative_to_fc", "1", 0.0, 2.0, "modelled water over field capacity on each day")
                .or(vec![0.90, 0.94, 0.98, 1.00, 1.02, 1.04, 1.06, 1.08]),
            Input::list("went", "1", 0.0, 1.0, "1 for a day you went, 0 for one you did not")
                .or(vec![1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0]),
            Input::number("start_limit", "1", 0.6, 1.3, "limit before").or(0.95),
            Input::number("width", "1", 0.005, 0.2, "width of the go curve").or(0.02),
            Input::number("prior_weight", "d", 0.0, 100.0, "days the starting limit counts for").or(6.0),
        ],
        outputs: vec![
            out("limit", "1", "limit now"),
            out("days_gone", "d", "days gone"),
            out("days_not_gone", "d", "days not gone"),
        ],
        source: "logistic regression in one unknown, with the starting limit as made-up days; our own choice",
        run: |a| {
            let (wet, went) = (a.list("relative_to_fc"), a.list("went"));
            if wet.len() != went.len() {
                return Err(CalcError::Together(format!(
                    "relative_to_fc has {} days and went has {}; give one of each for every day",
                    wet.len(),
                    went.len()
                )));
            }
            let days: Vec<(f64, bool)> = wet.iter().zip(went).map(|(x, g)| (*x, *g >= 0.5)).collect();
            let l = learn::refit(
                &days,
                a.number("start_limit"),
                a.number("width"),
                a.number("prior_weight"),
                params().learn_bounds,
            );
            Ok(Outcome::new(l.working())
                .with("limit", l.limit)
                .with("days_gone", Value::Number(l.n_go as f64))
                .with("days_not_gone", Value::Number(l.n_no as f64)))
        },
    }
}
