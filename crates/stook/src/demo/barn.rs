//! Alder Bend's barn: a hundred sows farrow to finish, a two-tonne mixer, forty goats. Invented, like the rest.

use jiff::Span;
use jiff::civil::{Date, DateTime, date};
use stook_book::Payload;
use stook_book::payload::{
    AcceptedRation, BatchLine, BinId, BoughtIngredient, Breeding, Buyer, Crop, Deaths, DonStep, FeedBatch,
    FeedBin, FeedBinId, FeedLevel, GradePrice, GroupId, GroupKind, HerdGroup, HerdMove, IngredientId, Mixer,
    MixerId, MixerTest, MoveWhy, PaymentDue, Price, RationId, RationItem, ScaleCheck, ScaleOf, SieveCatch,
    SieveTest, StrawOnHand,
};

use super::YEAR;

const RATIONS: &str = include_str!("../../../../demo/rations.csv");
const INGREDIENTS: &str = include_str!("../../../../demo/ingredients.csv");

/// A room with the feed bin it eats from: key, name, head, kg, feed bin.
const ROOMS: [(&str, &str, u32, f64, &str); 7] = [
    ("nursery-1", "Nursery 1", 104, 9.0, "nursery-bin"),
    ("nursery-2", "Nursery 2", 156, 17.0, "nursery-bin"),
    ("grower-1", "Grower 1", 206, 36.0, "grower-bin"),
    ("grower-2", "Grower 2", 204, 62.0, "grower-bin-2"),
    ("finisher-1", "Finisher 1", 200, 86.0, "finisher-bin"),
    ("finisher-2", "Finisher 2", 148, 108.0, "finisher-bin-2"),
    ("boars-and-gilts", "Gilt pen", 14, 118.0, "finisher-bin-2"),
];

/// A feed bin: key, name, what it holds, phase, eaten a day.
const BINS: [(&str, &str, f64, &str, f64); 7] = [
    ("nursery-bin", "Nursery bin", 5_000.0, "starter_3", 240.0),
    ("grower-bin", "Grower bin", 8_000.0, "grower_1", 365.0),
    ("grower-bin-2", "Grower bin 2", 9_000.0, "grower_2", 500.0),
    ("finisher-bin", "Finisher bin", 9_000.0, "finisher_1", 560.0),
    ("finisher-bin-2", "Finisher bin 2", 9_000.0, "finisher_2", 420.0),
    ("dry-sow-bin", "Dry sow bin", 7_000.0, "gestation", 195.0),
    ("milk-sow-bin", "Milk sow bin", 4_500.0, "lactation", 99.0),
];

const MIXER_KG: f64 = 2_000.0;
const MIXER: &str = "mixer";

fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines().skip(1).map(|l| l.split(',').map(str::to_string).collect()).collect()
}

/// Set-up and the winter's and summer's work, to be cut at the demo's morning.
pub fn entries(add: &mut impl FnMut(DateTime, Payload)) {
    let start = date(YEAR - 1, 10, 20).at(19, 0, 0, 0);
    set_up(start, add);
    rations(start, add);
    money(add);
    herd(add);
    care(add);
    milling(add);
}

fn set_up(at: DateTime, add: &mut impl FnMut(DateTime, Payload)) {
    for row in rows(INGREDIENTS) {
        let number = |i: usize| row[i].parse::<f64>().ok();
        add(
            at,
            BoughtIngredient {
                id: IngredientId::from(row[0].as_str()),
                name: row[1].clone(),
                like: row[2].clone(),
                analysis: std::collections::BTreeMap::new(),
                most_pct: None,
                rate_pct: number(4),
                phytase_p_pct: number(5),
                copper: false,
                don_ppm: None,
                on_hand_kg: number(6),
                lot: (!row[7].is_empty()).then(|| row[7].clone()),
            }
            .into(),
        );
        if let Some(value) = number(3) {
            add(at, Price { what: row[2].clone(), value, unit: "t".into() }.into());
        }
    }
    for (id, name, holds_kg, phase, _) in BINS {
        add(
            at,
            FeedBin { id: FeedBinId::from(id), name: name.into(), holds_kg, phase: Some(phase.into()) }
                .into(),
        );
    }
    add(
        at,
        Mixer {
            id: MixerId::from(MIXER),
            name: "two-tonne mixer".into(),
            batch_kg: MIXER_KG,
            step_kg: Some(2.0),
            hand_step_kg: Some(0.1),
            small_step_kg: Some(0.02),
            mix_min: Some(5.0),
        }
        .into(),
    );
    for (y, m, d, samples) in [
        (YEAR - 1, 10, 22, [0.42, 0.44, 0.41, 0.45, 0.43, 0.40, 0.44, 0.42, 0.46, 0.43]),
        (YEAR, 4, 14, [0.44, 0.39, 0.47, 0.42, 0.40, 0.46, 0.43, 0.38, 0.45, 0.41]),
    ] {
        add(
            date(y, m, d).at(14, 0, 0, 0),
            MixerTest {
                mixer: MixerId::from(MIXER),
                tracer: "salt".into(),
                samples: samples.to_vec(),
                mixed_min: Some(5.0),
            }
            .into(),
        );
    }
}

