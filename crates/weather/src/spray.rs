//! Weather for spraying: one hour judged with the binding factor named, and the fit hours of a day.
//!
//! Defaults are in `reference/weather.csv` under `weather.spray.*`. The label always rules: no verdict here overrides
//! it, and every limit is the farm's to set.

use stook_measure::Reference;

use crate::day::Forcing;
use crate::forcing::SiteTable;
use crate::humidity;

/// Limits for one product or one farm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SprayLimits {
    /// Delta T below which is caution, C.
    pub delta_t_low_c: f64,
    /// Delta T above which is caution, C.
    pub delta_t_high_c: f64,
    /// Delta T above which not to spray, C.
    pub delta_t_stop_c: f64,
    /// Least wind, m/s.
    pub wind_low_ms: f64,
    /// Most wind, m/s.
    pub wind_high_ms: f64,
    /// Relative humidity below which heat stops, %.
    pub dry_rh_pct: f64,
    /// Temperature above which dry air stops, C.
    pub dry_temp_c: f64,
    /// Least temperature, C.
    pub temp_low_c: f64,
    /// Most temperature, C.
    pub temp_high_c: f64,
    /// Inversion window opens before sunset, h.
    pub evening_h: f64,
    /// Inversion window closes after sunrise, h.
    pub morning_h: f64,
    /// Wind below which an hour of the window is an inversion, m/s.
    pub inversion_wind_ms: f64,
    /// Cooling that shows an inversion, C/h.
    pub inversion_cooling_c_h: f64,
    /// Share of clear-sky radiation from which a day is clear.
    pub clear_sky: f64,
    /// Rate at which rain of unknown time is spread, mm/h.
    pub rain_rate_mm_h: f64,
    /// Dry hours needed afterwards, h.
    pub rain_free_h: f64,
    /// Least rain that spoils an hour, mm.
    pub rain_mm: f64,
    /// Count hours between sunrise and sunset only.
    pub day_only: bool,
}

impl SprayLimits {
    /// Reads the defaults, with the farm's own numbers where it has set them.
    pub fn from_reference(reference: &Reference) -> Self {
        let get = |name: &str| reference.get(&format!("weather.spray.{name}"));
        Self {
            delta_t_low_c: get("delta_t_low"),
            delta_t_high_c: get("delta_t_high"),
            delta_t_stop_c: get("delta_t_stop"),
            wind_low_ms: get("wind_low") / 3.6,
            wind_high_ms: get("wind_high") / 3.6,
            dry_rh_pct: get("dry_rh"),
            dry_temp_c: get("dry_temp"),
            temp_low_c: get("temp_low"),
            temp_high_c: get("temp_high"),
            evening_h: get("evening_h"),
            morning_h: get("morning_h"),
            inversion_wind_ms: get("inversion_wind") / 3.6,
            inversion_cooling_c_h: get("inversion_cooling"),
            clear_sky: get("clear_sky"),
            rain_rate_mm_h: get("rain_rate"),
            rain_free_h: get("rain_free"),
            rain_mm: reference.get("weather.wet_day"),
            day_only: get("day_only") >= 0.5,
        }
    }
}

/// Air of one hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourAir {
    /// Temperature, C.
    pub temp_c: f64,
    /// Relative humidity over water, %.
    pub rh_pct: f64,
    /// Wind, m/s.
    pub wind_ms: f64,
    /// Rain in the hour or within the rain-free hours after it, mm.
    pub rain_mm: f64,
    /// In the window around the night when inversions form; see [`in_inversion_window`].
    pub near_night: bool,
    /// The air cools fast under a clear sky late in the day.
    pub cooling_fast: bool,
}

/// How good an hour is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Fit.
    Fit,
    /// Fit with care: coarser drops, more water, watch the drift.
    Caution,
    /// Not fit.
    No,
}

