//! Reference evapotranspiration.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Output, Working};

use super::{day, doy, elev, lat, lon, offset, rh, temp, tmax, tmin, wind, wind_height};
use crate::et0::{self, Cover};
use crate::{humidity, radiation, solar};

pub fn all() -> Vec<Calculator> {
    vec![daily(), hourly(), asce_daily(), asce_hourly(), hargreaves()]
}

/// Humidity of a day, given in one of several ways.
fn humidity_inputs() -> Vec<Input> {
    vec![
        Input::number("ea_kpa", "kPa", 0.001, 8.0, "vapour pressure, if known").optional(),
        Input::number("tdew_c", "C", -60.0, 40.0, "dew point, next best").optional(),
        Input::number("rh_max_pct", "%", 1.0, 100.0, "highest relative humidity").optional(),
        Input::number("rh_min_pct", "%", 1.0, 100.0, "lowest relative humidity").optional(),
        Input::number("rh_mean_pct", "%", 1.0, 100.0, "mean relative humidity, when nothing better")
            .optional(),
    ]
}

/// Vapour pressure from what was given, and the rule in words.
fn vapour(a: &Args, high: f64, low: f64) -> (f64, &'static str) {
    let get = |k| a.maybe_number(k);
    if let Some(e) = get("ea_kpa") {
        (e, "vapour pressure as given")
    } else if let Some(td) = get("tdew_c") {
        (humidity::e0(td), "from the dew point")
    } else {
        match (get("rh_max_pct"), get("rh_min_pct"), get("rh_mean_pct")) {
            (Some(x), Some(n), _) => {
                (humidity::ea_from_rh_range(high, low, x, n), "from both ends of humidity")
            }
            (Some(x), None, _) => (humidity::ea_from_rh_max(low, x), "from the highest humidity"),
            (_, _, Some(m)) => (humidity::ea_from_rh_mean(high, low, m), "from mean humidity"),
            _ => {
                (humidity::e0(low - super::params().dew_below_tmin_c), "dew point taken a little below Tmin")
            }
        }
    }
}

fn ordered(a: &Args) -> Result<(f64, f64), CalcError> {
    let (high, low) = (a.number("tmax_c"), a.number("tmin_c"));
    if low > high {
        return Err(CalcError::Together("tmin_c is above tmax_c; swap them".into()));
    }
    Ok((high, low))
}

