//! Field outlines as GeoJSON (RFC 7946): reading, checking, area.

use geo::{Contains, Coord, GeodesicArea, LineString, MultiPolygon, Polygon};
pub use geojson::Geometry;
use geojson::{GeoJson, GeometryValue};

/// What can be wrong with an outline.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BoundaryError {
    /// Not GeoJSON.
    #[error("this is not GeoJSON: {0}")]
    NotGeoJson(String),
    /// Nothing with an area in it.
    #[error("there is no field outline in it; an outline is a Polygon or MultiPolygon, not {0}")]
    NoArea(String),
    /// Longitude and latitude out of range.
    #[error(
        "a corner at longitude {lon}, latitude {lat} is not on the earth; GeoJSON wants longitude first, in degrees{hint}"
    )]
    OffEarth {
        /// As read.
        lon: String,
        /// As read.
        lat: String,
        /// The likely cause, or empty.
        hint: &'static str,
    },
    /// First and last corner differ.
    #[error("the outline is not closed: its last corner must be its first again")]
    Unclosed,
    /// Fewer than three different corners.
    #[error("an outline needs at least three different corners")]
    TooFewCorners,
    /// Lines that cross.
    #[error("the outline crosses itself near longitude {lon:.5}, latitude {lat:.5}; draw it once around")]
    Crosses {
        /// Near here.
        lon: f64,
        /// And here.
        lat: f64,
    },
    /// A hole that is not inside.
    #[error("a hole lies outside its outline")]
    HoleOutside,
    /// Larger than any farm.
    #[error("the outline holds {0} ha, more than any one field; check the coordinates")]
    TooLarge(String),
}

/// An outline with the name it came under.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedOutline {
    /// The feature's name, from a property called name, field or label, or empty.
    pub name: String,
    /// The outline, checked.
    pub shape: Geometry,
    /// Area on the ellipsoid, ha.
    pub area_ha: f64,
}

/// Reads every outline in GeoJSON text: a geometry, a Feature or a FeatureCollection.
///
/// # Errors
/// When the text is not GeoJSON, holds no area, or an outline is wrong; the first problem, with the feature's name.
pub fn read(text: &str) -> Result<Vec<NamedOutline>, BoundaryError> {
    let parsed: GeoJson = text
        .trim_start_matches('\u{feff}')
        .parse()
        .map_err(|e: geojson::Error| BoundaryError::NotGeoJson(e.to_string()))?;
    let features = match parsed {
        GeoJson::Geometry(shape) => return Ok(vec![named(String::new(), shape)?]),
        GeoJson::Feature(feature) => vec![feature],
        GeoJson::FeatureCollection(all) => all.features,
    };
    let mut outlines = Vec::new();
    let mut passed_over = "an empty collection".to_owned();
    for feature in features {
        let name = name_of(&feature);
        match feature.geometry {
            Some(shape) if is_area(&shape) => outlines.push(named(name, shape)?),
            Some(shape) => passed_over = format!("a {}", shape.value.type_name()),
            None => passed_over = "a feature without a shape".into(),
        }
    }
    if outlines.is_empty() { Err(BoundaryError::NoArea(passed_over)) } else { Ok(outlines) }
}

/// Area on the WGS 84 ellipsoid, ha, of a checked outline; holes taken off.
///
/// Geodesic edges (Karney 2013, J. Geodesy 87:43), so it holds at any size and latitude.
///
/// # Errors
/// When the outline is wrong in any of the ways of [`BoundaryError`].
pub fn area_ha(shape: &Geometry) -> Result<f64, BoundaryError> {
    let polygons = polygons(shape)?;
    for polygon in &polygons {
        check_rings(polygon)?;
    }
    let area = polygons.geodesic_area_unsigned() / 10_000.0;
    // Geodesic area takes the inside to be on the left; an outline drawn clockwise must not become the rest of the earth.
    if area > 20_000.0 { Err(BoundaryError::TooLarge(stook_measure::figure(area, 0))) } else { Ok(area) }
}

/// Whether a point, longitude and latitude, lies inside an outline; never inside one that is wrong.
pub fn holds(shape: &Geometry, lon: f64, lat: f64) -> bool {
    polygons(shape).is_ok_and(|all| all.contains(&Coord { x: lon, y: lat }))
}

/// A point in the middle of an outline, longitude and latitude; `None` when the outline is wrong.
pub fn middle(shape: &Geometry) -> Option<(f64, f64)> {
    use geo::Centroid;
    polygons(shape).ok()?.centroid().map(|p| (p.x(), p.y()))
}

/// Corners of the outer rings as latitude and longitude; none when the outline is wrong.
pub fn outer_points(shape: &Geometry) -> Vec<(f64, f64)> {
    let Ok(all) = polygons(shape) else { return Vec::new() };
    all.iter().flat_map(|p| p.exterior().coords().map(|c| (c.y, c.x)).collect::<Vec<_>>()).collect()
}

/// Corners of every ring, longitude and latitude, polygon by polygon, the outer ring first.
///
/// # Errors
/// As [`polygons`].
pub fn rings(shape: &Geometry) -> Result<Vec<Vec<Vec<(f64, f64)>>>, BoundaryError> {
    let ring = |r: &LineString<f64>| r.coords().map(|c| (c.x, c.y)).collect();
    let one = |p: &Polygon<f64>| std::iter::once(p.exterior()).chain(p.interiors()).map(ring).collect();
    Ok(polygons(shape)?.iter().map(one).collect())
}

