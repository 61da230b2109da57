//! Sun and radiation.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Working};

use super::{day, doy, ea, elev, lat, lon, offset, tmax, tmin};
use crate::day::Site;
use crate::{humidity, radiation, solar};

const FAO: &str = "FAO Irrigation and Drainage Paper 56 (Allen and others 1998), ch. 3; published";

pub fn all() -> Vec<Calculator> {
    vec![
        day_of_year(),
        daily(),
        hourly(),
        sun_times(),
        from_sunshine(),
        from_temperature(),
        clear_sky(),
        net(),
        emitted(),
        ground_heat(),
    ]
}

fn day_of_year() -> Calculator {
    Calculator {
        name: "weather.day_of_year",
        title: "Day of the year",
        about: "Counts days from 1 January, as the sun's equations need.",
        inputs: vec![
            Input::number("month", "1", 1.0, 12.0, "month, 1 to 12"),
            Input::number("day", "1", 1.0, 31.0, "day of the month"),
            Input::choice("leap", &["no", "yes"], "leap year").or("no"),
        ],
        outputs: vec![Output { key: "day_of_year", unit: "1", about: "1 January = 1" }],
        source: FAO,
        run: |a| {
            let (m, d, leap) = (a.number("month") as u8, a.number("day") as u8, a.text("leap") == "yes");
            if jiff::civil::Date::new(if leap { 2024 } else { 2023 }, m.cast_signed(), d.cast_signed())
                .is_err()
            {
                return Err(CalcError::Together(format!("month {m} has no day {d} in such a year")));
            }
            let j = f64::from(solar::day_of_year(m, d, leap));
            let before = j - f64::from(d);
            Ok(Outcome::new(
                Working::new("Day of the year")
                    .line(Op::Start, "days in the months before", before, "d", 0)
                    .line(Op::Plus, "day of the month", f64::from(d), "d", 0)
                    .sum("day of the year", j, "", 0)
                    .source("FAO-56 Table 2.5"),
            )
            .with("day_of_year", j))
        },
    }
}

fn daily() -> Calculator {
    Calculator {
        name: "weather.extraterrestrial_daily",
        title: "Sun above the air and length of day",
        about: "Radiation on a level above the atmosphere and hours of daylight (sun's centre over the geometric horizon, 10 to 14 minutes shorter than the almanac's day). Best within 55 degrees of latitude.",
        inputs: vec![lat(), day()],
        outputs: vec![
            Output { key: "ra_mj_m2", unit: "MJ/m2/d", about: "radiation above the air" },
            Output { key: "daylight_h", unit: "h", about: "daylight" },
            Output { key: "inverse_distance", unit: "1", about: "inverse relative distance to the sun" },
            Output { key: "declination_rad", unit: "rad", about: "sun's declination" },
            Output { key: "sunset_angle_rad", unit: "rad", about: "hour angle at sunset" },
        ],
        source: FAO,
        run: |a| {
            let (lat, j) = (a.number("lat_deg"), doy(a));
            let (ra, n) = (solar::extraterrestrial_daily(lat, j), solar::daylight_h(lat, j));
            let (dr, delta, ws) =
                (solar::inverse_distance(j), solar::declination(j), solar::sunset_hour_angle(lat, j));
            Ok(Outcome::new(
                Working::new("Radiation above the air")
                    .line(Op::Note, "inverse distance to the sun", dr, "", 4)
                    .line(Op::Note, "declination of the sun", delta, "rad", 4)
                    .line(Op::Note, "hour angle at sunset", ws, "rad", 4)
                    .line(Op::Note, "daylight, 24/pi times the angle", n, "h", 2)
                    .sum("radiation above the air", ra, "MJ/m2/d", 2)
                    .source("FAO-56 Eq. 21 to 25 and 34"),
            )
            .with("ra_mj_m2", ra)
            .with("daylight_h", n)
            .with("inverse_distance", dr)
            .with("declination_rad", delta)
            .with("sunset_angle_rad", ws))
        },
    }
}

