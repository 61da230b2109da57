//! Drawings, as SVG that needs no script.

pub mod bin;
pub mod chain;
pub mod curves;
pub mod fan;
pub mod feed;
pub mod film;
pub mod flow;
pub mod hour_strip;
pub mod layers;
pub mod level;
pub mod loss;
pub mod map;
pub mod profit;
pub mod strip;
pub mod waiting_line;
pub mod yield_map;

use jiff::civil::Date;

/// Days from one date to another.
pub fn days(from: Date, to: Date) -> f64 {
    f64::from((to - from).get_days())
}

/// Short names of the months.
pub const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// The firsts of the months from `from` to `to`.
pub fn months(from: Date, to: Date) -> Vec<Date> {
    let mut out = Vec::new();
    let mut d = from.first_of_month();
    while d <= to {
        if d >= from {
            out.push(d);
        }
        d = d.saturating_add(jiff::Span::new().months(1));
    }
    out
}

/// A coordinate to a tenth: short and sharp enough.
pub fn px(x: f64) -> String {
    let r = (x * 10.0).round() / 10.0;
    if r == r.trunc() { format!("{r:.0}") } else { format!("{r:.1}") }
}
