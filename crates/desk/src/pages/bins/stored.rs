//! `/bins/stored`: what the insurer asks for: acres seeded by field, and grain in the bins on a day, by crop year.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Query, State};
use jiff::civil::Date;
use maud::{Markup, html};
use stook_measure::figure;
use stook_season::words as season_words;
use stook_yard::{BinState, Source, Yard};

use super::super::{Frame, Place, Reply, long_day, page, send};
use super::words;
use crate::forms::Values;
use crate::server::beside;
use crate::state::{Desk, Known};

pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let on: Date =
            asked.get("on").and_then(|d| d.parse().ok()).unwrap_or_else(|| frame.day()).min(frame.day());
        let yard = Yard::fold_until(&known.farm, &known.reference(), Some(on.at(23, 59, 59, 0)));
        Ok(send(view(&frame, &known, &yard, on)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, yard: &Yard, on: Date) -> Markup {
    let body = html! {
        h1 { "Acres and grain on " (long_day(on)) }
        form.filter method="get" action="/bins/stored" {
            div.field { label for="on" { "As it stood at the end of" } input id="on" type="date" name="on" value=(on); }
            div.act { button type="submit" { "Show" } }
        }
        p { "To copy onto the insurer's own paper. Examples of their days: 25 June with stored grain, 30 June, 15 July; yours is in your contract." }
        (acres(known, frame, on))
        (stored(yard, frame, on))
        (gaps(known, yard, on))
    };
    page(frame, Place::Bins, "Acres and grain", &body)
}

fn acres(known: &Known, frame: &Frame, on: Date) -> Markup {
    let year = on.year();
    let u = &frame.units;
    let mut by_crop: BTreeMap<String, f64> = BTreeMap::new();
    let rows: Vec<_> = known
        .farm
        .fields
        .values()
        .map(|r| {
            let plan = r.plan(year);
            let crop = plan.map_or("not written", |p| p.crop.words()).to_string();
            *by_crop.entry(crop.clone()).or_default() += r.field().area_ha;
            let seeded = r.seeded_in(year).filter(|s| s.on() <= on).last();
            (r, crop, plan.and_then(|p| p.cultivar.clone()), seeded)
        })
        .collect();
    html! {
        section { h2 { "Fields in " (year) }
            div.scroll tabindex="0" role="group" aria-label="Fields" { table {
                thead { tr { th { "Field" } th.num { "Area" } th { "Crop" } th { "Cultivar" } th { "Seeded" } } }
                tbody { @for (r, crop, cultivar, seeded) in &rows { tr {
                    td { a href={ "/field/" (r.field().id) } { (r.field().name) } }
                    td.num { (season_words::area(u, r.field().area_ha)) }
                    td { (crop) }
                    td { (cultivar.as_deref().unwrap_or("")) }
                    td { @match seeded { Some(s) => { (long_day(s.is.finished.unwrap_or(s.happened).date())) @if !s.is.done { ", not all" } } None => { span.quiet { "not written" } } } }
                } } }
            } }
            p { @for (i, (crop, ha)) in by_crop.iter().enumerate() { @if i > 0 { "; " } (crop) " " (season_words::area(u, *ha)) } "." }
        }
    }
}

/// Kilograms of each crop year in a bin, by the harvest the grain came from.
fn by_year(b: &BinState) -> BTreeMap<String, f64> {
    let sources = b.sources();
    let sum: f64 = sources.iter().map(|s| s.1).sum();
    let mut out: BTreeMap<String, f64> = BTreeMap::new();
    for (s, kg) in sources {
        let year = match s {
            Source::Field { year, .. } => year.to_string(),
            Source::Bought { .. } => "bought".into(),
            Source::NotWritten => "not known".into(),
        };
        // Sources are kept as they came in; what is there now may have dried.
        *out.entry(year).or_default() += kg / sum.max(1e-9) * b.mass_kg();
    }
    out
}

fn stored(yard: &Yard, frame: &Frame, on: Date) -> Markup {
    let u = &frame.units;
    let full: Vec<_> = yard.in_order().into_iter().filter(|b| !b.is_empty()).collect();
    let mut totals: BTreeMap<(String, String), (stook_yard::CropFacts, f64)> = BTreeMap::new();
    for b in &full {
        let crop = b.crop.as_ref().map_or("grain", |c| c.words()).to_string();
        for (year, kg) in by_year(b) {
            totals.entry((crop.clone(), year)).or_insert_with(|| (b.facts.clone(), 0.0)).1 += kg;
        }
    }
    html! {
        section { h2 { "Grain in the bins" }
            @if full.is_empty() { p { "None by the book on " (long_day(on)) "." } }
            @else { div.scroll tabindex="0" role="group" aria-label="Grain in the bins" { table {
                thead { tr { th { "Bin" } th { "Crop" } th { "Of the harvest of" } th.num { "Weight" } th.num { "Volume" } th.num { "Moisture" } } }
                tbody { @for b in &full { @for (i, (year, kg)) in by_year(b).iter().enumerate() { tr {
                    td { @if i == 0 { a href={ "/bins/" (b.bin.id) } { (b.bin.name) } } }
                    td { (b.crop.as_ref().map_or("grain", |c| c.words())) }
                    td { (year) }
                    td.num { (words::grain(u, &b.facts, *kg)) }
                    td.num { @if i == 0 { (words::volume(u, b.volume_m3())) } }
                    td.num { @if i == 0 { @if let Some(m) = b.lot().moisture_pct() { (words::pct(m)) } } }
                } } } }
            } }
            table {
                caption { "In all" }
                thead { tr { th { "Crop" } th { "Of the harvest of" } th.num { "Weight" } } }
                tbody { @for ((crop, year), (facts, kg)) in &totals { tr { td { (crop) } td { (year) } td.num { (words::grain(u, facts, *kg)) } } } }
            } }
        }
    }
}

/// What to mend before it is copied.
fn gaps(known: &Known, yard: &Yard, on: Date) -> Markup {
    let mut gaps: Vec<String> = Vec::new();
    for r in known.farm.fields.values() {
        let name = &r.field().name;
        match r.plan(on.year()) {
            None => gaps.push(format!("{name} has no crop written for {}.", on.year())),
            Some(p)
                if !["hay", "fallow"].contains(&p.crop.key())
                    && r.seeded_in(on.year()).all(|s| s.on() > on) =>
            {
                gaps.push(format!("{name} has no seeding day."));
            }
            Some(_) => {}
        }
        if r.field().boundary.is_none() {
            gaps.push(format!("{name} has no outline, so its area cannot be held against the map."));
        }
    }
    gaps.extend(yard.notices.iter().map(|n| n.sentence.clone()));
    let not_written = yard.ledger.not_written.mass_kg();
    if not_written > 100.0 {
        gaps.push(format!(
            "{} t in the bins at one time or another came without a load written.",
            figure(not_written / 1000.0, 1)
        ));
    }
    html! {
        section { h2 { "Gaps to mend first" }
            @if gaps.is_empty() { p { "None found." } } @else { ul { @for g in &gaps { li { (g) } } } }
        }
    }
}