fn hourly() -> Calculator {
    Calculator {
        name: "weather.extraterrestrial_hourly",
        title: "Sun above the air in an hour",
        about: "Radiation on a level above the atmosphere over a step centred on a clock time (standard time).",
        inputs: vec![
            lat(),
            lon(),
            offset(),
            day(),
            Input::number("clock_h", "h", 0.0, 24.0, "clock time at the middle of the step"),
            Input::number("step_h", "h", 0.05, 6.0, "length of the step").or(1.0),
        ],
        outputs: vec![
            Output { key: "ra_mj_m2", unit: "MJ/m2", about: "radiation above the air in the step" },
            Output { key: "hour_angle_rad", unit: "rad", about: "sun's hour angle at the middle" },
            Output { key: "correction_h", unit: "h", about: "seasonal correction of sun time" },
        ],
        source: FAO,
        run: |a| {
            let j = doy(a);
            let w = solar::hour_angle(a.number("lon_deg"), j, a.number("clock_h"), a.number("utc_offset_h"));
            let sc = solar::seasonal_correction_h(j);
            let ra = solar::extraterrestrial_hourly(
                a.number("lat_deg"),
                j,
                w,
                a.number("step_h"),
                solar::SOLAR_MJ_H_FAO,
            );
            Ok(Outcome::new(
                Working::new("Radiation above the air in a step")
                    .line(Op::Note, "seasonal correction", sc, "h", 4)
                    .line(Op::Note, "hour angle", w, "rad", 4)
                    .sum("radiation above the air", ra, "MJ/m2", 3)
                    .source("FAO-56 Eq. 28 to 33"),
            )
            .with("ra_mj_m2", ra)
            .with("hour_angle_rad", w)
            .with("correction_h", sc))
        },
    }
}

fn sun_times() -> Calculator {
    Calculator {
        name: "weather.sun_times",
        title: "Sunrise and sunset",
        about: "Sunrise and sunset as seen over a level horizon, to about two minutes, by a clock that keeps the offset given all year.",
        inputs: vec![lat(), lon(), offset(), day()],
        outputs: vec![
            Output { key: "sunrise_h", unit: "h", about: "sunrise, hours after midnight" },
            Output { key: "sunset_h", unit: "h", about: "sunset, hours after midnight" },
            Output { key: "length_h", unit: "h", about: "from one to the other" },
        ],
        source: "Spencer (1971) series for declination and equation of time; 50 minutes of arc for the sun's width and refraction, the almanac's habit",
        run: |a| {
            let site = Site { lat_deg: a.number("lat_deg"), lon_deg: a.number("lon_deg"), elev_m: 0.0 };
            let (rise, set) = solar::sun_times(&site, doy(a), a.number("utc_offset_h"));
            Ok(Outcome::new(
                Working::new("Length of the day")
                    .line(Op::Start, "sunset", set, "h", 3)
                    .line(Op::Minus, "sunrise", rise, "h", 3)
                    .sum("length", set - rise, "h", 2)
                    .would_change("hills, trees and cold air near the ground move both by minutes")
                    .source("Spencer (1971) series, almanac horizon"),
            )
            .with("sunrise_h", rise)
            .with("sunset_h", set)
            .with("length_h", set - rise))
        },
    }
}

fn from_sunshine() -> Calculator {
    Calculator {
        name: "weather.radiation_from_sunshine",
        title: "Radiation from hours of sun",
        about: "Solar radiation of a day from hours of bright sunshine, and what a clear sky would give. The two shares are best fitted to a station that measures both.",
        inputs: vec![
            lat(),
            day(),
            elev(),
            Input::number("sunshine_h", "h", 0.0, 24.0, "hours of bright sun"),
            Input::number("share_dull", "1", 0.05, 0.5, "share that comes through a sunless day").or(0.25),
            Input::number("share_sun", "1", 0.2, 0.8, "what a full day of sun adds").or(0.5),
        ],
        outputs: vec![
            Output { key: "rs_mj_m2", unit: "MJ/m2/d", about: "solar radiation" },
            Output { key: "rso_mj_m2", unit: "MJ/m2/d", about: "solar radiation under a clear sky" },
        ],
        source: FAO,
        run: |a| {
            let (lat, j) = (a.number("lat_deg"), doy(a));
            let (ra, n) = (solar::extraterrestrial_daily(lat, j), solar::daylight_h(lat, j));
            let (dull, sun) = (a.number("share_dull"), a.number("share_sun"));
            let rs = solar::from_sunshine(ra, a.number("sunshine_h"), n, dull, sun);
            let rso = solar::clear_sky(ra, a.number("elev_m"));
            Ok(Outcome::new(
                Working::new("Solar radiation from sunshine")
                    .line(Op::Note, "daylight", n, "h", 2)
                    .line(Op::Start, "radiation above the air", ra, "MJ/m2/d", 3)
                    .line(Op::Times, "share that comes through", if ra > 0.0 { rs / ra } else { 0.0 }, "", 4)
                    .sum("solar radiation", rs, "MJ/m2/d", 2)
                    .source("FAO-56 Eq. 35 and 37"),
            )
            .with("rs_mj_m2", rs)
            .with("rso_mj_m2", rso))
        },
    }
}

