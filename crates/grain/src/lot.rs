//! Lots as exact mixes: what is in a bin, a load or a pile, and where it came from.
//!
//! Everything is carried as amounts (kg of water, of dry matter, of protein ...), so mixing adds and drawing off
//! takes a share, and nothing is ever gained or lost. A quality known for part of a lot is the mean of that part,
//! and the share for which it is known goes with it.

/// A quality carried as its weight-mean over the part of a lot for which it was measured.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Measured {
    /// Sum of value x weight.
    sum: f64,
    /// Weight for which it is known, kg.
    known_kg: f64,
}

impl Measured {
    fn of(value: Option<f64>, weight_kg: f64) -> Self {
        value.map_or_else(Self::default, |v| Self { sum: v * weight_kg, known_kg: weight_kg })
    }

    fn plus(self, other: Self) -> Self {
        Self { sum: self.sum + other.sum, known_kg: self.known_kg + other.known_kg }
    }

    fn times(self, share: f64) -> Self {
        Self { sum: self.sum * share, known_kg: self.known_kg * share }
    }

    /// Mean, where any of it is known.
    pub fn mean(&self) -> Option<f64> {
        (self.known_kg > 0.0).then(|| self.sum / self.known_kg)
    }

    /// Weight for which it is known, kg.
    pub fn known_kg(&self) -> f64 {
        self.known_kg
    }

    /// Sum of value x weight: what is conserved.
    pub fn amount(&self) -> f64 {
        self.sum
    }
}

/// What was measured on a lot; anything not measured is left out.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Quality {
    /// Protein, percent, at `protein_basis_pct` moisture.
    pub protein_pct: Option<f64>,
    /// Moisture basis of the protein, percent wet basis (13.5 in Canada, 12 in the United States, 0 dry).
    pub protein_basis_pct: f64,
    /// Deoxynivalenol, mg/kg as it is.
    pub don_ppm: Option<f64>,
    /// Test weight, kg/hL.
    pub test_weight_kg_hl: Option<f64>,
    /// Falling number, s.
    pub falling_number_s: Option<f64>,
    /// Dockage, percent of the weight.
    pub dockage_pct: Option<f64>,
}

/// A lot.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Lot {
    dry_kg: f64,
    water_kg: f64,
    /// Protein, percent of dry matter, weighted by dry matter.
    protein_db: Measured,
    don: Measured,
    test_weight: Measured,
    /// Falling number as its liquefaction number, the form that mixes.
    liquefaction: Measured,
    dockage: Measured,
    /// Where it came from: name and wet kg.
    sources: Vec<(String, f64)>,
}

/// What cannot be done with a lot.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LotError {
    /// More than there is.
    #[error(
        "{asked_kg:.0} kg is more than the {held_kg:.0} kg in the lot; check the load or enter a measured bin"
    )]
    TooMuch {
        /// Asked.
        asked_kg: f64,
        /// Held.
        held_kg: f64,
    },
    /// Not a weight.
    #[error("a weight must be a number of kilograms that is not negative; {0} was given")]
    NotAWeight(f64),
    /// Not a moisture.
    #[error("moisture must be between 0 and 60 % of wet weight; {0} was given")]
    NotAMoisture(f64),
    /// Falling number too low to be mixed.
    #[error(
        "a falling number of {0} s is too low to reckon with: below 62 s the test says nothing, ask a laboratory"
    )]
    FallingNumber(f64),
}

/// Lowest falling number the test can give, s (62 by its maker).
pub const LOWEST_FALLING_NUMBER_S: f64 = 62.0;

