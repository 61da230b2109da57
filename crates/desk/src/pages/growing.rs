//! The growing crop on a field's page: stage, water, stress, three yields, what changed, what to look at, ripeness,
//! the ways left in a late spring, and seeding before rain.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use stook_book::FieldId;
use stook_book::payload::{AreaUnit, UnitChoice};
use stook_measure::{Range, figure, units};
use stook_season::growing::{Growing, Look, Ripe};
use stook_season::late::{BeforeRain, Late, RainAsked};
use stook_season::words;

use super::{Frame, Place, Reply, Trouble, capital, page, send, working};
use crate::draw::fan;
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

/// What is near: what to look at, the stage, what changed.
pub fn near(g: &Growing) -> Markup {
    html! {
        (look(&g.looks, "h2"))
        @if let Some(s) = &g.stage {
            h2 { "Stage" }
            p { (capital(&s.words)) ". " (s.range) }
            @if !s.next.is_empty() {
                div.ruled { dl { @for n in &s.next {
                    div { dt { (capital(&n.stage)) } dd { (words::day(n.when.middle)) span.quiet { " (" (words::day(n.when.early)) " to " (words::day(n.when.late)) ")" } } }
                } } }
            }
            @if let Some(c) = &g.correction { p.note { (c.words) } }
        }
        @if !g.changed.is_empty() {
            h2 { "Since last week" }
            @for line in &g.changed { p { (capital(line)) } }
        }
    }
}

/// What is reckoned: water, yields, ripeness, leaf disease weather.
pub fn far(g: &Growing, u: &UnitChoice) -> Markup {
    html! {
        @if g.standing {
            (water(g, u))
        }
        @if let Some(y) = &g.yields {
            h2 { "Yield, three ways" }
            div.ruled { dl {
                div { dt { "Stored water and rain, by the line" } dd { (words::wheat_yield_range(u, y.by_line)) } }
                @if let Some(c) = y.corrected { div { dt { "The same, corrected by what you made" } dd { (words::wheat_yield_range(u, c)) } } }
                div { dt { "By the water it could not get" } dd { (words::wheat_yield_range(u, y.by_deficit)) } }
                div {
                    dt { "By heads and kernels counted" }
                    dd { @match y.by_count {
                        Some(x) => { (figure(words::wheat_yield(u, x), words::yield_decimals(u))) " " (u.grain_yield.words()) @if let Some(d) = y.counted_on { ", " (words::day(d)) } }
                        None => { a href={ "/enter/yield_count?field=" (g.field) } { "count" } }
                    } }
                }
            } }
            p.hint { "1 in 10 below, middle, 1 in 10 above. All before losses at the header." }
            @for w in &y.working { (working::named(w)) }
            (fan::draw("Yield outlook, week by week", &g.yield_fan, u.grain_yield.words(), &|x| words::wheat_yield(u, x)))
        }
        @if let Some(r) = &g.ripe { (ripe(r, u)) }
        @if g.leaf.iter().any(|l| l.last_10_days > 0 || l.next_7_days.p90 > 0.0) {
            h2 { "Leaf disease weather" }
            div.scroll tabindex="0" role="region" aria-label="Leaf disease weather by disease" {
                table {
                    thead { tr { th scope="col" { "Disease" } th scope="col" { "Days fit of the last 10" } th scope="col" { "Of the next 7" } th scope="col" { "Asks" } } }
                    tbody { @for l in &g.leaf { tr {
                        th scope="row" { (capital(&l.disease)) }
                        td { (l.last_10_days) @if let Some(d) = l.last { span.quiet { ", last " (words::day(d)) } } }
                        td { (few(l.next_7_days)) }
                        td { (l.asks) }
                    } } }
                }
            }
            p.hint { "Days on which leaves were wet and warm long enough to be infected. Weather alone: look for spots on the leaf below the flag. " (g.leaf_basis) }
        }
    }
}

fn few(r: Range) -> String {
    let whole = |x: f64| figure(x, 0);
    if whole(r.p10) == whole(r.p90) { whole(r.p50) } else { format!("{} to {}", whole(r.p10), whole(r.p90)) }
}

/// What to look at, nothing when there is nothing.
pub fn look(looks: &[Look], heading: &str) -> Markup {
    if looks.is_empty() {
        return html! {};
    }
    html! {
        @if heading == "h2" { h2 { "Look at" } }
        @for l in looks {
            article.look {
                p { b { (l.what) } }
                p { (l.why) }
                p.change { b { "What to look at: " } (l.at) }
                @if let Some(w) = &l.working { (working::named(w)) }
            }
        }
    }
}

