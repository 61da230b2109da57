//! Price arithmetic around a sale: premium scales, basis, break-even, carry, and dry or take the discount.

use crate::drier::water_per_wet_kg;

/// A step scale: the last step at or below the tested value, with further steps of one size above its end.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Scale {
    /// (tested value, premium) in rising order.
    pub points: Vec<(f64, f64)>,
    /// (step, premium for each) above the last point, where the buyer pays on.
    pub above: Option<(f64, f64)>,
    /// Whether the buyer pays between steps.
    pub interpolates: bool,
}

impl Scale {
    /// Premium (or discount) at a tested value; below the first point its premium counts.
    pub fn at(&self, tested: f64) -> f64 {
        // A tested value written to the printed digit must not miss its step by the last bit of a double.
        const GRACE: f64 = 1e-9;
        let Some(&(first, low)) = self.points.first() else { return 0.0 };
        let (last, high) = self.points[self.points.len() - 1];
        if tested <= first {
            return low;
        }
        if tested >= last - GRACE {
            return high
                + self.above.map_or(0.0, |(step, each)| ((tested - last) / step + GRACE).floor() * each);
        }
        let i = self.points.windows(2).position(|w| tested < w[1].0 - GRACE).unwrap_or(0);
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        if self.interpolates { y0 + (tested - x0) / (x1 - x0) * (y1 - y0) } else { y0 }
    }
}

/// Basis: cash less futures, in one currency; `fx` turns the futures' currency into that of the cash price.
pub fn basis(cash: f64, futures: f64, fx: f64) -> f64 {
    cash - futures * fx
}

/// Price at which a yield pays a cost.
pub fn break_even_price(cost_per_area: f64, yield_per_area: f64) -> f64 {
    cost_per_area / yield_per_area
}

/// Yield at which a price pays a cost.
pub fn break_even_yield(cost_per_area: f64, price: f64) -> f64 {
    cost_per_area / price
}

/// Cost implied by yield, price and margin.
pub fn cost_from_margin(yield_per_area: f64, price: f64, margin: f64) -> f64 {
    yield_per_area * price - margin
}

/// Interest on grain held for some months.
pub fn interest_carry(price: f64, annual_rate_pct: f64, months: f64) -> f64 {
    price * annual_rate_pct / 100.0 * months / 12.0
}

/// Discount, per wet unit, above which drying pays: price x water shrink + drying cost x points.
pub fn break_even_discount(price: f64, from_pct: f64, to_pct: f64, dry_cost_per_point_wet: f64) -> f64 {
    price * water_per_wet_kg(from_pct, to_pct) + dry_cost_per_point_wet * (from_pct - to_pct)
}

/// Share of value lost, percent, by selling grain drier than the market's moisture: weight sold short.
pub fn over_dry_loss_pct(actual_pct: f64, market_pct: f64) -> f64 {
    100.0 * (1.0 - (100.0 - market_pct) / (100.0 - actual_pct))
}
