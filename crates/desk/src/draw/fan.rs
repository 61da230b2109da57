//! A fan: the past as one line, the future as a band of weathers with its middle.

use maud::{Markup, html};
use stook_measure::{Range, figure};
use stook_season::answer::Fan;
use stook_season::words;

use super::{MONTHS, days, months, px};

const LEFT: f64 = 44.0;
const RIGHT: f64 = 632.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 196.0;

/// Draws a fan with its figures in a table below; nothing when it is empty.
pub fn draw(title: &str, fan: &Fan, unit: &str, convert: &dyn Fn(f64) -> f64) -> Markup {
    let Some(start) = fan.start else { return html! {} };
    let known: Vec<(usize, Range)> =
        fan.days.iter().enumerate().filter_map(|(i, r)| r.map(|r| (i, r.map(convert)))).collect();
    let (Some(first), Some(last)) = (known.first(), known.last()) else { return html! {} };
    let (from, to) = (first.0, last.0.max(first.0 + 1));
    let date = |i: usize| start.saturating_add(jiff::Span::new().days(i64::try_from(i).unwrap_or(0)));
    let top = known.iter().map(|(_, r)| r.p90).fold(0.0_f64, f64::max);
    let step = nice_step(top / 4.0);
    let high = (top / step).ceil().max(1.0) * step;
    let x = |i: usize| LEFT + (i - from) as f64 / (to - from) as f64 * (RIGHT - LEFT);
    let y = |v: f64| BOTTOM - v.clamp(0.0, high) / high * (BOTTOM - TOP);
    let future: Vec<&(usize, Range)> = known.iter().filter(|(i, _)| *i + 1 >= fan.past_days).collect();
    let upper: Vec<String> = future.iter().map(|(i, r)| format!("{},{}", px(x(*i)), px(y(r.p90)))).collect();
    let lower: Vec<String> =
        future.iter().rev().map(|(i, r)| format!("{},{}", px(x(*i)), px(y(r.p10)))).collect();
    let line = |points: &mut dyn Iterator<Item = &(usize, Range)>| {
        points.map(|(i, r)| format!("{},{}", px(x(*i)), px(y(r.p50)))).collect::<Vec<_>>().join(" ")
    };
    let past = line(&mut known.iter().filter(|(i, _)| *i < fan.past_days));
    let middle = line(&mut future.iter().copied());
    let decimals = u8::from(high < 10.0);
    let end = last.1;
    let said = format!(
        "{title}, {unit}: {} at the end of {}, between {} and {} in 8 weathers of 10",
        figure(end.p50, decimals),
        words::day(date(last.0)),
        figure(end.p10, decimals),
        figure(end.p90, decimals)
    );
    html! {
        figure.chart {
            figcaption { (title) " (" (unit) ")" }
            svg.fan viewBox="0 0 640 220" role="img" aria-label=(said) {
                @for k in 0..=((high / step).round() as usize) {
                    @let v = k as f64 * step;
                    line.rule x1=(px(LEFT)) y1=(px(y(v))) x2=(px(RIGHT)) y2=(px(y(v))) {}
                    text.tick x=(px(LEFT - 6.0)) y=(px(y(v) + 5.0)) text-anchor="end" { (figure(v, u8::from(step < 1.0))) }
                }
                @for m in months(date(from), date(to)) {
                    @let i = days(start, m) as usize;
                    line.rule x1=(px(x(i))) y1=(px(TOP)) x2=(px(x(i))) y2=(px(BOTTOM)) {}
                    text.tick x=(px(x(i) + 2.0)) y="214" { (MONTHS[(m.month() - 1) as usize]) }
                }
                @if future.len() > 1 { polygon.fan-band points={ (upper.join(" ")) " " (lower.join(" ")) } {} }
                @if !past.is_empty() { polyline.fan-past points=(past) {} }
                polyline.fan-middle points=(middle) {}
            }
            details {
                summary { "The figures, a week at a time" }
                table {
                    thead { tr { th { "Day" } th.num { "1 in 10 below" } th.num { "middle" } th.num { "1 in 10 above" } } }
                    tbody {
                        @for (i, r) in known.iter().step_by(7) {
                            tr {
                                td { (words::day(date(*i))) }
                                td.num { (figure(r.p10, decimals)) } td.num { (figure(r.p50, decimals)) } td.num { (figure(r.p90, decimals)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// 1, 2 or 5 times a power of ten, at least `x`.
pub fn nice_step(x: f64) -> f64 {
    let base = 10f64.powf(x.max(1e-6).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * base).find(|s| *s >= x).unwrap_or(10.0 * base)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        assert_eq!(nice_step(43.0), 50.0);
        assert_eq!(nice_step(0.3), 0.5);
        assert_eq!(nice_step(100.0), 100.0);
    }

    #[test]
    fn an_empty_fan_draws_nothing() {
        assert_eq!(draw("Water", &Fan::default(), "mm", &|x| x).into_string(), "");
    }
}
