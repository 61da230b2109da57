//! The coefficients of the weather models that are data (`reference/weather.csv`).

use stook_measure::Reference;

/// Declares the struct and reads each field by its name, so that a field and its name cannot drift apart.
macro_rules! params {
    ($($(#[$doc:meta])* $field:ident = $name:literal,)*) => {
        /// All coefficients of `reference/weather.csv` but the limits for spraying, read once.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct WeatherParams {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl WeatherParams {
            /// Reads them.
            ///
            /// # Panics
            /// When the reference lacks one: a fault of the shipped files, found by a test.
            pub fn from_reference(reference: &Reference) -> Self {
                Self { $($field: reference.get($name),)* }
            }
        }
    };
}

params! {
    /// Share of radiation above the air that comes through a sunless day.
    angstrom_a = "weather.angstrom_a",
    /// What a full day of sun adds to that share.
    angstrom_b = "weather.angstrom_b",
    /// Coefficient of radiation from the range of temperature.
    krs = "weather.krs",
    /// How far the dew point lies below Tmin where humidity is unknown, C.
    dew_below_tmin_c = "weather.dew_below_tmin",
    /// Wind at 2 m where it is unknown, m/s.
    wind_unknown_ms = "weather.wind_unknown",
    /// Least wind used in evapotranspiration, m/s.
    wind_floor_ms = "weather.wind_floor",
    /// Longest gap that is bridged from its two ends, days.
    short_gap_days = "weather.short_gap",
    /// Days either side of a calendar day that make up its climate when a long gap is filled.
    climate_window_days = "weather.climate_window",
    /// Mean temperature at and below which all falls as snow, C.
    snow_below_c = "weather.snow_below",
    /// Mean temperature at and above which all falls as rain, C.
    rain_above_c = "weather.rain_above",
    /// What the gauge's snow is multiplied by for what the wind carried past it.
    snow_catch = "weather.snow_catch",
    /// Melt in midwinter, mm/C/d.
    melt_low = "weather.melt_low",
    /// Melt in midsummer, mm/C/d.
    melt_high = "weather.melt_high",
    /// Temperature above which snow melts, C.
    melt_base_c = "weather.melt_base",
    /// Liquid water a pack holds, share of its ice.
    pack_holds = "weather.pack_holds",
    /// Most that sublimes from a pack in a day, mm.
    sublimation_mm = "weather.sublimation",
    /// Wet day from, mm.
    wet_day_mm = "weather.wet_day",
    /// Error of a forecast temperature for its first day, C.
    forecast_temp_sd_c = "weather.forecast_temp_sd",
    /// What each day of lead adds to that error, C.
    forecast_temp_growth_c = "weather.forecast_temp_growth",
    /// Largest error of a forecast temperature, C.
    forecast_temp_cap_c = "weather.forecast_temp_cap",
    /// Share of one day's forecast error that is carried into the next.
    forecast_carry = "weather.forecast_carry",
    /// Spread of rain about its forecast, as the standard deviation of the logarithm, first day.
    forecast_rain_sd = "weather.forecast_rain_sd",
    /// What each day of lead adds to that spread.
    forecast_rain_growth = "weather.forecast_rain_growth",
    /// Spread of radiation and wind about the forecast, as a share, first day.
    forecast_share_sd = "weather.forecast_share_sd",
    /// What each day of lead adds to that share.
    forecast_share_growth = "weather.forecast_share_growth",
    /// Radiation of a day that turns out wet against the forecast, ratio.
    forecast_wet_dims = "weather.forecast_wet_dims",
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_coefficient_is_shipped() {
        let reference = Reference::shipped();
        let p = WeatherParams::from_reference(&reference);
        assert!(p.snow_below_c < p.rain_above_c);
        assert!(p.melt_low <= p.melt_high);
        let own = reference.with_local("weather.snow_catch", 1.3, "fence").unwrap();
        assert_eq!(WeatherParams::from_reference(&own).snow_catch, 1.3);
    }
}
