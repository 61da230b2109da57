//! One field's money in one year.

use stook_barn::{Facts, Whole};
use stook_book::FieldId;
use stook_book::payload::Crop;
use stook_inputs::prices::NutrientPrices;
use stook_measure::{Op, Range, Working};
use stook_yard::{CropFacts, jobs, result};

use crate::bills::{self, OnField};
use crate::said::{FieldMoney, How, Line, Made, Part};
use crate::{inputs, machines, uses};

/// What the reckoning of every field shares.
pub(crate) struct Around<'a> {
    pub f: &'a Facts<'a>,
    pub whole: Option<&'a Whole>,
    pub nutrients: NutrientPrices,
    pub outlook: &'a dyn Fn(&FieldId) -> Option<Range>,
    pub year: i16,
    /// The year before, for what is not known yet of the coming one.
    pub last: &'a [FieldMoney],
}

/// What a part came to the year before, money/ha: on fields of the crop, or on all for what does not hang on the crop.
fn as_before(last: &[FieldMoney], part: Part, crop: &Crop) -> Option<f64> {
    let of_farm = matches!(part, Part::Land | Part::Insurance | Part::Overhead);
    let (money, area) = last
        .iter()
        .filter(|f| of_farm || f.crop == *crop)
        .filter(|f| f.lines.iter().any(|l| l.part == part))
        .map(|f| {
            (f.lines.iter().filter(|l| l.part == part).map(|l| l.per_ha).sum::<f64>() * f.area_ha, f.area_ha)
        })
        .fold((0.0, 0.0), |a, x| (a.0 + x.0, a.1 + x.1));
    (area > 0.0).then(|| money / area)
}

/// Lines of a part with what it asks for. Nothing of it known for a crop to come: as it was the year before.
fn reckoned(
    a: &Around<'_>,
    part: Part,
    crop: &Crop,
    to_come: bool,
    found: Vec<Line>,
    asks: inputs::Asks,
    out: &mut (Vec<Line>, inputs::Asks),
) {
    if found.is_empty()
        && to_come
        && let Some(per_ha) = as_before(a.last, part, crop)
    {
        out.0.push(Line::new(part, part.words(), per_ha, How::AsIn(a.year - 1)));
        return;
    }
    out.0.extend(found);
    out.1.extend(asks);
}

fn yield_of(
    a: &Around<'_>,
    field: &FieldId,
    crop: &Crop,
    made: Option<&result::FieldResult>,
) -> (Option<Range>, String) {
    if let Some(r) = made {
        let y = r.yield_kg_ha;
        return (Some(Range { p10: y, p50: y, p90: y }), "loads".into());
    }
    if matches!(crop, Crop::SpringWheat)
        && let Some(r) = (a.outlook)(field)
    {
        return (Some(r), "the outlook over the weathers".into());
    }
    let area = a.f.farm.fields.get(field).map_or(1.0, |r| r.field().area_ha);
    match jobs::by_own_years(a.f.farm, &a.f.yard, &a.f.reference, a.year, field) {
        Some(e) => (Some(Range { p10: e.low_kg / area, p50: e.kg / area, p90: e.high_kg / area }), e.why),
        None => (None, "nothing in the book says what it makes: give its target in the crop plan".into()),
    }
}

fn drying(made: Option<&result::FieldResult>, asks: &mut inputs::Asks) -> Option<Line> {
    let m = &made?.money;
    if m.not_counted.iter().any(|w| w == "drying") {
        asks.push(("the price of drying by a point".into(), "price".into()));
    }
    let (_, per_ha) = m.costs.iter().find(|c| c.0 == "drying")?;
    Some(Line::new(Part::Drying, "drying, by the points its loads lost", *per_ha, How::YourPrice))
}

fn storage(f: &Facts<'_>, tonne_months_ha: f64) -> Option<Line> {
    let name = "barn.plan.storage_t_month";
    let own = f.reference.coefficient(name).is_some_and(|c| c.sure == stook_measure::Sure::Local);
    let how = if own { How::YourPrice } else { How::OurPrice("a tonne and month in the bin".into()) };
    let per_ha = tonne_months_ha * f.reference.get(name);
    (per_ha > 0.0).then(|| Line::new(Part::Storage, "storage so far, by the months in the bin", per_ha, how))
}

