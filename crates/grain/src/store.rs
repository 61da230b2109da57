//! A bin's contents in the order they went in, and what comes out first.

use crate::lot::{Lot, LotError};

/// How grain leaves a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flow {
    /// Flat bottom: down the core, so the surface (the last in) comes out first.
    Funnel,
    /// Steep hopper: near enough first in, first out.
    Mass,
    /// Stirred or turned: all of one mix.
    Mixed,
}

/// Loads in a bin, the first in at the bottom.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Store {
    layers: Vec<Lot>,
}

impl Store {
    /// Puts a load on top.
    pub fn put(&mut self, lot: Lot) {
        if lot.mass_kg() > 0.0 {
            self.layers.push(lot);
        }
    }

    /// The layers from the floor up.
    pub fn layers(&self) -> &[Lot] {
        &self.layers
    }

    /// All of it as one mix.
    pub fn total(&self) -> Lot {
        let mut total = Lot::default();
        for l in &self.layers {
            total.add(l);
        }
        total
    }

    /// Draws `mass_kg` off the way the bin empties. What comes back carries its likely sources.
    ///
    /// # Errors
    /// When there is not so much.
    pub fn draw(&mut self, mass_kg: f64, flow: Flow) -> Result<Lot, LotError> {
        let held_kg: f64 = self.layers.iter().map(Lot::mass_kg).sum();
        if !(mass_kg.is_finite() && mass_kg >= 0.0) {
            return Err(LotError::NotAWeight(mass_kg));
        }
        if mass_kg > held_kg * (1.0 + 1e-9) + 1e-9 {
            return Err(LotError::TooMuch { asked_kg: mass_kg, held_kg });
        }
        let mut out = Lot::default();
        if flow == Flow::Mixed {
            let share = if held_kg > 0.0 { (mass_kg / held_kg).min(1.0) } else { 0.0 };
            for l in &mut self.layers {
                let kg = l.mass_kg() * share;
                out.add(&l.draw(kg)?);
            }
        } else {
            let mut left = mass_kg;
            while left > 0.0 && !self.layers.is_empty() {
                let at = if flow == Flow::Funnel { self.layers.len() - 1 } else { 0 };
                let kg = self.layers[at].mass_kg();
                if kg <= left {
                    out.add(&self.layers.remove(at));
                    left -= kg;
                } else {
                    out.add(&self.layers[at].draw(left)?);
                    left = 0.0;
                }
            }
        }
        Ok(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lot::Quality;
    use proptest::prelude::*;

    fn filled() -> Store {
        let mut s = Store::default();
        for (kg, m, from) in [(20_000.0, 13.0, "north"), (15_000.0, 14.0, "creek"), (9_000.0, 16.0, "home")] {
            s.put(Lot::new(kg, m, &Quality::default(), from).unwrap());
        }
        s
    }

    #[test]
    fn a_flat_floor_gives_the_last_load_first() {
        let mut s = filled();
        let out = s.draw(12_000.0, Flow::Funnel).unwrap();
        let kg = |l: &Lot, n: &str| l.sources().iter().find(|x| x.0 == n).map_or(0.0, |x| x.1);
        assert!((kg(&out, "home") - 9_000.0).abs() < 1e-6 && (kg(&out, "creek") - 3_000.0).abs() < 1e-6);
        let mut s = filled();
        let out = s.draw(12_000.0, Flow::Mass).unwrap();
        assert!((kg(&out, "north") - 12_000.0).abs() < 1e-6);
        assert!(s.draw(1e6, Flow::Mass).is_err());
    }

    proptest! {
        #[test]
        fn nothing_is_lost(draws in proptest::collection::vec((0.0..9_000.0f64, 0usize..3), 0..12)) {
            let mut s = filled();
            let (dry, water) = (s.total().dry_kg(), s.total().water_kg());
            let mut out = Lot::default();
            for (kg, how) in draws {
                let flow = [Flow::Funnel, Flow::Mass, Flow::Mixed][how];
                if let Ok(l) = s.draw(kg, flow) {
                    out.add(&l);
                }
            }
            prop_assert!((s.total().dry_kg() + out.dry_kg() - dry).abs() < 1e-9 * dry);
            prop_assert!((s.total().water_kg() + out.water_kg() - water).abs() < 1e-9 * water);
        }
    }
}
