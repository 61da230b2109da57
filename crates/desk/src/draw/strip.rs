//! A field's year: what happened as solid ink, windows as bands that fade where they are unsure, today as one line.

use jiff::civil::Date;
use maud::{Markup, html};
use stook_season::answer::{FieldOutlook, Job};
use stook_season::words;

use super::{MONTHS, days, months, px};

const WIDTH: f64 = 720.0;
const TOP: f64 = 20.0;

/// Draws the strip of a field from spring, or in winter from the last stubble, to October.
pub fn draw(f: &FieldOutlook, today: Date) -> Markup {
    let year = today.year();
    // In winter the year starts at the last stubble; once it is spring, where there is something to see.
    let start = if today.month() < 3 { Date::new(year - 1, 11, 1) } else { Date::new(year, 3, 1) };
    let from = start.unwrap_or(today);
    let to = Date::new(year, 11, 1).unwrap_or(today);
    let x = |d: Date| days(from, d) / days(from, to) * WIDTH;
    let label = format!("The year of {}: {}", f.name, said(f));
    html! {
        svg.strip viewBox="0 0 720 76" role="img" aria-label=(label) {
            @for m in months(from, to.yesterday().unwrap_or(to)) {
                line.rule x1=(px(x(m))) y1=(px(TOP - 4.0)) x2=(px(x(m))) y2="72" {}
                text.month x=(px(x(m) + 3.0)) y="13" { (MONTHS[(m.month() - 1) as usize]) }
            }
            rect.ground x="0" y=(px(TOP)) width="720" height="36" {}
            @for w in &f.windows {
                @let (a, b) = (x(w.opens.early).max(0.0), x(w.closes.late).min(WIDTH));
                rect.band x=(px(a)) y=(px(TOP)) width=(px((b - a).max(6.0))) height="36" {}
                text.in-band x=(px(a + 3.0)) y="72" { (short(w.job)) }
            }
            @for h in f.happened.iter().filter(|h| ["seeded", "harrowed", "cut", "sprayed for weeds", "sprayed fungicide"].contains(&h.what.as_str())) {
                rect.done x=(px(x(h.date))) y=(px(TOP)) width="5" height="36" {}
            }
            line.today x1=(px(x(today))) y1="14" x2=(px(x(today))) y2="62" {}
        }
    }
}

/// The word that fits inside a band.
fn short(job: Job) -> &'static str {
    match job {
        Job::Herbicide => "weeds",
        Job::Fungicide => "fung.",
        other => other.word(),
    }
}

/// The strip in words.
pub fn said(f: &FieldOutlook) -> String {
    let mut parts: Vec<String> =
        f.happened.iter().map(|h| format!("{} {}", h.what, words::day(h.date))).collect();
    parts.extend(f.windows.iter().map(|w| {
        format!(
            "{} from about {} to {}",
            w.job.word(),
            words::day(w.opens.middle),
            words::day(w.closes.middle)
        )
    }));
    if parts.is_empty() { "nothing yet".into() } else { parts.join("; ") }
}
