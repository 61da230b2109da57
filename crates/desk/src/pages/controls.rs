//! An entry form on a page: one renderer for every form in [`crate::forms`].

use jiff::civil::DateTime;
use maud::{Markup, html};
use stook_book::validate::Problem;
use uuid::Uuid;

use crate::forms::{Ask, Form, Input, Values};
use crate::state::Known;

/// The form with what is known filled in, each problem beside its input, and nothing typed lost.
pub fn form_page(form: &Form, known: &Known, now: DateTime, values: &Values, problems: &[Problem]) -> Markup {
    let of = |key: &str| values.get(key).map_or("", String::as_str);
    let belongs =
        |p: &Problem, key: &str| p.at == key || p.at.split('.').next_back() == key.split('.').next_back();
    let at = |key: &str| problems.iter().find(|p| belongs(p, key));
    let loose =
        problems.iter().filter(|p| p.at != "happened" && !form.inputs.iter().any(|i| belongs(p, i.key)));
    let or = |text: &str, other: String| if text.is_empty() { other } else { text.to_string() };
    let id = or(of("entry_id"), Uuid::now_v7().to_string());
    let replaces = or(of("correct"), of("replaces").to_string());
    let happened = or(of("happened"), now.strftime("%Y-%m-%dT%H:%M").to_string());
    let when = html! {
        input id="in-happened" name="happened" type="datetime-local" value=(happened) aria-invalid=[at("happened").map(|_| "true")];
    };
    html! {
        h1 { (form.title) @if !replaces.is_empty() { ": correct it" } }
        @if !problems.is_empty() {
            p.wrong role="alert" { (problems.len()) @if problems.len() == 1 { " thing is" } @else { " things are" } " not right yet. What you typed is still here." }
        }
        @for p in loose { p.wrong { (p.sentence) } }
        form class=(if form.glove { "glove" } else { "table" }) method="post" action={ "/enter/" (form.kind) } novalidate {
            input type="hidden" name="entry_id" value=(id);
            @if !replaces.is_empty() { input type="hidden" name="replaces" value=(replaces); }
            @for hidden in ["id", "then"] { @if !of(hidden).is_empty() { input type="hidden" name=(hidden) value=(of(hidden)); } }
            @for input in form.inputs { (ask(input, known, values, at(input.key))) }
            (one("happened", "When", "", at("happened"), &when))
            div.act { button.yes { "Write it down" } a.btn href="/" { "Leave it" } }
        }
    }
}

fn one(key: &str, label: &str, hint: &str, wrong: Option<&Problem>, control: &Markup) -> Markup {
    html! {
        div.field {
            label for={ "in-" (key) } { (label) }
            @if !hint.is_empty() { p.hint { (hint) } }
            @if let Some(p) = wrong { p.wrong { (p.sentence) } }
            (control)
        }
    }
}

fn group(input: &Input, wrong: Option<&Problem>, options: &[(String, String)], chosen: &str) -> Markup {
    html! {
        fieldset {
            legend { (label(input)) }
            @if !input.hint.is_empty() { p.hint { (input.hint) } }
            @if let Some(p) = wrong { p.wrong { (p.sentence) } }
            div.choices {
                @for (k, w) in options { label { input type="radio" name=(input.key) value=(k) checked[k == chosen]; (w) } }
            }
        }
    }
}

fn select(key: &str, options: &[(String, String)], chosen: &str, wrong: bool) -> Markup {
    html! {
        select id={ "in-" (key) } name=(key) aria-invalid=[wrong.then_some("true")] {
            @for (k, w) in options { option value=(k) selected[k == chosen] { (w) } }
        }
    }
}

fn label(input: &Input) -> String {
    let plain = input.needed || matches!(input.ask, Ask::FieldOr(_)) || input.label.contains(" if ");
    if plain { input.label.to_string() } else { format!("{} (if known)", input.label) }
}

fn ask(input: &Input, known: &Known, values: &Values, wrong: Option<&Problem>) -> Markup {
    let key = input.key;
    let text = values.get(key).map_or(input.first, String::as_str);
    let id = format!("in-{key}");
    let invalid = wrong.map(|_| "true");
    let line = |control: &Markup| one(key, &label(input), input.hint, wrong, control);
    let fields = || -> Vec<(String, String)> {
        known.farm.fields.values().map(|r| (r.field().id.to_string(), r.field().name.clone())).collect()
    };
    match input.ask {
        Ask::Number { unit, step, .. } => {
            let unit = unit(&known.farm.units());
            line(&html! {
                div.with-unit {
                    button type="button" hidden data-step={ "-" (step) } data-for=(id) aria-label={ "less: " (input.label) } { "-" }
                    input id=(id) name=(key) type="text" inputmode="decimal" autocomplete="off" value=(text) aria-invalid=[invalid];
                    button type="button" hidden data-step=(step) data-for=(id) aria-label={ "more: " (input.label) } { "+" }
                    @if !unit.is_empty() { span { (unit) } }
                }
            })
        }
        Ask::Choice(of) => {
            let mut options = of();
            if options.len() <= 8 {
                return group(input, wrong, &options, text);
            }
            if !input.needed || text.is_empty() {
                options.insert(0, (String::new(), "not known".into()));
            }
            line(&select(key, &options, text, wrong.is_some()))
        }
        Ask::YesNo(yes, no) => {
            group(input, wrong, &[("true".into(), yes.into()), ("false".into(), no.into())], text)
        }
        Ask::Field => {
            // The last field written about is the likeliest.
            let last = known.entries.iter().rev().find_map(|e| e.field().map(ToString::to_string));
            let chosen = if text.is_empty() { last.unwrap_or_default() } else { text.to_string() };
            line(&select(key, &fields(), &chosen, wrong.is_some()))
        }
        Ask::FieldOr(none) => {
            let mut options = fields();
            options.insert(0, (String::new(), none.into()));
            line(&select(key, &options, text, wrong.is_some()))
        }
        Ask::Text => {
            line(&html! { input id=(id) name=(key) type="text" value=(text) aria-invalid=[invalid]; })
        }
        Ask::Date => {
            line(&html! { input id=(id) name=(key) type="date" value=(text) aria-invalid=[invalid]; })
        }
        Ask::LongText => line(&html! {
            textarea id=(id) name=(key) aria-invalid=[invalid] { (text) }
            @if key == "boundary" { input type="file" hidden data-into=(id) aria-label="Choose a boundary file"; }
        }),
    }
}
