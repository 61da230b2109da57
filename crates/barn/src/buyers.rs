//! Buyers' offers in force, and what a lot brings at each.

use jiff::civil::Date;
use stook_book::payload::{Buyer, Crop, LoadTo};
use stook_book::{Fact, Farm};

use crate::Facts;

/// The latest of each offer whose window has not passed. One that prices no protein takes the buyer's premium of the book.
pub fn in_force(farm: &Farm, on: Date) -> Vec<Fact<Buyer>> {
    let mut kept: Vec<Fact<Buyer>> = Vec::new();
    let key = |x: &Buyer| {
        // Two single prices in different words stand beside each other: milling and feed.
        let word = if x.prices.len() == 1 { x.prices[0].grade.clone() } else { String::new() };
        (x.name.clone(), x.crop.clone(), x.from, x.until, x.contract.clone(), word)
    };
    for b in farm.buyers.iter().filter(|b| b.on() <= on) {
        kept.retain(|k| key(&k.is) != key(&b.is));
        kept.push(b.clone());
    }
    kept.retain(|b| b.is.until.is_none_or(|to| to >= on) && b.is.prices.iter().any(|p| p.price_per_t > 0.0));
    for b in kept.iter_mut().filter(|b| b.is.base_protein_pct.is_none() && is_wheat(&b.is.crop)) {
        if let Some(p) = farm.premiums.get(&b.is.name).filter(|p| p.on() <= on) {
            b.is.base_protein_pct = Some(p.is.base_pct);
            b.is.premium_per_t_point = Some(p.is.up_per_t_point);
            b.is.dock_per_t_point = Some(p.is.down_per_t_point);
            b.is.premium_to_pct = Some(p.is.cap_pct);
        }
    }
    kept
}

fn is_wheat(crop: &Crop) -> bool {
    matches!(crop, Crop::SpringWheat | Crop::Durum)
}

/// What is known of a lot that a buyer asks about.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Crop.
    pub crop: Crop,
    /// Protein at the buyer's basis, %.
    pub protein_pct: Option<f64>,
    /// DON, mg/kg.
    pub don_ppm: f64,
    /// Points over straight grade's moisture; nothing or less when it is dry.
    pub over_straight: f64,
    /// Whether it is past tough: damp.
    pub damp: bool,
    /// Falling number, s.
    pub falling_number_s: Option<f64>,
    /// Grade by its own tests.
    pub grade: Option<String>,
}

/// The price of a lot's grade: its own, else the price for any, else, while the lot is not graded or the buyer's words are
/// not the table's, the lowest the buyer names. None for a grade that a list by grade leaves out.
fn price(b: &Buyer, grade: Option<&str>) -> Option<f64> {
    if let Some(p) = grade.and_then(|g| b.price(g)).or_else(|| b.price("")) {
        return Some(p);
    }
    let lowest = b.prices.iter().map(|p| p.price_per_t).min_by(f64::total_cmp);
    match (grade, b.prices.len()) {
        (None, _) | (_, 1) => lowest,
        _ => None,
    }
}

/// Net money a tonne at the yard: the grade's price with the premium or dock for protein and what is taken off for DON and
/// moisture, less the haul. None when refused.
pub fn net_t(b: &Buyer, s: &Sample) -> Option<f64> {
    if b.crop != s.crop {
        return None;
    }
    // A lot without a test meets no stated least. Limits on the average are the plan's to keep.
    if !b.average && b.lowest_protein_pct.is_some_and(|least| s.protein_pct.is_none_or(|p| p < least)) {
        return None;
    }
    if b.lowest_falling_number_s.is_some_and(|least| s.falling_number_s.is_some_and(|f| f < least)) {
        return None;
    }
    let don = if b.average { 0.0 } else { b.don_off(s.don_ppm)? };
    let wet = match (s.over_straight > 0.05, s.damp) {
        (false, _) => 0.0,
        (true, false) => b.tough_off_per_t?,
        (true, true) => b.damp_off_per_t?,
    };
    let scale = match (b.base_protein_pct, s.protein_pct) {
        (Some(base), Some(p)) => {
            let above = (p.min(b.premium_to_pct.unwrap_or(f64::INFINITY)) - base).max(0.0);
            above * b.premium_per_t_point.unwrap_or(0.0)
                - (base - p).max(0.0) * b.dock_per_t_point.unwrap_or(0.0)
        }
        _ => 0.0,
    };
    Some(price(b, s.grade.as_deref())? + scale - don - wet - b.freight_per_t.unwrap_or(0.0))
}

/// The best net price of a lot now or in any window, and whose offer it is.
pub fn best<'a>(offers: &'a [Fact<Buyer>], s: &Sample) -> Option<(f64, &'a Buyer)> {
    offers.iter().filter_map(|b| Some((net_t(&b.is, s)?, &b.is))).max_by(|a, b| a.0.total_cmp(&b.0))
}

/// What went to a buyer since its offer was written: tonnes, protein and DON of them where they were known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Delivered {
    /// Tonnes.
    pub tonnes: f64,
    /// Mean protein, %, of the tonnes with a test.
    pub protein_pct: Option<f64>,
    /// Mean DON, mg/kg.
    pub don_ppm: Option<f64>,
}

