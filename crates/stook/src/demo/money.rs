//! Alder Bend's money: bills of last year, this year's rent, what the machines are worth and burn, prices of a few things.

use jiff::civil::{DateTime, date};
use stook_book::payload::{Cost, CostKind, Crop, MachineId, MachineValue, Price};
use stook_book::{Entry, Payload};
use stook_measure::units::HA_PER_ACRE;

use super::YEAR;
use super::farm::entry;

fn cost(kind: CostKind, crop_year: i16) -> Cost {
    Cost { kind, what: None, crop_year, field: None, crop: None, per_ha: None, amount: None, due: None }
}

/// Bills of last year by the acre: kind, crop, money.
const LAST_YEAR: [(CostKind, Crop, f64); 12] = [
    (CostKind::Seed, Crop::SpringWheat, 26.0),
    (CostKind::Seed, Crop::Barley, 19.0),
    (CostKind::Seed, Crop::Canola, 66.0),
    (CostKind::Seed, Crop::Peas, 44.0),
    (CostKind::Fertilizer, Crop::SpringWheat, 71.0),
    (CostKind::Fertilizer, Crop::Barley, 58.0),
    (CostKind::Fertilizer, Crop::Canola, 94.0),
    (CostKind::Fertilizer, Crop::Peas, 14.0),
    (CostKind::Spray, Crop::SpringWheat, 46.0),
    (CostKind::Spray, Crop::Barley, 31.0),
    (CostKind::Spray, Crop::Canola, 52.0),
    (CostKind::Spray, Crop::Peas, 43.0),
];

/// Entries.
pub fn entries() -> Vec<Entry> {
    let mut n = 70_000;
    let mut out = Vec::new();
    let mut add = |at: DateTime, payload: Payload| {
        n += 1;
        out.push(entry(at, n, payload));
    };
    let december = date(YEAR - 1, 12, 28).at(20, 10, 0, 0);
    for (kind, crop, an_acre) in LAST_YEAR {
        add(
            december,
            Cost { crop: Some(crop), per_ha: Some(an_acre / HA_PER_ACRE), ..cost(kind, YEAR - 1) }.into(),
        );
    }
    let by_acre = |kind, year, an_acre: f64| Cost { per_ha: Some(an_acre / HA_PER_ACRE), ..cost(kind, year) };
    add(december, Cost { what: Some("land rent".into()), ..by_acre(CostKind::Land, YEAR - 1, 58.0) }.into());
    add(december, Cost { amount: Some(15_800.0), ..cost(CostKind::Insurance, YEAR - 1) }.into());
    add(
        december,
        Cost {
            what: Some("power, office, upkeep".into()),
            amount: Some(26_400.0),
            ..cost(CostKind::Overhead, YEAR - 1)
        }
        .into(),
    );
    let january = date(YEAR, 1, 9).at(20, 10, 0, 0);
    add(
        january,
        Cost {
            what: Some("land rent".into()),
            due: Some(date(YEAR, 11, 1)),
            ..by_acre(CostKind::Land, YEAR, 61.0)
        }
        .into(),
    );
    add(
        january,
        Cost {
            what: Some("living".into()),
            amount: Some(14_000.0),
            due: Some(date(YEAR, 3, 31)),
            ..cost(CostKind::Living, YEAR)
        }
        .into(),
    );
    add(
        january,
        Cost {
            what: Some("barn: power, veterinarian, wages".into()),
            amount: Some(31_000.0),
            due: Some(date(YEAR, 3, 31)),
            ..cost(CostKind::Barn, YEAR)
        }
        .into(),
    );
    for (what, value, unit) in
        [("diesel", 1.18, "l"), ("wage", 27.0, "h"), ("market_pig", 212.0, "head"), ("seed", 13.5, "bu")]
    {
        add(january, Price { what: what.into(), value, unit: unit.into() }.into());
    }
    // Machine, price of a like new one, built, kW, and the tractor in front of it.
    for (id, new_price, built, power_kw, tractor) in [
        ("drill", 310_000.0, YEAR - 9, Some(300.0), Some((620_000.0, YEAR - 11, 420.0))),
        ("combine", 840_000.0, YEAR - 7, Some(330.0), None),
        ("sprayer", 560_000.0, YEAR - 8, Some(205.0), None),
        ("harrow", 92_000.0, YEAR - 12, Some(300.0), Some((620_000.0, YEAR - 11, 420.0))),
        ("cart", 105_000.0, YEAR - 10, Some(180.0), None),
    ] {
        add(
            january,
            MachineValue {
                machine: MachineId::from(id),
                new_price,
                built,
                hours_a_year: None,
                power_kw,
                fuel_l_h: (id == "combine").then_some(58.0),
                repairs_a_year: None,
                tractor_new_price: tractor.map(|t| t.0),
                tractor_built: tractor.map(|t| t.1),
                tractor_hours_a_year: tractor.map(|t| t.2),
            }
            .into(),
        );
    }
    out
}