/// What binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Factor {
    /// Rain now or too soon after.
    Rain,
    /// The air lies in layers: fine drops stay aloft and drift far.
    Inversion,
    /// Too windy.
    WindHigh,
    /// Too calm to carry drops one way.
    WindLow,
    /// Too hot.
    Hot,
    /// Too cold.
    Cold,
    /// Hot and dry at once.
    HotAndDry,
    /// Drops dry before they land.
    DeltaTHigh,
    /// Drops hang and do not dry.
    DeltaTLow,
}

impl Factor {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Rain => "rain now or too soon after",
            Self::Inversion => "still air in layers: fine drops can drift for miles",
            Self::WindHigh => "too windy",
            Self::WindLow => "too calm",
            Self::Hot => "too hot",
            Self::Cold => "too cold",
            Self::HotAndDry => "hot and dry at once",
            Self::DeltaTHigh => "air so dry that drops shrink on the way",
            Self::DeltaTLow => "air so damp that drops hang and do not dry",
        }
    }
}

/// Verdict on an hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Verdict {
    /// How good.
    pub grade: Grade,
    /// What binds; none when fit.
    pub factor: Option<Factor>,
    /// Delta T, C.
    pub delta_t_c: f64,
}

/// Judges one hour. The first factor that forbids is named, the gravest first; then what asks for care.
pub fn classify(air: &HourAir, limits: &SprayLimits, pressure_kpa: f64) -> Verdict {
    let ea = humidity::e0(air.temp_c) * (air.rh_pct / 100.0).clamp(0.001, 1.0);
    let delta_t_c = humidity::delta_t(air.temp_c, ea, pressure_kpa);
    let no = |factor| Verdict { grade: Grade::No, factor: Some(factor), delta_t_c };
    let care = |factor| Verdict { grade: Grade::Caution, factor: Some(factor), delta_t_c };
    if air.rain_mm >= limits.rain_mm {
        no(Factor::Rain)
    } else if inversion(air, limits) {
        no(Factor::Inversion)
    } else if air.wind_ms > limits.wind_high_ms {
        no(Factor::WindHigh)
    } else if air.wind_ms < limits.wind_low_ms {
        no(Factor::WindLow)
    } else if air.temp_c > limits.dry_temp_c && air.rh_pct < limits.dry_rh_pct {
        no(Factor::HotAndDry)
    } else if delta_t_c > limits.delta_t_stop_c {
        no(Factor::DeltaTHigh)
    } else if air.temp_c > limits.temp_high_c {
        no(Factor::Hot)
    } else if air.temp_c < limits.temp_low_c {
        no(Factor::Cold)
    } else if delta_t_c > limits.delta_t_high_c {
        care(Factor::DeltaTHigh)
    } else if delta_t_c < limits.delta_t_low_c {
        care(Factor::DeltaTLow)
    } else {
        Verdict { grade: Grade::Fit, factor: None, delta_t_c }
    }
}

/// The rule for one thermometer: near the night and calm, or cooling fast under a clear sky late in the day. An
/// inversion can also sit under wind aloft; smoke that lies flat shows it better than any rule.
fn inversion(air: &HourAir, limits: &SprayLimits) -> bool {
    (air.near_night && air.wind_ms < limits.inversion_wind_ms) || air.cooling_fast
}

/// Whether `from_noon_h` (hours from solar noon, -12 to 12) lies in the window around the night.
pub fn in_inversion_window(from_noon_h: f64, daylight_h: f64, limits: &SprayLimits) -> bool {
    from_noon_h > 0.5 * daylight_h - limits.evening_h || from_noon_h < limits.morning_h - 0.5 * daylight_h
}