fn daily() -> Calculator {
    let mut inputs = vec![lat(), day(), elev(), tmax(), tmin(), wind(), wind_height()];
    inputs.extend(humidity_inputs());
    inputs.extend([
        Input::number("rs_mj_m2", "MJ/m2/d", 0.0, 45.0, "solar radiation, if measured").optional(),
        Input::number(
            "sunshine_h",
            "h",
            0.0,
            24.0,
            "hours of bright sun, next best; without either the range of temperature is used",
        )
        .optional(),
        Input::number("ground_mj_m2", "MJ/m2/d", -5.0, 5.0, "heat into the ground; 0 for a day or ten")
            .or(0.0),
    ]);
    Calculator {
        name: "weather.et0_daily",
        title: "Reference evapotranspiration of a day",
        about: "Water a well-watered short grass would use, by FAO-56: the base of all crop water use here. Raw winter values may be slightly below zero.",
        inputs,
        outputs: vec![
            Output { key: "eto_mm", unit: "mm/d", about: "reference evapotranspiration" },
            Output { key: "ra_mj_m2", unit: "MJ/m2/d", about: "radiation above the air" },
            Output { key: "daylight_h", unit: "h", about: "daylight" },
            Output { key: "rs_mj_m2", unit: "MJ/m2/d", about: "solar radiation used" },
            Output { key: "rso_mj_m2", unit: "MJ/m2/d", about: "clear-sky radiation" },
            Output { key: "shortwave_mj_m2", unit: "MJ/m2/d", about: "net shortwave" },
            Output { key: "longwave_mj_m2", unit: "MJ/m2/d", about: "net longwave" },
            Output { key: "net_mj_m2", unit: "MJ/m2/d", about: "net radiation" },
            Output { key: "es_kpa", unit: "kPa", about: "mean saturation" },
            Output { key: "ea_kpa", unit: "kPa", about: "vapour pressure" },
            Output { key: "slope_kpa_c", unit: "kPa/C", about: "slope of saturation" },
            Output { key: "gamma_kpa_c", unit: "kPa/C", about: "psychrometric constant" },
            Output { key: "wind_2m_ms", unit: "m/s", about: "wind at 2 m" },
        ],
        source: "FAO-56 (Allen and others 1998) Eq. 6; published",
        run: |a| {
            let (high, low) = ordered(a)?;
            let (lat, j, z) = (a.number("lat_deg"), doy(a), a.number("elev_m"));
            let p = super::params();
            let (ra, n) = (solar::extraterrestrial_daily(lat, j), solar::daylight_h(lat, j));
            let rso = solar::clear_sky(ra, z);
            let (rs, rs_rule) = match (a.maybe_number("rs_mj_m2"), a.maybe_number("sunshine_h")) {
                (Some(rs), _) => (rs, "as measured"),
                (None, Some(h)) => {
                    (solar::from_sunshine(ra, h, n, p.angstrom_a, p.angstrom_b), "from sunshine")
                }
                _ => {
                    (solar::from_temperature(ra, high, low, p.krs).min(rso), "from the range of temperature")
                }
            };
            let (ea, ea_rule) = vapour(a, high, low);
            let u2 =
                humidity::wind_at_2m(a.number("wind_ms"), a.number("wind_height_m")).max(p.wind_floor_ms);
            let short = radiation::net_shortwave(rs);
            let long = radiation::net_longwave_daily(
                radiation::SIGMA_DAY_FAO,
                high,
                low,
                ea,
                radiation::clearness(rs, rso),
            );
            let g = a.number("ground_mj_m2");
            let eto = et0::fao56_daily(high, low, ea, u2, short - long, g, z);
            let by_sun = et0::fao56_daily(high, low, humidity::es_mean(high, low), u2, short - long, g, z);
            let mean = 0.5 * (high + low);
            Ok(Outcome::new(
                Working::new("Reference evapotranspiration")
                    .line(Op::Note, format!("solar radiation, {rs_rule}"), rs, "MJ/m2/d", 2)
                    .line(Op::Note, "net radiation", short - long, "MJ/m2/d", 2)
                    .line(Op::Note, format!("vapour pressure, {ea_rule}"), ea, "kPa", 3)
                    .line(Op::Note, "wind at 2 m", u2, "m/s", 2)
                    .line(Op::Start, "driven by the sun", by_sun, "mm", 2)
                    .line(Op::Plus, "driven by dry wind", eto - by_sun, "mm", 2)
                    .sum("reference evapotranspiration", eto, "mm", 2)
                    .would_change("wind from a mast read as if at 2 m, and humidity guessed from Tmin")
                    .source("FAO-56 Eq. 6 and 20 to 47"),
            )
            .with("eto_mm", eto)
            .with("ra_mj_m2", ra)
            .with("daylight_h", n)
            .with("rs_mj_m2", rs)
            .with("rso_mj_m2", rso)
            .with("shortwave_mj_m2", short)
            .with("longwave_mj_m2", long)
            .with("net_mj_m2", short - long)
            .with("es_kpa", humidity::es_mean(high, low))
            .with("ea_kpa", ea)
            .with("slope_kpa_c", humidity::slope(mean))
            .with("gamma_kpa_c", humidity::gamma(humidity::pressure(z)))
            .with("wind_2m_ms", u2))
        },
    }
}

