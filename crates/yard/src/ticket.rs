//! A buyer's ticket against our own: the statement line by line, the error in it, what the grade and one bad factor
//! cost, and until when it can be disputed.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::payload::{Buyer, Crop, MoistureSettled, Settlement};
use stook_book::{Fact, Farm};
use stook_grain::grade::Graded;
use stook_grain::lot::Lot;
use stook_grain::settle::{Disagreement, LineKey, MoistureTerm, Sale};
use stook_measure::{Reference, Working};

use crate::fold::Yard;
use crate::graded::{graded, tables};
use crate::state::Moved;
use crate::terms::{DryFirst, Term, dry_first, terms};

/// One line of the statement.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct StatementLine {
    /// Line.
    pub line: LineKey,
    /// By the ticket and its terms.
    pub ours: f64,
    /// The buyer's, where it is printed.
    pub theirs: Option<f64>,
    /// Where they disagree.
    pub disagrees: Option<Disagreement>,
}

/// Our own word on what was delivered, from the load out of a bin that carries the same ticket.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct OurWord {
    /// The bin it came from.
    pub bin: Option<stook_book::BinId>,
    /// What the load said it weighed, kg.
    pub kg: f64,
    /// Moisture, % wet basis.
    pub moisture_wb_pct: Option<f64>,
    /// Protein at 13.5 %, %.
    pub protein_pct: Option<f64>,
    /// Test weight, kg/hL.
    pub test_weight_kg_hl: Option<f64>,
    /// Dockage, %.
    pub dockage_pct: Option<f64>,
    /// Deoxynivalenol, mg/kg.
    pub don_ppm: Option<f64>,
    /// Falling number, s.
    pub falling_number_s: Option<f64>,
    /// Grade by the buyer's table from what is known of it.
    pub graded: Option<Graded>,
    /// The tables it was graded by.
    pub tables: Vec<&'static str>,
}

/// A ticket, checked.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Checked {
    /// Line by line.
    pub lines: Vec<StatementLine>,
    /// What they paid less than follows from their own ticket; below nothing when more.
    pub short: Option<f64>,
    /// The statement's arithmetic.
    #[serde(skip)]
    pub working: Working,
    /// What we know of the grain.
    pub ours: Option<OurWord>,
    /// Money a tonne between the grade our figures make and the grade given, by the buyer's own prices.
    pub grade_costs_per_t: Option<f64>,
    /// Money in all that it costs.
    pub grade_costs: Option<f64>,
    /// What each bad factor alone costs: factor, grade without it, money a tonne.
    pub factors_cost: Vec<(String, String, Option<f64>)>,
    /// Tough or damp, DON, protein, falling number by the buyer's own terms.
    pub terms: Vec<Term>,
    /// Sold tough or damp against drying first.
    pub dry_first: Option<DryFirst>,
    /// Clean tonnes paid for.
    pub tonnes: f64,
    /// Last day to ask for another look at the grade (15 days).
    pub dispute_until: Date,
    /// Day until which the buyer must keep the sample (7 days).
    pub sample_kept_until: Date,
}

/// The terms of a settlement as the grain model takes them.
pub fn sale(s: &Settlement) -> Sale {
    let per_t = s.moisture_per_t.unwrap_or(0.0);
    let moisture = match s.moisture {
        MoistureSettled::Straight => MoistureTerm::Straight,
        MoistureSettled::Discount => MoistureTerm::Discount(per_t),
        MoistureSettled::Drying => MoistureTerm::Drying(per_t),
        MoistureSettled::Shrink => match s.moisture_wb_pct.zip(s.shrink_to_pct) {
            Some((from_pct, to_pct)) => MoistureTerm::Shrink { from_pct, to_pct },
            None => MoistureTerm::Straight,
        },
    };
    Sale {
        gross_kg: s.gross_kg,
        tare_kg: s.tare_kg,
        dockage_pct: s.dockage_pct,
        moisture,
        price_t: s.price_t,
        protein_t: s.protein_t,
        discount_t: s.discount_t,
        freight_t: s.freight_t,
        elevation_t: s.elevation_t,
        cleaning_t: s.cleaning_t,
        inspection_t: s.inspection_t,
        levy_t: s.levy_t,
        advance: s.advance,
    }
}

fn theirs(s: &Settlement) -> Vec<(LineKey, f64)> {
    let t = &s.theirs;
    LineKey::ALL
        .into_iter()
        .zip([
            t.net_scale_kg,
            t.dockage_kg,
            t.net_t,
            t.price_t,
            t.gross_value,
            t.deductions,
            t.levy,
            t.payable,
        ])
        .filter_map(|(k, v)| Some((k, v?)))
        .collect()
}

