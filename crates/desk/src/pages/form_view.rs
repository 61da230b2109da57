//! How a form looks: every kind of entry by the same few inputs, each with what is wrong beside it.

use maud::{Markup, html};
use stook_book::Farm;
use stook_book::payload::UnitChoice;
use stook_book::validate::Problem;

use crate::forms::{Ask, Form, Input, Values};

/// Up to this many choices stand open as buttons; more fold into a list.
const OPEN_CHOICES: usize = 8;

/// What the inputs need to know.
#[derive(Clone, Copy)]
pub struct Around<'a> {
    /// Fields to choose from.
    pub farm: &'a Farm,
    /// Units asked in.
    pub units: &'a UnitChoice,
    /// What was typed or is known.
    pub values: &'a Values,
    /// What is wrong.
    pub problems: &'a [Problem],
}

impl Around<'_> {
    fn value(&self, key: &str) -> &str {
        self.values.get(key).map_or("", String::as_str)
    }

    /// Problems of an input; a nested name belongs to the input it starts with.
    fn wrong(&self, key: &str) -> Vec<&str> {
        self.problems.iter().filter(|p| belongs(&p.at, key)).map(|p| p.sentence.as_str()).collect()
    }
}

/// Whether a problem at `at` belongs to the input `key`.
fn belongs(at: &str, key: &str) -> bool {
    at == key
        || matches!((at, key), ("stage", "leaves") | ("id", "name") | ("soil", "soil.class"))
        || (key == "soil.layers" && at.starts_with("soil.layers"))
        || at.strip_prefix("layers.0.").is_some_and(|rest| rest == key || rest == "values" && key == "ph")
}

/// The inputs of a form; the one that its buttons answer is left to them.
pub fn inputs(form: &Form, a: Around<'_>) -> Markup {
    let all: Vec<&Input> = form.inputs.iter().filter(|i| i.key != ANSWERED).collect();
    let fold = crate::forms::fold(form.kind);
    let at = fold.and_then(|(from, _)| all.iter().position(|i| i.key == from)).unwrap_or(all.len());
    let (open, folded) = all.split_at(at);
    html! {
        @for i in open { (input(i, form.glove, a)) }
        @if let Some((_, words)) = fold {
            details open[folded.iter().any(|i| !a.wrong(i.key).is_empty())] {
                summary { (words) }
                @for i in folded { (input(i, form.glove, a)) }
            }
        }
    }
}

/// The input that two buttons answer in place of "write it down": GO and NO.
pub const ANSWERED: &str = "go";

/// What is wrong that belongs to no input of this form.
pub fn elsewhere(form: &Form, a: Around<'_>) -> Markup {
    let rest: Vec<&Problem> = a
        .problems
        .iter()
        .filter(|p| !["on", "at", "happened", "who"].contains(&p.at.as_str()))
        .filter(|p| p.at == ANSWERED || !form.inputs.iter().any(|i| belongs(&p.at, i.key)))
        .collect();
    html! { @for p in rest { p.wrong role="alert" { (p.sentence) } } }
}

