//! A field in squares of yield, in five classes around its mean. Each class has its own shade and its own words, and
//! the lowest is hatched besides.

use maud::{Markup, html};
use stook_book::boundary;
use stook_book::payload::YieldSquare;

use super::px;

/// Class limits as shares of the field's mean.
pub const LIMITS: [f64; 4] = [0.7, 0.9, 1.1, 1.3];
/// The classes in words, lowest first.
pub const CLASSES: [&str; 5] =
    ["under 70 % of the mean", "70 to 90 %", "90 to 110 %", "110 to 130 %", "over 130 %"];

const M_PER_DEG: f64 = 111_320.0;
const WIDTH: f64 = 640.0;

/// The class of a yield.
pub fn class(kg_ha: f64, mean: f64) -> usize {
    LIMITS.iter().filter(|l| kg_ha >= **l * mean).count()
}

/// Share of the squares in each class.
pub fn shares(squares: &[YieldSquare], mean: f64) -> [f64; 5] {
    let mut n = [0.0; 5];
    for s in squares {
        n[class(s.2, mean)] += 1.0 / squares.len() as f64;
    }
    n
}

/// Draws it; `label` says it in a sentence for those who do not see it.
pub fn draw(
    squares: &[YieldSquare],
    side_m: f64,
    mean: f64,
    outline: Option<&boundary::Geometry>,
    label: &str,
) -> Markup {
    let Some(first) = squares.first() else { return html! {} };
    let wide = M_PER_DEG * first.1.to_radians().cos();
    let place = |lon: f64, lat: f64| (lon * wide, -lat * M_PER_DEG);
    let rings: Vec<Vec<(f64, f64)>> = outline
        .and_then(|b| boundary::polygons(b).ok())
        .map(|m| m.0.iter().map(|p| p.exterior().coords().map(|c| place(c.x, c.y)).collect()).collect())
        .unwrap_or_default();
    let middles: Vec<(f64, f64)> = squares.iter().map(|s| place(s.0, s.1)).collect();
    let half = 0.5 * side_m;
    let corners = middles.iter().flat_map(|(x, y)| [(x - half, y - half), (x + half, y + half)]);
    let all = corners.chain(rings.iter().flatten().copied());
    let start = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    let (w, n, e, s) = all.fold(start, |b, (x, y)| (b.0.min(x), b.1.min(y), b.2.max(x), b.3.max(y)));
    let k = WIDTH / f64::max(e - w, s - n).max(1.0);
    let view = format!("-4 -4 {} {}", px((e - w) * k + 8.0), px((s - n) * k + 8.0));
    let side = px(side_m * k + 0.4); // no paper shows between squares
    html! {
        svg.yield-map viewBox=(view) role="img" aria-label=(label) {
            @for (q, (x, y)) in squares.iter().zip(&middles) {
                rect class={ "y" (class(q.2, mean)) } x=(px((x - half - w) * k)) y=(px((y - half - n) * k)) width=(side) height=(side) {}
            }
            @for r in &rings {
                @let points = r.iter().map(|(x, y)| format!("{},{}", px((x - w) * k), px((y - n) * k))).collect::<Vec<_>>().join(" ");
                polygon points=(points) {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_lie_around_the_mean() {
        assert_eq!([600.0, 800.0, 1000.0, 1200.0, 1400.0].map(|y| class(y, 1000.0)), [0, 1, 2, 3, 4]);
        let s: Vec<YieldSquare> =
            [600.0, 1000.0, 1000.0, 1400.0].iter().map(|y| YieldSquare(0.0, 50.0, *y, 1)).collect();
        assert_eq!(shares(&s, 1000.0), [0.25, 0.0, 0.5, 0.0, 0.25]);
        let svg = draw(&s, 20.0, 1000.0, None, "four squares").into_string();
        assert_eq!(svg.matches("<rect").count(), 4);
        assert!(draw(&[], 20.0, 1000.0, None, "").into_string().is_empty());
    }
}
