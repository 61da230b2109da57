//! What would pay: the season run again with a wider drill, a faster combine, a drier, a truck.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_season::harvest::PaysAnswer;
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::{across, pays_answer};
use crate::draw::waiting_line::{self, Scale};
use crate::server::beside;
use crate::state::Desk;

/// `/harvest/pays`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let answer = pays_answer(&known)?;
        Ok(send(view(&Frame::of(&desk, &known), &answer)))
    })
    .await?
}

fn view(frame: &Frame, a: &PaysAnswer) -> Markup {
    // Losses stand to the right on this line everywhere; a gain forgone is a loss of waiting another year.
    let scale = Scale::over(a.changes.iter().map(|p| &p.gain));
    let body = html! {
        (across("/harvest/pays"))
        div {
            h1.lede { (a.headline) }
            p.why { (a.why) }
        }
        section aria-label="Changes" {
            @for p in &a.changes {
                article.todo {
                    h2 { (p.what) }
                    p.why { (capital(&p.words)) "." }
                    @if p.gain.range.p90 - p.gain.range.p10 >= 1.0 || p.gain.mean.abs() >= 1.0 { (waiting_line::draw(&p.gain, scale, &format!("a year without it: {}", p.words))) }
                    @if !p.own_years.is_empty() { p { "Your own seasons again: " @for (n, (year, x)) in p.own_years.iter().enumerate() { @if n > 0 { ", " } (year) " " b { (signed(frame, *x)) } } ". Mean " (signed(frame, p.own_years.iter().map(|y| y.1).sum::<f64>() / p.own_years.len() as f64)) "." } }
                    (working::folded(&p.working))
                }
            }
            @if a.changes.is_empty() { p { "No wheat is planned to run." } }
            @else { p.key { "To the right, money a year goes by without it. Steel bought for one bad year is the usual mistake: look at the line's left end too." } }
        }
    };
    page(frame, Place::Fields, "What would pay", &body)
}

/// Money with its sign, nothing as nothing.
fn signed(frame: &Frame, x: f64) -> String {
    match x {
        x if x >= 1.0 => format!("+{}", words::cash(&frame.units, x)),
        x if x <= -1.0 => format!("-{}", words::cash(&frame.units, -x)),
        _ => "nothing".into(),
    }
}
