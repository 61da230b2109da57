//! Bids in force, and what a lot brings at each.

use jiff::civil::Date;
use stook_book::payload::{Bid, Crop};
use stook_book::{Fact, Farm};

/// The latest of each bid whose window has not passed.
pub fn in_force(farm: &Farm, on: Date) -> Vec<&Fact<Bid>> {
    let mut kept: Vec<&Fact<Bid>> = Vec::new();
    for b in farm.barn.bids.iter().filter(|b| b.on() <= on) {
        let key = |x: &Bid| (x.buyer.clone(), x.crop.clone(), x.grade.clone(), x.from, x.to);
        kept.retain(|k| key(&k.is) != key(&b.is));
        kept.push(b);
    }
    kept.retain(|b| b.is.to.is_none_or(|to| to >= on) && b.is.price_per_t > 0.0);
    kept
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
}

/// Net money a tonne at the yard: price with the premium or dock for protein, less the haul. None when refused.
pub fn net_t(b: &Bid, s: &Sample) -> Option<f64> {
    if b.crop != s.crop {
        return None;
    }
    // A lot without a test meets no stated least.
    if b.least_protein_pct.is_some_and(|least| s.protein_pct.is_none_or(|p| p < least)) {
        return None;
    }
    if b.most_don_ppm.is_some_and(|most| s.don_ppm > most) {
        return None;
    }
    let scale = match (b.base_protein_pct, s.protein_pct) {
        (Some(base), Some(p)) => {
            let above = (p.min(b.premium_to_pct.unwrap_or(f64::INFINITY)) - base).max(0.0);
            above * b.premium_per_t_point.unwrap_or(0.0)
                - (base - p).max(0.0) * b.dock_per_t_point.unwrap_or(0.0)
        }
        _ => 0.0,
    };
    Some(b.price_per_t + scale - b.haul_per_t.unwrap_or(0.0))
}

/// The best net price of a lot now or in any window, and who bids it.
pub fn best<'a>(bids: &[&'a Fact<Bid>], s: &Sample) -> Option<(f64, &'a Bid)> {
    bids.iter().filter_map(|b| Some((net_t(&b.is, s)?, &b.is))).max_by(|a, b| a.0.total_cmp(&b.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bid_pays_for_protein_and_refuses_toxin() {
        let b = Bid {
            buyer: "Elevator".into(),
            crop: Crop::SpringWheat,
            price_per_t: 276.0,
            grade: None,
            from: None,
            to: None,
            least_protein_pct: Some(12.0),
            base_protein_pct: Some(13.5),
            premium_per_t_point: Some(12.0),
            dock_per_t_point: Some(16.0),
            premium_to_pct: Some(14.5),
            most_don_ppm: Some(1.0),
            haul_per_t: Some(8.0),
            most_t_month: None,
            committed_t: None,
        };
        let s = |p: f64, don: f64| Sample { crop: Crop::SpringWheat, protein_pct: Some(p), don_ppm: don };
        assert!((net_t(&b, &s(14.1, 0.3)).unwrap() - (276.0 + 7.2 - 8.0)).abs() < 1e-9);
        assert!((net_t(&b, &s(16.0, 0.3)).unwrap() - (276.0 + 12.0 - 8.0)).abs() < 1e-9);
        assert!((net_t(&b, &s(12.6, 0.3)).unwrap() - (276.0 - 14.4 - 8.0)).abs() < 1e-9);
        assert_eq!(net_t(&b, &s(11.5, 0.3)), None);
        assert_eq!(net_t(&b, &s(14.1, 1.3)), None);
        assert_eq!(net_t(&b, &Sample { crop: Crop::Barley, ..s(14.1, 0.3) }), None);
        assert_eq!(net_t(&b, &Sample { protein_pct: None, ..s(0.0, 0.3) }), None);
    }
}
