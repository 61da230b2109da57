//! Snow on the ground: falling, melting, freezing again, going off as vapour.
//!
//! Degree-day melt with a factor that rises through spring (Neitsch and others 2011, from memory), a small store of
//! liquid water in the pack, and the heat of rain on snow. It needs only mean temperature and precipitation. Wind
//! that carries snow from stubble-free knolls to sloughs is not modelled.

use crate::day::Forcing;
use crate::params::WeatherParams;

/// Share of 1 mm of rain one degree above freezing that its own heat melts: 4.19 kJ/kg/C over 334 kJ/kg.
const MELT_PER_MM_C: f64 = 4.19 / 334.0;
/// A pack smaller than this is gone, mm.
const TRACE_MM: f64 = 1e-6;

/// Snow on the ground.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Snowpack {
    /// All water in the pack, ice and liquid, mm.
    pub swe_mm: f64,
    /// Liquid part of it, mm.
    pub liquid_mm: f64,
}

/// What left the pack in a day.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Melt {
    /// Water reaching the ground, mm: melt, rain through the pack, and all rain when there is no pack.
    pub to_ground_mm: f64,
    /// Water gone off as vapour, mm.
    pub sublimation_mm: f64,
}

/// Melt for each degree on a day of the year, mm/C/d.
pub fn melt_factor(day_of_year: u16, params: &WeatherParams) -> f64 {
    let season = (2.0 * std::f64::consts::PI * (f64::from(day_of_year) - 81.0) / 365.0).sin();
    0.5 * (params.melt_high + params.melt_low) + 0.5 * (params.melt_high - params.melt_low) * season
}

/// Water in prairie snow from its depth, mm (after Pomeroy and Gray, secondary), from 2.05 cm up.
pub fn water_in_depth(depth_cm: f64) -> f64 {
    if depth_cm > 60.0 {
        4.5608 * depth_cm - 128.06
    } else if depth_cm > 2.05 {
        2.39 * depth_cm + 2.05
    } else {
        // The published line starts at 2.05 cm; under it a straight line through nothing meets it there.
        depth_cm.max(0.0) * (2.39 * 2.05 + 2.05) / 2.05
    }
}

