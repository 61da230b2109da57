//! The limits an hour is judged by: the shipped guidance, the farm's own numbers, and before both the product's label.

use stook_book::payload::{SpeedUnit, SprayProduct, UnitChoice};
use stook_measure::{Reference, figure, units};
use stook_weather::spray::SprayLimits;

use super::answer::LimitSaid;
use crate::words;

/// The limits with the label's in place of the guidance's. A label's limit is taken also when it is wider: it rules.
pub fn of(reference: &Reference, product: Option<&SprayProduct>) -> SprayLimits {
    let mut l = SprayLimits::from_reference(reference);
    let Some(p) = product else { return l };
    l.wind_low_ms = p.wind_low_ms.unwrap_or(l.wind_low_ms);
    l.wind_high_ms = p.wind_high_ms.unwrap_or(l.wind_high_ms);
    l.temp_low_c = p.temp_low_c.unwrap_or(l.temp_low_c);
    l.temp_high_c = p.temp_high_c.unwrap_or(l.temp_high_c);
    l.rain_free_h = p.rainfast_h.unwrap_or(l.rain_free_h);
    l
}

/// Them in words.
pub fn said(l: &SprayLimits, product: Option<&SprayProduct>, u: &UnitChoice) -> Vec<LimitSaid> {
    let has = |f: &dyn Fn(&SprayProduct) -> bool| product.is_some_and(f);
    let one = |words: String, by_label: bool| LimitSaid { words, by_label };
    vec![
        one(format!("wind at least {}", wind(u, l.wind_low_ms)), has(&|p| p.wind_low_ms.is_some())),
        one(format!("wind at most {}", wind(u, l.wind_high_ms)), has(&|p| p.wind_high_ms.is_some())),
        one(
            format!("not colder than {}", words::temperature(u, l.temp_low_c)),
            has(&|p| p.temp_low_c.is_some()),
        ),
        one(
            format!("not warmer than {}", words::temperature(u, l.temp_high_c)),
            has(&|p| p.temp_high_c.is_some()),
        ),
        one(format!("{} h without rain after", plain(l.rain_free_h)), has(&|p| p.rainfast_h.is_some())),
        one(
            format!(
                "Delta T {} to {}, not over {}",
                plain(l.delta_t_low_c),
                plain(l.delta_t_high_c),
                plain(l.delta_t_stop_c)
            ),
            false,
        ),
        one(
            format!(
                "not above {} with under {} % humidity",
                words::temperature(u, l.dry_temp_c),
                plain(l.dry_rh_pct)
            ),
            false,
        ),
        one(
            format!(
                "not from {} h before sunset to {} h after sunrise when wind is under {}",
                plain(l.evening_h),
                plain(l.morning_h),
                wind(u, l.inversion_wind_ms)
            ),
            false,
        ),
    ]
}

fn plain(x: f64) -> String {
    let text = figure(x, 1);
    text.trim_end_matches(".0").to_string()
}

/// A wind in the farm's unit: `21 km/h`.
pub fn wind(u: &UnitChoice, ms: f64) -> String {
    let kmh = units::ms_to_kmh(ms);
    match u.speed {
        SpeedUnit::Kmh => format!("{} km/h", figure(kmh, 0)),
        SpeedUnit::Mph => format!("{} mph", figure(units::kmh_to_mph(kmh), 0)),
    }
}
