//! The heap in a bin: layers as they went in, and which of them a load out comes from.

use jiff::civil::DateTime;
use stook_grain::lot::{Lot, Quality};
use uuid::Uuid;

/// What went in at one time, or what is left of it.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Layer {
    /// The grain.
    pub lot: Lot,
    /// When it went in.
    pub since: DateTime,
    /// The load that brought it; none for grain the book found there.
    pub entry: Option<Uuid>,
    /// Its temperature going in, C, if taken.
    pub temperature_c: Option<f64>,
}

/// How grain runs out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flow {
    /// From the core and the surface: the last in is the first out. The share is what comes evenly from all depths.
    Funnel {
        /// Share from all depths.
        core_share: f64,
    },
    /// A steep hopper: the first in is the first out.
    Mass,
}

/// The layers of a bin, from the bottom up.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct Heap(Vec<Layer>);

/// What counts as nothing, kg.
pub const NOTHING_KG: f64 = 1e-6;

impl Heap {
    /// The layers, from the bottom up.
    pub fn layers(&self) -> &[Layer] {
        &self.0
    }

    /// Whether there is grain.
    pub fn is_empty(&self) -> bool {
        self.mass_kg() <= NOTHING_KG
    }

    /// Mass, kg.
    pub fn mass_kg(&self) -> f64 {
        self.0.iter().map(|l| l.lot.mass_kg()).sum()
    }

    /// All of it mixed.
    pub fn mix(&self) -> Lot {
        let mut all = Lot::default();
        for l in &self.0 {
            all.add(&l.lot);
        }
        all
    }

    /// A load in.
    pub fn put(&mut self, layer: Layer) {
        if layer.lot.mass_kg() > 0.0 {
            self.0.push(layer);
        }
    }

    /// Everything, leaving the bin empty.
    pub fn take_all(&mut self) -> Lot {
        let all = self.mix();
        self.0.clear();
        all
    }

    /// Draws up to `kg`; less when there is less. Each part with the layer it came from.
    pub fn draw(&mut self, kg: f64, flow: Flow) -> (Lot, Vec<(Option<Uuid>, f64)>) {
        let held = self.mass_kg();
        let kg = kg.clamp(0.0, held);
        let mut want = vec![0.0; self.0.len()];
        let masses: Vec<f64> = self.0.iter().map(|l| l.lot.mass_kg()).collect();
        let mut rest = kg;
        if let Flow::Funnel { core_share } = flow
            && held > 0.0
        {
            let core = kg * core_share;
            for (w, m) in want.iter_mut().zip(&masses) {
                *w = core * m / held;
            }
            rest = kg - core;
        }
        let order: Vec<usize> = match flow {
            Flow::Funnel { .. } => (0..masses.len()).rev().collect(),
            Flow::Mass => (0..masses.len()).collect(),
        };
        for i in order {
            let take = rest.min(masses[i] - want[i]).max(0.0);
            want[i] += take;
            rest -= take;
        }
        let (mut out, mut parts) = (Lot::default(), Vec::new());
        for (layer, want) in self.0.iter_mut().zip(want) {
            if want <= 0.0 {
                continue;
            }
            // The last crumb of a layer goes with it, so that no layer is left with less than nothing.
            let want = want.min(layer.lot.mass_kg());
            if let Ok(drawn) = layer.lot.draw(want) {
                parts.push((layer.entry, drawn.mass_kg()));
                out.add(&drawn);
            }
        }
        parts.reverse();
        self.0.retain(|l| l.lot.mass_kg() > NOTHING_KG * 1e-3);
        (out, parts)
    }

    /// Takes a share out of every layer.
    pub fn draw_evenly(&mut self, kg: f64) -> Lot {
        self.draw(kg, Flow::Funnel { core_share: 1.0 }).0
    }

    /// Adds mass of source `key` to every layer in proportion, at its own moisture and quality.
    pub fn grow(&mut self, kg: f64, key: &str) -> Lot {
        let held = self.mass_kg();
        let mut added = Lot::default();
        if held <= 0.0 || kg <= 0.0 {
            return added;
        }
        for l in &mut self.0 {
            let part = kg * l.lot.mass_kg() / held;
            let moisture = l.lot.moisture_pct().unwrap_or(0.0);
            if let Ok(lot) = Lot::new(part, moisture, &quality_of(&l.lot), key) {
                l.lot.add(&lot);
                added.add(&lot);
            }
        }
        added
    }

    /// Brings the layers in `which` to what a sample of them showed: each keeps its difference from the others.
    /// Returns the water that left, kg, when `dried`.
    pub fn sampled(&mut self, which: Which, moisture_pct: Option<f64>, q: &Quality, dried: bool) -> f64 {
        let n = self.0.len();
        let range = match which {
            Which::All => 0..n,
            Which::Top => n.saturating_sub(1)..n,
            Which::Bottom => 0..n.min(1),
        };
        let mut mix = Lot::default();
        for l in &self.0[range.clone()] {
            mix.add(&l.lot);
        }
        let basis = q.protein_basis_pct;
        let shift = |new: Option<f64>, mean: Option<f64>, own: Option<f64>| {
            let new = new?;
            Some(match (mean, own) {
                (Some(mean), Some(own)) => (own + new - mean).max(0.0),
                _ => new,
            })
        };
        let scale = |new: Option<f64>, mean: Option<f64>, own: Option<f64>| {
            let new = new?;
            Some(match (mean, own) {
                (Some(mean), Some(own)) if mean > 0.0 => own * new / mean,
                _ => new,
            })
        };
        let mut water = 0.0;
        for l in &mut self.0[range] {
            let own = &l.lot;
            let moisture = shift(moisture_pct, mix.moisture_pct(), own.moisture_pct()).map(|m| m.min(60.0));
            let fresh = Quality {
                protein_pct: shift(q.protein_pct, mix.protein_pct(basis), own.protein_pct(basis)),
                protein_basis_pct: basis,
                don_ppm: scale(q.don_ppm, mix.don_ppm(), own.don_ppm()),
                test_weight_kg_hl: shift(
                    q.test_weight_kg_hl,
                    mix.test_weight_kg_hl(),
                    own.test_weight_kg_hl(),
                ),
                // By the number that mixes, so that the mix of the layers is the sample.
                falling_number_s: q.falling_number_s,
                dockage_pct: scale(q.dockage_pct, mix.dockage_pct(), own.dockage_pct()),
            };
            let mut anchored = moisture;
            if let (true, Some(m)) = (dried, moisture) {
                water += l.lot.dry_to(m).unwrap_or(0.0);
                anchored = None;
            }
            // Figures at the door are within what a lot takes.
            let _ = l.lot.sampled(anchored, &fresh);
        }
        water
    }
}

/// Which part of the heap a sample speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// All of it.
    All,
    /// The top layer.
    Top,
    /// The bottom layer.
    Bottom,
}

/// The qualities of a lot as a quality, protein dry.
pub fn quality_of(lot: &Lot) -> Quality {
    Quality {
        protein_pct: lot.protein_pct(0.0),
        protein_basis_pct: 0.0,
        don_ppm: lot.don_ppm(),
        test_weight_kg_hl: lot.test_weight_kg_hl(),
        falling_number_s: lot.falling_number_s().filter(|f| *f >= stook_grain::lot::LOWEST_FALLING_NUMBER_S),
        dockage_pct: lot.dockage_pct(),
    }
}
