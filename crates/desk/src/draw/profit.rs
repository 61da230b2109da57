//! Profit against the rate of nitrogen: the band of weathers, the mean, the best rate and the flat top.

use maud::{Markup, html};
use stook_inputs::nitrogen::Pays;
use stook_measure::figure;

use super::px;

const LEFT: f64 = 56.0;
const RIGHT: f64 = 622.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 196.0;

/// Draws it, with its figures in a table below. `rate` and `money` turn kg/ha and money a hectare into the farm's units.
pub fn draw(
    p: &Pays,
    rate: &dyn Fn(f64) -> f64,
    rate_unit: &str,
    money: &dyn Fn(f64) -> f64,
    money_unit: &str,
) -> Markup {
    let (Some(first), Some(last)) = (p.points.first(), p.points.last()) else { return html! {} };
    let low = p.points.iter().map(|x| money(x.band.p10)).fold(f64::INFINITY, f64::min);
    let high = p.points.iter().map(|x| money(x.band.p90)).fold(f64::NEG_INFINITY, f64::max);
    let step = nice((high - low).max(1.0) / 4.0);
    let (bottom, top) = ((low / step).floor() * step, (high / step).ceil() * step);
    let (from, to) = (rate(first.n_kg_ha), rate(last.n_kg_ha));
    let x = |n: f64| LEFT + (rate(n) - from) / (to - from) * (RIGHT - LEFT);
    let y = |m: f64| BOTTOM - (m - bottom) / (top - bottom) * (BOTTOM - TOP);
    let line = |of: &dyn Fn(&stook_inputs::nitrogen::Point) -> f64| {
        p.points.iter().map(|q| format!("{},{}", px(x(q.n_kg_ha)), px(y(money(of(q)))))).collect::<Vec<_>>()
    };
    let upper = line(&|q| q.band.p90);
    let mut lower = line(&|q| q.band.p10);
    lower.reverse();
    let mean = line(&|q| q.mean);
    let best = p.n_kg_ha;
    let said = format!(
        "Grain less nitrogen, {money_unit}, against nitrogen, {rate_unit}: highest at {}, {} there; within a dollar an acre of it from {} to {}.",
        figure(rate(best), 0),
        figure(money(p.profit_ha), 0),
        figure(rate(p.flat_top_kg_ha.0), 0),
        figure(rate(p.flat_top_kg_ha.1), 0)
    );
    let marks = ((top - bottom) / step).round() as usize;
    let steps = nice((to - from) / 6.0);
    html! {
        figure.chart {
            figcaption { "Grain less nitrogen (" (money_unit) ") against nitrogen (" (rate_unit) ")" }
            svg.fan viewBox="0 0 640 226" role="img" aria-label=(said) {
                @for k in 0..=marks {
                    @let m = bottom + k as f64 * step;
                    line.rule x1=(px(LEFT)) y1=(px(y(m))) x2=(px(RIGHT)) y2=(px(y(m))) {}
                    text.tick x=(px(LEFT - 6.0)) y=(px(y(m) + 5.0)) text-anchor="end" { (figure(m, 0)) }
                }
                @for k in 0..=((to - from) / steps).floor() as usize {
                    @let n = from + k as f64 * steps;
                    @let at = LEFT + (n - from) / (to - from) * (RIGHT - LEFT);
                    text.tick x=(px(at)) y="216" text-anchor="middle" { (figure(n, 0)) }
                }
                polygon.fan-band points={ (upper.join(" ")) " " (lower.join(" ")) } {}
                polyline.fan-past points=(mean.join(" ")) {}
                line.flat-top x1=(px(x(p.flat_top_kg_ha.0))) y1=(px(BOTTOM - 3.0)) x2=(px(x(p.flat_top_kg_ha.1))) y2=(px(BOTTOM - 3.0)) {}
                line.best x1=(px(x(best))) y1=(px(TOP)) x2=(px(x(best))) y2=(px(BOTTOM)) {}
                text.tick.in-ink x=(px((x(best) + 6.0).min(RIGHT - 60.0))) y=(px(TOP + 14.0)) { "best " (figure(rate(best), 0)) }
            }
            p.key { "The line is the mean of the weathers, the band holds 8 of 10. The heavy bar is the flat top: rates within a dollar an acre of the best." }
            details {
                summary { "The figures" }
                table {
                    thead { tr { th scope="col" { (rate_unit) } th.num scope="col" { "1 in 10 below" } th.num scope="col" { "mean" } th.num scope="col" { "1 in 10 above" } } }
                    tbody { @for q in p.points.iter().step_by(2) { tr {
                        td { (figure(rate(q.n_kg_ha), 0)) }
                        td.num { (figure(money(q.band.p10), 0)) } td.num { (figure(money(q.mean), 0)) } td.num { (figure(money(q.band.p90), 0)) }
                    } } }
                }
            }
        }
    }
}

/// 1, 2 or 5 times a power of ten, at least `x`.
fn nice(x: f64) -> f64 {
    let base = 10f64.powf(x.max(1e-6).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * base).find(|s| *s >= x).unwrap_or(10.0 * base)
}
