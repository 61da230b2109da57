//! The working of a number: ruled paper, line by line, with a double line over the sum.

use maud::{Markup, html};
use stook_measure::{Op, Working};

/// Closed until it is asked for.
pub fn folded(w: &Working) -> Markup {
    html! {
        details.working {
            summary { "How this was reckoned" }
            (open(w))
        }
    }
}

/// Closed, by its own name.
pub fn named(w: &Working) -> Markup {
    html! { details.working { summary { "How reckoned: " (w.title) } (open(w)) } }
}

/// Open.
pub fn open(w: &Working) -> Markup {
    html! {
        div.ruled {
            p.ruled-title { (w.title) }
            dl {
                @for t in &w.terms {
                    div class=[(t.op == Op::Note).then_some("is-note")] { dt { (t.label) } dd { (t.shown()) } }
                }
                @if let Some(sum) = &w.sum {
                    div.sum { dt { (sum.label) } dd { (sum.shown()) } }
                }
            }
        }
        div.under {
            @for n in &w.notes { p { (n) } }
            @if !w.would_change.is_empty() {
                p { "What would change it: " (w.would_change.join("; ")) "." }
            }
            @if !w.sources.is_empty() {
                p { "From:" }
                ul { @for s in &w.sources { li { (s) } } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_stand_in_order_over_a_sum() {
        let w = Working::new("Waiting a day")
            .line(Op::Note, "Field", 158.0, "ac", 0)
            .line(Op::Plus, "Yield lost", 616.0, "", 0)
            .line(Op::Minus, "Harrowing saved", 256.0, "", 0)
            .sum("Mean", 360.0, "", 0)
            .source("provincial records <published>");
        assert!(w.adds_up(0.5));
        let text = open(&w).into_string();
        assert_eq!(
            text,
            "<div class=\"ruled\"><p class=\"ruled-title\">Waiting a day</p><dl>\
             <div class=\"is-note\"><dt>Field</dt><dd>158 ac</dd></div>\
             <div><dt>Yield lost</dt><dd>+ 616</dd></div>\
             <div><dt>Harrowing saved</dt><dd>- 256</dd></div>\
             <div class=\"sum\"><dt>Mean</dt><dd>360</dd></div></dl></div>\
             <div class=\"under\"><p>From:</p><ul><li>provincial records &lt;published&gt;</li></ul></div>"
        );
    }
}
