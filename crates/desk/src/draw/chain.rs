//! The chain of hauling as bars: at work, waiting, free.

use maud::{Markup, html};
use stook_measure::figure;
use stook_season::harvest::haul::HaulField;

use super::px;

/// One bar a stage.
pub fn draw(f: &HaulField) -> Markup {
    let m = &f.summary;
    let combine_works = 1.0 - m.combine_waits.mean - m.combine_unloads.mean;
    let truck_waits = m.truck_waits_field.mean + m.truck_waits_yard.mean;
    let mut rows = vec![("combine", combine_works, m.combine_waits.mean)];
    if !f.setup.carts.is_empty() {
        rows.push(("cart", m.cart_works.mean, m.cart_waits.mean));
    }
    rows.push(("trucks", (1.0 - truck_waits).max(0.0), truck_waits));
    rows.push(("auger", m.pit_works.mean - m.pit_held.mean, m.pit_held.mean));
    if f.setup.drier.is_some() {
        rows.push(("drier", m.drier_runs.mean, 0.0));
    }
    let height = 34.0 * rows.len() as f64 + 4.0;
    let pct = |x: f64| figure(100.0 * x, 0);
    let said: Vec<String> =
        rows.iter().map(|(n, w, q)| format!("{n} at work {} %, waiting {} %", pct(*w), pct(*q))).collect();
    html! {
        svg.loss-bars.chain viewBox={ "0 0 360 " (px(height)) } role="img" aria-label=(said.join("; ")) {
            @for (i, (name, works, waits)) in rows.iter().enumerate() {
                @let y = 34.0 * i as f64;
                text.tick x="0" y=(px(y + 21.0)) { (name) }
                rect.free x="72" y=(px(y + 4.0)) width="230" height="24" {}
                rect.works x="72" y=(px(y + 4.0)) width=(px(230.0 * works.clamp(0.0, 1.0))) height="24" {}
                rect.waits x=(px(72.0 + 230.0 * works.clamp(0.0, 1.0))) y=(px(y + 4.0)) width=(px(230.0 * waits.clamp(0.0, 1.0))) height="24" {}
                text.tick x="310" y=(px(y + 21.0)) { (pct(*works)) " %" }
            }
        }
    }
}
