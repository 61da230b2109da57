//! Every kilogram: over random loads, splits, blends, drying, samples, levels and corrections.

use jiff::Timestamp;
use jiff::civil::{DateTime, date};
use proptest::prelude::*;
use stook_book::payload::{
    Bin, BinFan, BinFloor, BinJob, BinMeasured, Crop, CropPlan, Field, FieldPart, GrainSample, Load,
    LoadFrom, LoadTo, SampledAt, SoilDescription, Weighed, Withdrawn,
};
use stook_book::{Body, Entry, Farm, Payload};
use stook_measure::Reference;
use stook_yard::Yard;
use uuid::Uuid;

fn entry(n: u64, happened: DateTime, payload: impl Into<Payload>) -> Entry {
    Entry {
        id: Uuid::from_u64_pair(0x0190_0000_0000_7000, 0x8000_0000_0000_0000 | n),
        happened,
        written: Timestamp::from_second(1_767_225_600 + 60 * n as i64).unwrap(),
        who: "Ada".into(),
        replaces: None,
        body: Body::Known(payload.into()),
    }
}

fn bin(k: usize) -> Bin {
    Bin {
        id: format!("bin-{k}").as_str().into(),
        name: format!("Bin {k}"),
        diameter_m: 6.0 + k as f64,
        wall_m: 6.0,
        floor: match k % 3 {
            0 => BinFloor::FLAT,
            1 => BinFloor::Hopper { height_m: None, outlet_m: None },
            _ => BinFloor::Hopper { height_m: Some(7.0), outlet_m: Some(0.4) },
        },
        fan: (k % 2 == 0).then_some(BinFan::default()),
        job: BinJob::Any,
        crop: None,
        capacity_m3: None,
        cleaned: None,
    }
}

fn set_up() -> Vec<Entry> {
    let at = date(2026, 5, 1).at(8, 0, 0, 0);
    let mut out: Vec<Entry> = (0..4).map(|k| entry(k, at, bin(k as usize))).collect();
    for (k, name) in ["north", "creek"].iter().enumerate() {
        let f = Field {
            id: (*name).into(),
            name: (*name).into(),
            area_ha: 64.0,
            boundary: None,
            soil: SoilDescription::NotKnown,
            drainage: None,
            cover: None,
            distance_km: None,
            lie: None,
        };
        out.push(entry(10 + k as u64, at, f));
        let plan = CropPlan {
            field: (*name).into(),
            crop_year: 2026,
            crop: Crop::SpringWheat,
            cultivar_class: None,
            cultivar: None,
            head_blight: None,
            target_yield_kg_ha: None,
            best_seeding_until: None,
            last_seeding_day: None,
        };
        out.push(entry(20 + k as u64, at, plan));
    }
    out
}

fn from() -> impl Strategy<Value = LoadFrom> {
    prop_oneof![
        Just(LoadFrom::Field("north".into())),
        (0.1..0.9f64).prop_map(|s| LoadFrom::Fields(vec![
            FieldPart { field: "north".into(), share: s },
            FieldPart { field: "creek".into(), share: 1.0 - s },
        ])),
        (0..5usize).prop_map(|k| LoadFrom::Bin(format!("bin-{k}").as_str().into())),
        Just(LoadFrom::Bought("a neighbour".into())),
    ]
}

fn to() -> impl Strategy<Value = LoadTo> {
    prop_oneof![
        4 => (0..5usize).prop_map(|k| LoadTo::Bin(format!("bin-{k}").as_str().into())),
        1 => Just(LoadTo::Buyer("elevator".into())),
        1 => Just(LoadTo::Mill),
        1 => Just(LoadTo::Seed),
        1 => Just(LoadTo::Elsewhere("spoiled".into())),
    ]
}

#[derive(Debug, Clone)]
enum Step {
    Load(Load),
    Sample(GrainSample),
    Level(BinMeasured),
    /// Takes back the step so many before.
    Undo(usize),
    /// Corrects the step so many before to another load.
    Correct(usize, Load),
}

fn load() -> impl Strategy<Value = Load> {
    (
        from(),
        to(),
        500.0..45_000.0f64,
        proptest::option::of(9.0..22.0f64),
        proptest::option::of(9.0..17.0f64),
        proptest::option::of(0.0..3.0f64),
        any::<bool>(),
        0..7usize,
    )
        .prop_map(|(from, to, kg, moisture, protein, don, emptied, weighed)| {
            let mut l = Load::new(from, to, Weighed::ALL[weighed], Some(kg));
            l.moisture_wb_pct = moisture;
            l.dried_to_wb_pct = moisture.filter(|m| *m > 15.0).map(|m| m - 3.0);
            l.protein_pct = protein;
            l.protein_basis_pct = protein.map(|_| 13.5);
            l.don_ppm = don;
            l.emptied = emptied && l.from_bin().is_some();
            l
        })
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        8 => load().prop_map(Step::Load),
        2 => (0..4usize, 8.0..20.0f64, proptest::option::of(any::<bool>()), 0..5usize).prop_map(
            |(k, moisture, dried, taken)| Step::Sample(GrainSample {
                bin: format!("bin-{k}").as_str().into(),
                taken: SampledAt::ALL[taken],
                probings: None,
                moisture_wb_pct: Some(moisture),
                dried_in_bin: dried,
                temperature_c: None,
                test_weight_kg_hl: Some(78.0),
                dockage_pct: Some(1.0),
                protein_pct: Some(13.0),
                protein_basis_pct: Some(13.5),
                don_ppm: Some(0.5),
                falling_number_s: Some(300.0),
                factors: std::collections::BTreeMap::new(),
                grade: None,
                lab: None,
                bag: None,
            })),
        2 => (0..4usize, 0.0..6.0f64, -1.0..1.0f64, any::<bool>()).prop_map(|(k, down, heap, empty)| {
            Step::Level(BinMeasured {
                bin: format!("bin-{k}").as_str().into(),
                depth_m: None,
                down_m: (!empty).then_some(down),
                heap: Some(heap),
                volume_m3: empty.then_some(0.0),
                test_weight_kg_hl: None,
                crop: None,
                moisture_wb_pct: None,
            })
        }),
        1 => (1..6usize).prop_map(Step::Undo),
        1 => (1..6usize, load()).prop_map(|(k, l)| Step::Correct(k, l)),
    ]
}

