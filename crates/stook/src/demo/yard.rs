//! Alder Bend's bins: last year's crop as it came in, was fed, sold and sown, and this August's as it comes in.

use jiff::Span;
use jiff::civil::{Date, DateTime, date};
use stook_book::payload::{
    AirFloor, Bin, BinFan, BinFloor, BinJob, BinMeasured, Buyer, Contact, Crop, Entrance, FanPoint,
    GradePrice, GrainSample, Load, LoadFrom, LoadTo, MoistureSettled, SampledAt, Settlement, TheirFigures,
    Weighed,
};
use stook_book::{BinId, FieldId, Payload};
use stook_measure::units;

use super::YEAR;

const BINS: &str = include_str!("../../../../demo/bins.csv");
/// What the farm truck carries of wheat, kg.
const TRUCK_KG: f64 = 16_400.0;

/// The bins, written down when the farm was.
pub fn bins(add: &mut impl FnMut(DateTime, Payload)) {
    let at = date(YEAR - 1, 7, 12).at(20, 10, 0, 0);
    for line in BINS.lines().skip(1) {
        let cell: Vec<&str> = line.split(',').collect();
        let feet = |i: usize| units::ft_to_m(cell[i].parse().expect("demo bins hold numbers"));
        let fan = cell[5].parse::<f64>().ok().map(|hp| BinFan {
            power_kw: Some((hp * 0.7457 * 10.0).round() / 10.0),
            air: AirFloor::ALL.iter().copied().find(|a| a.key() == cell[6]),
            curve: curve(hp),
            ..BinFan::default()
        });
        add(
            at,
            Bin {
                id: BinId::from(cell[0]),
                name: cell[1].into(),
                diameter_m: feet(2),
                wall_m: feet(3),
                floor: if cell[4] == "hopper" {
                    BinFloor::Hopper { height_m: None, outlet_m: None }
                } else {
                    BinFloor::FLAT
                },
                fan,
                job: BinJob::from_key(cell[7]).expect("demo bins have a known job"),
                crop: (!cell[8].is_empty()).then(|| Crop::from(cell[8].to_string())),
                capacity_m3: None,
                cleaned: Some(date(YEAR - 1, 7, 10)),
            }
            .into(),
        );
    }
}

/// An invented fan: about 0.55 m3/s a horsepower at no pressure, falling to nothing at 1.5 kPa.
fn curve(hp: f64) -> Vec<FanPoint> {
    [(0.0, 0.55), (250.0, 0.50), (500.0, 0.44), (750.0, 0.36), (1000.0, 0.26), (1250.0, 0.14), (1500.0, 0.0)]
        .map(|(pressure_pa, m3_s_hp)| FanPoint {
            pressure_pa,
            air_m3_s: (hp * m3_s_hp * 100.0_f64).round() / 100.0,
        })
        .to_vec()
}

/// A field's crop going into bins.
struct Off<'a> {
    field: &'a str,
    first: Date,
    per_day: usize,
    /// Yield, t.
    tonnes: f64,
    truck_kg: f64,
    moisture: f64,
    kg_hl: f64,
    dockage: f64,
    protein: f64,
    /// Bins with the tonnes that go into each; the last takes the rest.
    into: &'a [(&'a str, f64)],
}

/// Everything that moved, to be cut at the demo's morning. `wheat` is this year's: field, day cut, kg.
pub fn moved(wheat: &[(FieldId, Date, f64)], add: &mut impl FnMut(DateTime, Payload)) {
    let mut n = 0_u32;
    last_harvest(&mut n, add);
    winter(&mut n, add);
    seen(add);
    this_harvest(wheat, &mut n, add);
    sales(add);
}

