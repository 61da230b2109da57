//! The days on which a field stands in a label's leaf-stage window, over the weathers.

use crate::SeasonError;
use crate::answer::{DateRange, Job};
use crate::carry::{Carried, carry};
use crate::dates::date_range;
use crate::facts::Question;

/// How far ahead the crop is carried, days.
const AHEAD: usize = 60;

/// One field's window.
#[derive(Debug, Clone, PartialEq)]
pub struct LeafWindow {
    /// Field id.
    pub field: String,
    /// First day inside.
    pub opens: DateRange,
    /// Last day inside.
    pub closes: DateRange,
}

/// The windows of every seeded wheat field not yet sprayed for weeds; a field that is past its window is left out.
///
/// # Errors
/// When the farm has no place yet.
pub fn windows(q: &Question<'_>, leaf_from: f64, leaf_to: f64) -> Result<Vec<LeafWindow>, SeasonError> {
    let c = carry(q)?;
    Ok((0..c.model.fields.len()).filter_map(|f| window(&c, f, leaf_from, leaf_to)).collect())
}

fn window(c: &Carried, f: usize, leaf_from: f64, leaf_to: f64) -> Option<LeafWindow> {
    let field = &c.model.fields[f];
    if c.starts.first()?[f].left_ha(Job::Herbicide) <= 0.0 {
        return None;
    }
    let (mut opens, mut closes) = (Vec::new(), Vec::new());
    for (start, air) in c.starts.iter().zip(&c.air) {
        let (mut first, mut last) = (None, None);
        if let Some(mut wheat) = start[f].wheat {
            for (day, a) in air.iter().take(AHEAD).enumerate() {
                // A crop that is up needs no moist seedbed; one that is not is given it.
                wheat.step(&field.params, &a.forcing, a.soil_c, true);
                if !wheat.emerged {
                    continue;
                }
                let leaves = wheat.leaves(&field.params);
                if leaves >= leaf_from && leaves <= leaf_to {
                    first.get_or_insert(day as u16);
                    last = Some(day as u16);
                } else if leaves > leaf_to {
                    break;
                }
            }
        }
        opens.push(first);
        closes.push(last);
    }
    Some(LeafWindow {
        field: field.id.to_string(),
        opens: date_range(c, &opens)?,
        closes: date_range(c, &closes)?,
    })
}
