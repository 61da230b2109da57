//! Hours of a day: temperature, humidity, spraying.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Reference, Working};

use super::{day, doy, ea, elev, lat, lon, offset, params, pressure, rh, temp, tmax, tmin};
use crate::day::{Day, Site};
use crate::forcing::SiteTable;
use crate::hourly::{self, AIR_150_CM, SOIL_10_CM};
use crate::solar;
use crate::spray::{self, Grade, HourAir, SprayLimits};

pub fn all() -> Vec<Calculator> {
    vec![curve(), lags(), course(), spray_hour(), spray_day()]
}

fn sunrise() -> Input {
    Input::number("sunrise_h", "h", 0.0, 12.0, "sunrise, hours after midnight")
}
fn sunset() -> Input {
    Input::number("sunset_h", "h", 12.0, 24.0, "sunset, hours after midnight")
}

fn curve() -> Calculator {
    Calculator {
        name: "weather.hourly_temperature",
        title: "Temperature at hours of the day",
        about: "Sine by day and decay by night between the day's two ends, by the published equations. The night part stops a little short of the lowest.",
        inputs: vec![
            tmax(),
            tmin(),
            sunrise(),
            sunset(),
            Input::list("hours", "h", 0.0, 24.0, "times of day"),
            Input::choice("place", &["air", "soil at 10 cm"], "which constants").or("air"),
        ],
        outputs: vec![Output { key: "temps_c", unit: "C", about: "temperature at each time" }],
        source: "Parton and Logan (1981) Agric. Meteorol. 23:205, equation from memory, constants secondary; mean error 1.2 to 2.6 C",
        run: |a| {
            let k = if a.text("place") == "air" { AIR_150_CM } else { SOIL_10_CM };
            let (high, low) = (a.number("tmax_c"), a.number("tmin_c"));
            let temps: Vec<f64> = a
                .list("hours")
                .iter()
                .map(|h| hourly::parton_logan(k, high, low, a.number("sunrise_h"), a.number("sunset_h"), *h))
                .collect();
            let mut w = Working::new("Temperature through the day")
                .line(Op::Note, "highest comes after noon by", k.a + k.c, "h", 2)
                .line(Op::Note, "decay at night", k.b, "", 2);
            for (h, t) in a.list("hours").iter().zip(&temps).take(24) {
                w = w.line(Op::Note, format!("at {h} h"), *t, "C", 1);
            }
            Ok(Outcome::new(w.source("Parton and Logan (1981)")).with("temps_c", temps))
        },
    }
}

fn lags() -> Calculator {
    Calculator {
        name: "weather.hourly_temperature_by_lags",
        title: "Temperature at hours, with your own lags",
        about: "The same curve with the lag of the highest, the lag of the lowest and the night's decay given, in this order. Published sets name them differently: check which is which.",
        inputs: vec![
            tmax(),
            tmin(),
            sunrise(),
            sunset(),
            Input::list("hours", "h", 0.0, 24.0, "times of day"),
            Input::number("lag_high_h", "h", 0.0, 5.0, "lag of the highest").or(2.59),
            Input::number("lag_low_h", "h", -1.0, 4.0, "lag of the lowest after sunrise").or(1.55),
            Input::number("decay", "1", 0.5, 5.0, "night decay").or(2.2),
        ],
        outputs: vec![Output { key: "temps_c", unit: "C", about: "temperature at each time" }],
        source: "form and constants of Wann, Yen and Gold (1985), secondary",
        run: |a| {
            let n = |k: &str| a.number(k);
            let temps: Vec<f64> = a
                .list("hours")
                .iter()
                .map(|h| {
                    hourly::wann(
                        n("tmax_c"),
                        n("tmin_c"),
                        n("sunrise_h"),
                        n("sunset_h"),
                        *h,
                        n("lag_high_h"),
                        n("lag_low_h"),
                        n("decay"),
                    )
                })
                .collect();
            let mut w = Working::new("Temperature through the day");
            for (h, t) in a.list("hours").iter().zip(&temps).take(24) {
                w = w.line(Op::Note, format!("at {h} h"), *t, "C", 1);
            }
            Ok(Outcome::new(w.source("Wann, Yen and Gold (1985)")).with("temps_c", temps))
        },
    }
}

