//! The order: what to have delivered, for which fields, and what another price would alter.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::{Entry, validate};
use stook_fertility::Nutrient;
use stook_inputs::order::{Order, OrderBlend, OrderField, OrderProduct, WhatIf, as_plans, order};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::{four, per_area, per_weight, rate, volume, volume_rate, weight};
use crate::pages::enter::latest;
use crate::server::beside;
use crate::state::Desk;

/// `/inputs/order`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<BTreeMap<String, String>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let (what_if, wrong) = read(&asked);
        let (reference, _) = known.farm.reference(&Reference::shipped());
        let answer = order(&known.farm, &reference, known.as_of, &what_if);
        Ok(send(view(&Frame::of(&desk, &known), &answer, &asked, &wrong)))
    })
    .await?
}

/// What is tried, and what could not be read.
fn read(asked: &BTreeMap<String, String>) -> (WhatIf, Vec<String>) {
    let mut what_if = WhatIf::default();
    let mut wrong = Vec::new();
    for (key, text) in asked.iter().filter(|(_, t)| !t.trim().is_empty()) {
        let number: Option<f64> = text.trim().replace(',', "").parse().ok();
        match number {
            Some(x) if key == "blends" && (1.0..=12.0).contains(&x) => {
                what_if.blends = Some(x.round() as usize)
            }
            Some(x) if key != "blends" && x > 0.0 && x < 1e5 => {
                what_if.per_t.insert(key.clone(), x);
            }
            _ if key == "blends" => wrong.push(format!("\"{text}\" is no number of blends; write 1 to 12.")),
            _ => wrong.push(format!(
                "\"{text}\" is no price a tonne for {}; write a number, such as 700.",
                key.replace('_', " ")
            )),
        }
    }
    (what_if, wrong)
}

/// `POST /inputs/order`: the blends as the fields' plans, so that the drill cards have them.
pub async fn take(State(desk): State<Arc<Desk>>, Posted(asked): Posted<BTreeMap<String, String>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let (what_if, mut wrong) = read(&asked);
        let (reference, _) = known.farm.reference(&Reference::shipped());
        let answer = order(&known.farm, &reference, known.as_of, &what_if);
        let who = known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone());
        let plans = as_plans(&known.farm, &reference, known.as_of, &answer);
        let entries: Vec<Entry> =
            plans.into_iter().map(|p| Entry::new(frame.minute(), who.clone(), p)).collect();
        if wrong.is_empty() {
            for e in &entries {
                if let Err(why) = validate(e, &known.farm, &Reference::shipped(), latest(&known, &frame)) {
                    wrong.extend(why.into_iter().map(|p| p.sentence));
                }
            }
        }
        if !wrong.is_empty() || entries.is_empty() {
            if wrong.is_empty() {
                wrong.push(
                    "There is nothing to put on the cards: every field of this order has some on already."
                        .into(),
                );
            }
            let page = send(view(&frame, &answer, &asked, &wrong));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        desk.store()?.append_all(&entries)?;
        Ok(Redirect::to("/inputs/drill?taken=order").into_response())
    })
    .await?
}

fn view(frame: &Frame, o: &Order, asked: &BTreeMap<String, String>, wrong: &[String]) -> Markup {
    let body = html! {
        div.prints-dense {
            h1.lede { (o.headline) }
            p.why { (o.why) }
            p.change { "What would change it: " (o.change) }
        }
        @if !wrong.is_empty() { div.wrong-all role="alert" { @for w in wrong { p { (w) } } } }
        @if let Some(c) = o.caution { p.caution { (c) } }
        @if !o.notes.is_empty() { ul.note { @for n in &o.notes { li { (n) } } } }
        @if o.blends.is_empty() {
            p { a href="/inputs" { "Accept a fertilizer plan" } " · " a href="/enter/price" { "Write a price" } }
        } @else {
            section { h2 { "To order" } (blends(frame, o)) }
            section { h2 { "On each field" } (fields(frame, o)) (cards(asked)) }
            section { h2 { "Products and prices" } (products(frame, &o.products)) (what_if(frame, o, asked)) }
            section { h2 { "How many blends" } (choices(frame, o)) }
            @if let Some(w) = &o.working { (working::folded(w)) }
        }
    };
    page(frame, Place::Inputs, "The order", &body)
}