impl Lot {
    /// A lot of `mass_kg` at `moisture_pct` (wet basis) from `source`.
    ///
    /// # Errors
    /// For impossible weights, moistures or falling numbers.
    pub fn new(mass_kg: f64, moisture_pct: f64, quality: &Quality, source: &str) -> Result<Self, LotError> {
        if !(mass_kg.is_finite() && mass_kg >= 0.0) {
            return Err(LotError::NotAWeight(mass_kg));
        }
        if !(0.0..=60.0).contains(&moisture_pct) {
            return Err(LotError::NotAMoisture(moisture_pct));
        }
        if let Some(fn_s) = quality.falling_number_s.filter(|f| *f < LOWEST_FALLING_NUMBER_S) {
            return Err(LotError::FallingNumber(fn_s));
        }
        let water_kg = mass_kg * moisture_pct / 100.0;
        let dry_kg = mass_kg - water_kg;
        let protein_db = quality.protein_pct.map(|p| change_basis(p, quality.protein_basis_pct, 0.0));
        Ok(Self {
            dry_kg,
            water_kg,
            protein_db: Measured::of(protein_db, dry_kg),
            don: Measured::of(quality.don_ppm, mass_kg),
            test_weight: Measured::of(quality.test_weight_kg_hl, mass_kg),
            liquefaction: Measured::of(quality.falling_number_s.map(liquefaction_number), mass_kg),
            dockage: Measured::of(quality.dockage_pct, mass_kg),
            sources: vec![(source.to_string(), mass_kg)],
        })
    }

    /// Wet mass, kg.
    pub fn mass_kg(&self) -> f64 {
        self.dry_kg + self.water_kg
    }

    /// Dry matter, kg.
    pub fn dry_kg(&self) -> f64 {
        self.dry_kg
    }

    /// Water, kg.
    pub fn water_kg(&self) -> f64 {
        self.water_kg
    }

    /// Moisture, percent wet basis; nothing in an empty lot.
    pub fn moisture_pct(&self) -> Option<f64> {
        (self.mass_kg() > 0.0).then(|| 100.0 * self.water_kg / self.mass_kg())
    }

    /// Protein, percent, at a moisture basis.
    pub fn protein_pct(&self, basis_pct: f64) -> Option<f64> {
        self.protein_db.mean().map(|p| change_basis(p, 0.0, basis_pct))
    }

    /// Deoxynivalenol, mg/kg as it is.
    pub fn don_ppm(&self) -> Option<f64> {
        self.don.mean()
    }

    /// Test weight, kg/hL: near enough for like lots, an estimate otherwise.
    pub fn test_weight_kg_hl(&self) -> Option<f64> {
        self.test_weight.mean()
    }

    /// Falling number, s, by liquefaction numbers.
    pub fn falling_number_s(&self) -> Option<f64> {
        self.liquefaction.mean().map(falling_number)
    }

    /// Dockage, percent of the weight.
    pub fn dockage_pct(&self) -> Option<f64> {
        self.dockage.mean()
    }

    /// Each quality as carried: protein of dry matter, DON, test weight, liquefaction number, dockage.
    pub fn measured(&self) -> [Measured; 5] {
        [self.protein_db, self.don, self.test_weight, self.liquefaction, self.dockage]
    }

    /// Where it came from: name and wet kg as they went in.
    pub fn sources(&self) -> &[(String, f64)] {
        &self.sources
    }

    /// Puts another lot in and mixes.
    pub fn add(&mut self, other: &Self) {
        self.dry_kg += other.dry_kg;
        self.water_kg += other.water_kg;
        self.protein_db = self.protein_db.plus(other.protein_db);
        self.don = self.don.plus(other.don);
        self.test_weight = self.test_weight.plus(other.test_weight);
        self.liquefaction = self.liquefaction.plus(other.liquefaction);
        self.dockage = self.dockage.plus(other.dockage);
        for (name, kg) in &other.sources {
            match self.sources.iter_mut().find(|(n, _)| n == name) {
                Some((_, held)) => *held += kg,
                None => self.sources.push((name.clone(), *kg)),
            }
        }
    }

    /// Draws `mass_kg` off, of the same mix, and returns it.
    ///
    /// # Errors
    /// When there is not so much.
    pub fn draw(&mut self, mass_kg: f64) -> Result<Self, LotError> {
        let held_kg = self.mass_kg();
        if !(mass_kg.is_finite() && mass_kg >= 0.0) {
            return Err(LotError::NotAWeight(mass_kg));
        }
        if mass_kg > held_kg * (1.0 + 1e-9) + 1e-9 {
            return Err(LotError::TooMuch { asked_kg: mass_kg, held_kg });
        }
        let share = if held_kg > 0.0 { (mass_kg / held_kg).min(1.0) } else { 0.0 };
        let drawn = self.share(share);
        *self = self.share(1.0 - share);
        Ok(drawn)
    }