fn site(a: &stook_measure::Args) -> Site {
    Site { lat_deg: a.number("lat_deg"), lon_deg: a.number("lon_deg"), elev_m: a.number("elev_m") }
}

fn read_day(a: &stook_measure::Args, rs_share: f64) -> Result<Day, CalcError> {
    let (tmax_c, tmin_c) = (a.number("tmax_c"), a.number("tmin_c"));
    if tmin_c > tmax_c {
        return Err(CalcError::Together("tmin_c is above tmax_c; swap them".into()));
    }
    let ra = solar::extraterrestrial_daily(a.number("lat_deg"), doy(a));
    Ok(Day {
        tmax_c,
        tmin_c,
        precip_mm: a.maybe_number("rain_mm").unwrap_or(0.0),
        rs_mj_m2: a.maybe_number("rs_mj_m2").unwrap_or(rs_share * ra),
        ea_kpa: a.number("ea_kpa"),
        wind_2m_ms: a.maybe_number("wind_2m_ms").unwrap_or(3.0),
    })
}

fn course() -> Calculator {
    Calculator {
        name: "weather.hours_of_day",
        title: "Temperature and humidity hour by hour",
        about: "The course the models here use: the middle of each clock hour, reaching the day's two ends, with vapour pressure held. Also the hours drier than a limit.",
        inputs: vec![
            lat(),
            lon(),
            offset(),
            elev(),
            day(),
            tmax(),
            tmin(),
            ea(),
            Input::number("rh_limit_pct", "%", 5.0, 100.0, "count hours drier than this").or(60.0),
        ],
        outputs: vec![
            Output { key: "temps_c", unit: "C", about: "temperature, hour from midnight" },
            Output { key: "rh_pct", unit: "%", about: "relative humidity over water" },
            Output { key: "dry_hours", unit: "h", about: "hours drier than the limit" },
        ],
        source: "Parton and Logan (1981) constants; night joined to the morning and stretched to both ends here; constant vapour pressure",
        run: |a| {
            let table = SiteTable::with_offset(&site(a), a.number("utc_offset_h"));
            let d = read_day(a, 0.5)?;
            let j = doy(a);
            let hours = hourly::course(&d, j, &table);
            let limit = a.number("rh_limit_pct");
            let dry = hourly::hours_with_rh_below(&table.force(j, &d, &params()), j, &table, limit);
            let mut w = Working::new("Hours drier than the limit");
            for h in [3usize, 6, 9, 12, 15, 18, 21] {
                w = w.line(Op::Note, format!("humidity at {h}:30"), hours.rh_pct[h], "%", 0);
            }
            Ok(Outcome::new(
                w.sum(format!("hours below {limit} %"), dry, "h", 1)
                    .source("Parton and Logan (1981); constant vapour pressure"),
            )
            .with("temps_c", hours.temp_c.to_vec())
            .with("rh_pct", hours.rh_pct.to_vec())
            .with("dry_hours", dry))
        },
    }
}

