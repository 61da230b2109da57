//! Harvest at Alder Bend: what hauls and dries, and what was found behind the combine.

use jiff::civil::{DateTime, date};
use stook_book::payload::{LossMeasure, Machine, MachineKind, PanTest};
use stook_book::{Entry, FieldId, MachineId};
use stook_measure::units;

use super::YEAR;
use super::farm::entry;

const HAULING: &str = include_str!("../../../../demo/hauling.csv");

/// What a machine of the list holds and moves, and whether it unloads on the go.
pub fn carries(id: &str) -> (Option<f64>, Option<f64>, Option<bool>) {
    rows().find(|r| r[0] == id).map_or((None, None, None), |r| {
        (wheat_kg(&r[3]), wheat_kg(&r[4]), (!r[6].is_empty()).then(|| r[6] == "true"))
    })
}

fn rows() -> impl Iterator<Item = Vec<&'static str>> {
    HAULING.lines().skip(1).map(|l| l.split(',').collect())
}

fn wheat_kg(bushels: &str) -> Option<f64> {
    bushels.parse::<f64>().ok().map(|b| units::lb_to_kg(60.0 * b))
}

/// Machines that carry, move and dry, and the tests of the season.
pub fn entries() -> Vec<Entry> {
    let start = date(YEAR - 3, 11, 20).at(19, 45, 0, 0);
    let mut n = 50_000;
    let mut next = |at: DateTime, payload: stook_book::Payload| {
        n += 1;
        entry(at, n, payload)
    };
    let mut out = Vec::new();
    for r in rows().filter(|r| r[1] != "combine") {
        let (holds_kg, moves_kg_h, unloads_going) = carries(r[0]);
        let machine = Machine {
            id: MachineId::from(r[0]),
            kind: MachineKind::from_key(r[1]).expect("demo machines have a known kind"),
            name: r[2].into(),
            width_m: 0.0,
            speed_kmh: r[5].parse::<f64>().map(units::mph_to_kmh).unwrap_or(0.0),
            field_efficiency: None,
            hours_per_day: if r[1] == "drier" { 24.0 } else { 14.0 },
            holds_kg,
            moves_kg_h,
            unloads_going,
            tank_l: None,
        };
        out.push(next(start, machine.into()));
    }
    let square_foot = units::ft_to_m(1.0) * units::ft_to_m(1.0);
    // Day, hour, minute, field, behind, cut ground, standing, straw, chaff, mph.
    for (day, h, m, field, behind, cut, standing, straw, chaff, mph) in [
        (17, 14, 20, "long-90", 96.0, 15.0, 4.0, Some(25.0), Some(50.0), 4.0),
        (19, 14, 40, "slough-quarter", 210.0, 18.0, 5.0, Some(128.0), Some(55.0), 5.2),
    ] {
        let test = PanTest {
            field: FieldId::from(field),
            measure: LossMeasure::Kernels,
            area_m2: square_foot,
            behind,
            cut_ground: Some(cut),
            standing: Some(standing),
            from_separator: straw,
            from_shoe: chaff,
            discharge_m: Some(units::ft_to_m(5.0)),
            speed_kmh: Some(units::mph_to_kmh(mph)),
            yield_kg_ha: Some(units::bu_ac_to_kg_ha(if field == "long-90" { 54.0 } else { 51.0 }, 60.0)),
            tkw_g: None,
            seen: None,
        };
        out.push(next(date(YEAR, 8, day).at(h, m, 0, 0), test.into()));
    }
    out
}
