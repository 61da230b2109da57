//! What must always hold of the daily water step.

use proptest::prelude::*;
use stook_measure::Reference;
use stook_soil::{
    Cover, DayWater, Drainage, FieldSoil, Fluxes, Layer, Profile, SoilParams, TextureClass, WaterState,
    harrow_pass, step,
};
use stook_weather::{Day, Forcing};

#[derive(Debug, Clone, Copy)]
struct Weather {
    tmean_c: f64,
    rain_mm: f64,
    melt_mm: f64,
    swe_mm: f64,
    eto_mm: f64,
    wind_ms: f64,
    rh_min_pct: f64,
    kcb: f64,
    root_m: f64,
    residue: f64,
    harrow: bool,
}

fn weather() -> impl Strategy<Value = Weather> {
    let water = (
        prop_oneof![3 => Just(0.0), 2 => 0.0f64..20.0, 1 => 0.0f64..150.0],
        prop_oneof![4 => Just(0.0), 1 => 0.0f64..40.0],
        prop_oneof![3 => Just(0.0), 1 => 0.0f64..200.0],
    );
    let air = (-35.0f64..35.0, 0.0f64..12.0, 0.0f64..15.0, 0.0f64..100.0);
    let cover =
        (prop_oneof![1 => Just(0.0), 2 => 0.0f64..1.2], 0.0f64..2.5, 0.0f64..1.0, prop::bool::weighted(0.1));
    (water, air, cover).prop_map(|((rain_mm, melt_mm, swe_mm), (tmean_c, eto_mm, wind_ms, rh_min_pct), c)| {
        Weather {
            tmean_c,
            rain_mm,
            melt_mm,
            swe_mm,
            eto_mm,
            wind_ms,
            rh_min_pct,
            kcb: c.0,
            root_m: c.1,
            residue: c.2,
            harrow: c.3,
        }
    })
}

fn soil() -> impl Strategy<Value = FieldSoil> {
    (0usize..13, 0usize..13, 0.5f64..2.0, 0.0f64..40.0, 0usize..4).prop_map(|(top, sub, deep, stones, d)| {
        let params = params();
        let mut lower = Layer::of_class(TextureClass::ALL[sub], deep, 0.5);
        lower.gravel_pct = stones;
        let profile = Profile::new(&[Layer::of_class(TextureClass::ALL[top], 0.25, 3.0), lower]).unwrap();
        let drainage = [Drainage::Well, Drainage::Moderate, Drainage::Imperfect, Drainage::Poor][d];
        FieldSoil::new(&profile, drainage, &params)
    })
}

fn params() -> SoilParams {
    SoilParams::from_reference(&Reference::shipped())
}

