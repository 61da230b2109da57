//! Bills: costs as they were entered, laid on the fields they are for.

use std::collections::BTreeMap;

use stook_book::payload::{Cost, CostKind, Crop};
use stook_book::{Farm, FieldId};

/// What bills lay on a field: kind to money/ha.
pub type OnField = BTreeMap<CostKind, f64>;

/// Money/ha of a cost on a field of a crop; none when it is not for it.
fn on_field(farm: &Farm, cost: &Cost, field: &FieldId, crop: Option<&Crop>) -> Option<f64> {
    if cost.field.as_ref().is_some_and(|f| f != field) || !cost.kind.of_fields() {
        return None;
    }
    if cost.crop.as_ref().is_some_and(|c| Some(c) != crop) {
        return None;
    }
    cost.per_ha.or_else(|| Some(cost.amount? / farm.cost_area_ha(cost).max(1e-9)))
}

/// Every bill of a year on a field.
pub fn of(farm: &Farm, year: i16, field: &FieldId, crop: Option<&Crop>) -> OnField {
    let mut out = OnField::new();
    for c in farm.costs.iter().filter(|c| c.is.crop_year == year) {
        if let Some(x) = on_field(farm, &c.is, field, crop) {
            *out.entry(c.is.kind).or_insert(0.0) += x;
        }
    }
    out
}
