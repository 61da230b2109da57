//! A field's sheet: what the laboratory said, what the field wants and what that is worth, and the plan to accept.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use stook_book::FieldId;
use stook_book::payload::{AreaUnit, FertilizerPlacement, UnitChoice};
use stook_fertility::nitrogen::{Credit, Need};
use stook_inputs::nitrogen::{FOLLOWS, Nitrogen, Pays};
use stook_inputs::nutrients::Row;
use stook_inputs::report::{Choices, FieldReport, field_report, year_decided_on};
use stook_inputs::top_up::TopUp;
use stook_measure::{Reference, figure, units};
use stook_season::words;

use super::{money_area, rate, rate_words};
use crate::draw::profit;
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, Trouble, capital, long_day, page, send, working};
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/field/{id}/soil`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let r = report(&known, &frame, &id, &asked)?;
        Ok(send(view(&frame, &r, &asked, &[])))
    })
    .await?
}

/// The sheet of a field with what was chosen in the address or the form.
pub fn report(known: &Known, frame: &Frame, id: &str, asked: &Values) -> Result<FieldReport, Trouble> {
    let id = FieldId(id.to_string());
    let year = asked.get("year").and_then(|y| y.parse().ok()).unwrap_or_else(|| year_decided_on(frame.day()));
    let ceilings = known.ceilings(year)?;
    let choices = choices(asked, &frame.units);
    field_report(&known.farm, &Reference::shipped(), &ceilings, &id, frame.day(), year, &choices)
        .ok_or_else(|| Trouble::missing("There is no field of that name in the book."))
}

fn choices(asked: &Values, u: &UnitChoice) -> Choices {
    let get = |k: &str| asked.get(k).map(|v| v.trim()).filter(|v| !v.is_empty());
    let number = |k: &str| {
        get(k).and_then(|v| v.replace(',', ".").parse::<f64>().ok()).filter(|x| x.is_finite() && *x >= 0.0)
    };
    let usual = Choices::default();
    Choices {
        need: get("need").filter(|k| Need::of(k).is_some()).map_or(usual.need, str::to_string),
        follow: get("follow")
            .and_then(|k| FOLLOWS.iter().find(|(_, key, _)| *key == k))
            .map_or(usual.follow, |(f, ..)| *f),
        target_kg_ha: number("target").map(|x| yield_si(u, x)).filter(|y| *y > 100.0),
        credit: get("credit").filter(|k| Credit::of(k).is_some()).map(str::to_string),
        manure_n_kg_ha: number("manure").map_or(0.0, |x| super::to_kg_ha(u, x).min(300.0)),
        philosophy: get("philosophy").unwrap_or("sufficiency").to_string(),
    }
}

/// A wheat yield in the farm's unit, as kg/ha.
fn yield_si(u: &UnitChoice, x: f64) -> f64 {
    let one = words::wheat_yield(u, 1.0);
    x / one
}

/// The whole page; `refused` when the plan that was sent could not be accepted.
pub fn view(frame: &Frame, r: &FieldReport, asked: &Values, refused: &[String]) -> Markup {
    let u = &frame.units;
    let crop = r.crop.as_deref().unwrap_or("no crop written");
    let body = html! {
        div {
            p { a href={ "/field/" (r.field) } { (r.name) } }
            h1 { (headline(r, u)) }
            p.why { (words::area(u, r.area_ha)) ", " (crop) " in " (r.crop_year) @if let Some(b) = &r.crop_before { ", after " (b) } "." }
        }
        @if !refused.is_empty() {
            div.caution role="alert" {
                p { b { "Not accepted: the seed would not bear it." } }
                @for s in refused { p { (s) } }
            }
        }
        div.cols {
            section aria-label="Nitrogen" {
                @if let Some(t) = &r.top_up { (top_up(t, u)) }
                @if let Some(n) = &r.nitrogen { (nitrogen(r, n, u)) }
                @else { h2 { "Nitrogen" } p { "Stook has no response curve for " (crop) "." } }
                (choose(r, asked, u))
            }
            section aria-label="Plan" {
                (accept_form(r, asked, u))
                @if let Some(p) = &r.plan { p.note { "In the book for " (r.crop_year) ": " (crate::pages::told_inputs::four(u, &crate::pages::told_inputs::plan_rates(p))) ", " (p.placement.words()) ". Accepting again replaces it." } }
            }
        }
        section { h2 { "Phosphate, potash, sulphur and the rest" } (others(r, u)) }
        section { h2 { "What the laboratory said" } (soil(r, u)) }
        section { h2 { "What went on and what came off" } (balance(r, u)) }
        @if !r.assumed.is_empty() { section { h2 { "What stands in for what is not known" } ul { @for a in &r.assumed { li { (a) } } } } }
        p.quiet { "Good to about 30 lb/ac either way. The local guide, your own strips and your agronomist know this land better." }
    };
    page(frame, Place::Inputs, &format!("Soil and fertilizer: {}", r.name), &body)
}

/// The answer.
fn headline(r: &FieldReport, u: &UnitChoice) -> String {
    let p = &r.proposed;
    if r.nitrogen.is_some() {
        let rest = [(p.p2o5_kg_ha, "phosphate"), (p.k2o_kg_ha, "potash"), (p.s_kg_ha, "sulphur")];
        let others: Vec<String> = rest
            .iter()
            .filter(|(x, _)| rate(u, *x) >= 0.5)
            .map(|(x, w)| format!("{} of {w}", figure(rate(u, *x), 0)))
            .collect();
        let tail = if others.is_empty() { String::new() } else { format!(", {}", others.join(", ")) };
        format!("{}: {} of nitrogen{tail}", r.name, rate_words(u, p.n_kg_ha))
    } else {
        format!("{}: soil and fertilizer", r.name)
    }
}

fn nitrogen(r: &FieldReport, n: &Nitrogen, u: &UnitChoice) -> Markup {
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
fn top_up(t: &TopUp, u: &UnitChoice) -> Markup {
    html! {
        h2 { "More on the growing crop?" }
        p.big { @if rate(u, t.pays_kg_ha) < 5.0 { "No: " b { (rate_words(u, t.there_kg_ha)) } " is there." } @else { "A top-up of " b { (rate_words(u, t.pays_kg_ha)) } " would bring " (money_area(u, t.gain_ha)) " less the pass." } }
        @if let Some(s) = t.spray_ha { p { "A late spray for protein: " b { (money_area(u, s)) } " at your premium, less the pass." } }
        @for s in &t.said { p { (s) } }
    }
}

fn choose(r: &FieldReport, asked: &Values, u: &UnitChoice) -> Markup {
    let c = &r.choices;
    let typed = |k: &str| asked.get(k).map_or("", String::as_str);
    html! {
        details open[!asked.is_empty()] {
            summary { "Reckon it another way" }
            form method="get" action={ "/field/" (r.field) "/soil" } {
                div.field { label for="need" { "Need a bushel, for the budget" } select id="need" name="need" { @for n in Need::shipped() { option value=(n.key) selected[n.key == c.need] { (n.name) ": " (figure(n.lb_n_per_bu, 2)) " lb" } } } }
                div.field { label for="target" { "Yield to aim at, " (u.grain_yield.words()) } p.hint { "Empty for the middle of the outlook." } input id="target" name="target" value=(typed("target")) inputmode="decimal" autocomplete="off"; }
                div.field { label for="follow" { "In a dry year" } select id="follow" name="follow" { @for (f, key, w) in FOLLOWS { option value=(key) selected[f == c.follow] { (w) } } } }
                div.field { label for="credit" { "Credit of the crop before" } p.hint { "Not when the laboratory has taken it off already, or the fall nitrate holds it." } select id="credit" name="credit" { option value="" { "as the crop before suggests: " (r.credit.0) } @for k in Credit::shipped() { option value=(k.key) selected[Some(&k.key) == c.credit.as_ref()] { (k.name) } } } }
                div.field { label for="manure" { "Nitrogen from manure, " (u.rate.words()) } input id="manure" name="manure" value=(typed("manure")) inputmode="decimal" autocomplete="off"; }
                div.field { label for="philosophy" { "Phosphate and potash by" } select id="philosophy" name="philosophy" { @for (k, w) in PHILOSOPHIES { option value=(k) selected[k == c.philosophy] { (w) } } } }
                div.act { button type="submit" { "Reckon" } }
            }
        }
    }
}

const PHILOSOPHIES: [(&str, &str); 4] = [
    ("sufficiency", "what this crop will pay for"),
    ("build", "building the soil up and holding it"),
    ("replacement", "putting back what the crop takes"),
    ("table", "our own table"),
];

/// The plan, filled with what is proposed or what was typed.
fn accept_form(r: &FieldReport, asked: &Values, u: &UnitChoice) -> Markup {
    let (all, seed) = match &r.plan {
        Some(p) => (crate::pages::told_inputs::plan_rates(p), p.seed_row.unwrap_or_default()),
        None => (r.proposed, r.proposed_seed),
    };
    let shown = |k: &str, x: f64| asked.get(k).cloned().unwrap_or_else(|| figure(rate(u, x), 0));
    let place = asked
        .get("placement")
        .and_then(|k| FertilizerPlacement::from_key(k))
        .or(r.plan.as_ref().map(|p| p.placement))
        .unwrap_or(r.row.band);
    let line = |key: &str, word: &str, whole: f64, with_seed: f64| {
        let seed_key = format!("seed_{key}");
        html! { tr {
            th scope="row" { (word) }
            td { input id=(key) name=(key) value=(shown(key, whole)) inputmode="decimal" autocomplete="off" aria-label={ (word) ", in all" }; }
            td { input name=(seed_key) value=(shown(&seed_key, with_seed)) inputmode="decimal" autocomplete="off" aria-label={ (word) ", with the seed" }; }
        } }
    };
    html! {
        h2 { "The plan" }
        form.rates method="post" action={ "/field/" (r.field) "/soil" } {
            input type="hidden" name="year" value=(r.crop_year);
            table {
                thead { tr { th scope="col" { (u.rate.words()) } th scope="col" { "in all" } th scope="col" { "of it with the seed" } } }
                tbody {
                    (line("n", "Nitrogen", all.n_kg_ha, seed.n_kg_ha))
                    (line("p2o5", "Phosphate", all.p2o5_kg_ha, seed.p2o5_kg_ha))
                    (line("k2o", "Potash", all.k2o_kg_ha, seed.k2o_kg_ha))
                    (line("s", "Sulphur", all.s_kg_ha, seed.s_kg_ha))
                }
            }
            div.field { label for="placement" { "The rest goes" } select id="placement" name="placement" { @for p in FertilizerPlacement::ALL { option value=(p.key()) selected[*p == place] { (p.words()) } } } }
            div.choices { label { input type="checkbox" name="dry" value="yes" checked[asked.get("dry").is_some()]; "The seedbed is dry, or a warm wind dries it" } }
            div.field { label for="why" { "Why, if you like" } input id="why" name="why" value=(asked.get("why").map_or("", String::as_str)) autocomplete="off"; }
            div.act { button.yes type="submit" { "Accept this plan" } a.btn href="/inputs" { "To all fields" } }
        }
        @let l = stook_inputs::propose::bare_limits(&r.row, stook_fertility::FertilityParams::shipped());
        p.quiet {
            "With the seed of cereals on " (r.row.texture.words()) " soil, " (figure(r.row.spread_in, 1)) " in spread on " (figure(r.row.spacing_in, 1)) " in rows: urea N up to " (figure(l.urea_n_lb_ac, 0)) " lb/ac"
            @if let Some(p) = l.p2o5_lb_ac { ", phosphate up to " (figure(p, 0)) } ", N and K2O together up to " (figure(l.n_k_lb_ac, 0)) " where there is potash, in good moisture. Never anhydrous ammonia in the seed row."
        }
    }
}

fn others(r: &FieldReport, u: &UnitChoice) -> Markup {
    let cell = |x: Option<f64>| x.map_or_else(|| "-".into(), |x| figure(rate(u, x), 0));
    let own = r.nutrients.iter().any(|n| n.own_table.is_some());
    html! {
        div.scroll tabindex="0" role="region" aria-label="Nutrients by two ways" { table {
            thead { tr { th scope="col" { (u.rate.words()) } th scope="col" { "test" } th.num scope="col" { "what the crop pays for" } th.num scope="col" { "build and maintain" } th.num scope="col" { "what it takes" } @if own { th.num scope="col" { "our table" } } } }
            tbody { @for n in &r.nutrients { tr {
                th scope="row" { (n.name) }
                td { (n.test) }
                td.num { (cell(n.sufficiency_kg_ha)) } td.num { (cell(n.build_kg_ha)) } td.num { (cell(n.replacement_kg_ha)) }
                @if own { td.num { @match &n.own_table { Some(Ok((_, x))) => (figure(rate(u, *x), 0)), Some(Err(e)) => span.quiet { (capital(e)) }, None => "-" } } }
            } } }
        } }
        @for n in &r.nutrients { (nutrient_notes(n)) }
        p.quiet { "Your guide's own tables: " a href="/enter/rate_table" { "load one as CSV" } "." }
    }
}

fn nutrient_notes(n: &Row) -> Markup {
    html! {
        @if !n.notes.is_empty() { p.quiet { b { (n.name) } ": " (n.notes.join(" ")) } }
        @if let Some(w) = &n.working { (working::folded(w)) }
    }
}

fn soil(r: &FieldReport, u: &UnitChoice) -> Markup {
    let s = &r.soil;
    let depth = |a: f64, b: f64| format!("{} to {}", figure(a, 0), figure(b, 0));
    html! {
        @match s.sampled {
            None => p { "No soil test in the book. " a href="/inputs/soil-file" { "Bring in the laboratory's file" } " or " a href={ "/enter/soil_test?field=" (r.field) } { "write one" } "." },
            Some(day) => {
                p { "Sampled " (long_day(day)) @if let Some(l) = &s.lab { ", " (l) } @if let Some(k) = &s.kind { ", " (k) } @if !s.zones.is_empty() { " (" (s.zones.join(", ")) ")" } "." }
                @for w in &s.warnings { p.caution { (w) } }
                div.scroll tabindex="0" role="region" aria-label="Figures of the sheet" { table {
                    thead { tr { th scope="col" { "What" } @if s.zones.len() > 1 { th scope="col" { "Zone" } } th scope="col" { "Depth, cm" } th scope="col" { "On the sheet" } th.num scope="col" { "ppm of the element" } th.num scope="col" { "lb/ac in the layer" } th scope="col" { "Published bin" } } }
                    tbody { @for l in &s.lines { tr {
                        td { (l.what) }
                        @if s.zones.len() > 1 { td { (l.zone.as_deref().unwrap_or("")) } }
                        td { (depth(l.top_cm, l.bottom_cm)) }
                        td { (l.sheet) @if let Some(p) = &l.problem { br; span.wrong { (p) } } }
                        td.num { (l.ppm.map_or_else(|| "-".into(), |x| figure(x, if x < 10.0 { 1 } else { 0 }))) }
                        td.num { (l.kg_ha.map_or_else(|| "-".into(), |x| figure(units::kg_ha_to_lb_ac(x), 0))) }
                        td { (l.bin.as_deref().unwrap_or("")) }
                    } } }
                } }
                @let used = &s.used;
                p { "To two feet: nitrate nitrogen " b { (used.nitrate_kg_ha.map_or_else(|| "not known".into(), |x| rate_words(u, x))) }
                    @if used.nitrate_kg_ha.is_some() && !used.nitrate_complete { " (not sampled the whole way)" }
                    @if let Some(x) = used.sulphur_kg_ha { ", sulphate sulphur " b { (rate_words(u, x)) } }
                    @if let Some(x) = used.chloride_kg_ha { ", chloride " b { (rate_words(u, x)) } } "." }
                p.quiet { "ppm times 2 is lb/ac for six inches; a measured bulk density is used where there is one. Bins: Alberta Nutrient Management Planning Guide 2007, Table 3.4.2; their words differ by crop, so only the bin is told." }
                @if !s.text.is_empty() { details { summary { "The sheet's own words" } @for t in &s.text { pre.sheet { (t) } } } }
                p { a href={ "/enter/soil_test?field=" (r.field) } { "Write another test" } }
            }
        }
    }
}

fn balance(r: &FieldReport, u: &UnitChoice) -> Markup {
    let four =
        |x: &stook_fertility::Nutrients| [x.n, x.p2o5, x.k2o, x.s].map(|v| figure(rate(u, v), 0)).join(" - ");
    html! {
        @if r.balance.is_empty() { p { "Nothing in the book yet: a yield at harvest and what the drill put on make the balance." } }
        @else {
            div.scroll tabindex="0" role="region" aria-label="Balance by year" { table {
                thead { tr { th scope="col" { "Year" } th scope="col" { "Crop" } th scope="col" { "On, N - P2O5 - K2O - S" } th scope="col" { "Off with the grain" } th scope="col" { "Sum" } } }
                tbody { @for y in &r.balance { tr {
                    td { (y.year) } td { (y.crop) @if !y.known { span.quiet { ", no removal table" } } }
                    td { (four(&y.applied_kg_ha)) br; span.quiet { (y.applied_from) } }
                    td { (four(&y.removed_kg_ha)) } td { (four(&y.sum_kg_ha)) }
                } } }
            } }
            p.quiet { (u.rate.words()) ". Off: middle of the published range for the crop; straw that was baled takes more, potash most of all." }
        }
    }
}
