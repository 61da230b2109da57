//! One field by itself in every weather, no machines: what a crop seeded on a day would come to.

use rayon::prelude::*;
use stook_crop::{Phase, yield_};

use crate::carry::Carried;
use crate::field::FieldState;
use crate::model::FieldModel;

/// Air temperature at which a crop with kernels not yet full is taken as killed, C: the chart's milk and dough rows.
pub const KILLING_C: f64 = -2.2;

/// How a crop alone in one weather came out.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Alone {
    /// Yield at its date, with the frost it met, kg/ha.
    pub yield_kg_ha: f64,
    /// Yield without frost, kg/ha.
    pub unfrozen_kg_ha: f64,
    /// Day it headed, from the day asked for.
    pub heading: Option<u16>,
    /// Day the kernels had their full weight.
    pub ripe: Option<u16>,
    /// Day it was first ready to cut, with grain dry enough for the standing plan.
    pub ready: Option<u16>,
    /// Whether a killing frost came after heading and before the kernels were full.
    pub frozen: bool,
}

impl Alone {
    /// Whether it is never full before frost or the end of the season.
    pub fn fails(&self) -> bool {
        self.frozen || self.ripe.is_none()
    }
}

/// Seeds `field` (the field as the option has it) on day `seed_on` from the day asked for, in every weather, on the
/// water of field `f`.
pub fn seeded(c: &Carried, f: usize, field: &FieldModel, seed_on: u16) -> Vec<Alone> {
    c.starts
        .par_iter()
        .zip(&c.air)
        .map(|(start, air)| {
            let mut s = start[f].unseeded(field);
            play(c, field, &mut s, air, Some(seed_on))
        })
        .collect()
}

/// Plays the crop that stands on field `f` as it is, in every weather.
pub fn standing(c: &Carried, f: usize) -> Vec<Alone> {
    let field = &c.model.fields[f];
    c.starts.iter().zip(&c.air).map(|(start, air)| play(c, field, &mut { start[f] }, air, None)).collect()
}

fn play(
    c: &Carried,
    field: &FieldModel,
    s: &mut FieldState,
    air: &[crate::field::Air],
    seed_on: Option<u16>,
) -> Alone {
    let mut out = Alone::default();
    let mut date_factor = 1.0;
    for (d, a) in air.iter().enumerate() {
        let day = d as u16;
        s.step(&c.model, field, a);
        if seed_on == Some(day) {
            s.seed_all(field, f64::from(a.doy));
            let y = &field.params.yield_;
            date_factor =
                yield_::seeding_date_factor(f64::from(a.doy), field.best_doy, y.late_per_day, y.late_floor);
        }
        if s.phase >= Phase::Heading {
            out.heading.get_or_insert(day);
        }
        if s.phase >= Phase::Heading && out.ripe.is_none() && a.forcing.day.tmin_c <= KILLING_C {
            out.frozen = true;
        }
        if s.phase >= Phase::Flowering && s.is_ripe(field) {
            out.ripe.get_or_insert(day);
            if s.moisture() <= c.model.season.cut_moisture_start {
                out.ready.get_or_insert(day);
            }
        }
    }
    out.unfrozen_kg_ha = s.by_water_kg_ha(field) * date_factor;
    out.yield_kg_ha = out.unfrozen_kg_ha * s.frost_kept();
    out
}