fn hourly() -> Calculator {
    Calculator {
        name: "weather.et0_hourly",
        title: "Reference evapotranspiration of an hour (FAO-56)",
        about: "The FAO-56 hourly form. By night the share of clear sky is that of late afternoon; give it.",
        inputs: vec![
            lat(),
            lon(),
            offset(),
            elev(),
            day(),
            Input::number("clock_h", "h", 0.0, 24.0, "standard time at the middle of the hour"),
            temp(),
            rh(),
            wind(),
            wind_height(),
            Input::number("rs_mj_m2", "MJ/m2/h", 0.0, 5.0, "solar radiation in the hour"),
            Input::number(
                "night_clearness",
                "1",
                0.0,
                1.0,
                "share of clear sky used when the sun is down: 0.4 to 0.6 humid, 0.7 to 0.8 dry",
            )
            .or(0.7),
        ],
        outputs: vec![
            Output { key: "eto_mm", unit: "mm/h", about: "reference evapotranspiration" },
            Output { key: "ra_mj_m2", unit: "MJ/m2/h", about: "radiation above the air" },
            Output { key: "hour_angle_rad", unit: "rad", about: "sun's hour angle" },
            Output { key: "correction_h", unit: "h", about: "seasonal correction" },
            Output { key: "ea_kpa", unit: "kPa", about: "vapour pressure" },
            Output { key: "longwave_mj_m2", unit: "MJ/m2/h", about: "net longwave" },
            Output { key: "net_mj_m2", unit: "MJ/m2/h", about: "net radiation" },
            Output { key: "ground_mj_m2", unit: "MJ/m2/h", about: "heat into the ground" },
        ],
        source: "FAO-56 (Allen and others 1998) Eq. 53; published",
        run: |a| {
            let (lat, j, z, t) = (a.number("lat_deg"), doy(a), a.number("elev_m"), a.number("temp_c"));
            let w = solar::hour_angle(a.number("lon_deg"), j, a.number("clock_h"), a.number("utc_offset_h"));
            let ra = solar::extraterrestrial_hourly(lat, j, w, 1.0, solar::SOLAR_MJ_H_FAO);
            let rs = a.number("rs_mj_m2");
            let rso = solar::clear_sky(ra, z);
            let clear = if rso > 0.05 { (rs / rso).clamp(0.0, 1.0) } else { a.number("night_clearness") };
            let ea = humidity::e0(t) * a.number("rh_pct") / 100.0;
            let long = radiation::net_longwave_hourly(radiation::SIGMA_HOUR_FAO, t, ea, clear);
            let net = radiation::net_shortwave(rs) - long;
            let ground = if net > 0.0 { 0.1 * net } else { 0.5 * net };
            let u2 = humidity::wind_at_2m(a.number("wind_ms"), a.number("wind_height_m"));
            let eto = et0::fao56_hourly(t, ea, u2, net, z);
            Ok(Outcome::new(
                Working::new("Energy to evaporate in the hour")
                    .line(Op::Note, "evapotranspiration", eto, "mm", 2)
                    .line(Op::Start, "sun kept by the grass", radiation::net_shortwave(rs), "MJ/m2", 3)
                    .line(Op::Minus, "heat sent back to the sky", long, "MJ/m2", 3)
                    .line(Op::Minus, "heat into the ground", ground, "MJ/m2", 3)
                    .sum("left to evaporate water and warm air", net - ground, "MJ/m2", 3)
                    .source("FAO-56 Eq. 28 to 33, 45, 46 and 53"),
            )
            .with("eto_mm", eto)
            .with("ra_mj_m2", ra)
            .with("hour_angle_rad", w)
            .with("correction_h", solar::seasonal_correction_h(j))
            .with("ea_kpa", ea)
            .with("longwave_mj_m2", long)
            .with("net_mj_m2", net)
            .with("ground_mj_m2", ground))
        },
    }
}

