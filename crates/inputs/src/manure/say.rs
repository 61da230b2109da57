//! The manure plan in words.

use jiff::civil::Date;
use stook_book::payload::UnitChoice;
use stook_measure::figure;
use stook_season::words::{area, cash, day};

use super::answer::{Manure, Pit, volume};
use super::gather::Law;
use super::room;

pub(super) fn room_words(u: &UnitChoice, pits: &[Pit], on: Date) -> String {
    let one = |p: &Pit| {
        let must = match (p.must_m3 > 0.5, p.last_open, p.opens) {
            (true, Some(last), Some(opens)) => format!(
                " To last until {}, {} must leave it by {}, {} days from now.",
                day(opens),
                volume(u, p.must_m3),
                day(last),
                room::days_between(on, last)
            ),
            _ => String::new(),
        };
        format!("{}: {}{must}", p.name, p.words)
    };
    pits.iter().map(one).collect::<Vec<_>>().join(" ")
}

pub(super) fn say(u: &UnitChoice, out: &mut Manure, law: &Law, on: Date) {
    let closed = law.closed.as_ref().filter(|c| c.holds(on.month() as u8, on.day() as u8));
    let m3: f64 = out.hauls.iter().map(|h| h.m3).sum();
    let loads: f64 = out.hauls.iter().map(|h| h.loads).sum();
    let names: Vec<String> = out.hauls.iter().map(|h| h.name.clone()).collect();
    let opens = out.pits.first().and_then(|p| p.opens);
    out.headline = match (out.hauls.is_empty(), closed, opens) {
        (true, ..) => "Leave it in the pit: no load is worth its haul.".into(),
        (false, Some(_), Some(opens)) => {
            format!(
                "No spreading before {}; then {} to {}.",
                day(opens),
                volume(u, m3),
                stook_season::model::list(&names)
            )
        }
        _ => format!("Haul {} to {}.", volume(u, m3), stook_season::model::list(&names)),
    };
    let ha: f64 = out.hauls.iter().map(|h| h.area_ha).sum();
    let worth = if out.hauls.is_empty() {
        String::new()
    } else {
        format!(
            " {} loads on {} save {} more in fertilizer than they cost to haul.",
            figure(loads, 0),
            area(u, ha),
            cash(u, out.net)
        )
    };
    out.why = format!("{}{worth}", room_words(u, &out.pits, on));
    let full_first = out.pits.iter().find(|p| {
        closed.is_some()
            && p.room.and_then(|r| r.full_on).zip(p.opens).is_some_and(|(full, opens)| full < opens)
    });
    if let Some(p) = full_first {
        out.notes.insert(
            0,
            format!(
                "{} is full before the law opens again: ring the inspector now about what may be done, and look for room elsewhere.",
                p.name
            ),
        );
    }
}
