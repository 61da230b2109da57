//! The fold: what counts, in what order, and as of when.

mod common;

use common::{entry, field, may, note, rain, seeding, set_up};
use jiff::civil::date;
use proptest::prelude::*;
use stook_book::payload::{LocalNumber, Price, SprayPass, SprayPurpose, Withdrawn};
use stook_book::{Entry, Farm, Payload};
use stook_measure::Reference;

fn taken_back() -> Payload {
    Withdrawn { why: "wrong gauge".into() }.into()
}

fn rain_mm(farm: &Farm) -> Vec<f64> {
    farm.rain.iter().map(|r| r.is.rain_mm).collect()
}

#[test]
fn the_farm_is_what_the_entries_say() {
    let mut entries = set_up();
    entries.push(entry(10, may(6, 8), 900, seeding("long-90", false)));
    entries.push(entry(11, may(7, 8), 901, seeding("long-90", true)));
    entries.push(entry(12, date(2026, 2, 1).at(0, 0, 0, 0), 902, field("tower", "Tower Quarter", 63.0)));
    let farm = Farm::fold(&entries);
    assert!(farm.warnings.is_empty());
    assert_eq!(farm.site().unwrap().elev_m, 577.0);
    let long = &farm.fields[&"long-90".into()];
    assert_eq!(long.seedings.len(), 2);
    assert_eq!(long.seeded_on(2026), Some(date(2026, 5, 7)));
    assert_eq!(long.seeded_on(2025), None);
    let tower = &farm.fields[&"tower".into()];
    assert_eq!((tower.field().name.as_str(), tower.field().area_ha), ("Tower Quarter", 63.0));
    assert!(tower.plan(2026).is_some() && tower.plan(2025).is_none());
}

#[test]
fn corrections_and_taking_back_can_be_undone() {
    let first = entry(10, may(5, 7), 10, rain(45.0));
    let better = entry(11, may(5, 7), 20, rain(4.5)).replacing(first.id);
    let best = entry(12, may(5, 7), 30, rain(5.0)).replacing(better.id);
    assert_eq!(rain_mm(&Farm::fold([&first, &better, &best])), [5.0]);
    // A second correction of the first, written last, wins over the chain.
    let other = entry(13, may(5, 7), 40, rain(6.0)).replacing(first.id);
    assert_eq!(rain_mm(&Farm::fold([&first, &better, &best, &other])), [6.0]);
    // Taking back the correction brings the earlier reading into force again.
    let undo = entry(14, may(5, 7), 50, taken_back()).replacing(other.id);
    assert_eq!(rain_mm(&Farm::fold([&first, &better, &best, &other, &undo])), [5.0]);
    // Taking back the first entry takes back its whole thread; undoing that restores it.
    let gone = entry(15, may(5, 7), 60, taken_back()).replacing(first.id);
    let all = [&first, &better, &best, &other, &undo, &gone];
    assert_eq!(rain_mm(&Farm::fold(all)), [0.0; 0]);
    let back = entry(16, may(5, 7), 70, taken_back()).replacing(gone.id);
    let farm = Farm::fold(all.into_iter().chain([&back]));
    assert_eq!(rain_mm(&farm), [5.0]);
    assert_eq!((farm.rain[0].entry, farm.rain[0].first), (best.id, first.id));
    assert!(farm.warnings.is_empty());
}

#[test]
fn what_did_we_know_then() {
    let first = entry(10, may(5, 7), 10, rain(45.0));
    let better = entry(11, may(5, 7), 20, rain(4.5)).replacing(first.id);
    let late = entry(12, may(1, 7), 30, rain(9.0)); // written down later than it happened
    let all = [&first, &better, &late];
    assert_eq!(rain_mm(&Farm::fold_as_of(all, first.written)), [45.0]);
    assert_eq!(rain_mm(&Farm::fold_as_of(all, better.written)), [4.5]);
    assert_eq!(rain_mm(&Farm::fold_as_of(all, late.written)), [9.0, 4.5]);
}

#[test]
fn what_does_not_fit_is_reported_and_kept() {
    let missing = entry(99, may(1, 1), 1, note("never sent"));
    let orphan = entry(10, may(5, 7), 10, rain(3.0)).replacing(missing.id);
    let lost_undo = entry(11, may(5, 7), 11, taken_back()).replacing(missing.id);
    let nowhere = entry(12, may(6, 7), 12, seeding("no-such-field", true));
    let farm = Farm::fold([&orphan, &lost_undo, &nowhere]);
    assert_eq!(rain_mm(&farm), [3.0], "a correction says what is true even before the first entry arrives");
    assert_eq!(farm.warnings.len(), 3);
    assert!(farm.warnings[2].sentence.contains("no-such-field"), "{:?}", farm.warnings);
    // When the first entry arrives the orphan is one no more.
    let farm = Farm::fold([&orphan, &missing]);
    assert!(farm.warnings.is_empty() && farm.notes.is_empty());

    let a = entry(20, may(5, 7), 10, rain(1.0)).replacing(entry(21, may(5, 7), 11, rain(2.0)).id);
    let b = entry(21, may(5, 7), 11, rain(2.0)).replacing(a.id);
    let farm = Farm::fold([&a, &b]);
    assert!(farm.rain.is_empty());
    assert_eq!(farm.warnings.len(), 2, "{:?}", farm.warnings);
}

