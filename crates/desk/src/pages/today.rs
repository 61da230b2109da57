//! Today: what is worth doing, and what a day's wait costs.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_season::Today;
use stook_season::answer::{FieldOutlook, Job, OrderOfWork};
use stook_season::spraying::intervals::{self, IntervalKind, OpenInterval};
use stook_season::words;

use super::air::Tonight;
use super::{Frame, Place, Reply, Trouble, capital, decision, page, send, working};
use crate::draw::strip;
use crate::draw::waiting_line::Scale;
use crate::server::beside;
use crate::state::Desk;

/// `/`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let today = known.today()?;
        let frame = Frame::of(&desk, &known);
        let running = intervals::open(&known.farm, frame.now);
        let bins = super::air::tonight(&desk, &known);
        Ok(send(view(&frame, &today, &running, &bins)))
    })
    .await?
}

/// The page.
pub fn view(frame: &Frame, t: &Today, running: &[OpenInterval], bins: &Tonight) -> Markup {
    let scale = Scale::over(t.open.iter().filter_map(|d| d.waiting.as_ref()).map(|w| &w.money));
    let first_says_it = t.open.first().is_some_and(|d| d.what == t.headline);
    let body = html! {
        @if let (true, Some(bin)) = (t.open.is_empty(), &bins.first) {
            // A field that asks nothing must not stand over a bin that does.
            h1.lede { (decision::unbroken(bin)) }
            p { (t.headline) }
        } @else if !first_says_it { h1.lede { (decision::unbroken(&t.headline)) } }
        div.cols {
            section aria-label="Worth doing today" {
                @for (i, d) in t.open.iter().enumerate() {
                    (decision::draw(d, scale, frame.now, if i == 0 && first_says_it { 1 } else { 2 }))
                }
                (looks(t))
                (bins.section)
                @if let Some(o) = &t.order { (order(o)) }
                (coming(t))
                (held_up(running, frame.day()))
            }
            section aria-label="Write down, and the year" {
                (write_down(t))
                @if !t.fields.is_empty() {
                    h2 { "Stubble to stubble" }
                    @for f in &t.fields { (year(f, frame)) }
                    p.key { (strip::key()) }
                }
                (basis(t))
            }
        }
    };
    page(frame, Place::Today, "Today", &body)
}

/// The entries made most often, where the thumb is.
fn write_down(t: &Today) -> Markup {
    let harvest = t.open.iter().any(|d| d.job == Job::Cut);
    html! {
        @if harvest { p { a href="/harvest" { "Harvest" } " · " a href="/harvest/haul" { "hauling" } " · " a href="/harvest/sheets" { "who does what" } " · " a href="/bins/jobs" { "a job for every bin" } } }
        h2 { "Write it down" }
        div.act.glove.quick {
            @if harvest { a.btn href="/load" { "Load" } a.btn href="/enter/kernel_moisture" { "Moisture" } }
            a.btn href="/enter/rain" { "Rain" }
            a.btn href="/enter/stage_seen" { "Stage seen" }
            a.btn href="/enter" { "More" }
        }
    }
}

fn year(f: &FieldOutlook, frame: &Frame) -> Markup {
    html! {
        div.year {
            p { a href={ "/field/" (f.field) } { b { (f.name) } } " " span.quiet { (f.stage) } }
            (strip::draw(f, frame.day()))
        }
    }
}

/// The order for the busiest machine.
pub fn order(o: &OrderOfWork) -> Markup {
    html! {
        section.order {
            h2 { "Order for the " (o.machine) }
            ol {
                @for s in &o.stops {
                    li { a href={ "/field/" (s.field) } { (s.name) } span.quiet { ", about " (words::day(s.expected.middle)) ", " (stook_measure::figure(s.hours, 0)) " h" } }
                }
            }
            p { (capital(&o.words)) }
            (working::folded(&o.working))
            p { @if o.job == Job::Cut { a href="/harvest" { "The harvest: order, hours, room, hauling" } " · " } a href="/plan" { "The plan for each machine" } }
        }
    }
}

/// What to go and look at.
fn looks(t: &Today) -> Markup {
    if t.looks.is_empty() {
        return html! {};
    }
    html! {
        section aria-label="Look at" {
            h2 { "Look at" }
            @for l in &t.looks {
                p { a href={ "/field/" (l.field) } { b { (l.what) } } }
                p.why { (l.why) }
            }
        }
    }
}

fn coming(t: &Today) -> Markup {
    if t.coming.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "Coming" }
            ul.plain { @for c in &t.coming { li { a href={ "/field/" (c.field) } { (c.words) } } } }
        }
    }
}

/// Fields nobody may enter, and cuts that a spray holds up within the month.
fn held_up(running: &[OpenInterval], day: jiff::civil::Date) -> Markup {
    const SOON_DAYS: i32 = 45;
    let told =
        |i: &&OpenInterval| i.kind == IntervalKind::ReEntry || (i.until.date() - day).get_days() <= SOON_DAYS;
    let told: Vec<&OpenInterval> = running.iter().filter(told).collect();
    html! {
        @if !told.is_empty() {
            section {
                h2 { "Held up by sprays" }
                ul.plain { @for i in told { li { a href={ "/field/" (i.field) } { (i.words) } } } }
                p { a href="/spray" { "Hours fit to spray, tank mix, record and calendar" } }
            }
        }
    }
}

