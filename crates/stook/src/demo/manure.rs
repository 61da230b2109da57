//! Alder Bend's pit: what is over it, what is in it, and the fall's hauling.

use jiff::civil::date;
use stook_book::payload::{
    BarnCount, BarnKind, ManureHauled, ManureLevel, ManureMethod, ManureStore, ManureTest,
};
use stook_book::{Entry, Payload};

use super::YEAR;
use super::farm::entry;

/// Entries about manure.
pub fn entries() -> Vec<Entry> {
    let start = date(YEAR - 3, 11, 20).at(20, 0, 0, 0);
    let mut n = 60_000;
    let mut out = Vec::new();
    let mut add = |at, payload: Payload| {
        n += 1;
        out.push(entry(at, n, payload));
    };
    let level = |held_m3| ManureLevel { store: "pit".into(), held_m3 };
    add(
        start,
        ManureStore { id: "pit".into(), name: "Pit".into(), capacity_m3: 5_200.0, inflow_m3_day: None }
            .into(),
    );
    add(start, BarnCount { store: "pit".into(), barn: BarnKind::FarrowToFinish, head: 150.0 }.into());
    let fall = date(YEAR - 1, 10, 14);
    add(fall.at(7, 30, 0, 0), level(4_950.0).into());
    add(
        fall.at(9, 0, 0, 0),
        ManureTest {
            store: "pit".into(),
            agitated: true,
            total_n_kg_m3: 2.9,
            ammonium_n_kg_m3: Some(2.0),
            p_kg_m3: 0.45,
            k_kg_m3: 1.3,
            s_kg_m3: None,
            dry_matter_pct: Some(2.4),
        }
        .into(),
    );
    for (day, field, volume_m3) in [(15, "poplar", 2_100.0), (17, "gravel-pit", 1_900.0)] {
        add(
            date(YEAR - 1, 10, day).at(19, 0, 0, 0),
            ManureHauled {
                store: "pit".into(),
                field: field.into(),
                volume_m3,
                area_ha: None,
                method: ManureMethod::Injected,
                days_to_work_in: None,
            }
            .into(),
        );
    }
    add(date(YEAR - 1, 10, 18).at(8, 0, 0, 0), level(960.0).into());
    add(date(YEAR, 1, 10).at(8, 0, 0, 0), level(1_930.0).into());
    add(date(YEAR, 5, 1).at(8, 0, 0, 0), level(3_240.0).into());
    add(date(YEAR, 8, 16).at(8, 0, 0, 0), level(4_480.0).into());
    out
}