fn cards(asked: &BTreeMap<String, String>) -> Markup {
    html! {
        form.off-print method="post" action="/inputs/order" {
            @for (k, v) in asked { input type="hidden" name=(k) value=(v); }
            div.act { button.yes type="submit" { "Put these on the drill cards" } a.btn href="/inputs/drill" { "Drill cards" } }
            p.key { "Each field's plan then names these products and rates, and its card is filled from them." }
        }
    }
}

fn blends(frame: &Frame, o: &Order) -> Markup {
    let u = &frame.units;
    html! {
        div.scroll.wide tabindex="0" role="region" aria-label="What to order" { table {
            thead { tr { th scope="col" { "Order" } th.num scope="col" { "Tonnes" } th.num scope="col" { "Money" } th scope="col" { "In a tonne, kg" } th scope="col" { "N-P-K-S, %" } th scope="col" { "For" } } }
            tbody {
                @for b in &o.blends { (blend(frame, b)) }
                tr { th scope="row" { "All" } td.num { b { (figure(o.tonnes, 1)) } } td.num { b { (u.money) (figure(o.money, 0)) } } td {} td {} td {} }
            }
        } }
    }
}

fn blend(frame: &Frame, b: &OrderBlend) -> Markup {
    let g = b.grade_pct;
    let grade = [g.n, g.p2o5, g.k2o, g.s].map(|x| figure(x, 1).trim_end_matches(".0").to_string()).join("-");
    html! { tr {
        th scope="row" { (capital(&b.name)) }
        td.num { (figure(b.tonnes, 1)) }
        td.num { (frame.units.money) (figure(b.money, 0)) }
        td { @for (i, p) in b.parts.iter().enumerate() { @if i > 0 { br; } (figure(p.kg_per_t, 0)) " " (p.product) } }
        td { (grade) }
        td { (b.for_fields.join(", ")) }
    } }
}

fn fields(frame: &Frame, o: &Order) -> Markup {
    let u = &frame.units;
    let fluids = o.fields.iter().any(|f| f.fluid.is_some());
    html! {
        div.scroll.wide tabindex="0" role="region" aria-label="Blend and rate of each field" { table {
            thead { tr {
                th scope="col" { "Field" }
                th.num scope="col" { "With the seed, " (u.rate.words()) }
                th.num scope="col" { "In the band, " (u.rate.words()) }
                @if fluids { th.num scope="col" { "Liquid or ammonia, " (u.rate.words()) } }
                th.num scope="col" { "Gets N-P-K-S" }
                th.num scope="col" { "Planned" }
                th.num scope="col" { (u.money) " an " (u.area.words().trim_end_matches('s')) }
                th scope="col" { "A " (weight(u)) " more is worth here" }
            } }
            tbody { @for f in &o.fields { (field(frame, f, fluids)) } }
        } }
        @for f in &o.fields { @for n in &f.notes { p.small { b { (f.name) ": " } (n) } } }
        p.key { "Worth: what one more would cost in a blend made for the field alone. Rates are whole steps of the drill and pass no limit of the seed row; those limits hold for good moisture, so halve the nitrogen there in a dry seedbed." }
    }
}

fn field(frame: &Frame, f: &OrderField, fluids: bool) -> Markup {
    let u = &frame.units;
    let put = |r: &Option<(String, f64)>| match r {
        Some((name, kg_ha)) => html! { b { (figure(rate(u, *kg_ha), 0)) } " " (name) },
        None => html! { "none" },
    };
    let worth: Vec<String> = Nutrient::ALL
        .into_iter()
        .filter(|n| f.worth_per_kg[*n].abs() > 1e-6)
        .map(|n| format!("{} {}{}", n.name(), u.money, per_weight(u, f.worth_per_kg[n])))
        .collect();
    html! { tr {
        th scope="row" { a href={ "/field/" (f.field) } { (f.name) } }
        td.num { (put(&f.with_seed)) }
        td.num { (put(&f.band)) }
        @if fluids { td.num { (put(&f.fluid)) @if let Some(l) = f.fluid_l_ha { br; span.small { (volume_rate(u, l)) } } } }
        td.num { (four(u, f.supplied_kg_ha)) }
        td.num { (four(u, f.need_kg_ha)) }
        td.num { (per_area(u, f.per_ha)) }
        td { (worth.join(", ")) }
    } }
}