/// The wheat and the barley that the mill draws on in a week, as the loads to it say.
fn draws_on(day: Date) -> (&'static str, &'static str) {
    let week = (day - date(YEAR - 1, 10, 27)).get_days().max(0) / 7;
    (if week < 24 { "bin-4" } else { "bin-2" }, if week < 40 { "bin-9" } else { "bin-10" })
}

fn items(row: &[String], wheat: &str, barley: &str) -> Vec<RationItem> {
    let header: Vec<&str> = RATIONS.lines().next().unwrap_or("").split(',').collect();
    let mut items: Vec<RationItem> = header
        .iter()
        .zip(row)
        .skip(2)
        .filter_map(|(of, share)| Some((*of, share.parse::<f64>().ok().filter(|s| *s > 0.0)?)))
        .map(|(of, share_pct)| match of {
            "wheat" => RationItem { of: "spring_wheat".into(), bin: Some(BinId::from(wheat)), share_pct },
            "barley" => RationItem { of: "barley".into(), bin: Some(BinId::from(barley)), share_pct },
            other => RationItem { of: other.into(), bin: None, share_pct },
        })
        .collect();
    let sum: f64 = items.iter().map(|i| i.share_pct).sum();
    items[0].share_pct = ((items[0].share_pct + 100.0 - sum) * 1e4).round() / 1e4;
    items
}

/// One version of each ration for each change of bins.
fn rations(at: DateTime, add: &mut impl FnMut(DateTime, Payload)) {
    for (n, day) in
        [at, date(YEAR, 4, 12).at(20, 0, 0, 0), date(YEAR, 8, 2).at(20, 0, 0, 0)].into_iter().enumerate()
    {
        let (wheat, barley) = draws_on(day.date().saturating_add(Span::new().days(2)));
        for row in rows(RATIONS) {
            add(
                day,
                AcceptedRation {
                    id: ration_id(&row[0], n),
                    name: format!("{} {}", row[0].replace('_', " "), n + 1),
                    phase: row[0].clone(),
                    items: items(&row, wheat, barley),
                    cost_t: row[1].parse().ok(),
                    reviewed_by: Some("the nutritionist".into()),
                }
                .into(),
            );
        }
    }
}

fn ration_id(phase: &str, version: usize) -> RationId {
    RationId::from(format!("{}-{}", phase.replace('_', "-"), version + 1).as_str())
}

fn version(day: Date) -> usize {
    match day {
        d if d >= date(YEAR, 8, 2) => 2,
        d if d >= date(YEAR, 4, 12) => 1,
        _ => 0,
    }
}

fn money(add: &mut impl FnMut(DateTime, Payload)) {
    let y = YEAR;
    for (bid_day, wheat, feed, barley, from, to) in [
        (date(y - 1, 11, 3), 284.0, 236.0, 176.0, date(y - 1, 11, 3), date(y, 1, 31)),
        (date(y, 1, 12), 288.0, 238.0, 176.0, date(y, 1, 12), date(y, 3, 31)),
        (date(y, 1, 12), 294.0, 240.0, 178.0, date(y, 5, 1), date(y, 7, 31)),
        (date(y, 4, 27), 292.0, 242.0, 182.0, date(y, 5, 1), date(y, 7, 31)),
        (date(y, 6, 22), 286.0, 236.0, 176.0, date(y, 6, 22), date(y, 9, 30)),
        (date(y, 8, 17), 280.0, 230.0, 172.0, date(y, 8, 17), date(y, 11, 30)),
    ] {
        let at = bid_day.at(12, 30, 0, 0);
        let offer = |buyer: &str, crop: Crop, prices: &[(&str, f64)], haul: f64| Buyer {
            from: Some(from),
            until: Some(to),
            freight_per_t: Some(haul),
            most_t_month: Some(320.0),
            tough_off_per_t: Some(7.0),
            damp_off_per_t: Some(15.0),
            ..Buyer::new(
                buyer,
                crop,
                prices.iter().map(|(g, p)| GradePrice { grade: (*g).into(), price_per_t: *p }).collect(),
            )
        };
        let grades = [
            ("No. 1 CWRS", wheat),
            ("No. 2 CWRS", wheat - 6.0),
            ("No. 3 CWRS", wheat - 24.0),
            ("CW Feed", feed - 10.0),
        ];
        add(
            at,
            Buyer {
                lowest_protein_pct: Some(12.0),
                base_protein_pct: Some(13.5),
                premium_per_t_point: Some(12.0),
                dock_per_t_point: Some(32.0),
                premium_to_pct: Some(14.5),
                most_don_ppm: Some(2.0),
                don_steps: vec![DonStep { above_ppm: 1.0, off_per_t: 8.0 }],
                lowest_falling_number_s: Some(250.0),
                ..offer("Bend Elevator", Crop::SpringWheat, &grades, 8.0)
            }
            .into(),
        );
        add(at, offer("Creek Feeds", Crop::SpringWheat, &[("feed", feed)], 8.0).into());
        add(at, offer("Creek Feeds", Crop::Barley, &[("feed", barley)], 8.0).into());
        add(at, offer("Pulse House", Crop::Peas, &[("feed", 318.0)], 12.0).into());
    }
    for (day, what, amount, due) in [
        (date(y - 1, 12, 10), "operating loan", 62_000.0, date(y, 3, 1)),
        (date(y - 1, 12, 10), "seed and fertilizer", 48_000.0, date(y, 4, 15)),
    ] {
        add(day.at(20, 0, 0, 0), PaymentDue { what: what.into(), amount, due }.into());
    }
}

