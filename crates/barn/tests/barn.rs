//! A small farm with a barn: trace both ways, treated seed refused, feed on hand, the ration, mill or trough.

use jiff::civil::{Date, DateTime, date};
use stook_barn::plan::Goes;
use stook_barn::rations::{self, Asked};
use stook_barn::trace::{self, From};
use stook_barn::{Facts, batch, cash, closeout, feed_bins, goats, hold, plan, step_in, straw, visitors};
use stook_book::payload::{
    AcceptedRation, BatchLine, Bid, Bin, BinFloor, BinJob, BinMeasured, Breeding, Buyer, Cost, CostKind,
    Crop, CropPlan, FarmSetUp, FeedBatch, FeedBin, FeedLevel, Field, GradePrice, GrainSample, GroupKind,
    HerdGroup, HerdMove, Load, LoadFrom, LoadTo, LocalNumber, Mixer, MoneyIn, MoveWhy, Place, Price,
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
                lie: None,
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

fn with(more: Vec<Entry>) -> Farm {
    let mut all = story();
    all.extend(more);
    let farm = Farm::fold(&all);
    assert!(farm.warnings.is_empty(), "{:?}", farm.warnings);
    farm
}

#[test]
fn a_smaller_risk_holds_more_and_the_plan_keeps_it() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let hold = |pct: f64| hold::answer(&f, Some(pct)).into_iter().find(|h| h.crop == "spring_wheat").unwrap();
    let (even, ten, fifty) = (hold(50.0), hold(10.0), hold(2.0));
    assert!((even.hold_t - even.wanted_t.p50).abs() < 1e-6, "half the years: the likely need and no more");
    assert!((ten.hold_t - ten.wanted_t.p90).abs() < 1e-3 && fifty.hold_t > ten.hold_t);
    assert!((ten.free_t - (ten.have_t - ten.hold_t)).abs() < 1e-9);
    assert_eq!(
        (hold::enough_words(10.0).as_str(), hold::enough_words(2.0).as_str()),
        ("9 years in 10", "49 years in 50")
    );
    // What is kept in hand lies there at the end of the plan.
    let asked = plan::Asked { short_pct: Some(2.0), ..plan::Asked::default() };
    let w = plan::answer_to(&f, &asked).unwrap();
    let left: f64 = w.lots.iter().filter(|l| l.lot.crop == "spring_wheat").map(|l| l.left_t).sum();
    let margin = (fifty.hold_t - fifty.wanted_t.p50).min(fifty.have_t - fifty.wanted_t.p50);
    assert!(margin > 0.0 && left >= margin - 0.01, "{left} {margin}");
    // Remembered as the farm's own number.
    let own = with(vec![entry(
        date(2026, 1, 14).at(9, 0, 0, 0),
        LocalNumber {
            name: "barn.hold.short_chance_pct".into(),
            value: 2.0,
            why: "we cannot buy in July".into(),
        },
    )]);
    let f = Facts::new(&own, DAY);
    assert!((hold::answer(&f, None)[0].short_pct - 2.0).abs() < 1e-9);
}

#[test]
fn a_bid_of_old_is_read_as_an_offer_and_a_new_one_is_refused() {
    let b =
        Bid { committed_t: Some(40.0), haul_per_t: Some(8.0), ..bid("Elevator", Crop::SpringWheat, 285.0) };
    let now: jiff::Timestamp = "2026-01-15T12:00:00Z".parse().unwrap();
    let farm = farm();
    let e = validate(&entry(DAY.at(9, 0, 0, 0), b.clone()), &farm, &Reference::shipped(), now).unwrap_err();
    assert!(e[0].sentence.contains("buyer's offer"));
    let farm = Farm::fold(&[entry(DAY.at(9, 0, 0, 0), b)]);
    let o = &farm.buyers[0].is;
    assert_eq!(
        (o.name.as_str(), o.price(""), o.freight_per_t, o.tonnes),
        ("Elevator", Some(285.0), Some(8.0), Some(40.0))
    );
    assert!(o.contract.is_some(), "what was sold must be delivered");
}

