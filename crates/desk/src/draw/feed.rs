//! Feed bins as bars: as full as they are, with the days left in words.

use maud::{Markup, html};
use stook_barn::feed_bins::FeedBinToday;
use stook_measure::figure;

use crate::pages::Frame;

const WIDTH: f64 = 460.0;
const ROW: f64 = 46.0;

/// One bar a bin; hatch where it is empty within two days.
pub fn bars(bins: &[FeedBinToday], _frame: &Frame) -> Markup {
    let shown: Vec<&FeedBinToday> = bins.iter().filter(|b| b.kg.is_some()).collect();
    let height = ROW * shown.len() as f64 + 4.0;
    let label = shown
        .iter()
        .map(|b| format!("{}: {} kg", b.name, figure(b.kg.unwrap_or(0.0), 0)))
        .collect::<Vec<_>>()
        .join("; ");
    html! {
        @if !shown.is_empty() {
            svg.feed-bars viewBox={ "0 0 " (WIDTH) " " (height) } role="img" aria-label=(label) {
                @for (n, b) in shown.iter().enumerate() {
                    @let y = n as f64 * ROW;
                    @let full = (b.kg.unwrap_or(0.0) / b.holds_kg.max(1.0)).clamp(0.0, 1.0);
                    @let low = b.days_left.is_some_and(|d| d < 2.0);
                    text x="0" y=(y + 15.0) { (b.name) }
                    text.end x=(WIDTH) y=(y + 15.0) { @if let Some(d) = b.days_left { (figure(d, 1)) " days" } }
                    rect.bin-wall x="1" y=(y + 20.0) width=(WIDTH - 2.0) height="18" {}
                    rect.bin-feed.is-low[low] x="1" y=(y + 20.0) width=((WIDTH - 2.0) * full) height="18" {}
                }
            }
        }
    }
}
