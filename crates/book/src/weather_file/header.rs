//! What a column holds and in what unit, from its heading.
//!
//! Headings are matched by their words, not letter by letter: the same archive is met with a degree sign in two
//! encodings, without one, and with a mark in front.

use super::unit::{Dimension, Unit};

/// What is read from a weather file. Everything else is passed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Highest air temperature of the day.
    TempMax,
    /// Lowest air temperature of the day.
    TempMin,
    /// Air temperature of the hour, or the day's mean.
    Temp,
    /// Dew point.
    DewPoint,
    /// Relative humidity.
    Humidity,
    /// Highest relative humidity of the day.
    HumidityMax,
    /// Lowest relative humidity of the day.
    HumidityMin,
    /// Vapour pressure.
    Vapour,
    /// Rain and melted snow.
    Precip,
    /// Rain alone.
    Rain,
    /// Depth of new snow.
    NewSnow,
    /// Snow on the ground.
    SnowDepth,
    /// Solar radiation on the level.
    Radiation,
    /// Bright sunshine.
    Sunshine,
    /// Mean wind speed.
    Wind,
    /// Air pressure at the station.
    Pressure,
    /// Chance of rain or snow, in a forecast.
    RainChance,
}

impl Quantity {
    /// How many there are.
    pub const COUNT: usize = 17;

    /// What units it can have.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::TempMax | Self::TempMin | Self::Temp | Self::DewPoint => Dimension::Temperature,
            Self::Humidity | Self::HumidityMax | Self::HumidityMin | Self::RainChance => Dimension::Share,
            Self::Vapour | Self::Pressure => Dimension::Pressure,
            Self::Precip | Self::Rain => Dimension::Water,
            Self::NewSnow | Self::SnowDepth => Dimension::Snow,
            Self::Radiation => Dimension::Radiation,
            Self::Sunshine => Dimension::Hours,
            Self::Wind => Dimension::Speed,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::TempMax => "highest temperature",
            Self::TempMin => "lowest temperature",
            Self::Temp => "temperature",
            Self::DewPoint => "dew point",
            Self::Humidity => "humidity",
            Self::HumidityMax => "highest humidity",
            Self::HumidityMin => "lowest humidity",
            Self::Vapour => "vapour pressure",
            Self::Precip => "precipitation",
            Self::Rain => "rain",
            Self::NewSnow => "new snow",
            Self::SnowDepth => "snow on the ground",
            Self::Radiation => "solar radiation",
            Self::Sunshine => "sunshine",
            Self::Wind => "wind",
            Self::Pressure => "pressure",
            Self::RainChance => "chance of rain",
        }
    }
}

/// What a heading says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meaning {
    /// A quantity, in this unit if it says so; wind at this height if it says so.
    Measured(Quantity, Option<Unit>, Option<f64>),
    /// The flag of the column before it that shares its words.
    Flag(Quantity),
    /// Date, or date and time, and how its clock runs if it says so.
    Date(Option<Clock>),
    /// Time of day or hour number.
    Time(Option<Clock>),
    /// Calendar year.
    Year,
    /// Month number.
    Month,
    /// Day of the month.
    DayOfMonth,
    /// Station.
    Station,
    /// Not needed.
    Other,
}

/// How the times in a file run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// Local standard time all year.
    Standard,
    /// The clock on the wall, moved in spring and autumn.
    Wall,
    /// Universal time.
    Utc,
}

/// Reads one heading.
pub fn meaning(heading: &str) -> Meaning {
    let (base, bracket) = split_bracket(heading);
    let all: Vec<String> = words(&base);
    let has = |any: &[&str]| all.iter().any(|w| any.contains(&w.as_str()));
    if all.is_empty() {
        return Meaning::Other;
    }
    if has(&["flag", "flags"]) {
        return quantity(&all).map_or(Meaning::Other, Meaning::Flag);
    }
    if let Some(time) = time_column(&all, &bracket) {
        return time;
    }
    if all == ["station"] || all == ["station", "id"] || has(&["climate"]) && has(&["id", "identifier"]) {
        return Meaning::Station;
    }
    // The unit in brackets, or else the longest run of last words that is a unit of what the other words name.
    if let Some(q) = quantity(&all)
        && let Some(unit) = Unit::parse(&bracket).filter(|u| u.fits(q.dimension()))
    {
        return Meaning::Measured(q, Some(unit), height(&all));
    }
    for cut in 1..=3.min(all.len() - 1) {
        let (front, back) = all.split_at(all.len() - cut);
        if let Some(q) = quantity(front)
            && let Some(unit) = Unit::parse(&back.join("/")).filter(|u| u.fits(q.dimension()))
        {
            return Meaning::Measured(q, Some(unit), height(front));
        }
    }
    quantity(&all).map_or(Meaning::Other, |q| Meaning::Measured(q, None, height(&all)))
}