    fn share(&self, share: f64) -> Self {
        Self {
            dry_kg: self.dry_kg * share,
            water_kg: self.water_kg * share,
            protein_db: self.protein_db.times(share),
            don: self.don.times(share),
            test_weight: self.test_weight.times(share),
            liquefaction: self.liquefaction.times(share),
            dockage: self.dockage.times(share),
            sources: self.sources.iter().map(|(n, kg)| (n.clone(), kg * share)).collect(),
        }
    }

    /// Dries (or wets) to `moisture_pct`, keeping dry matter; returns the water taken off, kg.
    ///
    /// DON and dockage stay as amounts; test weight and falling number are left as they were.
    ///
    /// # Errors
    /// For an impossible moisture.
    pub fn dry_to(&mut self, moisture_pct: f64) -> Result<f64, LotError> {
        if !(0.0..=60.0).contains(&moisture_pct) {
            return Err(LotError::NotAMoisture(moisture_pct));
        }
        let before = self.mass_kg();
        let water = self.dry_kg * moisture_pct / (100.0 - moisture_pct);
        let taken = self.water_kg - water;
        self.water_kg = water;
        if before > 0.0 {
            // The amount of toxin and of dockage does not change; the weight they are spread over does.
            let ratio = self.mass_kg() / before;
            self.don.known_kg *= ratio;
            self.dockage.known_kg *= ratio;
        }
        Ok(taken)
    }

    /// Re-anchors to a sample taken from the lot: what the sample measured replaces what was reckoned, for the whole
    /// lot. Weight and sources stay; a new moisture shifts weight between water and dry matter.
    ///
    /// # Errors
    /// As [`Lot::new`].
    pub fn sampled(&mut self, moisture_pct: Option<f64>, quality: &Quality) -> Result<(), LotError> {
        let moisture = moisture_pct.or_else(|| self.moisture_pct()).unwrap_or(0.0);
        let fresh = Self::new(self.mass_kg(), moisture, quality, "sample")?;
        (self.dry_kg, self.water_kg) = (fresh.dry_kg, fresh.water_kg);
        let swap = |old: &mut Measured, new: Measured| {
            if new.known_kg > 0.0 {
                *old = new;
            }
        };
        swap(&mut self.protein_db, fresh.protein_db);
        swap(&mut self.don, fresh.don);
        swap(&mut self.test_weight, fresh.test_weight);
        swap(&mut self.liquefaction, fresh.liquefaction);
        swap(&mut self.dockage, fresh.dockage);
        Ok(())
    }
}

/// A mass fraction (protein, oil, ash, toxin) from one moisture basis to another, percent wet basis; 0 is dry.
pub fn change_basis(value: f64, from_pct: f64, to_pct: f64) -> f64 {
    value * (100.0 - to_pct) / (100.0 - from_pct)
}

/// Liquefaction number of a falling number: 6000 / (FN - 50), which mixes by weight (USDA/FGIS equations).
pub fn liquefaction_number(falling_number_s: f64) -> f64 {
    6000.0 / (falling_number_s - 50.0)
}

/// Falling number of a liquefaction number: 6000 / LN + 50.
pub fn falling_number(liquefaction: f64) -> f64 {
    6000.0 / liquefaction + 50.0
}

