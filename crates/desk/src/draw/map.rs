//! The farm drawn from its field boundaries; fields without one stand beside it as squares to scale.

use maud::{Markup, html};
use stook_book::boundary;
use stook_book::{Farm, FieldId};

use super::px;

/// Corners in metres from nowhere in particular, south and east positive.
type Ring = Vec<(f64, f64)>;

const M_PER_DEG: f64 = 111_320.0;

/// Draws it; `wheat` are the keys of this year's wheat fields. Each field links to its page.
pub fn draw(farm: &Farm, wheat: &[String]) -> Markup {
    let mut shapes: Vec<(String, String, Vec<Ring>)> = Vec::new();
    let lat0 = farm.site().map_or(50.0, |s| s.lat_deg);
    for r in farm.fields.values() {
        let f = r.field();
        let rings: Vec<Ring> = f
            .boundary
            .as_ref()
            .and_then(|b| boundary::polygons(b).ok())
            .map(|m| {
                m.0.iter()
                    .map(|p| {
                        p.exterior()
                            .coords()
                            .map(|c| (c.x * lat0.to_radians().cos() * M_PER_DEG, -c.y * M_PER_DEG))
                            .collect()
                    })
                    .collect()
            })
            .unwrap_or_default();
        shapes.push((f.id.to_string(), f.name.clone(), rings));
    }
    let all: Vec<(f64, f64)> = shapes.iter().flat_map(|s| s.2.iter().flatten().copied()).collect();
    let bound = |pick: fn(f64, f64) -> f64, of: fn(&(f64, f64)) -> f64, start: f64| {
        all.iter().map(of).fold(start, pick)
    };
    let (mut west, mut north) =
        (bound(f64::min, |p| p.0, f64::INFINITY), bound(f64::min, |p| p.1, f64::INFINITY));
    let (mut east, south) =
        (bound(f64::max, |p| p.0, f64::NEG_INFINITY), bound(f64::max, |p| p.1, f64::NEG_INFINITY));
    if all.is_empty() {
        (west, north, east) = (0.0, 0.0, 0.0);
    }
    // Fields without a boundary: squares of their area in a row below.
    let mut at = west;
    let row = if all.is_empty() { 0.0 } else { south + 400.0 };
    let mut deepest = if all.is_empty() { 0.0 } else { south };
    for (id, _, rings) in &mut shapes {
        if !rings.is_empty() {
            continue;
        }
        let side = farm
            .fields
            .values()
            .find(|r| r.field().id.as_str() == id)
            .map_or(400.0, |r| (r.field().area_ha * 10_000.0).sqrt());
        rings.push(vec![(at, row), (at + side, row), (at + side, row + side), (at, row + side)]);
        at += side + 200.0;
        east = east.max(at);
        deepest = deepest.max(row + side);
    }
    if shapes.is_empty() {
        return html! {};
    }
    let (width, height) = ((east - west).max(1.0), (deepest - north).max(1.0));
    let pad = 0.09 * width.max(height); // room for names at the edge
    // Drawn 600 wide, so that letters and strokes keep their size.
    let k = 600.0 / (width + 2.0 * pad);
    let p = |(x, y): (f64, f64)| ((x - west + pad) * k, (y - north + pad) * k);
    let view = format!("0 0 600 {}", px((height + 2.0 * pad) * k));
    html! {
        svg.map viewBox=(view) role="group" aria-label="Map of the fields" {
            @for (id, name, rings) in &shapes {
                @let is_wheat = wheat.contains(id);
                @let points: Vec<String> = rings.iter().map(|r| r.iter().map(|c| { let (x, y) = p(*c); format!("{},{}", px(x), px(y)) }).collect::<Vec<_>>().join(" ")).collect();
                @let (cx, cy) = middle(&rings[0]);
                @let (tx, ty) = p((cx, cy));
                a href={ "/field/" (id) } {
                    @for pts in &points { polygon class=(if is_wheat { "wheat" } else { "other" }) points=(pts) {} }
                    text.quiet[!is_wheat] x=(px(tx)) y=(px(ty)) text-anchor="middle" { (name) }
                }
            }
            @for (lat, lon) in sample_points(farm) {
                @let (x, y) = p((lon * lat0.to_radians().cos() * M_PER_DEG, -lat * M_PER_DEG));
                circle.sample-point cx=(px(x)) cy=(px(y)) r="4" {}
            }
        }
    }
}

/// Where the cores of each field's newest soil tests were taken.
fn sample_points(farm: &Farm) -> Vec<(f64, f64)> {
    let newest = |r: &stook_book::FieldRecord| r.soil_tests.iter().map(|t| t.is.sampled).max();
    farm.fields
        .values()
        .flat_map(|r| r.soil_tests.iter().filter(move |t| Some(t.is.sampled) == newest(r)))
        .flat_map(|t| t.is.points.iter().map(|p| (p.lat_deg, p.lon_deg)))
        .collect()
}

/// One field's outline with the points of its cores; the points alone when it has no outline.
pub fn points(farm: &Farm, field: &FieldId, at: &[(f64, f64)]) -> Markup {
    let Some(f) = farm.fields.get(field).map(|r| r.field()) else { return html! {} };
    let lat0 = at.first().map_or(50.0, |p| p.0);
    let flat = |lat: f64, lon: f64| (lon * lat0.to_radians().cos() * M_PER_DEG, -lat * M_PER_DEG);
    let rings: Vec<Ring> = f
        .boundary
        .as_ref()
        .and_then(|b| boundary::polygons(b).ok())
        .map(|m| m.0.iter().map(|p| p.exterior().coords().map(|c| flat(c.y, c.x)).collect()).collect())
        .unwrap_or_default();
    let cores: Ring = at.iter().map(|(lat, lon)| flat(*lat, *lon)).collect();
    let all = || rings.iter().flatten().chain(&cores);
    let (west, east) = all().fold((f64::INFINITY, f64::NEG_INFINITY), |b, c| (b.0.min(c.0), b.1.max(c.0)));
    let (north, south) = all().fold((f64::INFINITY, f64::NEG_INFINITY), |b, c| (b.0.min(c.1), b.1.max(c.1)));
    let pad = 0.08 * (east - west).max(south - north).max(50.0);
    let k = 240.0 / ((east - west).max(south - north) + 2.0 * pad);
    let p = |(x, y): &(f64, f64)| ((x - west + pad) * k, (y - north + pad) * k);
    let (w, h) = ((east - west + 2.0 * pad) * k, (south - north + 2.0 * pad) * k);
    let label = format!("{} sample points on {}", cores.len(), f.name);
    html! {
        svg.map.one-field viewBox={ "0 0 " (px(w)) " " (px(h)) } role="img" aria-label=(label) {
            @for r in &rings {
                @let pts: Vec<String> = r.iter().map(|c| { let (x, y) = p(c); format!("{},{}", px(x), px(y)) }).collect();
                polygon.other points=(pts.join(" ")) {}
            }
            @for c in &cores { @let (x, y) = p(c); circle.sample-point cx=(px(x)) cy=(px(y)) r="4" {} }
        }
    }
}

fn middle(ring: &[(f64, f64)]) -> (f64, f64) {
    let n = ring.len().max(1) as f64;
    (ring.iter().map(|c| c.0).sum::<f64>() / n, ring.iter().map(|c| c.1).sum::<f64>() / n)
}
