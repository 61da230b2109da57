//! Straw: chop or bale, field by field.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_measure::{figure, units};
use stook_season::harvest::spread::SpreadAnswer;
use stook_season::harvest::straw::{StrawAnswer, StrawAsked};
use stook_season::words;

use super::super::{Frame, Place, Reply, page, send, working};
use super::across;
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

/// What can be asked: key, label, most.
const ASKED: [(&str, &str, f64); 4] = [
    ("bale_price", "A bale sold from the yard", 1_000.0),
    ("pigs", "Pigs finished on straw this winter", 100_000.0),
    ("goats", "Goats to bed", 10_000.0),
    ("stacked", "Bales in the stack already", 100_000.0),
];

/// `/harvest/straw`
pub async fn show(State(desk): State<Arc<Desk>>, Query(values): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let (asked, wrong) = read(&values);
        let answer = stook_season::harvest::straw(&known.question(), asked)?;
        let frame = Frame::of(&desk, &known);
        let (spread_m, spread_wrong) = spread_asked(&frame, &values);
        let spread = stook_season::harvest::spread::spread(&known.question(), spread_m)?;
        let section = spread_view(&frame, &spread, &values, spread_wrong.as_deref());
        Ok(send(view(&frame, &answer, &values, &wrong, &section)))
    })
    .await?
}

/// Reads what was asked; what cannot be read is said beside its input and left out.
fn read(values: &Values) -> (StrawAsked, Vec<(&'static str, String)>) {
    let mut wrong = Vec::new();
    let mut get = |i: usize| {
        let (key, label, most) = ASKED[i];
        let text = values.get(key).map_or("", |t| t.trim());
        if text.is_empty() {
            return None;
        }
        match text.replace(',', ".").parse::<f64>() {
            Ok(x) if (0.0..=most).contains(&x) => Some(x),
            _ => {
                wrong.push((
                    key,
                    format!(
                        "\"{text}\" cannot be used for {}; give a figure from 0 to {}.",
                        label.to_lowercase(),
                        figure(most, 0)
                    ),
                ));
                None
            }
        }
    };
    let asked = StrawAsked {
        bale_price: get(0),
        pigs: get(1).unwrap_or(0.0),
        goats: get(2).unwrap_or(0.0),
        stacked: get(3).unwrap_or(0.0),
    };
    (asked, wrong)
}

/// The width measured, in the farm's unit of length.
fn spread_asked(frame: &Frame, values: &Values) -> (Option<f64>, Option<String>) {
    let text = values.get("spread").map_or("", |t| t.trim());
    if text.is_empty() {
        return (None, None);
    }
    let feet = frame.units.length.key() == "feet";
    let metres = text.replace(',', ".").parse::<f64>().ok().map(|x| if feet { units::ft_to_m(x) } else { x });
    match metres.filter(|m| (0.5..=30.0).contains(m)) {
        Some(m) => (Some(m), None),
        None => (
            None,
            Some(format!(
                "\"{text}\" is no width straw falls on; measure it in {}.",
                frame.units.length.words()
            )),
        ),
    }
}

/// Is it spread to the full cut?
fn spread_view(frame: &Frame, a: &SpreadAnswer, values: &Values, wrong: Option<&str>) -> Markup {
    let u = &frame.units;
    html! {
        section id="straw-spread" {
            h2 { "Spread to the full cut?" }
            p.big { b { (a.headline) } }
            p.why { (a.why) }
            form.filter method="get" action="/harvest/straw#straw-spread" {
                div.field {
                    label for="spread" { "Width the straw falls on" }
                    @if let Some(w) = wrong { p.wrong id="spread-wrong" { (w) } }
                    div.with-unit {
                        input id="spread" name="spread" inputmode="decimal" autocomplete="off" value=(values.get("spread").map_or("", String::as_str)) aria-invalid=[wrong.map(|_| "true")] aria-describedby=[wrong.map(|_| "spread-wrong")];
                        span.unit { (u.length.words()) }
                    }
                }
                div.act { button type="submit" { "Reckon" } }
            }
            @if a.thick.is_some() {
                ul { @for (name, kg_ha, cut) in &a.fields { li { (name) ": " (figure(kg_ha / 1000.0 * units::HA_PER_ACRE, 1)) " t an acre where it lies" @if !cut { ", not yet cut" } } } }
            }
            @if !a.afternoons.is_empty() {
                p { "Dry and warm enough to harrow: " @for (i, (day, share)) in a.afternoons.iter().take(5).enumerate() { @if i > 0 { ", " } (words::day(*day)) " (" (words::in_ten(*share)) ")" } "." }
            }
            @if let Some(w) = &a.working { (working::folded(w)) }
            p.under { "Walk behind the machine only when it stands and is shut off." }
        }
    }
}

fn view(
    frame: &Frame,
    a: &StrawAnswer,
    values: &Values,
    wrong: &[(&str, String)],
    spread: &Markup,
) -> Markup {
    let u = &frame.units;
    let body = html! {
        (across("/harvest/straw"))
        div {
            h1.lede { (a.headline) }
            p.why { (a.why) }
        }
        div.cols {
            section aria-label="By field" {
                @for f in &a.fields {
                    article.todo {
                        h2 { a href={ "/field/" (f.field) } { (f.name) } }
                        p.why {
                            (figure(f.bales, 0)) " bales, " (figure(f.selling.bales_ha * units::HA_PER_ACRE, 1)) " an acre; "
                            "selling them " @if f.selling.gain() >= 0.0 { "gains " (words::cash(u, f.selling.gain() * units::HA_PER_ACRE)) } @else { "loses " (words::cash(u, -f.selling.gain() * units::HA_PER_ACRE)) } " an acre against chopping."
                            @if f.cut { " " (words::rain(u, f.rain_mm)) " of rain since it was cut." } @else { " Still standing: by its outlook." }
                            @if f.for_bedding > 0.0 { " " b { (figure(f.for_bedding, 0)) " for bedding." } }
                        }
                        (working::folded(&f.working))
                    }
                }
            }
            section aria-label="What you know" {
                h2 { "What you know" }
                form method="get" action="/harvest/straw" {
                    @for (key, label, _) in ASKED {
                        @let said = wrong.iter().find(|(k, _)| *k == key);
                        div.field {
                            label for=(key) { (label) }
                            @if let Some((_, w)) = said { p.wrong id={ (key) "-wrong" } { (w) } }
                            input id=(key) name=(key) inputmode="decimal" autocomplete="off" value=(values.get(key).map_or("", String::as_str)) aria-invalid=[said.map(|_| "true")] aria-describedby=[said.map(|_| format!("{key}-wrong"))];
                        }
                    }
                    div.act { button.yes type="submit" { "Reckon" } }
                }
                p.key { "A bale is " (figure(units::kg_to_lb(a.bale_kg), 0)) " lb. Sold " (u.money) (figure(a.prices.0, 0)) ", bought in " (u.money) (figure(a.prices.1, 0)) ", baling and stacking " (u.money) (figure(a.prices.2, 0)) ": ours until you give yours. Change the rest as your own numbers, harvest.straw." }
                p { a href="/enter/straw_baled" { "Write down what was baled" } ": it goes onto the field's nutrient balance." }
                p.caution { "Baler fires start in dust and bearings; shut down and pocket the key before clearing a plug." }
            }
        }
        (spread)
    };
    page(frame, Place::Fields, "Straw", &body)
}
