//! One figure of a laboratory's sheet, with everything that must be known before it means anything.

use serde::{Deserialize, Serialize};
use stook_measure::units::{kg_ha_to_lb_ac, lb_ac_to_kg_ha};

use super::form::Form;
use super::layer::{Layer, LayerParams};

/// The unit a soil figure is quoted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SoilUnit {
    /// Milligrams a kilogram of soil.
    Ppm,
    /// Pounds an acre in the sampled layer.
    LbAc,
    /// Kilograms a hectare in the sampled layer.
    KgHa,
    /// Percent of the soil's mass.
    Percent,
    /// Milligrams a litre of extract: a solution, not a soil.
    MgL,
    /// Milliequivalents a litre of extract: a solution, not a soil.
    MeqL,
    /// Milliequivalents in 100 g of soil; only for exchangeable potassium here.
    Meq100g,
}

impl SoilUnit {
    /// All, as written.
    pub const ALL: [(&'static str, Self); 8] = [
        ("ppm", Self::Ppm),
        ("mg/kg", Self::Ppm),
        ("lb/ac", Self::LbAc),
        ("kg/ha", Self::KgHa),
        ("%", Self::Percent),
        ("mg/L", Self::MgL),
        ("meq/L", Self::MeqL),
        ("meq/100 g", Self::Meq100g),
    ];

    /// The unit written so, whatever the case and spaces.
    pub fn parse(text: &str) -> Option<Self> {
        let plain = |t: &str| t.to_lowercase().replace([' ', '.'], "");
        let wanted = plain(text);
        Self::ALL.iter().find(|(n, _)| plain(n) == wanted).map(|(_, u)| *u)
    }

    fn is_amount(self) -> bool {
        matches!(self, Self::LbAc | Self::KgHa)
    }
}

/// How the laboratory got it out of the soil. A figure of one is not a figure of another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Extractant {
    /// Sodium bicarbonate: phosphorus, fit for limy soil.
    Olsen,
    /// Modified Kelowna: phosphorus in Alberta, fit for limy soil.
    Kelowna,
    /// Bray 1: phosphorus, neutral or acid soil without lime only.
    Bray1,
    /// Ammonium acetate: potassium, sulphur.
    AmmoniumAcetate,
    /// Water or potassium chloride: nitrate, chloride.
    Water,
    /// DTPA: copper, zinc, manganese, iron.
    Dtpa,
}

/// A figure as reported. What the sheet does not say is `None`; it is asked for and never guessed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: Option<SoilUnit>,
    /// Element, oxide or ion.
    pub form: Option<Form>,
    /// Layer.
    pub layer: Option<Layer>,
}

/// A figure in every form it is used in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Standard {
    /// Concentration of the element, mg/kg.
    pub element_mg_kg: f64,
    /// Amount of the element in the layer, kg/ha.
    pub element_kg_ha: f64,
    /// The same, lb/ac.
    pub element_lb_ac: f64,
    /// The same by the rule of thumb of 2 lb/ac a ppm in six inches.
    pub element_lb_ac_by_rule: f64,
}

/// Why a figure cannot be used yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FigureError {
    /// No unit.
    #[error("the unit is missing; look on the sheet for ppm, mg/kg, lb/ac or kg/ha")]
    NoUnit,
    /// No form.
    #[error(
        "the form is missing; look on the sheet whether it is the element or the oxide, nitrate-N or nitrate"
    )]
    NoForm,
    /// No layer.
    #[error("the depth is missing; give the upper and lower limit of the sampled layer")]
    NoLayer,
    /// Upside down.
    #[error("the layer has no thickness; give its upper limit above its lower one")]
    BadLayer,
    /// A solution.
    #[error("this is a figure of the extract and not of the soil; ask the laboratory for mg/kg of soil")]
    Solution,
    /// Charge of something that is no cation here.
    #[error("meq/100 g is understood for potassium only; ask the laboratory for mg/kg of soil")]
    NotCation,
    /// Impossible.
    #[error("the figure is negative or not a number; check it against the sheet")]
    BadValue,
}

