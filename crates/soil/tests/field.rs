//! A field in spring: does the model behave as a farmer would expect?

use stook_measure::Reference;
use stook_soil::{
    Conditions, Cover, DayWater, Drainage, FieldSoil, Limits, Operation, Profile, SoilParams, TextureClass,
    WaterState, fitness, harrow_pass, step,
};
use stook_weather::{Day, Forcing};

struct Field {
    soil: FieldSoil,
    params: SoilParams,
    state: WaterState,
    residue: f64,
}

impl Field {
    fn new(class: TextureClass, share: f64, residue: f64) -> Self {
        let params = SoilParams::from_reference(&Reference::shipped());
        let profile = Profile::uniform(class, 1.2, 4.0).unwrap();
        let soil = FieldSoil::new(&profile, Drainage::Well, &params);
        let state = WaterState::at_fraction(&soil, share);
        Self { soil, params, state, residue }
    }

    /// A day; `tmean_c` matters only to frost.
    fn day(&mut self, rain_mm: f64, eto_mm: f64, tmean_c: f64, snow: (f64, f64)) -> stook_soil::Fluxes {
        let day = Day {
            tmax_c: tmean_c + 7.0,
            tmin_c: tmean_c - 7.0,
            precip_mm: rain_mm,
            rs_mj_m2: 18.0,
            ea_kpa: 0.6,
            wind_2m_ms: 3.0,
        };
        let forcing = Forcing {
            day,
            tmean_c,
            rain_mm,
            snow_mm: 0.0,
            eto_mm,
            vpd_kpa: 0.7,
            rh_min_pct: 35.0,
            rh_max_pct: 90.0,
            daylight_h: 15.0,
        };
        let (melt_mm, swe_mm) = snow;
        let water = DayWater { rain_mm, melt_mm, swe_mm, snow_on_ground: swe_mm > 0.0 };
        step(&mut self.state, &self.soil, &self.params, &forcing, &water, &Cover::bare(self.residue))
    }

    fn fit(&self, op: Operation) -> f64 {
        let day = Conditions { snow_on_ground: false, rain_today_mm: 0.0, days_above_zero: 20 };
        fitness(op, &self.state, &self.soil, &day, &Limits::from(&self.params))
    }

    fn days_until_fit(&mut self, op: Operation) -> u32 {
        for d in 1..30 {
            self.day(0.0, 4.0, 11.0, (0.0, 0.0));
            if self.fit(op) >= 0.5 {
                return d;
            }
        }
        30
    }
}

#[test]
fn bare_clay_loam_is_fit_two_to_five_days_after_25_mm() {
    let mut field = Field::new(TextureClass::ClayLoam, 0.9, 0.1);
    field.day(25.0, 2.0, 10.0, (0.0, 0.0));
    assert!(field.state.surface_relative_to_fc(&field.soil, 0.10) > 1.05);
    assert!(field.fit(Operation::Seed) < 0.05);
    let days = field.days_until_fit(Operation::Seed);
    assert!((2..=5).contains(&days), "{days}");
}

#[test]
fn sand_is_fit_before_clay_and_poor_drainage_waits() {
    let days = |class| {
        let mut f = Field::new(class, 0.9, 0.3);
        f.day(25.0, 2.0, 10.0, (0.0, 0.0));
        f.days_until_fit(Operation::Seed)
    };
    assert!(days(TextureClass::SandyLoam) <= days(TextureClass::ClayLoam));
    assert!(days(TextureClass::ClayLoam) <= days(TextureClass::HeavyClay));
}

