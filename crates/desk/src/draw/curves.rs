//! Plain curves on squared axes: a fan on its bed, equilibrium moisture, and the squares of a QR code.

use maud::{Markup, html};
use stook_measure::figure;

use super::px;

const LEFT: f64 = 46.0;
const RIGHT: f64 = 350.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 190.0;

/// A named curve.
pub struct Line<'a> {
    /// Its name, written at its end.
    pub name: &'a str,
    /// Class for the stroke.
    pub class: &'static str,
    /// Points.
    pub points: Vec<(f64, f64)>,
}

/// What is drawn around the curves.
pub struct Axes<'a> {
    /// What it shows.
    pub title: &'a str,
    /// Along the foot.
    pub x: &'a str,
    /// Up the side.
    pub y: &'a str,
    /// Range along the foot.
    pub x_range: (f64, f64),
    /// Range up the side.
    pub y_range: (f64, f64),
    /// In a sentence, for who cannot see it.
    pub said: &'a str,
}

/// Draws curves, with one point marked if asked.
pub fn draw(a: &Axes<'_>, lines: &[Line<'_>], mark: Option<(f64, f64)>) -> Markup {
    let x = |v: f64| LEFT + (v - a.x_range.0) / (a.x_range.1 - a.x_range.0) * (RIGHT - LEFT);
    let y = |v: f64| BOTTOM - (v - a.y_range.0) / (a.y_range.1 - a.y_range.0) * (BOTTOM - TOP);
    let inside = |p: &&(f64, f64)| {
        (a.y_range.0..=a.y_range.1).contains(&p.1) && (a.x_range.0..=a.x_range.1).contains(&p.0)
    };
    let ticks = |(low, high): (f64, f64)| (0..=4).map(move |i| low + (high - low) * f64::from(i) / 4.0);
    let decimals = |(low, high): (f64, f64)| u8::from(high - low < 8.0);
    html! {
        figure.chart {
            figcaption { (a.title) " (" (a.y) ")" }
            svg.fan.curves viewBox="0 0 360 226" role="img" aria-label=(a.said) {
                @for v in ticks(a.y_range) {
                    line.rule x1=(px(LEFT)) y1=(px(y(v))) x2=(px(RIGHT)) y2=(px(y(v))) {}
                    text.tick x=(px(LEFT - 5.0)) y=(px(y(v) + 5.0)) text-anchor="end" { (figure(v, decimals(a.y_range))) }
                }
                @for v in ticks(a.x_range) {
                    line.rule x1=(px(x(v))) y1=(px(TOP)) x2=(px(x(v))) y2=(px(BOTTOM)) {}
                    text.tick x=(px(x(v))) y="206" text-anchor="middle" { (figure(v, decimals(a.x_range))) }
                }
                text.tick x=(px(RIGHT)) y="222" text-anchor="end" { (a.x) }
                @for (i, l) in lines.iter().enumerate() {
                    @let shown: Vec<&(f64, f64)> = l.points.iter().filter(inside).collect();
                    @let points: Vec<String> = shown.iter().map(|p| format!("{},{}", px(x(p.0)), px(y(p.1)))).collect();
                    polyline class=(l.class) points=(points.join(" ")) {}
                    // Names stand at different places along curves that lie close.
                    @let at = shown.len() * (3 + 2 * i) / (4 + 2 * lines.len());
                    @if let Some(p) = shown.get(at) { text.tick.name x=(px(x(p.0))) y=(px((y(p.1) - 6.0).max(TOP + 8.0))) text-anchor="middle" { (l.name) } }
                }
                @if let Some(m) = mark { circle.dot cx=(px(x(m.0))) cy=(px(y(m.1))) r="6" {} }
            }
        }
    }
}

/// The squares of a QR code with its quiet edge; nothing when the text is too long for one.
pub fn qr(text: &str) -> Markup {
    let Ok(code) = qrcode::QrCode::new(text.as_bytes()) else { return html! {} };
    let n = code.width();
    let colors = code.to_colors();
    let size = n + 8;
    html! {
        svg.qr viewBox={ "0 0 " (size) " " (size) } role="img" aria-label={ "QR code of " (text) } shape-rendering="crispEdges" {
            rect.qr-ground width=(size) height=(size) {}
            @for (i, c) in colors.iter().enumerate() {
                @if *c == qrcode::Color::Dark { rect.qr-dark x=(i % n + 4) y=(i / n + 4) width="1" height="1" {} }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_has_its_three_corners_and_a_quiet_edge() {
        let text = qr("http://127.0.0.1:7345/bins/bin-9/air").into_string();
        assert!(text.contains("qr-ground") && text.matches("qr-dark").count() > 200);
        assert!(text.contains("x=\"4\" y=\"4\"") && !text.contains("x=\"3\" "));
        assert_eq!(qr(&"x".repeat(5000)).into_string(), "");
    }
}
