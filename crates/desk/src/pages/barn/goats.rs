//! `/barn/goats`: hay, grain and what never to do.

use std::sync::Arc;

use axum::extract::State;
use maud::html;
use stook_barn::goats;
use stook_measure::{figure, units::kg_to_lb};
use stook_season::words;

use super::facts;
use crate::pages::{Frame, Place, Reply, capital, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let all = goats::today(&f);
        let lb = |kg: f64| figure(kg_to_lb(kg), 1);
        let body = html! {
            h1 { "Goats" }
            @if all.is_empty() { p.lede { "No goats are written down." } p { a href="/enter/herd_group?kind=goats_dry" { "Write a group down" } } }
            @for g in &all {
                section {
                    h2 { (g.name) }
                    p.big { (capital(g.kind)) ", " (g.head) " head: " @if g.grain_kg > 0.02 { (lb(g.grain_kg)) " lb of whole grain each a day in two feedings, hay to the full." } @else { "hay alone meets their need." } }
                    @if let Some(y) = &g.year {
                        p { b { (y.words) } @if let Some((low, high)) = y.flush_kg { " " (lb(low)) " to " (lb(high)) " lb of whole grain a doe and day." } }
                        p.quiet { "Flush " (words::day(y.flush.0)) " to " (words::day(y.flush.1)) ", late pregnancy from " (words::day(y.late_from)) ", kids from " (words::day(y.kidding.0)) " to " (words::day(y.kidding.1)) "." }
                    }
                    p { "Hay about " (lb(g.hay_kg)) " lb each. If the grain is wheat: no more than " (lb(g.wheat_kg)) " lb." @if g.short { " Within the limit on grain they are short: better hay is the answer, not more grain." } }
                    p.quiet { "Needs " (figure(g.tdn_kg, 2)) " kg digestible nutrients and " (figure(1000.0 * g.protein_kg, 0)) " g protein (NRC 1981; hay taken at 52 % digestible: a hay test changes it)." }
                    @for c in &g.cautions { p.caution { (c) } }
                }
            }
            @if !all.is_empty() { p.act { a.btn href="/enter/breeding" { "Buck in with the does" } } }
            p { "Before breeding: " (figure(kg_to_lb(f.params.goat_flush_low), 1)) " to " (figure(kg_to_lb(f.params.goat_flush_high), 1)) " lb of grain a doe and day, from 2 weeks before to 3 weeks into breeding. Kids come about 150 days on." }
            p.act { a.btn href="/calculators/feed.goat" { "What a goat needs" } a.btn href="/calculators/feed.goat_grain" { "Grain on hay" } a.btn href="/barn" { "The barn" } }
        };
        Ok(send(page(&frame, Place::Barn, "Goats", &body)))
    })
    .await?
}