/// The outline's polygons, corners as longitude and latitude, rings turned the way RFC 7946 asks.
///
/// # Errors
/// When a ring is unclosed, too short or off the earth, or the shape has no area.
pub fn polygons(shape: &Geometry) -> Result<MultiPolygon<f64>, BoundaryError> {
    use geo::orient::{Direction, Orient};
    let parts = match &shape.value {
        GeometryValue::Polygon { coordinates } => std::slice::from_ref(coordinates),
        GeometryValue::MultiPolygon { coordinates } => coordinates.as_slice(),
        other => return Err(BoundaryError::NoArea(format!("a {}", other.type_name()))),
    };
    let mut out = Vec::with_capacity(parts.len());
    for rings in parts {
        let mut lines = rings.iter().map(|r| ring(r)).collect::<Result<Vec<_>, _>>()?.into_iter();
        let outer = lines.next().ok_or(BoundaryError::TooFewCorners)?;
        out.push(Polygon::new(outer, lines.collect()).orient(Direction::Default));
    }
    if out.is_empty() { Err(BoundaryError::TooFewCorners) } else { Ok(MultiPolygon::new(out)) }
}

fn ring(corners: &[geojson::Position]) -> Result<LineString<f64>, BoundaryError> {
    let mut line = Vec::with_capacity(corners.len());
    for corner in corners {
        let [lon, lat, ..] = corner.as_slice() else { return Err(BoundaryError::TooFewCorners) };
        if !(lon.abs() <= 180.0 && lat.abs() <= 90.0) {
            let hint = if lon.abs() <= 90.0 && lat.abs() <= 180.0 {
                "; these two look swapped"
            } else if lon.abs() > 1_000.0 {
                "; these look like metres on a map grid"
            } else {
                ""
            };
            return Err(BoundaryError::OffEarth { lon: lon.to_string(), lat: lat.to_string(), hint });
        }
        line.push(Coord { x: *lon, y: *lat });
    }
    if line.first() != line.last() {
        return Err(BoundaryError::Unclosed);
    }
    line.dedup();
    if line.len() < 4 {
        return Err(BoundaryError::TooFewCorners);
    }
    Ok(LineString::new(line))
}

fn check_rings(polygon: &Polygon<f64>) -> Result<(), BoundaryError> {
    let rings: Vec<&LineString<f64>> =
        std::iter::once(polygon.exterior()).chain(polygon.interiors()).collect();
    if let Some(at) = crossing(&rings) {
        return Err(BoundaryError::Crosses { lon: at.x, lat: at.y });
    }
    let outer = Polygon::new(polygon.exterior().clone(), vec![]);
    for hole in polygon.interiors() {
        if !hole.points().all(|p| outer.contains(&p) || polygon.exterior().contains(&p)) {
            return Err(BoundaryError::HoleOutside);
        }
    }
    Ok(())
}

/// Where two edges meet that should not, if anywhere. Edges are swept by longitude, so a long outline stays quick.
fn crossing(rings: &[&LineString<f64>]) -> Option<Coord<f64>> {
    use geo::line_intersection::{LineIntersection, line_intersection};
    let mut edges: Vec<(geo::Line<f64>, usize, usize, usize)> = Vec::new();
    for (r, ring) in rings.iter().enumerate() {
        let n = ring.0.len() - 1;
        edges.extend(ring.lines().enumerate().map(|(i, line)| (line, r, i, n)));
    }
    let left = |l: &geo::Line<f64>| l.start.x.min(l.end.x);
    edges.sort_by(|a, b| left(&a.0).total_cmp(&left(&b.0)));
    for (k, (a, ring_a, i, n)) in edges.iter().enumerate() {
        let right = a.start.x.max(a.end.x);
        for (b, ring_b, j, _) in edges[k + 1..].iter().take_while(|e| left(&e.0) <= right) {
            let neighbours = ring_a == ring_b && (i.abs_diff(*j) == 1 || i.abs_diff(*j) == n - 1);
            match line_intersection(*a, *b) {
                None => {}
                // Neighbours share a corner; anything more is an edge doubling back.
                Some(LineIntersection::SinglePoint { .. }) if neighbours => {}
                // A hole may touch its outline at a corner.
                Some(LineIntersection::SinglePoint { is_proper: false, .. }) if ring_a != ring_b => {}
                Some(LineIntersection::SinglePoint { intersection, .. }) => return Some(intersection),
                Some(LineIntersection::Collinear { intersection }) => return Some(intersection.start),
            }
        }
    }
    None
}

fn named(name: String, shape: Geometry) -> Result<NamedOutline, BoundaryError> {
    let area_ha = area_ha(&shape)?;
    Ok(NamedOutline { name, shape, area_ha })
}

fn is_area(shape: &Geometry) -> bool {
    matches!(shape.value, GeometryValue::Polygon { .. } | GeometryValue::MultiPolygon { .. })
}

fn name_of(feature: &geojson::Feature) -> String {
    let Some(properties) = &feature.properties else { return String::new() };
    let wanted =
        |key: &str| matches!(key.to_ascii_lowercase().as_str(), "name" | "field" | "field_name" | "label");
    properties
        .iter()
        .find(|(key, _)| wanted(key))
        .map(|(_, value)| value.as_str().map_or_else(|| value.to_string(), str::to_owned))
        .unwrap_or_default()
        .trim()
        .to_owned()
}
