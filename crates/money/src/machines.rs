//! Machines by published cost factors: wear, interest, shelter, repairs, fuel and hands for each pass.

use jiff::civil::Date;
use stook_barn::Facts;
use stook_book::payload::{Crop, Machine, MachineKind, MachineValue};
use stook_book::{Farm, FieldId};
use stook_harvest::capacity::hectares_per_hour;
use stook_harvest::owning::{HourCost, Kind, OwningParams, Worth, hour_cost};
use stook_measure::units::L_PER_US_GALLON;
use stook_measure::{Op, Working, figure};

use crate::prices;
use crate::said::{How, Line, Part};

/// Horsepower of a kilowatt.
const HP_PER_KW: f64 = 1.341_022_09;
/// Passes of a machine over a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passes {
    /// What does it.
    pub kind: MachineKind,
    /// How often.
    pub times: usize,
    /// Whether it was done, or is reckoned on.
    pub done: bool,
}

/// Whether a crop is seeded and combined each year.
fn is_grain(crop: Option<&Crop>) -> bool {
    !matches!(crop, None | Some(Crop::Hay | Crop::Fallow))
}

/// Passes of the farm's own machines over a field in a year. A crop that stands or came off was seeded and is combined; a
/// harrowing counts when it is written. The sprayer is counted with the sprays.
pub fn passes(f: &Facts<'_>, field: &FieldId, year: i16) -> Vec<Passes> {
    let Some(record) = f.farm.fields.get(field) else { return Vec::new() };
    let crop = record.plan(year).map(|p| &p.crop);
    let off = f.yard.ledger.off_field(year, field).is_some();
    let mut out = Vec::new();
    if is_grain(crop) || off {
        let seeded = record.seeded_in(year).next().is_some() || off;
        let cut = record.cut_on(year).is_some() || off;
        out.push(Passes { kind: MachineKind::Drill, times: 1, done: seeded });
        out.push(Passes { kind: MachineKind::Combine, times: 1, done: cut });
        out.push(Passes { kind: MachineKind::Cart, times: 1, done: cut });
    }
    let harrowed = record.harrowings.iter().filter(|h| h.on().year() == year).count();
    if harrowed > 0 {
        out.push(Passes { kind: MachineKind::Harrow, times: harrowed, done: true });
    }
    out
}

fn factors(kind: MachineKind) -> Option<Kind> {
    match kind {
        MachineKind::Drill => Some(Kind::Drill),
        MachineKind::Sprayer => Some(Kind::Sprayer),
        MachineKind::Combine => Some(Kind::Combine),
        MachineKind::Harrow => Some(Kind::Harrow),
        MachineKind::Cart => Some(Kind::Cart),
        MachineKind::Truck | MachineKind::Auger | MachineKind::Drier => None,
    }
}

/// Hectares an hour; the cart goes with the combine.
fn rate(farm: &Farm, m: &Machine, default_eff: f64) -> Option<f64> {
    let m = if m.kind == MachineKind::Cart { farm.machine(MachineKind::Combine)? } else { m };
    let r = hectares_per_hour(m.width_m, m.speed_kmh, m.field_efficiency.unwrap_or(default_eff));
    (r > 0.0).then_some(r)
}

/// Hours a year the farm's own area takes of it, over all fields of the year.
fn hours_of_farm(f: &Facts<'_>, kind: MachineKind, year: i16, rate: f64) -> f64 {
    let area: f64 = f
        .farm
        .fields
        .iter()
        .map(|(id, r)| {
            let n: usize = if kind == MachineKind::Sprayer {
                r.sprays.iter().filter(|s| s.on().year() == year).count()
            } else {
                passes(f, id, year).iter().filter(|p| p.kind == kind).map(|p| p.times).sum()
            };
            n as f64 * r.field().area_ha
        })
        .sum();
    area / rate
}

/// One hour of a machine, in all.
struct Hour {
    own: HourCost,
    tractor: HourCost,
    fuel: f64,
    fuel_ours: bool,
    hands: f64,
    hands_ours: bool,
    hours_a_year: f64,
    litres: f64,
    work_h: f64,
}

fn an_hour(
    f: &Facts<'_>,
    m: &Machine,
    v: &MachineValue,
    hours_farm: f64,
    year: i16,
    on: Date,
) -> Option<Result<Hour, String>> {
    let kind = factors(m.kind)?;
    let p = OwningParams::from_reference(&f.reference);
    let age = |built: i16| f64::from((year - built).max(0));
    let hours = v.hours_a_year.unwrap_or(hours_farm).max(1.0);
    let own = hour_cost(
        &Worth {
            kind,
            new_price: v.new_price,
            years: age(v.built),
            hours_a_year: hours,
            repairs_a_year: v.repairs_a_year,
        },
        &p,
    );
    let pulled = matches!(m.kind, MachineKind::Drill | MachineKind::Harrow | MachineKind::Cart);
    let tractor = match (v.tractor_new_price, v.tractor_built) {
        (Some(price), Some(built)) => hour_cost(
            &Worth {
                kind: Kind::Tractor,
                new_price: price,
                years: age(built),
                hours_a_year: v.tractor_hours_a_year.unwrap_or(hours),
                repairs_a_year: None,
            },
            &p,
        ),
        _ => HourCost::default(),
    };
    let litres = match (v.fuel_l_h, v.power_kw) {
        (Some(l), _) => l,
        (None, Some(kw)) => p.costs.fuel_gal_h_hp * kw * HP_PER_KW * L_PER_US_GALLON,
        (None, None) => return Some(Err("its power or the fuel it burns an hour".into())),
    };
    let (diesel, wage) = (prices::diesel(f.farm, &f.reference, on), prices::wage(f.farm, &f.reference, on));
    let work_h = if pulled { p.labour_per_tractor_h } else { p.costs.labour_per_machine_h };
    Some(Ok(Hour {
        own,
        tractor,
        fuel: litres * diesel.value * (1.0 + p.costs.lubricant_share),
        fuel_ours: diesel.ours,
        hands: work_h * wage.value,
        hands_ours: wage.ours,
        hours_a_year: hours,
        litres,
        work_h,
    }))
}