fn from_temperature() -> Calculator {
    Calculator {
        name: "weather.radiation_from_temperature",
        title: "Radiation from the day's range of temperature",
        about: "A stand-in for a missing radiation sensor, held to the clear sky. Fair for means of several days, rough for one.",
        inputs: vec![
            lat(),
            day(),
            elev(),
            tmax(),
            tmin(),
            Input::number("krs", "1/C^0.5", 0.1, 0.25, "0.16 inland, 0.19 by the sea").or(0.16),
        ],
        outputs: vec![Output { key: "rs_mj_m2", unit: "MJ/m2/d", about: "solar radiation" }],
        source: FAO,
        run: |a| {
            let (high, low) = (a.number("tmax_c"), a.number("tmin_c"));
            if low > high {
                return Err(CalcError::Together("tmin_c is above tmax_c; swap them".into()));
            }
            let ra = solar::extraterrestrial_daily(a.number("lat_deg"), doy(a));
            let raw = solar::from_temperature(ra, high, low, a.number("krs"));
            let rso = solar::clear_sky(ra, a.number("elev_m"));
            let rs = raw.min(rso);
            Ok(Outcome::new(
                Working::new("Solar radiation from temperature")
                    .line(Op::Note, "root of the range", (high - low).sqrt(), "C^0.5", 3)
                    .line(Op::Note, "clear sky, the most there can be", rso, "MJ/m2/d", 2)
                    .line(Op::Start, "radiation above the air", ra, "MJ/m2/d", 3)
                    .line(Op::Times, "share that comes through", if ra > 0.0 { rs / ra } else { 0.0 }, "", 4)
                    .sum("solar radiation", rs, "MJ/m2/d", 2)
                    .source("FAO-56 Eq. 50"),
            )
            .with("rs_mj_m2", rs))
        },
    }
}

fn clear_sky() -> Calculator {
    Calculator {
        name: "weather.clear_sky",
        title: "Radiation under a clear sky",
        about: "The simple form from elevation and the physical form from the water in the air; smoke and dust lower the second. Use it to see whether a sensor reads too high or too low on the clearest days.",
        inputs: vec![
            lat(),
            day(),
            elev(),
            ea().or(1.0),
            Input::number("turbidity", "1", 0.5, 1.0, "1 clean air, 0.5 very dusty or smoky").or(1.0),
        ],
        outputs: vec![
            Output { key: "simple_mj_m2", unit: "MJ/m2/d", about: "from elevation" },
            Output { key: "physical_mj_m2", unit: "MJ/m2/d", about: "from water in the air" },
        ],
        source: "FAO-56 Eq. 37; ASCE-EWRI (2005) Appendix D, secondary",
        run: |a| {
            let (lat, j, z) = (a.number("lat_deg"), doy(a), a.number("elev_m"));
            let ra = solar::extraterrestrial_daily(lat, j);
            let p = humidity::pressure(z);
            let simple = solar::clear_sky(ra, z);
            let physical =
                solar::clear_sky_physical_daily(lat, j, a.number("ea_kpa"), p, a.number("turbidity"));
            Ok(Outcome::new(
                Working::new("Clear-sky radiation")
                    .line(Op::Note, "by the physical form", physical, "MJ/m2/d", 2)
                    .line(Op::Start, "radiation above the air", ra, "MJ/m2/d", 3)
                    .line(Op::Times, "share through clear air by elevation", 0.75 + 2e-5 * z, "", 4)
                    .sum("by the simple form", simple, "MJ/m2/d", 2)
                    .source("FAO-56 Eq. 37; ASCE-EWRI (2005) Appendix D"),
            )
            .with("simple_mj_m2", simple)
            .with("physical_mj_m2", physical))
        },
    }
}

