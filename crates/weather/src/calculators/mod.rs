//! The weather models as calculators.

mod air;
mod climate;
mod et0;
mod hours;
mod moist;
mod snow;
mod sun;

use stook_measure::{Calculator, Input, Reference};

use crate::params::WeatherParams;

/// All of them.
pub fn calculators() -> Vec<Calculator> {
    let mut all = sun::all();
    all.extend(air::all());
    all.extend(moist::all());
    all.extend(et0::all());
    all.extend(snow::all());
    all.extend(hours::all());
    all.extend(climate::all());
    all
}

fn params() -> WeatherParams {
    WeatherParams::from_reference(&Reference::shipped())
}

fn lat() -> Input {
    Input::number("lat_deg", "deg", -66.0, 66.0, "latitude, north positive")
}
fn lon() -> Input {
    Input::number("lon_deg", "deg", -180.0, 180.0, "longitude, east positive (negative in the Americas)")
}
fn offset() -> Input {
    Input::number(
        "utc_offset_h",
        "h",
        -12.0,
        14.0,
        "hours the clock is ahead of UTC (negative in the Americas)",
    )
}
fn elev() -> Input {
    Input::number("elev_m", "m", -400.0, 5000.0, "elevation above the sea").or(580.0)
}
fn day() -> Input {
    Input::number("day_of_year", "1", 1.0, 366.0, "day of the year, 1 January = 1")
}
fn tmax() -> Input {
    Input::number("tmax_c", "C", -60.0, 60.0, "highest air temperature of the day")
}
fn tmin() -> Input {
    Input::number("tmin_c", "C", -60.0, 60.0, "lowest air temperature of the day")
}
fn temp() -> Input {
    Input::number("temp_c", "C", -60.0, 60.0, "air temperature")
}
fn ea() -> Input {
    Input::number("ea_kpa", "kPa", 0.001, 8.0, "actual vapour pressure")
}
fn rh() -> Input {
    Input::number("rh_pct", "%", 0.5, 100.0, "relative humidity")
}
fn pressure() -> Input {
    Input::number("pressure_kpa", "kPa", 50.0, 110.0, "air pressure; 95 near 550 m").or(95.0)
}
fn wind() -> Input {
    Input::number("wind_ms", "m/s", 0.0, 60.0, "wind at the height given")
}
fn wind_height() -> Input {
    Input::number("wind_height_m", "m", 0.5, 30.0, "height of the wind gauge; 10 on airport masts").or(2.0)
}

/// Day of the year as a whole number.
fn doy(a: &stook_measure::Args) -> u16 {
    a.number("day_of_year").round() as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Map, json};
    use stook_measure::calc::Kind;
    use stook_measure::check;

    #[test]
    fn published_checks_hold() {
        let text = include_str!("../../../../reference/checks/weather.jsonl");
        let wrong = check::audit("weather", text, &calculators());
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    /// Every input at its default, or two fifths up its range.
    fn example(c: &Calculator) -> Map<String, serde_json::Value> {
        let mut given = Map::new();
        for i in c.inputs.iter().filter(|i| i.default.is_none() && !i.optional) {
            let value = match &i.kind {
                Kind::Number { low, high, .. } => json!(match i.key {
                    "lat_deg" => 50.0,
                    "lon_deg" => -105.0,
                    "utc_offset_h" => -6.0,
                    "day_of_year" => 170.0,
                    "tmax_c" => 24.0,
                    "tmin_c" => 11.0,
                    "ea_kpa" => 1.2,
                    "temp_c" => 20.0,
                    "sunrise_h" => 5.0,
                    "sunset_h" => 21.0,
                    "day" | "wet_c" => 12.0,
                    "month" => 6.0,
                    _ => low + 0.4 * (high - low),
                }),
                Kind::Choice { of } => json!(of[0]),
                Kind::List { low, high, .. } => json!([low + 0.4 * (high - low)]),
            };
            given.insert(i.key.into(), value);
        }
        given
    }

    #[test]
    fn workings_add_up_and_outputs_are_those_declared() {
        for c in calculators() {
            let out = c.call(&example(&c)).unwrap_or_else(|e| panic!("{}: {e}", c.name));
            let declared: Vec<_> = c.outputs.iter().map(|o| o.key).collect();
            let given: Vec<_> = out.out.iter().map(|(k, _)| *k).collect();
            assert_eq!(declared, given, "{}", c.name);
            assert!(
                out.working.adds_up(0.02),
                "{}: {:?} by hand, {:?}",
                c.name,
                out.working.by_hand(),
                out.working.sum
            );
            assert!(!out.working.terms.is_empty() && !out.working.sources.is_empty(), "{}", c.name);
            assert!(!c.about.is_empty() && !c.source.is_empty(), "{}", c.name);
        }
    }

    #[test]
    fn names_are_unique() {
        let mut names: Vec<_> = calculators().iter().map(|c| c.name).collect();
        let n = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), n);
    }
}
