//! From hours of head blight weather to the disease to expect, and back: what a spray must face to pay.
//!
//! No published equation turns hours into diseased spikelets that could be used here (the scaling of the published
//! ones was not found), so this is a straight-line judgement between three points, anchored on the one definition
//! there is: an epidemic is a tenth of the spikelets diseased. It is an expectation to reckon money with, not a
//! probability, and the farm's own number in place of each point overrides it.

use super::{DiseaseParams, Resistance};

/// How many class widths the pressure of `hours_7d` comes to: 1 at the foot of moderate, 2 at the foot of high.
fn level(hours_7d: f64, p: &DiseaseParams) -> f64 {
    if hours_7d < p.moderate_h {
        hours_7d / p.moderate_h
    } else {
        1.0 + (hours_7d - p.moderate_h) / (p.high_h - p.moderate_h)
    }
}

/// The level moved by cultivar and stubble: one class, but never disease out of no hours at all.
fn moved(hours_7d: f64, resistance: Resistance, host_stubble: bool, p: &DiseaseParams) -> f64 {
    let base = level(hours_7d, p);
    let up = f64::from(u8::from(resistance == Resistance::Susceptible || host_stubble));
    let down = f64::from(u8::from(resistance == Resistance::ModeratelyResistant));
    (base + (up - down) * base.min(1.0)).max(0.0)
}

/// Diseased spikelets to expect, %, where nothing is sprayed, at the most wet-warm hours in seven days from heading
/// to the end of flowering.
pub fn expected_index_pct(
    hours_7d: f64,
    resistance: Resistance,
    host_stubble: bool,
    p: &DiseaseParams,
) -> f64 {
    let x = moved(hours_7d.max(0.0), resistance, host_stubble, p);
    let y = if x < 1.0 {
        p.index_at_moderate_pct * x
    } else if x < 2.0 {
        p.index_at_moderate_pct + (p.index_at_high_pct - p.index_at_moderate_pct) * (x - 1.0)
    } else {
        p.index_at_high_pct + (p.index_at_high_pct - p.index_at_moderate_pct) * (x - 2.0)
    };
    y.min(p.index_most_pct)
}

/// The hours at which [`expected_index_pct`] reaches `index_pct`; `None` when a week has not that many.
pub fn hours_for_index(
    index_pct: f64,
    resistance: Resistance,
    host_stubble: bool,
    p: &DiseaseParams,
) -> Option<f64> {
    const WEEK_H: f64 = 168.0;
    let at = |h: f64| expected_index_pct(h, resistance, host_stubble, p);
    if at(WEEK_H) < index_pct {
        return None;
    }
    let (mut low, mut high) = (0.0, WEEK_H);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if at(middle) < index_pct { low = middle } else { high = middle }
    }
    Some(high)
}

/// What grain, a spray and a discount are worth, for the money of head blight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Grain, money/kg.
    pub grain_per_kg: f64,
    /// Product and pass, money/ha.
    pub spray_per_ha: f64,
    /// Yield the discount falls on, kg/ha.
    pub yield_kg_ha: f64,
    /// DON from which grain is discounted, ppm.
    pub don_from_ppm: f64,
    /// Discount for each ppm above, money/kg.
    pub don_per_kg_ppm: f64,
    /// The most a discount takes: to the price of feed, money/kg.
    pub don_most_per_kg: f64,
    /// Share of the index a spray at its best holds off.
    pub index_control: f64,
    /// Share of the DON it holds off.
    pub don_control: f64,
    /// DON for each percent of diseased spikelets, ppm.
    pub don_ppm_per_point: f64,
    /// Yield lost for each percent, kg/ha.
    pub loss_kg_ha_per_point: f64,
}

/// The money of one year's head blight, money/ha.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BlightMoney {
    /// Lost in yield without a spray, kg/ha.
    pub loss_kg_ha: f64,
    /// Saved in yield by a spray, kg/ha.
    pub saved_kg_ha: f64,
    /// DON discount without a spray, money/ha.
    pub discount: f64,
    /// DON discount with one, money/ha.
    pub discount_sprayed: f64,
}

impl Worth {
    /// DON to reckon a discount with, ppm: the published slope, without its intercept.
    ///
    /// The intercept (2.94 ppm where no spikelet looks diseased) comes from trials set where disease was expected;
    /// spring wheat lies lower. A clean field would be discounted every year by it.
    pub fn don_ppm(&self, index_pct: f64) -> f64 {
        self.don_ppm_per_point * index_pct
    }

    /// Discount, money/kg, at a DON.
    pub fn discount_per_kg(&self, don_ppm: f64) -> f64 {
        (self.don_per_kg_ppm * (don_ppm - self.don_from_ppm).max(0.0)).min(self.don_most_per_kg.max(0.0))
    }

