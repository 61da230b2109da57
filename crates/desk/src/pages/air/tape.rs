//! A table to tape to the fan: for any air outside, what it makes of this grain and whether to run.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::{Markup, html};
use stook_book::farm::BinRecord;
use stook_keep::Work;
use stook_keep::bed_view::Tape;
use stook_measure::figure;
use stook_season::words;

use super::{caution, of_one_bin, others, temp};
use crate::pages::{Frame, Place, Reply, page};
use crate::state::Desk;

/// `/bins/{id}/tape`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Reply {
    of_one_bin(desk, id, view).await
}

fn view(frame: &Frame, r: &BinRecord, found: Result<&Work, &str>) -> Markup {
    let u = &frame.units;
    let name = &r.bin().name;
    let body = html! {
        h1 { (name) ": when to run this fan" }
        @match found.map(Work::tape) {
            Err(why) => p { (why) },
            Ok(None) => p { "No air can be pushed through it; see the fan on its bed." },
            Ok(Some(t)) => (table(frame, &t)),
        }
        (caution())
        (others(r.bin().id.as_str(), "tape"))
        p.quiet { "For " (words::day(frame.day())) "; print it again when the grain has changed. Shown in " (u.temperature.words()) "." }
    };
    page(frame, Place::Bins, &format!("{name}, table for the fan"), &body)
}

fn table(frame: &Frame, t: &Tape) -> Markup {
    let u = &frame.units;
    html! {
        p.big { "Grain " (figure(t.mean_pct, 1)) " % and " (temp(u, t.mean_c)) " on the whole, the top " (figure(t.top_pct, 1)) " %. " (t.rule) }
        div.scroll tabindex="0" role="region" aria-label="When to run" { table.tape {
            caption { "Figure: the moisture this air, past the fan, makes of the grain. RUN: switch it on and leave it on until the front is through." }
            thead { tr { th scope="col" { "Outside" } @for h in &t.humidities { th.num scope="col" { (figure(*h, 0)) " %" } } } }
            tbody { @for row in &t.rows {
                tr {
                    th scope="row" { (temp(u, row.t_c)) }
                    @for c in &row.cells { td.num { @if c.run { b { "RUN " } } (figure(c.emc_pct, 1)) } }
                }
            } }
        } }
        p { "Never draw in rain, fog or snow. Once begun, finish: about " b { (figure(t.front_h, 0)) " hours of fan" } " bring a front through. Cover the fan when it is off." }
    }
}
