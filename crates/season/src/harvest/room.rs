//! Room in the bins for what still stands: the bins' plan of the yard, looked at field by field.

use serde::Serialize;
use stook_book::Farm;
use stook_book::payload::{BinJob, Crop, FieldId, Load};
use stook_yard::Yard;
use stook_yard::jobs::{self, Expected};

use crate::answer::Job;
use crate::carry::Carried;
use crate::outlook::middle_state;

/// Room for a crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropRoom {
    /// Crop.
    pub crop: Crop,
    /// Room in bins that suit it and that no other crop is given, t.
    pub room_t: f64,
    /// What of it still stands in wheat fields, at the outlook's middle, t.
    pub stands_t: f64,
    /// Bins that take it, with the room of each, t.
    pub bins: Vec<(String, f64)>,
}

/// Room for the fields that stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Room {
    /// By crop.
    pub crops: Vec<CropRoom>,
    /// Of each field asked about, its place in `crops`.
    pub store: Vec<usize>,
}

/// Reckons it; none when the farm has no bins in the book: then nothing is known of room.
pub fn room(c: &Carried, farm: &Farm, standing: &[usize]) -> Option<Room> {
    if farm.bins.is_empty() || standing.is_empty() {
        return None;
    }
    let r = &c.model.reference;
    let yard = Yard::fold(farm, r);
    let year = Load::harvest_year(c.as_of);
    let crop_of = |id: &FieldId| {
        farm.fields.get(id).and_then(|f| f.plan(c.model.year)).map_or(Crop::SpringWheat, |p| p.crop.clone())
    };
    let stands = |f: usize| {
        let (s, field) = (middle_state(c, f), &c.model.fields[f]);
        s.by_water_kg_ha(field) * s.left_ha(Job::Cut)
    };
    let mut expected: Vec<Expected> = standing
        .iter()
        .map(|&f| {
            let id = FieldId::from(c.model.fields[f].id.as_str());
            let kg = stands(f);
            Expected { crop: crop_of(&id), field: id, low_kg: kg, kg, high_kg: kg, why: "the outlook".into() }
        })
        .collect();
    // Other crops not yet off want bins too.
    let ours = |id: &FieldId| c.model.fields.iter().any(|f| f.id.as_str() == id.as_str());
    let others = farm.fields.values().filter(|f| {
        let id = &f.field().id;
        !ours(id) && f.cut_on(year).is_none() && yard.ledger.off_field(year, id).is_none()
    });
    expected.extend(others.filter_map(|f| jobs::by_own_years(farm, &yard, r, year, &f.field().id)));
    let plan = jobs::plan(&yard, r, &expected, year);
    let mut crops: Vec<CropRoom> = Vec::new();
    let mut store = Vec::new();
    for &f in standing {
        let crop = crop_of(&FieldId::from(c.model.fields[f].id.as_str()));
        let at = crops.iter().position(|k| k.crop == crop).unwrap_or_else(|| {
            crops.push(CropRoom { crop, room_t: 0.0, stands_t: 0.0, bins: Vec::new() });
            crops.len() - 1
        });
        crops[at].stands_t += stands(f) / 1000.0;
        store.push(at);
    }
    for k in &mut crops {
        for j in &plan.jobs {
            let Some(bin) = yard.bin(&j.bin) else { continue };
            let suits = match &j.crop {
                Some(x) => *x == k.crop,
                None => {
                    bin.is_empty()
                        && bin.bin.crop.as_ref().is_none_or(|x| *x == k.crop)
                        && !matches!(bin.bin.job, BinJob::Wet | BinJob::Seed)
                }
            };
            let t = (j.left_kg + j.parts.iter().map(|p| p.kg).sum::<f64>()) / 1000.0;
            if suits && t > 0.5 {
                k.room_t += t;
                k.bins.push((bin.bin.name.clone(), t));
            }
        }
    }
    Some(Room { crops, store })
}
