//! Deoxynivalenol to look for in each wheat field, by the head blight weather it stood in and the spray it had.

use serde::Serialize;
use stook_measure::Range;

use crate::SeasonError;
use crate::carry::carry;
use crate::disease::worth;
use crate::facts::Question;

/// What a field is likely to hold.
#[derive(Debug, Clone, Serialize)]
pub struct FieldDon {
    /// Field id.
    pub field: String,
    /// Over the weathers so far, mg/kg.
    pub ppm: Range,
}

/// Answers for the year's wheat that has headed; a judgement until the grain is tested.
///
/// # Errors
/// When the farm has no place.
pub fn expected_don(q: &Question<'_>) -> Result<Vec<FieldDon>, SeasonError> {
    let c = carry(q)?;
    let one = |f: usize| {
        let field = &c.model.fields[f];
        let ppm: Vec<f64> = c
            .starts
            .iter()
            .map(|s| &s[f])
            .filter(|s| s.wheat.is_some())
            .map(|s| {
                let index = field.blight.index_pct(s.blight_h(), &field.params);
                let money = worth(&c.model.season, &field.params, 1.0);
                money.don_ppm(index) * (1.0 - money.don_control * s.response(field))
            })
            .collect();
        Some(FieldDon { field: field.id.to_string(), ppm: Range::of(&ppm)? })
    };
    Ok((0..c.model.fields.len()).filter_map(one).collect())
}