fn water(g: &Growing, u: &UnitChoice) -> Markup {
    let w = &g.water;
    let depth = match u.rain {
        stook_book::payload::RainUnit::Inches => {
            format!("{} in", figure(units::mm_to_in(w.root_m * 1000.0), 0))
        }
        stook_book::payload::RainUnit::Mm => format!("{} m", figure(w.root_m, 1)),
    };
    let span = |r: Range| format!("{} to {}", words::water(u, r.p10), words::water(u, r.p90));
    html! {
        h2 { "Water against need" }
        div.ruled { dl {
            div { dt { "In the root zone, to " (depth) } dd { (words::water(u, w.have_mm)) " of " (words::water(u, w.hold_mm)) } }
            div { dt { "Need of the next seven days" } dd { (span(w.need_7d_mm)) } }
            div { dt { "Rain of the next seven days" } dd { (span(w.rain_7d_mm)) } }
            div { dt { "Goes short within them" } dd { (capital(&words::in_ten(w.short_in))) } }
            @for s in &g.stress { div { dt { (s.label) } dd { (s.figure) } } }
        } }
    }
}

fn ripe(r: &Ripe, u: &UnitChoice) -> Markup {
    let hour = |h: f64| format!("{}:00", h.round() as i64);
    html! {
        h2 { "Ripeness" }
        div.ruled { dl {
            div { dt { "Kernels filled" } dd { (figure(r.dry_matter_pct, 0)) " %" } }
            div { dt { "Moisture, and of the least ripe part" } dd { (figure(r.moisture_pct, 0)) " %, " (figure(r.greenest_pct, 0)) " %" } }
            @if let Some(d) = r.full { div { dt { "Full weight" } dd { (words::day(d.middle)) " (" (words::day(d.early)) " to " (words::day(d.late)) ")" } } }
            @if let Some(d) = r.ready { div { dt { "First fit to cut" } dd { (words::day(d.middle)) " (" (words::day(d.early)) " to " (words::day(d.late)) ")" } } }
        } }
        p { (r.preharvest_words) }
        p { (r.waiting) }
        @if r.hours.iter().any(|h| h.chance >= 0.02) {
            h3 { "Hours with grain at " (figure(r.below_pct, 0)) " % or less" }
            div.scroll tabindex="0" role="region" aria-label="Hours of the days to come with dry grain" {
                table {
                    thead { tr { th scope="col" { "Day" } th scope="col" { "Hours" } th scope="col" { "In" } th scope="col" { "Afternoon" } } }
                    tbody { @for h in &r.hours { tr {
                        th scope="row" { (words::day(h.date)) }
                        td { @if h.chance >= 0.02 { (hour(h.from_h)) " to " (hour(h.to_h)) } @else { "none" } }
                        td { (words::in_ten(h.chance)) }
                        td { (figure(h.driest_pct.p10, 0)) " to " (figure(h.driest_pct.p90, 0)) " %" }
                    } } }
                }
            }
            p.hint { "By the grain alone; tough straw and dew can hold the combine longer." }
        }
        @if !r.wait_lines.is_empty() {
            h3 { "If it stands on" }
            div.scroll tabindex="0" role="region" aria-label="Risk by days of standing" {
                table {
                    thead { tr { th scope="col" { "Days" } th scope="col" { "Sprouting, moderate or worse" } th scope="col" { "High or worse" } th scope="col" { "Grade and shatter" } } }
                    tbody { @for l in &r.wait_lines { tr {
                        th scope="row" { (l.days) }
                        td { (words::in_ten(l.sprout_moderate)) }
                        td { (words::in_ten(l.sprout_high)) }
                        td { (words::cash_an_area(u, l.lost_per_ha.p10)) " to " (words::cash_an_area(u, l.lost_per_ha.p90)) }
                    } } }
                }
            }
        }
    }
}

/// The ways left for an unseeded field.
pub fn late(l: &Late, u: &UnitChoice, area_ha: f64) -> Markup {
    let cash = |x: f64| words::cash(u, x * area_ha);
    html! {
        h2 { "Late: what still goes in" }
        p { b { (l.what) } }
        p { (l.why) }
        div.scroll tabindex="0" role="region" aria-label="Ways left for this field" {
            table {
                thead { tr { th scope="col" { "Way" } th scope="col" { "On the field" } th scope="col" { "Not ripe before frost" } th scope="col" { "Last sensible day" } } }
                tbody { @for w in &l.ways { tr {
                    th scope="row" { (capital(&w.words)) @if w.past_deadline { span.quiet { ", past your last day" } } }
                    td { (cash(w.mean)) @if w.per_ha.p90 - w.per_ha.p10 > 1.0 { span.quiet { " (" (cash(w.per_ha.p10)) " to " (cash(w.per_ha.p90)) ")" } } }
                    td { @if w.key == "greenfeed" || w.key == "leave" { "does not matter" } @else { (words::in_ten(w.fails_in)) } }
                    td { @match w.last_sensible { Some(d) => (words::day(d)), None => "" } }
                } } }
            }
        }
        @for w in &l.ways { (working::named(&w.working)) }
        p.caution { "Cover and payment for unseeded land are the insurer's: ask before you change the crop or tear one up." }
    }
}

