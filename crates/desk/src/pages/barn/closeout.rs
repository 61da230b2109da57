//! `/barn/closeout/{group}`: how a group did, and the next budget's factors.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::html;
use stook_barn::closeout;
use stook_book::GroupId;
use stook_measure::figure;

use super::facts;
use crate::pages::{Frame, Place, Reply, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>, Path(group): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let m = &frame.units.money;
        let body = match closeout::answer(&f, &GroupId::from(group.as_str())) {
            Err(e) => html! {
                h1 { "How the group did" }
                p.lede { (e.to_string()) }
                p.act { a.btn href="/enter/herd_move" { "Moved or sold" } a.btn href="/barn" { "The barn" } }
            },
            Ok(c) => html! {
                h1 { (c.name) }
                p.lede { (figure(c.feed_per_gain, 2)) " kg of feed for a kg of gain; the table says " (figure(c.table_feed_per_gain, 2)) "." }
                p { (c.head_in) " in at " (figure(c.kg_in, 0)) " kg, " (c.head_out) " out at " (figure(c.kg_out, 0)) " kg after " (figure(c.days, 0)) " days, " (c.died) " died. Gain " (figure(1000.0 * c.gain_kg_d, 0)) " g a day. Feed cost " (m) (figure(c.cost_per_kg, 2)) " a kg of gain." }
                @if c.shared_bin { p.note { "Other groups ate from the same feed bin in that time: " (figure(100.0 * c.own_share, 0)) " % of what was eaten there is taken as this group's, by head and the intake curve day by day. A bin of its own would say it better." } }
                p { "For the next budget, as your own numbers: feed for gain " b { (figure(c.feed_factor, 2)) } " times the table's, gain " b { (figure(c.gain_factor, 2)) } " times." }
                p.act {
                    a.btn href={ "/enter/local_number?name=feed.growth.feed_factor&value=" (figure(c.feed_factor, 2)) "&why=close-out%20of%20" (c.group) } { "Take the feed factor" }
                    a.btn href={ "/enter/local_number?name=feed.growth.gain_factor&value=" (figure(c.gain_factor, 2)) "&why=close-out%20of%20" (c.group) } { "Take the gain factor" }
                }
                (working::folded(&c.working))
            },
        };
        Ok(send(page(&frame, Place::Barn, "How the group did", &body)))
    })
    .await?
}
