//! Every refusal a person can meet through a calculator, in its own sentence.

use serde_json::{Value, json};
use stook_fertility::calculators;

fn refused(name: &str, given: &Value) -> String {
    let all = calculators();
    let c = all.iter().find(|c| c.name == name).unwrap_or_else(|| panic!("no {name}"));
    c.call(given.as_object().unwrap()).expect_err("should be refused").to_string()
}

#[test]
fn each_says_what_is_wrong_and_how_to_mend_it() {
    let cases = [
        (
            "soil_test_convert",
            json!({"value": 5, "unit": "mg/L", "form": "N", "bottom_in": 6}),
            "the extract and not of the soil",
        ),
        (
            "soil_test_convert",
            json!({"value": 5, "unit": "meq/100 g", "form": "N", "bottom_in": 6}),
            "potassium only",
        ),
        (
            "soil_test_convert",
            json!({"value": 5, "unit": "ppm", "form": "N", "top_in": 12, "bottom_in": 6}),
            "no thickness",
        ),
        ("soil_test_convert", json!({"value": 5, "unit": "ppm", "bottom_in": 6}), "form is missing"),
        ("soil_test_convert", json!({"value": 5, "unit": "ppm", "form": "N"}), "bottom_in is missing"),
        ("nutrient_form", json!({"amount": 1, "from": "P", "to": "K2O"}), "holds no K2O"),
        ("profile_total", json!({"ppm": [5, 6], "bottom_in": [6]}), "give one of each"),
        ("profile_total", json!({"ppm": [5, 6], "bottom_in": [6, 6]}), "no thickness"),
        ("n_budget", json!({"yield_bu_ac": 120}), "above 110"),
        ("fit_quadratic", json!({"rate": [0, 50], "yield": [1, 2]}), "only 2 different rates"),
        (
            "fit_quadratic_plateau",
            json!({"rate": [0, 50, 100], "yield": [1, 2, 2]}),
            "only 3 different rates",
        ),
        (
            "fit_linear_plateau",
            json!({"rate": [0, 50, 100], "yield": [1, 2, 3]}),
            "still rising at the highest rate tried",
        ),
        ("fit_mitscherlich", json!({"rate": [0, 50, 100, 150], "yield": [4, 3, 2, 1]}), "no response found"),
        (
            "phosphate_potash",
            json!({"nutrient": "P2O5", "test_ppm": 8, "extractant": "bray 1", "yield_bu_ac": 50, "removal_lb_ac": 30}),
            "another extractant",
        ),
        (
            "rate_table",
            json!({"nutrient": "P2O5", "extractant": "olsen", "crop": "spring_wheat", "test_ppm": 8}),
            "load the local guide",
        ),
        (
            "rate_table",
            json!({"nutrient": "K2O", "extractant": "ammonium acetate", "test_ppm": 300}),
            "rows end before",
        ),
        ("no_test", json!({"nutrient": "K2O"}), "no K2O is advised on stubble"),
        ("removal", json!({"table": "alberta", "crop": "canola", "yield_bu_ac": 40}), "choose another table"),
        ("manure_available_n", json!({"total_n": 2, "ammonium_n": 3}), "more than the total"),
        (
            "manure_rate",
            json!({"total_n": 0, "ammonium_n": 0, "p": 0.3, "k": 1, "n_lb_ac": 80}),
            "nothing sets the rate",
        ),
        ("product_rate", json!({"product": "potash", "amount_lb_ac": 80}), "holds no N"),
        ("blend_to_grade", json!({"n_pct": 40, "p2o5_pct": 40}), "cannot be made"),
        ("seed_row_phosphate", json!({"crop": "soybean", "province": "Saskatchewan"}), "gives no limit"),
        (
            "stand_loss",
            json!({"product": "urea_nbpt", "crop": "alfalfa", "opening_in": 1, "spacing_in": 10}),
            "no slope was read",
        ),
        (
            "drill_calibration",
            json!({"catch_lb": [0], "openers": 4, "spacing_in": 10, "distance_ft": 50, "wanted_lb_ac": 90, "setting": 20}),
            "nothing was caught",
        ),
        (
            "tank_fill",
            json!({"volume_ft3": 100, "density_low_lb_ft3": 76, "density_high_lb_ft3": 82, "rate_lb_ac": 100}),
            "density of the particles",
        ),
        (
            "fill_plan",
            json!({"area_ac": 10, "volume_ft3": [100], "density_lb_ft3": [48], "rate_lb_ac": [0]}),
            "no tank has a rate",
        ),
        (
            "fill_plan",
            json!({"area_ac": 10, "volume_ft3": [100], "density_lb_ft3": [48, 50], "rate_lb_ac": [10]}),
            "for every tank",
        ),
        (
            "expected_optimum",
            json!({"plateau": 60, "bend": 0.004, "from": 120, "ceilings": [60], "grain_price": 7.5, "n_price": 0.65, "tried_to": 50}),
            "still rising",
        ),
    ];
    for (name, given, part) in cases {
        let text = refused(&format!("fertility.{name}"), &given);
        assert!(text.contains(part), "{name}: {text}");
    }
}

#[test]
fn a_seed_row_refusal_reads_as_a_person_would_say_it() {
    let all = calculators();
    let c = all.iter().find(|c| c.name == "fertility.seed_row_check").unwrap();
    let given = json!({"texture": "medium", "spread_in": 1, "spacing_in": 9, "urea_n_lb_ac": 25});
    let outcome = c.call(given.as_object().unwrap()).unwrap();
    let text = format!("{:?}", outcome.get("text"));
    for part in ["15 is the limit", "11 % of the seedbed", "side or mid-row band", "halve the nitrogen"] {
        assert!(text.contains(part), "{text}");
    }
}
