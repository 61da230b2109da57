//! The waiting line: zero is an upright stroke; to the right a hatched bar is money lost by waiting one workable day, to
//! the left a dotted bar is money saved; the thin line is the 10-90 range, the dot the middle.

use maud::{Markup, html};
use stook_measure::Spread;

use super::px;

/// The span that all waiting lines of a page share, so that lengths compare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    low: f64,
    high: f64,
}

const WIDTH: f64 = 400.0;
const INSET: f64 = 8.0;

impl Scale {
    /// Wide enough for all of them.
    pub fn over<'a>(all: impl Iterator<Item = &'a Spread>) -> Self {
        let (mut low, mut high) = (0.0_f64, 0.0_f64);
        for s in all {
            low = low.min(s.range.p10).min(s.mean);
            high = high.max(s.range.p90).max(s.mean);
        }
        if high - low < 1.0 {
            high = low + 1.0;
        }
        Self { low, high }
    }

    fn x(self, money: f64) -> f64 {
        INSET + (money - self.low) / (self.high - self.low) * (WIDTH - 2.0 * INSET)
    }
}

/// Draws one; `words` say the same for who cannot see it.
pub fn draw(s: &Spread, scale: Scale, words: &str) -> Markup {
    let (zero, end) = (scale.x(0.0), scale.x(s.mean));
    let class = if s.mean >= 0.0 { "lost" } else { "saved" };
    let (from, to) = (scale.x(s.range.p10), scale.x(s.range.p90));
    html! {
        svg.wait viewBox="0 0 400 44" role="img" aria-label={ "Waiting a day " (words) } {
            rect class=(class) x=(px(zero.min(end))) y="12" width=(px((end - zero).abs())) height="16" {}
            line.thin x1=(px(from)) y1="20" x2=(px(to)) y2="20" {}
            line.thin x1=(px(from)) y1="14" x2=(px(from)) y2="26" {}
            line.thin x1=(px(to)) y1="14" x2=(px(to)) y2="26" {}
            circle.dot cx=(px(scale.x(s.range.p50))) cy="20" r="5" {}
            line.zero x1=(px(zero)) y1="4" x2=(px(zero)) y2="36" {}
        }
    }
}

/// The patterns that the bars are filled with; once a page.
pub fn patterns() -> Markup {
    html! {
        svg.defs width="0" height="0" aria-hidden="true" focusable="false" {
            defs {
                pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                    rect.hatch-ground width="6" height="6" {}
                    line.hatch-line x1="0" y1="0" x2="0" y2="6" {}
                }
                pattern id="grain-barley" width="8" height="8" patternUnits="userSpaceOnUse" {
                    rect.grain-ground width="8" height="8" {}
                    line.grain-ink x1="0" y1="4" x2="8" y2="4" {}
                }
                pattern id="grain-canola" width="7" height="7" patternUnits="userSpaceOnUse" {
                    rect.grain-ground width="7" height="7" {}
                    circle.grain-dot cx="3.5" cy="3.5" r="1.4" {}
                }
                pattern id="grain-peas" width="10" height="10" patternUnits="userSpaceOnUse" {
                    rect.grain-ground width="10" height="10" {}
                    circle.grain-ink cx="5" cy="5" r="3" {}
                }
                pattern id="dots" width="6" height="6" patternUnits="userSpaceOnUse" {
                    rect.dots-ground width="6" height="6" {}
                    circle.dots-dot cx="3" cy="3" r="1.2" {}
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_measure::Range;

    #[test]
    fn loss_goes_right_and_saving_left_of_zero() {
        let spread = |mean: f64| Spread {
            range: Range { p10: mean - 10.0, p50: mean, p90: mean + 10.0 },
            mean,
            standard_error: 1.0,
            count: 100,
        };
        let (lost, saved) = (spread(100.0), spread(-50.0));
        let scale = Scale::over([&lost, &saved].into_iter());
        assert!(scale.x(0.0) > scale.x(-50.0) && scale.x(0.0) < scale.x(100.0));
        let text = draw(&lost, scale, "costs about 100").into_string();
        assert!(text.contains("class=\"lost\"") && text.contains("Waiting a day costs about 100"), "{text}");
        assert!(draw(&saved, scale, "saves").into_string().contains("class=\"saved\""));
    }
}
