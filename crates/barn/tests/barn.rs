//! A small farm with a barn: trace both ways, treated seed refused, feed on hand, the ration, mill or trough.

use jiff::civil::{Date, DateTime, date};
use stook_barn::plan::Goes;
use stook_barn::rations::{self, Asked};
use stook_barn::trace::{self, From};
use stook_barn::{Facts, batch, feed_bins, plan, step_in, visitors};
use stook_book::payload::{
    AcceptedRation, BatchLine, Bid, Bin, BinFloor, BinJob, BinMeasured, Crop, CropPlan, FarmSetUp, FeedBatch,
    FeedBin, FeedLevel, Field, GrainSample, GroupKind, HerdGroup, Load, LoadFrom, LoadTo, Mixer, Place,
    RationItem, SampledAt, SeedLot, SoilDescription, Weighed,
};
use stook_book::{Entry, Farm, Payload, validate};
use stook_feed::Phase;
use stook_measure::Reference;

const DAY: Date = date(2026, 1, 15);

fn entry(at: DateTime, p: impl Into<Payload>) -> Entry {
    Entry::new(at, "Ada", p)
}

fn bin(id: &str, job: BinJob) -> Bin {
    Bin {
        id: id.into(),
        name: id.replace("bin-", "Bin "),
        diameter_m: 9.0,
        wall_m: 7.0,
        floor: BinFloor::FLAT,
        fan: None,
        job,
        crop: None,
        capacity_m3: None,
        cleaned: None,
    }
}

fn sample(id: &str, protein: f64, don: f64) -> GrainSample {
    GrainSample {
        bin: id.into(),
        taken: SampledAt::Whole,
        probings: Some(12),
        moisture_wb_pct: Some(14.0),
        dried_in_bin: Some(false),
        temperature_c: None,
        test_weight_kg_hl: Some(78.0),
        dockage_pct: None,
        protein_pct: Some(protein),
        protein_basis_pct: Some(13.5),
        don_ppm: Some(don),
        falling_number_s: None,
        factors: std::collections::BTreeMap::new(),
        grade: None,
        lab: None,
        bag: None,
    }
}

fn bid(buyer: &str, crop: Crop, price_per_t: f64) -> Bid {
    Bid {
        buyer: buyer.into(),
        crop,
        price_per_t,
        grade: None,
        from: None,
        to: None,
        least_protein_pct: None,
        base_protein_pct: None,
        premium_per_t_point: None,
        dock_per_t_point: None,
        premium_to_pct: None,
        most_don_ppm: None,
        haul_per_t: None,
        most_t_month: None,
        committed_t: None,
    }
}

fn line(of: &str, bin: Option<&str>, kg: f64) -> BatchLine {
    BatchLine {
        of: of.into(),
        bin: bin.map(Into::into),
        straight: false,
        lot: None,
        asked_kg: kg,
        weighed_kg: kg,
    }
}

fn batch_of(number: &str, from: &str) -> FeedBatch {
    FeedBatch {
        ration: "grower-1".into(),
        number: number.into(),
        lines: vec![
            line("spring_wheat", Some(from), 700.0),
            line("barley", Some("bin-3"), 250.0),
            line("sbm_dehulled", None, 50.0),
        ],
        mixer: Some("mixer".into()),
        into: Some("grower-bin".into()),
        mixed_min: None,
        flushed: false,
    }
}

