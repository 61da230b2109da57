//! What was understood of task data, and the questions it leaves: which field, which crop, which product.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use jiff::civil::{DateTime, date};
use maud::{Markup, html};
use stook_book::boundary::holds;
use stook_book::payload::{Crop, Load};
use stook_book::{Farm, FieldId};
use stook_fertility::product::Product;
use stook_measure::figure;
use stook_taskdata::{Done, Rules};
use stook_yard::CropFacts;

use super::files;
use crate::forms::Values;
use crate::pages::bins::result::yield_words;
use crate::pages::inputs::rate_words;
use crate::pages::{Frame, Place, Reply, long_day, page, send, sent_file};
use crate::server::beside;
use crate::state::{Desk, Known, Upload};

/// Where such files are chosen.
pub const WHERE: &str = "Fields, From a machine's terminal";
/// A seed lot, among the products.
pub const SEED: &str = "seed";

/// The day and time of a log's second.
pub fn moment(s: f64) -> Option<DateTime> {
    let start = date(1980, 1, 1).at(0, 0, 0, 0);
    start.checked_add(jiff::Span::new().seconds(s as i64)).ok()
}

/// The cleaning rules for a crop.
pub fn rules(known: &Known, crop: &Crop) -> Rules {
    let r = known.reference();
    Rules::from_reference(&r, CropFacts::of(&r, crop).market_wb_pct.unwrap_or(14.5))
}

/// The field a task was in: by its name, else by the outline that holds most of its points.
pub fn field_of(farm: &Farm, d: &Done) -> Option<FieldId> {
    let name = d.field.trim().to_lowercase();
    let by_name =
        farm.fields.values().find(|r| !name.is_empty() && r.field().name.trim().to_lowercase() == name);
    let places: Vec<(f64, f64)> = d
        .yielded
        .iter()
        .flat_map(|y| y.points.iter().step_by(1 + y.points.len() / 50))
        .map(|p| (p.lon, p.lat))
        .collect();
    let by_place = || {
        let inside = |r: &&stook_book::FieldRecord| {
            let Some(b) = r.field().boundary.as_ref() else { return 0 };
            places.iter().filter(|(x, y)| holds(b, *x, *y)).count()
        };
        farm.fields.values().filter(|r| 2 * inside(r) > places.len()).max_by_key(inside)
    };
    by_name.or_else(by_place).map(|r| r.field().id.clone())
}

/// The crop of a field in the year of a task.
pub fn crop_of(farm: &Farm, field: &FieldId, when: DateTime) -> Option<Crop> {
    farm.fields.get(field)?.plan(Load::harvest_year(when.date())).map(|p| p.crop.clone())
}

/// The product a name is likely to be.
fn product_of(name: &str) -> Option<&'static str> {
    let n = name.to_lowercase();
    if n.contains("seed") || n.contains("wheat") || n.contains("barley") {
        return Some(SEED);
    }
    let grade = |p: &Product| p.name.split_whitespace().last().is_some_and(|g| n.contains(&g.to_lowercase()));
    let all = Product::shipped();
    all.iter()
        .find(|p| n == p.key || n.contains(&p.key.replace('_', " ")) || grade(p))
        .map(|p| p.key.as_str())
}

/// `/harvest/task-data/{token}`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    Query(typed): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let file = sent_file::kept(&desk, &token, WHERE)?;
        Ok(send(view(&Frame::of(&desk, &known), &known, &file, &typed, &[])?))
    })
    .await?
}