fn net() -> Calculator {
    Calculator {
        name: "weather.net_radiation",
        title: "Net radiation at the grass",
        about: "What the reference grass keeps of the sun less what it sends back to the sky, for a day.",
        inputs: vec![
            tmax(),
            tmin(),
            ea(),
            Input::number("rs_mj_m2", "MJ/m2/d", 0.0, 45.0, "solar radiation"),
            Input::number("rso_mj_m2", "MJ/m2/d", 0.1, 45.0, "solar radiation under a clear sky"),
        ],
        outputs: vec![
            Output { key: "net_mj_m2", unit: "MJ/m2/d", about: "net radiation" },
            Output { key: "shortwave_mj_m2", unit: "MJ/m2/d", about: "net shortwave" },
            Output { key: "longwave_mj_m2", unit: "MJ/m2/d", about: "net longwave, outward" },
        ],
        source: FAO,
        run: |a| {
            let rs = a.number("rs_mj_m2");
            let clear = radiation::clearness(rs, a.number("rso_mj_m2"));
            let short = radiation::net_shortwave(rs);
            let long = radiation::net_longwave_daily(
                radiation::SIGMA_DAY_FAO,
                a.number("tmax_c"),
                a.number("tmin_c"),
                a.number("ea_kpa"),
                clear,
            );
            Ok(Outcome::new(
                Working::new("Net radiation")
                    .line(Op::Note, "share of clear sky", clear, "", 3)
                    .line(Op::Start, "sun kept by the grass, 77 %", short, "MJ/m2/d", 2)
                    .line(Op::Minus, "heat sent back to the sky", long, "MJ/m2/d", 2)
                    .sum("net radiation", short - long, "MJ/m2/d", 2)
                    .source("FAO-56 Eq. 38 to 40"),
            )
            .with("net_mj_m2", short - long)
            .with("shortwave_mj_m2", short)
            .with("longwave_mj_m2", long))
        },
    }
}

fn emitted() -> Calculator {
    Calculator {
        name: "weather.heat_of_a_black_body",
        title: "Heat a black surface sends out",
        about: "Stefan and Boltzmann's law with FAO-56's rounding: a step of the longwave reckoning.",
        inputs: vec![super::temp()],
        outputs: vec![Output { key: "emitted_mj_m2", unit: "MJ/m2/d", about: "sent out in a day" }],
        source: "FAO-56 Table 2.8; published",
        run: |a| {
            let t = a.number("temp_c");
            let e = radiation::sigma_t4(radiation::SIGMA_DAY_FAO, t);
            Ok(Outcome::new(
                Working::new("Heat sent out")
                    .line(Op::Note, "temperature above absolute zero", t + radiation::KELVIN_FAO, "K", 2)
                    .sum("sent out", e, "MJ/m2/d", 2)
                    .source("FAO-56 Table 2.8"),
            )
            .with("emitted_mj_m2", e))
        },
    }
}

fn ground_heat() -> Calculator {
    Calculator {
        name: "weather.ground_heat_monthly",
        title: "Heat into the ground over a month",
        about: "From the mean temperatures of the months before and after, or, when the next is not known, before and now. Over a day or ten it is taken as nothing.",
        inputs: vec![
            Input::number("month_before_c", "C", -50.0, 45.0, "mean temperature of the month before"),
            Input::number("month_after_c", "C", -50.0, 45.0, "mean temperature of the month after")
                .optional(),
            Input::number(
                "month_c",
                "C",
                -50.0,
                45.0,
                "mean temperature of the month itself, used when the next is not given",
            )
            .optional(),
        ],
        outputs: vec![Output { key: "ground_mj_m2", unit: "MJ/m2/d", about: "heat into the ground" }],
        source: FAO,
        run: |a| {
            let before = a.number("month_before_c");
            let (later, factor, g) = match (a.maybe_number("month_after_c"), a.maybe_number("month_c")) {
                (Some(next), _) => (next, 0.07, radiation::ground_heat_monthly(before, next)),
                (None, Some(this)) => (this, 0.14, radiation::ground_heat_monthly_so_far(before, this)),
                (None, None) => (before, 0.07, 0.0),
            };
            Ok(Outcome::new(
                Working::new("Heat into the ground")
                    .line(Op::Start, "later month", later, "C", 2)
                    .line(Op::Minus, "month before", before, "C", 2)
                    .line(Op::Times, "heat for each degree", factor, "MJ/m2/d/C", 2)
                    .sum("heat into the ground", g, "MJ/m2/d", 3)
                    .note("with neither later month given, the ground is taken as steady")
                    .source("FAO-56 Eq. 43 and 44"),
            )
            .with("ground_mj_m2", g))
        },
    }
}
