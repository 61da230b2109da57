//! Loss by source as bars, and money against speed with its lowest point.

use maud::{Markup, html};
use stook_book::payload::{SpeedUnit, UnitChoice};
use stook_grain::loss::BySource;
use stook_measure::{figure, units};
use stook_season::harvest::combine::SpeedAnswer;

use super::px;

/// Bars of bu/ac, one a source.
pub fn bars(b: &BySource) -> Markup {
    let mut rows = vec![("standing", b.standing), ("header", b.header)];
    match (b.separator, b.shoe) {
        (Some(a), Some(s)) => rows.extend([("separator", a), ("shoe", s)]),
        _ => rows.push(("machine", b.machine)),
    }
    let most = rows.iter().map(|r| r.1).fold(0.01, f64::max);
    let height = 28.0 * rows.len() as f64 + 4.0;
    let said =
        rows.iter().map(|(n, v)| format!("{n} {} bu/ac", figure(*v, 2))).collect::<Vec<_>>().join(", ");
    html! {
        svg.loss-bars viewBox={ "0 0 360 " (px(height)) } role="img" aria-label={ "Loss by source: " (said) } {
            @for (i, (name, v)) in rows.iter().enumerate() {
                @let y = 28.0 * i as f64;
                text.tick x="0" y=(px(y + 19.0)) { (name) }
                rect.lost x="88" y=(px(y + 4.0)) width=(px(v / most * 200.0)) height="20" {}
                text.tick x=(px(94.0 + v / most * 200.0)) y=(px(y + 19.0)) { (figure(*v, 2)) }
            }
        }
    }
}

/// Money an acre against ground speed.
pub fn speed_curve(u: &UnitChoice, s: &SpeedAnswer) -> Markup {
    const LEFT: f64 = 50.0;
    const RIGHT: f64 = 630.0;
    const TOP: f64 = 16.0;
    const BOTTOM: f64 = 200.0;
    let shown = |kmh: f64| if u.speed == SpeedUnit::Mph { units::kmh_to_mph(kmh) } else { kmh };
    let unit = if u.speed == SpeedUnit::Mph { "mph" } else { "km/h" };
    let acre = |money: f64| money * units::HA_PER_ACRE;
    let (Some(first), Some(last)) = (s.curve.first(), s.curve.last()) else { return html! {} };
    // The slow end is dear beyond interest: the picture is cut at four times the least.
    let high = (acre(s.best.total()) * 3.0).max(acre(s.now.total()) * 1.15).max(1.0);
    let x = |kmh: f64| LEFT + (kmh - first.speed_kmh) / (last.speed_kmh - first.speed_kmh) * (RIGHT - LEFT);
    let y = |money: f64| BOTTOM - (money / high).clamp(0.0, 1.0) * (BOTTOM - TOP);
    let line = |f: &dyn Fn(&stook_harvest::speed::AtSpeed) -> f64| {
        s.curve
            .iter()
            .filter(|p| acre(f(p)) <= high)
            .map(|p| format!("{},{}", px(x(p.speed_kmh)), px(y(acre(f(p))))))
            .collect::<Vec<_>>()
            .join(" ")
    };
    let total = line(&|p| p.total());
    let lost = line(&|p| p.loss_per_ha);
    let said = format!(
        "Money an acre against speed: least {} at {} {unit}; {} at {} {unit} as tested",
        figure(acre(s.best.total()), 1),
        figure(shown(s.best.speed_kmh), 1),
        figure(acre(s.now.total()), 1),
        figure(shown(s.now.speed_kmh), 1)
    );
    let step = super::fan::nice_step(high / 4.0);
    html! {
        figure.chart {
            figcaption { "Lost and time, " (u.money) " an acre, by ground speed (" (unit) ")" }
            svg.fan viewBox="0 0 640 232" role="img" aria-label=(said) {
                @for k in 0..=((high / step) as usize) {
                    @let v = k as f64 * step;
                    line.rule x1=(px(LEFT)) y1=(px(y(v))) x2=(px(RIGHT)) y2=(px(y(v))) {}
                    text.tick x=(px(LEFT - 6.0)) y=(px(y(v) + 5.0)) text-anchor="end" { (figure(v, 0)) }
                }
                @for v in (shown(first.speed_kmh).ceil() as i32)..=(shown(last.speed_kmh).floor() as i32) {
                    @let kmh = if u.speed == SpeedUnit::Mph { units::mph_to_kmh(f64::from(v)) } else { f64::from(v) };
                    text.tick x=(px(x(kmh))) y="222" text-anchor="middle" { (v) }
                }
                polyline.fan-middle points=(lost) {}
                polyline.fan-past points=(total) {}
                line.best x1=(px(x(s.best.speed_kmh))) y1=(px(TOP)) x2=(px(x(s.best.speed_kmh))) y2=(px(BOTTOM)) {}
                circle.dot cx=(px(x(s.best.speed_kmh))) cy=(px(y(acre(s.best.total())))) r="6" {}
                circle.tested cx=(px(x(s.now.speed_kmh))) cy=(px(y(acre(s.now.total())))) r="6" {}
                text.tick x=(px(x(s.best.speed_kmh) + 8.0)) y=(px(TOP + 10.0)) { "best" }
                text.tick x=(px(x(s.now.speed_kmh) + 8.0)) y=(px(y(acre(s.now.total())) - 8.0)) { "tested" }
            }
        }
    }
}
