//! The layers of a bin with what each has spent of its storage life, filled and drawn as the bin was.

use stook_grain::Grain;
use stook_grain::bed::{Bed, BedGrain, Layer};
use stook_grain::life::{LifeParams, Spent};

/// How grain leaves a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Down the core: the surface first.
    Funnel,
    /// Steep hopper: the bottom first.
    Mass,
}

/// Layers, the lowest first.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// Moisture and temperature.
    pub bed: Bed,
    /// Life spent, by layer.
    pub spent: Vec<Spent>,
    /// Dry matter at which a layer is full, kg/m2.
    pub each_kg_m2: f64,
}

impl Stack {
    /// Nothing yet; `most_kg_m2` is the dry matter the bin will hold, in `layers` layers.
    pub fn empty(grain: BedGrain, layers: usize, most_kg_m2: f64) -> Self {
        Self {
            bed: Bed { grain, layers: Vec::new() },
            spent: Vec::new(),
            each_kg_m2: (most_kg_m2 / layers as f64).max(1.0),
        }
    }

    /// Whether there is no grain.
    pub fn is_empty(&self) -> bool {
        self.bed.layers.is_empty()
    }

    /// Puts grain on top: dry matter, moisture (decimal dry basis), temperature. New grain has spent nothing; the top
    /// layer is filled up first and takes the mix.
    pub fn put(&mut self, dry_kg_m2: f64, m_dd: f64, t_c: f64) {
        let grain = self.bed.grain;
        let capacity = |m: f64| grain.heat_base + grain.heat_slope * m;
        let mut left = dry_kg_m2;
        while left > 1e-9 {
            let room = self.bed.layers.last().map_or(0.0, |l| self.each_kg_m2 - l.dry_kg_m2);
            // A load much wetter or drier starts a layer of its own: mixing it in would hide it.
            let alike = self.bed.layers.last().is_some_and(|l| (l.m_dd - m_dd).abs() < 0.01);
            if room > 1e-9 * self.each_kg_m2 && (alike || room < 0.5 * self.each_kg_m2) {
                let take = left.min(room);
                let (Some(l), Some(s)) = (self.bed.layers.last_mut(), self.spent.last_mut()) else { break };
                let (a, b) = (l.dry_kg_m2 * capacity(l.m_dd), take * capacity(m_dd));
                l.t_c = (a * l.t_c + b * t_c) / (a + b);
                let all = l.dry_kg_m2 + take;
                l.m_dd = (l.dry_kg_m2 * l.m_dd + take * m_dd) / all;
                for x in [&mut s.least, &mut s.likely, &mut s.most] {
                    *x *= l.dry_kg_m2 / all;
                }
                l.dry_kg_m2 = all;
                left -= take;
            } else {
                let take = left.min(self.each_kg_m2);
                self.bed.layers.push(Layer { dry_kg_m2: take, m_dd, t_c });
                self.spent.push(Spent::default());
                left -= take;
            }
        }
    }

    /// Draws dry matter; what is more than there is not drawn.
    pub fn draw(&mut self, dry_kg_m2: f64, flow: Flow) {
        let mut left = dry_kg_m2;
        while left > 1e-9 && !self.is_empty() {
            let at = if flow == Flow::Funnel { self.bed.layers.len() - 1 } else { 0 };
            let here = self.bed.layers[at].dry_kg_m2;
            if here <= left * (1.0 + 1e-12) {
                self.bed.layers.remove(at);
                self.spent.remove(at);
                left -= here;
            } else {
                self.bed.layers[at].dry_kg_m2 -= left;
                left = 0.0;
            }
        }
    }

    /// The same in fewer layers of about equal dry matter, nothing lost: for runs ahead. A layer keeps the life of the
    /// worst it is made of.
    #[must_use]
    pub fn coarser(&self, layers: usize) -> Self {
        let dry = self.bed.dry_kg_m2();
        let each = dry / layers as f64;
        if self.bed.layers.len() <= layers {
            return self.clone();
        }
        let mut out = Self {
            bed: Bed { grain: self.bed.grain, layers: Vec::new() },
            spent: Vec::new(),
            each_kg_m2: each,
        };
        let g = self.bed.grain;
        let (mut d, mut water, mut heat, mut capacity) = (0.0, 0.0, 0.0, 0.0);
        let mut worst = Spent::default();
        let last = self.bed.layers.len() - 1;
        for (i, (l, s)) in self.bed.layers.iter().zip(&self.spent).enumerate() {
            let c = l.dry_kg_m2 * (g.heat_base + g.heat_slope * l.m_dd);
            d += l.dry_kg_m2;
            water += l.dry_kg_m2 * l.m_dd;
            heat += c * l.t_c;
            capacity += c;
            worst = Spent {
                least: worst.least.max(s.least),
                likely: worst.likely.max(s.likely),
                most: worst.most.max(s.most),
            };
            // Closed when nearer to full than it would be with the next layer, and never across a jump in moisture.
            let jump = self.bed.layers.get(i + 1).is_some_and(|n| (n.m_dd - water / d).abs() > 0.02);
            if i == last || jump || d + 0.5 * l.dry_kg_m2 >= each {
                out.bed.layers.push(Layer { dry_kg_m2: d, m_dd: water / d, t_c: heat / capacity });
                out.spent.push(worst);
                (d, water, heat, capacity, worst) = (0.0, 0.0, 0.0, 0.0, Spent::default());
            }
        }
        out
    }