fn last_harvest(n: &mut u32, add: &mut impl FnMut(DateTime, Payload)) {
    let y = YEAR - 1;
    let day = |m: i8, d: i8| date(y, m, d);
    for o in [
        Off {
            field: "long-90",
            first: day(8, 11),
            per_day: 8,
            tonnes: 103.0,
            truck_kg: 16_400.0,
            moisture: 15.2,
            kg_hl: 79.0,
            dockage: 1.8,
            protein: 22.8,
            into: &[("bin-8", 0.0)],
        },
        Off {
            field: "north-bench",
            first: day(8, 12),
            per_day: 8,
            tonnes: 169.0,
            truck_kg: 16_400.0,
            moisture: 15.6,
            kg_hl: 79.5,
            dockage: 2.1,
            protein: 22.1,
            into: &[("bin-6", 0.0)],
        },
        Off {
            field: "crossing",
            first: day(8, 15),
            per_day: 9,
            tonnes: 213.0,
            truck_kg: 13_400.0,
            moisture: 13.9,
            kg_hl: 64.0,
            dockage: 1.6,
            protein: 11.9,
            into: &[("bin-5", 0.0)],
        },
        Off {
            field: "railway",
            first: day(8, 17),
            per_day: 9,
            tonnes: 286.0,
            truck_kg: 13_400.0,
            moisture: 14.3,
            kg_hl: 63.2,
            dockage: 1.9,
            protein: 12.2,
            into: &[("bin-9", 228.0), ("bin-10", 0.0)],
        },
        Off {
            field: "gravel-pit",
            first: day(8, 22),
            per_day: 8,
            tonnes: 192.0,
            truck_kg: TRUCK_KG,
            moisture: 14.1,
            kg_hl: 77.1,
            dockage: 1.1,
            protein: 12.6,
            into: &[("bin-4", 0.0)],
        },
        Off {
            field: "home-quarter",
            first: day(8, 24),
            per_day: 9,
            tonnes: 218.0,
            truck_kg: TRUCK_KG,
            moisture: 14.0,
            kg_hl: 79.6,
            dockage: 0.8,
            protein: 14.2,
            into: &[("bin-11", 50.0), ("bin-1", 0.0)],
        },
        Off {
            field: "east-half",
            first: day(8, 27),
            per_day: 9,
            tonnes: 326.0,
            truck_kg: TRUCK_KG,
            moisture: 14.4,
            kg_hl: 79.0,
            dockage: 0.9,
            protein: 13.9,
            into: &[("bin-1", 190.0), ("bin-2", 0.0)],
        },
        Off {
            field: "slough-quarter",
            first: day(9, 6),
            per_day: 7,
            tonnes: 133.0,
            truck_kg: 14_000.0,
            moisture: 9.1,
            kg_hl: 65.5,
            dockage: 1.9,
            protein: 0.0,
            into: &[("bin-3", 0.0)],
        },
        Off {
            field: "tower",
            first: day(9, 8),
            per_day: 7,
            tonnes: 143.0,
            truck_kg: 14_000.0,
            moisture: 9.4,
            kg_hl: 65.8,
            dockage: 1.7,
            protein: 0.0,
            into: &[("bin-3", 0.0)],
        },
        Off {
            field: "schoolhouse",
            first: day(9, 11),
            per_day: 7,
            tonnes: 114.0,
            truck_kg: 14_000.0,
            moisture: 9.0,
            kg_hl: 65.1,
            dockage: 2.2,
            protein: 0.0,
            into: &[("bin-7", 0.0)],
        },
        Off {
            field: "poplar",
            first: day(9, 13),
            per_day: 7,
            tonnes: 134.0,
            truck_kg: 14_000.0,
            moisture: 9.6,
            kg_hl: 65.4,
            dockage: 2.0,
            protein: 0.0,
            into: &[("bin-7", 50.0), ("bin-3", 0.0)],
        },
    ] {
        haul(&o, n, add);
    }
    // The end of East Half came in tough ahead of rain, stood in the wet bin and went through the drier.
    let wet = Off {
        field: "east-half",
        first: date(y, 8, 31),
        per_day: 6,
        tonnes: 92.0,
        truck_kg: TRUCK_KG,
        moisture: 16.9,
        kg_hl: 78.2,
        dockage: 1.0,
        protein: 13.4,
        into: &[("bin-12", 0.0)],
    };
    haul(&wet, n, add);
    for k in 0..6_u32 {
        let last = k == 5;
        let mut l = Load::new(
            LoadFrom::Bin("bin-12".into()),
            LoadTo::Bin("bin-2".into()),
            Weighed::TruckScale,
            Some(if last { 10_150.0 } else { 16_360.0 - 60.0 * f64::from(k) }),
        );
        l.moisture_wb_pct = Some(16.9);
        l.dried_to_wb_pct = Some(14.1);
        l.emptied = last;
        add(date(y, 9, 2).at(9 + 2 * (k as i8), 10, 0, 0), l.into());
    }
}

