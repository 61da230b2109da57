//! Stepping a new lot in over days, and who must not get it.

use serde::Serialize;
use stook_book::BinId;
use stook_feed::{Phase, toxin};
use stook_measure::figure;

use crate::Facts;
use crate::offers::{self, OwnLot};

/// A step.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Step {
    /// Day, from 1.
    pub day: usize,
    /// Share of the new lot in the grain of the ration.
    pub share: f64,
}

/// How to bring a lot in.
#[derive(Debug, Clone, Serialize)]
pub struct StepIn {
    /// The lot.
    pub lot: OwnLot,
    /// Steps.
    pub steps: Vec<Step>,
    /// Largest share of the whole diet it may reach in each phase by its toxin, and by its kind's limit.
    pub most: Vec<(Phase, f64)>,
    /// Who must not get it, in sentences.
    pub keep_from: Vec<String>,
    /// First sentence.
    pub words: String,
}

/// For a bin. None when there is nothing in it that could be fed.
pub fn answer(f: &Facts<'_>, bin: &BinId) -> Option<StepIn> {
    let lot = offers::own_lots(f).into_iter().find(|l| l.bin == *bin)?;
    let n = f.params.step_in_days.round().max(2.0) as usize;
    // Four even steps over the days.
    let steps: Vec<Step> = (1..=n)
        .map(|day| Step { day, share: (4.0 * day as f64 / n as f64).ceil() / 4.0 })
        .map(|s| Step { share: s.share.min(1.0), ..s })
        .collect();
    let mut keep_from = Vec::new();
    if let Some(n) = &lot.never {
        keep_from.push(n.clone());
    }
    let most: Vec<(Phase, f64)> = Phase::ALL
        .iter()
        .map(|p| {
            let limit = toxin::limit("don", *p).map_or(1.0, |l| l.limit);
            (*p, toxin::share_max(lot.don_ppm, 0.0, limit).min(offers::lot_max(&lot, *p)))
        })
        .collect();
    if lot.don_ppm > 1.0 {
        keep_from.push(format!(
            "Not to sows, gilts or the nursery: DON is taken at {} ppm.",
            figure(lot.don_ppm, 1)
        ));
    } else if !lot.don_tested && matches!(lot.offer.class.as_str(), "wheat_hrs" | "barley") {
        keep_from.push("Not to sows, gilts or the nursery before its DON is tested.".into());
    } else if lot.don_ppm > 0.5 {
        keep_from.push(format!(
            "Sows, gilts and the nursery get cleaner grain while there is any: DON {} ppm.",
            figure(lot.don_ppm, 1)
        ));
    }
    let words = if lot.never.is_some() {
        format!("{} is not fed.", lot.name)
    } else {
        format!(
            "Bring {} in over {n} days: a quarter of the grain, then half, three quarters, all of it.",
            lot.name
        )
    };
    Some(StepIn { lot, steps, most, keep_from, words })
}
