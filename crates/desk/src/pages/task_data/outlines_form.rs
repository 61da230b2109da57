//! What each shape of a file is: an outline, a zone, or nothing.

use maud::{Markup, html};
use stook_book::FieldId;
use stook_book::boundary::{holds, middle};
use stook_measure::figure;
use stook_season::words;

use super::outlines::Shape;
use crate::forms::Values;
use crate::pages::Frame;
use crate::state::{Known, Upload};

/// The field a shape is likely to be the outline of, else the one it lies in as a zone.
fn likely(known: &Known, s: &Shape) -> (&'static str, Option<FieldId>) {
    let fields = || known.farm.fields.values().map(stook_book::FieldRecord::field);
    let named =
        fields().find(|f| !s.name.trim().is_empty() && f.name.trim().eq_ignore_ascii_case(s.name.trim()));
    if let Some(f) = named {
        return ("outline", Some(f.id.clone()));
    }
    let Some((x, y)) = middle(&s.shape) else { return ("leave", None) };
    let around = fields().find(|f| f.boundary.as_ref().is_some_and(|b| holds(b, x, y)));
    match around {
        Some(f) if s.area_ha < 0.95 * f.area_ha => ("zone", Some(f.id.clone())),
        Some(f) => ("outline", Some(f.id.clone())),
        None => ("leave", None),
    }
}

/// The form.
pub fn form(
    frame: &Frame,
    known: &Known,
    file: &Upload,
    shapes: &[Shape],
    typed: &Values,
    wrong: &[String],
) -> Markup {
    html! {
        h1 { "Before it is brought in: " (file.name) }
        p.big { (shapes.len()) @if shapes.len() == 1 { " shape." } @else { " shapes." } }
        form.wide method="post" action={ "/fields/outlines/" (file.token) } {
            @if !wrong.is_empty() { div.wrong-all role="alert" { @for w in wrong { p { (w) } } } }
            @for (i, s) in shapes.iter().enumerate() { (shape(frame, known, typed, i, s)) }
            p.under { "An outline replaces the field's own. Zones of one field in one file take the place of those it had." }
            div.act { button.yes type="submit" { "Bring it in" } a.btn href="/fields/outlines" { "Leave it" } }
        }
    }
}

fn shape(frame: &Frame, known: &Known, typed: &Values, i: usize, s: &Shape) -> Markup {
    let (is, field) = likely(known, s);
    let or = |key: &str, found: String| typed.get(&format!("{key}{i}")).cloned().unwrap_or(found);
    let (is, field) = (or("is", is.into()), or("field", field.map_or_else(String::new, |f| f.to_string())));
    let name = or("name", s.name.clone());
    let rate = or("rate", figure(s.rate_pct.unwrap_or(100.0), 0));
    html! {
        fieldset.column.outline-row {
            legend { @if s.name.is_empty() { "Shape " (i + 1) } @else { (s.name) } span.quiet { ", " (words::area(&frame.units, s.area_ha)) } }
            div.choices { @for (k, w) in [("outline", "the field's outline"), ("zone", "a zone of it"), ("leave", "leave it out")] {
                label { input type="radio" name={ "is" (i) } value=(k) checked[is == k]; (w) }
            } }
            div.row {
                div.field { label for={ "field" (i) } { "Field" } select id={ "field" (i) } name={ "field" (i) } {
                    option value="" { "choose" }
                    @for r in known.farm.fields.values() { option value=(r.field().id) selected[r.field().id.as_str() == field] { (r.field().name) } }
                } }
                div.field { label for={ "name" (i) } { "Zone's name" } input id={ "name" (i) } name={ "name" (i) } value=(name) autocomplete="off"; }
                div.field { label for={ "rate" (i) } { "Zone's share of the rate" } div.with-unit { input id={ "rate" (i) } name={ "rate" (i) } value=(rate) inputmode="decimal" autocomplete="off"; span.unit { "%" } } }
            }
        }
    }
}
