//! Entries as they travel and as they lie in the file.

mod common;

use common::{entry, field, may, rain, set_up};
use serde_json::json;
use stook_book::payload::{Crop, SoilDescription, SoilLayer};
use stook_book::{Body, Entry, Payload};

#[test]
fn an_entry_reads_as_it_was_written() {
    for e in set_up() {
        let text = serde_json::to_string(&e).unwrap();
        assert_eq!(serde_json::from_str::<Entry>(&text).unwrap(), e, "{text}");
    }
    let mut layered = field("a", "A", 0.1 + 0.2);
    layered.soil = SoilDescription::Layers {
        layers: vec![SoilLayer {
            top_cm: 0.0,
            bottom_cm: 30.0,
            sand_pct: 1.0 / 3.0,
            clay_pct: 30.0,
            organic_matter_pct: None,
        }],
    };
    layered.boundary = serde_json::from_value(
        json!({"type":"Polygon","coordinates":[[[-104.0,50.0],[-103.9,50.0],[-103.9,50.1],[-104.0,50.0]]]}),
    )
    .unwrap();
    let e = entry(9, may(1, 8), 1, layered);
    let text = serde_json::to_string(&e).unwrap();
    assert_eq!(serde_json::from_str::<Entry>(&text).unwrap(), e, "{text}");
}

#[test]
fn the_flat_form_is_plain() {
    let e = entry(9, may(5, 6), 1, rain(4.5)).replacing(entry(8, may(5, 6), 1, rain(45.0)).id);
    assert_eq!(
        serde_json::to_value(&e).unwrap(),
        json!({
            "id": "01900000-0000-7000-8000-000000000009",
            "happened": "2026-05-05T06:00:00",
            "written": "2026-01-01T00:01:00Z",
            "who": "Ada",
            "replaces": "01900000-0000-7000-8000-000000000008",
            "kind": "rain",
            "data": {"rain_mm": 4.5}
        })
    );
}

#[test]
fn what_a_newer_version_wrote_is_kept_whole() {
    for (kind, data) in [
        ("bin_reading", json!({"bin": "9", "top_c": 26.0})),
        ("rain", json!({"rain_mm": 3.0, "intensity": "heavy"})), // a field not known here
        ("rain", json!({"rain_mm": "some"})),                    // a value not known here
    ] {
        let wire = json!({
            "id": "01900000-0000-7000-8000-000000000009", "happened": "2026-05-05T06:00:00",
            "written": "2026-01-01T00:01:00Z", "who": "Ada", "kind": kind, "data": data
        });
        let e: Entry = serde_json::from_value(wire.clone()).unwrap();
        assert_eq!(e.body, Body::Unknown { kind: kind.into(), data });
        assert_eq!(serde_json::to_value(&e).unwrap(), wire);
    }
}

#[test]
fn every_kind_is_listed_once_and_reads_its_own_key() {
    let mut keys: Vec<_> = Payload::KINDS.iter().map(|(key, _)| *key).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), Payload::KINDS.len());
    for key in keys {
        assert!(Payload::read(key, &json!(null)).is_some(), "{key} is listed but not read");
    }
    assert!(Payload::read("moon_phase", &json!({})).is_none());
}

#[test]
fn a_crop_without_a_name_here_keeps_its_word() {
    let crop: Crop = serde_json::from_value(json!("hemp")).unwrap();
    assert_eq!(crop, Crop::Other("hemp".into()));
    assert_eq!(serde_json::to_value(&crop).unwrap(), json!("hemp"));
    for named in Crop::NAMED {
        assert_eq!(serde_json::from_value::<Crop>(json!(named.key())).unwrap(), named);
    }
}
