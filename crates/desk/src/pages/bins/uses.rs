//! Mill or feed, field by field, on the bin jobs page: what each field's wheat is worth at the mill by the buyer's terms,
//! against the trough, and how much the barn wants.

use maud::{Markup, html};
use stook_book::payload::{Buyer, Crop, ProteinPremium};
use stook_measure::{Range, figure};
use stook_season::harvest::blight::FieldDon;
use stook_season::params::SeasonParams;
use stook_yard::jobs::Expected;
use stook_yard::result::FieldResult;
use stook_yard::terms::protein_t;

use super::super::{Frame, field_name};
use super::words;
use crate::state::Known;

/// One field.
struct Use<'a> {
    expected: &'a Expected,
    don: Option<Range>,
    protein: Option<f64>,
    /// At the mill, money a tonne; none when it is not taken there.
    mill: Option<f64>,
}

/// What a tonne is worth at the mill; none when the buyer does not take it.
fn mill(
    base: f64,
    buyer: Option<&Buyer>,
    premium: Option<&ProteinPremium>,
    don: Option<f64>,
    protein: Option<f64>,
) -> Option<f64> {
    let off = match (buyer, don) {
        (Some(b), Some(ppm)) => b.don_off(ppm)?,
        _ => 0.0,
    };
    if protein.zip(buyer.and_then(|b| b.lowest_protein_pct)).is_some_and(|(p, least)| p < least) {
        return None;
    }
    Some(base - off + protein.zip(premium).map_or(0.0, |(p, x)| protein_t(x, p)))
}

/// The section; nothing when no wheat is to come.
pub fn section(
    frame: &Frame,
    known: &Known,
    expected: &[Expected],
    don: &[FieldDon],
    results: &[FieldResult],
) -> Markup {
    let prices = SeasonParams::new(&known.reference(), &known.farm, frame.day());
    let wheat = Crop::SpringWheat;
    let fits = |b: &&Buyer| b.crop == wheat;
    let buyer = known.farm.buyers.iter().rev().filter(|b| b.on() <= frame.day()).map(|b| &b.is).find(fits);
    let premium = known.farm.premiums.values().map(|p| &p.is).next();
    let base = buyer.and_then(|b| b.prices.first()).map_or(prices.wheat_per_t, |p| p.price_per_t);
    let feed = prices.feed_wheat_per_t;
    let mut all: Vec<Use<'_>> = expected
        .iter()
        .filter(|e| e.crop == wheat)
        .map(|e| {
            let don = don.iter().find(|d| d.field == e.field.as_str()).map(|d| d.ppm);
            let protein = results.iter().find(|r| r.field == e.field).and_then(|r| r.protein_pct);
            Use { expected: e, don, protein, mill: mill(base, buyer, premium, don.map(|d| d.p50), protein) }
        })
        .collect();
    if all.is_empty() {
        return html! {};
    }
    // The least lost by feeding it first.
    let loses = |u: &Use<'_>| u.mill.map_or(f64::NEG_INFINITY, |m| m - feed);
    all.sort_by(|a, b| loses(a).total_cmp(&loses(b)));
    let barn_kg = known.whole().ok().and_then(|w| {
        let h =
            w.hold.iter().find(|h| h.crop == wheat.words() || h.crop == wheat.key() || h.crop == "wheat")?;
        Some(1000.0 * (h.hold_t - h.have_t).max(0.0))
    });
    let alike = all.windows(2).all(|w| (loses(&w[0]) - loses(&w[1])).abs() < 0.5);
    let mut want = barn_kg.unwrap_or(0.0);
    let facts = stook_yard::CropFacts::of(&known.reference(), &wheat);
    let u = &frame.units;
    let money = |x: f64| format!("{}{}", u.money, figure(x, 0));
    let rows: Vec<(&Use<'_>, String)> = all
        .iter()
        .map(|x| {
            let said = if x.mill.is_none() {
                "feed, or find a buyer".to_string()
            } else if x.mill.is_some_and(|m| m < feed) {
                "feed: it is worth more there".to_string()
            } else if want > 1.0 && !alike {
                let take = want.min(x.expected.kg);
                want -= take;
                if take < x.expected.kg - 1.0 {
                    format!("{} of it to feed, the rest to mill", words::short(u, &facts, take))
                } else {
                    "feed".to_string()
                }
            } else {
                "mill".to_string()
            };
            (x, said)
        })
        .collect();
    html! {
        section { h2 { "Mill or feed, field by field" }
            p {
                @match barn_kg { Some(kg) if kg > 1.0 => { "The barn wants " b { (words::short(u, &facts, kg)) } " of wheat beyond what is in the bins. " } Some(_) => { "The barn has its wheat in the bins. " } None => {} }
                @if alike { "By what is known the fields are alike, so the nearest to the barn may feed it: probe the loads." } @else { "Feed from where the mill pays least over feed wheat." }
            }
            div.scroll tabindex="0" role="group" aria-label="Mill or feed" { table {
                thead { tr { th { "Field" } th.num { "DON likely, ppm" } th.num { "Protein so far" } th.num { "Mill over feed, a tonne" } th { "So" } } }
                tbody { @for (x, said) in &rows { tr {
                    td { (field_name(known, &x.expected.field)) }
                    td.num { @match x.don { Some(d) => { (figure(d.p50, 1)) @if d.p90 - d.p10 >= 0.1 { " (" (figure(d.p10, 1)) " to " (figure(d.p90, 1)) ")" } } None => { "not known" } } }
                    td.num { (x.protein.map_or_else(|| "no load tested".into(), words::pct)) }
                    td.num { @match x.mill { Some(m) => { (money(m - feed)) } None => { "not taken" } } }
                    td { (said) }
                } } }
            } }
            p.under { "At the mill: " @match buyer { Some(b) => { (b.name) "'s best grade with their steps for DON" } None => { "the price of wheat in the book; no buyer's terms are written, so DON takes nothing off" } } @if premium.is_some() { " and protein" } ". Feed: " (money(feed)) " a tonne. DON by head blight weather and spray is a judgement until the grain is tested; the plan over bins and months is under " a href="/barn/plan" { "Mill or trough" } "." }
        }
    }
}
