//! The layers of a bin as a moving picture: one day after another, with a slider and a button to run it.
//!
//! Shown only where scripts run; the row of small bins beside it says the same without.

use maud::{Markup, html};
use stook_book::payload::UnitChoice;
use stook_keep::BinAir;
use stook_measure::figure;
use stook_season::words;

use super::layers::{column, degrees, warmest};
use super::px;

const TALL: f64 = 150.0;
const WIDE: f64 = 88.0;

/// The film; nothing when there is only one picture.
pub fn draw(a: &BinAir, u: &UnitChoice) -> Markup {
    if a.frames.len() < 2 {
        return html! {};
    }
    let same = a.frames.iter().all(|f| f.off == f.plan);
    let last = a.frames.len() - 1;
    html! {
        div.film data-film hidden {
            div.act {
                button type="button" data-film-run aria-pressed="false" { "Run it" }
                label for="film-day" { "Day" }
                input #film-day type="range" min="0" max=(last) value="0" step="1" data-film-at aria-describedby="film-said";
            }
            p #film-said.small role="status" aria-live="off" data-film-said { (words::day(a.frames[0].day)) }
            svg.layers viewBox={ "0 0 360 " (px(TALL + 36.0)) } role="img" aria-label="The layers day by day; what they come to is in the pictures and the table below" {
                @for (i, f) in a.frames.iter().enumerate() {
                    g.frame data-day=(words::day(f.day)) hidden[i > 0] {
                        (bin(&f.off, u, if same { 96.0 } else { 8.0 }, "fan off"))
                        @if !same { (bin(&f.plan, u, 188.0, "as told")) }
                    }
                }
            }
        }
    }
}

/// One bin with its moisture and temperature at the top, the middle and the bottom beside it.
fn bin(layers: &[(f64, f64)], u: &UnitChoice, x: f64, what: &str) -> Markup {
    let Some(top) = layers.last() else { return html! {} };
    let said = [(top, 20.0), (&layers[layers.len() / 2], 16.0 + TALL / 2.0), (&layers[0], 14.0 + TALL)];
    html! {
        (column(layers, x, 16.0, WIDE, TALL))
        @for ((m, t), y) in said {
            text.tick x=(px(x + WIDE + 6.0)) y=(px(y)) { (figure(*m, 1)) " %" }
            text.tick x=(px(x + WIDE + 6.0)) y=(px(y + 14.0)) { (degrees(u, *t)) " " (u.temperature.words().chars().last().unwrap_or('C')) }
        }
        text.tick x=(px(x + WIDE / 2.0)) y="11" text-anchor="middle" { (what) }
        text.tick x=(px(x + WIDE / 2.0)) y=(px(TALL + 32.0)) text-anchor="middle" { "warmest " (degrees(u, warmest(layers))) }
    }
}
