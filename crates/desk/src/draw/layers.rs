//! A bin's layers as they stand and as they may go: a row of small bins a week apart, and a table for now.
//!
//! Pattern and number say how wet: bare is dry enough to keep, dots are near it, hatching is wet.

use maud::{Markup, html};
use stook_book::payload::{TemperatureUnit, UnitChoice};
use stook_keep::BinAir;
use stook_keep::answer::Frame;
use stook_measure::{figure, units};
use stook_season::words;

use super::px;

const WIDTH: f64 = 360.0;
const TALL: f64 = 96.0;
/// So many frames are drawn, small bins a phone can show side by side, and every fourth: eight days apart.
const SHOWN: usize = 5;
const APART: usize = 4;

/// Moistures at which the pattern changes: above dry enough to keep, and well above it.
const NEAR: f64 = 14.3;
const WET: f64 = 16.0;

fn class(m_pct: f64) -> &'static str {
    match m_pct {
        m if m > WET => "layer-wet",
        m if m > NEAR => "layer-near",
        _ => "layer-dry",
    }
}

pub(super) fn degrees(u: &UnitChoice, c: f64) -> String {
    match u.temperature {
        TemperatureUnit::Celsius => figure(c, 0),
        TemperatureUnit::Fahrenheit => figure(units::c_to_f(c), 0),
    }
}

/// The moving picture: above with the fan off, below as told.
pub fn frames(a: &BinAir, u: &UnitChoice) -> Markup {
    let picked: Vec<&Frame> = a.frames.iter().step_by(APART).take(SHOWN).collect();
    if picked.len() < 2 {
        return now(a, u);
    }
    let same = a.frames.iter().all(|f| f.off == f.plan);
    html! {
        figure.chart {
            figcaption { "How its layers may go" }
            (row(&picked, u, "with the fan off", &|f| &f.off))
            @if !same { (row(&picked, u, "as told", &|f| &f.plan)) }
            p.key { "One of the middle weathers. Bare: dry enough to keep. Dots: near it. Hatched: wet. Figures: moisture of the top and the bottom, % of the weight, and the warmest layer." }
        }
    }
}

fn row(frames: &[&Frame], u: &UnitChoice, what: &str, of: &dyn Fn(&Frame) -> &Vec<(f64, f64)>) -> Markup {
    let n = frames.len() as f64;
    let step = WIDTH / n;
    let wide = step - 14.0;
    let said: Vec<String> = frames
        .iter()
        .map(|f| {
            let l = of(f);
            let top = l.last().map_or(0.0, |x| x.0);
            format!("{}: top {} %, warmest {}", words::day(f.day), figure(top, 1), degrees(u, warmest(l)))
        })
        .collect();
    html! {
        p.small { (what) }
        svg.layers viewBox={ "0 0 360 " (px(TALL + 62.0)) } role="img" aria-label={ "The layers " (what) ". " (said.join("; ")) } {
            @for (i, f) in frames.iter().enumerate() {
                @let x = i as f64 * step + 7.0;
                (column(of(f), x, 16.0, wide, TALL))
                @let l = of(f);
                text.tick x=(px(x + wide / 2.0)) y="11" text-anchor="middle" { (figure(l.last().map_or(0.0, |t| t.0), 1)) }
                text.tick x=(px(x + wide / 2.0)) y=(px(TALL + 30.0)) text-anchor="middle" { (figure(l.first().map_or(0.0, |t| t.0), 1)) }
                text.tick x=(px(x + wide / 2.0)) y=(px(TALL + 44.0)) text-anchor="middle" { (degrees(u, warmest(l))) " " (u.temperature.words().chars().last().unwrap_or('C')) }
                text.tick x=(px(x + wide / 2.0)) y=(px(TALL + 58.0)) text-anchor="middle" { (words::day(f.day)) }
            }
        }
    }
}

