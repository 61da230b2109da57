//! What the plan says of each lot.

use jiff::civil::Date;
use stook_feed::Phase;
use stook_feed::plan;
use stook_measure::figure;

use super::put::Put;
use super::{Goes, LotAnswer};
use crate::offers::OwnLot;

/// What becomes of most of a lot.
pub(super) fn goes(fed: f64, sold: f64, left: f64) -> Goes {
    let all = (fed + sold + left).max(1e-9);
    if fed > 0.85 * all {
        Goes::Trough
    } else if sold > 0.85 * all {
        Goes::Mill
    } else if left > 0.5 * all && fed + sold < 0.3 * all {
        Goes::Kept
    } else {
        Goes::Both
    }
}

pub(super) fn lot_answer(p: &Put, l: &plan::LotPlan, own: &OwnLot, truck_t: Option<f64>) -> LotAnswer {
    let (fed, sold) = (l.fed_t(), l.sold_t());
    let g = goes(fed, sold, l.left_t);
    let worth = match (l.trough_t, l.mill_t) {
        (Some(t), Some(m)) => format!("{} a tonne in the trough, {} at the mill", figure(t, 0), figure(m, 0)),
        (Some(t), None) => format!("{} a tonne in the trough, and nobody bids", figure(t, 0)),
        (None, Some(m)) => format!("{} a tonne at the mill, and no ration has room", figure(m, 0)),
        (None, None) => "nobody bids, and no ration has room".to_string(),
    };
    let label = match (own.protein_pct, own.offer.class.as_str()) {
        (Some(x), "wheat_hrs") => format!(
            "{} ({} % protein{})",
            own.name,
            figure(x, 1),
            if own.don_ppm > 0.5 {
                format!(", DON taken at {}", figure(own.don_ppm, 1))
            } else {
                String::new()
            }
        ),
        _ => format!("{} ({})", own.name, own.crop.replace('_', " ")),
    };
    let verb = match g {
        Goes::Trough => "Feed",
        Goes::Mill => "Sell",
        Goes::Both => "Feed and sell",
        Goes::Kept => "Keep",
    };
    let words = format!("{verb} {label}: {worth}.");
    let why = match (g, l.trough_t, l.mill_t) {
        // Prices of a plan meet where a lot is split: there is nothing between the two.
        (Goes::Trough | Goes::Mill, Some(t), Some(m)) if (m - t).abs() < 0.5 => {
            format!(
                "It is worth {} a tonne either way; whole trucks and the other bins decide.",
                figure(m, 0)
            )
        }
        (Goes::Trough, Some(t), Some(m)) if m > t => format!(
            "A buyer would pay {} net and the pigs gain {} from a tonne; it is fed all the same, because {}.",
            figure(m, 0),
            figure(t, 0),
            if truck_t.is_some_and(|truck| fed < truck) {
                "it does not fill a truck"
            } else {
                "whole trucks and what the barn needs come out best together that way"
            }
        ),
        (Goes::Trough, Some(t), Some(m)) => format!(
            "A tonne of it saves {} of other feed and would bring {} net at the best buyer: {} more in the trough.",
            figure(t, 0),
            figure(m, 0),
            figure(t - m, 0)
        ),
        (Goes::Mill, Some(t), Some(m)) => format!(
            "A buyer pays {} net for it and the pigs gain {} from a tonne: {} more at the mill.",
            figure(m, 0),
            figure(t, 0),
            figure(m - t, 0)
        ),
        (Goes::Trough | Goes::Both, Some(t), None) => {
            format!("Nobody bids for it; in the trough a tonne saves {}.", figure(t, 0))
        }
        (Goes::Both, _, _) => "The barn takes what it needs; the rest is worth more sold.".into(),
        (Goes::Kept, _, _) => "It is worth more kept than sold at these bids.".into(),
        (_, None, _) => "Every ration that may hold it is full of it already.".into(),
        (Goes::Mill, Some(_), None) => String::new(),
    };
    let mut feeding: Vec<(Date, f64)> = Vec::new();
    let mut by_phase: Vec<(Phase, f64)> = Vec::new();
    for x in &l.fed {
        match feeding.iter_mut().find(|y| y.0 == p.months[x.month]) {
            Some(y) => y.1 += x.tonnes,
            None => feeding.push((p.months[x.month], x.tonnes)),
        }
        let phase = p.phases[x.ration];
        match by_phase.iter_mut().find(|y| y.0 == phase) {
            Some(y) => y.1 += x.tonnes,
            None => by_phase.push((phase, x.tonnes)),
        }
    }
    let sales =
        l.sold.iter().map(|s| (p.months[s.month], p.buyers[s.buyer].clone(), s.tonnes, s.price_t)).collect();
    LotAnswer {
        lot: own.clone(),
        goes: g,
        words,
        why,
        fed_t: fed,
        sold_t: sold,
        left_t: l.left_t,
        trough_t: l.trough_t,
        mill_t: l.mill_t,
        sales,
        feeding,
        by_phase,
    }
}

/// The two or three lots where the choice matters most, first.
pub(super) fn headline(lots: &[LotAnswer]) -> Vec<String> {
    let gap = |l: &LotAnswer| {
        let (t, m) = (l.trough_t.unwrap_or(0.0), l.mill_t.unwrap_or(0.0));
        (t - m).abs() * (l.fed_t + l.sold_t)
    };
    let mut all: Vec<&LotAnswer> = lots.iter().filter(|l| l.fed_t + l.sold_t > 1.0).collect();
    all.sort_by(|a, b| gap(b).total_cmp(&gap(a)));
    let mut out: Vec<String> = Vec::new();
    // A bin fed although a buyer pays more is explained on its own lines, not held up as the example.
    let fed_gladly = |l: &LotAnswer| l.trough_t.unwrap_or(0.0) >= l.mill_t.unwrap_or(0.0);
    for g in [Goes::Mill, Goes::Trough] {
        let fits = |l: &&&LotAnswer| l.goes == g && (g == Goes::Mill || fed_gladly(l));
        out.extend(all.iter().find(fits).map(|l| l.words.clone()));
    }
    for l in all {
        if out.len() >= 3 {
            break;
        }
        if !out.contains(&l.words) {
            out.push(l.words.clone());
        }
    }
    out
}
