//! A bin drawn as full as it is, to one scale, so that a big bin looks big.

use maud::{Markup, html};
use stook_book::payload::{BinFloor, Crop};
use stook_grain::bin::{Floor, peak_m3};
use stook_yard::{BinState, Happened};

use super::px;

/// Where a bin stands on its drawing, px.
#[derive(Debug, Clone, Copy)]
pub struct Frame {
    /// Pixels for a metre.
    pub px_m: f64,
    /// Width of the drawing.
    pub width: f64,
    /// Height of the drawing.
    pub height: f64,
}

impl Frame {
    /// One scale for all `bins`.
    pub fn over<'a>(bins: impl Iterator<Item = &'a BinState> + Clone, width: f64) -> Self {
        let widest = bins.clone().map(|b| b.bin.diameter_m).fold(1.0, f64::max);
        let px_m = (width - 8.0) / widest;
        let tallest = bins.map(|b| b.bin.wall_m + below(b) + roof(b)).fold(1.0, f64::max);
        Self { px_m, width, height: tallest * px_m + 6.0 }
    }
}

/// Height below the wall, m.
fn below(b: &BinState) -> f64 {
    match b.round.floor {
        Floor::Flat => 0.0,
        Floor::Hopper { height_m, .. } => height_m,
    }
}

/// Height of the roof, m: 30 degrees.
fn roof(b: &BinState) -> f64 {
    b.bin.diameter_m / 2.0 * 30.0_f64.to_radians().tan()
}

/// The shape of the surface, as a share of the full heap: up after filling, down after drawing.
fn surface(b: &BinState) -> f64 {
    b.history
        .iter()
        .rev()
        .find_map(|e| match e.what {
            Happened::In { .. } => Some(1.0),
            Happened::Out { .. } => Some(-0.6),
            _ => None,
        })
        .unwrap_or(0.0)
}

/// Hatch or dots for the crop, so that the kind of grain is not told by colour alone.
fn fill(crop: Option<&Crop>) -> &'static str {
    match crop {
        Some(Crop::SpringWheat | Crop::Durum) | None => "grain",
        Some(Crop::Barley | Crop::Oats) => "grain barley",
        Some(Crop::Canola | Crop::Flax) => "grain canola",
        Some(Crop::Peas) => "grain peas",
        Some(_) => "grain other",
    }
}

/// The drawing. The words beside it say the same, so it is left out for those who hear the page.
pub fn draw(b: &BinState, f: Frame) -> Markup {
    let s = f.px_m;
    let (half, mid) = (b.bin.diameter_m * s / 2.0, f.width / 2.0);
    let ground = f.height - 3.0;
    let (wall_bottom, wall) = (ground - below(b) * s, b.bin.wall_m * s);
    let eave = wall_bottom - wall;
    let top = eave - roof(b) * s;
    let outlet = match b.round.floor {
        Floor::Hopper { outlet_m, .. } => outlet_m * s / 2.0,
        Floor::Flat => half,
    };
    let (left, right) = (mid - half, mid + half);
    let point = |x: f64, y: f64| format!("{},{}", px(x), px(y));
    html! {
        svg.bin viewBox={ "0 0 " (px(f.width)) " " (px(f.height)) } aria-hidden="true" {
            @if let Some(points) = grain(b, f, ground, wall_bottom, outlet) {
                polygon class=(fill(b.crop.as_ref())) points=(points) {}
            }
            @for y in seams(b) {
                @let (y, reach) = seam_at(b, s, ground, wall_bottom, y, half, outlet);
                line.seam x1=(px(mid - reach)) y1=(px(y)) x2=(px(mid + reach)) y2=(px(y)) {}
            }
            polygon.wall points={
                (point(left, eave)) " " (point(mid - 0.08 * half, top)) " " (point(mid + 0.08 * half, top)) " "
                (point(right, eave)) " " (point(right, wall_bottom)) " "
                (point(mid + outlet, ground)) " " (point(mid - outlet, ground)) " " (point(left, wall_bottom))
            } {}
            line.eave x1=(px(left)) y1=(px(eave)) x2=(px(right)) y2=(px(eave)) {}
            @if matches!(b.bin.floor, BinFloor::Hopper { .. }) {
                line.leg x1=(px(left)) y1=(px(wall_bottom)) x2=(px(left)) y2=(px(ground)) {}
                line.leg x1=(px(right)) y1=(px(wall_bottom)) x2=(px(right)) y2=(px(ground)) {}
            }
        }
    }
}

