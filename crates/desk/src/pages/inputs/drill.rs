//! The drill card of a field: one sheet to print and to take into the cab.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use stook_book::FieldId;
use stook_book::payload::{AreaUnit, UnitChoice};
use stook_inputs::drill_card::{Card, CardAsked, CatchLine, Line, card};
use stook_inputs::report::year_decided_on;
use stook_measure::{Reference, figure, units};
use stook_season::words;

use super::{rate, rate_words};
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, Trouble, long_day, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// The crop year a drill card is for: this spring's until August.
pub(super) fn year(frame: &Frame) -> i16 {
    year_decided_on(frame.day())
}

/// `/inputs/drill/{field}`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let year = year(&frame);
        let soil = known.ceilings(year)?.first().map(|c| c.soil_temp_c);
        let number = |k: &str| {
            asked
                .get(k)
                .and_then(|v| v.trim().replace(',', ".").parse::<f64>().ok())
                .filter(|x| x.is_finite())
        };
        let choice = CardAsked {
            lot: asked.get("lot").filter(|l| !l.is_empty()).map(|l| l.as_str().into()),
            weeks_late: number("late").filter(|w| (0.0..=10.0).contains(w)),
            soil_c: number("soil").filter(|t| (-2.0..=30.0).contains(t)),
            dry: asked.get("dry").is_some_and(|d| d == "yes"),
        };
        let c = card(&known.farm, &Reference::shipped(), &FieldId(id), frame.day(), year, soil, &choice)
            .ok_or_else(|| Trouble::missing("There is no field of that name in the book."))?;
        Ok(send(view(&frame, &c, &asked)))
    })
    .await?
}

/// A weight in the farm's unit: `12,300 lb`.
pub(super) fn weight(u: &UnitChoice, kg: f64) -> String {
    if u.rate == stook_book::payload::RateUnit::LbAc {
        format!("{} lb", figure(units::kg_to_lb(kg), 0))
    } else {
        format!("{} kg", figure(kg, 0))
    }
}

fn view(frame: &Frame, c: &Card, asked: &Values) -> Markup {
    let u = &frame.units;
    let body = html! {
        article.sheet-card {
            h1 { "Drill card: " (c.name) }
            p { (words::area(u, c.area_ha)) ", " (c.crop) " " (c.crop_year) @if let Some(d) = &c.drill { ", " (d) } ". Printed for " (long_day(frame.day())) "." }
            @for r in &c.refused { p.caution { b { "Refused in the seed row. " } (r) } }
            (headline(c, u))
            (products(c, u))
            (fills(c, u))
            (catches(c, u))
            (after(c, u))
            @if !c.assumed.is_empty() { ul { @for a in &c.assumed { li { (a) } } } }
            ul.quiet { @for x in &c.cautions { li { (x) } } }
            p.quiet { "Left in the tanks: " @for t in &c.tanks { (t.name) " ________ " } "   Counter ________   Done at ________ by ________" }
        }
        div.off-card {
            (super::prescription::offer(c))
            (choose(c, asked))
            @if let Ok(s) = &c.seed { (working::folded(&s.working)) }
            ul.words {
                li { a href={ "/field/" (c.field) "/soil" } { "Soil and plan" } }
                li { a href="/enter/seed_lot" { "A seed lot" } }
                li { a href="/enter/drill_catch" { "A catch" } }
                li { a href={ "/enter/fertilizer_applied?field=" (c.field) } { "What went on" } }
                li { a href={ "/enter/tank_left?field=" (c.field) } { "Left in a tank" } }
                li { a href={ "/enter/emergence_seen?field=" (c.field) } { "Plants counted" } }
                li { a href="/inputs/drill" { "All cards" } }
            }
        }
    };
    page(frame, Place::Inputs, &format!("Drill card: {}", c.name), &body)
}

