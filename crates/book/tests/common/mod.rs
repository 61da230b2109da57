//! A small invented farm for the tests.
#![allow(dead_code)] // each test binary uses a part of it

use jiff::Timestamp;
use jiff::civil::{DateTime, date};
use stook_book::payload::{
    Crop, CropPlan, CultivarClass, FarmSetUp, Field, Note, Place, Rain, Seeding, SoilDescription,
    TextureClass,
};
use stook_book::{Body, Entry, Payload};
use uuid::Uuid;

/// An entry with a chosen number for an id, written `minute` minutes into the year.
pub fn entry(number: u64, happened: DateTime, minute: i64, payload: impl Into<Payload>) -> Entry {
    Entry {
        id: Uuid::from_u64_pair(0x0190_0000_0000_7000, 0x8000_0000_0000_0000 | number),
        happened,
        written: Timestamp::from_second(1_767_225_600 + 60 * minute).unwrap(),
        who: "Ada".into(),
        replaces: None,
        body: Body::Known(payload.into()),
    }
}

pub fn may(day: i8, hour: i8) -> DateTime {
    date(2026, 5, day).at(hour, 0, 0, 0)
}

pub fn farm() -> FarmSetUp {
    FarmSetUp {
        name: "Hill Farm".into(),
        place: Place {
            lat_deg: 50.4,
            lon_deg: -104.6,
            elevation_m: 577.0,
            time_zone: "America/Regina".into(),
            region: Some("Saskatchewan".into()),
        },
    }
}

pub fn field(id: &str, name: &str, area_ha: f64) -> Field {
    Field {
        id: id.into(),
        name: name.into(),
        area_ha,
        boundary: None,
        soil: SoilDescription::Class { class: TextureClass::ClayLoam },
        drainage: None,
        cover: None,
        distance_km: Some(3.5),
        lie: None,
    }
}

pub fn plan(field: &str) -> CropPlan {
    CropPlan {
        field: field.into(),
        crop_year: 2026,
        crop: Crop::SpringWheat,
        cultivar_class: Some(CultivarClass::Mid),
        cultivar: None,
        head_blight: None,
        target_yield_kg_ha: None,
        best_seeding_until: None,
        last_seeding_day: None,
    }
}

pub fn rain(rain_mm: f64) -> Rain {
    Rain { rain_mm, field: None }
}

pub fn note(text: &str) -> Note {
    Note { text: text.into(), field: None }
}

pub fn seeding(field: &str, done: bool) -> Seeding {
    Seeding {
        field: field.into(),
        lot: None,
        finished: None,
        rate_kg_ha: Some(120.0),
        depth_mm: Some(40.0),
        area_ha: None,
        done,
    }
}

/// Set-up of a farm with two fields, numbers 1 to 5.
pub fn set_up() -> Vec<Entry> {
    let day = date(2026, 1, 10).at(9, 0, 0, 0);
    vec![
        entry(1, day, 1, farm()),
        entry(2, day, 2, field("long-90", "Long 90", 36.4)),
        entry(3, day, 3, field("tower", "Tower", 64.7)),
        entry(4, day, 4, plan("long-90")),
        entry(5, day, 5, plan("tower")),
    ]
}
