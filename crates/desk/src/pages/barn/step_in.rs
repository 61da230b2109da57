//! `/barn/step-in/{bin}`: bringing a new lot in over days, and who must not get it.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::html;
use stook_barn::step_in;
use stook_book::BinId;
use stook_measure::figure;

use super::facts;
use crate::pages::{Frame, Place, Reply, Trouble, capital, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>, Path(bin): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let Some(s) = step_in::answer(&f, &BinId::from(bin.as_str())) else {
            return Err(Trouble::missing("There is no grain in that bin that could be fed."));
        };
        let body = html! {
            h1 { "Step " (s.lot.name) " in" }
            p.lede { (s.words) }
            @for k in &s.keep_from { p.blocked { (k) } }
            @if s.lot.never.is_none() {
                div.scroll tabindex="0" role="region" aria-label="Steps" { table {
                    thead { tr { th.num scope="col" { "Day" } @for x in &s.steps { th.num scope="col" { (x.day) } } } }
                    tbody { tr { th scope="row" { "New, % of the grain" } @for x in &s.steps { td.num { (figure(100.0 * x.share, 0)) } } } }
                } }
                h2 { "Most of it in a diet" }
                div.scroll tabindex="0" role="region" aria-label="Most of it" { table {
                    thead { tr { th scope="col" { "Phase" } th.num scope="col" { "% of the diet" } } }
                    tbody { @for (p, x) in &s.most { tr { td { (capital(p.words())) } td.num { (figure(100.0 * x, 0)) } } } }
                } }
                p.quiet { "By DON taken at " (figure(s.lot.don_ppm, 2)) " ppm with the rest clean, and by the usual limit on its kind." }
            }
            p.caution { "Watch the feeders: pigs refuse bad wheat within a day. A nutritionist looks at the change." }
            p.act { a.btn href="/barn/plan" { "Mill or trough" } a.btn href="/barn" { "The barn" } }
        };
        Ok(send(page(&frame, Place::Barn, "Step a lot in", &body)))
    })
    .await?
}