fn headline(c: &Card, u: &UnitChoice) -> Markup {
    html! {
        @match &c.seed {
            Ok(s) => {
                dl.card-figures {
                    div { dt { "Seed, exact" } dd { (rate_words(u, s.exact_kg_ha)) } }
                    div { dt { "by the prairie short form" } dd { (rate_words(u, s.short_kg_ha)) } }
                    div { dt { "for a stand of" } dd { @if u.area == AreaUnit::Acres { (figure(units::per_m2_to_per_ft2(s.stand_m2), 0)) " plants/ft2" } @else { (figure(s.stand_m2, 0)) " plants/m2" } } }
                    div { dt { "of lot " (s.lot) } dd { (weight(u, s.total_kg)) " in all" } }
                }
                @for n in &s.notes { p { (n) } }
            }
            Err(e) => p.note { (e) " " a href="/enter/seed_lot" { "Write a lot down" } },
        }
    }
}

fn products(c: &Card, u: &UnitChoice) -> Markup {
    html! {
        h2 { "Fertilizer" }
        @if c.products.is_empty() { p.note { (c.products_from) " " a href={ "/field/" (c.field) "/soil" } { "Accept one" } } }
        @else {
            div.scroll tabindex="0" role="region" aria-label="Products" { table {
                thead { tr { th scope="col" { "Product" } th scope="col" { "Where" } th.num scope="col" { (u.rate.words()) } th.num scope="col" { "for the field" } th.num scope="col" { "totes of 1 t" } } }
                tbody { @for l in &c.products { (product(l, u)) } }
            } }
            p.quiet { (c.products_from) }
        }
    }
}

fn product(l: &Line, u: &UnitChoice) -> Markup {
    html! { tr {
        td { (l.name) }
        td { @if l.with_seed { "with the seed" } @else { "in the band" } }
        td.num { (figure(rate(u, l.kg_ha), 0)) }
        td.num { (weight(u, l.total_kg)) }
        td.num { (figure(l.totes.0, 0)) span.quiet { ", " (weight(u, l.totes.1)) " over" } }
    } }
}

fn fills(c: &Card, u: &UnitChoice) -> Markup {
    html! {
        h2 { "Fills" }
        @match &c.fills {
            Err(e) => p.note { (e) " " a href="/enter/drill_set_up" { "The drill's rows and tanks" } },
            Ok(p) => {
                p.big { b { (figure(p.fills.len() as f64, 0)) @if p.fills.len() == 1 { " fill" } @else { " fills" } } ", " (words::area(u, p.ha_per_fill)) " a full one; the " (c.tanks.get(p.first_empty).map_or("", |t| t.name.as_str())) " tank is empty first."
                    @if let Some(h) = c.hours { " About " (figure(h, 0)) " hours with refills." } }
                div.scroll tabindex="0" role="region" aria-label="Fills" { table {
                    thead { tr { th scope="col" { "Fill" } th.num scope="col" { "goes for" } th.num scope="col" { "done to" } @for t in &c.tanks { th.num scope="col" { (t.name) } } } }
                    tbody {
                        @for (i, f) in p.fills.iter().enumerate() { tr {
                            td { (i + 1) @if i + 1 == p.fills.len() && p.fills.len() > 1 { ", last" } }
                            td.num { (words::area(u, f.area_ha)) } td.num { (words::area(u, f.done_ha)) }
                            @for kg in &f.kg { td.num { (weight(u, *kg)) } }
                        } }
                        tr { th scope="row" { "in all" } td.num { (words::area(u, c.area_ha)) } td {} @for kg in &p.total_kg { td.num { b { (weight(u, *kg)) } } } }
                    }
                } }
                div.scroll tabindex="0" role="region" aria-label="Tanks" { table {
                    thead { tr { th scope="col" { "Tank" } th scope="col" { "Holds" } th.num scope="col" { (u.rate.words()) } th.num scope="col" { "full" } th.num scope="col" { "goes" } } }
                    tbody { @for t in &c.tanks { tr { td { (t.name) } td { (t.holds) } td.num { (figure(rate(u, t.rate_kg_ha), 0)) } td.num { (weight(u, t.full_kg)) } td.num { (t.ha_per_fill.map_or_else(|| "-".into(), |x| words::area(u, x))) } } } }
                } }
            }
        }
    }
}

