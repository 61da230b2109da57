//! A field's year from stubble to stubble: what happened as solid ink, windows as bands that fade where they are
//! unsure, today as one line.

use jiff::civil::Date;
use maud::{Markup, html};
use stook_book::payload::CropPlan;
use stook_season::answer::{FieldOutlook, Job};
use stook_season::words;

use super::{MONTHS, days, months, px};

/// As wide as a phone, so that its words stay readable there.
const WIDTH: f64 = 360.0;
const TOP: f64 = 18.0;
const DEEP: f64 = 22.0;
/// A line of words under the band.
const LINE: f64 = 14.0;

/// Work that is drawn as ink; what was only seen is not.
fn ink(what: &str) -> Option<&'static str> {
    Some(match what {
        w if w.starts_with("seed") => "seeded",
        w if w.starts_with("harrow") => "harrowed",
        w if w.starts_with("spray") => "sprayed",
        w if w.starts_with("cut") => "cut",
        _ => return None,
    })
}

/// The job in a word short enough for its band.
fn short(job: Job) -> &'static str {
    match job {
        Job::Harrow => "harrow",
        Job::Seed => "seed",
        Job::Herbicide => "weeds",
        Job::Fungicide => "disease",
        Job::Cut => "cut",
    }
}

/// Draws the strip of a field from November to October.
pub fn draw(f: &FieldOutlook, today: Date) -> Markup {
    let year = CropPlan::year_on(today);
    let from = Date::new(year - 1, 11, 1).unwrap_or(today);
    let to = Date::new(year, 11, 1).unwrap_or(today);
    let x = |d: Date| days(from, d) / days(from, to) * WIDTH;
    let label = format!("The year of {}: {}", f.name, said(f));
    let bottom = TOP + DEEP;
    let at = x(today);
    let worked: Vec<(f64, &str)> =
        f.happened.iter().filter_map(|h| Some((x(h.date), ink(&h.what)?))).collect();
    // Words go on the first of two lines where they are free of one another.
    let mut taken: [Vec<(f64, f64)>; 2] = [Vec::new(), Vec::new()];
    let mut place = |from: f64, word: &str| {
        let width = word.len() as f64 * 6.4 + 3.0;
        let from = from.min(WIDTH - width).max(0.0);
        let line = taken.iter().position(|l| l.iter().all(|(a, b)| from >= *b || from + width <= *a))?;
        taken[line].push((from, from + width));
        Some((from, bottom + LINE * (line as f64 + 1.0) - 1.0))
    };
    let bands: Vec<_> = f
        .windows
        .iter()
        .map(|w| {
            let (a, b) = (x(w.opens.early).clamp(0.0, WIDTH), x(w.closes.late).clamp(0.0, WIDTH));
            let inner = (x(w.opens.late).clamp(a, b), x(w.closes.early).clamp(a, b));
            (w.job, a, b, inner, place(a, short(w.job)))
        })
        .collect();
    let inked: Vec<_> = worked.iter().map(|(a, word)| (*a, *word, place(*a, word))).collect();
    html! {
        svg.strip viewBox="0 0 360 70" role="img" aria-label=(label) {
            rect.ground x="0" y=(px(TOP)) width="360" height=(px(DEEP)) {}
            rect.past x="0" y=(px(bottom - 3.0)) width=(px(at.clamp(0.0, WIDTH))) height="3" {}
            @for m in months(from, to.yesterday().unwrap_or(to)) {
                line.rule x1=(px(x(m))) y1=(px(TOP)) x2=(px(x(m))) y2=(px(bottom)) {}
                text.month x=(px(x(m) + 15.0)) y="12" text-anchor="middle" { (&MONTHS[(m.month() - 1) as usize][..1]) }
            }
            @for (job, a, b, (solid_from, solid_to), word) in &bands {
                // Unsure ends are pale, the part that most weathers share is full.
                rect.band x=(px(*a)) y=(px(TOP)) width=(px((b - a).max(4.0))) height=(px(DEEP)) {}
                @if solid_to > solid_from { rect.band-sure x=(px(*solid_from)) y=(px(TOP)) width=(px((solid_to - solid_from).max(3.0))) height=(px(DEEP)) {} }
                @if let Some((x, y)) = word { text.in-band x=(px(*x)) y=(px(*y)) { (short(*job)) } }
            }
            @for (a, word, at) in &inked {
                rect.done x=(px(*a)) y=(px(TOP)) width="4" height=(px(DEEP)) {}
                @if let Some((x, y)) = at { text.in-band x=(px(*x)) y=(px(*y)) { (word) } }
            }
            line.today x1=(px(at)) y1="2" x2=(px(at)) y2=(px(bottom + 3.0)) {}
        }
    }
}

/// How to read a strip, once a page.
pub fn key() -> &'static str {
    "Ink is done. A band is a window: pale where the weathers differ, full where most agree. The upright red line is today."
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
