//! How Alder Bend keeps its grain: fans run in fronts each fall, bins read through the year, a wet last load this September, and a
//! cable in Bin 2 that sends by itself, one sensor of which sticks.

use jiff::civil::{Date, DateTime, date};
use stook_book::payload::{
    BinPart, BinReading, Crop, FanRun, Load, LoadFrom, LoadTo, ReadBy, ReadingPoint, Smell, Weighed,
};
use stook_book::sensor::SensorReading;
use stook_book::{BinId, Payload, Store};

use super::YEAR;

/// Bins with a fan that hold last year's crop through the winter.
const FANNED: [&str; 6] = ["bin-1", "bin-2", "bin-3", "bin-4", "bin-5", "bin-9"];
/// Bins that are read by hand all year.
const READ: [&str; 8] = ["bin-1", "bin-2", "bin-3", "bin-4", "bin-5", "bin-9", "bin-10", "bin-11"];

/// Temperature of kept grain through the year after a harvest: month, day, top, middle, bottom, C.
const COURSE: [(i16, i8, i8, [f64; 3]); 11] = [
    (-1, 9, 12, [17.0, 19.0, 15.0]),
    (-1, 9, 26, [13.0, 14.0, 11.0]),
    (-1, 10, 14, [7.0, 8.0, 6.0]),
    (-1, 11, 2, [2.0, 3.0, 1.0]),
    (-1, 11, 24, [-3.0, -2.0, -4.0]),
    (-1, 12, 18, [-5.0, -3.0, -5.0]),
    (0, 1, 12, [-5.0, -4.0, -6.0]),
    (0, 3, 6, [-3.0, -4.0, -5.0]),
    (0, 4, 28, [3.0, 0.0, 0.0]),
    (0, 6, 15, [11.0, 6.0, 7.0]),
    (0, 8, 5, [17.0, 11.0, 12.0]),
];

/// What was read and switched, to be cut at the demo's morning.
pub fn entries(add: &mut impl FnMut(DateTime, Payload)) {
    for (month, from, to) in [(9, 8, 10), (10, 10, 12), (11, 18, 20)] {
        for bin in FANNED {
            let run = |on| FanRun { bin: BinId::from(bin), on, reason: None };
            add(date(YEAR - 1, month, from).at(20, 0, 0, 0), run(true).into());
            add(date(YEAR - 1, month, to).at(9, 0, 0, 0), run(false).into());
        }
    }
    for (year, month, day, temps) in COURSE {
        for (i, bin) in READ.into_iter().enumerate() {
            let shift = (i % 3) as f64 * 0.5;
            let at = date(YEAR + year, month, day).at(16, 10 + i as i8, 0, 0);
            add(at, reading(bin, temps.map(|t| t + shift), None, Some(Smell::None)).into());
        }
    }
    // A neighbour's last field comes here to be finished; its low end had stayed green and was cut late and wet.
    for k in 0..8_i8 {
        let wet = k >= 5;
        let mut load = Load::new(
            LoadFrom::Bought("the neighbour".into()),
            LoadTo::Bin(BinId::from("bin-9")),
            Weighed::TruckScale,
            Some(16_000.0 + 110.0 * f64::from(k)),
        );
        load.crop = Some(Crop::SpringWheat);
        load.moisture_wb_pct = Some(if wet { 18.5 } else { 14.0 + 0.1 * f64::from(k) });
        load.temperature_c = Some(if wet { 26.0 } else { 21.0 });
        load.test_weight_kg_hl = Some(if wet { 76.5 } else { 79.0 });
        load.protein_pct = Some(13.6);
        load.protein_basis_pct = Some(13.5);
        let at =
            if wet { date(YEAR, 9, 2).at(9 + k, 20, 0, 0) } else { date(YEAR, 8, 31).at(13 + k, 10, 0, 0) };
        add(at, load.into());
    }
    add(
        date(YEAR, 9, 2).at(20, 40, 0, 0),
        reading("bin-9", [26.0, 21.0, 20.0], Some(18.5), Some(Smell::None)).into(),
    );
}

fn reading(bin: &str, temps: [f64; 3], top_pct: Option<f64>, smell: Option<Smell>) -> BinReading {
    let parts = [BinPart::Top, BinPart::Middle, BinPart::Bottom];
    BinReading {
        bin: BinId::from(bin),
        by: ReadBy::Probe,
        points: parts
            .into_iter()
            .zip(temps)
            .map(|(part, t)| ReadingPoint {
                height_m: None,
                part: Some(part),
                sensor: None,
                temperature_c: Some(t),
                moisture_wb_pct: top_pct.filter(|_| part == BinPart::Top),
            })
            .collect(),
        co2_ppm: None,
        smell,
        seen: None,
    }
}

/// Sends twelve days of Bin 2's cable, the last on the morning before.
pub fn put(store: &mut Store, morning: Date) -> anyhow::Result<()> {
    let mut all = Vec::new();
    for back in 1..=12 {
        let day = morning.saturating_sub(jiff::Span::new().days(back));
        for (k, height_m) in [0.5, 2.0, 3.5, 5.0].into_iter().enumerate() {
            let temperature_c =
                if k == 2 { 9.5 } else { tenth(usual(day)[2 - k.min(2)] + 0.05 * back as f64) };
            all.push(SensorReading {
                bin: BinId::from("bin-2"),
                at: day.at(6, 0, 0, 0),
                sensor: format!("cable 1, {}", k + 1),
                height_m: Some(height_m),
                temperature_c: Some(temperature_c),
                moisture_wb_pct: None,
                co2_ppm: None,
            });
        }
    }
    store.put_bin_readings("made for the demo", jiff::Timestamp::now(), &all)?;
    Ok(())
}

/// What the course of the year says of a day: top, middle, bottom.
fn usual(day: Date) -> [f64; 3] {
    let at = |c: &(i16, i8, i8, [f64; 3])| date(YEAR + c.0, c.1, c.2);
    let next = COURSE.iter().position(|c| at(c) >= day).unwrap_or(COURSE.len() - 1).max(1);
    let (a, b) = (&COURSE[next - 1], &COURSE[next]);
    let share = f64::from((day - at(a)).get_days()) / f64::from((at(b) - at(a)).get_days()).max(1.0);
    std::array::from_fn(|i| a.3[i] + share.clamp(0.0, 1.3) * (b.3[i] - a.3[i]))
}

fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}