fn story() -> Vec<Entry> {
    let start = date(2025, 7, 1).at(8, 0, 0, 0);
    let mut all = vec![entry(
        start,
        FarmSetUp {
            name: "Small".into(),
            place: Place {
                lat_deg: 50.0,
                lon_deg: -101.0,
                elevation_m: 500.0,
                time_zone: "America/Winnipeg".into(),
                region: None,
            },
        },
    )];
    for (f, crop) in [("east", Crop::SpringWheat), ("west", Crop::SpringWheat), ("hill", Crop::Barley)] {
        all.push(entry(
            start,
            Field {
                id: f.into(),
                name: f.into(),
                area_ha: 60.0,
                boundary: None,
                soil: SoilDescription::NotKnown,
                drainage: None,
                cover: None,
                distance_km: None,
            },
        ));
        all.push(entry(
            start,
            CropPlan {
                field: f.into(),
                crop_year: 2025,
                crop,
                cultivar_class: None,
                cultivar: None,
                target_yield_kg_ha: None,
                best_seeding_until: None,
                head_blight: None,
                last_seeding_day: None,
            },
        ));
    }
    for (b, job) in
        [("bin-1", BinJob::Mill), ("bin-2", BinJob::Feed), ("bin-3", BinJob::Feed), ("bin-4", BinJob::Any)]
    {
        all.push(entry(start, bin(b, job)));
    }
    for (field, to, n) in [("east", "bin-1", 10), ("west", "bin-2", 10), ("hill", "bin-3", 8)] {
        for k in 0..n {
            let at = date(2025, 8, 25).at(9 + k, 0, 0, 0);
            all.push(entry(
                at,
                Load::new(
                    LoadFrom::Field(field.into()),
                    LoadTo::Bin(to.into()),
                    Weighed::TruckScale,
                    Some(16_000.0),
                ),
            ));
        }
    }
    let sampled = date(2025, 10, 18).at(10, 0, 0, 0);
    all.push(entry(sampled, sample("bin-1", 14.3, 0.2)));
    all.push(entry(sampled, sample("bin-2", 12.3, 0.6)));
    all.push(entry(sampled, sample("bin-3", 11.5, 0.3)));
    let wheat = Bid {
        base_protein_pct: Some(13.5),
        premium_per_t_point: Some(14.0),
        dock_per_t_point: Some(35.0),
        most_don_ppm: Some(1.0),
        ..bid("Elevator", Crop::SpringWheat, 285.0)
    };
    all.push(entry(date(2026, 1, 10).at(9, 0, 0, 0), wheat));
    all.push(entry(date(2026, 1, 10).at(9, 0, 0, 0), bid("Feed mill", Crop::SpringWheat, 226.0)));
    all.push(entry(date(2026, 1, 10).at(9, 0, 0, 0), bid("Feed mill", Crop::Barley, 200.0)));
    all.push(entry(
        start,
        FeedBin {
            id: "grower-bin".into(),
            name: "Grower bin".into(),
            holds_kg: 6_000.0,
            phase: Some("grower_1".into()),
        },
    ));
    all.push(entry(
        start,
        Mixer {
            id: "mixer".into(),
            name: "mixer".into(),
            batch_kg: 1000.0,
            step_kg: Some(1.0),
            hand_step_kg: Some(0.1),
            small_step_kg: Some(0.01),
            mix_min: None,
        },
    ));
    all.push(entry(
        date(2026, 1, 5).at(7, 0, 0, 0),
        HerdGroup {
            id: "pen-1".into(),
            name: "Pen 1".into(),
            kind: GroupKind::Growing,
            head: 300,
            mean_kg: Some(32.0),
            sex: None,
            sold_at_kg: None,
            feed_bin: Some("grower-bin".into()),
            bedded: false,
        },
    ));
    all.push(entry(
        date(2025, 12, 1).at(7, 0, 0, 0),
        AcceptedRation {
            id: "grower-1".into(),
            name: "grower 1".into(),
            phase: "grower_1".into(),
            items: vec![
                RationItem { of: "spring_wheat".into(), bin: Some("bin-2".into()), share_pct: 70.0 },
                RationItem { of: "barley".into(), bin: Some("bin-3".into()), share_pct: 25.0 },
                RationItem { of: "sbm_dehulled".into(), bin: None, share_pct: 5.0 },
            ],
            cost_t: Some(250.0),
            reviewed_by: None,
        },
    ));
    all.push(entry(
        date(2026, 1, 6).at(6, 0, 0, 0),
        Load::new(LoadFrom::Bin("bin-2".into()), LoadTo::Mill, Weighed::CartScale, Some(8_000.0)),
    ));
    all.push(entry(
        date(2026, 1, 6).at(6, 30, 0, 0),
        Load::new(LoadFrom::Bin("bin-3".into()), LoadTo::Mill, Weighed::CartScale, Some(5_000.0)),
    ));
    all.push(entry(date(2026, 1, 6).at(8, 0, 0, 0), batch_of("26-001", "bin-2")));
    all.push(entry(
        date(2026, 1, 12).at(6, 30, 0, 0),
        FeedLevel { feed_bin: "grower-bin".into(), kg: 2_000.0 },
    ));
    all.push(entry(date(2026, 1, 13).at(8, 0, 0, 0), batch_of("26-002", "bin-2")));
    all
}

