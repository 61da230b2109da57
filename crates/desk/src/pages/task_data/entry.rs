//! Cleaned yield points as the book keeps them: squares of the field and what was left out.

use stook_book::FieldId;
use stook_book::payload::{Crop, LeftOut, YieldMap, YieldSquare};
use stook_taskdata::cells::squares;
use stook_taskdata::{Cleaned, Rules};

/// The entry of a field's yield map, without its original. Places to about a decimetre, yields to a kilogram.
pub fn yield_map(
    c: &Cleaned,
    rules: &Rules,
    square_m: f64,
    field: FieldId,
    crop: Crop,
    crop_year: i16,
) -> YieldMap {
    let round = |x: f64, to: f64| (x * to).round() / to;
    YieldMap {
        field,
        crop_year,
        crop,
        moisture_wb_pct: rules.reference_pct,
        square_m,
        squares: squares(&c.points, square_m)
            .iter()
            .map(|s| YieldSquare(round(s.lon, 1e6), round(s.lat, 1e6), s.kg_ha.round(), s.points))
            .collect(),
        points: c.points.len() as u32,
        left_out: c
            .left_out()
            .into_iter()
            .map(|(n, why)| LeftOut { points: n as u32, why: why.into() })
            .collect(),
        mean_kg_ha: round(c.mean_kg_ha, 10.0),
        original: None,
    }
}