/// Where the weather comes from, what was taken in place of facts, what looks odd.
fn basis(t: &Today) -> Markup {
    html! {
        h2 { "What this rests on" }
        p { (t.weather.words) }
        @if t.weather.observed_to.is_none() {
            p.note { "There is no weather on file. " a href="/setup/weather" { "Bring in a station's file" } ", and the ranges narrow." }
        }
        @if !t.assumed.is_empty() {
            h3 { "Taken as" }
            ul { @for a in &t.assumed { li { (a) } } }
        }
        @if !t.warnings.is_empty() {
            h3 { "Look at" }
            ul { @for w in &t.warnings { li { (capital(w)) } } }
            p { a href="/setup/weather" { "The weather on file" } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_book::payload::UnitChoice;
    use stook_measure::{Op, Range, Spread, Working};
    use stook_season::answer::{Advice, Decision, Fit, Waiting, WeatherBasis};

    fn frame() -> Frame {
        Frame {
            farm: "Alder Bend".into(),
            now: date(2026, 5, 5).at(5, 30, 0, 0),
            chosen_day: false,
            units: UnitChoice::default(),
        }
    }

    fn decision() -> Decision {
        Decision {
            key: "seed/slough-quarter/2026".into(),
            field: "slough-quarter".into(),
            place: "Slough Quarter, 158 ac, spring wheat".into(),
            job: Job::Seed,
            what: "Drill Slough Quarter from 13:00.".into(),
            why: "Top 3 inches 0.93 of field capacity.".into(),
            change: "Rain of 5 mm.".into(),
            moved: Some("the gauge said 4 mm.".into()),
            fit: Fit {
                chance: 0.8,
                hours: Range { p10: 0.0, p50: 6.0, p90: 9.0 },
                figure: 0.93,
                limit: 0.95,
                limit_is_own: true,
            },
            waiting: Some(Waiting {
                money: Spread {
                    range: Range { p10: 0.0, p50: 600.0, p90: 1300.0 },
                    mean: 730.0,
                    standard_error: 30.0,
                    count: 300,
                },
                per_hour: 80.0,
                clear: true,
                words: "costs about $730 ($0 to $1,300)".into(),
                working: Working::new("One day later")
                    .line(Op::Plus, "Yield lost", 730.0, "", 0)
                    .sum("Waiting", 730.0, "", 0),
            }),
            spray: None,
            machine_hours: 9.0,
            next_chance_days: None,
            closes: None,
            blocked: None,
            caution: Some("Treated seed never goes into feed.".into()),
            advice: Advice::Now,
            answered: None,
        }
    }

    fn today(d: Decision) -> Today {
        Today {
            farm: "Alder Bend".into(),
            as_of: date(2026, 5, 5),
            headline: d.what.clone(),
            open: vec![d],
            coming: vec![],
            looks: vec![],
            fields: vec![],
            order: None,
            weather: WeatherBasis {
                observed_to: Some(date(2026, 5, 4)),
                forecast_days: 7,
                past_years: 30,
                generated: 270,
                words: "Weather is known to yesterday.".into(),
            },
            assumed: vec![],
            warnings: vec![],
        }
    }

    fn bins(first: Option<&str>) -> Tonight {
        Tonight { first: first.map(str::to_string), section: html! {} }
    }

    #[test]
    fn a_bin_that_presses_leads_only_where_no_field_does() {
        let bin = bins(Some("Bin 9: fan ON now."));
        let text = view(&frame(), &today(decision()), &[], &bin).into_string();
        assert!(!text.contains("Bin 9"));
        let idle =
            Today { open: vec![], headline: "Nothing to do in the wheat today.".into(), ..today(decision()) };
        let text = view(&frame(), &idle, &[], &bin).into_string();
        assert!(text.find("Bin 9: fan").unwrap() < text.find("Nothing to do in the wheat").unwrap());
    }

    #[test]
    fn the_answer_is_the_headline_and_stands_once() {
        let text = view(&frame(), &today(decision()), &[], &bins(None)).into_string();
        assert_eq!(text.matches("<h1").count(), 1);
        assert!(text.contains("<h1 class=\"lede\">Drill Slough Quarter from 13:00.</h1>"), "{text}");
        assert!(text.contains("Waiting a day <span class=\"money\">costs about $730 ($0 to $1,300)</span>."));
        assert!(text.contains("<b>Since yesterday: </b>the gauge said 4 mm."));
        assert!(text.contains("class=\"caution\""));
        assert!(!text.contains("style="), "the policy forbids inline styles");
    }

    #[test]
    fn a_blocked_decision_cannot_be_answered_with_go() {
        let mut d = decision();
        d.blocked = Some("Inside the pre-harvest interval until 23 Aug.".into());
        let text = view(&frame(), &today(d), &[], &bins(None)).into_string();
        assert!(text.contains("class=\"blocked\"") && !text.contains("go_no_go"), "{text}");
    }
}