fn asce_daily() -> Calculator {
    let mut inputs = vec![lat(), day(), elev(), tmax(), tmin(), wind(), wind_height()];
    inputs.extend(humidity_inputs());
    inputs.extend([
        Input::number("rs_mj_m2", "MJ/m2/d", 0.0, 45.0, "solar radiation"),
        Input::choice(
            "clear_sky",
            &["physical", "simple"],
            "clear sky from the water in the air, or from elevation",
        )
        .or("physical"),
    ]);
    Calculator {
        name: "weather.et_asce_daily",
        title: "ASCE standard evapotranspiration of a day",
        about: "Short (grass) and tall (alfalfa) reference of the American standard. Do not use the tall one with FAO-56 crop coefficients.",
        inputs,
        outputs: vec![
            Output { key: "short_mm", unit: "mm/d", about: "short reference" },
            Output { key: "tall_mm", unit: "mm/d", about: "tall reference" },
            Output { key: "net_mj_m2", unit: "MJ/m2/d", about: "net radiation" },
        ],
        source: "ASCE-EWRI (2005), read through two open libraries that implement and test it",
        run: |a| {
            let (high, low) = ordered(a)?;
            let (lat, j, z) = (a.number("lat_deg"), doy(a), a.number("elev_m"));
            let (ea, rule) = vapour(a, high, low);
            let p = humidity::pressure(z);
            let rso = if a.text("clear_sky") == "physical" {
                solar::clear_sky_physical_daily(lat, j, ea, p, 1.0)
            } else {
                solar::clear_sky(solar::extraterrestrial_daily(lat, j), z)
            };
            let rs = a.number("rs_mj_m2");
            // The standard keeps the share of clear sky between 0.3 and 1.
            let clear = radiation::clearness(rs, rso).max(0.3);
            let short = radiation::net_shortwave(rs);
            let long = radiation::net_longwave_daily(radiation::SIGMA_DAY_ASCE, high, low, ea, clear);
            let u2 = humidity::wind_at_2m(a.number("wind_ms"), a.number("wind_height_m"));
            let etos = et0::asce_daily(Cover::Short, high, low, ea, u2, short - long, z);
            let etrs = et0::asce_daily(Cover::Tall, high, low, ea, u2, short - long, z);
            Ok(Outcome::new(
                Working::new("Net radiation")
                    .line(Op::Note, format!("vapour pressure, {rule}"), ea, "kPa", 3)
                    .line(Op::Note, "wind at 2 m", u2, "m/s", 2)
                    .line(Op::Note, "short reference", etos, "mm", 2)
                    .line(Op::Note, "tall reference", etrs, "mm", 2)
                    .line(Op::Start, "sun kept by the cover", short, "MJ/m2/d", 2)
                    .line(Op::Minus, "heat sent back to the sky", long, "MJ/m2/d", 2)
                    .sum("net radiation", short - long, "MJ/m2/d", 2)
                    .source("ASCE-EWRI (2005)"),
            )
            .with("short_mm", etos)
            .with("tall_mm", etrs)
            .with("net_mj_m2", short - long))
        },
    }
}

