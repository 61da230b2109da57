//! The account of the yard: where every kilogram came from and where it is.

use std::collections::BTreeMap;

use stook_book::FieldId;
use stook_grain::lot::Lot;

/// Grain in and grain out since the book began, kg as it was when it moved.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct Ledger {
    /// Off each field, by year of the harvest.
    #[serde(skip)]
    pub off_fields: BTreeMap<(i16, FieldId), Lot>,
    /// Bought, by seller.
    pub bought: BTreeMap<String, Lot>,
    /// In the bins without an entry: there before the book began, or not written.
    pub not_written: Lot,
    /// Sold, by buyer.
    pub sold: BTreeMap<String, Lot>,
    /// Into the mill.
    pub milled: Lot,
    /// Into the drill.
    pub seeded: Lot,
    /// Elsewhere, by place.
    pub elsewhere: BTreeMap<String, Lot>,
    /// Taken off by a drier, kg.
    pub drier_water_kg: f64,
    /// Taken off in the bin by air, kg; less than nothing when grain took water up.
    pub air_water_kg: f64,
    /// Missing by a measure or at the end of a bin.
    pub missing: Lot,
    /// In the bins now, kg.
    pub in_bins_kg: f64,
}

impl Ledger {
    /// Everything that came in, kg.
    pub fn in_kg(&self) -> f64 {
        self.off_fields.values().chain(self.bought.values()).map(Lot::mass_kg).sum::<f64>()
            + self.not_written.mass_kg()
    }

    /// Everything that went, and what is in the bins, kg.
    pub fn out_kg(&self) -> f64 {
        self.sold.values().chain(self.elsewhere.values()).map(Lot::mass_kg).sum::<f64>()
            + self.milled.mass_kg()
            + self.seeded.mass_kg()
            + self.drier_water_kg
            + self.air_water_kg
            + self.missing.mass_kg()
            + self.in_bins_kg
    }

    /// In less out, kg: nothing, but for the last bits of the arithmetic.
    pub fn gap_kg(&self) -> f64 {
        self.in_kg() - self.out_kg()
    }

    /// Off one field in a harvest year.
    pub fn off_field(&self, year: i16, field: &FieldId) -> Option<&Lot> {
        self.off_fields.get(&(year, field.clone()))
    }
}