fn catches(c: &Card, u: &UnitChoice) -> Markup {
    html! { @if !c.catches.is_empty() {
        h2 { "Catches" }
        div.scroll tabindex="0" role="region" aria-label="Catches" { table {
            thead { tr { th scope="col" { "Of" } th.num scope="col" { "sows" } th.num scope="col" { "off by" } th.num scope="col" { "set it to" } } }
            tbody { @for x in &c.catches { (catch(x, u)) } }
        } }
    } }
}

fn catch(x: &CatchLine, u: &UnitChoice) -> Markup {
    html! { tr {
        td { (x.what) span.quiet { ", " (words::day(x.on)) } }
        @match &x.is {
            Ok(k) => {
                td.num { (rate_words(u, k.rate_kg_ha)) }
                td.num { (figure(k.error_pct, 0)) " %" }
                td.num { b { (figure(k.setting, 1)) } @if k.catch_again { br; span.quiet { "the catches differ by " (figure(k.spread_pct, 0)) " %: catch again" } } }
            }
            Err(e) => { td colspan="3" { (e) } }
        }
    } }
}

fn after(c: &Card, u: &UnitChoice) -> Markup {
    let four =
        |x: &stook_fertility::Nutrients| [x.n, x.p2o5, x.k2o, x.s].map(|v| figure(rate(u, v), 0)).join("-");
    html! {
        @if let Some(a) = &c.applied {
            h2 { "What went on" }
            p { "Planned " b { (four(&a.planned_kg_ha)) } ", went on " b { (four(&a.went_on_kg_ha)) } " " (u.rate.words()) " of N-P2O5-K2O-S." @if a.said.is_empty() { " Within a tenth." } }
            @for s in &a.said { p { (s) } }
        }
        @if !c.left.is_empty() {
            h2 { "Left in the tanks" }
            div.scroll tabindex="0" role="region" aria-label="Left in the tanks" { table {
                thead { tr { th scope="col" { "Tank" } th.num scope="col" { "put in" } th.num scope="col" { "left" } th.num scope="col" { "should be" } th.num scope="col" { "sowed" } th.num scope="col" { "card" } th.num scope="col" { "off by" } } }
                tbody { @for t in &c.left { tr {
                    th scope="row" { (t.tank) } td.num { (weight(u, t.filled_kg)) } td.num { (weight(u, t.left_kg)) }
                    td.num { (t.should_be_left_kg.map_or_else(|| "-".into(), |x| weight(u, x))) }
                    td.num { (rate_words(u, t.sown_kg_ha)) } td.num { (t.wanted_kg_ha.map_or_else(|| "-".into(), |x| rate_words(u, x))) }
                    td.num { (t.error_pct.map_or_else(|| "-".into(), |x| format!("{} %", figure(x, 0)))) }
                } } }
            } }
            @for t in &c.left { p { b { (t.tank) ": " } (t.said) } div.off-card { (working::folded(&t.working)) } }
        }
        @if let Some(s) = &c.stand { h2 { "Stand" } p { (s.said) } }
    }
}

fn choose(c: &Card, asked: &Values) -> Markup {
    let typed = |k: &str| asked.get(k).map_or("", String::as_str);
    html! {
        details open[!asked.is_empty()] {
            summary { "Another lot, later, colder, drier" }
            form method="get" action={ "/inputs/drill/" (c.field) } {
                @if !c.lots.is_empty() { div.field { label for="lot" { "Seed lot" } select id="lot" name="lot" { @for (k, w) in &c.lots { option value=(k) selected[c.seed.as_ref().is_ok_and(|s| s.lot == *k)] { (w) } } } } }
                div.field { label for="late" { "Weeks past the best seeding date" } input id="late" name="late" value=(typed("late")) inputmode="decimal" autocomplete="off"; }
                div.field { label for="soil" { "Soil at seed depth, C" } input id="soil" name="soil" value=(typed("soil")) inputmode="decimal" autocomplete="off"; }
                div.choices { label { input type="checkbox" name="dry" value="yes" checked[typed("dry") == "yes"]; "The seedbed is dry, or a warm wind dries it" } }
                div.act { button type="submit" { "Reckon" } }
            }
        }
    }
}