#[test]
fn harrowing_stubble_brings_seeding_forward() {
    // Heavy straw on clay loam, a little wetter than fit; harrowed one day, seeded when fit.
    let wet = || {
        let mut f = Field::new(TextureClass::ClayLoam, 0.95, 0.9);
        f.day(25.0, 2.0, 10.0, (0.0, 0.0));
        f.day(0.0, 4.0, 11.0, (0.0, 0.0));
        f
    };
    let (mut left, mut harrowed) = (wet(), wet());
    harrowed.residue = harrow_pass(&mut harrowed.state, &harrowed.params, harrowed.residue);
    let (mut evaporated, mut evaporated_harrowed, mut gain) = (0.0, 0.0, 0.0);
    for _ in 0..3 {
        evaporated += left.day(0.0, 4.0, 11.0, (0.0, 0.0)).evaporation_mm;
        evaporated_harrowed += harrowed.day(0.0, 4.0, 11.0, (0.0, 0.0)).evaporation_mm;
        gain += harrowed.fit(Operation::Seed) - left.fit(Operation::Seed);
    }
    let extra = evaporated_harrowed - evaporated;
    assert!(extra > 0.5 && extra <= 6.0, "{extra}");
    // In days of seeding won over the three.
    assert!(gain > 0.05, "{gain}");
    // On a surface dry below its readily evaporable water, stirring lets it dry on.
    let mut dry = Field::new(TextureClass::ClayLoam, 0.95, 0.0);
    for _ in 0..8 {
        dry.day(0.0, 5.0, 14.0, (0.0, 0.0));
    }
    let mut stirred =
        Field { state: dry.state, soil: dry.soil.clone(), params: dry.params.clone(), residue: 0.0 };
    harrow_pass(&mut stirred.state, &stirred.params, 0.0);
    let (mut plain, mut loose) = (0.0, 0.0);
    for _ in 0..6 {
        plain += dry.day(0.0, 5.0, 14.0, (0.0, 0.0)).evaporation_mm;
        loose += stirred.day(0.0, 5.0, 14.0, (0.0, 0.0)).evaporation_mm;
    }
    assert!(loose > plain && loose - plain <= 6.0 + 1e-9, "{plain} {loose}");
}

#[test]
fn a_wet_fall_sheds_the_snowmelt_a_dry_fall_takes_it() {
    let melted = |share: f64| {
        let mut f = Field::new(TextureClass::ClayLoam, share, 0.5);
        for _ in 0..20 {
            f.day(0.0, 0.3, -8.0, (0.0, 0.0));
        }
        assert!(f.state.frozen);
        let held = f.state.total_mm();
        for _ in 0..60 {
            f.day(0.0, 0.0, -15.0, (0.0, 80.0));
        }
        assert_eq!(f.state.total_mm(), held, "a frozen soil stands still");
        let mut entered = 0.0;
        for i in 1..=8 {
            entered += f.day(0.0, 2.0, 4.0, (10.0, 80.0 - 10.0 * f64::from(i))).infiltration_mm;
        }
        entered
    };
    let (wet, dry) = (melted(1.0), melted(0.1));
    assert!(dry > wet + 5.0, "{dry} {wet}");
    assert!(wet > 5.0 && dry < 60.0, "{dry} {wet}");
}

#[test]
fn ground_thaws_after_the_snow_and_not_before() {
    let mut f = Field::new(TextureClass::Loam, 0.6, 0.3);
    for _ in 0..30 {
        f.day(0.0, 0.0, -10.0, (0.0, 0.0));
    }
    for _ in 0..60 {
        f.day(0.0, 0.0, -10.0, (0.0, 60.0));
    }
    assert!(f.state.frozen, "snow keeps the frost in");
    let mut days = 0;
    while f.state.frozen {
        f.day(0.0, 2.0, 6.0, (0.0, 0.0));
        days += 1;
    }
    assert!((1..40).contains(&days), "{days}");
}

#[test]
fn a_crop_shades_the_ground_it_stands_on() {
    // A crop described from the bare cover must not keep its bare ground.
    let evaporated = |kcb: f64| {
        let f = Field::new(TextureClass::Loam, 1.0, 0.0);
        let mut state = f.state;
        let day =
            Day { tmax_c: 25.0, tmin_c: 11.0, precip_mm: 0.0, rs_mj_m2: 24.0, ea_kpa: 1.1, wind_2m_ms: 2.0 };
        let forcing = Forcing {
            day,
            tmean_c: 18.0,
            rain_mm: 0.0,
            snow_mm: 0.0,
            eto_mm: 6.0,
            vpd_kpa: 1.2,
            rh_min_pct: 45.0,
            rh_max_pct: 90.0,
            daylight_h: 16.0,
        };
        let cover = Cover { kcb, height_m: 0.5 * kcb, root_depth_m: 0.8, ..Cover::bare(0.0) };
        step(&mut state, &f.soil, &f.params, &forcing, &DayWater::default(), &cover).evaporation_mm
    };
    assert!(evaporated(1.0) < 0.3 * evaporated(0.2));
    // FAO-56 equation 71 on wet ground without a crop: all of the upper limit, 1.2 x 6 mm.
    assert!((evaporated(0.0) - 7.2).abs() < 1e-9);
}
