//! A pit drawn as full as it is, with what the plan leaves.

use maud::{Markup, html};

/// A bar: what is in it, and hatched what the plan takes out.
pub fn bar(held: f64, capacity: f64, left: f64, label: &str) -> Markup {
    let wide = |x: f64| (600.0 * (x / capacity.max(1e-9)).clamp(0.0, 1.0)).round();
    let (held, left) = (wide(held), wide(left));
    html! {
        figure.wait {
            svg viewBox="0 0 604 44" role="img" aria-label=(label) {
                rect.ground x="2" y="2" width="600" height="40" {}
                rect.left x="2" y="2" width=(left) height="40" {}
                rect.saved x=(2.0 + left) y="2" width=((held - left).max(0.0)) height="40" {}
                rect.rim x="2" y="2" width="600" height="40" {}
            }
            figcaption.small { "Solid: stays. Dotted: this plan takes it out. Empty: room." }
        }
    }
}
