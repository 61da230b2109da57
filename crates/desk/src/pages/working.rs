//! A working on ruled paper.

use maud::{Markup, html};
use stook_measure::Working;

/// One working, opened by a touch.
pub fn show(w: &Working, summary: &str) -> Markup {
    html! { details.working { summary { (summary) } (sheet(w)) } }
}

/// The sheet itself.
pub fn sheet(w: &Working) -> Markup {
    html! {
        @if !w.terms.is_empty() {
            div.ruled {
                dl {
                    @for t in &w.terms { div { dt { (t.label) } dd { (t.shown()) } } }
                    @if let Some(s) = &w.sum { div.sum { dt { (s.label) } dd { (s.shown()) } } }
                }
            }
        }
        div.under {
            @for n in &w.notes { p { (n) } }
            @for s in w.sources.iter().filter(|s| !s.is_empty()) { p { "Source: " (s) } }
            @if !w.would_change.is_empty() { p { "Would change it: " (w.would_change.join("; ")) "." } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_measure::Op;

    #[test]
    fn the_sum_stands_under_its_lines() {
        let w = Working::new("Cost")
            .line(Op::Start, "Late", 600.0, "", 0)
            .line(Op::Plus, "Frost", 30.0, "", 0)
            .sum("Waiting", 630.0, "", 0)
            .source("published");
        let text = sheet(&w).into_string();
        let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what} is not in {text}"));
        assert!(at("Late") < at("+ 30"));
        assert!(at("+ 30") < at("class=\"sum\""));
        assert!(at("class=\"sum\"") < at("Source: published"));
    }
}