fn asce_hourly() -> Calculator {
    Calculator {
        name: "weather.et_asce_hourly",
        title: "ASCE standard evapotranspiration of an hour",
        about: "Hourly short and tall reference; summed over a day it follows the daily value better than the FAO-56 hourly form. The share of clear sky is that of the hour while the sun stands above 17 degrees; give one for the rest.",
        inputs: vec![
            lat(),
            lon(),
            elev(),
            day(),
            Input::number("utc_h", "h", 0.0, 24.0, "UTC at the middle of the hour"),
            temp(),
            Input::number("tdew_c", "C", -60.0, 40.0, "dew point"),
            Input::number("rs_w_m2", "W/m2", 0.0, 1400.0, "solar radiation, mean of the hour"),
            wind(),
            wind_height(),
            Input::number(
                "low_sun_clearness",
                "1",
                0.3,
                1.0,
                "share of clear sky used when the sun is low or down",
            )
            .or(0.7),
        ],
        outputs: vec![
            Output { key: "short_mm", unit: "mm/h", about: "short reference" },
            Output { key: "tall_mm", unit: "mm/h", about: "tall reference" },
            Output { key: "ra_mj_m2", unit: "MJ/m2/h", about: "radiation above the air" },
            Output { key: "net_mj_m2", unit: "MJ/m2/h", about: "net radiation" },
        ],
        source: "ASCE-EWRI (2005), read through two open libraries that implement and test it",
        run: |a| {
            let (lat, lon, j) = (a.number("lat_deg"), a.number("lon_deg"), doy(a));
            let (z, t, td) = (a.number("elev_m"), a.number("temp_c"), a.number("tdew_c"));
            if td > t {
                return Err(CalcError::Together("the dew point cannot be above the air temperature".into()));
            }
            let w = solar::hour_angle(lon, j, a.number("utc_h"), 0.0);
            let ra = solar::extraterrestrial_hourly(lat, j, w, 1.0, solar::SOLAR_MJ_H_ASCE);
            let (ea, p) = (humidity::e0(td), humidity::pressure(z));
            let rso = solar::clear_sky_physical_hourly(lat, j, w, ra, ea, p, 1.0);
            let rs = a.number("rs_w_m2") * 0.0036;
            let (phi, delta) = (lat.to_radians(), solar::declination(j));
            let sun_height = (phi.sin() * delta.sin() + phi.cos() * delta.cos() * w.cos()).asin();
            let clear = if sun_height > 0.3 {
                radiation::clearness(rs, rso).max(0.3)
            } else {
                a.number("low_sun_clearness")
            };
            let short = radiation::net_shortwave(rs);
            let long = radiation::net_longwave_hourly(radiation::SIGMA_HOUR_ASCE, t, ea, clear);
            let u2 = humidity::wind_at_2m(a.number("wind_ms"), a.number("wind_height_m"));
            let etos = et0::asce_hourly(Cover::Short, t, ea, u2, short - long, z);
            let etrs = et0::asce_hourly(Cover::Tall, t, ea, u2, short - long, z);
            Ok(Outcome::new(
                Working::new("Net radiation of the hour")
                    .line(Op::Note, "share of clear sky", clear, "", 2)
                    .line(Op::Note, "short reference", etos, "mm", 3)
                    .line(Op::Note, "tall reference", etrs, "mm", 3)
                    .line(Op::Start, "sun kept by the cover", short, "MJ/m2", 3)
                    .line(Op::Minus, "heat sent back to the sky", long, "MJ/m2", 3)
                    .sum("net radiation", short - long, "MJ/m2", 3)
                    .source("ASCE-EWRI (2005)"),
            )
            .with("short_mm", etos)
            .with("tall_mm", etrs)
            .with("ra_mj_m2", ra)
            .with("net_mj_m2", short - long))
        },
    }
}

fn hargreaves() -> Calculator {
    Calculator {
        name: "weather.et0_from_temperature",
        title: "Reference evapotranspiration from temperature alone",
        about: "Hargreaves' equation: low in wind above 3 m/s, high in humid air. Filling what is missing and using the full equation is better.",
        inputs: vec![
            tmax(),
            tmin(),
            Input::number(
                "tmean_c",
                "C",
                -60.0,
                60.0,
                "mean temperature; the middle of the two when not given",
            )
            .optional(),
            Input::number("ra_mj_m2", "MJ/m2/d", 0.0, 50.0, "radiation above the air"),
        ],
        outputs: vec![Output { key: "eto_mm", unit: "mm/d", about: "reference evapotranspiration" }],
        source: "FAO-56 (Allen and others 1998) Eq. 52; published",
        run: |a| {
            let (high, low) = ordered(a)?;
            let mean = a.maybe_number("tmean_c").unwrap_or(0.5 * (high + low));
            let ra = a.number("ra_mj_m2");
            let eto = et0::hargreaves(mean, high, low, ra);
            Ok(Outcome::new(
                Working::new("Reference evapotranspiration")
                    .line(Op::Start, "mean temperature and 17.8", mean + 17.8, "C", 2)
                    .line(Op::Times, "root of the range", (high - low).sqrt(), "C^0.5", 4)
                    .line(Op::Times, "radiation above the air as water", et0::MM_PER_MJ * ra, "mm", 3)
                    .line(Op::Times, "coefficient", 0.0023, "", 4)
                    .sum("reference evapotranspiration", eto, "mm", 2)
                    .source("FAO-56 Eq. 52"),
            )
            .with("eto_mm", eto))
        },
    }
}