pub(super) fn warmest(l: &[(f64, f64)]) -> f64 {
    l.iter().map(|x| x.1).fold(f64::NEG_INFINITY, f64::max)
}

/// One bin: neighbours of the same pattern are drawn as one.
pub(super) fn column(layers: &[(f64, f64)], x: f64, y: f64, wide: f64, tall: f64) -> Markup {
    let n = layers.len().max(1) as f64;
    let mut parts: Vec<(usize, usize, &str)> = Vec::new();
    for (i, (m, _)) in layers.iter().enumerate() {
        match parts.last_mut() {
            Some(p) if p.2 == class(*m) => p.1 = i + 1,
            _ => parts.push((i, i + 1, class(*m))),
        }
    }
    html! {
        @for (from, to, class) in parts {
            @let top = y + tall * (1.0 - to as f64 / n);
            rect class=(class) x=(px(x)) y=(px(top)) width=(px(wide)) height=(px(tall * (to - from) as f64 / n)) {}
        }
        rect.bin-wall x=(px(x)) y=(px(y)) width=(px(wide)) height=(px(tall)) {}
    }
}

/// The bin as it is now, alone.
fn now(a: &BinAir, u: &UnitChoice) -> Markup {
    let layers: Vec<(f64, f64)> = a.layers.iter().map(|l| (l.m_pct, l.t_c)).collect();
    let top = layers.last().copied().unwrap_or((0.0, 0.0));
    html! {
        svg.layers viewBox="0 0 360 130" role="img" aria-label={ "The layers now: top " (figure(top.0, 1)) " % and " (degrees(u, top.1)) } {
            (column(&layers, 120.0, 16.0, 120.0, TALL))
        }
    }
}

/// The layers now, neighbours alike taken together, the top first.
pub fn table(a: &BinAir, u: &UnitChoice) -> Markup {
    let mut parts: Vec<(f64, f64, f64, f64, f64, Option<f64>)> = Vec::new();
    for l in &a.layers {
        match parts.last_mut() {
            Some(p) if (p.2 - l.m_pct).abs() < 0.4 && (p.3 - l.t_c).abs() < 2.0 => {
                p.1 = l.to_m;
                p.4 = p.4.max(l.spent);
                p.5 = p.5.zip(l.days_left).map(|(x, y)| x.min(y));
            }
            _ => parts.push((l.from_m, l.to_m, l.m_pct, l.t_c, l.spent, l.days_left)),
        }
    }
    let feet = u.length == stook_book::payload::LengthUnit::Feet;
    let height = |m: f64| figure(if feet { units::m_to_ft(m) } else { m }, 1);
    html! {
        div.scroll tabindex="0" role="region" aria-label="Layers now" { table {
            caption { "As it lies now, the top first" }
            thead { tr { th scope="col" { (if feet { "Feet up" } else { "Metres up" }) } th.num scope="col" { "Moisture" } th.num scope="col" { "Temperature" } th.num scope="col" { "Life spent" } th.num scope="col" { "Days left" } } }
            tbody { @for (from, to, m, t, spent, days) in parts.iter().rev() {
                tr {
                    td { (height(*from)) " to " (height(*to)) }
                    td.num { (figure(*m, 1)) " %" }
                    td.num { (words::temperature(u, *t)) }
                    td.num { (figure(100.0 * spent, 0)) " %" }
                    td.num { @match days { Some(d) if *d >= 299.0 => { "300+" }, Some(d) => { (figure(*d, 0)) }, None => { "not known" } } }
                }
            } }
        } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_of_one_pattern_are_one_rectangle() {
        let text = column(&[(13.5, 10.0), (13.6, 10.0), (15.0, 10.0), (18.5, 26.0)], 0.0, 0.0, 40.0, 80.0)
            .into_string();
        assert_eq!(text.matches("<rect").count(), 4);
        assert!(text.contains("layer-wet") && text.contains("layer-dry") && text.contains("layer-near"));
        assert!(!text.contains("style="));
    }
}