fn farm() -> Farm {
    Farm::fold(&story())
}

#[test]
fn a_bag_leads_to_its_field_and_its_pen_and_back() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let t = trace::trace(&f, &From::Batch("26-001".into())).unwrap();
    let fields: Vec<&str> = t.fields.iter().map(|x| x.field.as_str()).collect();
    assert_eq!(fields, ["west", "hill"]);
    assert_eq!(t.groups.len(), 1);
    assert_eq!(t.groups[0].0.as_str(), "pen-1");
    assert!((t.fields.iter().map(|x| x.share).sum::<f64>() - 1.0).abs() < 1e-9);
    // From the field to the pen.
    let back = trace::trace(&f, &From::Field("west".into())).unwrap();
    assert_eq!(back.batches.len(), 2);
    assert_eq!(back.groups[0].0.as_str(), "pen-1");
    assert!(trace::trace(&f, &From::Field("east".into())).unwrap().batches.is_empty());
    // From the pen to the field, with what to do.
    let pen = trace::trace(&f, &From::Group("pen-1".into())).unwrap();
    assert!(pen.words.iter().any(|w| w.contains("veterinarian")));
    assert!(pen.fields.iter().any(|x| x.field.as_str() == "west"));
    assert!(trace::trace(&f, &From::Batch("99-1".into())).is_err());
}

#[test]
fn treated_seed_never_goes_into_a_batch() {
    let mut all = story();
    let seed = SeedLot {
        id: "lot-4".into(),
        crop: Crop::SpringWheat,
        cultivar: None,
        tkw_g: None,
        germination_pct: None,
        vigour_pct: None,
        treated: true,
        bin: Some("bin-4".into()),
        fusarium_pct: None,
        on_hand_kg: None,
    };
    all.push(entry(date(2025, 12, 20).at(9, 0, 0, 0), seed));
    all.push(entry(
        date(2025, 12, 20).at(10, 0, 0, 0),
        Load::new(
            LoadFrom::Field("east".into()),
            LoadTo::Bin("bin-4".into()),
            Weighed::TruckScale,
            Some(9_000.0),
        ),
    ));
    let farm = Farm::fold(&all);
    let now = jiff::Timestamp::now();
    let refused = |b: FeedBatch| {
        let e = entry(DAY.at(9, 0, 0, 0), b);
        validate(&e, &farm, &Reference::shipped(), now)
            .err()
            .map(|p| p.into_iter().map(|x| x.sentence).collect::<Vec<_>>().join(" "))
    };
    assert_eq!(refused(batch_of("26-050", "bin-2")), None);
    assert!(refused(batch_of("26-051", "bin-4")).unwrap().contains("Treated seed never goes into feed"));
    let mut named = batch_of("26-052", "bin-2");
    named.lines[2].lot = Some("lot-4".into());
    assert!(refused(named).unwrap().contains("treated seed lot"));
    // Nor is it on offer to a ration, nor in the plan.
    let f = Facts::new(&farm, DAY);
    let r = rations::answer(&f, Phase::Grower1, Asked::default()).unwrap();
    assert!(r.ration.unwrap().parts.iter().all(|p| p.key != "bin-4"));
    assert!(plan::answer(&f).unwrap().lots.iter().all(|l| l.lot.bin.as_str() != "bin-4"));
    // Emptied and swept, the bin is free again.
    let swept = BinMeasured {
        bin: "bin-4".into(),
        depth_m: None,
        down_m: None,
        heap: None,
        volume_m3: Some(0.0),
        test_weight_kg_hl: None,
        crop: None,
        moisture_wb_pct: None,
    };
    all.push(entry(date(2026, 1, 2).at(9, 0, 0, 0), swept));
    let farm = Farm::fold(&all);
    assert_eq!(farm.treated_seed_in(&"bin-4".into(), DAY.at(9, 0, 0, 0)), None);
}

