//! Hours of a day as a strip: a full bar is fit, a half bar asks for care, a thin line is no. What stands in the way is
//! said beneath; the dark is shaded.

use maud::{Markup, html};
use stook_season::spraying::{SprayDay, SprayHour};
use stook_weather::spray::Grade;

use super::px;

const WIDTH: f64 = 360.0;
const HIGH: f64 = 30.0;

/// Draws a day. `from` is the first hour drawn, 0 to 23, so that days stand under one another.
pub fn draw(d: &SprayDay, label: &str) -> Markup {
    let cell = WIDTH / 24.0;
    html! {
        svg.hours viewBox="0 0 360 48" role="img" aria-label=(label) {
            @for h in &d.hours {
                @let x = f64::from(h.hour) * cell;
                @if h.dark { rect.dark x=(px(x)) y="0" width=(px(cell)) height=(px(HIGH)) {} }
                (bar(h, x, cell))
            }
            line.base x1="0" y1=(px(HIGH)) x2="360" y2=(px(HIGH)) {}
            @for h in [0_u8, 6, 12, 18] {
                line.tick x1=(px(f64::from(h) * cell)) y1="0" x2=(px(f64::from(h) * cell)) y2=(px(HIGH + 4.0)) {}
                text.month x=(px(f64::from(h) * cell + 3.0)) y="45" { (h) ":00" }
            }
        }
    }
}

fn bar(h: &SprayHour, x: f64, cell: f64) -> Markup {
    let (class, high) = match h.grade {
        Grade::Fit => ("fit", HIGH),
        Grade::Caution => ("care", HIGH * 0.5),
        Grade::No => ("no", 3.0),
    };
    html! { @if !h.dark { rect class=(class) x=(px(x + 1.0)) y=(px(HIGH - high)) width=(px(cell - 2.0)) height=(px(high)) {} } }
}

/// How to read it, once a page.
pub const fn key() -> &'static str {
    "A full bar is an hour fit in most weathers, a half bar asks for care, a thin line is no. Shaded is dark."
}