fn book(steps: &[Step]) -> Vec<Entry> {
    let mut all = set_up();
    let first = all.len();
    for (i, s) in steps.iter().enumerate() {
        let at = date(2026, 8, 1).at(0, 0, 0, 0).saturating_add(jiff::Span::new().hours(i as i64));
        let n = 100 + i as u64;
        let earlier = |k: usize| (all.len() - first >= k).then(|| all[all.len() - k].id);
        let e = match s {
            Step::Load(l) => Some(entry(n, at, l.clone())),
            Step::Sample(s) => Some(entry(n, at, s.clone())),
            Step::Level(l) => Some(entry(n, at, l.clone())),
            Step::Undo(k) => {
                earlier(*k).map(|id| entry(n, at, Withdrawn { why: "wrong".into() }).replacing(id))
            }
            Step::Correct(k, l) => earlier(*k).map(|id| entry(n, at, l.clone()).replacing(id)),
        };
        all.extend(e);
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn every_kilogram_is_somewhere(steps in proptest::collection::vec(step(), 1..60)) {
        let all = book(&steps);
        let farm = Farm::fold(&all);
        let yard = Yard::fold(&farm, &Reference::shipped());
        let gap = yard.ledger.gap_kg();
        prop_assert!(gap.abs() < 1e-6, "gap of {gap} kg in {}", yard.ledger.in_kg());
        for b in yard.bins.values() {
            prop_assert!(b.mass_kg() >= 0.0);
            prop_assert!(b.layers().iter().all(|l| l.lot.water_kg() >= -1e-9 && l.lot.dry_kg() >= -1e-9));
            prop_assert!(b.sd_kg >= 0.0 && b.sd_kg.is_finite());
            prop_assert!(b.room_m3() >= 0.0);
        }
        // What left the fields is what the loads say.
        let said: f64 = farm
            .loads
            .iter()
            .filter(|l| matches!(l.is.from, LoadFrom::Field(_) | LoadFrom::Fields(_)))
            .filter_map(|l| l.is.mass_kg)
            .sum();
        let off: f64 = yard.ledger.off_fields.values().map(stook_grain::lot::Lot::mass_kg).sum();
        prop_assert!((said - off).abs() < 1e-6);
    }

    #[test]
    fn grain_keeps_its_origin(steps in proptest::collection::vec(step(), 1..60)) {
        // Sources are kept as they came in, whatever dries or is missing on the way.
        let yard = Yard::fold(&Farm::fold(&book(&steps)), &Reference::shipped());
        let l = &yard.ledger;
        let of = |lot: &stook_grain::lot::Lot, key: &str| -> f64 {
            lot.sources().iter().filter(|s| s.0 == key).map(|s| s.1).sum()
        };
        for field in ["north", "creek"] {
            let key = format!("field:2026:{field}");
            let came: f64 = l.off_fields.values().map(|x| of(x, &key)).sum();
            let is: f64 = yard.bins.values().map(|b| of(&b.lot(), &key)).sum::<f64>()
                + l.sold.values().chain(l.elsewhere.values()).map(|x| of(x, &key)).sum::<f64>()
                + of(&l.milled, &key) + of(&l.seeded, &key) + of(&l.missing, &key);
            prop_assert!((came - is).abs() < 1e-6 * came.max(1.0), "{came} of {field} became {is}");
        }
    }

    #[test]
    fn the_order_of_arrival_plays_no_part(steps in proptest::collection::vec(step(), 1..30)) {
        let all = book(&steps);
        let mut back = all.clone();
        back.reverse();
        let (a, b) = (
            Yard::fold(&Farm::fold(&all), &Reference::shipped()),
            Yard::fold(&Farm::fold(&back), &Reference::shipped()),
        );
        prop_assert_eq!(a.bins, b.bins);
        prop_assert_eq!(a.ledger, b.ledger);
    }

    #[test]
    fn what_is_drawn_is_what_was_asked_for(steps in proptest::collection::vec(step(), 1..40), share in 0.0..1.2f64) {
        let yard = Yard::fold(&Farm::fold(&book(&steps)), &Reference::shipped());
        for b in yard.bins.values() {
            let ask = b.mass_kg() * share;
            let (lot, parts) = b.next_out(ask);
            prop_assert!((lot.mass_kg() - ask.min(b.mass_kg())).abs() < 1e-6);
            prop_assert!((parts.iter().map(|p| p.1).sum::<f64>() - lot.mass_kg()).abs() < 1e-6);
        }
    }
}
