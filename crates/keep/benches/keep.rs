//! Speed of keeping: `cargo bench -p stook-keep`. Prints what it measured on this machine; nothing here is a test.

use std::hint::black_box;
use std::time::Instant;

use jiff::civil::date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_grain::control::Hour;
use stook_grain::fan::Curve;
use stook_grain::{Grain, Point};
use stook_keep::KeepParams;
use stook_keep::bin_case::{Case, CaseOf, Fan};
use stook_keep::carry::{Event, What, carry};
use stook_keep::compare::Tried;
use stook_keep::money::Prices;
use stook_keep::plan::Plan;
use stook_keep::play::Play;
use stook_keep::sky;
use stook_measure::Reference;
use stook_weather::Site;
use stook_weather::climate::Climate;
use stook_weather::forcing::SiteTable;
use stook_weather::generator::Generator;

fn main() {
    // Cargo's test runner passes --test when it only wants to see that benches build and run.
    let quick = std::env::args().any(|a| a == "--test");
    let (bins, members) = if quick { (1, 2) } else { (12, 100) };
    let p = KeepParams::from_reference(&Reference::shipped());
    let site = Site { lat_deg: 50.1, lon_deg: -101.3, elev_m: 540.0 };
    let climate = Climate::plains(&site);
    let table = SiteTable::with_offset(&site, -5.0);
    let first = date(2026, 9, 1);
    let generator = Generator::new(&climate, &site);
    let weather = |seed: u64, days: usize| -> Vec<Hour> {
        let made = generator.generate(first, days, &mut ChaCha12Rng::seed_from_u64(seed));
        sky::of_days(first, &made, &table, 95_000.0)
    };
    let cfm = 0.000_471_947_443_2;
    let points =
        [(0.0, 12_500.0), (498.2, 11_500.0), (996.4, 10_200.0), (1494.6, 8_300.0), (1992.8, 5_200.0)];
    let points: Vec<Point> = points.iter().map(|(pa, q)| Point { pa: *pa, m3_s: q * cfm }).collect();
    let case = Case::new(
        &p,
        CaseOf {
            grain: Grain::HardWheat,
            diameter_m: 8.2296,
            kg_m3: 795.0,
            fan: Some(Fan {
                curve: Some(Curve::new(&points).expect("it falls")),
                power_kw: None,
                blows: true,
            }),
            pressure_pa: 95_000.0,
            market_pct: Some(14.5),
        },
    )
    .expect("wheat has constants");
    let load = |hour, kg, m_wb_pct, t_c| Event { hour, what: What::In { kg, m_wb_pct, t_c } };
    let filled = vec![load(0, 120_000.0, 14.2, 22.0), load(6, 60_000.0, 18.5, 26.0)];

    let season = weather(1, 274);
    let mut always = filled.clone();
    always.push(Event { hour: 7, what: What::Fan(true) });
    for (what, events) in [("fan off", &filled), ("fan on all the time", &always)] {
        let mut best = f64::INFINITY;
        for _ in 0..if quick { 1 } else { 7 } {
            let t = Instant::now();
            let now = black_box(carry(&p, &case, events, &season));
            best = best.min(t.elapsed().as_secs_f64());
            assert!(!now.stack.is_empty());
        }
        println!("one bin, {} layers, 9 months hour by hour, {what}: {:.1} ms", p.layers, 1000.0 * best);
    }

    let ahead: Vec<Vec<Hour>> = (0..members).map(|k| weather(100 + k as u64, p.horizon_days)).collect();
    let now = carry(&p, &case, &filled, &season[..48]);
    let depth = 4.5;
    let push = case.push(&p, depth).expect("the fan can");
    let prices = Prices {
        sound_t: 276.0,
        spoiled_t: 230.0,
        drying_t_point: 1.6,
        kwh: 0.12,
        tough_t_point: 3.7,
        tough_t: None,
        damp_t: None,
    };
    let with = Play {
        p: &p,
        case: &case,
        push: Some(&push),
        prices: &prices,
        from: 18,
        fan_on: false,
        delay_h: 0,
        pictures: false,
    };
    let start = now.stack.coarser(p.layers_ahead);
    let t = Instant::now();
    for _ in 0..bins {
        for plan in Plan::WET {
            black_box(Tried::over(&start, &ahead, plan, &with));
        }
        black_box(Tried::over(&start, &ahead, Plan::DryThenCool, &Play { delay_h: 24, ..with }));
    }
    println!(
        "{bins} wet bins, {} plans and a day's wait, {members} weathers of {} days, {} layers: {:.1} s on {} threads",
        Plan::WET.len(),
        p.horizon_days,
        start.bed.layers.len(),
        t.elapsed().as_secs_f64(),
        rayon::current_num_threads()
    );
}