/// A field of the year; none when no crop of it is written.
pub(crate) fn of(a: &Around<'_>, field: &FieldId) -> Option<FieldMoney> {
    let f = a.f;
    let record = f.farm.fields.get(field)?;
    let crop = record.plan(a.year)?.crop.clone();
    if crop == Crop::Fallow {
        return None;
    }
    let made = result::of_field(f.farm, &f.yard, &f.reference, a.year, field);
    let on = f.on;
    let bills = bills::of(f.farm, a.year, field, Some(&crop));
    let mut out: (Vec<Line>, inputs::Asks) = (Vec::new(), Vec::new());
    let billed = |p: Part, bills: &OnField| bills.contains_key(&p.bill());
    for (part, per_ha) in Part::ALL.iter().filter_map(|p| Some((*p, *bills.get(&p.bill())?))) {
        out.0.push(Line::new(part, format!("{}, by the bills", part.words()), per_ha, How::Bill));
    }
    let to_come = made.is_none();
    let (yield_kg_ha, yield_by) = yield_of(a, field, &crop, made.as_ref());
    let (uses, tonne_months) =
        if made.is_some() { uses::parts(f, a.whole, field, &crop, a.year) } else { (Vec::new(), 0.0) };
    let area = made.as_ref().map_or(record.field().area_ha, |m| m.area_ha).max(1e-9);
    for part in Part::ALL.into_iter().filter(|p| !billed(*p, &bills)) {
        let mut asks = Vec::new();
        let found: Vec<Line> = match part {
            Part::Seed => inputs::seed(f, record, &crop, a.year, on, &mut asks).into_iter().collect(),
            Part::Fertilizer => {
                let line = inputs::fertilizer(f, record, a.year, on, &a.nutrients, &mut asks);
                if line.is_none() {
                    asks.push((
                        "fertilizer: neither what went on, a plan nor a bill is written".into(),
                        "cost".into(),
                    ));
                }
                line.into_iter().collect()
            }
            Part::Spray => {
                if !record.sprays.iter().any(|s| s.on().year() == a.year) {
                    asks.push(("sprays: no pass and no bill is written".into(), "cost".into()));
                }
                inputs::sprays(f, record, a.year, on, &mut asks)
            }
            Part::Machines => machines::lines(f, field, a.year, on, &mut asks),
            Part::Drying => drying(made.as_ref(), &mut asks).into_iter().collect(),
            Part::Storage => storage(f, tonne_months / area).into_iter().collect(),
            Part::Land => {
                asks.push(("land: rent, or tax and interest of your own".into(), "cost".into()));
                Vec::new()
            }
            // Not every farm has them.
            Part::Custom | Part::Insurance | Part::Overhead => Vec::new(),
        };
        reckoned(a, part, &crop, to_come, found, asks, &mut out);
    }
    let (mut lines, mut asked) = out;
    lines.sort_by_key(|l| l.part);
    let cost_ha: f64 = lines.iter().map(|l| l.per_ha).sum();
    let t_ha = yield_kg_ha.map(|y| y.p50 / 1000.0).filter(|t| *t > 0.0);
    let used: f64 = uses.iter().map(|u| u.tonnes).sum();
    let worth: Option<f64> =
        (used > 0.0).then(|| uses.iter().map(|u| Some(u.tonnes * u.worth_t?)).sum::<Option<f64>>()).flatten();
    let (price_t, price_by) = match worth {
        Some(w) => (Some(w / used), "mean of what it was used for".to_string()),
        None => (uses::own_price_t(f, &crop), "your price".into()),
    };
    if price_t.is_none() && crop != Crop::Hay {
        asked.push((format!("the price of {}", crop.words()), "price".into()));
    }
    let value_ha = price_t.zip(t_ha).map(|(p, t)| p * t);
    let mut working = Working::new(format!("{} in {}", record.field().name, a.year));
    if let Some((p, t)) = price_t.zip(t_ha) {
        working = working.line(Op::Start, "Yield", t, "t/ha", 2).line(
            Op::Times,
            format!("Price, {price_by}"),
            p,
            "a tonne",
            2,
        );
    }
    for l in &lines {
        working = working.line(
            if value_ha.is_some() { Op::Minus } else { Op::Plus },
            format!("{} ({})", l.words, l.how.words()),
            l.per_ha,
            "a hectare",
            2,
        );
    }
    let margin_ha = value_ha.map(|v| v - cost_ha);
    working = match margin_ha {
        Some(m) => working.sum("Left", m, "a hectare", 0),
        None => working.sum("Costs known", cost_ha, "a hectare", 0),
    };
    for (what, _) in &asked {
        working = working.note(format!("Not in it: {what}."));
    }
    Some(FieldMoney {
        field: field.clone(),
        name: record.field().name.clone(),
        area_ha: area,
        made: if made.is_some() { Made::Made } else { Made::Expected },
        yield_by,
        usual_kg_ha: to_come
            .then(|| jobs::by_own_years(f.farm, &f.yard, &f.reference, a.year, field))
            .flatten()
            .map(|e| e.kg / area),
        lb_per_bu: CropFacts::of(&f.reference, &crop).lb_per_bu,
        break_even_t: t_ha.map(|t| cost_ha / t),
        break_even_kg_ha: price_t.filter(|p| *p > 0.0).map(|p| 1000.0 * cost_ha / p),
        cost_ha,
        price_t,
        price_by,
        value_ha,
        margin_ha,
        uses,
        working,
        crop,
        yield_kg_ha,
        lines,
        asked,
    })
}