impl Snowpack {
    /// One day. `rain + snow + pack before = to ground + vapour + pack after`.
    pub fn step(&mut self, f: &Forcing, day_of_year: u16, params: &WeatherParams) -> Melt {
        let mut ice = self.swe_mm - self.liquid_mm + f.snow_mm;
        if ice <= TRACE_MM {
            let to_ground_mm = ice + self.liquid_mm + f.rain_mm;
            *self = Self::default();
            return Melt { to_ground_mm, sublimation_mm: 0.0 };
        }
        let mut liquid = self.liquid_mm + f.rain_mm;

        let sublimation_mm = params.sublimation_mm.min(f.eto_mm).min(ice);
        ice -= sublimation_mm;

        let warmth = f.tmean_c - params.melt_base_c;
        if warmth > 0.0 {
            let by_air = melt_factor(day_of_year, params) * warmth;
            let by_rain = MELT_PER_MM_C * f.rain_mm * f.tmean_c.max(0.0);
            let melt = (by_air + by_rain).min(ice);
            ice -= melt;
            liquid += melt;
        } else {
            // A cold day freezes the liquid at the rate a warm one would melt ice: a simple mirror of the melt rule.
            let frozen = (melt_factor(day_of_year, params) * -warmth).min(liquid);
            ice += frozen;
            liquid -= frozen;
        }

        if ice <= TRACE_MM {
            *self = Self::default();
            return Melt { to_ground_mm: ice + liquid, sublimation_mm };
        }
        let held = (params.pack_holds * ice).min(liquid);
        *self = Self { swe_mm: ice + held, liquid_mm: held };
        Melt { to_ground_mm: liquid - held, sublimation_mm }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Day;
    use proptest::prelude::*;
    use stook_measure::Reference;

    fn params() -> WeatherParams {
        WeatherParams::from_reference(&Reference::shipped())
    }

    fn forcing(tmean: f64, rain: f64, snow: f64, eto: f64) -> Forcing {
        Forcing {
            day: Day {
                tmax_c: tmean + 5.0,
                tmin_c: tmean - 5.0,
                precip_mm: rain + snow,
                rs_mj_m2: 10.0,
                ea_kpa: 0.3,
                wind_2m_ms: 3.0,
            },
            tmean_c: tmean,
            rain_mm: rain,
            snow_mm: snow,
            eto_mm: eto,
            vpd_kpa: 0.1,
            rh_min_pct: 60.0,
            rh_max_pct: 90.0,
            daylight_h: 10.0,
        }
    }

    #[test]
    fn summer_rain_goes_straight_through() {
        let mut pack = Snowpack::default();
        let melt = pack.step(&forcing(15.0, 12.0, 0.0, 4.0), 180, &params());
        assert_eq!((melt.to_ground_mm, melt.sublimation_mm, pack.swe_mm), (12.0, 0.0, 0.0));
    }

    #[test]
    fn a_pack_builds_ripens_and_goes() {
        let p = params();
        let mut pack = Snowpack::default();
        for j in 1..=60 {
            let melt = pack.step(&forcing(-12.0, 0.0, 1.5, 0.1), j, &p);
            assert_eq!(melt.to_ground_mm, 0.0);
        }
        assert!((pack.swe_mm - 60.0 * 1.4).abs() < 1e-9, "{pack:?}");
        let small = pack.step(&forcing(0.3, 0.0, 0.0, 0.1), 90, &p);
        assert_eq!(small.to_ground_mm, 0.0, "the first melt is held in the pack");
        assert!(pack.liquid_mm > 0.0);
        let mut days = 0;
        while pack.swe_mm > 0.0 {
            pack.step(&forcing(5.0, 0.0, 0.0, 1.0), 95, &p);
            days += 1;
            assert!(days < 30);
        }
        assert!((3..=7).contains(&days), "gone in {days} days");
    }

    #[test]
    fn rain_on_snow_melts_more() {
        let p = params();
        let start = Snowpack { swe_mm: 80.0, liquid_mm: 2.0 };
        let (mut dry, mut wet) = (start, start);
        let a = dry.step(&forcing(3.0, 0.0, 0.0, 0.5), 95, &p);
        let b = wet.step(&forcing(3.0, 20.0, 0.0, 0.5), 95, &p);
        assert!(b.to_ground_mm > a.to_ground_mm + 20.0);
    }

    proptest! {
        #[test]
        fn water_is_kept(days in prop::collection::vec((-30.0..20.0f64, 0.0..40.0f64, 0.0..1.0f64, 0.0..6.0f64), 1..400)) {
            let p = params();
            let mut pack = Snowpack::default();
            for (i, (t, precip, share, eto)) in days.iter().enumerate() {
                let f = forcing(*t, precip * (1.0 - share), precip * share, *eto);
                let before = pack.swe_mm + f.rain_mm + f.snow_mm;
                let melt = pack.step(&f, (i % 366) as u16 + 1, &p);
                prop_assert!(melt.to_ground_mm >= 0.0 && melt.sublimation_mm >= 0.0);
                prop_assert!(pack.liquid_mm >= 0.0 && pack.liquid_mm <= pack.swe_mm);
                let after = pack.swe_mm + melt.to_ground_mm + melt.sublimation_mm;
                prop_assert!((before - after).abs() < 1e-9);
            }
        }

        #[test]
        fn warmer_melts_no_less(t in -5.0..20.0f64, more in 0.0..5.0f64, swe in 1.0..200.0f64) {
            let p = params();
            let start = Snowpack { swe_mm: swe, liquid_mm: 0.0 };
            let (mut a, mut b) = (start, start);
            let cool = a.step(&forcing(t, 0.0, 0.0, 0.2), 100, &p);
            let warm = b.step(&forcing(t + more, 0.0, 0.0, 0.2), 100, &p);
            prop_assert!(warm.to_ground_mm >= cool.to_ground_mm - 1e-12);
        }
    }
}
