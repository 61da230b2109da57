//! `/harvest/sheets`: who does what on the next day of cutting, a sheet a person, to print.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_book::FieldId;
use stook_book::payload::MachineKind;
use stook_measure::figure;
use stook_season::harvest::OrderAnswer;
use stook_season::harvest::haul::HaulField;
use stook_season::harvest::order::{Stop, clock};
use stook_season::words;

use super::super::{Frame, Place, Reply, long_day, page, send};
use super::{across, order_answer};
use crate::server::beside;
use crate::state::{Desk, Known};

/// Shows them.
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let order = order_answer(&known)?;
        // The field for today, else the one that comes first.
        let next = order
            .first
            .as_ref()
            .and_then(|f| order.stops.iter().find(|s| s.field == *f))
            .or(order.stops.first());
        let haul = match next {
            Some(s) => stook_season::harvest::haul(&known.question(), Some(&s.field))?.field,
            None => None,
        };
        Ok(send(view(&frame, &known, &order, next, haul.as_ref())))
    })
    .await?
}

/// A person's sheet.
struct Sheet {
    who: String,
    lines: Vec<String>,
    caution: &'static str,
}

fn sheets(frame: &Frame, known: &Known, order: &OrderAnswer, s: &Stop, h: &HaulField) -> Vec<Sheet> {
    let farm = &known.farm;
    let u = &frame.units;
    let entrance = farm.entrances.get(&FieldId::from(s.field.as_str())).map(|e| e.is.words.clone());
    let from = order.tonight.as_ref().filter(|t| t.field == s.field);
    let start = from.and_then(|t| t.opens).map(clock);
    let stop = from.and_then(|t| t.stop).map(|r| clock(r.p50));
    let bins = order.room.as_ref().and_then(|r| {
        let bins =
            r.room.crops.first()?.bins.iter().map(|(n, t)| format!("{n} ({} t of room)", figure(*t, 0)));
        Some(bins.collect::<Vec<_>>().join(", then "))
    });
    let hours = s.fit_today.p50.max(1.0).min(s.hours);
    let where_ = |text: &mut Vec<String>| {
        if let Some(e) = &entrance {
            text.push(format!("The way in: {e}."));
        }
    };
    let setup = &h.setup;
    let bu = |t: f64| format!("{} bu", figure(t * stook_measure::units::bushels_per_tonne(60.0), 0));
    let mut combine = vec![
        format!("{}: {}, about {} h of cutting.", s.name, words::area(u, s.left_ha), figure(s.hours, 0)),
        format!(
            "Start {}{}.",
            start.as_deref().map_or_else(|| "when the straw cracks".into(), |t| format!("about {t}")),
            stop.as_deref().map_or_else(String::new, |t| format!(", stop about {t}"))
        ),
        format!("Cut from {} % down; try the first bushel in the meter.", figure(order.start_pct, 1)),
        format!(
            "The tank is full every {} minutes, {} feet: call the cart before it.",
            figure(h.tank_min, 0),
            figure(h.tank_feet, 0)
        ),
        "Loss: pan or kernel count in the first two hours, and when the crop changes.".into(),
    ];
    where_(&mut combine);
    let mut out = vec![Sheet {
        who: "Combine".into(),
        lines: combine,
        caution: "Engine bay clean before the start and at noon. Extinguishers in the cab and on the ground. Shut down and pocket the key before clearing the header.",
    }];
    for (i, cart) in setup.carts.iter().enumerate() {
        let mut lines = vec![
            format!(
                "Beside the combine every {} minutes; holds {}.",
                figure(h.tank_min, 0),
                bu(cart.holds_t)
            ),
            "Trucks stand on firm ground at the entrance; never on a soft headland.".into(),
        ];
        where_(&mut lines);
        let who = if setup.carts.len() == 1 { "Grain cart".into() } else { format!("Grain cart {}", i + 1) };
        out.push(Sheet { who, lines, caution: "Nobody on the cart's floor while grain flows. 10 ft clear of every power line with the auger up." });
    }
    let loads = hours * h.bu_h
        / stook_measure::units::bushels_per_tonne(60.0)
        / setup.trucks.iter().map(|t| t.holds_t).sum::<f64>().max(1e-9);
    let names: Vec<&str> = farm.machines_of(MachineKind::Truck).map(|m| m.name.as_str()).collect();
    for (i, t) in setup.trucks.iter().enumerate() {
        let mut lines = vec![
            format!(
                "About {} loads of {}; the road takes {} minutes out and {} back.",
                figure(loads.ceil(), 0),
                bu(t.holds_t),
                figure(t.out_min, 0),
                figure(t.back_min, 0)
            ),
            bins.as_ref().map_or_else(|| "Into: ask before you pour.".to_string(), |b| format!("Into {b}.")),
            "Write each load before you pour: field and bin stay, one number.".into(),
            "A bag of sample from every load, label on it.".into(),
        ];
        where_(&mut lines);
        let who = names.get(i).map_or_else(|| format!("Truck {}", i + 1), |n| (*n).to_string());
        out.push(Sheet { who, lines, caution: "Box down before you move. Lights and slow-moving sign at dusk. Brakes matched to the load." });
    }
    if setup.drier.is_some() {
        out.push(Sheet {
            who: "Drier and augers".into(),
            lines: vec![
                format!("Grain comes in near {} %; the wet bin is full when the auger is held.", figure(s.moisture.p50, 1)),
                bins.map_or_else(String::new, |b| format!("Dry grain into {b}.")),
                "Look at the drier every hour; write what comes out of it.".into(),
            ],
            caution: "A drier is watched, not left. Clean out trash first; carbon monoxide in closed places. Augers: guards on, lowered before they move.",
        });
    }
    for s in &mut out {
        s.lines.retain(|l| !l.is_empty());
    }
    out
}

fn view(
    frame: &Frame,
    known: &Known,
    order: &OrderAnswer,
    next: Option<&Stop>,
    haul: Option<&HaulField>,
) -> Markup {
    let day = next.filter(|s| order.first.as_ref() == Some(&s.field)).map(|_| frame.day());
    let day = day.or_else(|| next.and_then(|s| s.expected).map(|e| e.early)).unwrap_or(frame.day());
    let body = html! {
        (across("/harvest/sheets"))
        @match next.zip(haul) {
            None => { h1 { "Who does what" } p { "No wheat is near ripe, or there is no hauling to play: sheets come with the order of fields." } }
            Some((s, h)) => {
                @let all = sheets(frame, known, order, s, h);
                h1 { "Who does what: " (s.name) ", " (long_day(day)) }
                p.big { (all.len()) " pairs of hands, a sheet each." }
                p.under { "Print this page and cut it; write the names in. Anyone may stop the work when something is not safe." }
                @for x in &all {
                    article.todo.job-sheet {
                        h2 { (x.who) ": " span.fill-in { "____________" } }
                        ul { @for l in &x.lines { li { (l) } } }
                        p.caution { (x.caution) }
                    }
                }
                section { h2 { "If somebody is hurt" }
                    @if known.farm.contacts.is_empty() { p.note { "No number is in the book: " a href="/enter/contact" { "add one" } "." } }
                    ul { @for c in known.farm.contacts.values() { li { (c.is.name) ": " b { (c.is.phone) } } } }
                    p { a href="/emergency" { "Emergency sheet with every entrance" } }
                }
            }
        }
    };
    page(frame, Place::Fields, "Who does what", &body)
}
