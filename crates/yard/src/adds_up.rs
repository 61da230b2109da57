//! Does it all add up: one bin's grain since it was last empty.

use crate::state::{BinState, Happened};

/// Less than a pailful is nothing, kg.
pub const NOTHING_KG: f64 = 10.0;

/// A bin's account since it was last empty.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize)]
pub struct AddsUp {
    /// Loads in, kg.
    pub in_kg: f64,
    /// Found by a measure, or drawn though the book had it not, kg.
    pub found_kg: f64,
    /// Loads out, kg.
    pub out_kg: f64,
    /// Water that left in the bin, kg.
    pub water_kg: f64,
    /// Missing by a measure or when it was empty, kg.
    pub missing_kg: f64,
    /// In it now, kg.
    pub now_kg: f64,
    /// How far the weights themselves may be out, kg (two standard deviations).
    pub doubt_kg: f64,
    /// Whether it has been emptied, so that what is missing is known.
    pub closed: bool,
}

impl AddsUp {
    /// In and found, less out, water and missing: what is in it now.
    pub fn gap_kg(&self) -> f64 {
        self.in_kg + self.found_kg - self.out_kg - self.water_kg - self.missing_kg - self.now_kg
    }

    /// In a sentence, with `grain` to say a weight.
    pub fn sentence(&self, grain: &dyn Fn(f64) -> String) -> String {
        let mut parts = vec![format!("In {}", grain(self.in_kg))];
        parts.push(format!("out {}", grain(self.out_kg)));
        if self.water_kg > NOTHING_KG {
            parts.push(format!("water {}", grain(self.water_kg)));
        }
        if !self.closed {
            parts.push(format!("there now {}", grain(self.now_kg)));
        }
        let net = self.missing_kg - self.found_kg;
        let word = if net >= 0.0 { "missing" } else { "more than written" };
        if net.abs() > NOTHING_KG {
            parts.push(format!("{word} {}", grain(net.abs())));
        } else if self.closed {
            parts.push("nothing missing".into());
        }
        let share = if self.in_kg > 0.0 { net.abs() / self.in_kg } else { 0.0 };
        let judged = if net.abs() <= NOTHING_KG {
            String::new()
        } else if net.abs() <= self.doubt_kg {
            " That is within what the scales themselves may be out.".into()
        } else if share < 0.01 {
            " Under a hundredth: handling loses as much.".into()
        } else {
            " That is more than scales and handling explain: look for a load not written, written twice, or into another bin.".into()
        };
        format!("{}.{judged}", parts.join(", "))
    }
}

/// From the last time it was empty; when it is empty now, from the time before.
pub fn since_empty(b: &BinState) -> AddsUp {
    let emptied: Vec<usize> = b
        .history
        .iter()
        .enumerate()
        .filter(|(_, e)| matches!(e.what, Happened::Emptied { .. }))
        .map(|(i, _)| i)
        .collect();
    let closed = b.is_empty() && b.history.last().is_some_and(|e| matches!(e.what, Happened::Emptied { .. }));
    let starts = if closed { emptied.iter().rev().nth(1) } else { emptied.last() };
    let from = starts.map_or(0, |i| i + 1);
    let mut a = AddsUp { now_kg: b.mass_kg(), closed, ..AddsUp::default() };
    let mut before = 0.0;
    for e in &b.history[from..] {
        match &e.what {
            Happened::In { lot, .. } => a.in_kg += lot.mass_kg(),
            Happened::Out { lot, short_kg, .. } => {
                a.out_kg += lot.mass_kg();
                a.found_kg += short_kg;
            }
            Happened::Sample { water_kg, .. } => a.water_kg += water_kg,
            Happened::Measured { .. } => {
                let change = e.after_kg - before;
                if change > 0.0 { a.found_kg += change } else { a.missing_kg -= change }
            }
            Happened::Emptied { missing_kg } => a.missing_kg += missing_kg,
        }
        before = e.after_kg;
    }
    a.doubt_kg = 2.0 * doubt(b, from);
    a
}

/// Spread of the loads themselves, kg.
fn doubt(b: &BinState, from: usize) -> f64 {
    b.history[from..]
        .iter()
        .map(|e| match &e.what {
            Happened::In { sd_kg, .. } | Happened::Out { sd_kg, .. } => sd_kg * sd_kg,
            _ => 0.0,
        })
        .sum::<f64>()
        .sqrt()
}
