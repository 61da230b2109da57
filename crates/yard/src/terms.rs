//! A buyer's terms for what is not straight: tough or damp, DON, protein, falling number. What they take off by their own
//! prices, what the ticket took, and whether drying first would have paid.

use stook_book::payload::{Buyer, MoistureSettled, ProteinPremium, Settlement};
use stook_grain::moisture_class::{ClassLimits, MoistureClass};
use stook_grain::price::break_even_discount;
use stook_measure::{Op, Reference, Working, figure};

use crate::crops::CropFacts;
use crate::ticket::OurWord;

/// One term.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Term {
    /// What it is about.
    pub what: &'static str,
    /// What was found, in words.
    pub found: String,
    /// Taken off by their prices, money a tonne, below nothing for a premium; none where their prices do not say.
    pub by_prices: Option<f64>,
    /// Whether by their prices it is not taken at all.
    pub refused: bool,
    /// What the ticket took off, money a tonne.
    pub on_ticket: Option<f64>,
}

/// Selling tough or damp against drying first.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct DryFirst {
    /// What being wet cost on this load, money a tonne.
    pub discount_t: f64,
    /// What drying would have cost, with the water no longer paid for, money a tonne.
    pub drying_t: f64,
    /// The reckoning.
    #[serde(skip)]
    pub working: Working,
}

/// Protein by a buyer's premium, money a tonne.
pub fn protein_t(p: &ProteinPremium, protein_pct: f64) -> f64 {
    let over = protein_pct.min(p.cap_pct) - p.base_pct;
    let steps = if p.step_pct > 0.0 { (over / p.step_pct + 1e-9).floor() * p.step_pct } else { over };
    if steps >= 0.0 { steps * p.up_per_t_point } else { steps * p.down_per_t_point }
}

/// Class of a moisture in the trade on a day.
fn class(r: &Reference, s: &Settlement, day: &str, moisture: f64) -> Option<(MoistureClass, f64)> {
    let facts = CropFacts::of(r, &s.crop);
    let all = ClassLimits::shipped();
    let limits = ClassLimits::on(&all, facts.class_key?, day)?;
    Some((limits.class(moisture), limits.straight_to))
}

/// The terms that bear on a ticket.
pub fn terms(
    r: &Reference,
    buyer: Option<&Buyer>,
    premium: Option<&ProteinPremium>,
    s: &Settlement,
    ours: Option<&OurWord>,
    day: &str,
) -> Vec<Term> {
    let mut out = Vec::new();
    let moisture = s.moisture_wb_pct.or_else(|| ours.and_then(|o| o.moisture_wb_pct));
    if let Some((m, (class, _))) = moisture.and_then(|m| Some((m, class(r, s, day, m)?))) {
        let off = match (class, buyer) {
            (MoistureClass::Straight, _) => Some(0.0),
            (MoistureClass::Tough, Some(b)) => b.tough_off_per_t,
            (_, Some(b)) => b.damp_off_per_t,
            (_, None) => None,
        };
        let on_ticket = match s.moisture {
            MoistureSettled::Straight => Some(0.0),
            MoistureSettled::Discount | MoistureSettled::Drying => s.moisture_per_t,
            MoistureSettled::Shrink => None,
        };
        if class != MoistureClass::Straight || on_ticket.is_none_or(|t| t > 0.0) {
            out.push(Term {
                what: "moisture",
                found: format!("{} %, {}", figure(m, 1), class.word()),
                refused: off.is_none() && buyer.is_some(),
                by_prices: off,
                on_ticket,
            });
        }
    }
    if let Some(ppm) = ours.and_then(|o| o.don_ppm) {
        let off = buyer.and_then(|b| b.don_off(ppm));
        let said = buyer.is_some_and(|b| !b.don_steps.is_empty() || b.most_don_ppm.is_some());
        out.push(Term {
            what: "DON",
            found: format!("{} ppm", figure(ppm, 1)),
            refused: buyer.is_some() && off.is_none(),
            by_prices: off.filter(|_| said),
            on_ticket: Some(s.discount_t),
        });
    }
    if let Some((found, p)) = s.protein_pct.or_else(|| ours.and_then(|o| o.protein_pct)).zip(premium) {
        out.push(Term {
            what: "protein",
            found: format!("{} %", figure(found, 1)),
            by_prices: Some(-protein_t(p, found)),
            refused: buyer.and_then(|b| b.lowest_protein_pct).is_some_and(|least| found < least),
            on_ticket: Some(-s.protein_t),
        });
    }
    if let Some((found, least)) =
        ours.and_then(|o| o.falling_number_s).zip(buyer.and_then(|b| b.lowest_falling_number_s))
    {
        out.push(Term {
            what: "falling number",
            found: format!("{} s, they take {} s", figure(found, 0), figure(least, 0)),
            by_prices: None,
            refused: found < least,
            on_ticket: None,
        });
    }
    out
}

/// Whether a load that went tough or damp would have been better dried; none when it was straight or nothing was taken.
pub fn dry_first(r: &Reference, s: &Settlement, day: &str, drying_t_point: f64) -> Option<DryFirst> {
    let m = s.moisture_wb_pct?;
    let (found, straight) = class(r, s, day, m)?;
    if found == MoistureClass::Straight || s.moisture != MoistureSettled::Discount {
        return None;
    }
    let discount_t = s.moisture_per_t?;
    let drying_t = break_even_discount(s.price_t, m, straight, drying_t_point);
    let points = m - straight;
    let working = Working::new("Drying it first, a tonne")
        .line(Op::Start, "Price", s.price_t, "", 2)
        .line(Op::Times, "Weight that goes as water", (drying_t - drying_t_point * points) / s.price_t, "", 4)
        .line(Op::Plus, format!("Drying {} points", figure(points, 1)), drying_t_point * points, "", 2)
        .sum("Drying would have cost", drying_t, "", 2)
        .note("Sold tough, the water is weighed and paid with the grain; dried, it is gone. Time of the drier and the wait are not in it.")
        .source("break-even discount: price times shrink and the cost of the points")
        .would_change("your own price of drying");
    Some(DryFirst { discount_t, drying_t, working })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn protein_goes_by_whole_steps_and_stops_at_the_cap() {
        let p = ProteinPremium {
            buyer: "x".into(),
            base_pct: 13.5,
            up_per_t_point: 10.0,
            down_per_t_point: 15.0,
            cap_pct: 15.0,
            step_pct: 0.5,
        };
        assert!((protein_t(&p, 14.4) - 5.0).abs() < 1e-9);
        assert!((protein_t(&p, 16.0) - 15.0).abs() < 1e-9);
        assert!((protein_t(&p, 13.2) + 7.5).abs() < 1e-9);
        assert!((protein_t(&ProteinPremium { step_pct: 0.0, ..p }, 13.2) + 4.5).abs() < 1e-9);
    }
}