#[test]
fn own_numbers_and_prices() {
    let shipped = Reference::shipped();
    let own = |number, name: &str, value| {
        entry(number, may(1, 1), 1, LocalNumber { name: name.into(), value, why: "our own log".into() })
    };
    let Some(some) = shipped.all().next() else { return };
    let farm = Farm::fold([&own(1, &some.name, some.value), &own(2, "no.such.number", 1.0)]);
    let (reference, problems) = farm.reference(&shipped);
    assert_eq!(reference.coefficient(&some.name).unwrap().sure, stook_measure::Sure::Local);
    assert_eq!(problems.len(), 1);

    let price = |number, day, value| {
        entry(number, may(day, 0), 1, Price { what: "wheat".into(), value, unit: "t".into() })
    };
    let farm = Farm::fold([&price(1, 10, 276.0), &price(2, 20, 290.0)]);
    assert_eq!(farm.price("wheat", date(2026, 5, 9)), None);
    assert_eq!(farm.price("wheat", date(2026, 5, 19)).unwrap().value, 276.0);
    assert_eq!(farm.price("wheat", date(2026, 5, 20)).unwrap().value, 290.0);
}

#[test]
fn the_latest_pre_harvest_interval_rules() {
    let spray = |number, day, days| {
        let pass = SprayPass {
            pre_harvest_days: days,
            ..SprayPass::new("tower".into(), SprayPurpose::Fungicide, "from the label")
        };
        entry(number, date(2026, 7, day).at(9, 0, 0, 0), 1, pass)
    };
    let mut entries = set_up();
    entries.extend([spray(10, 1, Some(45)), spray(11, 12, Some(30)), spray(12, 20, None)]);
    let farm = Farm::fold(&entries);
    let (day, pass) = farm.fields[&"tower".into()].earliest_cut(2026).unwrap();
    assert_eq!((day, pass.on()), (date(2026, 8, 15), date(2026, 7, 1)));
}

/// Rain readings, some correcting or taking back an earlier one.
fn book() -> impl Strategy<Value = Vec<Entry>> {
    prop::collection::vec((1_i8..28, 0_i64..2000, any::<prop::sample::Index>(), 0_u8..10), 1..30).prop_map(
        |rows| {
            let mut entries: Vec<Entry> = set_up();
            for (i, (day, minute, earlier, what)) in rows.into_iter().enumerate() {
                let number = 100 + i as u64;
                let mut e = match what {
                    0 => entry(number, may(day, 6), minute, taken_back()),
                    1 => entry(number, may(day, 6), minute, seeding("tower", true)),
                    _ => entry(number, may(day, 6), minute, rain(i as f64)),
                };
                if what < 5 {
                    e.replaces = Some(entries[earlier.index(entries.len())].id);
                }
                entries.push(e);
            }
            entries
        },
    )
}

proptest! {
    #[test]
    fn arrival_order_does_not_matter(entries in book(), seed in any::<u64>()) {
        let mut shuffled: Vec<&Entry> = entries.iter().collect();
        // A cheap shuffle from the seed.
        let mut state = seed | 1;
        for i in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(i, (state >> 33) as usize % (i + 1));
        }
        prop_assert_eq!(Farm::fold(&entries), Farm::fold(shuffled));
    }

    #[test]
    fn the_same_entries_twice_are_the_same_farm(entries in book()) {
        prop_assert_eq!(Farm::fold(&entries), Farm::fold(entries.iter().chain(&entries)));
    }

    #[test]
    fn as_of_the_end_is_everything(entries in book()) {
        let end = entries.iter().map(|e| e.written).max().unwrap();
        prop_assert_eq!(Farm::fold(&entries), Farm::fold_as_of(&entries, end));
    }

    #[test]
    fn a_correction_with_the_same_words_changes_no_fact(entries in book()) {
        let farm = Farm::fold(&entries);
        let Some(some) = farm.rain.first() else { return Ok(()) };
        let again = entry(9_999, some.happened, 5_000, some.is.clone()).replacing(some.first);
        let corrected = Farm::fold(entries.iter().chain([&again]));
        let facts = |f: &Farm| { let mut r = rain_mm(f); r.sort_by(f64::total_cmp); r };
        prop_assert_eq!(facts(&farm), facts(&corrected));
    }
}
