//! Loads: grain moved from a field, a bin or a seller to a bin, a buyer or the mill.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{BinId, Crop, FieldId};
use crate::choice::choices;

/// A field's part in a load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FieldPart {
    /// Field.
    pub field: FieldId,
    /// Its share, 0 to 1.
    pub share: f64,
}

/// Where a load came from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadFrom {
    /// One field.
    Field(FieldId),
    /// Several fields in one truck.
    Fields(Vec<FieldPart>),
    /// A bin.
    Bin(BinId),
    /// Bought, from whom.
    Bought(String),
}

/// Where a load went.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadTo {
    /// A bin.
    Bin(BinId),
    /// A buyer, by the farm's word for it.
    Buyer(String),
    /// The farm's own feed mill.
    Mill,
    /// The drill, as seed.
    Seed,
    /// Elsewhere, such as spoiled grain spread out.
    Elsewhere(String),
}

choices! {
    /// How the weight of a load is known.
    Weighed {
        TruckScale = "truck_scale", "truck scale";
        CartScale = "cart_scale", "scale on the cart or truck";
        BuyerTicket = "buyer_ticket", "the buyer's ticket";
        TankCount = "tank_count", "tank-fulls counted";
        BinMeasure = "bin_measure", "measured in the bin";
        Volume = "volume", "volume of the box";
        Guess = "guess", "by eye";
    }
}

/// A load. Its weight is given as mass, volume or tank-fulls; the entry's own time is when it was moved.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// Where from.
    pub from: LoadFrom,
    /// Where to.
    pub to: LoadTo,
    /// Crop; none for what the field grows or the bin holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Crop>,
    /// How the weight is known.
    pub weighed: Weighed,
    /// Mass as moved, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// Volume, m3, where it was not weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
    /// Tank-fulls, where it was not weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tanks: Option<f64>,
    /// What one tank holds, m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tank_m3: Option<f64>,
    /// Moisture, % wet basis, when it left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
    /// Moisture it came out of the drier with on the way, % wet basis; none when it was not dried.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dried_to_wb_pct: Option<f64>,
    /// Temperature of the grain, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Test weight, kg/hL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_weight_kg_hl: Option<f64>,
    /// Dockage, % of the weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dockage_pct: Option<f64>,
    /// Protein, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protein_pct: Option<f64>,
    /// Moisture basis of the protein, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protein_basis_pct: Option<f64>,
    /// Deoxynivalenol, mg/kg as it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub don_ppm: Option<f64>,
    /// Falling number, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub falling_number_s: Option<f64>,
    /// Scale or buyer's ticket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ticket: Option<String>,
    /// Number on the sample bag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bag: Option<String>,
    /// Which part of the field or pass, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pass: Option<String>,
    /// Truck or driver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub truck: Option<String>,
    /// Whether it was the last out of its bin: what the book still has there is then missing.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub emptied: bool,
    /// Why it was cut inside a pre-harvest interval, when it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside_interval_why: Option<String>,
}

impl Load {
    /// A load with nothing said but where from, where to and its weight.
    pub fn new(from: LoadFrom, to: LoadTo, weighed: Weighed, mass_kg: Option<f64>) -> Self {
        Self {
            from,
            to,
            crop: None,
            weighed,
            mass_kg,
            volume_m3: None,
            tanks: None,
            tank_m3: None,
            moisture_wb_pct: None,
            dried_to_wb_pct: None,
            temperature_c: None,
            test_weight_kg_hl: None,
            dockage_pct: None,
            protein_pct: None,
            protein_basis_pct: None,
            don_ppm: None,
            falling_number_s: None,
            ticket: None,
            bag: None,
            pass: None,
            truck: None,
            emptied: false,
            inside_interval_why: None,
        }
    }

    /// Fields it came from, with their shares.
    pub fn fields(&self) -> Vec<(&FieldId, f64)> {
        match &self.from {
            LoadFrom::Field(f) => vec![(f, 1.0)],
            LoadFrom::Fields(parts) => {
                let sum: f64 = parts.iter().map(|p| p.share).sum();
                parts.iter().map(|p| (&p.field, if sum > 0.0 { p.share / sum } else { 0.0 })).collect()
            }
            LoadFrom::Bin(_) | LoadFrom::Bought(_) => Vec::new(),
        }
    }

    /// The bin it came out of.
    pub fn from_bin(&self) -> Option<&BinId> {
        if let LoadFrom::Bin(b) = &self.from { Some(b) } else { None }
    }

    /// The bin it went into.
    pub fn to_bin(&self) -> Option<&BinId> {
        if let LoadTo::Bin(b) = &self.to { Some(b) } else { None }
    }

    /// The crop year of grain off a field on `day`: a harvest runs into winter at most.
    pub fn harvest_year(day: Date) -> i16 {
        // Fields cut in spring hold the crop of the year before.
        if day.month() <= 5 { day.year() - 1 } else { day.year() }
    }
}