/// Deliveries of a crop to a buyer after the day its offer was written and inside its window.
pub fn delivered(f: &Facts<'_>, b: &Fact<Buyer>) -> Delivered {
    let (mut t, mut protein, mut don) = (0.0, (0.0, 0.0), (0.0, 0.0));
    for l in &f.yard.loads {
        let LoadTo::Buyer(who) = &l.load.to else { continue };
        let in_window = l.on() > b.on()
            && b.is.from.is_none_or(|d| l.on() >= d)
            && b.is.until.is_none_or(|d| l.on() <= d);
        if !in_window
            || !who.trim().eq_ignore_ascii_case(b.is.name.trim())
            || l.crop.as_ref() != Some(&b.is.crop)
        {
            continue;
        }
        let tonnes = l.arrived.mass_kg() / 1000.0;
        t += tonnes;
        if let Some(p) = l.arrived.protein_pct(13.5) {
            protein = (protein.0 + tonnes, protein.1 + tonnes * p);
        }
        if let Some(d) = l.arrived.don_ppm() {
            don = (don.0 + tonnes, don.1 + tonnes * d);
        }
    }
    let mean = |x: (f64, f64)| (x.0 > 0.0).then(|| x.1 / x.0);
    Delivered { tonnes: t, protein_pct: mean(protein), don_ppm: mean(don) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_book::payload::{DonStep, GradePrice};

    fn sample(p: f64, don: f64) -> Sample {
        Sample {
            crop: Crop::SpringWheat,
            protein_pct: Some(p),
            don_ppm: don,
            over_straight: -0.5,
            damp: false,
            falling_number_s: Some(340.0),
            grade: Some("No. 1 CWRS".into()),
        }
    }

    #[test]
    fn an_offer_pays_for_protein_and_refuses_toxin() {
        let b = Buyer {
            lowest_protein_pct: Some(12.0),
            base_protein_pct: Some(13.5),
            premium_per_t_point: Some(12.0),
            dock_per_t_point: Some(16.0),
            premium_to_pct: Some(14.5),
            most_don_ppm: Some(1.0),
            freight_per_t: Some(8.0),
            ..Buyer::new(
                "Elevator",
                Crop::SpringWheat,
                vec![GradePrice { grade: String::new(), price_per_t: 276.0 }],
            )
        };
        assert!((net_t(&b, &sample(14.1, 0.3)).unwrap() - (276.0 + 7.2 - 8.0)).abs() < 1e-9);
        assert!((net_t(&b, &sample(16.0, 0.3)).unwrap() - (276.0 + 12.0 - 8.0)).abs() < 1e-9);
        assert!((net_t(&b, &sample(12.6, 0.3)).unwrap() - (276.0 - 14.4 - 8.0)).abs() < 1e-9);
        assert_eq!(net_t(&b, &sample(11.5, 0.3)), None);
        assert_eq!(net_t(&b, &sample(14.1, 1.3)), None);
        assert_eq!(net_t(&b, &Sample { crop: Crop::Barley, ..sample(14.1, 0.3) }), None);
        assert_eq!(net_t(&b, &Sample { protein_pct: None, ..sample(0.0, 0.3) }), None);
        // Limits on the average are not held against a lot.
        let b = Buyer { average: true, ..b };
        assert!(net_t(&b, &sample(11.5, 1.3)).is_some());
    }

    #[test]
    fn a_list_by_grade_pays_the_grade_and_takes_off_what_it_says() {
        let row = |g: &str, p| GradePrice { grade: g.into(), price_per_t: p };
        let b = Buyer {
            don_steps: vec![DonStep { above_ppm: 1.0, off_per_t: 8.0 }],
            tough_off_per_t: Some(7.0),
            lowest_falling_number_s: Some(250.0),
            ..Buyer::new(
                "Elevator",
                Crop::SpringWheat,
                vec![row("No. 1 CWRS", 290.0), row("No. 2 CWRS", 280.0)],
            )
        };
        assert_eq!(net_t(&b, &sample(13.0, 0.2)), Some(290.0));
        assert_eq!(net_t(&b, &sample(13.0, 1.2)), Some(282.0));
        let with = |f: &dyn Fn(&mut Sample)| {
            let mut s = sample(13.0, 0.2);
            f(&mut s);
            net_t(&b, &s)
        };
        assert_eq!(with(&|s| s.grade = Some("No. 2 CWRS".into())), Some(280.0));
        assert_eq!(with(&|s| s.grade = Some("CW Feed".into())), None, "not on the list");
        assert_eq!(with(&|s| s.grade = None), Some(280.0), "not graded yet: the lowest named");
        assert_eq!(with(&|s| s.over_straight = 1.0), Some(283.0));
        assert_eq!(with(&|s| (s.over_straight, s.damp) = (3.0, true)), None, "damp is not taken");
        assert_eq!(with(&|s| s.falling_number_s = Some(200.0)), None);
    }
}