/// The air of hour `h` of a day as [`classify`] takes it, from the day's course.
pub fn hour_air(f: &Forcing, day_of_year: u16, table: &SiteTable, limits: &SprayLimits, h: usize) -> HourAir {
    let sun = table.sun(day_of_year);
    let range = f.day.tmax_c - f.day.tmin_c;
    let temp_c = f.day.tmin_c + range * sun.shape.temp[h];
    let from_noon = from_noon(h, sun.noon_h);
    let clear = f.day.rs_mj_m2 > limits.clear_sky * sun.rso_mj_m2;
    let cooling = range * (sun.shape.temp[h] - sun.shape.temp[(h + 1) % 24]);
    HourAir {
        temp_c,
        rh_pct: humidity::rh_pct(temp_c, f.day.ea_kpa),
        wind_ms: f.day.wind_2m_ms * sun.shape.wind[h],
        rain_mm: 0.0,
        near_night: in_inversion_window(from_noon, sun.daylight_h, limits),
        cooling_fast: clear
            && from_noon > 0.5 * sun.daylight_h - 2.0
            && cooling > limits.inversion_cooling_c_h,
    }
}

fn from_noon(h: usize, noon_h: f64) -> f64 {
    let x = h as f64 + 0.5 - noon_h;
    if x < -12.0 {
        x + 24.0
    } else if x > 12.0 {
        x - 24.0
    } else {
        x
    }
}

/// Hours of the day fit without caution, h. On a day with rain its time is unknown: the hours it may last and the
/// rain-free hours are taken off in proportion.
///
/// The limits of Delta T and humidity are turned into temperatures once (vapour pressure is held through the day), so
/// an hour costs a few comparisons.
pub fn fit_hours(f: &Forcing, day_of_year: u16, table: &SiteTable, limits: &SprayLimits) -> f64 {
    let sun = table.sun(day_of_year);
    let (ea, p) = (f.day.ea_kpa, table.pressure_kpa());
    let warmest = humidity::temp_at_delta_t(limits.delta_t_high_c.min(limits.delta_t_stop_c), ea, p)
        .min(limits.temp_high_c)
        .min(limits.dry_temp_c.max(humidity::e0_inverse(100.0 * ea / limits.dry_rh_pct)));
    let coolest = humidity::temp_at_delta_t(limits.delta_t_low_c, ea, p).max(limits.temp_low_c);
    if warmest < f.day.tmin_c || coolest > f.day.tmax_c {
        return 0.0;
    }
    let range = f.day.tmax_c - f.day.tmin_c;
    let half_day = 0.5 * sun.daylight_h;
    let clear = f.day.rs_mj_m2 > limits.clear_sky * sun.rso_mj_m2;
    let mut hours = 0.0;
    for h in 0..24 {
        let t = f.day.tmin_c + range * sun.shape.temp[h];
        if t < coolest || t > warmest {
            continue;
        }
        let wind = f.day.wind_2m_ms * sun.shape.wind[h];
        if wind < limits.wind_low_ms || wind > limits.wind_high_ms {
            continue;
        }
        let x = from_noon(h, sun.noon_h);
        if limits.day_only && x.abs() > half_day {
            continue;
        }
        if wind < limits.inversion_wind_ms && in_inversion_window(x, sun.daylight_h, limits) {
            continue;
        }
        let falling = range * (sun.shape.temp[h] - sun.shape.temp[(h + 1) % 24]);
        if clear && x > half_day - 2.0 && falling > limits.inversion_cooling_c_h {
            continue;
        }
        hours += 1.0;
    }
    hours * dry_share(f, limits)
}