/// The heading without its last bracket, and what the bracket held.
fn split_bracket(heading: &str) -> (String, String) {
    let open = heading.rfind(['(', '[']);
    let close = heading.rfind([')', ']']);
    match (open, close) {
        (Some(a), Some(b)) if a < b => {
            (format!("{} {}", &heading[..a], &heading[b + 1..]), heading[a + 1..b].to_owned())
        }
        _ => (heading.to_owned(), String::new()),
    }
}

/// Lower case words; a percent sign is a word.
fn words(text: &str) -> Vec<String> {
    text.replace('%', " pct ")
        .to_lowercase()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

fn time_column(all: &[String], bracket: &str) -> Option<Meaning> {
    let is = |text: &str| all.iter().map(String::as_str).eq(text.split(' '));
    let said = |word: &str| all.iter().any(|w| w == word) || words(bracket).iter().any(|w| w == word);
    let clock = if said("lst") || said("standard") {
        Some(Clock::Standard)
    } else if said("utc") || said("gmt") || said("z") {
        Some(Clock::Utc)
    } else {
        None
    };
    let bare: Vec<&str> = all
        .iter()
        .map(String::as_str)
        .filter(|w| !["lst", "utc", "gmt", "local", "standard"].contains(w))
        .collect();
    Some(match bare.as_slice() {
        ["date" | "datetime" | "timestamp"] | ["date", "time"] => Meaning::Date(clock),
        ["time" | "hour" | "hh"] | ["time", "of", "day"] => Meaning::Time(clock),
        ["year" | "yyyy"] => Meaning::Year,
        ["month" | "mm" | "mo"] => Meaning::Month,
        _ if is("day") || is("dd") || is("local day") => Meaning::DayOfMonth,
        _ => return None,
    })
}

/// What the words name.
fn quantity(all: &[String]) -> Option<Quantity> {
    let has = |any: &[&str]| all.iter().any(|w| any.contains(&w.as_str()));
    let starts = |with: &str| all.iter().any(|w| w.starts_with(with));
    // Things that share words with what is wanted.
    let other = [
        "dir",
        "direction",
        "wdir",
        "chill",
        "gust",
        "gusts",
        "wet",
        "soil",
        "grass",
        "deg",
        "degree",
        "days",
        "hdd",
        "cdd",
        "gdd",
        "sea",
        "slp",
        "vpd",
        "deficit",
        "feels",
        "normal",
        "time",
        "quality",
        "diffuse",
        "direct",
        "hmdx",
        "humidex",
    ];
    if has(&other) {
        return None;
    }
    if has(&["probability", "chance", "pop"]) {
        return Some(Quantity::RainChance);
    }
    let high = has(&["max", "maximum", "high", "highest", "tmax", "tx", "maxt", "maxtemp"]);
    let low = has(&["min", "minimum", "low", "lowest", "tmin", "tn", "mint", "mintemp"]);
    let dew = starts("dew") || has(&["td", "tdew", "tdp"]);
    let temp = starts("temp")
        || has(&["drybulb"])
        || has(&["dry"]) && has(&["bulb"])
        || has(&[
            "t", "tmean", "tavg", "tair", "tmax", "tmin", "tx", "tn", "maxt", "mint", "maxtemp", "mintemp",
        ])
        || all.len() <= 2 && has(&["high", "low", "highest", "lowest"]);
    let humid = starts("humid") || has(&["rh", "rhum", "hum"]);
    Some(if dew {
        Quantity::DewPoint
    } else if humid {
        match (high, low) {
            (true, false) => Quantity::HumidityMax,
            (false, true) => Quantity::HumidityMin,
            (false, false) => Quantity::Humidity,
            (true, true) => return None,
        }
    } else if starts("precip") || has(&["prcp", "ppt", "lprecip"]) {
        Quantity::Precip
    } else if starts("snow") || has(&["snwd"]) {
        if has(&["grnd", "ground", "depth", "snowdepth", "snwd"]) {
            Quantity::SnowDepth
        } else {
            Quantity::NewSnow
        }
    } else if starts("rain") {
        Quantity::Rain
    } else if starts("sunshine") || has(&["sun"]) {
        Quantity::Sunshine
    } else if starts("radiat") || starts("solar") || has(&["rs", "ghi", "srad", "rad"]) {
        Quantity::Radiation
    } else if starts("wind") || has(&["wspd", "ws", "u2", "u10", "wnd"]) {
        if high || low {
            return None;
        }
        Quantity::Wind
    } else if has(&["ea", "vapour", "vapor"]) {
        Quantity::Vapour
    } else if starts("press") || has(&["pres", "stp"]) {
        Quantity::Pressure
    } else if temp {
        match (high, low) {
            (true, false) => Quantity::TempMax,
            (false, true) => Quantity::TempMin,
            (false, false) => Quantity::Temp,
            (true, true) => return None,
        }
    } else {
        return None;
    })
}

/// The height named in a wind heading: `u2`, `wind_10m`.
fn height(all: &[String]) -> Option<f64> {
    all.iter().find_map(|w| match w.as_str() {
        "u2" => Some(2.0),
        "u10" => Some(10.0),
        other => other.strip_suffix('m').and_then(|n| n.parse().ok()).filter(|h| (0.5..=30.0).contains(h)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(heading: &str) -> (Quantity, Option<Unit>, Option<f64>) {
        match meaning(heading) {
            Meaning::Measured(q, u, h) => (q, u, h),
            other => panic!("{heading}: {other:?}"),
        }
    }

    #[test]
    fn archive_headings() {
        for (heading, q, u) in [
            ("Max Temp (°C)", Quantity::TempMax, Unit::Celsius),
            ("Min Temp (\u{fffd}C)", Quantity::TempMin, Unit::Celsius),
            ("Mean Temp (C)", Quantity::Temp, Unit::Celsius),
            ("Temp (°C)", Quantity::Temp, Unit::Celsius),
            ("Dew Point Temp (°C)", Quantity::DewPoint, Unit::Celsius),
            ("Rel Hum (%)", Quantity::Humidity, Unit::Percent),
            ("Total Rain (mm)", Quantity::Rain, Unit::Mm),
            ("Total Snow (cm)", Quantity::NewSnow, Unit::Cm),
            ("Total Precip (mm)", Quantity::Precip, Unit::Mm),
            ("Precip. Amount (mm)", Quantity::Precip, Unit::Mm),
            ("Snow on Grnd (cm)", Quantity::SnowDepth, Unit::Cm),
            ("Wind Spd (km/h)", Quantity::Wind, Unit::Kmh),
            ("Stn Press (kPa)", Quantity::Pressure, Unit::Kpa),
        ] {
            assert_eq!(measured(heading), (q, Some(u), None), "{heading}");
        }
        for heading in [
            "Heat Deg Days (°C)",
            "Cool Deg Days (°C)",
            "Dir of Max Gust (10s deg)",
            "Spd of Max Gust (km/h)",
            "Wind Dir (10s deg)",
            "Wind Chill",
            "Hmdx",
            "Weather",
            "Visibility (km)",
            "Longitude (x)",
            "Data Quality",
            "Heat Deg Days Flag",
            "",
        ] {
            assert_eq!(meaning(heading), Meaning::Other, "{heading}");
        }
        assert_eq!(meaning("Max Temp Flag"), Meaning::Flag(Quantity::TempMax));
        assert_eq!(meaning("Date/Time (LST)"), Meaning::Date(Some(Clock::Standard)));
        assert_eq!(meaning("Time (LST)"), Meaning::Time(Some(Clock::Standard)));
        assert_eq!(meaning("Climate ID"), Meaning::Station);
        assert_eq!(meaning("LOCAL_DATE"), Meaning::Date(None));
        assert_eq!(measured("MAX_TEMPERATURE"), (Quantity::TempMax, None, None));
    }

    #[test]
    fn plain_headings_with_units() {
        for (heading, q, u, h) in [
            ("tmax_c", Quantity::TempMax, Unit::Celsius, None),
            ("tmax (F)", Quantity::TempMax, Unit::Fahrenheit, None),
            ("Low [deg F]", Quantity::TempMin, Unit::Fahrenheit, None),
            ("rain_in", Quantity::Rain, Unit::Inch, None),
            ("precip_mm", Quantity::Precip, Unit::Mm, None),
            ("rs_mj_m2", Quantity::Radiation, Unit::MjM2, None),
            ("Solar radiation (W/m2)", Quantity::Radiation, Unit::WM2, None),
            ("wind_2m_ms", Quantity::Wind, Unit::Ms, Some(2.0)),
            ("wind_10m_km_h", Quantity::Wind, Unit::Kmh, Some(10.0)),
            ("u2_m_s", Quantity::Wind, Unit::Ms, Some(2.0)),
            ("rh_pct", Quantity::Humidity, Unit::Percent, None),
            ("ea_kpa", Quantity::Vapour, Unit::Kpa, None),
            ("pressure_hpa", Quantity::Pressure, Unit::Hpa, None),
            ("sunshine_h", Quantity::Sunshine, Unit::Hours, None),
            ("snow_depth_cm", Quantity::SnowDepth, Unit::Cm, None),
            ("Dry-bulb (C)", Quantity::Temp, Unit::Celsius, None),
            ("GHI (W/m^2)", Quantity::Radiation, Unit::WM2, None),
            ("rh_max_pct", Quantity::HumidityMax, Unit::Percent, None),
            ("Minimum humidity (%)", Quantity::HumidityMin, Unit::Percent, None),
            ("rain_chance_pct", Quantity::RainChance, Unit::Percent, None),
            ("Probability of precipitation (%)", Quantity::RainChance, Unit::Percent, None),
            ("dew point (F)", Quantity::DewPoint, Unit::Fahrenheit, None),
        ] {
            assert_eq!(measured(heading), (q, Some(u), h), "{heading}");
        }
        assert_eq!(measured("high"), (Quantity::TempMax, None, None));
        assert_eq!(measured("wind"), (Quantity::Wind, None, None));
        assert_eq!(meaning("time_utc"), Meaning::Time(Some(Clock::Utc)));
        assert_eq!(meaning("date"), Meaning::Date(None));
    }
}
