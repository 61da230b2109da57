//! Plans compared over the same weathers, and which to follow tonight.

use rayon::prelude::*;
use stook_grain::control::Hour;
use stook_measure::{Range, Spread};

use crate::money::Cost;
use crate::plan::Plan;
use crate::play::{Play, Played, play};
use crate::stack::Stack;

/// One plan over all weathers.
#[derive(Debug, Clone)]
pub struct Tried {
    /// The plan.
    pub plan: Plan,
    /// How it came out, by weather.
    pub played: Vec<Played>,
}

impl Tried {
    /// Plays a plan through every weather.
    pub fn over(start: &Stack, weathers: &[Vec<Hour>], plan: Plan, with: &Play<'_>) -> Self {
        Self { plan, played: weathers.par_iter().map(|hours| play(start, hours, plan, with)).collect() }
    }

    /// Money by weather.
    pub fn costs(&self) -> Vec<Cost> {
        self.played.iter().map(|r| r.cost).collect()
    }

    /// Mean money, all told.
    pub fn mean(&self) -> f64 {
        self.played.iter().map(|r| r.cost.total()).sum::<f64>() / self.played.len().max(1) as f64
    }

    /// Range of a figure over the weathers.
    pub fn range(&self, of: impl Fn(&Played) -> f64) -> Option<Range> {
        Range::of(&self.played.iter().map(of).collect::<Vec<_>>())
    }

    /// Range of a day that not every weather reaches, in days; those that do not count as `never`. With the share
    /// that does.
    pub fn days(&self, never: f64, of: impl Fn(&Played) -> Option<f64>) -> (Option<Range>, f64) {
        let n = self.played.len().max(1) as f64;
        let reached = self.played.iter().filter(|r| of(r).is_some()).count() as f64 / n;
        (self.range(|r| of(r).map_or(never, |h| h / 24.0)), reached)
    }

    /// Share of the weathers in which the fan runs, for each of the first hours.
    pub fn first_hours(&self) -> Vec<f64> {
        let n = self.played.len().max(1) as f64;
        let hours = self.played.iter().map(|r| r.first.len()).min().unwrap_or(0);
        (0..hours).map(|h| self.played.iter().filter(|r| r.first[h]).count() as f64 / n).collect()
    }

    /// Share of the weathers in which the grain is dry before its life is out.
    pub fn dry_in_time(&self) -> f64 {
        let n = self.played.len().max(1) as f64;
        self.played
            .iter()
            .map(|r| match (r.dry_h, r.out_h) {
                (Some(d), Some(o)) => f64::from(u8::from(d < o)),
                (Some(_), None) => 1.0,
                (None, Some(_)) => 0.0,
                (None, None) => 0.0,
            })
            .sum::<f64>()
            / n
    }
}

/// The cheapest of the plans tried, and what it saves against the first (fan off).
pub fn cheapest(tried: &[Tried]) -> Option<(usize, Spread)> {
    let best = (0..tried.len()).min_by(|a, b| tried[*a].mean().total_cmp(&tried[*b].mean()))?;
    let saved: Vec<f64> = tried[0]
        .played
        .iter()
        .zip(&tried[best].played)
        .map(|(off, on)| off.cost.total() - on.cost.total())
        .collect();
    Some((best, Spread::of(&saved)?))
}

/// Hours that belong together: from and to (the first hour off), where at least half of the weathers run.
pub fn blocks(shares: &[f64]) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (h, share) in shares.iter().enumerate() {
        if *share < 0.5 {
            continue;
        }
        match out.last_mut() {
            // An hour off between two runs is not worth a walk to the switch.
            Some(last) if h <= last.1 + 1 => last.1 = h + 1,
            _ => out.push((h, h + 1)),
        }
    }
    // A run of an hour or two is not worth a walk either.
    out.retain(|b| b.1 - b.0 >= 3);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_said_as_runs() {
        let mut shares = vec![0.1; 24];
        for h in [4, 5, 6, 8, 9, 13, 20, 21, 22] {
            shares[h] = 0.8;
        }
        assert_eq!(blocks(&shares), [(4, 10), (20, 23)]);
        assert_eq!(blocks(&[0.9; 24]), [(0, 24)]);
        assert!(blocks(&[0.2; 24]).is_empty());
    }
}