/// Share of a day's hours that neither get rain nor have it too soon after, its time being unknown.
pub fn dry_share(f: &Forcing, limits: &SprayLimits) -> f64 {
    if f.day.precip_mm < limits.rain_mm {
        return 1.0;
    }
    (1.0 - (f.day.precip_mm / limits.rain_rate_mm_h + limits.rain_free_h) / 24.0).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::day::{Day, Site};
    use crate::params::WeatherParams;
    use proptest::prelude::*;

    fn limits() -> SprayLimits {
        SprayLimits::from_reference(&Reference::shipped())
    }

    fn good() -> HourAir {
        HourAir {
            temp_c: 20.0,
            rh_pct: 60.0,
            wind_ms: 2.5,
            rain_mm: 0.0,
            near_night: false,
            cooling_fast: false,
        }
    }

    #[test]
    fn each_factor_is_named() {
        let l = limits();
        let factor = |air: HourAir| classify(&air, &l, 95.0).factor;
        assert_eq!(factor(good()), None);
        assert_eq!(factor(HourAir { rain_mm: 1.0, ..good() }), Some(Factor::Rain));
        assert_eq!(factor(HourAir { near_night: true, wind_ms: 1.0, ..good() }), Some(Factor::Inversion));
        assert_eq!(factor(HourAir { near_night: true, ..good() }), None, "wind stirs the evening air");
        assert_eq!(factor(HourAir { cooling_fast: true, ..good() }), Some(Factor::Inversion));
        assert_eq!(factor(HourAir { wind_ms: 6.0, ..good() }), Some(Factor::WindHigh));
        assert_eq!(factor(HourAir { wind_ms: 0.3, ..good() }), Some(Factor::WindLow));
        assert_eq!(factor(HourAir { temp_c: 26.0, rh_pct: 35.0, ..good() }), Some(Factor::HotAndDry));
        assert_eq!(factor(HourAir { temp_c: 29.0, rh_pct: 70.0, ..good() }), Some(Factor::Hot));
        assert_eq!(factor(HourAir { temp_c: 3.0, ..good() }), Some(Factor::Cold));
        assert_eq!(factor(HourAir { rh_pct: 95.0, ..good() }), Some(Factor::DeltaTLow));
        assert_eq!(factor(HourAir { temp_c: 24.0, rh_pct: 40.0, ..good() }), Some(Factor::DeltaTHigh));
    }

    #[test]
    fn a_wet_day_gives_fewer_hours() {
        let table = SiteTable::new(&Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 580.0 });
        let p = WeatherParams::from_reference(&Reference::shipped());
        let mut day =
            Day { tmax_c: 23.0, tmin_c: 11.0, precip_mm: 0.0, rs_mj_m2: 20.0, ea_kpa: 1.2, wind_2m_ms: 2.5 };
        let dry = fit_hours(&table.force(170, &day, &p), 170, &table, &limits());
        assert!(dry > 4.0, "{dry}");
        day.precip_mm = 6.0;
        let wet = fit_hours(&table.force(170, &day, &p), 170, &table, &limits());
        assert!(wet < dry && wet > 0.0);
        day.precip_mm = 60.0;
        assert_eq!(fit_hours(&table.force(170, &day, &p), 170, &table, &limits()), 0.0);
    }

    proptest! {
        #[test]
        fn quick_hours_agree_with_judging_each(
            tmin in -5.0..20.0f64, range in 1.0..22.0f64, damp in 0.2..1.0f64, wind in 0.1..9.0f64,
            rs in 2.0..30.0f64, j in 100u16..290, day_only in any::<bool>(),
        ) {
            let table = SiteTable::new(&Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 580.0 });
            let p = WeatherParams::from_reference(&Reference::shipped());
            let l = SprayLimits { day_only, ..limits() };
            let ea = damp * humidity::e0(tmin + 2.0);
            let day = Day { tmax_c: tmin + range, tmin_c: tmin, precip_mm: 0.0, rs_mj_m2: rs, ea_kpa: ea, wind_2m_ms: wind };
            let f = table.force(j, &day, &p);
            let judged = (0..24).filter(|&h| {
                let sun = table.sun(j);
                let light = !day_only || from_noon(h, sun.noon_h).abs() <= 0.5 * sun.daylight_h;
                light && classify(&hour_air(&f, j, &table, &l, h), &l, table.pressure_kpa()).grade == Grade::Fit
            }).count();
            prop_assert_eq!(fit_hours(&f, j, &table, &l), judged as f64);
        }
    }
}