/// The page; `wrong` names what stands in the way.
pub fn view(
    frame: &Frame,
    known: &Known,
    file: &Upload,
    typed: &Values,
    wrong: &[String],
) -> Result<Markup, crate::pages::Trouble> {
    let (data, done) =
        files::folder(file)?.done(&rules(known, &Crop::SpringWheat)).map_err(|e| files::said(&e))?;
    let useful: Vec<(usize, &Done)> =
        done.iter().enumerate().filter(|(_, d)| d.yielded.is_some() || !d.applied.is_empty()).collect();
    let body = html! {
        h1 { "Before it is brought in: " (file.name) }
        p.big { (data.tasks.len()) @if data.tasks.len() == 1 { " task" } @else { " tasks" } @if let Some(f) = &data.farm { " of " (f) } ", " (useful.len()) " with something to bring in." }
        @if useful.is_empty() {
            p.note { "No task here has a log of yield or of a rate by weight. A task that was only planned has none." }
            p.act { a.btn href="/harvest/task-data" { "Choose other files" } }
        } @else {
            form.wide method="post" action={ "/harvest/task-data/" (file.token) } {
                @if !wrong.is_empty() { div.wrong-all role="alert" { @for w in wrong { p { (w) } } } }
                @for (i, d) in &useful { (task(frame, known, typed, *i, d)) }
                div.act { button.yes type="submit" { "Bring it in" } a.btn href="/harvest/task-data" { "Leave it" } }
            }
        }
    };
    Ok(page(frame, Place::Fields, "Task data", &body))
}

fn task(frame: &Frame, known: &Known, typed: &Values, i: usize, d: &Done) -> Markup {
    let u = &frame.units;
    let when = d.span_s.and_then(|s| moment(s.1));
    let field = field_of(&known.farm, d);
    let typed_or =
        |key: String, found: Option<String>| typed.get(&key).cloned().or(found).unwrap_or_default();
    let chosen = typed_or(format!("field{i}"), field.as_ref().map(ToString::to_string));
    let crop = when.and_then(|w| crop_of(&known.farm, &FieldId(chosen.clone()), w));
    html! {
        fieldset.column {
            legend { @if d.task.name.is_empty() { "Task " (i + 1) } @else { (d.task.name) } }
            p.quiet { @if let Some(w) = when { (long_day(w.date())) ", " } (figure(d.records as f64, 0)) " records" @if !d.field.is_empty() { ", the file calls the field " (d.field) } "." }
            div.field {
                label for={ "field" (i) } { "Field" }
                @if field.is_none() { p.hint { "Neither its name nor an outline says which field this is." } }
                select id={ "field" (i) } name={ "field" (i) } {
                    option value="" { "leave this task out" }
                    @for r in known.farm.fields.values() { option value=(r.field().id) selected[r.field().id.as_str() == chosen] { (r.field().name) } }
                }
            }
            @if let Some(y) = &d.yielded {
                @if crop.is_none() {
                    @let kept = typed_or(format!("crop{i}"), None);
                    div.field { label for={ "crop" (i) } { "Crop that was cut" } p.hint { "The field has no crop written for that year." }
                        select id={ "crop" (i) } name={ "crop" (i) } { option value="" { "as the field's plan says" } @for c in &Crop::NAMED[..7] { option value=(c.key()) selected[kept == c.key()] { (c.words()) } } } }
                }
                p { "Yield: " b { (figure(y.points.len() as f64, 0)) } " points stay, mean " (yield_words(u, y.mean_kg_ha, crop.as_ref().map_or(60.0, |c| CropFacts::of(&known.reference(), c).lb_per_bu))) " at market moisture." }
                @if y.points.is_empty() { p.note { "No point stays, so there is no map to keep." } }
                details { summary { "What is left out, and by which rule" }
                    ul { @for (n, why) in y.left_out() { li { (figure(n as f64, 0)) " " (why) } } }
                    p.under { "The monitor's delay, ends of passes and the rest are in Calculators' reference as taskdata.yield; put your own number in Set-up." }
                }
            }
            @for (k, (a, name)) in d.applied.iter().enumerate() {
                @let chosen = typed_or(format!("product{i}.{k}"), name.as_deref().and_then(product_of).map(str::to_string));
                p { "Put on: " b { (rate_words(u, a.rate_kg_ha)) } @if let Some(n) = name { " of " (n) } @else { " from " (a.element) } @if let Some(ha) = a.area_ha { " on " (stook_season::words::area(u, ha)) } "." }
                div.field { label for={ "product" (i) "-" (k) } { "It was" }
                    select id={ "product" (i) "-" (k) } name={ "product" (i) "." (k) } {
                        option value="" { "leave it out" }
                        option value=(SEED) selected[chosen == SEED] { "seed" }
                        @for p in Product::shipped() { option value=(p.key) selected[p.key == chosen] { (p.name) } }
                    } }
            }
        }
    }
}