fn products(frame: &Frame, products: &[OrderProduct]) -> Markup {
    let u = &frame.units;
    let stays = |p: &OrderProduct| match (p.stays_from_per_t, p.stays_to_per_t) {
        _ if p.tonnes <= 0.0 => {
            p.stays_from_per_t.map_or_else(String::new, |x| format!("wanted below {}", figure(x, 0)))
        }
        (Some(a), Some(b)) => format!("{} to {}", figure(a, 0), figure(b, 0)),
        (None, Some(b)) => format!("up to {}", figure(b, 0)),
        (Some(a), None) => format!("from {} up", figure(a, 0)),
        (None, None) => "any price".into(),
    };
    html! {
        div.scroll tabindex="0" role="region" aria-label="Products and prices" { table {
            thead { tr { th scope="col" { "Product" } th.num scope="col" { "Tonnes" } th.num scope="col" { (u.money) " a tonne" } th.num scope="col" { "Money" } th.num scope="col" { "Same mixes at" } } }
            tbody { @for p in products { tr {
                th scope="row" { (p.name) @if p.assumed { br; span.small { "our price; write yours" } } }
                td.num { (figure(p.tonnes, 1)) @if let Some(v) = p.m3.filter(|v| *v > 0.0) { br; span.small { (volume(u, v)) } } }
                td.num { (figure(p.per_t, 0)) }
                td.num { (figure(p.money, 0)) }
                td.num { (stays(p)) }
            } } }
        } }
        h3 { "What a price change alters" }
        dl.answers.stacked { @for p in products { div { dt { b { (capital(&p.name)) } } dd { (p.words) } } } }
        p.key { "Same mixes at: the prices between which every field by itself would still want these products." }
    }
}

fn what_if(frame: &Frame, o: &Order, asked: &BTreeMap<String, String>) -> Markup {
    let was = |key: &str| asked.get(key).cloned().unwrap_or_default();
    html! {
        form.filter method="get" action="/inputs/order" aria-label="Try other prices" {
            @for p in &o.products {
                div.field { label for={ "try-" (p.key) } { (p.name) ", " (frame.units.money) " a tonne" }
                    input id={ "try-" (p.key) } name=(p.key) inputmode="decimal" value=(was(&p.key)) placeholder=(figure(p.per_t, 0)); }
            }
            div.field { label for="try-blends" { "Blends at most" }
                input id="try-blends" name="blends" inputmode="numeric" value=(was("blends")) placeholder=(o.most_blends); }
            div.act { button type="submit" { "Try" } @if !asked.is_empty() { a.btn href="/inputs/order" { "As the book has it" } } a.btn href="/enter/price" { "Write a price" } }
        }
    }
}

fn choices(frame: &Frame, o: &Order) -> Markup {
    html! {
        table {
            thead { tr { th scope="col" { "Blends at most" } th.num scope="col" { "Money" } th.num scope="col" { "Over a blend for every field" } } }
            tbody { @for c in &o.choices { tr {
                th scope="row" { a href={ "/inputs/order?blends=" (c.blends) } { (c.blends) @if c.blends == o.most_blends { " (this order)" } } }
                @if let Some(m) = c.money {
                    td.num { (frame.units.money) (figure(m, 0)) }
                    td.num { (words::cash(&frame.units, m - o.floor)) }
                } @else { td colspan="2" { "cannot serve all fields within the limits" } }
            } } }
        }
        p.key { "A straight product counts as one, as it too needs a bin and a tank. Set your own number with order.blend.most in Set-up." }
    }
}
