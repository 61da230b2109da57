//! The published checks of storage, air and drying.

use stook_measure::check;

const CHECKS: &str = include_str!("../../../reference/checks/store.jsonl");

/// The calculators these checks answer for; the others of the crate have checks in `grain.jsonl`.
const OURS: [&str; 36] = [
    "grain.air_resistance",
    "grain.airflow",
    "grain.auger",
    "grain.bed_pressure",
    "grain.bin_fill",
    "grain.bin_volume",
    "grain.co2_sign",
    "grain.cold_kill",
    "grain.cool_in_bin",
    "grain.coring",
    "grain.corn_loss",
    "grain.drier_fuel",
    "grain.drier_throughput",
    "grain.dry_estimate",
    "grain.dry_in_bin",
    "grain.drying_money",
    "grain.emc",
    "grain.erh",
    "grain.fan_point",
    "grain.fan_power",
    "grain.front_hours",
    "grain.heat_of_drying",
    "grain.keeps_till",
    "grain.landing",
    "grain.life_malting",
    "grain.life_soybean",
    "grain.life_wheat",
    "grain.max_air",
    "grain.milling_heat",
    "grain.natural_air_fit",
    "grain.pile",
    "grain.properties",
    "grain.shrink",
    "grain.storage_life",
    "grain.thin_layer",
    "grain.thin_layer_corn",
];

/// Lines about models of one topic; the moist-air ones are the weather crate's.
fn of(topic: &str) -> String {
    let mark = format!("\"model\": \"{topic}.");
    let mut text = String::new();
    for line in CHECKS.lines().filter(|l| l.contains(&mark)) {
        text.push_str(line);
        text.push('\n');
    }
    text
}

#[test]
fn published_values_are_met_and_workings_add_up() {
    let mut wrong = check::audit("grain", &of("grain"), &stook_grain::calculators::calculators());
    wrong.extend(check::audit("weather", &of("weather"), &stook_weather::calculators::calculators()));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(
        of("grain").lines().count() + of("weather").lines().count(),
        CHECKS.lines().count(),
        "a check is of neither topic"
    );
}

#[test]
fn every_calculator_of_storage_is_checked() {
    let all = stook_grain::calculators::calculators();
    let unreached = check::unreached("grain", CHECKS, &all);
    let missing: Vec<_> = OURS.into_iter().filter(|n| unreached.contains(n)).collect();
    assert!(missing.is_empty(), "{missing:?}");
    let unknown: Vec<_> = OURS.into_iter().filter(|n| !all.iter().any(|c| c.name == *n)).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

/// Days until the top of 18 % wheat is at 13.5 % in steady air of 62 F and 56 %, at 0.75 cfm/bu.
fn wheat_days(layers: f64, steps_an_hour: u32) -> f64 {
    use stook_grain::bed::{Air, Bed, BedGrain};
    use stook_grain::{EmcTable, Grain, Properties};
    let r = stook_measure::Reference::shipped();
    let table = EmcTable::from_reference(&r);
    let p = Properties::from_reference(&r, Grain::HardWheat);
    let grain = BedGrain::new(table.best(Grain::HardWheat).unwrap(), &p);
    let depth = 4.0;
    let mut bed = Bed::uniform(grain, layers as usize, p.density_kg_m3 * depth, 18.0, 20.0);
    let air = Air::new(16.667, 0.56, 101_325.0);
    let kg = stook_grain::air::per_bushel_to_per_m3(0.75) * depth * 3600.0 * 1.2 / f64::from(steps_an_hour);
    let mut steps = 0;
    while bed.top().m_wb_pct() > 13.5 {
        bed.step(air, kg, 101_325.0);
        steps += 1;
    }
    f64::from(steps) / f64::from(steps_an_hour) / 24.0
}

#[test]
fn finer_layers_sharpen_the_front_and_finer_steps_change_little() {
    let by_layers: Vec<f64> = [10.0, 20.0, 40.0, 80.0].into_iter().map(|n| wheat_days(n, 1)).collect();
    // Each doubling moves the answer less than the one before: 36.5, 33.6, 31.9 and on.
    let moves: Vec<f64> = by_layers.windows(2).map(|w| w[0] - w[1]).collect();
    assert!(moves.iter().all(|m| *m > 0.0) && moves.windows(2).all(|w| w[1] < w[0]), "{by_layers:?}");
    assert!((by_layers[1] / by_layers[3] - 1.0).abs() < 0.15, "{by_layers:?}");
    let by_steps: Vec<f64> = [1, 2, 4].into_iter().map(|k| wheat_days(20.0, k)).collect();
    assert!(by_steps.iter().all(|d| (d / by_steps[2] - 1.0).abs() < 0.02), "{by_steps:?}");
}

#[test]
fn cooling_front_lies_in_its_band_at_any_airflow() {
    // Middle at 10.4 and nine tenths at 17 to 19 hours over cfm/bu, whatever the airflow.
    let all = stook_grain::calculators::calculators();
    let cool = all.iter().find(|c| c.name == "grain.cool_in_bin").unwrap();
    for cfm_bu in [0.1, 0.2, 0.5, 1.0] {
        let given = serde_json::json!({"grain": "hard_wheat", "m_wb_pct": 13.5, "start_c": 27, "cfm_bu": cfm_bu, "t_c": 10, "rh": 0.65});
        let out = cool.call(given.as_object().unwrap()).unwrap();
        let number = |key| match out.get(key) {
            Some(stook_measure::Value::Number(x)) => *x * cfm_bu,
            other => panic!("{other:?}"),
        };
        let (middle, done) = (number("middle_h"), number("done_h"));
        assert!((9.5..11.5).contains(&middle) && (16.0..20.0).contains(&done), "{cfm_bu}: {middle} {done}");
    }
}