    /// Spends `days` of each layer's life by its own state.
    pub fn spend(&mut self, p: &LifeParams, grain: Grain, days: f64) {
        for (l, s) in self.bed.layers.iter().zip(&mut self.spent) {
            s.spend(p, grain, l.m_wb_pct(), l.t_c, days);
        }
    }

    /// Lets heat creep to or from outdoors: `share` of the gap.
    pub fn creep(&mut self, outside_c: f64, share: f64) {
        for l in &mut self.bed.layers {
            l.t_c += share * (outside_c - l.t_c);
        }
    }

    /// Index of the layer that has spent most.
    pub fn worst(&self) -> Option<usize> {
        (0..self.spent.len()).max_by(|a, b| self.spent[*a].likely.total_cmp(&self.spent[*b].likely))
    }

    /// Index of the layer that is spending fastest: where days left are fewest.
    pub fn shortest(&self, p: &LifeParams, grain: Grain) -> Option<(usize, [f64; 3])> {
        let left = |i: usize| {
            let l = &self.bed.layers[i];
            self.spent[i].left(p, grain, l.m_wb_pct(), l.t_c)
        };
        (0..self.spent.len()).filter_map(|i| Some((i, left(i)?))).min_by(|a, b| a.1[1].total_cmp(&b.1[1]))
    }

    /// Bottoms of the layers above the floor and the top of the last, m, for a bulk of `dry_kg_m3` dry matter.
    pub fn heights_m(&self, dry_kg_m3: f64) -> Vec<f64> {
        let mut at = 0.0;
        let mut out = vec![0.0];
        for l in &self.bed.layers {
            at += l.dry_kg_m2 / dry_kg_m3;
            out.push(at);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_grain::{EmcTable, Properties};
    use stook_measure::Reference;

    fn grain() -> BedGrain {
        let r = Reference::shipped();
        BedGrain::new(
            EmcTable::from_reference(&r).best(Grain::HardWheat).unwrap(),
            &Properties::from_reference(&r, Grain::HardWheat),
        )
    }

    #[test]
    fn the_wet_last_load_lies_on_top_and_keeps_its_moisture() {
        let mut s = Stack::empty(grain(), 30, 3000.0);
        s.put(2400.0, 0.16, 18.0);
        s.put(310.0, 0.227, 26.0);
        assert!((s.bed.dry_kg_m2() - 2710.0).abs() < 1e-6);
        assert!((s.bed.top().m_dd - 0.227).abs() < 1e-9 && (s.bed.layers[0].m_dd - 0.16).abs() < 1e-9);
        s.draw(310.0, Flow::Funnel);
        assert!(s.bed.top().m_dd < 0.17);
        s.draw(2000.0, Flow::Mass);
        assert!((s.bed.dry_kg_m2() - 400.0).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn nothing_is_lost_in_filling_drawing_and_coarsening(
            loads in proptest::collection::vec((10.0..400.0f64, 0.12..0.25f64, -10.0..35.0f64), 1..25),
            draws in proptest::collection::vec((0.0..300.0f64, proptest::bool::ANY), 0..4),
        ) {
            let mut s = Stack::empty(grain(), 30, 3000.0);
            let (mut dry, mut water) = (0.0, 0.0);
            for (d, m, t) in &loads {
                s.put(*d, *m, *t);
                dry += d;
                water += d * m;
            }
            prop_assert!((s.bed.dry_kg_m2() - dry).abs() < 1e-6 && (s.bed.water_kg_m2() - water).abs() < 1e-6);
            let heat = s.bed.heat_kj_m2();
            let coarse = s.coarser(20);
            prop_assert!((coarse.bed.dry_kg_m2() - dry).abs() < 1e-6);
            prop_assert!((coarse.bed.water_kg_m2() - water).abs() < 1e-6);
            prop_assert!((coarse.bed.heat_kj_m2() - heat).abs() < 1e-6 * heat.abs().max(1e3));
            for (kg, top) in draws {
                let before = s.bed.dry_kg_m2();
                s.draw(kg, if top { Flow::Funnel } else { Flow::Mass });
                prop_assert!((before - s.bed.dry_kg_m2() - kg.min(before)).abs() < 1e-6);
                prop_assert_eq!(s.spent.len(), s.bed.layers.len());
            }
        }
    }
}