/// `/field/{id}/rain`: seeding before rain.
pub async fn rain(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let u = &frame.units;
        let Some(record) = known.farm.fields.get(&FieldId(id.clone())) else {
            return Err(Trouble::missing("There is no field of that name in the book."));
        };
        let f = record.field();
        let acres = u.area == AreaUnit::Acres;
        let to_ha = |x: f64| if acres { units::acre_to_ha(x) } else { x };
        let from_ha = |x: f64| if acres { units::ha_to_acre(x) } else { x };
        let typed = |key: &str| asked.get(key).map(|t| t.trim().to_string()).filter(|t| !t.is_empty());
        let now = frame.now.time();
        let now_text = typed("now").unwrap_or_else(|| format!("{}:{:02}", now.hour(), now.minute()));
        let seeded: f64 = record.seeded_in(frame.day().year()).filter_map(|s| s.is.area_ha).sum();
        let left_text =
            typed("left").unwrap_or_else(|| figure(from_ha((f.area_ha - seeded).max(0.0)), 0));
        let mut wrong: Vec<(&str, String)> = Vec::new();
        let hour = |key: &'static str, text: &str, wrong: &mut Vec<(&str, String)>| -> Option<f64> {
            let (h, m) = text.split_once(':').unwrap_or((text, "0"));
            match (h.parse::<f64>(), m.parse::<f64>()) {
                (Ok(h), Ok(m)) if (0.0..=24.0).contains(&h) && (0.0..60.0).contains(&m) => Some(h + m / 60.0),
                _ => {
                    wrong.push((key, format!("\"{text}\" is no time of day; write it as 21:30.")));
                    None
                }
            }
        };
        let now_h = hour("now", &now_text, &mut wrong);
        let rain_at = typed("rain_at").and_then(|t| hour("rain_at", &t, &mut wrong));
        let left = match left_text.replace(',', "").parse::<f64>() {
            Ok(x) if x >= 0.0 && to_ha(x) <= f.area_ha * 1.1 => Some(to_ha(x)),
            Ok(_) => {
                wrong.push(("left", format!("The field is {}; give what is left of it.", words::area(u, f.area_ha))));
                None
            }
            Err(_) => {
                wrong.push(("left", format!("\"{left_text}\" is not a number; write it in figures, such as 40.")));
                None
            }
        };
        let answer = match (now_h, left) {
            (Some(now_h), Some(left_ha)) if wrong.is_empty() => {
                // An hour earlier than now is of the night to come.
                let rain_at_h = rain_at.map(|h| if h < now_h { h + 24.0 } else { h });
                known.before_rain(&id, &RainAsked { now_h, left_ha, rain_at_h, chance: None, close_h: 0.5 })?
            }
            _ => None,
        };
        let told = |key: &str| wrong.iter().find(|(k, _)| *k == key).map(|(_, s)| s.clone());
        let body = html! {
            h1 { "Rain coming on " (f.name) }
            form.entry method="get" action={ "/field/" (id) "/rain" } {
                (ask("left", &format!("Left to seed, {}", u.area.words()), &left_text, told("left")))
                (ask("now", "Time now", &now_text, told("now")))
                (ask("rain_at", "Rain on the radar at, if you know", &typed("rain_at").unwrap_or_default(), told("rain_at")))
                div.act { button.yes type="submit" { "Reckon" } }
            }
            @if let Some(a) = &answer { (before_rain(a, u)) }
            @else if wrong.is_empty() { p.quiet { "Stook reckons wheat fields that are still to be seeded." } }
            p { a href={ "/field/" (id) } { "Back to " (f.name) } }
        };
        Ok(send(page(&frame, Place::Fields, "Rain coming", &body)))
    })
    .await?
}

fn ask(key: &str, label: &str, value: &str, wrong: Option<String>) -> Markup {
    html! {
        div.field {
            label for=(key) { (label) }
            @if let Some(w) = &wrong { p.wrong id={ (key) "-wrong" } { (w) } }
            input id=(key) name=(key) value=(value) inputmode="decimal" aria-describedby=[wrong.as_ref().map(|_| format!("{key}-wrong"))];
        }
    }
}

fn before_rain(a: &BeforeRain, u: &UnitChoice) -> Markup {
    html! {
        section.order aria-label="Answer" {
            h2 { (a.what) }
            p { (a.why) }
            div.scroll tabindex="0" role="region" aria-label="Left by hour" {
                table {
                    thead { tr { th scope="col" { "By" } th scope="col" { "Left" } th scope="col" { "Rain has begun in" } } }
                    tbody { @for h in &a.hours { tr {
                        th scope="row" { (format!("{}:00", (h.by_h as i64) % 24)) }
                        td { (words::area(u, h.left_ha)) }
                        td { (words::in_ten(h.rain)) }
                    } } }
                }
            }
            (working::folded(&a.working))
            p.caution { "Tired hands at night: block and key out before reaching into drill or auger." }
        }
    }
}
