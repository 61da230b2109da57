//! What grade the figures of a lot make by the published tables: the Canadian ones with what the grading guide adds for
//! damage, or those of the United States where the buyer grades by them.

use std::collections::BTreeMap;

use stook_book::payload::{Buyer, Crop};
use stook_grain::grade::{GradeTables, Graded};
use stook_grain::lot::Lot;
use stook_grain::test_weight::us_from_kg_hl;

/// Whether the words are of the United States' tables.
fn is_us(grade: &str) -> bool {
    let g = grade.trim().to_uppercase();
    g.starts_with("U.S.") || g.starts_with("US ")
}

/// The tables a buyer grades a crop by, the chief one first: by the grade given, else by the grades they price.
pub fn tables(crop: &Crop, given: Option<&str>, buyer: Option<&Buyer>) -> &'static [&'static str] {
    let us = match given {
        Some(g) => is_us(g),
        None => buyer.is_some_and(|b| b.prices.iter().any(|p| is_us(&p.grade))),
    };
    match (crop, us) {
        (Crop::SpringWheat, false) => &["CWRS", "CWRS guide"],
        (Crop::Durum, false) => &["CWAD"],
        (Crop::SpringWheat, true) => &["US HRS"],
        (Crop::Durum, true) => &["US wheat, other classes"],
        _ => &[],
    }
}

/// The figures of a lot by the names of the tables.
fn figures(crop: &Crop, lot: &Lot, factors: &BTreeMap<String, f64>) -> BTreeMap<String, f64> {
    let mut out = factors.clone();
    if let Some(t) = lot.test_weight_kg_hl() {
        out.insert("test_weight_kg_hl".into(), t);
        out.insert("test_weight_lb_bu".into(), us_from_kg_hl(t, *crop == Crop::Durum));
    }
    if let Some(p) = lot.protein_pct(13.5) {
        out.insert("protein_pct".into(), p);
    }
    if let Some(&fdk) = factors.get("fdk_pct") {
        out.entry("fusarium_pct".into()).or_insert(fdk);
        // Scab-damaged kernels are damaged kernels: the least the damage can be.
        out.entry("total_damage_pct".into()).or_insert(fdk);
    }
    out
}

/// The grade by the tables together: the lowest of them rules.
pub fn graded(
    tables: &[&str],
    day: &str,
    crop: &Crop,
    lot: &Lot,
    factors: &BTreeMap<String, f64>,
) -> Option<Graded> {
    let have = figures(crop, lot, factors);
    let mut all: Option<Graded> = None;
    for name in tables {
        let Ok(t) = GradeTables::shipped().on(name, day) else { continue };
        let given: Vec<(&str, f64)> =
            t.factors().into_iter().filter_map(|f| Some((f, *have.get(f)?))).collect();
        if given.is_empty() {
            continue;
        }
        let Ok(g) = t.grade(&given) else { continue };
        all = Some(match all {
            None => g,
            Some(a) => both(a, g),
        });
    }
    all
}

/// Two tables of the same grades: what each factor alone allows stays; without it the others rule.
fn both(a: Graded, b: Graded) -> Graded {
    let name = |rank: usize| {
        let find = |g: &Graded| {
            let by_factor = g.factors.iter().find(|f| f.rank == rank).map(|f| f.grade.clone());
            by_factor.or_else(|| (g.rank == rank).then(|| g.grade.clone()))
        };
        find(&a).or_else(|| find(&b))
    };
    let mut factors = [a.factors.clone(), b.factors.clone()].concat();
    let ranks: Vec<usize> = factors.iter().map(|f| f.rank).collect();
    for (i, f) in factors.iter_mut().enumerate() {
        let rest = ranks.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, r)| *r).max().unwrap_or(1);
        // A grade that no factor stands at is one the table knows and nobody here needs the name of.
        f.without = name(rest).unwrap_or_else(|| f.without.clone());
    }
    factors.sort_by_key(|f| std::cmp::Reverse(f.rank));
    let rank = a.rank.max(b.rank);
    let grade = if a.rank >= b.rank { a.grade } else { b.grade };
    Graded { grade, rank, factors, not_tested: [a.not_tested, b.not_tested].concat() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_grain::lot::Quality;

    fn lot(kg_hl: f64) -> Lot {
        let q = Quality { test_weight_kg_hl: Some(kg_hl), ..Quality::default() };
        Lot::new(40_000.0, 14.0, &q, "field").unwrap()
    }

    fn by(tables: &[&str], kg_hl: f64, fdk: f64) -> Graded {
        let factors = BTreeMap::from([("fdk_pct".to_string(), fdk)]);
        graded(tables, "2026-08-20", &Crop::SpringWheat, &lot(kg_hl), &factors).unwrap()
    }

    #[test]
    fn the_buyers_words_choose_the_table() {
        assert_eq!(tables(&Crop::SpringWheat, Some("U.S. No. 2"), None), ["US HRS"]);
        assert_eq!(tables(&Crop::SpringWheat, Some("No. 2 CWRS"), None), ["CWRS", "CWRS guide"]);
        assert_eq!(tables(&Crop::Durum, Some("US No. 1"), None), ["US wheat, other classes"]);
        assert!(tables(&Crop::Canola, None, None).is_empty());
    }

    #[test]
    fn fusarium_of_the_guide_takes_the_grade_down_and_is_named() {
        // 78 kg/hL is No. 1 by the schedule; 1.0 % fusarium is No. 3 by the guide (0.8 is the most in No. 2).
        let g = by(&["CWRS", "CWRS guide"], 78.0, 1.0);
        assert_eq!(g.grade, "No. 3 CWRS");
        assert_eq!(
            (g.factors[0].factor.as_str(), g.factors[0].without.as_str()),
            ("fusarium_pct", "No. 1 CWRS")
        );
    }

    #[test]
    fn the_united_states_table_reads_pounds_a_bushel() {
        // 57.4 lb/bu is No. 2 (58 for No. 1); 3 % damage is No. 2 as well, 5 % is No. 3.
        let kg_hl = stook_grain::test_weight::kg_hl_from_us(57.4, false);
        assert_eq!(by(&["US HRS"], kg_hl, 0.0).grade, "U.S. No. 2");
        assert_eq!(by(&["US HRS"], kg_hl, 5.0).grade, "U.S. No. 3");
    }
}
