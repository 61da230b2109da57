//! What the yard needs to know of a crop: the grain the models know it by, its bushel and its market moisture.

use stook_book::payload::Crop;
use stook_grain::moisture_class::ClassLimits;
use stook_grain::{Grain, Properties};
use stook_measure::Reference;

/// Facts of a crop.
#[derive(Debug, Clone, PartialEq)]
pub struct CropFacts {
    /// The grain of the models; none for hay, fallow or a crop they do not know.
    pub grain: Option<Grain>,
    /// Pounds in a weight bushel.
    pub lb_per_bu: f64,
    /// Bulk density as delivered, kg/m3, where no test weight is known.
    pub density_kg_m3: f64,
    /// Market moisture, % wet basis: dry grain up to here.
    pub market_wb_pct: Option<f64>,
    /// Key of its moisture classes.
    pub class_key: Option<&'static str>,
}

impl CropFacts {
    /// For a crop.
    pub fn of(r: &Reference, crop: &Crop) -> Self {
        let (grain, class_key) = match crop {
            Crop::SpringWheat => (Some(Grain::HardWheat), Some("CWRS")),
            Crop::Durum => (Some(Grain::Durum), Some("CWAD")),
            Crop::Barley => (Some(Grain::Barley), Some("barley_general_purpose")),
            Crop::Oats => (Some(Grain::Oats), Some("oats_CW")),
            Crop::Canola => (Some(Grain::Canola), Some("canola")),
            Crop::Peas => (Some(Grain::Peas), Some("peas")),
            Crop::Flax => (Some(Grain::Flax), Some("flax_CW")),
            Crop::Hay | Crop::Fallow => (None, None),
            Crop::Other(word) => match word.as_str() {
                "soybean" | "soybeans" => (Some(Grain::Soybean), Some("soybean")),
                "corn" => (Some(Grain::Corn), Some("corn_CW")),
                "winter_wheat" => (Some(Grain::HardWheat), Some("wheat_CW")),
                "rye" => (None, Some("rye_CW")),
                "triticale" => (None, Some("triticale_CW")),
                _ => (None, None),
            },
        };
        let shown = Properties::from_reference(r, grain.unwrap_or(Grain::HardWheat));
        let limits = class_key.and_then(|key| ClassLimits::shipped().into_iter().find(|c| c.grain == key));
        Self {
            grain,
            lb_per_bu: stook_measure::units::lb_per_bushel(crop.key()).unwrap_or(shown.lb_per_bu),
            density_kg_m3: shown.density_kg_m3,
            market_wb_pct: limits.map(|c| c.straight_to),
            class_key,
        }
    }

    /// Weight bushels of a mass.
    pub fn bushels(&self, mass_kg: f64) -> f64 {
        mass_kg / (self.lb_per_bu * stook_measure::units::KG_PER_LB)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wheat_and_oats_have_their_bushels() {
        let r = Reference::shipped();
        let wheat = CropFacts::of(&r, &Crop::SpringWheat);
        assert!((wheat.bushels(1000.0) - 36.744).abs() < 0.001);
        assert_eq!(wheat.market_wb_pct, Some(14.5));
        let oats = CropFacts::of(&r, &Crop::Oats);
        assert!((oats.bushels(1000.0) - 64.842).abs() < 0.001);
        assert_eq!(CropFacts::of(&r, &Crop::Hay).grain, None);
    }
}
