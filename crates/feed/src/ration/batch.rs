//! A ration rounded to the mill's scales, and looked at again.

use serde::Serialize;

use super::{Offer, Ration};
use crate::FeedParams;
use crate::diet;
use crate::ingredient;
use crate::mixer;
use crate::need::Need;
use crate::nutrient::Composition;

/// Which scale an item is weighed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// Mixer scale.
    Mixer,
    /// Hand-add scale.
    Hand,
    /// Small scale.
    Small,
}

impl Scale {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Mixer => "mixer scale",
            Self::Hand => "hand scale",
            Self::Small => "small scale",
        }
    }

    /// Its graduation, kg.
    pub fn step_kg(self, p: &FeedParams) -> f64 {
        match self {
            Self::Mixer => p.bulk_step_kg,
            Self::Hand => p.hand_step_kg,
            Self::Small => p.micro_step_kg,
        }
    }
}

/// One line of a batch sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BatchItem {
    /// Key of the offer.
    pub key: String,
    /// Name.
    pub name: String,
    /// To weigh, kg.
    pub kg: f64,
    /// What the mixer's scale shows when it is in, kg, for what is weighed there; otherwise the sum so far.
    pub runs_to_kg: f64,
    /// On which scale.
    pub scale: Scale,
    /// Under 20 graduations: mixed with a carrier first, or weighed finer.
    pub with_carrier: bool,
}

/// A batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Batch {
    /// Lines in the order of adding.
    pub items: Vec<BatchItem>,
    /// All of it, kg.
    pub total_kg: f64,
    /// Money a tonne of it as rounded.
    pub cost_t: f64,
    /// Limits missed by more than is let pass after rounding, in sentences; empty when all is well.
    pub missed: Vec<String>,
    /// How many times an item was stepped up to meet a minimum.
    pub steps_up: usize,
}

fn order(group: &str, key: &str) -> u8 {
    // Grain or meal first so that the small things fall on feed; the small ones next; the rest; liquids last.
    match group {
        "grain" => 0,
        "premix" | "amino acid" => 1,
        "mineral" => 2,
        "fat" => 9,
        _ if key == "salt" => 2,
        _ => 5,
    }
}

/// Rounds `ration` to a batch of `size_kg`: each item to its scale; what is left goes on the main grain, rounded too; then
/// every limit again. A minimum may be missed by half a percent; a most by nothing. An item that binds is stepped up until
/// the minima are met.
pub fn round_batch(p: &FeedParams, need: &Need, offers: &[Offer], ration: &Ration, size_kg: f64) -> Batch {
    let offer = |key: &str| offers.iter().find(|o| o.key == key);
    let group = |o: &Offer| ingredient::find(&o.class).map_or("grain", |i| i.group.as_str());
    let mut lines: Vec<(&Offer, f64, Scale)> = ration
        .parts
        .iter()
        .filter_map(|part| {
            let o = offer(&part.key)?;
            let scale = match group(o) {
                "amino acid" => Scale::Small,
                "mineral" | "premix" => Scale::Hand,
                _ => Scale::Mixer,
            };
            Some((o, mixer::to_step(part.share * size_kg, scale.step_kg(p)), scale))
        })
        .filter(|(_, kg, _)| *kg > 0.0)
        .collect();
    let main = (0..lines.len())
        .filter(|i| group(lines[*i].0) == "grain")
        .max_by(|a, b| lines[*a].1.total_cmp(&lines[*b].1))
        .or_else(|| (0..lines.len()).max_by(|a, b| lines[*a].1.total_cmp(&lines[*b].1)));
    let fill = |lines: &mut Vec<(&Offer, f64, Scale)>| {
        if let Some(m) = main {
            let rest: f64 = lines.iter().enumerate().filter(|(i, _)| *i != m).map(|(_, l)| l.1).sum();
            lines[m].1 = mixer::to_step(size_kg - rest, lines[m].2.step_kg(p)).max(0.0);
        }
    };
    fill(&mut lines);
    let look = |lines: &[(&Offer, f64, Scale)]| {
        let total: f64 = lines.iter().map(|l| l.1).sum();
        let c = Composition::mix(lines.iter().map(|l| (l.1 / total, &l.0.holds)));
        let don = lines.iter().map(|l| l.1 / total * l.0.don_ppm).sum();
        diet::stand(need, &c, don)
    };
    let missed = |lines: &[(&Offer, f64, Scale)]| -> Vec<(f64, String, bool)> {
        look(lines)
            .into_iter()
            .filter_map(|s| {
                let short = s.least.map_or(-1.0, |l| (l - s.has) / l.abs().max(1e-9));
                let over = s.most.map_or(-1.0, |m| (s.has - m) / m.abs().max(1e-9));
                if short > p.round_tolerance {
                    Some((short, s.what, false))
                } else if over > 1e-6 {
                    Some((over, s.what, true))
                } else {
                    None
                }
            })
            .collect()
    };
    let mut steps_up = 0;
    while steps_up < 40 {
        let now = missed(&lines);
        let worst = now.iter().map(|m| m.0).fold(0.0, f64::max);
        if now.is_empty() {
            break;
        }
        // Try one graduation either way on each item but the grain that fills; take the best.
        let mut best: Option<(usize, f64, f64)> = None;
        for i in (0..lines.len()).filter(|i| Some(*i) != main) {
            for sign in [1.0, -1.0] {
                let mut tried = lines.clone();
                tried[i].1 += sign * tried[i].2.step_kg(p);
                if tried[i].1 < 0.0 || tried[i].0.class == "premix" {
                    continue;
                }
                fill(&mut tried);
                let after = missed(&tried).iter().map(|m| m.0).fold(0.0, f64::max);
                if after < worst - 1e-9 && best.is_none_or(|b| after < b.2) {
                    best = Some((i, sign, after));
                }
            }
        }
        let Some((i, sign, _)) = best else { break };
        lines[i].1 += sign * lines[i].2.step_kg(p);
        fill(&mut lines);
        steps_up += 1;
    }
    let missed = missed(&lines)
        .into_iter()
        .map(|(by, what, over)| {
            format!("{what} is {:.1} % {} after rounding", 100.0 * by, if over { "over" } else { "short" })
        })
        .collect();
    lines.retain(|l| l.1 > 0.0);
    let biggest = lines.iter().filter(|l| group(l.0) == "grain").map(|l| l.1).fold(0.0, f64::max);
    lines.sort_by(|a, b| {
        let key = |l: &(&Offer, f64, Scale)| {
            let first = if (l.1 - biggest).abs() < 1e-9 && group(l.0) == "grain" {
                0
            } else {
                order(group(l.0), &l.0.class).max(1)
            };
            let small = if first == 1 && l.2 == Scale::Mixer { 5 } else { first };
            (small, l.2)
        };
        key(a).cmp(&key(b)).then(b.1.total_cmp(&a.1))
    });
    let total_kg: f64 = lines.iter().map(|l| l.1).sum();
    let cost_t = lines.iter().map(|l| l.1 * l.0.price_t).sum::<f64>() / total_kg;
    let mut runs = 0.0;
    let items = lines
        .into_iter()
        .map(|(o, kg, scale)| {
            runs += kg;
            BatchItem {
                key: o.key.clone(),
                name: o.name.clone(),
                kg,
                runs_to_kg: (runs * 1e3).round() / 1e3,
                scale,
                with_carrier: mixer::too_few_steps(p, kg, scale.step_kg(p)),
            }
        })
        .collect();
    Batch { items, total_kg: (total_kg * 1e3).round() / 1e3, cost_t, missed, steps_up }
}