#[test]
fn feed_on_hand_falls_by_what_they_eat_and_rises_by_batches() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let bins = feed_bins::today(&f);
    let b = &bins[0];
    assert!(b.eaten_kg_d > 300.0 && b.eaten_kg_d < 600.0, "{}", b.eaten_kg_d);
    // 2,000 seen three days ago and a tonne put in since.
    assert!((b.kg.unwrap() - (3000.0 - 3.0 * b.eaten_kg_d)).abs() < 150.0, "{:?}", b.kg);
    assert!((b.days_left.unwrap() - b.kg.unwrap() / b.eaten_kg_d).abs() < 0.5);
    let mill = feed_bins::to_mill(&f, 6.0);
    assert_eq!(mill[0].phase, Phase::Grower1);
}

#[test]
fn the_low_protein_bin_is_fed_and_the_high_one_sold() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let w = plan::answer(&f).unwrap();
    let of = |b: &str| w.lots.iter().find(|l| l.lot.bin.as_str() == b).unwrap();
    assert_eq!(of("bin-1").goes, Goes::Mill, "{}", of("bin-1").words);
    assert!(of("bin-2").fed_t > 10.0, "{}", of("bin-2").words);
    assert!(of("bin-2").trough_t.unwrap() > of("bin-2").mill_t.unwrap());
    for l in &w.lots {
        assert!((l.fed_t + l.sold_t + l.left_t - l.lot.tonnes).abs() < 1e-4, "{}", l.words);
    }
    assert!(w.what_if.len() >= 5);
    for h in &w.hold {
        assert!(h.working.adds_up(1.0 + 0.02 * h.hold_t), "{:?}", h.working);
        assert!(h.hold_t > h.wanted_t.p50);
    }
}

#[test]
fn the_sheet_closes_and_says_what_is_wrong() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let s = batch::sheet(&f, &"grower-1".into()).unwrap();
    assert!((s.lines.iter().map(|l| l.kg).sum::<f64>() - s.total_kg).abs() < 1e-6);
    assert_eq!(s.number, "26-003");
    assert!(s.notes.iter().any(|n| n.contains("No nutritionist")));
    // Wheat, barley and soybean meal alone meet no grower's need.
    assert!(s.notes.iter().any(|n| n.contains("By today's tests")), "{:?}", s.notes);
    assert!(batch::sheet(&f, &"none".into()).is_err());
}

#[test]
fn a_lot_is_stepped_in_and_a_field_became_something() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let s = step_in::answer(&f, &"bin-2".into()).unwrap();
    assert!(s.steps.windows(2).all(|w| w[0].share <= w[1].share) && s.steps.last().unwrap().share == 1.0);
    let b = visitors::became(&f, &"west".into(), 2025).unwrap();
    assert!((b.off_t - 160.0).abs() < 0.1 && (b.fed_t - 8.0).abs() < 0.2);
    assert!((b.fed_t + b.sold_t + b.kept_t + b.sown_t - b.off_t).abs() < 0.5);
    assert!(b.working.adds_up(0.3));
    assert!(visitors::became(&f, &"west".into(), 1999).is_err());
}