    /// The money at an index, with a spray that reaches `response` (0 to 1) of its best.
    pub fn at(&self, index_pct: f64, response: f64) -> BlightMoney {
        let loss_kg_ha = (self.loss_kg_ha_per_point * index_pct).min(self.yield_kg_ha);
        let don = self.don_ppm(index_pct);
        let sprayed = don * (1.0 - self.don_control * response);
        BlightMoney {
            loss_kg_ha,
            saved_kg_ha: loss_kg_ha * self.index_control * response,
            discount: self.yield_kg_ha * self.discount_per_kg(don),
            discount_sprayed: self.yield_kg_ha * self.discount_per_kg(sprayed),
        }
    }

    /// What a spray at its best leaves over its cost, money/ha.
    pub fn net(&self, index_pct: f64) -> f64 {
        let m = self.at(index_pct, 1.0);
        m.saved_kg_ha * self.grain_per_kg + m.discount - m.discount_sprayed - self.spray_per_ha
    }

    /// The least index, %, at which a spray at its best pays; `None` when none does.
    pub fn break_even_index_pct(&self) -> Option<f64> {
        // The discount has a top, so the gain need not rise for ever: the first index that pays is looked for.
        let step = 0.1;
        (0..=1000).map(|i| f64::from(i) * step).find(|x| self.net(*x) >= 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Risk, fhb_risk};
    use super::*;
    use proptest::prelude::*;

    fn p() -> DiseaseParams {
        crate::CropParams::shipped().disease
    }

    fn worth() -> Worth {
        let p = p();
        Worth {
            grain_per_kg: 0.276,
            spray_per_ha: 54.0,
            yield_kg_ha: 3500.0,
            don_from_ppm: 1.0,
            don_per_kg_ppm: 0.012,
            don_most_per_kg: 0.046,
            index_control: 0.52,
            don_control: 0.42,
            don_ppm_per_point: p.don_ppm_per_point,
            loss_kg_ha_per_point: p.fhb_loss_kg_ha_per_point,
        }
    }

    #[test]
    fn an_epidemic_begins_where_high_does() {
        let p = p();
        assert!((expected_index_pct(p.high_h, Resistance::Intermediate, false, &p) - 10.0).abs() < 1e-9);
        assert_eq!(fhb_risk(p.high_h, Resistance::Intermediate, false, &p), Risk::High);
        // One class up reaches the same index at the foot of moderate.
        assert!((expected_index_pct(p.moderate_h, Resistance::Susceptible, false, &p) - 10.0).abs() < 1e-9);
        assert!(
            (expected_index_pct(p.high_h, Resistance::ModeratelyResistant, false, &p) - 2.0).abs() < 1e-9
        );
        assert_eq!(expected_index_pct(0.0, Resistance::Susceptible, true, &p), 0.0);
    }

    #[test]
    fn money_by_hand() {
        // 10 %: 380 kg lost, 197.6 saved; DON 2.2 then 1.276 ppm: 14.4 and 3.31 a tonne on 3.5 t.
        let w = worth();
        let m = w.at(10.0, 1.0);
        assert!((m.loss_kg_ha - 380.0).abs() < 1e-9 && (m.saved_kg_ha - 197.6).abs() < 1e-9);
        assert!((m.discount - 50.4).abs() < 1e-9 && (m.discount_sprayed - 11.592).abs() < 1e-9);
        assert!((w.net(10.0) - (197.6 * 0.276 + 38.808 - 54.0)).abs() < 1e-9);
        let even = w.break_even_index_pct().unwrap();
        assert!((5.0..10.0).contains(&even), "{even}");
        assert!(w.net(even) >= 0.0 && w.net(even - 0.1) < 0.0);
    }

    proptest! {
        #[test]
        fn more_hours_never_less_disease(h in 0.0..160.0f64, more in 0.0..40.0f64, stubble: bool) {
            let p = p();
            for r in [Resistance::Susceptible, Resistance::Intermediate, Resistance::ModeratelyResistant] {
                let at = |h| expected_index_pct(h, r, stubble, &p);
                prop_assert!(at(h + more) >= at(h) - 1e-12);
                prop_assert!(at(h) <= p.index_most_pct);
            }
            let at = |r| expected_index_pct(h, r, stubble, &p);
            prop_assert!(at(Resistance::Susceptible) >= at(Resistance::Intermediate));
            prop_assert!(at(Resistance::Intermediate) >= at(Resistance::ModeratelyResistant));
        }

        #[test]
        fn hours_and_index_go_back(index in 0.1..20.0f64, stubble: bool) {
            let p = p();
            if let Some(h) = hours_for_index(index, Resistance::Intermediate, stubble, &p) {
                prop_assert!((expected_index_pct(h, Resistance::Intermediate, stubble, &p) - index).abs() < 1e-6);
            }
        }
    }
}
