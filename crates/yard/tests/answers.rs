//! Answers of the yard reckoned by hand: origins, samples, results, tickets, accounts, jobs.

use jiff::Timestamp;
use jiff::civil::{DateTime, date};
use stook_book::payload::{
    Bin, BinFloor, BinJob, BinMeasured, Buyer, Crop, CropPlan, Field, GradePrice, GrainSample, Load,
    LoadFrom, LoadTo, MoistureSettled, Price, SampledAt, Settlement, SoilDescription, TheirFigures, Weighed,
};
use stook_book::{Body, Entry, Farm, Payload};
use stook_measure::Reference;
use stook_yard::jobs::{self, Expected};
use stook_yard::{Happened, Source, Yard, adds_up, result, ticket};
use uuid::Uuid;

struct Book(Vec<Entry>);

impl Book {
    fn new() -> Self {
        let mut b = Self(Vec::new());
        let at = date(2026, 1, 1).at(8, 0, 0, 0);
        for (id, job, crop) in [
            ("bin-1", BinJob::Mill, None),
            ("bin-2", BinJob::Any, None),
            ("bin-3", BinJob::Wet, None),
            ("bin-4", BinJob::Any, Some(Crop::Barley)),
        ] {
            b.add(at, bin(id, job, crop));
        }
        for (id, crop) in
            [("north", Crop::SpringWheat), ("creek", Crop::SpringWheat), ("south", Crop::Barley)]
        {
            b.add(at, field(id));
            b.add(at, plan(id, crop));
        }
        b
    }

    fn add(&mut self, happened: DateTime, payload: impl Into<Payload>) -> Uuid {
        let n = self.0.len() as u64;
        let id = Uuid::from_u64_pair(0x0190_0000_0000_7000, 0x8000_0000_0000_0000 | n);
        self.0.push(Entry {
            id,
            happened,
            written: Timestamp::from_second(1_767_225_600 + 60 * n as i64).unwrap(),
            who: "Ada".into(),
            replaces: None,
            body: Body::Known(payload.into()),
        });
        id
    }

    fn farm(&self) -> Farm {
        Farm::fold(&self.0)
    }

    fn yard(&self) -> Yard {
        Yard::fold(&self.farm(), &Reference::shipped())
    }
}

fn bin(id: &str, job: BinJob, crop: Option<Crop>) -> Bin {
    Bin {
        id: id.into(),
        name: id.replace('-', " "),
        diameter_m: 6.0,
        wall_m: 5.0,
        floor: BinFloor::FLAT,
        fan: None,
        job,
        crop,
        capacity_m3: None,
        cleaned: None,
    }
}

fn field(id: &str) -> Field {
    Field {
        id: id.into(),
        name: id.into(),
        area_ha: 50.0,
        boundary: None,
        soil: SoilDescription::NotKnown,
        drainage: None,
        cover: None,
        distance_km: None,
        lie: None,
    }
}

fn plan(id: &str, crop: Crop) -> CropPlan {
    let data =
        serde_json::json!({"field": id, "crop_year": 2026, "crop": crop.key(), "target_yield_kg_ha": 3000.0});
    serde_json::from_value(data).expect("a plan")
}

fn aug(day: i8, hour: i8) -> DateTime {
    date(2026, 8, day).at(hour, 0, 0, 0)
}

fn off(name: &str, to: &str, kg: f64, moisture: f64) -> Load {
    let mut l =
        Load::new(LoadFrom::Field(name.into()), LoadTo::Bin(to.into()), Weighed::TruckScale, Some(kg));
    l.moisture_wb_pct = Some(moisture);
    l
}

fn out(name: &str, to: LoadTo, kg: f64) -> Load {
    Load::new(LoadFrom::Bin(name.into()), to, Weighed::TruckScale, Some(kg))
}

fn whole(name: &str) -> GrainSample {
    GrainSample {
        bin: name.into(),
        taken: SampledAt::Whole,
        probings: Some(12),
        moisture_wb_pct: None,
        dried_in_bin: None,
        temperature_c: None,
        test_weight_kg_hl: None,
        dockage_pct: None,
        protein_pct: None,
        protein_basis_pct: None,
        don_ppm: None,
        falling_number_s: None,
        factors: std::collections::BTreeMap::new(),
        grade: None,
        lab: None,
        bag: None,
    }
}

fn from(lot: &stook_grain::lot::Lot, name: &str) -> f64 {
    stook_yard::source::sources(lot)
        .into_iter()
        .filter(|(s, _)| matches!(s, Source::Field { field, .. } if field.as_str() == name))
        .map(|s| s.1)
        .sum()
}