/// Loads off a field, a truck at a time.
fn haul(o: &Off<'_>, n: &mut u32, add: &mut impl FnMut(DateTime, Payload)) {
    let (mut left, mut k, mut bin, mut here) = (o.tonnes * 1000.0, 0_usize, 0, 0.0);
    while left > 1.0 {
        *n += 1;
        let full = (o.truck_kg + 420.0 * wobble(*n, 1)).min(left);
        // A last crumb rides with the load before it.
        let kg = if left - full < 2_500.0 { left } else { full };
        left -= kg;
        if bin + 1 < o.into.len() && here + kg > o.into[bin].1 * 1000.0 {
            bin += 1;
            here = 0.0;
        }
        here += kg;
        let at = o.first.saturating_add(Span::new().days((k / o.per_day) as i64)).at(12, 0, 0, 0);
        let minutes = (k % o.per_day) as i64 * 62 + 18 + (8.0 * wobble(*n, 2)) as i64;
        let mut l = Load::new(
            LoadFrom::Field(o.field.into()),
            LoadTo::Bin(o.into[bin].0.into()),
            Weighed::TruckScale,
            Some((kg / 20.0).round() * 20.0),
        );
        l.moisture_wb_pct = Some(tenth(o.moisture + 0.5 * wobble(*n, 3)));
        if k % 4 == 0 {
            l.test_weight_kg_hl = Some(tenth(o.kg_hl + 0.6 * wobble(*n, 4)));
            l.dockage_pct = Some(tenth((o.dockage + 0.4 * wobble(*n, 5)).max(0.2)));
            if o.protein > 0.0 {
                l.protein_pct = Some(tenth(o.protein + 0.4 * wobble(*n, 6)));
                l.protein_basis_pct = Some(13.5);
            }
            l.temperature_c = Some((21.0 + 4.0 * wobble(*n, 7)).round());
            l.bag = Some(format!("{}-{}", o.field, k + 1));
        }
        add(at.saturating_add(Span::new().minutes(minutes)), l.into());
        k += 1;
    }
}

/// Fed, sold and sown between the harvests.
fn winter(n: &mut u32, add: &mut impl FnMut(DateTime, Payload)) {
    let mill =
        |bin: &str, kg: f64| Load::new(LoadFrom::Bin(bin.into()), LoadTo::Mill, Weighed::CartScale, Some(kg));
    let mut day = date(YEAR - 1, 10, 27);
    let mut week = 0_u32;
    while day < date(YEAR, 12, 31) {
        *n += 1;
        // Bin 4 lasts to the spring; then the mill draws on Bin 2.
        let wheat = if week < 24 { "bin-4" } else { "bin-2" };
        let mut l = mill(wheat, (7_760.0 + 160.0 * wobble(*n, 1)).round());
        l.emptied = week == 23;
        add(day.at(8, 20, 0, 0), l.into());
        let barley = if week < 40 { "bin-9" } else { "bin-10" };
        let mut l = mill(barley, (5_100.0 + 120.0 * wobble(*n, 2)).round());
        l.emptied = week == 39;
        add(day.at(9, 5, 0, 0), l.into());
        day = day.saturating_add(Span::new().days(7));
        week += 1;
    }
    let mut ticket = 41_180;
    let mut sell = |from: &str, to: &str, first: Date, every: i64, loads: i64, kg: f64, last: bool| {
        for k in 0..loads {
            *n += 1;
            ticket += 37;
            let kg = kg + 380.0 * wobble(*n, 1);
            let mut l = Load::new(
                LoadFrom::Bin(from.into()),
                LoadTo::Buyer(to.into()),
                Weighed::BuyerTicket,
                Some((kg / 20.0).round() * 20.0),
            );
            l.ticket = Some(ticket.to_string());
            l.truck = Some("hired semi".into());
            l.emptied = last && k + 1 == loads;
            add(first.saturating_add(Span::new().days(every * k)).at(10, 40, 0, 0), l.into());
        }
    };
    let (elevator, crusher, pulses) = ("Bend Elevator", "East Crush", "Pulse House");
    sell("bin-7", crusher, date(YEAR - 1, 10, 6), 3, 4, 38_700.0, true);
    sell("bin-1", elevator, date(YEAR - 1, 11, 12), 2, 3, 40_100.0, false);
    sell("bin-3", crusher, date(YEAR - 1, 12, 3), 2, 4, 40_200.0, false);
    sell("bin-8", pulses, date(YEAR - 1, 12, 15), 2, 2, 40_000.0, false);
    sell("bin-3", crusher, date(YEAR, 2, 9), 2, 5, 38_900.0, true);
    sell("bin-6", pulses, date(YEAR, 2, 20), 3, 4, 42_100.0, true);
    sell("bin-8", pulses, date(YEAR, 3, 4), 2, 1, 22_700.0, true);
    sell("bin-1", elevator, date(YEAR, 3, 9), 2, 3, 40_300.0, false);
    sell("bin-1", elevator, date(YEAR, 6, 15), 2, 3, 36_100.0, true);
    sell("bin-5", elevator, date(YEAR, 6, 22), 2, 5, 42_300.0, true);
    for (k, kg) in [14_200.0, 14_050.0, 13_900.0].into_iter().enumerate() {
        let mut l = Load::new(LoadFrom::Bin("bin-11".into()), LoadTo::Seed, Weighed::CartScale, Some(kg));
        l.pass = Some("cleaned, for this year's wheat".into());
        add(date(YEAR, 4, 28).at(8 + 3 * k as i8, 0, 0, 0), l.into());
    }
}