#[test]
fn a_contract_on_the_average_counts_what_was_delivered_and_is_said() {
    let offer = Buyer {
        lowest_protein_pct: Some(13.0),
        average: true,
        tonnes: Some(60.0),
        contract: Some("C-7".into()),
        ..Buyer::new("Mill", Crop::SpringWheat, vec![GradePrice { grade: String::new(), price_per_t: 300.0 }])
    };
    let farm = with(vec![
        entry(date(2026, 1, 8).at(9, 0, 0, 0), offer),
        // Twenty tonnes of the low bin went first.
        entry(
            date(2026, 1, 9).at(9, 0, 0, 0),
            Load::new(
                LoadFrom::Bin("bin-2".into()),
                LoadTo::Buyer("Mill".into()),
                Weighed::BuyerTicket,
                Some(20_000.0),
            ),
        ),
    ]);
    let f = Facts::new(&farm, DAY);
    let w = plan::answer(&f).unwrap();
    let b = w.blends.iter().find(|b| b.what == "protein").unwrap();
    let (t, had) = b.had.unwrap();
    assert!((t - 20.0).abs() < 0.1 && had < 13.0, "{b:?}");
    assert!((b.tonnes - 40.0).abs() < 0.5, "the rest of the sixty: {}", b.tonnes);
    assert!(b.comes_to.unwrap() >= 13.0 - 1e-6, "{b:?}");
    assert!(w.notes.iter().any(|n| n.contains("average delivered")));
    let r = w.worth_range.unwrap();
    assert!(r.p10 < r.p50 && r.p50 < r.p90);
    let point = w.what_if.iter().find(|c| c.what.contains("a point higher")).unwrap();
    assert!(point.money > 0.0, "{}", point.money);
}

#[test]
fn grain_that_will_not_keep_is_gone_in_time() {
    let farm = farm();
    let f = Facts::new(&farm, DAY);
    let life = std::collections::BTreeMap::from([
        ("bin-2".into(), plan::Life { days: 40.0, at_least: false }),
        ("bin-1".into(), plan::Life { days: 60.0, at_least: true }),
    ]);
    let w =
        plan::answer_to(&f, &plan::Asked { short_pct: None, life: std::borrow::Cow::Owned(life) }).unwrap();
    assert_eq!(w.finish[0].bin.as_str(), "bin-2");
    let two = w.lots.iter().find(|l| l.lot.bin.as_str() == "bin-2").unwrap();
    // One that keeps at least so long is not hurried.
    assert!(!w.finish[1].until.eq(&w.finish[0].until));
    assert!(two.left_t < 1e-6 && w.finish[0].last_used.unwrap() <= date(2026, 2, 28), "{:?}", w.finish[0]);
}

#[test]
fn pigs_pay_and_bills_fall_due() {
    let farm = with(vec![
        entry(
            date(2026, 1, 10).at(9, 0, 0, 0),
            Price { what: "market_pig".into(), value: 200.0, unit: "head".into() },
        ),
        entry(
            date(2026, 1, 10).at(9, 5, 0, 0),
            Cost {
                kind: CostKind::Land,
                what: None,
                crop_year: 2025,
                field: Some("east".into()),
                crop: None,
                per_ha: Some(100.0),
                amount: None,
                due: Some(date(2026, 3, 20)),
            },
        ),
        entry(
            date(2026, 1, 10).at(9, 6, 0, 0),
            MoneyIn { what: "rebate".into(), amount: 700.0, due: date(2026, 3, 5) },
        ),
    ]);
    let f = Facts::new(&farm, DAY);
    let w = plan::answer(&f).unwrap();
    let sum = |x: &dyn Fn(&cash::CashMonth) -> f64| w.cash.iter().map(x).sum::<f64>();
    assert!(
        (sum(&|c| c.pigs.unwrap()) - 300.0 * 200.0).abs() < 1e-6,
        "300 pigs reach their weight in the plan"
    );
    assert!((sum(&|c| c.due) - 6_000.0).abs() < 1e-6 && (sum(&|c| c.other) - 700.0).abs() < 1e-6);
    let last = w.cash.last().unwrap();
    let all = sum(&|c| c.sales + c.pigs.unwrap() + c.other - c.bought - c.due);
    assert!((last.running - all).abs() < 1e-6);
}

