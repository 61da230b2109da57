//! A layer of soil: from a concentration to an amount on the land, and a profile as the sum of its layers.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{MM_PER_IN, lb_ac_to_kg_ha};

/// Coefficients `fertility.soil.*` that turn concentrations into amounts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LayerParams {
    /// Pounds an acre for one ppm in six inches: the rule of thumb.
    pub lb_ac_per_ppm_6_in: f64,
    /// Nitrate-N, kg/ha, taken from a spring test before a table calibrated to fall samples is entered.
    pub spring_nitrate_kg_ha: f64,
}

impl LayerParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            lb_ac_per_ppm_6_in: r.get("fertility.soil.lb_ac_per_ppm_6_in"),
            spring_nitrate_kg_ha: lb_ac_to_kg_ha(r.get("fertility.soil.spring_nitrate_lb_ac")),
        }
    }

    /// The bulk density, g/cm3, that the rule of thumb amounts to: 1.471 for 2 lb/ac a ppm in six inches.
    pub fn rule_bulk_density_g_cm3(&self) -> f64 {
        lb_ac_to_kg_ha(self.lb_ac_per_ppm_6_in) / (6.0 * MM_PER_IN / 10.0 * 0.1)
    }
}

/// A sampled layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Layer {
    /// Upper limit below the surface, cm.
    pub top_cm: f64,
    /// Lower limit, cm.
    pub bottom_cm: f64,
    /// Bulk density, g/cm3, where known.
    pub bulk_density_g_cm3: Option<f64>,
}

impl Layer {
    /// A layer by its limits in inches, of unknown density.
    pub fn inches(top: f64, bottom: f64) -> Self {
        let cm = MM_PER_IN / 10.0;
        Self { top_cm: top * cm, bottom_cm: bottom * cm, bulk_density_g_cm3: None }
    }

    /// The same with a measured density.
    #[must_use]
    pub fn with_density(mut self, g_cm3: f64) -> Self {
        self.bulk_density_g_cm3 = Some(g_cm3);
        self
    }

    /// Thickness, cm.
    pub fn thickness_cm(&self) -> f64 {
        self.bottom_cm - self.top_cm
    }

    /// Whether the layer is one.
    pub fn is_valid(&self) -> bool {
        self.top_cm >= 0.0
            && self.thickness_cm() > 0.0
            && self.bottom_cm.is_finite()
            && self.bulk_density_g_cm3.is_none_or(|d| d > 0.0)
    }

    /// Amount, kg/ha, for 1 mg/kg: density x thickness x 0.1, with the density of the rule of thumb where none is known.
    pub fn kg_ha_per_ppm(&self, p: &LayerParams) -> f64 {
        self.bulk_density_g_cm3.unwrap_or_else(|| p.rule_bulk_density_g_cm3()) * self.thickness_cm() * 0.1
    }

    /// The same by the rule of thumb, whatever the density.
    pub fn kg_ha_per_ppm_by_rule(&self, p: &LayerParams) -> f64 {
        Self { bulk_density_g_cm3: None, ..*self }.kg_ha_per_ppm(p)
    }
}

/// A profile total and how it stands to the depth asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Profile {
    /// Sum over the layers, kg/ha.
    pub total_kg_ha: f64,
    /// Deepest limit, cm.
    pub sampled_to_cm: f64,
    /// The layers reach the depth asked for, without a gap: the total is measured and not a part.
    pub complete: bool,
}

/// Why layers give no profile.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// Nothing to add.
    #[error("no layer was given; give at least one with its upper and lower limit")]
    Empty,
    /// A layer upside down.
    #[error("layer {0} has no thickness; give its upper limit above its lower one")]
    BadLayer(usize),
    /// Overlap.
    #[error("layers {0} and {1} overlap, so a part of the soil would be counted twice; check their limits")]
    Overlap(usize, usize),
}

/// Adds the amounts of layers, each an amount on the land in kg/ha. Never a mean of concentrations.
///
/// A profile that stops short, or leaves a gap, is returned as incomplete and is not stretched to `depth_cm`.
///
/// # Errors
/// When a layer is upside down or two overlap.
pub fn profile(layers: &[(Layer, f64)], depth_cm: f64) -> Result<Profile, ProfileError> {
    if layers.is_empty() {
        return Err(ProfileError::Empty);
    }
    let mut order: Vec<usize> = (0..layers.len()).collect();
    order.sort_by(|a, b| layers[*a].0.top_cm.total_cmp(&layers[*b].0.top_cm));
    let (mut reached, mut complete) = (0.0f64, true);
    for (place, &i) in order.iter().enumerate() {
        let layer = layers[i].0;
        if !layer.is_valid() {
            return Err(ProfileError::BadLayer(i + 1));
        }
        // a centimetre of slack, as a lab's 15 cm is a farm's 6 in
        if place > 0 && layer.top_cm < reached - 1.0 {
            return Err(ProfileError::Overlap(order[place - 1] + 1, i + 1));
        }
        complete &= layer.top_cm <= reached + 1.0;
        reached = layer.bottom_cm;
    }
    Ok(Profile {
        total_kg_ha: layers.iter().map(|(_, x)| x).sum(),
        sampled_to_cm: reached,
        complete: complete && reached >= depth_cm - 1.5,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_measure::units::kg_ha_to_lb_ac;

    fn p() -> LayerParams {
        crate::FertilityParams::shipped().layer
    }

    #[test]
    fn the_rule_is_a_density_of_1_471() {
        assert!((p().rule_bulk_density_g_cm3() - 1.471).abs() < 5e-4);
        let eight = Layer::inches(0.0, 24.0);
        assert!((kg_ha_to_lb_ac(eight.kg_ha_per_ppm(&p())) - 8.0).abs() < 1e-9);
    }

    #[test]
    fn profiles_that_are_none() {
        let six = Layer::inches(0.0, 6.0);
        assert_eq!(profile(&[], 60.0), Err(ProfileError::Empty));
        assert_eq!(
            profile(&[(six, 1.0), (Layer::inches(0.0, 12.0), 2.0)], 60.0),
            Err(ProfileError::Overlap(1, 2))
        );
        assert_eq!(profile(&[(Layer::inches(6.0, 6.0), 2.0)], 60.0), Err(ProfileError::BadLayer(1)));
        let short = profile(&[(six, 20.0), (Layer::inches(6.0, 12.0), 10.0)], 60.0).unwrap();
        assert!(!short.complete && short.total_kg_ha == 30.0);
        let gap = profile(&[(six, 20.0), (Layer::inches(12.0, 24.0), 10.0)], 60.0).unwrap();
        assert!(!gap.complete);
        let metric = Layer { top_cm: 15.0, bottom_cm: 60.0, bulk_density_g_cm3: None };
        assert!(profile(&[(metric, 40.0), (six, 20.0)], 60.0).unwrap().complete);
    }

    proptest! {
        #[test]
        fn splitting_a_layer_loses_nothing(ppm in 0.0..80.0f64, at in 1.0..23.0f64, density in 0.8..1.8f64) {
            let whole = Layer::inches(0.0, 24.0).with_density(density);
            let (a, b) = (Layer::inches(0.0, at).with_density(density), Layer::inches(at, 24.0).with_density(density));
            let amount = |l: Layer| ppm * l.kg_ha_per_ppm(&p());
            let sum = profile(&[(a, amount(a)), (b, amount(b))], 60.0).unwrap().total_kg_ha;
            prop_assert!((sum - amount(whole)).abs() < 1e-9);
        }
    }
}