/// One pass of a machine, money/ha: with its working, or what has to be asked.
pub fn a_pass(f: &Facts<'_>, kind: MachineKind, year: i16, on: Date) -> Result<(f64, How, Working), String> {
    let farm = f.farm;
    let Some(m) = farm.machine(kind) else {
        return Err(format!("the {} is not set up", kind.words()));
    };
    let default_eff = match kind {
        MachineKind::Harrow => f.reference.get("season.machine.harrow.efficiency"),
        _ => f.reference.get("season.machine.combine.efficiency"),
    };
    let Some(rate) = rate(farm, m, default_eff) else {
        return Err(format!("the width and speed of the {}", m.name));
    };
    let Some(v) = farm.machine_values.get(&m.id) else {
        return Err(format!("what the {} is worth and burns", m.name));
    };
    let hours_farm = hours_of_farm(f, kind, year, rate);
    match an_hour(f, m, &v.is, hours_farm, year, on) {
        None => Err(format!("the {} has no published factors", m.name)),
        Some(Err(what)) => Err(format!("the {}: {what}", m.name)),
        Some(Ok(h)) => {
            let an_hour = h.own.total() + h.tractor.total() + h.fuel + h.hands;
            let ours: Vec<&str> = [(h.fuel_ours, "diesel"), (h.hands_ours, "wage")]
                .iter()
                .filter(|x| x.0)
                .map(|x| x.1)
                .collect();
            let how = if ours.is_empty() { How::Reckoned } else { How::OurPrice(ours.join(" and ")) };
            let mut w = Working::new(format!("An hour of the {}", m.name))
                .line(Op::Note, "Hours a year", h.hours_a_year, "h", 0)
                .line(Op::Start, "Worth lost this year", h.own.wear, "an hour", 2)
                .line(Op::Plus, "Interest on its worth", h.own.interest, "an hour", 2)
                .line(Op::Plus, "Taxes, shelter, insurance", h.own.housing, "an hour", 2)
                .line(Op::Plus, "Repairs", h.own.repairs, "an hour", 2);
            if h.tractor.total() > 0.0 {
                w = w.line(Op::Plus, "The tractor in front of it", h.tractor.total(), "an hour", 2);
            }
            w = w
                .line(Op::Plus, format!("Fuel, {} L, and lubricant", figure(h.litres, 1)), h.fuel, "an hour", 2)
                .line(Op::Plus, format!("Hands, {} h", figure(h.work_h, 1)), h.hands, "an hour", 2)
                .line(Op::Over, "Work done in an hour", rate, "ha", 2)
                .sum("A pass", an_hour / rate, "a hectare", 2)
                .source("ASAE D497 repair factors and Iowa State AgDM A3-29 remaining values, from memory; fuel and labour: ASAE 2000 equations: reference/harvest.csv")
                .would_change("your own fuel and repair bills")
                .would_change("more hours a year on it");
            if matches!(kind, MachineKind::Drill | MachineKind::Harrow) && h.tractor.total() <= 0.0 {
                w = w.note("The tractor in front of it is not in it: give its price and year with the machine's worth.");
            }
            Ok((an_hour / rate, how, w))
        }
    }
}

/// Every pass of a field, as lines; what has to be asked goes to `asked`.
pub fn lines(
    f: &Facts<'_>,
    field: &FieldId,
    year: i16,
    on: Date,
    asked: &mut Vec<(String, String)>,
) -> Vec<Line> {
    let mut out = Vec::new();
    for p in passes(f, field, year) {
        let own =
            (p.kind == MachineKind::Harrow).then(|| prices::pass_per_ha(f.farm, "harrow_pass", on)).flatten();
        let name = f.farm.machine(p.kind).map_or_else(|| p.kind.words().to_string(), |m| m.name.clone());
        let times = if p.times == 1 { "one pass".to_string() } else { format!("{} passes", p.times) };
        let words = format!("{name}, {times}{}", if p.done { "" } else { " to come" });
        if let Some(per_ha) = own {
            out.push(Line::new(Part::Machines, words, p.times as f64 * per_ha, How::YourPrice));
            continue;
        }
        match a_pass(f, p.kind, year, on) {
            Ok((per_ha, how, w)) => {
                out.push(Line {
                    working: Some(w),
                    ..Line::new(Part::Machines, words, p.times as f64 * per_ha, how)
                });
            }
            // A cart without a price is left to the hauling; the others are asked for.
            Err(_) if p.kind == MachineKind::Cart => {}
            Err(what) => asked.push((what, "machine_value".into())),
        }
    }
    out
}