/// Largest share, by weight, of a low lot in a mix that still reaches `target_s`; `None` when even the high lot does
/// not.
pub fn max_share_low(high_s: f64, low_s: f64, target_s: f64) -> Option<f64> {
    let (high, low, target) =
        (liquefaction_number(high_s), liquefaction_number(low_s), liquefaction_number(target_s));
    if target < high {
        return None;
    }
    if low <= target {
        return Some(1.0);
    }
    Some((target - high) / (low - high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_lot() -> impl Strategy<Value = Lot> {
        (
            1.0..60_000.0f64,
            8.0..25.0f64,
            proptest::option::of(9.0..18.0f64),
            proptest::option::of(0.0..4.0f64),
            proptest::option::of(62.5..450.0f64),
            0usize..4,
        )
            .prop_map(|(kg, m, protein_pct, don_ppm, falling_number_s, from)| {
                let q = Quality {
                    protein_pct,
                    protein_basis_pct: 13.5,
                    don_ppm,
                    test_weight_kg_hl: Some(78.0),
                    falling_number_s,
                    dockage_pct: Some(1.2),
                };
                Lot::new(kg, m, &q, ["north", "creek", "home", "school"][from]).unwrap()
            })
    }

    /// Everything that must be conserved.
    fn amounts(lots: &[&Lot]) -> Vec<f64> {
        let sum = |f: &dyn Fn(&Lot) -> f64| lots.iter().map(|l| f(l)).sum::<f64>();
        let mut out = vec![sum(&|l| l.dry_kg()), sum(&|l| l.water_kg())];
        for i in 0..5 {
            out.push(sum(&|l| l.measured()[i].amount()));
            out.push(sum(&|l| l.measured()[i].known_kg()));
        }
        for name in ["north", "creek", "home", "school"] {
            out.push(sum(&|l| l.sources().iter().filter(|s| s.0 == name).map(|s| s.1).sum()));
        }
        out
    }

    #[test]
    fn drying_makes_toxin_denser_and_a_sample_overrides() {
        let q = Quality { don_ppm: Some(1.0), ..Quality::default() };
        let mut lot = Lot::new(1000.0, 20.0, &q, "a").unwrap();
        let water = lot.dry_to(13.5).unwrap();
        assert!((water - 1000.0 * 6.5 / 86.5).abs() < 1e-9);
        assert!((lot.don_ppm().unwrap() - change_basis(1.0, 20.0, 13.5)).abs() < 1e-9);
        let better = Quality { don_ppm: Some(0.6), ..Quality::default() };
        lot.sampled(Some(14.0), &better).unwrap();
        assert!((lot.don_ppm().unwrap() - 0.6).abs() < 1e-12);
        assert!((lot.moisture_pct().unwrap() - 14.0).abs() < 1e-9);
        assert_eq!(lot.protein_pct(13.5), None);
        assert!(lot.draw(5000.0).is_err());
        assert!(Lot::new(10.0, 14.0, &Quality { falling_number_s: Some(55.0), ..q }, "a").is_err());
    }

    proptest! {
        #[test]
        fn loads_splits_and_mixes_lose_nothing(
            lots in proptest::collection::vec(any_lot(), 2..12),
            moves in proptest::collection::vec((0usize..12, 0usize..12, 0.0..1.0f64), 0..40),
        ) {
            let before = amounts(&lots.iter().collect::<Vec<_>>());
            let mut lots = lots;
            for (from, to, share) in moves {
                let (from, to) = (from % lots.len(), to % lots.len());
                if from == to { continue; }
                let kg = lots[from].mass_kg() * share;
                let drawn = lots[from].draw(kg).unwrap();
                prop_assert!((drawn.mass_kg() - kg).abs() <= 1e-6);
                lots[to].add(&drawn);
            }
            for (b, a) in before.iter().zip(amounts(&lots.iter().collect::<Vec<_>>())) {
                prop_assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{b} became {a}");
            }
        }

        #[test]
        fn a_mix_lies_between_its_parts(a in any_lot(), b in any_lot()) {
            let mut mix = a.clone();
            mix.add(&b);
            let between = |x: Option<f64>, a: Option<f64>, b: Option<f64>| match (x, a, b) {
                (Some(x), Some(a), Some(b)) => x >= a.min(b) - 1e-9 && x <= a.max(b) + 1e-9,
                (x, a, b) => x.is_some() == (a.is_some() || b.is_some()),
            };
            prop_assert!(between(mix.moisture_pct(), a.moisture_pct(), b.moisture_pct()));
            prop_assert!(between(mix.falling_number_s(), a.falling_number_s(), b.falling_number_s()));
            prop_assert!(between(mix.protein_pct(0.0), a.protein_pct(0.0), b.protein_pct(0.0)));
            if let (Some(x), Some(p), Some(q)) = (mix.falling_number_s(), a.falling_number_s(), b.falling_number_s()) {
                // A low lot pulls a mix down more than its weight.
                let plain = (p * a.mass_kg() + q * b.mass_kg()) / mix.mass_kg();
                prop_assert!(x <= plain + 1e-9);
            }
        }
    }
}