fn herd(add: &mut impl FnMut(DateTime, Payload)) {
    let group =
        |id: &str, name: &str, kind: GroupKind, head: u32, kg: Option<f64>, bin: Option<&str>| HerdGroup {
            id: GroupId::from(id),
            name: name.into(),
            kind,
            head,
            mean_kg: kg,
            sex: None,
            sold_at_kg: (kind == GroupKind::Growing).then_some(125.0),
            feed_bin: bin.map(FeedBinId::from),
            // The gilts and the does lie on straw.
            bedded: id == "boars-and-gilts" || id == "does",
        };
    let mut day = date(YEAR - 1, 10, 27);
    let mut n = 0_u32;
    while day < date(YEAR, 12, 31) {
        let at = day.at(7, 10, 0, 0);
        // The rooms are counted and looked over every other Monday: pigs move through them.
        for (k, (id, name, head, kg, bin)) in ROOMS.into_iter().enumerate() {
            let sway = f64::from((n * 7 + 3 * k as u32) % 5) - 2.0;
            add(
                at,
                group(
                    id,
                    name,
                    GroupKind::Growing,
                    (f64::from(head) + 2.0 * sway) as u32,
                    Some(kg + 0.4 * sway),
                    Some(bin),
                )
                .into(),
            );
        }
        add(
            at,
            group("dry-sows", "Dry sows", GroupKind::SowsInPig, 85, Some(210.0), Some("dry-sow-bin")).into(),
        );
        add(
            at,
            group(
                "milk-sows",
                "Farrowing rooms",
                GroupKind::SowsInMilk,
                15,
                Some(215.0),
                Some("milk-sow-bin"),
            )
            .into(),
        );
        if n % 3 == 1 {
            let d = day.saturating_add(Span::new().days(3)).at(8, 0, 0, 0);
            add(d, Deaths { group: GroupId::from(ROOMS[n as usize % 6].0), head: 1, cause: None }.into());
        }
        let sold = day.saturating_add(Span::new().days(8)).at(6, 30, 0, 0);
        add(
            sold,
            HerdMove {
                group: GroupId::from("finisher-2"),
                to: None,
                why: MoveWhy::Sold,
                head: 48,
                mean_kg: Some(124.0),
                last: false,
            }
            .into(),
        );
        n += 1;
        day = day.saturating_add(Span::new().days(14));
    }
    for (d, kind) in [
        (date(YEAR - 1, 10, 27), GroupKind::GoatsDry),
        (date(YEAR, 1, 8), GroupKind::GoatsLate),
        (date(YEAR, 3, 10), GroupKind::GoatsInMilk),
        (date(YEAR, 7, 6), GroupKind::GoatsDry),
    ] {
        add(d.at(18, 0, 0, 0), group("does", "Does", kind, 40, Some(58.0), None).into());
    }
}

