//! Where a field's crop went, and what each part of it is worth.

use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_barn::{Facts, Whole};
use stook_book::payload::{Crop, Load, LoadTo};
use stook_book::{BinId, FieldId};
use stook_grain::settle::LineKey;
use stook_yard::ticket;
use stook_yard::{Happened, Source};

use crate::prices;

/// Days of a month, on average.
const MONTH: f64 = 30.4;

/// What became of grain.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case", tag = "to", content = "who")]
pub enum Use {
    /// To a mill, an elevator, another buyer.
    Sold(String),
    /// Into the farm's own pigs.
    Fed,
    /// Seed.
    Sown,
    /// Still there.
    Kept(BinId),
}

/// A part of a field's crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// What became of it.
    #[serde(flatten)]
    pub to: Use,
    /// Tonnes.
    pub tonnes: f64,
    /// What a tonne brought or is worth at the yard; none where nothing says.
    pub worth_t: Option<f64>,
    /// Whose figure that is.
    pub by: String,
}

/// What went where, with the tonne-months it lay in bins.
struct Went {
    to: Use,
    /// Bin it came out of last.
    out_of: Option<BinId>,
    tonnes: f64,
    tonne_months: f64,
}

fn went(f: &Facts<'_>, field: &FieldId, year: i16) -> Vec<Went> {
    let want = Source::Field { field: field.clone(), year };
    let share =
        |sources: &[(Source, f64)]| sources.iter().filter(|s| s.0 == want).map(|s| s.1).sum::<f64>() / 1000.0;
    let loads: Vec<_> = f
        .yard
        .loads
        .iter()
        .filter(|l| Load::harvest_year(l.on()) == year && l.load.fields().iter().any(|(x, _)| *x == field))
        .collect();
    // The middle of its harvest.
    let came: Option<Date> = loads.get(loads.len() / 2).map(|l| l.on());
    let months = |at: DateTime| came.map_or(0.0, |c| f64::from((at.date() - c).get_days()).max(0.0) / MONTH);
    let now = f.on.at(12, 0, 0, 0);
    let mut out: Vec<Went> = Vec::new();
    let mut put = |to: Use, out_of: Option<BinId>, t: f64, months: f64| {
        if t <= 1e-6 {
            return;
        }
        match out.iter_mut().find(|w| w.to == to && w.out_of == out_of) {
            Some(w) => {
                w.tonnes += t;
                w.tonne_months += t * months;
            }
            None => out.push(Went { to, out_of, tonnes: t, tonne_months: t * months }),
        }
    };
    let use_of = |to: &LoadTo| match to {
        LoadTo::Buyer(who) => Some(Use::Sold(who.clone())),
        LoadTo::Mill => Some(Use::Fed),
        LoadTo::Seed => Some(Use::Sown),
        LoadTo::Bin(_) | LoadTo::Elsewhere(_) => None,
    };
    for b in f.yard.bins.values() {
        put(Use::Kept(b.id().clone()), Some(b.id().clone()), share(&b.sources()), months(now));
        for e in &b.history {
            if let Happened::Out { to, lot, .. } = &e.what
                && let Some(u) = use_of(to)
            {
                put(u, Some(b.id().clone()), share(&stook_yard::source::sources(lot)), months(e.at));
            }
        }
    }
    // Straight off the field.
    for l in &loads {
        let part: f64 = l.load.fields().iter().filter(|(x, _)| *x == field).map(|(_, s)| s).sum();
        if let Some(u) = use_of(&l.load.to) {
            put(u, None, part * l.arrived.mass_kg() / 1000.0, 0.0);
        }
    }
    out
}

/// Money a tonne a buyer paid for a crop, by the tickets settled since the harvest.
fn settled(f: &Facts<'_>, who: &str, crop: &Crop, year: i16) -> Option<f64> {
    let (money, tonnes) = f
        .farm
        .settlements
        .iter()
        .filter(|s| s.is.crop == *crop && s.is.buyer.trim().eq_ignore_ascii_case(who.trim()))
        .filter(|s| Load::harvest_year(s.on()) >= year)
        .map(|s| ticket::sale(&s.is))
        .map(|s| (s.line(LineKey::Payable), s.line(LineKey::NetT)))
        .fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    (tonnes > 0.0).then(|| money / tonnes)
}