/// The buyer's prices for the crop as last known on a day.
pub fn prices_on<'a>(farm: &'a Farm, buyer: &str, crop: &Crop, day: Date) -> Option<&'a Buyer> {
    let wanted = buyer.trim();
    let mut of = farm
        .buyers
        .iter()
        .rev()
        .filter(|b| b.on() <= day && b.is.crop == *crop && b.is.name.trim().eq_ignore_ascii_case(wanted));
    // A list by grade says more of a ticket than a single price in the buyer's words.
    let latest = of.clone().next();
    of.find(|b| b.is.prices.len() > 1).or(latest).map(|b| &b.is)
}

/// Checks a ticket.
pub fn check(farm: &Farm, yard: &Yard, r: &Reference, fact: &Fact<Settlement>) -> Checked {
    let (s, day) = (&fact.is, fact.on());
    let sale = sale(s);
    let given = theirs(s);
    let found = sale.compare(&given);
    let lines = sale
        .lines()
        .into_iter()
        .map(|(line, ours)| StatementLine {
            line,
            ours,
            theirs: given.iter().find(|g| g.0 == line).map(|g| g.1),
            disagrees: found.iter().find(|d| d.line == line).cloned(),
        })
        .collect();
    let buyer = prices_on(farm, &s.buyer, &s.crop, day);
    let ours = our_word(yard, s, buyer);
    let mut premiums = farm.premiums.values().map(|p| &p.is);
    let premium = premiums.find(|p| p.buyer.trim().eq_ignore_ascii_case(s.buyer.trim()));
    let drying = farm.price("drying", day).and_then(|p| match p.unit.as_str() {
        "t_point" => Some(p.value),
        "bu_point" => Some(p.value * stook_measure::units::bushels_per_tonne(60.0)),
        _ => None,
    });
    let drying = drying.unwrap_or_else(|| r.get("season.drying.cost_per_t_point"));
    let on = day.to_string();
    let tonnes = sale.line(LineKey::NetT);
    let price_of = |grade: &str| buyer.and_then(|b| b.price(grade));
    let graded = ours.as_ref().and_then(|o| o.graded.as_ref());
    let paid_for = s.grade.as_deref().and_then(price_of).or(Some(s.price_t));
    let grade_costs_per_t = graded
        .and_then(|g| price_of(&g.grade))
        .zip(paid_for)
        .map(|(ours, theirs)| ours - theirs)
        .filter(|d| d.abs() > 0.004);
    let factors_cost = graded
        .map(|g| {
            g.factors
                .iter()
                .filter(|f| f.without != g.grade)
                .map(|f| {
                    let costs = price_of(&f.without).zip(price_of(&g.grade)).map(|(a, b)| a - b);
                    (f.factor.clone(), f.without.clone(), costs)
                })
                .collect()
        })
        .unwrap_or_default();
    let days = |n: i64| day.saturating_add(jiff::Span::new().days(n));
    Checked {
        lines,
        short: s.theirs.payable.map(|p| sale.line(LineKey::Payable) - p),
        working: sale.working(),
        terms: terms(r, buyer, premium, s, ours.as_ref(), &on),
        dry_first: dry_first(r, s, &on, drying),
        tonnes,
        ours,
        grade_costs_per_t,
        grade_costs: grade_costs_per_t.map(|d| d * tonnes),
        factors_cost,
        dispute_until: days(15),
        sample_kept_until: days(7),
    }
}

fn our_word(yard: &Yard, s: &Settlement, buyer: Option<&Buyer>) -> Option<OurWord> {
    let ticket = s.ticket.as_deref()?.trim();
    let moved: &Moved =
        yard.loads.iter().rev().find(|m| m.load.ticket.as_deref().map(str::trim) == Some(ticket))?;
    let lot = &moved.arrived;
    let bin = moved.load.from_bin().cloned();
    let tables = tables(&s.crop, s.grade.as_deref(), buyer);
    let graded = graded(tables, &moved.on().to_string(), &s.crop, lot, &moved.factors);
    Some(OurWord {
        bin,
        kg: moved.weight.kg,
        moisture_wb_pct: lot.moisture_pct(),
        protein_pct: lot.protein_pct(13.5),
        test_weight_kg_hl: lot.test_weight_kg_hl(),
        dockage_pct: lot.dockage_pct(),
        don_ppm: lot.don_ppm(),
        falling_number_s: lot.falling_number_s(),
        graded,
        tables: tables.to_vec(),
    })
}

/// The same by its name, for what lies in a bin.
pub fn grade_of(crop: &Crop, lot: &Lot, factors: &BTreeMap<String, f64>, on: Date) -> Option<String> {
    graded(tables(crop, None, None), &on.to_string(), crop, lot, factors).map(|g| g.grade)
}
