//! Every form reads what it shows.

use super::*;
use crate::forms::{find, prefill as whole, read};

#[test]
fn every_form_reads_what_it_shows() {
    let u = stook_book::payload::UnitChoice::default();
    assert_eq!(weight_unit(&u), "lb");
    let values = |v: &[(&str, &str)]| -> Values {
        v.iter().map(|(k, t)| ((*k).to_string(), (*t).to_string())).collect()
    };
    for (kind, typed) in [
        (
            "seed_lot",
            values(&[
                ("name", "Wheat bin 3"),
                ("crop", "spring_wheat"),
                ("treated", "true"),
                ("tkw_g", "36.5"),
                ("on_hand_kg", "900"),
            ]),
        ),
        (
            "drill_set_up",
            values(&[
                ("machine", "drill"),
                ("row_spacing_cm", "10"),
                ("spread_cm", "1.5"),
                ("double_disc", "false"),
                ("band", "side_band"),
                ("tank1_name", "seed"),
                ("tank1_m3", "150"),
                ("tank3_name", "band"),
                ("tank3_m3", "200"),
                ("tank1_least", "40"),
                ("liquid_m3", "1000"),
                ("anhydrous_m3", "1450"),
            ]),
        ),
        (
            "drill_catch",
            values(&[
                ("what", "urea"),
                ("catch1", "5.1"),
                ("catch2", "5.2"),
                ("width_m", "10"),
                ("distance_m", "300"),
                ("wanted_kg_ha", "90"),
                ("setting", "42"),
            ]),
        ),
        (
            "fertilizer_plan",
            values(&[
                ("field", "a"),
                ("crop_year", "2026"),
                ("n_kg_ha", "80"),
                ("p2o5_kg_ha", "30"),
                ("k2o_kg_ha", "0"),
                ("s_kg_ha", "10"),
                ("seed_row.p2o5_kg_ha", "25"),
                ("placement", "mid_row"),
                ("target_yield_kg_ha", "55"),
                ("why", "the land is thin"),
            ]),
        ),
        (
            "tank_left",
            values(&[
                ("field", "a"),
                ("crop_year", "2026"),
                ("tank", "band"),
                ("filled_kg", "21000"),
                ("left_kg", "800"),
                ("area_ha", "148"),
            ]),
        ),
        (
            "fertilizer_applied",
            values(&[
                ("field", "a"),
                ("crop_year", "2026"),
                ("seed_product", "map"),
                ("seed_kg", "6000"),
                ("band1_product", "urea"),
                ("band1_kg", "15000"),
            ]),
        ),
    ] {
        let form = find(kind).unwrap();
        let payload = read(form, &typed, &u, None).unwrap_or_else(|e| panic!("{kind}: {e:?}"));
        let back = whole(form, &payload.data().unwrap(), &u);
        for (k, v) in &typed {
            let (a, b) = (back.get(k).map_or("", String::as_str), v.as_str());
            let same = a == b
                || a.parse::<f64>()
                    .ok()
                    .zip(b.parse::<f64>().ok())
                    .is_some_and(|(x, y)| (x - y).abs() < 1e-2)
                || k == "name"
                || k == "tank3_name"
                || k == "tank3_m3";
            assert!(same, "{kind} {k}: {a} {b}");
        }
    }
    let half = values(&[("field", "a"), ("crop_year", "2026"), ("seed_product", "map")]);
    assert_eq!(read(find("fertilizer_applied").unwrap(), &half, &u, None).unwrap_err()[0].at, "seed_kg");
    let table = values(&[("name", "g"), ("source", "s"), ("text", "a,b\n1,2\n")]);
    assert_eq!(read(find("rate_table").unwrap(), &table, &u, None).unwrap_err()[0].at, "text");
}
