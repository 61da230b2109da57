//! What was left in each tank against what should have been: how far off the meter was.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_measure::units::kg_to_lb;
use stook_measure::{Op, Working, figure};

use super::TankLine;

/// A tank's account for a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankAccount {
    /// Tank.
    pub tank: String,
    /// Day it was written.
    pub on: Date,
    /// In it and put into it, kg.
    pub filled_kg: f64,
    /// Left, kg.
    pub left_kg: f64,
    /// Area sown from it, ha.
    pub area_ha: f64,
    /// Sown, kg/ha.
    pub sown_kg_ha: f64,
    /// Rate on the card, kg/ha; none when the card has none for this tank.
    pub wanted_kg_ha: Option<f64>,
    /// Should have been left at that rate, kg; below nought when it should have run out.
    pub should_be_left_kg: Option<f64>,
    /// The meter sowed so much more than the card, %; less below nought.
    pub error_pct: Option<f64>,
    /// What to make of it, in a sentence.
    pub said: String,
    /// How reckoned.
    pub working: Working,
}

/// An error that a meter and a scale may have between them, %.
const BORNE_PCT: f64 = 3.0;

/// The tanks written down for a field and year, the latest of each.
pub(super) fn accounts(record: &FieldRecord, year: i16, on: Date, tanks: &[TankLine]) -> Vec<TankAccount> {
    let mut newest = std::collections::BTreeMap::new();
    for x in record.tanks_left.iter().filter(|x| x.is.crop_year == year && x.on() <= on) {
        newest.insert(x.is.tank.clone(), x);
    }
    newest
        .into_values()
        .map(|x| {
            let area_ha = x.is.area_ha.unwrap_or(record.field().area_ha);
            let sown = x.is.filled_kg - x.is.left_kg;
            // A card may run two tanks as one: starter and band.
            let line = tanks
                .iter()
                .find(|t| t.name == x.is.tank)
                .or_else(|| tanks.iter().find(|t| t.name.split(" and ").any(|part| part == x.is.tank)));
            account(
                &x.is.tank,
                x.on(),
                (x.is.filled_kg, x.is.left_kg),
                sown,
                area_ha,
                line.map(|t| t.rate_kg_ha).filter(|r| *r > 0.0),
            )
        })
        .collect()
}

fn account(
    tank: &str,
    on: Date,
    (filled_kg, left_kg): (f64, f64),
    sown_kg: f64,
    area_ha: f64,
    wanted_kg_ha: Option<f64>,
) -> TankAccount {
    let should = wanted_kg_ha.map(|r| filled_kg - r * area_ha);
    let error_pct = wanted_kg_ha.map(|r| 100.0 * (sown_kg / (r * area_ha) - 1.0));
    let mut working = Working::new(format!("The {tank} tank"))
        .line(Op::Start, "In it and put into it", filled_kg, "kg", 0)
        .line(Op::Minus, "Left in it", left_kg, "kg", 0)
        .line(Op::Over, "Area by the counter", area_ha, "ha", 1)
        .sum("Sown", sown_kg / area_ha.max(1e-9), "kg/ha", 1)
        .would_change("the scale, the drill's counter, and a fill that was not written down");
    if let Some(r) = wanted_kg_ha {
        working = working.note(format!("The card has {} kg/ha.", figure(r, 1)));
    }
    let said = match (error_pct, should) {
        (Some(e), Some(should)) if e.abs() <= BORNE_PCT => format!(
            "Within {} % of the card, as near as meter and scale come; {} lb should be left.",
            figure(BORNE_PCT, 0),
            figure(kg_to_lb(should.max(0.0)), 0)
        ),
        (Some(e), Some(should)) => {
            let word = if e > 0.0 { "more" } else { "less" };
            let left = if should >= 0.0 {
                format!("{} lb should be left", figure(kg_to_lb(should), 0))
            } else {
                format!("it should have run out {} lb short", figure(kg_to_lb(-should), 0))
            };
            format!(
                "The meter sowed {} % {word} than the card: {left}. Catch it again before the next field, and look at the counter's area first.",
                figure(e.abs(), 0)
            )
        }
        _ => "The card has no rate for this tank, so there is nothing to hold it against.".into(),
    };
    TankAccount {
        tank: tank.into(),
        on,
        filled_kg,
        left_kg,
        area_ha,
        sown_kg_ha: sown_kg / area_ha.max(1e-9),
        wanted_kg_ha,
        should_be_left_kg: should,
        error_pct,
        said,
        working,
    }
}

/// Something that stands in a tank after the last field written down for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leftover {
    /// Tank.
    pub tank: String,
    /// Left, kg.
    pub left_kg: f64,
    /// Field it was last written for.
    pub field: String,
    /// Day.
    pub on: Date,
}

/// What stands in each tank, by the latest word on it.
pub fn leftovers(farm: &Farm, year: i16, on: Date) -> Vec<Leftover> {
    let mut all: Vec<_> = farm
        .fields
        .values()
        .flat_map(|r| r.tanks_left.iter().map(move |x| (r, x)))
        .filter(|(_, x)| x.is.crop_year == year && x.on() <= on)
        .collect();
    all.sort_by_key(|(_, x)| x.happened);
    let mut newest = std::collections::BTreeMap::new();
    for (r, x) in all {
        newest.insert(
            x.is.tank.clone(),
            Leftover {
                tank: x.is.tank.clone(),
                left_kg: x.is.left_kg,
                field: r.field().name.clone(),
                on: x.on(),
            },
        );
    }
    newest.into_values().filter(|x| x.left_kg > 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    #[test]
    fn a_meter_that_sows_too_much() {
        // 10,000 kg for 60 ha at 150 kg/ha: 1,000 should be left, 550 are.
        let a = account("band", date(2026, 5, 9), (10_000.0, 550.0), 9_450.0, 60.0, Some(150.0));
        assert!((a.should_be_left_kg.unwrap() - 1_000.0).abs() < 1e-9);
        assert!((a.error_pct.unwrap() - 5.0).abs() < 1e-9 && a.said.contains("5 % more than the card"));
        assert!(a.working.adds_up(0.1), "{:?}", a.working);
        let near = account("band", date(2026, 5, 9), (10_000.0, 980.0), 9_020.0, 60.0, Some(150.0));
        assert!(near.said.starts_with("Within 3 %"));
        assert!(account("x", date(2026, 5, 9), (10.0, 5.0), 5.0, 1.0, None).said.contains("no rate"));
    }

    proptest! {
        #[test]
        fn what_went_in_is_sown_or_left(filled in 100.0..50_000.0f64, share in 0.0..1.0f64, area in 5.0..150.0f64, rate in 5.0..300.0f64) {
            let left = share * filled;
            let a = account("t", date(2026, 5, 9), (filled, left), filled - left, area, Some(rate));
            prop_assert!((a.sown_kg_ha * area + a.left_kg - filled).abs() < 1e-6);
            // Sown more than the card is the same as less left than there should be.
            let off = a.error_pct.unwrap() / 100.0 * rate * area;
            prop_assert!((a.should_be_left_kg.unwrap() - left - off).abs() < 1e-6 * filled);
        }
    }
}
