//! Tables of crops and uses, and each field with its costs.

use maud::{Markup, html};
use stook_measure::{figure, money};
use stook_money::said::Made;
use stook_money::uses::Use;
use stook_money::{FieldMoney, Money};
use stook_season::words;

use super::{a_price, an_area, area_word, capital, price_word};
use crate::pages::bins::yield_words;
use crate::pages::{Frame, working};

/// By crop.
pub fn crops(frame: &Frame, m: &Money) -> Markup {
    let u = &frame.units;
    html! {
        section {
            h2 { "By crop, " (m.year) }
            div.scroll tabindex="0" role="region" aria-label="By crop" { table {
                thead { tr {
                    th scope="col" { "Crop" }
                    th.num scope="col" { (capital(u.area.words())) }
                    th.num scope="col" { "Cost " (area_word(u)) }
                    th.num scope="col" { "Breaks even at, " (price_word(u)) }
                    th.num scope="col" { "Worth, " (price_word(u)) }
                    th.num scope="col" { "Left " (area_word(u)) }
                } }
                tbody { @for c in &m.crops { tr {
                    td { (capital(c.crop.words())) }
                    td.num { (words::area(u, c.area_ha).split(' ').next().unwrap_or_default().to_string()) }
                    td.num { (an_area(u, c.cost_ha)) }
                    td.num { @if let Some(t) = c.break_even_t { (a_price(u, t, c.lb_per_bu)) } }
                    td.num { @if let Some(t) = c.price_t { (a_price(u, t, c.lb_per_bu)) } }
                    td.num { @if let Some(x) = c.margin_ha { (an_area(u, x)) } }
                } } }
            } }
            p { "Costs known come to " (frame.units.money) (money(m.cost)) ", crops to " (frame.units.money) (money(m.value)) "." }
        }
    }
}

/// What is not known.
pub fn asked(m: &Money) -> Markup {
    html! {
        @if !m.asked.is_empty() {
            section.screen {
                h2 { "Not known, and not in it" }
                ul.plain { @for a in &m.asked { li {
                    a href={ "/enter/" (a.form) @if a.form == "cost" { "?crop_year=" (m.year) } } { (capital(&a.what)) }
                    span.quiet { @if a.fields.len() == m.fields.len() { "every field" } @else { (a.fields.join(", ")) } }
                } } }
            }
        }
    }
}

/// By use.
pub fn uses(frame: &Frame, m: &Money) -> Markup {
    html! {
        @if !m.uses.is_empty() {
            section {
                h2 { "By use" }
                div.scroll tabindex="0" role="region" aria-label="By use" { table {
                    thead { tr { th scope="col" { "Grain" } th.num scope="col" { "t" } th.num scope="col" { "Worth a tonne" } th.num scope="col" { "Cost a tonne" } th.num scope="col" { "Left, " (frame.units.money) } } }
                    tbody { @for x in &m.uses { tr {
                        td { (capital(x.crop.words())) ", " (x.to) }
                        td.num { (figure(x.tonnes, 0)) }
                        td.num { (figure(x.worth_t, 0)) }
                        td.num { (figure(x.cost_t, 0)) }
                        td.num { (money(x.margin)) }
                    } } }
                } }
                p.under { "Fed grain at its worth in the trough by the joint plan; sold at the tickets settled; in the bins at what the joint plan makes of it." }
            }
        }
    }
}

/// Field by field.
pub fn all(frame: &Frame, m: &Money) -> Markup {
    html! {
        section {
            h2 { "Field by field" }
            @for f in &m.fields { (one(frame, f)) }
        }
    }
}

fn one(frame: &Frame, f: &FieldMoney) -> Markup {
    let u = &frame.units;
    let bu = |t: f64| a_price(u, t, f.lb_per_bu);
    let mark = &frame.units.money;
    html! {
        article.lot {
            h3 { a href={ "/field/" (f.field) } { (f.name) } ", " (f.crop.words()) ": "
                @match f.margin_ha {
                    Some(x) if x >= 0.0 => { (mark) (an_area(u, x)) " " (area_word(u)) " left" },
                    Some(x) => { (mark) (an_area(u, -x)) " " (area_word(u)) " lost" },
                    None => { "costs " (mark) (an_area(u, f.cost_ha)) " " (area_word(u)) },
                }
                @if !f.asked.is_empty() { span.quiet { ", as far as known" } }
            }
            p { "Costs " (mark) (an_area(u, f.cost_ha)) " " (area_word(u))
                @if let Some(t) = f.break_even_t { ", " (mark) (bu(t)) " " (price_word(u)) }
                @if let Some(y) = f.yield_kg_ha {
                    @if f.made == Made::Made { " at the " (yield_words(u, y.p50, f.lb_per_bu)) " it made" }
                    @else { " at " (yield_words(u, y.p50, f.lb_per_bu)) " looked for" }
                }
                "."
                @if let (Some(p), Some(t)) = (f.price_t, f.break_even_kg_ha) { " At " (mark) (bu(p)) " it breaks even with " (yield_words(u, t, f.lb_per_bu)) "." }
            }
            @if let (Some(y), Some(p), Made::Expected) = (f.yield_kg_ha, f.price_t, f.made) {
                p.quiet { "Yield by " (f.yield_by) ": one year in ten under " (yield_words(u, y.p10, f.lb_per_bu)) ", which leaves " (mark) (an_area(u, p * y.p10 / 1000.0 - f.cost_ha)) " " (area_word(u)) "." }
            }
            @if let (Some(own), Some(y)) = (f.usual_kg_ha, f.yield_kg_ha) { @if (own - y.p50).abs() > 0.15 * own {
                p.quiet { "At your mean of other years, " (yield_words(u, own, f.lb_per_bu)) ", it costs " (mark) (bu(1000.0 * f.cost_ha / own)) " " (price_word(u)) "." }
            } }
            @if !f.uses.is_empty() {
                p { @for (n, x) in f.uses.iter().enumerate() { @if n > 0 { "; " }
                    (figure(x.tonnes, 0)) " t "
                    @match &x.to { Use::Sold(who) => { "sold to " (who) }, Use::Fed => { "fed" }, Use::Sown => { "sown" }, Use::Kept(b) => { "in " a href={ "/bins/" (b) } { (b.as_str().replace('-', " ")) } } }
                    @match x.worth_t { Some(w) => { " at " (mark) (figure(w, 0)) " a tonne" }, None => { ", no price" } }
                } "." }
            }
            details { summary { "Costs line by line" }
                div.scroll tabindex="0" role="region" aria-label={ "Costs of " (f.name) } { table {
                    thead { tr { th scope="col" { "Cost" } th.num scope="col" { (capital(area_word(u))) } th scope="col" { "From" } } }
                    tbody { @for l in &f.lines { tr { td { (capital(&l.words)) } td.num { (an_area(u, l.per_ha)) } td { (capital(&l.how.words())) } } } }
                } }
                @for (what, form) in &f.asked { p.under { "Not in it: " a href={ "/enter/" (form) @if form == "cost" { "?field=" (f.field) } } { (what) } "." } }
                @for l in &f.lines { @if let Some(w) = &l.working { (working::named(w)) } }
                (working::named(&f.working))
            }
        }
    }
}