fn run(state: &mut WaterState, soil: &FieldSoil, params: &SoilParams, w: &Weather) -> Fluxes {
    let day = Day {
        tmax_c: w.tmean_c + 5.0,
        tmin_c: w.tmean_c - 5.0,
        precip_mm: w.rain_mm,
        rs_mj_m2: 15.0,
        ea_kpa: 0.8,
        wind_2m_ms: w.wind_ms,
    };
    let forcing = Forcing {
        day,
        tmean_c: w.tmean_c,
        rain_mm: w.rain_mm,
        snow_mm: 0.0,
        eto_mm: w.eto_mm,
        vpd_kpa: 0.5,
        rh_min_pct: w.rh_min_pct,
        rh_max_pct: 90.0,
        daylight_h: 12.0,
    };
    let water =
        DayWater { rain_mm: w.rain_mm, melt_mm: w.melt_mm, swe_mm: w.swe_mm, snow_on_ground: w.swe_mm > 0.0 };
    let mut cover = Cover {
        kcb: w.kcb,
        height_m: w.kcb,
        root_depth_m: w.root_m,
        cover_fraction: None,
        residue_cover: w.residue,
        depletion_p: None,
    };
    if w.harrow {
        cover.residue_cover = harrow_pass(state, params, cover.residue_cover);
    }
    step(state, soil, params, &forcing, &water, &cover)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn water_is_neither_made_nor_lost(
        soil in soil(),
        start in 0.0f64..1.0,
        days in prop::collection::vec(weather(), 1..120),
        drain_first in any::<bool>(),
    ) {
        let mut params = params();
        params.drain_before_et = drain_first;
        let mut state = WaterState::at_fraction(&soil, start);
        for w in &days {
            let before = state.total_mm();
            let f = run(&mut state, &soil, &params, w);
            let gained = f.infiltration_mm - f.evaporation_mm - f.transpiration_mm - f.drainage_mm;
            prop_assert!((state.total_mm() - before - gained).abs() < 1e-9);
            prop_assert!((w.rain_mm + w.melt_mm - f.infiltration_mm - f.runoff_mm).abs() < 1e-9);
            for x in [
                f.infiltration_mm, f.runoff_mm, f.evaporation_mm, f.transpiration_mm, f.potential_transpiration_mm,
                f.drainage_mm, f.stress, state.surface_mm, state.upper_mm, state.below_mm,
            ] {
                // Also false for a value that is not a number.
                prop_assert!(x >= -1e-12, "{x} on {w:?}: {f:?} {state:?}");
            }
            prop_assert!(f.stress <= 1.0 && f.transpiration_mm <= f.potential_transpiration_mm + 1e-12);
            prop_assert!(state.surface_mm <= soil.surface.sat_mm + 1e-9);
            prop_assert!(state.surface_mm >= soil.surface_dry_mm - 1e-9);
            prop_assert!(state.total_mm() <= soil.whole.sat_mm + 1e-9);
        }
    }

    #[test]
    fn more_rain_never_leaves_less_water_that_day(
        soil in soil(),
        start in 0.0f64..1.0,
        days in prop::collection::vec(weather(), 0..40),
        today in weather(),
        more_mm in 0.0f64..60.0,
    ) {
        let params = params();
        let mut less = WaterState::at_fraction(&soil, start);
        for w in &days {
            run(&mut less, &soil, &params, w);
        }
        let mut more = less;
        run(&mut less, &soil, &params, &today);
        run(&mut more, &soil, &params, &Weather { rain_mm: today.rain_mm + more_mm, ..today });
        prop_assert!(more.total_mm() >= less.total_mm() - 1e-9);
    }

    // Over many days this holds of dry, bare, unharrowed land only. Later rain runs off the wetter field; a crop freed
    // of stress by a wet surface also drinks more from below; a harrowed surface remembers what it has let go.
    #[test]
    fn a_wetter_bare_field_stays_the_wetter(
        soil in soil(),
        start in 0.0f64..1.0,
        days in prop::collection::vec(weather(), 0..40),
        more_mm in 0.0f64..60.0,
    ) {
        let params = params();
        let mut less = WaterState::at_fraction(&soil, start);
        let mut more = less;
        for (i, w) in days.iter().enumerate() {
            let bare = Weather { rain_mm: 0.0, melt_mm: 0.0, kcb: 0.0, harrow: false, ..*w };
            run(&mut less, &soil, &params, &bare);
            run(&mut more, &soil, &params, &Weather { rain_mm: if i == 0 { more_mm } else { 0.0 }, ..bare });
            prop_assert!(more.total_mm() >= less.total_mm() - 1e-9);
        }
    }

    #[test]
    fn any_depth_holds_no_more_than_a_deeper_one(
        soil in soil(),
        days in prop::collection::vec(weather(), 1..40),
        a in 0.05f64..2.0,
        b in 0.05f64..2.0,
    ) {
        let params = params();
        let mut state = WaterState::at_fraction(&soil, 0.5);
        for w in &days {
            run(&mut state, &soil, &params, w);
        }
        let (shallow, deep) = (a.min(b), a.max(b));
        prop_assert!(state.water_to_mm(&soil, shallow) <= state.water_to_mm(&soil, deep) + 1e-9);
        prop_assert!((state.water_to_mm(&soil, 2.0) - state.total_mm()).abs() < 1e-9);
    }
}