/// Samples and levels.
fn seen(add: &mut impl FnMut(DateTime, Payload)) {
    let sample = |bin: &str,
                  moisture: f64,
                  protein: Option<f64>,
                  kg_hl: f64,
                  don: Option<f64>,
                  falling: Option<f64>| {
        GrainSample {
            bin: bin.into(),
            taken: SampledAt::Whole,
            probings: Some(12),
            moisture_wb_pct: Some(moisture),
            dried_in_bin: Some(false),
            temperature_c: None,
            test_weight_kg_hl: Some(kg_hl),
            dockage_pct: None,
            protein_pct: protein,
            protein_basis_pct: protein.map(|_| 13.5),
            don_ppm: don,
            falling_number_s: falling,
            factors: std::collections::BTreeMap::new(),
            grade: None,
            lab: Some("Plains Grain Lab".into()),
            bag: None,
        }
    };
    let at = date(YEAR - 1, 10, 18).at(11, 0, 0, 0);
    let mut one = sample("bin-1", 14.1, Some(14.1), 79.2, Some(0.3), Some(345.0));
    one.grade = Some("No. 1 CWRS".into());
    one.factors = [("fdk_pct".to_string(), 0.2), ("hvk_pct".to_string(), 78.0)].into();
    add(at, one.into());
    add(at, sample("bin-2", 14.2, Some(13.6), 78.6, Some(0.4), Some(330.0)).into());
    let mut four = sample("bin-4", 14.0, Some(12.6), 76.9, Some(0.8), Some(310.0));
    four.factors = [("fdk_pct".to_string(), 0.9), ("hvk_pct".to_string(), 61.0)].into();
    add(at, four.into());
    add(at, sample("bin-5", 13.8, Some(11.8), 64.1, Some(0.6), None).into());
    add(at, sample("bin-9", 14.2, Some(12.2), 63.3, Some(0.9), None).into());
    add(at, sample("bin-11", 13.9, Some(14.2), 79.8, Some(0.2), None).into());
    let level = |bin: &str, down_ft: f64, heap: f64| BinMeasured {
        bin: bin.into(),
        depth_m: None,
        down_m: Some(units::ft_to_m(down_ft)),
        heap: Some(heap),
        volume_m3: None,
        test_weight_kg_hl: None,
        crop: None,
        moisture_wb_pct: None,
    };
    add(date(YEAR, 1, 10).at(14, 0, 0, 0), level("bin-2", 10.9, 0.5).into());
    add(date(YEAR, 1, 10).at(14, 20, 0, 0), level("bin-9", 5.9, -0.5).into());
}

fn this_harvest(wheat: &[(FieldId, Date, f64)], n: &mut u32, add: &mut impl FnMut(DateTime, Payload)) {
    let day = |m: i8, d: i8| date(YEAR, m, d);
    for o in [
        Off {
            field: "railway",
            first: day(8, 8),
            per_day: 8,
            tonnes: 237.0,
            truck_kg: 16_400.0,
            moisture: 15.4,
            kg_hl: 79.2,
            dockage: 1.9,
            protein: 22.4,
            into: &[("bin-6", 0.0)],
        },
        Off {
            field: "gravel-pit",
            first: day(8, 13),
            per_day: 9,
            tonnes: 219.0,
            truck_kg: 13_400.0,
            moisture: 13.7,
            kg_hl: 64.4,
            dockage: 1.5,
            protein: 11.8,
            into: &[("bin-5", 0.0)],
        },
    ] {
        haul(&o, n, add);
    }
    let bins = ["bin-1", "bin-3", "bin-8", "bin-7"];
    let (mut bin, mut here) = (0, 0.0);
    for (field, cut, kg) in wheat {
        if here + kg > 330_000.0 && bin + 1 < bins.len() {
            bin += 1;
            here = 0.0;
        }
        here += kg;
        let o = Off {
            field: field.as_str(),
            first: *cut,
            per_day: 20,
            tonnes: (kg / 1000.0).round(),
            truck_kg: TRUCK_KG,
            moisture: 15.3,
            kg_hl: 79.4,
            dockage: 0.9,
            protein: 13.8,
            into: &[(bins[bin], 0.0)],
        };
        haul(&o, n, add);
    }
}

