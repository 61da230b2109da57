//! Nitrogen: what pays best, the budget beside it, and more on the growing crop.

use maud::{Markup, html};
use stook_book::payload::{AreaUnit, UnitChoice};
use stook_inputs::nitrogen::{Nitrogen, Pays};
use stook_inputs::report::FieldReport;
use stook_inputs::top_up::TopUp;
use stook_measure::{figure, units};
use stook_season::words;

use super::super::{money_area, rate, rate_words};
use crate::draw::profit;
use crate::pages::{capital, working};

pub(super) fn nitrogen(r: &FieldReport, n: &Nitrogen, u: &UnitChoice) -> Markup {
    html! {
        h2 { "Nitrogen" }
        @match &n.pays {
            Ok(p) => (pays(r, p, u)),
            Err(e) => p.caution { (e) },
        }
        @match &n.budget {
            Ok(b) => {
                p { "By budget: " b { (rate_words(u, b.fertilizer_kg_ha)) } @if let Some(t) = r.target_kg_ha { " for " (yield_words(u, t)) } "."
                    @if b.surplus_kg_ha > 0.0 { " The soil holds " (rate_words(u, b.surplus_kg_ha)) " more than the crop needs: nothing to put on." }
                    @if b.outside_range { " That yield is outside 30 to 70 bu/ac, where the need a bushel was measured." }
                }
                @if let Some(w) = &n.budget_working { (working::folded(w)) }
            }
            Err(e) => p.caution { (capital(e)) "." },
        }
    }
}

fn yield_words(u: &UnitChoice, kg_ha: f64) -> String {
    format!("{} {}", figure(words::wheat_yield(u, kg_ha), words::yield_decimals(u)), u.grain_yield.words())
}

fn pays(r: &FieldReport, p: &Pays, u: &UnitChoice) -> Markup {
    let per_area = |x: f64| if u.area == AreaUnit::Acres { x * units::HA_PER_ACRE } else { x };
    let area_word = if u.area == AreaUnit::Acres { "an acre" } else { "a hectare" };
    let off = rate(u, p.off_by_kg_ha);
    html! {
        p.big { @if p.does_not_pay { "The first pound does not pay: put none on." } @else { "Pays best: " b { (rate_words(u, p.n_kg_ha)) } ", for about " (yield_words(u, p.yield_kg_ha)) "." } }
        p { "Flat top: anything from " (figure(rate(u, p.flat_top_kg_ha.0), 0)) " to " (rate_words(u, p.flat_top_kg_ha.1)) " is within a dollar an acre of it. "
            "Being " (figure(off, 0)) " too low costs " (money_area(u, p.off_below_ha)) ", " (figure(off, 0)) " too high " (money_area(u, p.off_above_ha)) "." }
        @if let Some(c) = r.ceiling_kg_ha { p { "Water would let it make " (words::wheat_yield_range(u, c)) ". Nitrate in the soil " (rate_words(u, r.nitrate_taken.0)) ", " (r.nitrate_taken.1) "." } }
        (profit::draw(p, &|x| rate(u, x), u.rate.words(), &per_area, &format!("{} {area_word}", if u.money.is_empty() { "money" } else { &u.money })))
        @if let Some(w) = &p.with_premium {
            p { "With the protein premium: " b { (rate_words(u, w.n_kg_ha)) } ", protein about " (figure(w.protein_pct, 1)) " % against " (figure(p.protein_pct, 1)) ", worth " (money_area(u, w.gain_ha)) " more." }
        } @else {
            p.quiet { "Protein at that rate about " (figure(p.protein_pct, 1)) " %. " a href="/enter/protein_premium" { "Enter a buyer's premium" } " to see what it does to the rate." }
        }
        details { summary { "Three ways of thinking about a dry year" }
            table { thead { tr { th scope="col" { "If" } th.num scope="col" { "pays best" } } }
                tbody { @for (w, x) in &p.by_follow { tr { td { (w) } td.num { (rate_words(u, *x)) } } } } }
            p.quiet { "North Dakota found that the best rate hardly follows the yield; the older tables say it does. Choose below." }
        }
        (working::folded(&p.working))
    }
}

/// More nitrogen on the growing crop.
pub(super) fn top_up(t: &TopUp, u: &UnitChoice) -> Markup {
    html! {
        h2 { "More on the growing crop?" }
        p.big { @if rate(u, t.pays_kg_ha) < 5.0 { "No: " b { (rate_words(u, t.there_kg_ha)) } " is there." } @else { "A top-up of " b { (rate_words(u, t.pays_kg_ha)) } " would bring " (money_area(u, t.gain_ha)) " less the pass." } }
        @if let Some(s) = t.spray_ha { p { "A late spray for protein: " b { (money_area(u, s)) } " at your premium, less the pass." } }
        @for s in &t.said { p { (s) } }
    }
}
