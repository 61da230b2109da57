//! Made-up seasons must differ from year to year as those of the record they were fitted to. Records here are made with
//! known slow terms, weak and strong, so that a generator which loses or adds variance between years is found out.

use jiff::civil::{Date, date};
use proptest::prelude::*;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_weather::climate::{Climate, Slow, between_years};
use stook_weather::generator::Generator;
use stook_weather::{Day, Site};

const SITE: Site = Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 };
const SEASONS: [(i8, i8); 3] = [(3, 5), (6, 8), (9, 11)];

fn record(slow: Slow, years: usize, seed: u64) -> Vec<(Date, Day)> {
    let climate = Climate { slow, ..Climate::plains(&SITE) };
    let mut on = date(1961, 1, 1);
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    Generator::new(&climate, &SITE)
        .generate(on, years * 36_525 / 100, &mut rng)
        .into_iter()
        .map(|day| {
            let this = (on, day);
            on = on.tomorrow().unwrap();
            this
        })
        .collect()
}

/// Geometric mean over the seasons of made over record, for rain and for warmth.
fn ratios(days: &[(Date, Day)], climate: &Climate) -> [f64; 2] {
    let all: Vec<_> = SEASONS.iter().flat_map(|(a, b)| between_years(days, climate, &SITE, *a, *b)).collect();
    ["rain", "warmth"].map(|what| {
        let logs: Vec<f64> = all.iter().filter(|b| b.what == what).map(|b| b.ratio.ln()).collect();
        (logs.iter().sum::<f64>() / logs.len() as f64).exp()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    /// Within 20 % of the record's own standard deviation over three seasons together. The fit sees twelve months and
    /// four seasons at once and may not follow one of them, and a record that varies less than its days alone make it
    /// cannot be followed at all: hence the width.
    #[test]
    fn made_up_seasons_differ_as_the_record_does(
        seed in any::<u64>(),
        month_rain in 0.0..0.4_f64,
        season_rain in 0.0..0.4_f64,
        month_warm in 0.0..0.12_f64,
        season_warm in 0.0..0.12_f64,
    ) {
        let slow = Slow {
            temp_share: month_warm,
            rain_sd: month_rain,
            days: 15.0,
            season_temp_share: season_warm,
            season_rain_sd: season_rain,
            season_days: 120.0,
            ..Slow::default()
        };
        let days = record(slow, 45, seed);
        let fitted = Climate::fit(&days, &SITE).unwrap();
        let [rain, warmth] = ratios(&days, &fitted);
        prop_assert!((0.8..1.25).contains(&rain), "rain {rain:.2}, {:?}", fitted.slow);
        prop_assert!((0.8..1.25).contains(&warmth), "warmth {warmth:.2}, {:?}", fitted.slow);
    }
}

#[test]
fn without_the_slow_terms_years_are_too_much_alike() {
    let slow = Slow { season_temp_share: 0.1, season_rain_sd: 0.35, season_days: 120.0, ..Slow::default() };
    let days = record(slow, 60, 3);
    let fitted = Climate::fit(&days, &SITE).unwrap();
    let plain = Climate { slow: Slow::default(), ..fitted.clone() };
    let (with, without) = (ratios(&days, &fitted), ratios(&days, &plain));
    assert!(without[0] < 0.8 && without[1] < 0.8, "{without:?}");
    assert!((0.88..1.14).contains(&with[0]) && (0.88..1.14).contains(&with[1]), "{with:?} {:?}", fitted.slow);
}

#[test]
fn a_short_record_leaves_more_open() {
    let slow = Climate::plains(&SITE).slow;
    let short = Climate::fit(&record(slow, 8, 5), &SITE).unwrap().slow;
    let long = Climate::fit(&record(slow, 80, 5), &SITE).unwrap().slow;
    assert!(short.doubt_rain_sd > 2.0 * long.doubt_rain_sd, "{short:?} {long:?}");
    assert!(short.doubt_temp_share > 3.0 * long.doubt_temp_share, "{short:?} {long:?}");
    assert!(long.doubt_rain_sd > 0.0);
}
