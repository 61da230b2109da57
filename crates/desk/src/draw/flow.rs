//! From the bins to mill and trough: one bar a bin, as long as its tonnes, dotted where it is fed, plain where it is sold.

use maud::{Markup, html};
use stook_barn::plan::LotAnswer;
use stook_measure::figure;

const WIDTH: f64 = 640.0;
const LABEL: f64 = 90.0;
const ROW: f64 = 30.0;

/// The picture with its key.
pub fn draw(lots: &[LotAnswer]) -> Markup {
    let most = lots.iter().map(|l| l.lot.tonnes).fold(1.0, f64::max);
    let scale = (WIDTH - LABEL - 4.0) / most;
    let label = lots
        .iter()
        .map(|l| {
            format!(
                "{}: {} t fed, {} t sold, {} t kept",
                l.lot.name,
                figure(l.fed_t, 0),
                figure(l.sold_t, 0),
                figure(l.left_t, 0)
            )
        })
        .collect::<Vec<_>>()
        .join("; ");
    html! {
        @if !lots.is_empty() {
            figure.chart {
                svg.flow viewBox={ "0 0 " (WIDTH) " " (ROW * lots.len() as f64 + 2.0) } role="img" aria-label=(label) {
                    @for (n, l) in lots.iter().enumerate() {
                        @let y = n as f64 * ROW + 4.0;
                        @let fed = l.fed_t * scale;
                        @let sold = l.sold_t * scale;
                        @let left = l.left_t * scale;
                        text x="0" y=(y + 16.0) { (l.lot.name) }
                        rect.to-trough x=(LABEL) y=(y) width=(fed) height="22" {}
                        rect.to-mill x=(LABEL + fed) y=(y) width=(sold) height="22" {}
                        rect.is-kept x=(LABEL + fed + sold) y=(y) width=(left) height="22" {}
                    }
                }
                p.key { "Dotted: to the trough. Straw: to the mill. Outline: still there at the end." }
            }
        }
    }
}
