//! What a field became: for visitors, reckoned from the loads.

use serde::Serialize;
use stook_book::FieldId;
use stook_book::payload::LoadTo;
use stook_feed::became;
use stook_measure::{Op, Working};
use stook_yard::{Happened, Source};

use crate::{BarnError, Facts, herd};

/// Feed for a kilogram of gain over a pig's whole life, where the book has no close-out.
const FEED_PER_GAIN: f64 = 2.8;

/// What a field's crop of a year became.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Became {
    /// Field.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Harvest year.
    pub year: i16,
    /// Crop in words.
    pub crop: String,
    /// Off the field, t.
    pub off_t: f64,
    /// Sold, t.
    pub sold_t: f64,
    /// To the mill of the barn, t.
    pub fed_t: f64,
    /// Sown again, t.
    pub sown_t: f64,
    /// Still in bins, t.
    pub kept_t: f64,
    /// Loaves of white bread from what was sold, when it is wheat.
    pub loaves: Option<f64>,
    /// Pork from what was fed, kg.
    pub pork_kg: f64,
    /// Days of feed for the whole barn from what was fed.
    pub barn_days: Option<f64>,
    /// Kernels in all, for wheat.
    pub kernels: Option<f64>,
    /// How reckoned.
    pub working: Working,
}

/// For a field and harvest year.
///
/// # Errors
/// When nothing came off it in that year.
pub fn became(f: &Facts<'_>, field: &FieldId, year: i16) -> Result<Became, BarnError> {
    let record = f
        .farm
        .fields
        .get(field)
        .ok_or_else(|| BarnError::Missing(format!("There is no field \"{field}\" in the book.")))?;
    let name = record.field().name.clone();
    let off = f
        .yard
        .ledger
        .off_field(year, field)
        .map(|l| l.mass_kg() / 1000.0)
        .filter(|t| *t > 0.0)
        .ok_or_else(|| BarnError::Missing(format!("No load off {name} is written down for {year}.")))?;
    let want = Source::Field { field: field.clone(), year };
    let share =
        |sources: &[(Source, f64)]| sources.iter().filter(|s| s.0 == want).map(|s| s.1).sum::<f64>() / 1000.0;
    let (mut sold, mut fed, mut sown, mut kept) = (0.0, 0.0, 0.0, 0.0);
    for b in f.yard.bins.values() {
        kept += share(&b.sources());
        for e in &b.history {
            if let Happened::Out { to, lot, .. } = &e.what {
                let t = share(&stook_yard::source::sources(lot));
                match to {
                    LoadTo::Buyer(_) => sold += t,
                    LoadTo::Mill => fed += t,
                    LoadTo::Seed => sown += t,
                    LoadTo::Bin(_) | LoadTo::Elsewhere(_) => {}
                }
            }
        }
    }
    // Straight off the field to a buyer or the mill.
    for l in f.yard.loads.iter().filter(|l| l.load.fields().iter().any(|(x, _)| *x == field)) {
        let part: f64 = l.load.fields().iter().filter(|(x, _)| *x == field).map(|(_, s)| s).sum();
        if stook_book::payload::Load::harvest_year(l.on()) == year {
            let t = part * l.arrived.mass_kg() / 1000.0;
            match &l.load.to {
                LoadTo::Buyer(_) => sold += t,
                LoadTo::Mill => fed += t,
                LoadTo::Seed => sown += t,
                LoadTo::Bin(_) | LoadTo::Elsewhere(_) => {}
            }
        }
    }
    let crop = record.plan(year).map_or_else(|| "grain".to_string(), |p| p.crop.words().to_string());
    let wheat = crop.contains("wheat");
    let pork_kg = became::pork_kg(&f.params, 1000.0 * fed, FEED_PER_GAIN);
    let a_day: f64 = herd::today(f).iter().map(|g| f64::from(g.head) * g.feed_kg_d).sum();
    let working = Working::new("Where it went")
        .line(Op::Plus, "Sold", sold, "t", 1)
        .line(Op::Plus, "Fed", fed, "t", 1)
        .line(Op::Plus, "Sown", sown, "t", 1)
        .line(Op::Plus, "Still in bins", kept, "t", 1)
        .line(Op::Plus, "Dried off, missing or elsewhere", off - sold - fed - sown - kept, "t", 1)
        .sum("Off the field", off, "t", 1)
        .note("Bread: 75 % white flour, 450 g of flour a loaf. Pork: 2.8 kg of feed a kg of gain, carcass 79 % of live weight.")
        .source("the loads of the book; common practice");
    Ok(Became {
        field: field.clone(),
        name,
        year,
        off_t: off,
        sold_t: sold,
        fed_t: fed,
        sown_t: sown,
        kept_t: kept,
        loaves: wheat.then(|| became::loaves(&f.params, 1000.0 * sold)),
        kernels: wheat.then(|| became::kernels(&f.params, 1000.0 * off)),
        pork_kg,
        barn_days: (a_day > 0.0).then(|| 1000.0 * fed / a_day),
        crop,
        working,
    })
}

/// Years with loads off a field, latest first.
pub fn years(f: &Facts<'_>, field: &FieldId) -> Vec<i16> {
    let mut all: Vec<i16> =
        f.yard.ledger.off_fields.keys().filter(|(_, x)| x == field).map(|(y, _)| *y).collect();
    all.sort_unstable_by(|a, b| b.cmp(a));
    all.dedup();
    all
}