#[test]
fn a_shared_feed_bin_is_split_by_what_each_group_eats() {
    let pen = |id: &str, head: u32| HerdGroup {
        id: id.into(),
        name: id.into(),
        kind: GroupKind::Growing,
        head,
        mean_kg: Some(40.0),
        sex: None,
        sold_at_kg: Some(125.0),
        feed_bin: Some("grower-bin".into()),
        bedded: true,
    };
    let sold = |id: &str, head: u32| HerdMove {
        group: id.into(),
        to: None,
        why: MoveWhy::Sold,
        head,
        mean_kg: Some(52.0),
        last: true,
    };
    let farm = with(vec![
        entry(date(2026, 1, 1).at(7, 0, 0, 0), pen("pen-2", 100)),
        entry(date(2026, 1, 1).at(7, 0, 0, 0), pen("pen-3", 300)),
        entry(date(2026, 1, 14).at(7, 0, 0, 0), sold("pen-2", 100)),
        entry(date(2026, 1, 14).at(7, 0, 0, 0), sold("pen-3", 300)),
    ]);
    let f = Facts::new(&farm, DAY);
    let (two, three) =
        (closeout::answer(&f, &"pen-2".into()).unwrap(), closeout::answer(&f, &"pen-3".into()).unwrap());
    assert!(
        two.shared_bin && (three.feed_kg / two.feed_kg - 3.0).abs() < 0.02,
        "{} {}",
        two.feed_kg,
        three.feed_kg
    );
    assert!(two.own_share + three.own_share < 1.0, "pen 1 ate there too");
    assert!(two.working.adds_up(0.05), "{:?}", two.working);
    // Straw for those still bedded.
    assert!(straw::answer(&f).is_none());
}

#[test]
fn the_goats_year_follows_the_buck() {
    let does = HerdGroup {
        id: "does".into(),
        name: "Does".into(),
        kind: GroupKind::GoatsDry,
        head: 40,
        mean_kg: Some(58.0),
        sex: None,
        sold_at_kg: None,
        feed_bin: None,
        bedded: true,
    };
    let breeding = |buck_in| Breeding { group: "does".into(), buck_in, buck_out: None };
    let at = date(2025, 9, 20).at(9, 0, 0, 0);
    let farm = with(vec![entry(at, does), entry(at, breeding(date(2025, 10, 12)))]);
    let year = |d: Date| goats::year(&Facts::new(&farm, d), &"does".into());
    let y = year(date(2025, 10, 5)).unwrap();
    assert_eq!((y.flush.0, y.kidding.0), (date(2025, 9, 28), date(2026, 3, 11)));
    assert!(y.flush_kg.is_some() && year(date(2025, 12, 5)).unwrap().flush_kg.is_none());
    // Late pregnancy is fed as such though the group is still written as dry.
    let grain = |d: Date| goats::today(&Facts::new(&farm, d))[0].tdn_kg;
    assert!(grain(date(2026, 2, 1)) > grain(date(2025, 12, 20)) + 0.3);
    assert!(year(date(2026, 9, 1)).is_none());
    // Forty goats on straw to mid-August.
    let s = straw::answer(&Facts::new(&farm, date(2026, 1, 15))).unwrap();
    let days = f64::from((s.until - date(2026, 1, 15)).get_days());
    assert!((s.wanted_kg - 40.0 * 0.45 * days).abs() < 1e-6 && s.have_kg.is_none() && s.working.adds_up(1.0));
}
