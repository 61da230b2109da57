//! A small invented farm for the season's tests and bench.
#![allow(dead_code)]

use jiff::civil::date;
use stook_book::payload::{
    Crop, CropPlan, FarmSetUp, Field, FieldId, Machine, MachineId, MachineKind, Place, SoilDescription,
    TextureClass,
};
use stook_book::{Entry, Payload};

/// Year of the test season.
pub const YEAR: i16 = 2026;

/// Set-up of a farm with `fields` wheat fields of differing soil and distance.
pub fn entries(fields: usize) -> Vec<Entry> {
    let at = date(YEAR - 1, 11, 1).at(12, 0, 0, 0);
    let mut out: Vec<Entry> = Vec::new();
    let mut add = |p: Payload| out.push(Entry::new(at, "test", p));
    add(FarmSetUp {
        name: "Test farm".into(),
        place: Place {
            lat_deg: 50.0,
            lon_deg: -101.0,
            elevation_m: 500.0,
            time_zone: "America/Winnipeg".into(),
            region: None,
        },
    }
    .into());
    for (kind, width, speed, hours) in [
        (MachineKind::Drill, 15.2, 7.2, 12.0),
        (MachineKind::Sprayer, 30.5, 19.3, 8.0),
        (MachineKind::Combine, 12.2, 7.2, 10.0),
        (MachineKind::Harrow, 21.3, 14.5, 12.0),
    ] {
        add(Machine {
            id: MachineId::from(kind.key()),
            kind,
            name: kind.key().into(),
            width_m: width,
            speed_kmh: speed,
            field_efficiency: Some(0.7),
            holds_kg: None,
            moves_kg_h: None,
            unloads_going: None,
            hours_per_day: hours,
            tank_l: None,
        }
        .into());
    }
    let soils = [TextureClass::ClayLoam, TextureClass::Loam, TextureClass::SandyLoam, TextureClass::Clay];
    for i in 0..fields {
        let id = FieldId(format!("field-{i}"));
        add(Field {
            id: id.clone(),
            name: format!("Field {i}"),
            area_ha: 40.0 + 5.0 * (i % 6) as f64,
            boundary: None,
            soil: SoilDescription::Class { class: soils[i % soils.len()] },
            drainage: None,
            cover: None,
            distance_km: Some(1.0 + i as f64),
            lie: None,
        }
        .into());
        add(CropPlan {
            field: id,
            crop_year: YEAR,
            crop: Crop::SpringWheat,
            cultivar_class: None,
            cultivar: None,
            head_blight: None,
            target_yield_kg_ha: None,
            best_seeding_until: None,
            last_seeding_day: None,
        }
        .into());
    }
    out
}