#[test]
fn the_last_in_is_the_first_out_of_a_flat_bin() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 30_000.0, 14.0));
    b.add(aug(1, 14), off("creek", "bin-1", 20_000.0, 15.0));
    let yard = b.yard();
    let (lot, parts) = yard.bins[&"bin-1".into()].next_out(10_000.0);
    // A tenth comes evenly from all depths (20 of 50 t is creek), the rest from the top.
    assert!((from(&lot, "creek") - (9_000.0 + 400.0)).abs() < 1e-6, "{}", from(&lot, "creek"));
    assert!((from(&lot, "north") - 600.0).abs() < 1e-6);
    assert_eq!(parts.len(), 2);
    assert!((parts[0].1 - 9_400.0).abs() < 1e-6, "the latest in first");
}

#[test]
fn a_sample_takes_the_place_of_what_the_loads_said_and_keeps_their_difference() {
    let mut b = Book::new();
    for (at, name, protein) in [(10, "north", 13.0), (14, "creek", 15.0)] {
        let mut l = off(name, "bin-1", 20_000.0, 14.0);
        (l.protein_pct, l.protein_basis_pct) = (Some(protein), Some(13.5));
        b.add(aug(1, at), l);
    }
    let mut s = whole("bin-1");
    (s.protein_pct, s.protein_basis_pct) = (Some(13.6), Some(13.5));
    b.add(aug(2, 9), s);
    let yard = b.yard();
    let bin = &yard.bins[&"bin-1".into()];
    assert!((bin.lot().protein_pct(13.5).unwrap() - 13.6).abs() < 1e-9);
    let [bottom, top] = bin.layers() else { panic!("two layers") };
    let spread = top.lot.protein_pct(13.5).unwrap() - bottom.lot.protein_pct(13.5).unwrap();
    assert!((spread - 2.0).abs() < 1e-9, "{spread}");
    assert!((bin.mass_kg() - 40_000.0).abs() < 1e-6);
}

#[test]
fn drying_in_the_bin_takes_its_weight() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 40_000.0, 17.0));
    let mut s = whole("bin-1");
    (s.moisture_wb_pct, s.dried_in_bin) = (Some(14.5), Some(true));
    b.add(aug(20, 9), s);
    let yard = b.yard();
    let dry = 40_000.0 * 0.83 / 0.855;
    assert!((yard.bins[&"bin-1".into()].mass_kg() - dry).abs() < 1e-6);
    assert!((yard.ledger.air_water_kg - (40_000.0 - dry)).abs() < 1e-6);
    assert!(yard.ledger.gap_kg().abs() < 1e-6);
}

#[test]
fn what_cannot_be_is_said_plainly() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 10_000.0, 14.0));
    b.add(aug(2, 10), out("bin-1", LoadTo::Mill, 16_000.0));
    for k in 0..4 {
        b.add(aug(3, 8 + k), off("north", "bin-2", 40_000.0, 14.0));
    }
    b.add(aug(4, 10), off("south", "bin-2", 9_000.0, 13.0));
    let yard = b.yard();
    let said: Vec<&str> = yard.notices.iter().map(|n| n.sentence.as_str()).collect();
    let has = |words: &str| said.iter().any(|s| s.contains(words));
    assert!(has("bin 1 had 10.0 t by the book when 16.0 t was drawn"), "{said:?}");
    assert!(has("more than fits"), "{said:?}");
    assert!(has("held spring wheat when barley went in"), "{said:?}");
    assert!((yard.ledger.not_written.mass_kg() - 6_000.0).abs() < 1e-6);
}

#[test]
fn a_measure_and_the_loads_are_reconciled_by_how_sure_each_is() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 40_000.0, 14.0));
    let mut seen = BinMeasured {
        bin: "bin-1".into(),
        depth_m: None,
        down_m: None,
        heap: None,
        volume_m3: Some(40_000.0 * 1.02 / (772.0 * 1.03)),
        test_weight_kg_hl: None,
        crop: None,
        moisture_wb_pct: None,
    };
    b.add(aug(2, 9), seen.clone());
    let yard = b.yard();
    let Happened::Measured { book, seen: tape, taken, differs } = &yard.bins[&"bin-1".into()].history[1].what
    else {
        panic!("a measure")
    };
    assert!(!differs && book.kg < taken.kg && taken.kg < tape.kg);
    assert!((tape.kg - 40_800.0).abs() < 1.0);
    assert!(taken.kg - book.kg < 30.0, "a scale is surer than a tape: {taken:?}");
    // Half of it gone is no matter of sureness.
    seen.volume_m3 = Some(25.0);
    b.add(aug(3, 9), seen);
    let yard = b.yard();
    assert!((yard.bins[&"bin-1".into()].mass_kg() - 25.0 * 772.0 * 1.03).abs() < 1.0);
    assert!(yard.notices.iter().any(|n| n.sentence.contains("less than the loads say")));
    assert!(yard.ledger.gap_kg().abs() < 1e-6);
}

