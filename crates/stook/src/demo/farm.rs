//! Alder Bend's place, fields, machines, plans and prices.

use jiff::civil::{Date, DateTime, date};
use jiff::tz::TimeZone;
use stook_book::payload::{
    BlightRating, Cover, Crop, CropPlan, CultivarClass, Drainage, FarmSetUp, Field, Lie, Machine,
    MachineKind, Place, Price, SoilDescription, TextureClass, UnitChoice,
};
use stook_book::{Body, Entry, FieldId, MachineId, Payload};
use stook_measure::units;
use stook_weather::Site;

use super::YEAR;

/// The yard.
pub const SITE: Site = Site { lat_deg: 50.12, lon_deg: -101.31, elev_m: 540.0 };
const ZONE: &str = "America/Winnipeg";
/// Hours the station's standard time is ahead of UTC.
pub const STANDARD_H: f64 = -6.0;
/// Who writes.
const WHO: &str = "Alder Bend";

const FIELDS: &str = include_str!("../../../../demo/fields.csv");
const MACHINES: &str = include_str!("../../../../demo/machines.csv");

/// An entry written when it happened, with an id that is the same each time the demo is made.
pub fn entry(happened: DateTime, number: u32, payload: impl Into<Payload>) -> Entry {
    let zone = TimeZone::get(ZONE).unwrap_or(TimeZone::UTC);
    let written = happened.to_zoned_datetime(zone).expect("demo times are inside the calendar").timestamp();
    let millis = u64::try_from(written.as_millisecond()).unwrap_or_default();
    let mut tail = [0_u8; 10];
    tail[6..].copy_from_slice(&number.to_be_bytes());
    let id = uuid::Builder::from_unix_timestamp_millis(millis, &tail).into_uuid();
    Entry { id, happened, written, who: WHO.into(), replaces: None, body: Body::Known(payload.into()) }
}

/// Set-up entries.
pub fn entries() -> Vec<Entry> {
    let mut out: Vec<Entry> = Vec::new();
    let start = date(YEAR - 3, 11, 20).at(19, 30, 0, 0);
    let mut n = 0;
    let mut add = |at: DateTime, payload: Payload| {
        n += 1;
        out.push(entry(at, n, payload));
    };
    add(
        start,
        FarmSetUp {
            name: "Alder Bend".into(),
            place: Place {
                lat_deg: SITE.lat_deg,
                lon_deg: SITE.lon_deg,
                elevation_m: SITE.elev_m,
                time_zone: ZONE.into(),
                region: None,
            },
        }
        .into(),
    );
    add(start, UnitChoice::default().into());
    for row in rows(MACHINES) {
        let number = |i: usize| row[i].parse::<f64>().expect("demo machines hold numbers");
        let (holds_kg, moves_kg_h, unloads_going) = super::harvest::carries(&row[0]);
        add(
            start,
            Machine {
                id: MachineId::from(row[0].as_str()),
                kind: MachineKind::from_key(&row[1]).expect("demo machines have a known kind"),
                name: row[2].clone(),
                width_m: units::ft_to_m(number(3)),
                speed_kmh: units::mph_to_kmh(number(4)),
                field_efficiency: Some(number(5)),
                hours_per_day: number(6),
                holds_kg,
                moves_kg_h,
                unloads_going,
                tank_l: (row[1] == "sprayer").then_some(super::spraying::TANK_L),
            }
            .into(),
        );
    }
    let planned = date(YEAR, 1, 8).at(20, 15, 0, 0);
    for row in rows(FIELDS) {
        let number = |i: usize| row[i].parse::<f64>().expect("demo fields hold numbers");
        let id = FieldId::from(row[0].as_str());
        add(
            start,
            Field {
                id: id.clone(),
                name: row[1].clone(),
                area_ha: units::acre_to_ha(number(2)),
                boundary: Some(rectangle(number(7), number(8), number(9), number(10))),
                soil: SoilDescription::Class {
                    class: TextureClass::from_key(&row[3]).expect("demo fields have a known texture"),
                },
                drainage: Drainage::from_key(&row[4]),
                cover: Cover::from_key(&row[5]),
                distance_km: Some(number(6)),
                lie: (row[0] == "river").then_some(Lie::Rolling),
            }
            .into(),
        );
        let plan = |year: i16, crop: &str, class: Option<CultivarClass>, rating: &str| CropPlan {
            field: id.clone(),
            crop_year: year,
            crop: Crop::from(crop.to_string()),
            cultivar_class: class,
            cultivar: None,
            head_blight: BlightRating::from_key(rating),
            target_yield_kg_ha: None,
            best_seeding_until: None,
            last_seeding_day: None,
        };
        add(date(YEAR - 1, 1, 10).at(20, 0, 0, 0), plan(YEAR - 1, &row[13], None, "").into());
        add(planned, plan(YEAR, &row[11], CultivarClass::from_key(&row[12]), &row[14]).into());
    }
    for (what, value, unit) in [
        ("wheat", 7.50, "bu"),
        ("feed_wheat", 230.0, "t"),
        ("herbicide_pass", 24.0, "ac"),
        ("fungicide_pass", 22.0, "ac"),
        ("drying", 0.044, "bu_point"),
    ] {
        add(planned, Price { what: what.into(), value, unit: unit.into() }.into());
    }
    out
}

fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines().skip(1).map(|l| l.split(',').map(str::to_string).collect()).collect()
}

/// A rectangle with its south-west corner `east_m`, `north_m` from the yard.
fn rectangle(east_m: f64, north_m: f64, width_m: f64, height_m: f64) -> stook_book::boundary::Geometry {
    const M_PER_DEG_LAT: f64 = 111_230.0;
    let m_per_deg_lon = M_PER_DEG_LAT * SITE.lat_deg.to_radians().cos();
    let corner = |e: f64, n: f64| {
        let round = |x: f64| (x * 1e6).round() / 1e6;
        vec![round(SITE.lon_deg + e / m_per_deg_lon), round(SITE.lat_deg + n / M_PER_DEG_LAT)]
    };
    let (w, s, e, n) = (east_m, north_m, east_m + width_m, north_m + height_m);
    let ring = vec![corner(w, s), corner(e, s), corner(e, n), corner(w, n), corner(w, s)];
    serde_json::from_value(serde_json::json!({"type": "Polygon", "coordinates": [ring]}))
        .expect("a rectangle is a polygon")
}

/// The first day of the made weather.
pub fn weather_start() -> Date {
    date(YEAR - 30, 1, 1)
}