/// One input with its label, hint and what is wrong.
pub fn input(i: &Input, glove: bool, a: Around<'_>) -> Markup {
    let id = i.key.replace('.', "-");
    let wrong = a.wrong(i.key);
    let hint_id = (!i.hint.is_empty()).then(|| format!("{id}-hint"));
    let wrong_id = (!wrong.is_empty()).then(|| format!("{id}-wrong"));
    let about: Vec<String> = hint_id.iter().chain(&wrong_id).cloned().collect();
    let about = (!about.is_empty()).then(|| about.join(" "));
    let bad = (!wrong.is_empty()).then_some("true");
    let value = a.value(i.key);
    let says_so = i.needed
        || matches!(i.ask, Ask::OfOr(..) | Ask::FieldOr(_) | Ask::BinOr(_) | Ask::ProductOr(_))
        || i.label.contains(" if ")
        || ["If ", "Or ", "and "].iter().any(|w| i.label.starts_with(w));
    let if_known = html! { @if !says_so { span.quiet { ", if known" } } };
    let notes = html! {
        @if let Some(h) = &hint_id { p.hint id=(h) { (i.hint) } }
        @if let Some(w) = &wrong_id { p.wrong id=(w) { (wrong.join(" ")) } }
    };
    let one = |control: Markup| {
        html! { div.field { label for=(id) { (i.label) (if_known) } (notes) (control) } }
    };
    let several = |choices: Vec<(String, String)>| {
        html! {
            fieldset aria-describedby=[about.clone()] {
                legend { (i.label) (if_known) }
                (notes)
                div.choices {
                    @for (n, (key, words)) in choices.iter().enumerate() {
                        label {
                            input id=[(n == 0).then_some(&id)] type="radio" name=(i.key) value=(key) checked[key == value] aria-invalid=[bad];
                            (words)
                        }
                    }
                }
            }
        }
    };
    let list = |choices: Vec<(String, String)>, none: Option<&str>| {
        one(html! {
            select id=(id) name=(i.key) aria-describedby=[about.clone()] aria-invalid=[bad] {
                @if let Some(none) = none { option value="" selected[value.is_empty()] { (none) } }
                @for (key, words) in &choices { option value=(key) selected[key == value] { (words) } }
                @if !value.is_empty() && !choices.iter().any(|(k, _)| k == value) { option value=(value) selected { (value) } }
            }
        })
    };
    let fields = || -> Vec<(String, String)> {
        let mut all: Vec<_> =
            a.farm.fields.values().map(|r| (r.field().id.to_string(), r.field().name.clone())).collect();
        all.sort_by(|x, y| x.1.cmp(&y.1));
        all
    };
    let bins = || -> Vec<(String, String)> {
        a.farm.bins.values().map(|b| (b.bin().id.to_string(), b.bin().name.clone())).collect()
    };
    let products = || -> Vec<(String, String)> {
        a.farm.spray_products.values().map(|p| (p.is.id.to_string(), p.is.name.clone())).collect()
    };
    match i.ask {
        Ask::Number { unit, step, .. } => {
            let unit = unit(a.units);
            one(html! {
                div.with-unit {
                    (step_button(&id, -step, i.label, glove))
                    // Text with a number keyboard: whatever was typed comes back, also when it is no number.
                    input id=(id) name=(i.key) value=(value) inputmode="decimal" autocomplete="off" aria-describedby=[about.clone()] aria-invalid=[bad];
                    (step_button(&id, step, i.label, glove))
                    @if !unit.is_empty() { span.unit { (unit) } }
                }
            })
        }
        Ask::Choice(of) => {
            let mut choices = of();
            if choices.len() <= OPEN_CHOICES {
                if !i.needed {
                    choices.push((String::new(), "not known".into()));
                }
                several(choices)
            } else {
                list(
                    choices,
                    if i.needed { (value.is_empty()).then_some("choose") } else { Some("not known") },
                )
            }
        }
        Ask::YesNo(yes, no) => several(vec![("true".into(), yes.into()), ("false".into(), no.into())]),
        Ask::Field => list(fields(), value.is_empty().then_some("choose")),
        Ask::FieldOr(none) => list(fields(), Some(none)),
        Ask::Bin => list(bins(), value.is_empty().then_some("choose")),
        Ask::BinOr(none) => list(bins(), Some(none)),
        Ask::ProductOr(none) => list(products(), Some(none)),
        Ask::Time => one(html! {
            input id=(id) type="time" name=(i.key) value=(value) aria-describedby=[about.clone()] aria-invalid=[bad];
        }),
        Ask::Of(of) => list(of(a.farm), value.is_empty().then_some("choose")),
        Ask::OfOr(of, none) => list(of(a.farm), Some(none)),
        Ask::Date => one(html! {
            input id=(id) type="date" name=(i.key) value=(value) aria-describedby=[about.clone()] aria-invalid=[bad];
        }),
        Ask::Text => one(html! {
            input id=(id) name=(i.key) value=(value) autocomplete="off" aria-describedby=[about.clone()] aria-invalid=[bad];
        }),
        Ask::LongText => one(html! {
            textarea id=(id) name=(i.key) aria-describedby=[about.clone()] aria-invalid=[bad] { (value) }
            @if i.key == "boundary" {
                input type="file" data-into=(id) aria-label="Choose a GeoJSON file for the boundary" accept=".json,.geojson" hidden;
            }
        }),
    }
}

/// Plus or minus; hidden until the script that moves it is there.
fn step_button(id: &str, step: f64, label: &str, glove: bool) -> Markup {
    let (sign, word) = if step < 0.0 { ("\u{2212}", "less") } else { ("+", "more") };
    html! {
        @if glove {
            button.step type="button" hidden data-for=(id) data-step=(step) aria-label={ (label) ": " (step.abs()) " " (word) } { (sign) }
        }
    }
}

/// When it happened and who says so: known, so folded away, unless something is wrong with it.
pub fn when_and_who(values: &Values, problems: &[Problem], words: &str) -> Markup {
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let wrong = |keys: &[&str]| -> Vec<&str> {
        problems.iter().filter(|p| keys.contains(&p.at.as_str())).map(|p| p.sentence.as_str()).collect()
    };
    let (time_wrong, who_wrong) = (wrong(&["on", "at", "happened"]), wrong(&["who"]));
    let bad = |w: &[&str]| (!w.is_empty()).then_some("true");
    html! {
        details.when-who open[!time_wrong.is_empty() || !who_wrong.is_empty()] {
            summary { (words) }
            div.field {
                label for="on" { "Day" }
                @for w in &time_wrong { p.wrong id="on-wrong" { (w) } }
                input id="on" type="date" name="on" value=(get("on")) aria-invalid=[bad(&time_wrong)];
            }
            div.field {
                label for="at" { "Time" }
                input id="at" type="time" name="at" value=(get("at"));
            }
            div.field {
                label for="who" { "Who says so" }
                @for w in &who_wrong { p.wrong id="who-wrong" { (w) } }
                input id="who" name="who" value=(get("who")) autocomplete="off" aria-invalid=[bad(&who_wrong)];
            }
        }
    }
}