#[test]
fn a_bin_closes_with_what_is_missing() {
    let mut b = Book::new();
    for hour in [10, 12, 14] {
        b.add(aug(1, hour), off("north", "bin-1", 20_000.0, 14.0));
    }
    b.add(aug(20, 9), out("bin-1", LoadTo::Buyer("Elevator".into()), 40_000.0));
    let mut last = out("bin-1", LoadTo::Mill, 19_500.0);
    last.emptied = true;
    b.add(aug(21, 9), last);
    let yard = b.yard();
    let bin = &yard.bins[&"bin-1".into()];
    assert!(bin.is_empty());
    let a = adds_up::since_empty(bin);
    assert!(a.closed && (a.missing_kg - 500.0).abs() < 1e-6 && a.gap_kg().abs() < 1e-6, "{a:?}");
    let said = a.sentence(&|kg| format!("{kg:.0} kg"));
    assert!(said.starts_with("In 60000 kg, out 59500 kg, missing 500 kg."), "{said}");
    assert!(said.contains("within what the scales"), "{said}");
}

#[test]
fn a_field_result_by_hand() {
    let mut b = Book::new();
    let mut l = off("north", "bin-1", 100_000.0 / 2.0, 16.0);
    l.dockage_pct = Some(2.0);
    b.add(aug(1, 10), l.clone());
    b.add(aug(1, 14), l);
    b.add(aug(1, 6), Price { what: "wheat".into(), value: 300.0, unit: "t".into() });
    let (farm, yard, r) = (b.farm(), b.yard(), Reference::shipped());
    let [x] = result::results(&farm, &yard, &r, 2026).try_into().unwrap_or_else(|v: Vec<_>| panic!("{v:?}"));
    // 100 t less 2 % dockage, 84 % dry matter, at 14.5 %: 98 x 84 / 85.5.
    let clean = 98_000.0 * 84.0 / 85.5;
    assert!((x.standard_kg - clean).abs() < 1e-6);
    assert!((x.yield_kg_ha - clean / 50.0).abs() < 1e-9);
    assert!((x.water_kg - (98_000.0 - clean)).abs() < 1e-6);
    assert!(x.working.adds_up(1.0));
    assert!((x.money.value_ha.unwrap() - 0.3 * clean / 50.0).abs() < 1e-6);
    assert!(x.money.not_counted.iter().any(|n| n == "fertilizer"));
}