/// Scales, screen, straw and the buck.
fn care(add: &mut impl FnMut(DateTime, Payload)) {
    let y = YEAR;
    for (day, scale, put_kg, read_kg) in [
        (date(y - 1, 10, 22), ScaleOf::Main, 200.0, 200.0),
        (date(y - 1, 10, 22), ScaleOf::Hand, 20.0, 20.3),
        (date(y, 4, 14), ScaleOf::Main, 200.0, 202.0),
    ] {
        add(day.at(14, 30, 0, 0), ScaleCheck { mixer: MixerId::from(MIXER), scale, put_kg, read_kg }.into());
    }
    let sieve = |opening_um, g| SieveCatch { opening_um, g };
    add(
        date(y - 1, 12, 3).at(15, 0, 0, 0),
        SieveTest {
            of: "wheat".into(),
            catches: vec![
                sieve(2360.0, 2.1),
                sieve(1700.0, 9.4),
                sieve(1180.0, 24.8),
                sieve(850.0, 25.3),
                sieve(600.0, 17.6),
                sieve(300.0, 14.2),
                sieve(150.0, 4.9),
            ],
            pan_g: 1.7,
            screen: Some("5 mm screen".into()),
        }
        .into(),
    );
    add(date(y - 1, 11, 10).at(16, 0, 0, 0), StrawOnHand { bales: 28, bale_kg: 454.0 }.into());
    for (day, buck_in, buck_out) in [
        (date(y - 1, 11, 16), date(y - 1, 10, 11), date(y - 1, 11, 15)),
        (date(y, 9, 28), date(y, 10, 12), date(y, 11, 16)),
    ] {
        add(
            day.at(18, 30, 0, 0),
            Breeding { group: GroupId::from("does"), buck_in, buck_out: Some(buck_out) }.into(),
        );
    }
}

/// Every bin is looked at on Mondays; on Mondays, Wednesdays and Fridays what would run out is milled for.
fn milling(add: &mut impl FnMut(DateTime, Payload)) {
    let mut level: Vec<f64> = BINS.iter().enumerate().map(|(i, b)| b.2 * (0.35 + 0.07 * i as f64)).collect();
    let rations = rows(RATIONS);
    let (mut day, mut number) = (date(YEAR - 1, 10, 27), 0_u32);
    let mut k = 0_u32;
    while day < date(YEAR, 12, 31) {
        if day.month() == 1 && day.day() == 1 {
            number = 0;
        }
        let weekday = day.weekday();
        if weekday == jiff::civil::Weekday::Monday {
            for (b, kg) in BINS.iter().zip(&level) {
                add(
                    day.at(6, 40, 0, 0),
                    FeedLevel { feed_bin: FeedBinId::from(b.0), kg: (kg / 50.0).round() * 50.0 }.into(),
                );
            }
        }
        let mills = matches!(
            weekday,
            jiff::civil::Weekday::Monday | jiff::civil::Weekday::Wednesday | jiff::civil::Weekday::Friday
        );
        for (i, bin) in BINS.iter().enumerate() {
            let days_left = level[i] / bin.4;
            if mills && days_left < 2.2 {
                let batches = ((bin.2 - level[i]) / MIXER_KG).floor().max(0.0) as u32;
                for b in 0..batches.min(3) {
                    number += 1;
                    k += 1;
                    let v = version(day);
                    let row = rations.iter().find(|r| r[0] == bin.3).expect("every feed bin has a ration");
                    let (wheat, barley) = draws_on(day);
                    let lines = items(row, wheat, barley).into_iter().map(|item| line(item, k)).collect();
                    let at = day
                        .at(9, 0, 0, 0)
                        .saturating_add(Span::new().minutes(i64::from(40 * b) + 55 * i as i64));
                    add(
                        at,
                        FeedBatch {
                            ration: ration_id(bin.3, v),
                            number: format!("{:02}-{number:03}", day.year() % 100),
                            lines,
                            mixer: Some(MixerId::from(MIXER)),
                            into: Some(FeedBinId::from(bin.0)),
                            mixed_min: Some(5.0),
                            flushed: b == 0
                                && (bin.3 == "gestation" || bin.3 == "lactation" || bin.3 == "starter_3"),
                        }
                        .into(),
                    );
                    level[i] += MIXER_KG;
                }
            }
            level[i] = (level[i] - bin.4).max(0.0);
        }
        day = day.tomorrow().expect("inside the calendar");
    }
}

fn line(item: RationItem, k: u32) -> BatchLine {
    let exact = item.share_pct / 100.0 * MIXER_KG;
    let step = if exact > 60.0 {
        2.0
    } else if exact > 4.0 {
        0.1
    } else {
        0.02
    };
    let asked_kg = ((exact / step).round() * step * 1000.0).round() / 1000.0;
    // The auger stops a little late on wheat.
    let over = if item.bin.is_some() { [0.0, 2.0, 4.0, 0.0, -2.0][k as usize % 5] } else { 0.0 };
    let lot = match item.of.as_str() {
        "premix" => Some(format!("P{}", 410 + k / 60)),
        "soymeal" => Some(format!("S{}", 77 + k / 45)),
        "lysine" => Some("L2207".into()),
        _ => None,
    };
    BatchLine { of: item.of, bin: item.bin, lot, asked_kg, weighed_kg: asked_kg + over, straight: false }
}