/// Height of a volume above the outlet or floor, m.
fn height(b: &BinState, m3: f64) -> f64 {
    let m3 = m3.clamp(0.0, b.round.heaped_m3(b.angles.filling_deg));
    b.round.level_depth_m(m3, b.angles.filling_deg).unwrap_or(0.0)
}

/// The outline of the grain.
fn grain(b: &BinState, f: Frame, ground: f64, wall_bottom: f64, outlet: f64) -> Option<String> {
    let volume = b.volume_m3().min(b.round.heaped_m3(b.angles.filling_deg));
    if volume <= 0.01 {
        return None;
    }
    let (s, mid, half) = (f.px_m, f.width / 2.0, b.bin.diameter_m * f.px_m / 2.0);
    let peak = peak_m3(b.bin.diameter_m, b.angles.filling_deg);
    let in_wall = volume - b.round.hopper_m3();
    let mut points: Vec<(f64, f64)> = vec![(mid - outlet, ground), (mid + outlet, ground)];
    if in_wall <= peak {
        // Little: drawn level.
        let y = ground - height(b, volume) * s;
        let reach = if y > wall_bottom {
            outlet + (half - outlet) * (ground - y) / (ground - wall_bottom).max(1e-9)
        } else {
            half
        };
        if y <= wall_bottom && wall_bottom < ground {
            points.push((mid + half, wall_bottom));
        }
        points.extend([(mid + reach, y), (mid - reach, y)]);
        if y <= wall_bottom && wall_bottom < ground {
            points.push((mid - half, wall_bottom));
        }
    } else {
        let area = std::f64::consts::PI * b.bin.diameter_m * b.bin.diameter_m / 4.0;
        let heap = surface(b);
        let at_wall = ((in_wall - heap * peak) / area).min(b.bin.wall_m);
        let heap = ((in_wall - at_wall * area) / peak).clamp(-1.0, 1.0);
        let rise = heap * b.bin.diameter_m / 2.0 * b.angles.filling_deg.to_radians().tan();
        let y = wall_bottom - at_wall * s;
        points.extend([
            (mid + half, wall_bottom),
            (mid + half, y),
            (mid, y - rise * s),
            (mid - half, y),
            (mid - half, wall_bottom),
        ]);
    }
    Some(points.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" "))
}

/// Volumes, from the bottom, at which grain of one origin gives way to another.
fn seams(b: &BinState) -> Vec<f64> {
    let total = b.mass_kg();
    let mut out = Vec::new();
    let (mut below, mut last): (f64, Option<String>) = (0.0, None);
    for l in b.layers() {
        let first = stook_yard::source::sources(&l.lot).into_iter().next().map(|s| s.0.key());
        if last.is_some() && first != last && total > 0.0 {
            out.push(below / total * b.volume_m3());
        }
        last = first;
        below += l.lot.mass_kg();
    }
    out
}

fn seam_at(
    b: &BinState,
    s: f64,
    ground: f64,
    wall_bottom: f64,
    m3: f64,
    half: f64,
    outlet: f64,
) -> (f64, f64) {
    let y = ground - height(b, m3) * s;
    let reach = if y > wall_bottom {
        outlet + (half - outlet) * (ground - y) / (ground - wall_bottom).max(1e-9)
    } else {
        half
    };
    (y, reach)
}