#[test]
fn a_ticket_against_our_own_sample() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 60_000.0, 14.0));
    let mut s = whole("bin-1");
    (s.protein_pct, s.protein_basis_pct) = (Some(13.8), Some(13.5));
    s.test_weight_kg_hl = Some(79.0);
    s.factors = [("hvk_pct".to_string(), 80.0), ("foreign_pct".to_string(), 0.9)].into();
    b.add(aug(3, 9), s);
    b.add(
        aug(4, 7),
        Buyer::new(
            "Elevator",
            Crop::SpringWheat,
            [("No. 1 CWRS", 300.0), ("No. 2 CWRS", 290.0), ("No. 3 CWRS", 270.0)]
                .map(|(g, p)| GradePrice { grade: g.into(), price_per_t: p })
                .to_vec(),
        ),
    );
    let mut l = out("bin-1", LoadTo::Buyer("Elevator".into()), 40_000.0);
    l.ticket = Some("100".into());
    b.add(aug(5, 10), l);
    b.add(
        aug(5, 11),
        Settlement {
            buyer: "elevator".into(),
            ticket: Some("100".into()),
            crop: Crop::SpringWheat,
            grade: Some("No. 3 CWRS".into()),
            gross_kg: 57_000.0,
            tare_kg: 17_000.0,
            dockage_pct: 1.0,
            moisture_wb_pct: Some(14.0),
            protein_pct: Some(13.7),
            moisture: MoistureSettled::Straight,
            moisture_per_t: None,
            shrink_to_pct: None,
            price_t: 270.0,
            protein_t: 0.0,
            discount_t: 0.0,
            freight_t: 0.0,
            elevation_t: 0.0,
            cleaning_t: 0.0,
            inspection_t: 0.0,
            levy_t: 1.0,
            advance: 0.0,
            theirs: TheirFigures {
                net_t: Some(39.0),
                payable: Some(39.0 * 269.0),
                ..TheirFigures::default()
            },
        },
    );
    let (farm, yard) = (b.farm(), b.yard());
    let c = ticket::check(&farm, &yard, &Reference::shipped(), &farm.settlements[0]);
    // 40 t less 1 % is 39.6 t: they paid on 39.0.
    assert!((c.short.unwrap() - 0.6 * 269.0).abs() < 1e-6, "{:?}", c.short);
    let wrong: Vec<_> = c.lines.iter().filter_map(|l| l.disagrees.as_ref()).filter(|d| d.at_fault).collect();
    assert_eq!(wrong.len(), 1, "{wrong:?}");
    assert_eq!(wrong[0].line, stook_grain::settle::LineKey::NetT);
    let ours = c.ours.unwrap();
    assert_eq!(ours.graded.unwrap().grade, "No. 2 CWRS");
    assert!((c.grade_costs_per_t.unwrap() - 20.0).abs() < 1e-9);
    // Foreign material alone holds it at No. 2.
    assert_eq!(c.factors_cost[0].0, "foreign_pct");
    assert!((c.factors_cost[0].2.unwrap() - 10.0).abs() < 1e-9);
    assert_eq!(c.dispute_until, date(2026, 8, 20));
}

#[test]
fn every_bin_gets_a_job_and_what_has_no_room_is_said() {
    let mut b = Book::new();
    // Old barley in its bin.
    b.add(
        date(2026, 6, 1).at(9, 0, 0, 0),
        BinMeasured {
            bin: "bin-4".into(),
            depth_m: Some(1.0),
            down_m: None,
            heap: None,
            volume_m3: None,
            test_weight_kg_hl: None,
            crop: None,
            moisture_wb_pct: None,
        },
    );
    let (yard, r) = (b.yard(), Reference::shipped());
    let e = |field: &str, crop: Crop, kg: f64| Expected {
        field: field.into(),
        crop,
        low_kg: 0.8 * kg,
        kg,
        high_kg: 1.2 * kg,
        why: String::new(),
    };
    let all = [
        e("north", Crop::SpringWheat, 100_000.0),
        e("creek", Crop::SpringWheat, 90_000.0),
        e("south", Crop::Barley, 60_000.0),
    ];
    let p = jobs::plan(&yard, &r, &all, 2026);
    let placed: f64 = p.jobs.iter().flat_map(|j| &j.parts).map(|x| x.kg).sum();
    let without: f64 = p.no_room.values().sum();
    assert!((placed + without - 250_000.0).abs() < 1e-6);
    // Barley's own bin holds old grain and every other empty one is taken by wheat.
    assert!((p.no_room["barley"] - 60_000.0).abs() < 1e-6, "{p:?}");
    assert!(p.no_room_high.values().sum::<f64>() > without);
    for j in &p.jobs {
        let crops: std::collections::BTreeSet<_> = j
            .parts
            .iter()
            .filter_map(|x| all.iter().find(|e| e.field == x.field))
            .map(|e| e.crop.key())
            .collect();
        assert!(crops.len() <= 1, "{j:?}");
        assert!(j.left_kg >= 0.0);
    }
    let old = p.jobs.iter().find(|j| j.bin.as_str() == "bin-4").unwrap();
    assert!(old.parts.is_empty() && old.first.contains("old grain"));
    let wet = p.jobs.iter().find(|j| j.bin.as_str() == "bin-3").unwrap();
    assert!(wet.parts.is_empty());
}

#[test]
fn wet_grain_likely_by_own_loads() {
    let mut b = Book::new();
    b.add(aug(1, 10), off("north", "bin-1", 30_000.0, 14.0));
    b.add(aug(1, 14), off("north", "bin-1", 10_000.0, 16.5));
    let w = jobs::wetness(&b.yard(), &Reference::shipped(), &Crop::SpringWheat, 2027).unwrap();
    assert!((w.share - 0.25).abs() < 1e-12 && (w.points - 2.0).abs() < 1e-9 && w.years == 1);
    assert_eq!(jobs::wetness(&b.yard(), &Reference::shipped(), &Crop::Barley, 2027), None);
}
