//! From a day of weather to what every field needs of it, once.

use crate::day::{Day, Forcing, Site};
use crate::params::WeatherParams;
use crate::{et0, hourly, humidity, radiation, solar};

/// What the sun does at a site on one day of the year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunDay {
    /// Radiation above the air, MJ/m2/d.
    pub ra_mj_m2: f64,
    /// Clear-sky radiation, MJ/m2/d (FAO-56 Eq. 37).
    pub rso_mj_m2: f64,
    /// Daylight, h (FAO-56 Eq. 34).
    pub daylight_h: f64,
    /// Highest sun, h of local standard time.
    pub noon_h: f64,
    /// `1 / rso`, or zero without sun.
    inverse_rso: f64,
    /// Courses over the hours of the day.
    pub shape: hourly::Shape,
}

impl SunDay {
    /// Sunrise (geometric), h of local standard time.
    pub fn sunrise_h(&self) -> f64 {
        self.noon_h - 0.5 * self.daylight_h
    }
    /// Sunset (geometric), h of local standard time.
    pub fn sunset_h(&self) -> f64 {
        self.noon_h + 0.5 * self.daylight_h
    }
}

/// The 366 days of a site, reckoned once; look-ups and [`SiteTable::force`] are cheap.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteTable {
    site: Site,
    utc_offset_h: f64,
    pressure_kpa: f64,
    gamma_kpa_c: f64,
    days: Vec<SunDay>,
}

impl SiteTable {
    /// For a site whose clocks keep the zone of the nearest 15 degrees of longitude.
    pub fn new(site: &Site) -> Self {
        Self::with_offset(site, (site.lon_deg / 15.0).round())
    }

    /// For a site whose standard time is `utc_offset_h` ahead of UTC (negative in the Americas; -6 all year in
    /// Saskatchewan). Only hours shown to a person depend on it.
    pub fn with_offset(site: &Site, utc_offset_h: f64) -> Self {
        let pressure_kpa = humidity::pressure(site.elev_m);
        let days = (1..=366)
            .map(|j| {
                let ra = solar::extraterrestrial_daily(site.lat_deg, j);
                let rso = solar::clear_sky(ra, site.elev_m);
                let noon_h = solar::solar_noon_h(site.lon_deg, j, utc_offset_h);
                let daylight_h = solar::daylight_h(site.lat_deg, j);
                SunDay {
                    ra_mj_m2: ra,
                    rso_mj_m2: rso,
                    daylight_h,
                    noon_h,
                    inverse_rso: if rso > 1e-9 { 1.0 / rso } else { 0.0 },
                    shape: hourly::Shape::new(site.lat_deg, j, noon_h, daylight_h),
                }
            })
            .collect();
        Self { site: *site, utc_offset_h, pressure_kpa, gamma_kpa_c: humidity::gamma(pressure_kpa), days }
    }

    /// The site.
    pub fn site(&self) -> &Site {
        &self.site
    }
    /// Hours the site's standard time is ahead of UTC.
    pub fn utc_offset_h(&self) -> f64 {
        self.utc_offset_h
    }
    /// Mean air pressure, kPa.
    pub fn pressure_kpa(&self) -> f64 {
        self.pressure_kpa
    }
    /// The sun on a day of the year, 1 to 366.
    pub fn sun(&self, day_of_year: u16) -> &SunDay {
        &self.days[usize::from(day_of_year.clamp(1, 366)) - 1]
    }

    /// What the day means before any field is known: rain and snow apart, FAO-56 reference evapotranspiration
    /// (never below zero here), deficit and the ends of relative humidity.
    ///
    /// ```
    /// use stook_measure::Reference;
    /// use stook_weather::{Day, Site, forcing::SiteTable, params::WeatherParams};
    /// let table = SiteTable::new(&Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 580.0 });
    /// let params = WeatherParams::from_reference(&Reference::shipped());
    /// let day = Day { tmax_c: 27.0, tmin_c: 9.0, precip_mm: 4.0, rs_mj_m2: 24.0, ea_kpa: 1.14, wind_2m_ms: 3.5 };
    /// let f = table.force(196, &day, &params);
    /// assert!((f.eto_mm - 5.8).abs() < 0.1);
    /// assert_eq!((f.rain_mm, f.snow_mm), (4.0, 0.0));
    /// ```
    pub fn force(&self, day_of_year: u16, day: &Day, params: &WeatherParams) -> Forcing {
        let sun = self.sun(day_of_year);
        let tmean_c = 0.5 * (day.tmax_c + day.tmin_c);
        let es_max = humidity::e0(day.tmax_c);
        let es_min = humidity::e0(day.tmin_c);
        let deficit = 0.5 * (es_max + es_min) - day.ea_kpa;
        let clear = if sun.inverse_rso > 0.0 { day.rs_mj_m2 * sun.inverse_rso } else { 1.0 };
        let net = radiation::net_shortwave(day.rs_mj_m2)
            - radiation::net_longwave_daily(
                radiation::SIGMA_DAY_FAO,
                day.tmax_c,
                day.tmin_c,
                day.ea_kpa,
                clear,
            );
        let eto = et0::combination(
            humidity::slope(tmean_c),
            self.gamma_kpa_c,
            net,
            tmean_c,
            day.wind_2m_ms.max(params.wind_floor_ms),
            deficit,
            900.0,
            0.34,
        );
        let snow_share = snow_share(tmean_c, params);
        Forcing {
            day: *day,
            tmean_c,
            rain_mm: day.precip_mm * (1.0 - snow_share),
            snow_mm: day.precip_mm * snow_share * params.snow_catch,
            eto_mm: eto.max(0.0),
            vpd_kpa: deficit.max(0.0),
            rh_min_pct: (100.0 * day.ea_kpa / es_max).min(100.0),
            rh_max_pct: (100.0 * day.ea_kpa / es_min).min(100.0),
            daylight_h: sun.daylight_h,
        }
    }
}

/// Share of precipitation that falls as snow: 1 at and below `snow_below_c`, 0 at and above `rain_above_c`, a
/// straight line between.
pub fn snow_share(tmean_c: f64, params: &WeatherParams) -> f64 {
    let span = (params.rain_above_c - params.snow_below_c).max(1e-6);
    ((params.rain_above_c - tmean_c) / span).clamp(0.0, 1.0)
}