/// The farm's price of a crop, money a tonne.
pub fn own_price_t(f: &Facts<'_>, crop: &Crop) -> Option<f64> {
    let lb = stook_yard::CropFacts::of(&f.reference, crop).lb_per_bu;
    stook_yard::result::price_per_t(f.farm, prices::crop_key(crop), f.on, lb)
}

/// What a bin's grain is worth by the joint plan: fed at its worth in the trough, sold at its price, the rest at the best
/// of the two.
fn by_plan(whole: Option<&Whole>, bin: &BinId) -> Option<f64> {
    let l = whole?.lots.iter().find(|l| l.lot.bin == *bin)?;
    let best = l.trough_t.into_iter().chain(l.mill_t).fold(f64::NEG_INFINITY, f64::max);
    if !best.is_finite() {
        return None;
    }
    let sold: f64 = l.sales.iter().map(|s| s.2 * s.3).sum();
    let fed = l.fed_t * l.trough_t.unwrap_or(best);
    let rest = (l.lot.tonnes - l.fed_t - l.sold_t).max(0.0) * best;
    Some((sold + fed + rest) / l.lot.tonnes.max(1e-9))
}

/// Worth of a crop in the trough by the joint plan: of that bin, else the mean over the crop's bins.
fn in_trough(whole: Option<&Whole>, bin: Option<&BinId>, crop: &Crop) -> Option<f64> {
    let lots = &whole?.lots;
    if let Some(t) = bin.and_then(|b| lots.iter().find(|l| l.lot.bin == *b)).and_then(|l| l.trough_t) {
        return Some(t);
    }
    let (t, all) = lots
        .iter()
        .filter(|l| l.lot.crop == crop.key())
        .filter_map(|l| Some((l.trough_t?, l.lot.tonnes)))
        .fold((0.0, 0.0), |a, x| (a.0 + x.0 * x.1, a.1 + x.1));
    (all > 0.0).then(|| t / all)
}

/// Each part with its worth, and the tonne-months in bins.
pub fn parts(
    f: &Facts<'_>,
    whole: Option<&Whole>,
    field: &FieldId,
    crop: &Crop,
    year: i16,
) -> (Vec<Part>, f64) {
    let own = own_price_t(f, crop);
    let mut tonne_months = 0.0;
    let mut out: Vec<(Part, f64)> = Vec::new();
    for w in went(f, field, year) {
        tonne_months += w.tonne_months;
        let (worth, by) = match &w.to {
            Use::Sold(who) => match settled(f, who, crop, year) {
                Some(x) => (Some(x), "tickets settled".to_string()),
                None => (own, "your price: no ticket of it is settled in the book".into()),
            },
            Use::Fed => match in_trough(whole, w.out_of.as_ref(), crop) {
                Some(x) => (Some(x), "worth in the trough by the joint plan".into()),
                None => (own, "your price: the joint plan has no place for it in the trough".into()),
            },
            Use::Sown => (own, "your price".into()),
            Use::Kept(bin) => match by_plan(whole, bin) {
                Some(x) => (Some(x), "what the joint plan makes of the bin".into()),
                None => (own, "your price".into()),
            },
        };
        // Several bins fed from are one line.
        match out.iter_mut().find(|(p, _)| p.to == w.to) {
            Some((p, _)) => {
                let all = p.tonnes + w.tonnes;
                p.worth_t = p.worth_t.zip(worth).map(|(a, b)| (a * p.tonnes + b * w.tonnes) / all);
                p.tonnes = all;
            }
            None => out.push((Part { to: w.to, tonnes: w.tonnes, worth_t: worth, by }, 0.0)),
        }
    }
    let mut parts: Vec<Part> = out.into_iter().map(|x| x.0).filter(|p| p.tonnes > 0.05).collect();
    parts.sort_by(|a, b| b.tonnes.total_cmp(&a.tonnes));
    (parts, tonne_months)
}
