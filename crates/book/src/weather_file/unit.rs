//! Units met in weather files, and the way to SI.

use stook_measure::units;

/// What kind of thing a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Temperature.
    Temperature,
    /// Depth of water.
    Water,
    /// Depth of snow.
    Snow,
    /// Speed.
    Speed,
    /// Percent.
    Share,
    /// Pressure.
    Pressure,
    /// Radiation.
    Radiation,
    /// Hours.
    Hours,
}

/// A unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)] // each is its own name
pub enum Unit {
    Celsius,
    Fahrenheit,
    Kelvin,
    Mm,
    Cm,
    Inch,
    Ms,
    Kmh,
    Mph,
    Knots,
    Percent,
    Kpa,
    Hpa,
    InHg,
    MjM2,
    WM2,
    KwhM2,
    Hours,
}

use Unit as U;

impl Dimension {
    /// The units to offer when the file does not say.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Self::Temperature => &[U::Celsius, U::Fahrenheit, U::Kelvin],
            Self::Water => &[U::Mm, U::Inch, U::Cm],
            Self::Snow => &[U::Cm, U::Inch, U::Mm],
            Self::Speed => &[U::Kmh, U::Ms, U::Mph, U::Knots],
            Self::Share => &[U::Percent],
            Self::Pressure => &[U::Kpa, U::Hpa, U::InHg],
            Self::Radiation => &[U::MjM2, U::WM2, U::KwhM2],
            Self::Hours => &[U::Hours],
        }
    }

    /// Key of the question about it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Temperature => "unit.temperature",
            Self::Water => "unit.rain",
            Self::Snow => "unit.snow",
            Self::Speed => "unit.wind",
            Self::Share => "unit.humidity",
            Self::Pressure => "unit.pressure",
            Self::Radiation => "unit.radiation",
            Self::Hours => "unit.sunshine",
        }
    }
}

impl Unit {
    /// Reads a unit as headings write it; a lost degree sign does no harm.
    pub fn parse(text: &str) -> Option<Self> {
        let plain: String = text
            .to_ascii_lowercase()
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || "/%".contains(*c))
            .collect();
        let plain = plain.trim_end_matches("/day").trim_end_matches("/d");
        Some(match plain {
            "c" | "degc" | "deg/c" | "celsius" => U::Celsius,
            "f" | "degf" | "deg/f" | "fahrenheit" => U::Fahrenheit,
            "k" | "kelvin" => U::Kelvin,
            "mm" | "millimetres" | "millimeters" => U::Mm,
            "cm" | "centimetres" | "centimeters" => U::Cm,
            "in" | "inch" | "inches" => U::Inch,
            "m/s" | "ms" | "mps" | "ms1" => U::Ms,
            "km/h" | "kmh" | "kph" | "km/hr" => U::Kmh,
            "mph" | "mi/h" => U::Mph,
            "kt" | "kts" | "kn" | "knots" => U::Knots,
            "%" | "pct" | "percent" => U::Percent,
            "kpa" => U::Kpa,
            "hpa" | "mb" | "mbar" => U::Hpa,
            "inhg" | "in/hg" => U::InHg,
            "mj/m2" | "mjm2" | "mj" => U::MjM2,
            "w/m2" | "wm2" => U::WM2,
            "kwh/m2" | "kwhm2" => U::KwhM2,
            "h" | "hr" | "hrs" | "hours" => U::Hours,
            _ => return None,
        })
    }

    /// As answered and shown.
    pub fn key(self) -> &'static str {
        match self {
            U::Celsius => "C",
            U::Fahrenheit => "F",
            U::Kelvin => "K",
            U::Mm => "mm",
            U::Cm => "cm",
            U::Inch => "in",
            U::Ms => "m/s",
            U::Kmh => "km/h",
            U::Mph => "mph",
            U::Knots => "knots",
            U::Percent => "%",
            U::Kpa => "kPa",
            U::Hpa => "hPa",
            U::InHg => "inHg",
            U::MjM2 => "MJ/m2",
            U::WM2 => "W/m2",
            U::KwhM2 => "kWh/m2",
            U::Hours => "h",
        }
    }

    /// Whether it measures this kind of thing.
    pub fn fits(self, dimension: Dimension) -> bool {
        dimension.units().contains(&self)
    }

    /// To C, mm of water, cm of snow, m/s, %, kPa, MJ/m2 in the step of `hours`, h.
    pub fn to_si(self, value: f64, dimension: Dimension, hours: f64) -> f64 {
        match (self, dimension) {
            (U::Fahrenheit, _) => units::f_to_c(value),
            (U::Kelvin, _) => value - 273.15,
            (U::Inch, Dimension::Snow) => units::in_to_mm(value) / 10.0,
            (U::Mm, Dimension::Snow) | (U::Hpa, _) => value / 10.0,
            (U::Inch, _) => units::in_to_mm(value),
            (U::Cm, Dimension::Water) => value * 10.0,
            (U::Kmh, _) => units::kmh_to_ms(value),
            (U::Mph, _) => units::kmh_to_ms(units::mph_to_kmh(value)),
            (U::Knots, _) => value * 1852.0 / 3600.0, // an international nautical mile an hour
            (U::InHg, _) => value * 3.386_389,        // conventional inch of mercury, NIST SP 811
            (U::WM2, _) => value * hours * 3600.0 / 1e6,
            (U::KwhM2, _) => value * 3.6,
            _ => value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn to_si() {
        for (value, unit, dimension, si) in [
            (212.0, U::Fahrenheit, Dimension::Temperature, 100.0),
            (273.15, U::Kelvin, Dimension::Temperature, 0.0),
            (2.0, U::Inch, Dimension::Water, 50.8),
            (2.0, U::Inch, Dimension::Snow, 5.08),
            (120.0, U::Mm, Dimension::Snow, 12.0),
            (36.0, U::Kmh, Dimension::Speed, 10.0),
            (10.0, U::Knots, Dimension::Speed, 5.144_444),
            (1013.25, U::Hpa, Dimension::Pressure, 101.325),
            (29.92, U::InHg, Dimension::Pressure, 101.32),
            (100.0, U::WM2, Dimension::Radiation, 8.64),
        ] {
            let ours = unit.to_si(value, dimension, 24.0);
            assert!((ours - si).abs() < 2e-3, "{value} {unit:?}: {ours} against {si}");
        }
        assert!((U::WM2.to_si(500.0, Dimension::Radiation, 1.0) - 1.8).abs() < 1e-12);
    }

    #[test]
    fn every_unit_offered_reads_back() {
        for d in [
            Dimension::Temperature,
            Dimension::Water,
            Dimension::Snow,
            Dimension::Speed,
            Dimension::Radiation,
        ] {
            for u in d.units() {
                assert_eq!(Unit::parse(u.key()), Some(*u));
            }
        }
    }
}