impl Figure {
    /// Turns it into the forms that are used.
    ///
    /// # Errors
    /// What is missing or cannot be meant, in a sentence.
    ///
    /// ```
    /// use stook_fertility::FertilityParams;
    /// use stook_fertility::soil_test::{Figure, Form, Layer, SoilUnit};
    /// let p = &FertilityParams::shipped().layer;
    /// let f = Figure { value: 8.0, unit: Some(SoilUnit::Ppm), form: Some(Form::N), layer: Some(Layer::inches(6.0, 24.0)) };
    /// assert!((f.standard(p).unwrap().element_lb_ac - 48.0).abs() < 1e-9);
    /// assert!(Figure { layer: None, ..f }.standard(p).is_err());
    /// ```
    pub fn standard(&self, p: &LayerParams) -> Result<Standard, FigureError> {
        let unit = self.unit.ok_or(FigureError::NoUnit)?;
        let form = self.form.ok_or(FigureError::NoForm)?;
        let layer = self.layer.ok_or(FigureError::NoLayer)?;
        if !layer.is_valid() {
            return Err(FigureError::BadLayer);
        }
        if !(self.value.is_finite() && self.value >= 0.0) {
            return Err(FigureError::BadValue);
        }
        let share = form.element_share();
        let per_ppm = layer.kg_ha_per_ppm(p);
        let by_rule = layer.kg_ha_per_ppm_by_rule(p);
        let mg_kg = match unit {
            SoilUnit::Ppm => self.value * share,
            SoilUnit::Percent => self.value * 1e4 * share,
            SoilUnit::LbAc => lb_ac_to_kg_ha(self.value) * share / per_ppm,
            SoilUnit::KgHa => self.value * share / per_ppm,
            SoilUnit::MgL | SoilUnit::MeqL => return Err(FigureError::Solution),
            // one milliequivalent of potassium is 39.098 mg, in 100 g
            SoilUnit::Meq100g if form == Form::K => self.value * 390.98,
            SoilUnit::Meq100g => return Err(FigureError::NotCation),
        };
        let kg_ha = mg_kg * per_ppm;
        // an amount the laboratory states stays what it states
        let rule_kg_ha = if unit.is_amount() { kg_ha } else { mg_kg * by_rule };
        Ok(Standard {
            element_mg_kg: mg_kg,
            element_kg_ha: kg_ha,
            element_lb_ac: kg_ha_to_lb_ac(kg_ha),
            element_lb_ac_by_rule: kg_ha_to_lb_ac(rule_kg_ha),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> LayerParams {
        crate::FertilityParams::shipped().layer
    }

    #[test]
    fn asks_for_what_is_missing() {
        let f = Figure {
            value: 10.0,
            unit: Some(SoilUnit::Ppm),
            form: Some(Form::N),
            layer: Some(Layer::inches(0.0, 6.0)),
        };
        assert_eq!(Figure { unit: None, ..f }.standard(&p()), Err(FigureError::NoUnit));
        assert_eq!(Figure { form: None, ..f }.standard(&p()), Err(FigureError::NoForm));
        assert_eq!(Figure { layer: None, ..f }.standard(&p()), Err(FigureError::NoLayer));
        assert_eq!(Figure { unit: Some(SoilUnit::MgL), ..f }.standard(&p()), Err(FigureError::Solution));
        assert_eq!(Figure { unit: Some(SoilUnit::MeqL), ..f }.standard(&p()), Err(FigureError::Solution));
        assert_eq!(Figure { unit: Some(SoilUnit::Meq100g), ..f }.standard(&p()), Err(FigureError::NotCation));
        assert_eq!(Figure { value: -1.0, ..f }.standard(&p()), Err(FigureError::BadValue));
        let upside_down = Some(Layer::inches(6.0, 0.0));
        assert_eq!(Figure { layer: upside_down, ..f }.standard(&p()), Err(FigureError::BadLayer));
    }

    #[test]
    fn units_are_known_however_written() {
        assert_eq!(SoilUnit::parse("LB / AC"), Some(SoilUnit::LbAc));
        assert_eq!(SoilUnit::parse("mg/kg"), Some(SoilUnit::Ppm));
        assert_eq!(SoilUnit::parse("bushels"), None);
    }

    proptest! {
        #[test]
        fn every_unit_gives_the_same_soil(ppm in 0.1..500.0f64, density in 0.9..1.7f64, bottom in 4.0..24.0f64) {
            let layer = Some(Layer::inches(0.0, bottom).with_density(density));
            let of = |value, unit, form| Figure { value, unit: Some(unit), form: Some(form), layer }.standard(&p()).unwrap();
            let a = of(ppm, SoilUnit::Ppm, Form::P);
            for b in [
                of(a.element_kg_ha, SoilUnit::KgHa, Form::P),
                of(a.element_lb_ac, SoilUnit::LbAc, Form::P),
                of(ppm / 1e4, SoilUnit::Percent, Form::P),
                of(super::super::form::p_to_p2o5(ppm), SoilUnit::Ppm, Form::P2o5),
            ] {
                prop_assert!((a.element_mg_kg - b.element_mg_kg).abs() < 1e-9 * ppm.max(1.0));
                prop_assert!((a.element_kg_ha - b.element_kg_ha).abs() < 1e-9 * a.element_kg_ha.max(1.0));
            }
        }
    }
}
