//! Field outlines: area against published values, and every way an outline can be wrong.

use serde_json::json;
use stook_book::boundary::{BoundaryError, area_ha, middle, read};

fn area(ring: &[(f64, f64)]) -> Result<f64, BoundaryError> {
    let ring: Vec<[f64; 2]> = ring.iter().map(|(lat, lon)| [*lon, *lat]).collect();
    area_ha(&serde_json::from_value(json!({"type": "Polygon", "coordinates": [ring]})).unwrap())
}

#[test]
fn area_on_the_ellipsoid() {
    // Geodesic polygons computed with geographiclib 2.1 and pyproj 3.7.2, which agree.
    for (corners, m2) in [
        (
            vec![(50.0, -104.0), (50.0, -103.988743), (50.007229, -103.988743), (50.007229, -104.0)],
            648_903.798,
        ),
        (vec![(50.0, -104.0), (50.0, -103.99), (50.01, -103.99), (50.01, -104.0)], 797_383.136),
        (vec![(50.0, -104.0), (50.0, -103.98), (50.01, -104.0)], 797_465.843),
    ] {
        let mut ring = corners.clone();
        ring.push(ring[0]);
        let ours = area(&ring).unwrap() * 10_000.0;
        assert!((ours - m2).abs() < 0.01, "{ours} against {m2}");
        ring.reverse();
        assert!((area(&ring).unwrap() * 10_000.0 - m2).abs() < 0.01, "the other way round");
    }
}

#[test]
fn a_hole_is_taken_off() {
    let square = |a: f64, b: f64| {
        [[a, 50.0 + b], [a + b, 50.0 + b], [a + b, 50.0 + 2.0 * b], [a, 50.0 + 2.0 * b], [a, 50.0 + b]]
    };
    let outer = square(-104.0, 0.01);
    let hole =
        [[-103.998, 50.012], [-103.998, 50.014], [-103.996, 50.014], [-103.996, 50.012], [-103.998, 50.012]];
    let shape = |rings: serde_json::Value| {
        serde_json::from_value(json!({"type": "Polygon", "coordinates": rings})).unwrap()
    };
    let (whole, cut) =
        (area_ha(&shape(json!([outer]))).unwrap(), area_ha(&shape(json!([outer, hole]))).unwrap());
    let only = area_ha(&shape(json!([hole]))).unwrap();
    assert!((whole - only - cut).abs() < 1e-6);
    let outside = [[-104.1, 50.0], [-104.1, 50.1], [-104.2, 50.1], [-104.2, 50.0], [-104.1, 50.0]];
    assert_eq!(area_ha(&shape(json!([outer, outside]))), Err(BoundaryError::HoleOutside));
}

#[test]
fn every_wrong_outline_is_named() {
    let unclosed = [(50.0, -104.0), (50.0, -103.9), (50.1, -103.9), (50.1, -104.0)];
    assert_eq!(area(&unclosed), Err(BoundaryError::Unclosed));
    let bow_tie = [(50.0, -104.0), (50.1, -103.9), (50.1, -104.0), (50.0, -103.9), (50.0, -104.0)];
    let Err(BoundaryError::Crosses { lon, lat }) = area(&bow_tie) else { panic!("a bow tie crosses itself") };
    assert!((lon + 103.95).abs() < 1e-6 && (lat - 50.05).abs() < 1e-6);
    let spike =
        [(50.0, -104.0), (50.0, -103.9), (50.1, -103.9), (50.0, -103.9), (50.1, -104.0), (50.0, -104.0)];
    assert!(matches!(area(&spike), Err(BoundaryError::Crosses { .. })), "an edge that doubles back");
    let swapped = [(-104.0, 50.0), (-104.0, 50.1), (-103.9, 50.1), (-104.0, 50.0)];
    assert!(area(&swapped).unwrap_err().to_string().contains("swapped"));
    let metres = [
        (5_540_000.0, 500_000.0),
        (5_540_000.0, 500_800.0),
        (5_540_800.0, 500_800.0),
        (5_540_000.0, 500_000.0),
    ];
    assert!(area(&metres).unwrap_err().to_string().contains("map grid"));
    assert_eq!(area(&[(50.0, -104.0), (50.1, -104.0), (50.0, -104.0)]), Err(BoundaryError::TooFewCorners));
    let province = [(49.0, -110.0), (49.0, -101.0), (60.0, -101.0), (60.0, -110.0), (49.0, -110.0)];
    assert!(matches!(area(&province), Err(BoundaryError::TooLarge(_))));
    assert!(matches!(read("{}"), Err(BoundaryError::NotGeoJson(_))));
    let point = r#"{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-104,50]}}"#;
    assert!(read(point).unwrap_err().to_string().contains("a Point"));
}

#[test]
fn fields_come_by_name_from_a_collection() {
    let fields = read(include_str!("data/fields.geojson")).unwrap();
    let names: Vec<&str> = fields.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["Long 90", "Tower", ""]);
    assert!((fields[0].area_ha - 64.89).abs() < 0.01);
    let (lon, lat) = middle(&fields[0].shape).unwrap();
    assert!((lon + 103.9944).abs() < 1e-3 && (lat - 50.0036).abs() < 1e-3);
}

#[test]
fn a_long_outline_stays_quick_and_right() {
    let n = 20_000;
    let mut ring: Vec<(f64, f64)> = (0..n)
        .map(|i| f64::from(i) / f64::from(n) * std::f64::consts::TAU)
        .map(|a| (50.0 + 0.005 * a.sin(), -104.0 + 0.005 * a.cos()))
        .collect();
    ring.push(ring[0]);
    let circle = area(&ring).unwrap();
    assert!((circle - 62.63).abs() < 0.1, "{circle}");
}