fn spray_hour() -> Calculator {
    Calculator {
        name: "weather.spray_hour",
        title: "Is this hour fit for spraying?",
        about: "Judges wind, Delta T, heat with dryness, inversion and rain, and names what binds. The label always rules; smoke that lies flat means an inversion whatever this says.",
        inputs: vec![
            temp(),
            rh(),
            Input::number("wind_kmh", "km/h", 0.0, 150.0, "wind near the boom"),
            pressure(),
            Input::number("rain_mm", "mm", 0.0, 100.0, "rain in the hour or the rain-free hours after")
                .or(0.0),
            Input::choice("near_night", &["no", "yes"], "from 1.5 h before sunset to 1 h after sunrise")
                .or("no"),
            Input::choice(
                "cooling_fast",
                &["no", "yes"],
                "clear sky late in the day and cooling more than 2 C an hour",
            )
            .or("no"),
        ],
        outputs: vec![
            Output { key: "verdict", unit: "", about: "fit, caution or not fit" },
            Output { key: "because", unit: "", about: "what binds" },
            Output { key: "delta_t_c", unit: "C", about: "Delta T" },
        ],
        source: "Delta T 2 to 8 (Australian guidance relayed by North Dakota State University, 2019); wind 2 to 15 km/h and 40 % with 25 C (Ontario factsheet); inversion window (Australian grains spray manual, 2025); one-thermometer rule is our judgement",
        run: |a| {
            let l = SprayLimits::from_reference(&Reference::shipped());
            let air = HourAir {
                temp_c: a.number("temp_c"),
                rh_pct: a.number("rh_pct"),
                wind_ms: a.number("wind_kmh") / 3.6,
                rain_mm: a.number("rain_mm"),
                near_night: a.text("near_night") == "yes",
                cooling_fast: a.text("cooling_fast") == "yes",
            };
            let v = spray::classify(&air, &l, a.number("pressure_kpa"));
            let verdict = match v.grade {
                Grade::Fit => "fit",
                Grade::Caution => "caution",
                Grade::No => "not fit",
            };
            Ok(Outcome::new(
                Working::new("Spray hour")
                    .line(Op::Note, "Delta T", v.delta_t_c, "C", 1)
                    .line(Op::Note, "wind", a.number("wind_kmh"), "km/h", 1)
                    .line(Op::Note, "most wind", l.wind_high_ms * 3.6, "km/h", 0)
                    .note("the label comes before anything said here")
                    .source("extension guidance named with the calculator"),
            )
            .with("verdict", verdict)
            .with("because", v.factor.map_or("nothing stands against it", spray::Factor::words))
            .with("delta_t_c", v.delta_t_c))
        },
    }
}

fn spray_day() -> Calculator {
    Calculator {
        name: "weather.spray_hours_of_day",
        title: "Fit spray hours in a day",
        about: "Hours of daylight fit without caution, from the day's ends. On a wet day the time of rain is unknown and hours are taken off in proportion.",
        inputs: vec![
            lat(),
            lon(),
            offset(),
            elev(),
            day(),
            tmax(),
            tmin(),
            ea(),
            Input::number("wind_2m_ms", "m/s", 0.0, 25.0, "mean wind at 2 m"),
            Input::number(
                "rs_mj_m2",
                "MJ/m2/d",
                0.0,
                45.0,
                "solar radiation; half of that above the air when not given",
            )
            .optional(),
            Input::number("rain_mm", "mm", 0.0, 200.0, "rain").or(0.0),
        ],
        outputs: vec![Output { key: "hours", unit: "h", about: "fit hours" }],
        source: "hourly course of Parton and Logan (1981) under the limits of weather.spray_hour",
        run: |a| {
            let table = SiteTable::with_offset(&site(a), a.number("utc_offset_h"));
            let d = read_day(a, 0.5)?;
            let l = SprayLimits::from_reference(&Reference::shipped());
            let j = doy(a);
            let f = table.force(j, &d, &params());
            let hours = spray::fit_hours(&f, j, &table, &l);
            let dry = Day { precip_mm: 0.0, ..d };
            let without_rain = spray::fit_hours(&table.force(j, &dry, &params()), j, &table, &l);
            Ok(Outcome::new(
                Working::new("Fit spray hours")
                    .line(Op::Start, "hours fit but for rain", without_rain, "h", 2)
                    .line(Op::Minus, "lost to rain of unknown time", without_rain - hours, "h", 2)
                    .sum("fit hours", hours, "h", 1)
                    .would_change(
                        "wind by the hour: here it peaks two hours after noon at about twice the night's",
                    )
                    .source("Parton and Logan (1981) course; extension limits"),
            )
            .with("hours", hours))
        },
    }
}
