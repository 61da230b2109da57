//! A yield map: the field in squares, its legend, what was left out, and how it agrees with the loads weighed.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::{Markup, html};
use stook_book::payload::YieldMap;
use stook_book::{Fact, FieldId};
use stook_measure::{Op, Working, figure};
use stook_yard::CropFacts;
use stook_yard::result::results;
use uuid::Uuid;

use crate::draw::yield_map::{CLASSES, LIMITS, draw, shares};
use crate::pages::bins::result::yield_words;
use crate::pages::{Frame, Place, Reply, Trouble, field_name, long_day, page, send, working};
use crate::server::beside;
use crate::state::{Desk, Known};

/// A monitor farther from the scale than this was not calibrated, or loads are missing: it is not scaled.
const BELIEVED: std::ops::RangeInclusive<f64> = 0.6..=1.6;

/// Links to a field's maps of a year.
pub fn links(known: &Known, field: &FieldId, year: i16) -> Markup {
    let maps = known.farm.fields.get(field).into_iter().flat_map(|r| r.yield_maps.iter());
    html! { @for m in maps.filter(|m| m.is.crop_year == year) {
        p { a href={ "/harvest/map/" (m.first) } { "Yield map of " (long_day(m.on())) } }
    } }
}

/// `/harvest/map/{entry}`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<Uuid>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let all = known.farm.fields.values().flat_map(|r| r.yield_maps.iter());
        let Some(m) = all.into_iter().find(|m| m.first == id || m.entry == id) else {
            return Err(Trouble::missing(
                "There is no such yield map in the book; it may have been taken back.",
            ));
        };
        Ok(send(page(&frame, Place::Fields, "Yield map", &view(&frame, &known, m))))
    })
    .await?
}

/// What the loads say against the monitor.
struct Scaled {
    /// Loads over monitor; none when there are no loads, or they are too far apart to be the same grain.
    by: Option<f64>,
    /// In a sentence.
    said: String,
    working: Option<Working>,
}

fn scaled(frame: &Frame, known: &Known, m: &YieldMap, lb: f64) -> Scaled {
    let u = &frame.units;
    let yard = known.yard();
    let all = results(&known.farm, &yard, &known.reference(), m.crop_year);
    let Some(r) = all.iter().find(|r| r.field == m.field) else {
        return Scaled {
            by: None,
            said: "No load off the field is in the book, so the monitor stands as it was.".into(),
            working: None,
        };
    };
    // The monitor weighs dockage too.
    let clean = 1.0 - r.dockage_pct.unwrap_or(0.0) / 100.0;
    let weighed = r.yield_kg_ha / clean;
    let by = weighed / m.mean_kg_ha;
    let off = 100.0 * (m.mean_kg_ha / weighed - 1.0);
    let working = Working::new("Monitor against the loads")
        .line(Op::Start, "Clean yield by the loads, market moisture", r.yield_kg_ha, "kg/ha", 0)
        .line(Op::Over, "Share that is not dockage", clean, "", 3)
        .line(Op::Over, "Mean of the monitor, market moisture", m.mean_kg_ha, "kg/ha", 0)
        .sum("The map is drawn times", by, "", 3)
        .source("yield points calibrated to scale weight at the same moisture, common practice")
        .would_change("loads not yet written; a part of the field without a log");
    let loads = format!("The {} loads weighed make {} with dockage", r.loads, yield_words(u, weighed, lb));
    if !r.done {
        return Scaled {
            by: None,
            said: format!("{loads} so far; the map is not scaled until the field is off."),
            working: Some(working),
        };
    }
    if !BELIEVED.contains(&by) {
        let said = format!(
            "{loads}, {} % from the monitor: too far to be the same grain, so the map is not scaled. Look for loads of another field, or a log of a part of it.",
            figure(off, 0)
        );
        return Scaled { by: None, said, working: Some(working) };
    }
    let word = if off >= 0.0 { "over" } else { "under" };
    let said = format!(
        "{loads}: the monitor read {} % {word}. The map is drawn scaled to the loads.",
        figure(off.abs(), 1)
    );
    Scaled { by: Some(by), said, working: Some(working) }
}

fn view(frame: &Frame, known: &Known, fact: &Fact<YieldMap>) -> Markup {
    let (m, u) = (&fact.is, &frame.units);
    let lb = CropFacts::of(&known.reference(), &m.crop).lb_per_bu;
    let s = scaled(frame, known, m, lb);
    let by = s.by.unwrap_or(1.0);
    let share = shares(&m.squares, m.mean_kg_ha);
    let name = field_name(known, &m.field);
    let outline = known.farm.fields.get(&m.field).and_then(|r| r.field().boundary.as_ref());
    let label = format!(
        "Yield map of {name}: mean {}; {} % of it under 90 % of the mean, {} % over 110 %.",
        yield_words(u, by * m.mean_kg_ha, lb),
        figure(100.0 * (share[0] + share[1]), 0),
        figure(100.0 * (share[3] + share[4]), 0)
    );
    let limit = |l: f64| yield_words(u, l * by * m.mean_kg_ha, lb);
    let span = |i: usize| match i {
        0 => format!("under {}", limit(LIMITS[0])),
        4 => format!("over {}", limit(LIMITS[3])),
        _ => {
            let low = limit(LIMITS[i - 1]);
            format!("{} to {}", low.split(' ').next().unwrap_or(&low), limit(LIMITS[i]))
        }
    };
    let in_all = f64::from(m.points) + m.left_out.iter().map(|l| f64::from(l.points)).sum::<f64>();
    html! {
        div {
            h1 { a href={ "/field/" (m.field) } { (name) } ": " (yield_words(u, by * m.mean_kg_ha, lb)) }
            p { (m.crop.words()) " " (m.crop_year) ", cut to " (long_day(fact.on())) ", at " (figure(m.moisture_wb_pct, 1)) "\u{a0}% moisture." }
        }
        div.cols {
            section { (draw(&m.squares, m.square_m, m.mean_kg_ha, outline, &label)) }
            section {
                h2 { "Legend" }
                table.yield-key {
                    thead { tr { th scope="col" { "" } th scope="col" { "Yield" } th scope="col" { "Against the mean" } th.num scope="col" { "Share" } } }
                    tbody { @for i in (0..5).rev() { tr {
                        td { svg.swatch viewBox="0 0 20 20" aria-hidden="true" { rect class={ "y" (i) } width="20" height="20" {} } }
                        td { (span(i)) }
                        td { (CLASSES[i]) }
                        td.num { (figure(100.0 * share[i], 0)) "\u{a0}%" }
                    } } }
                }
                p { (s.said) }
                @if let Some(w) = &s.working { (working::folded(w)) }
                details { summary { "Cleaned: " (figure(f64::from(m.points), 0)) " of " (figure(in_all, 0)) " points stay" }
                    ul { @for l in &m.left_out { li { (figure(f64::from(l.points), 0)) " " (l.why) } } }
                    p.under { "Squares of " (figure(m.square_m, 0)) " m, each the mean of its points. The rules are those commonly published for yield monitors; your own numbers go under taskdata.yield. A map says where, seldom why: dig before you change a rate." }
                }
                ul.words {
                    @if let Some(o) = &m.original { li { a href={ "/kept/" (o.id) } { "The original file" } } }
                    li { a href={ "/harvest/result?year=" (m.crop_year) } { "What the fields made" } }
                    li { a href={ "/take-back/" (fact.entry) } { "Take it back" } }
                    li { a href={ "/inputs/drill/" (m.field) } { "Drill card" } }
                }
            }
        }
    }
}