/// What buyers pay, and tickets of the winter: one of them does not add up.
fn sales(add: &mut impl FnMut(DateTime, Payload)) {
    let prices = |rows: &[(&str, f64)]| -> Vec<GradePrice> {
        rows.iter().map(|(g, p)| GradePrice { grade: (*g).into(), price_per_t: *p }).collect()
    };
    let buyer = |name: &str, crop: Crop, rows: &[(&str, f64)]| Buyer {
        tough_off_per_t: Some(7.0),
        ..Buyer::new(name, crop, prices(rows))
    };
    // The elevator's wheat stands with the offers of the barn's plan.
    for day in [date(YEAR - 1, 11, 3), date(YEAR, 1, 12), date(YEAR, 8, 4)] {
        let up = if day.year() == YEAR { 6.0 } else { 0.0 };
        let mut barley = buyer("Bend Elevator", Crop::Barley, &[("", 228.0)]);
        barley.freight_per_t = Some(9.0);
        add(day.at(7, 41, 0, 0), barley.into());
        let mut crusher = buyer("East Crush", Crop::Canola, &[("No. 1", 612.0 + up), ("No. 2", 590.0 + up)]);
        crusher.freight_per_t = Some(21.0);
        add(day.at(7, 42, 0, 0), crusher.into());
    }
    // The second ticket leaves the protein premium out.
    for (ticket, day, gross_kg, tare_kg, theirs_price) in [
        ("41365", date(YEAR - 1, 11, 12), 57_160.0, 17_240.0, 290.4),
        ("41402", date(YEAR - 1, 11, 14), 57_480.0, 17_220.0, 284.0),
    ] {
        let net_t = (gross_kg - tare_kg) * (1.0 - 0.008) / 1000.0;
        let paid = net_t * (theirs_price - 11.5 - 1.0);
        add(
            day.at(15, 30, 0, 0),
            Settlement {
                buyer: "Bend Elevator".into(),
                ticket: Some(ticket.into()),
                crop: Crop::SpringWheat,
                grade: Some("No. 1 CWRS".into()),
                gross_kg,
                tare_kg,
                dockage_pct: 0.8,
                moisture_wb_pct: Some(14.1),
                protein_pct: Some(14.0),
                moisture: MoistureSettled::Straight,
                moisture_per_t: None,
                shrink_to_pct: None,
                price_t: 284.0,
                protein_t: 6.4,
                discount_t: 0.0,
                freight_t: 0.0,
                elevation_t: 9.0,
                cleaning_t: 2.5,
                inspection_t: 0.0,
                levy_t: 1.0,
                advance: 0.0,
                theirs: TheirFigures {
                    net_scale_kg: Some(gross_kg - tare_kg),
                    dockage_kg: None,
                    net_t: Some((net_t * 1000.0).round() / 1000.0),
                    price_t: Some(theirs_price),
                    gross_value: None,
                    deductions: None,
                    levy: None,
                    payable: Some((paid * 100.0).round() / 100.0),
                },
            }
            .into(),
        );
    }
    for (name, phone, words) in [
        (
            "Emergency line",
            "911",
            "Alder Bend: 3 miles north and 1 west of the elevator, yard on the south side",
        ),
        ("Power line", "555-0102", "line down or touched: stay in the cab"),
        ("Neighbour to the east", "555-0117", "has the loader"),
    ] {
        add(
            date(YEAR, 7, 24).at(20, 30, 0, 0),
            Contact { name: name.into(), phone: phone.into(), words: Some(words.into()) }.into(),
        );
    }
    add(
        date(YEAR, 7, 24).at(20, 40, 0, 0),
        Entrance {
            field: FieldId::from("slough-quarter"),
            lat_deg: Some(50.12809),
            lon_deg: Some(-101.28620),
            words: "grid road from the west, second approach past the slough".into(),
        }
        .into(),
    );
}

/// Minus one to one, the same each time.
fn wobble(n: u32, salt: u32) -> f64 {
    let mut x = n.wrapping_mul(0x9E37_79B9) ^ salt.wrapping_mul(0x85EB_CA6B);
    x ^= x >> 16;
    x = x.wrapping_mul(0x7FEB_352D);
    x ^= x >> 15;
    x = x.wrapping_mul(0x846C_A68B);
    x ^= x >> 16;
    f64::from(x) / f64::from(u32::MAX) * 2.0 - 1.0
}

fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}
