//! `/spray/record`: the spray record, as an inspector reads it, on paper too.

use std::sync::Arc;

use axum::extract::{Query, State};
use jiff::civil::Date;
use maud::{Markup, html};
use stook_book::payload::{CropPlan, SprayAir, UnitChoice};
use stook_measure::figure;
use stook_season::spraying::record::{self, RecordAsk, RecordRow};
use stook_season::spraying::{intervals, limits};
use stook_season::words;

use super::super::{Frame, Place, Reply, Trouble, capital, long_day, page, send};
use super::air::Airs;
use crate::forms::Values;
use crate::forms::spraying::l_ha_to_gal_ac;
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/spray/record`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let get = |key: &str| asked.get(key).map(|v| v.trim()).filter(|v| !v.is_empty());
        let year = CropPlan::year_on(frame.day());
        let ask = RecordAsk {
            field: get("field").map(Into::into),
            from: get("from").and_then(|d| d.parse().ok()).or_else(|| Date::new(year - 1, 11, 1).ok()),
            to: get("to").and_then(|d| d.parse().ok()).or(Some(frame.day())),
        };
        let airs = Airs::of(&desk, &known, ask.from.unwrap_or(frame.day()), ask.to.unwrap_or(frame.day()))?;
        let rows = record::rows(&known.farm, &ask, &|t| airs.at(t));
        Ok(send(view(&frame, &known, &rows, &ask)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, rows: &[RecordRow], ask: &RecordAsk) -> Markup {
    let field = |id: &str| super::super::field_name(known, &id.into());
    let where_ = ask.field.as_deref().map_or("all fields".to_string(), field);
    let when = match (ask.from, ask.to) {
        (Some(a), Some(b)) => format!("{} to {}", long_day(a), long_day(b)),
        _ => "all years".into(),
    };
    let open = rows.iter().filter(|r| !r.gaps.is_empty()).count();
    let body = html! {
        div {
            h1 { "Spray record" }
            p { (frame.farm) ", " (where_) ", " (when) ": " (rows.len()) @if rows.len() == 1 { " pass." } @else { " passes." } }
        }
        (chooser(known, ask))
        @if open > 0 {
            section {
                h2 { "Not yet complete" }
                ul { @for r in rows.iter().filter(|r| !r.gaps.is_empty()) {
                    li { (words::day(r.started.date())) ", " (r.name) ": " (r.gaps.join(", ")) ". " a.screen href={ "/enter/spray_pass?replaces=" (r.entry) } { "Complete it" span.apart { ": " (r.name) " on " (words::day(r.started.date())) } } }
                } }
            }
        }
        div.passes { @for r in rows { (pass(r, &frame.units)) } }
        p.quiet { "Written on " (long_day(frame.day())) " from the day book; corrections stay in the book beside what they correct. Local law says what a record must hold and how long it is kept." }
        div.signed { p { "Signed" } p { "Date" } }
    };
    page(frame, Place::Fields, "Spray record", &body)
}

fn chooser(known: &Known, ask: &RecordAsk) -> Markup {
    let mut fields: Vec<_> = known.farm.fields.values().map(stook_book::FieldRecord::field).collect();
    fields.sort_by(|a, b| a.name.cmp(&b.name));
    let day = |d: Option<Date>| d.map_or(String::new(), |d| d.to_string());
    html! {
        form.filter method="get" action="/spray/record" {
            div.field { label for="field" { "Field" } select id="field" name="field" {
                option value="" { "all" }
                @for f in fields { option value=(f.id) selected[Some(f.id.as_str()) == ask.field.as_deref()] { (f.name) } }
            } }
            div.field { label for="from" { "From" } input id="from" type="date" name="from" value=(day(ask.from)); }
            div.field { label for="to" { "To" } input id="to" type="date" name="to" value=(day(ask.to)); }
            div.act { button type="submit" { "Show" } }
        }
    }
}

fn pass(r: &RecordRow, u: &UnitChoice) -> Markup {
    let clock = intervals::clock;
    let line =
        |dt: &str, dd: Option<String>| html! { @if let Some(dd) = dd { div { dt { (dt) } dd { (dd) } } } };
    let until = r.finished.map_or(String::new(), |f| {
        if f.date() == r.started.date() {
            format!(" to {}", clock(f))
        } else {
            format!(" to {} on {}", clock(f), words::day(f.date()))
        }
    });
    html! {
        section.pass {
            h2 { (long_day(r.started.date())) ", " (r.name) }
            @for x in &r.against { p.against { (x) } }
            div.ruled.loose { dl {
                (line("Time", Some(format!("{}{until}", clock(r.started)))))
                (line("Crop and area", Some(format!("{}{}", r.crop.as_ref().map_or(String::new(), |c| format!("{c}, ")), words::area(u, r.area_ha)))))
                (line("For", Some(r.purpose.clone())))
                (line("Aimed at", r.target.clone()))
                (line("Stage", r.stage.clone()))
                @for p in &r.products {
                    (line(&p.name, Some([p.registration.as_ref().map(|n| format!("reg. {n}")), p.rate.clone(), p.total.as_ref().map(|t| format!("{t} in all"))].into_iter().flatten().collect::<Vec<_>>().join(", "))))
                }
                (line("Water and product", r.water_l_ha.map(|w| water(u, w))))
                (line("Nozzle", r.nozzle.clone()))
                (line("Left unsprayed", r.buffer_m.map(|m| format!("{} m", figure(m, 0)))))
                (line("Weather", r.air.map(|a| air(u, &a, r.air_written))))
                (line("Driven by", Some(match &r.licence { Some(l) => format!("{}, {l}", r.operator), None => r.operator.clone() })))
                (line("Nobody enters before", r.enter_from.map(|t| format!("{} on {}", clock(t), words::day(t.date())))))
                (line("Not cut before", r.cut_from.map(long_day)))
                @if let Some(c) = &r.cut {
                    (line("Cut", Some(match (c.inside, &c.why) {
                        (false, _) => long_day(c.on),
                        (true, Some(why)) => format!("{}, inside the interval: {why}", long_day(c.on)),
                        (true, None) => format!("{}, INSIDE THE INTERVAL, no reason written", long_day(c.on)),
                    })))
                }
            } }
        }
    }
}

/// `10 US gal/ac (8.3 imp, 94 L/ha)`.
pub fn water(u: &UnitChoice, l_ha: f64) -> String {
    if u.area == stook_book::payload::AreaUnit::Acres {
        let gal = l_ha_to_gal_ac(l_ha);
        format!("{} US gal/ac ({} imp, {} L/ha)", figure(gal, 1), figure(gal * 0.832_674, 1), figure(l_ha, 0))
    } else {
        format!("{} L/ha", figure(l_ha, 0))
    }
}

fn air(u: &UnitChoice, a: &SprayAir, written: bool) -> String {
    let mut said: Vec<String> = Vec::new();
    if let Some(t) = a.temp_c {
        said.push(words::temperature(u, t));
    }
    if let Some(rh) = a.rh_pct {
        said.push(format!("{} % humidity", figure(rh, 0)));
    }
    if let Some(w) = a.wind_ms {
        let from = a.wind_from.map_or(String::new(), |f| format!(" from {}", f.words()));
        said.push(format!("wind {}{from}", limits::wind(u, w)));
    }
    let by =
        if written { a.by.words().to_string() } else { format!("{}, not yet in the entry", a.by.words()) };
    format!("{} ({by})", capital(&said.join(", ")))
}
