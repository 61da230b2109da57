//! An entry in a sentence, in the farm's units.

use maud::{Markup, html};
use stook_book::payload::{CropStage, SoilDescription, UnitChoice};
use stook_book::{BinId, Body, Entry, FieldId, Payload};
use stook_measure::figure;
use stook_season::words;

use super::{clock, long_day};
use crate::forms;
use crate::state::Known;

/// Kind, what it says, where and when.
pub fn line(e: &Entry, known: &Known) -> Markup {
    html! {
        b { (title(e)) } ": " (says(e, known))
        span.quiet { " " (long_day(e.on())) ", " (clock(e.happened)) ", " (e.who) }
    }
}

/// The kind in words.
pub fn title(e: &Entry) -> String {
    match &e.body {
        Body::Known(p) => p.title().into(),
        Body::Unknown { kind, .. } => kind.clone(),
    }
}

/// What an entry says.
pub fn says(e: &Entry, known: &Known) -> String {
    match &e.body {
        Body::Known(p) => payload(p, &known.farm.units(), &|id| super::field_name(known, id), &|id| {
            super::bin_name(known, id)
        }),
        Body::Unknown { .. } => "of a kind this version does not know; it is kept as it came.".into(),
    }
}

fn maybe(x: Option<f64>, f: impl Fn(f64) -> String) -> Option<String> {
    x.map(f)
}

fn payload(
    p: &Payload,
    u: &UnitChoice,
    name: &dyn Fn(&FieldId) -> String,
    bin: &dyn Fn(&BinId) -> String,
) -> String {
    let done = |whole: bool| if whole { "whole field" } else { "not all of it yet" }.to_string();
    let area = |a: Option<f64>| maybe(a, |a| words::area(u, a));
    let pct = |x: f64| format!("{} %", figure(x, 1));
    let text = |t: &Option<String>| t.clone();
    let parts: Vec<Option<String>> = match p {
        Payload::Farm(x) => vec![
            Some(x.name.clone()),
            Some(format!(
                "latitude {}, longitude {}",
                figure(x.place.lat_deg, 2),
                figure(x.place.lon_deg, 2)
            )),
        ],
        Payload::Units(x) => vec![Some(
            [x.area.words(), x.grain_yield.words(), x.rate.words(), x.temperature.words(), x.rain.words()]
                .join(", "),
        )],
        Payload::Machine(x) => vec![
            Some(x.name.clone()),
            Some(x.kind.words().into()),
            number("machine", "width_m", u, x.width_m),
            number("machine", "speed_kmh", u, x.speed_kmh),
        ],
        Payload::Field(x) => vec![
            Some(x.name.clone()),
            Some(words::area(u, x.area_ha)),
            Some(match &x.soil {
                SoilDescription::NotKnown => "soil not known".into(),
                SoilDescription::Class { class } => class.words().into(),
                SoilDescription::Layers { layers } => format!("soil in {} layers", layers.len()),
            }),
        ],
        Payload::CropPlan(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} in {}", x.crop.words(), x.crop_year)),
            text(&x.cultivar),
        ],
        Payload::Price(x) => vec![
            Some(x.what.replace('_', " ")),
            Some(format!("{}{} a {}", u.money, figure(x.value, 2), x.unit.replace('_', " "))),
        ],
        Payload::LocalNumber(x) => vec![Some(format!("{} is {}", x.name, x.value)), Some(x.why.clone())],
        Payload::SoilTest(x) => {
            let n: usize = x.layers.iter().map(|l| l.values.len()).sum();
            vec![
                Some(name(&x.field)),
                Some(format!("{n} values, sampled {}", long_day(x.sampled))),
                text(&x.lab),
            ]
        }
        Payload::SeedLot(x) => vec![
            Some(x.id.to_string()),
            Some(x.crop.words().into()),
            Some(if x.treated { "treated" } else { "not treated" }.into()),
        ],
        Payload::Seeding(x) => vec![
            Some(name(&x.field)),
            Some(done(x.done)),
            area(x.area_ha),
            x.depth_mm.and_then(|d| number("seeding", "depth_mm", u, d)).map(|d| format!("{d} deep")),
            x.rate_kg_ha.and_then(|r| number("seeding", "rate_kg_ha", u, r)),
        ],
        Payload::Harrowed(x) => vec![Some(name(&x.field)), area(x.area_ha)],
        Payload::EmergenceSeen(x) => vec![
            Some(name(&x.field)),
            x.plants_per_m2.and_then(|n| number("emergence_seen", "plants_per_m2", u, n)),
            maybe(x.bare_pct, |p| format!("{} bare", pct(p))),
        ],
        Payload::InsectsSeen(x) => vec![
            Some(name(&x.field)),
            Some(format!(
                "{} {} {}",
                figure(x.count, if x.count < 5.0 { 2 } else { 0 }),
                x.insect.words(),
                x.unit.words()
            )),
            area(x.area_ha),
            text(&x.note),
        ],
        Payload::DamageSeen(x) => vec![
            Some(name(&x.field)),
            Some(x.cause.words().into()),
            maybe(x.lost_pct, |p| format!("{} lost", pct(p))),
            area(x.area_ha),
            x.insurer_told.map(|t| if t { "insurer told" } else { "insurer not told yet" }.into()),
            text(&x.note),
        ],
        Payload::YieldCount(x) => vec![
            Some(name(&x.field)),
            number("yield_count", "heads_per_m2", u, x.heads_per_m2),
            Some(format!("{} kernels a head", figure(x.kernels_per_head, 1))),
            maybe(x.tkw_g, |g| format!("{} g a thousand", figure(g, 1))),
        ],
        Payload::StageSeen(x) => vec![
            Some(name(&x.field)),
            Some(match &x.stage {
                CropStage::Leaves(n) => format!("{} leaves", figure(*n, 1)),
                CropStage::Zadoks(z) => format!("Zadoks {}", figure(*z, 0)),
                CropStage::Words(w) => w.clone(),
            }),
        ],
        Payload::Rain(x) => vec![
            Some(words::rain(u, x.rain_mm)),
            Some(x.field.as_ref().map_or_else(|| "in the yard".into(), |f| format!("on {}", name(f)))),
        ],
        Payload::GoNoGo(x) => vec![
            Some(format!("{} for {}", if x.go { "GO" } else { "NO" }, x.operation.words())),
            Some(name(&x.field)),
            text(&x.reason),
        ],
        Payload::SprayPass(x) => vec![
            Some(name(&x.field)),
            Some(x.purpose.words().into()),
            Some(x.product.clone()),
            text(&x.rate),
            (!x.mix.is_empty()).then(|| {
                format!("with {}", x.mix.iter().map(|p| p.product.as_str()).collect::<Vec<_>>().join(" and "))
            }),
            x.pre_harvest_days.map(|d| format!("{d} days to harvest")),
            area(x.area_ha),
        ],
        Payload::SprayProduct(x) => vec![
            Some(x.name.clone()),
            Some(x.purpose.words().into()),
            x.rate_words(),
            x.pre_harvest_days.map(|d| format!("{d} days to harvest")),
            x.re_entry_hours.map(|h| format!("{h} h before anyone enters")),
        ],
        Payload::EnteredEarly(x) => {
            vec![Some(name(&x.field)), text(&Some(x.why.clone())), Some(x.protection.clone())]
        }
        Payload::KernelMoisture(x) => {
            vec![Some(name(&x.field)), Some(pct(x.moisture_wb_pct)), Some(format!("by {}", x.method.words()))]
        }
        Payload::ThumbTest(x) => vec![Some(name(&x.field)), Some(x.result.words().into())],
        Payload::PanTest(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} {} behind", figure(x.behind, 0), x.measure.words())),
            x.cut_ground.map(|n| format!("{} on cut ground", figure(n, 0))),
            x.standing.map(|n| format!("{} standing", figure(n, 0))),
            x.speed_kmh.map(|v| words::speed(u, v)),
        ],
        Payload::Cut(x) => vec![
            Some(name(&x.field)),
            Some(done(x.done)),
            area(x.area_ha),
            maybe(x.moisture_wb_pct, pct),
            maybe(x.yield_kg_ha, |y| {
                format!(
                    "{} {}",
                    figure(words::wheat_yield(u, y), words::yield_decimals(u)),
                    u.grain_yield.words()
                )
            }),
            x.inside_interval_why.as_ref().map(|w| format!("inside an interval: {w}")),
        ],
        Payload::YieldMap(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} {}", x.crop.words(), x.crop_year)),
            Some(format!("{} points in {} squares", figure(f64::from(x.points), 0), x.squares.len())),
        ],
        Payload::FieldZones(x) => vec![Some(name(&x.field)), Some(format!("{} zones", x.zones.len()))],
        Payload::Note(x) => vec![x.field.as_ref().map(name), Some(x.text.clone())],
        Payload::DecisionAnswer(x) => {
            let about = x.field.as_ref().map_or_else(|| x.decision.clone(), name);
            let job = x.decision.split('/').next().unwrap_or("").to_string();
            vec![Some(format!("{} to {job} {about}", x.answer.words())), text(&x.reason)]
        }
        Payload::FertilizerPlan(_)
        | Payload::FertilizerApplied(_)
        | Payload::DrillSetUp(_)
        | Payload::DrillCatch(_)
        | Payload::TankLeft(_)
        | Payload::ProductLeast(_)
        | Payload::StrawBaled(_)
        | Payload::LabLayout(_)
        | Payload::RateTable(_)
        | Payload::PlantBack(_)
        | Payload::ProteinPremium(_) => super::told_inputs::parts(p, u, name),
        Payload::ManureStore(_)
        | Payload::ManureLevel(_)
        | Payload::ManureTest(_)
        | Payload::BarnCount(_)
        | Payload::ManureHauled(_)
        | Payload::ManurePlan(_)
        | Payload::ManureRules(_) => super::told_manure::parts(p, u, name),
        Payload::Ingredient(_)
        | Payload::HerdGroup(_)
        | Payload::HerdMove(_)
        | Payload::Deaths(_)
        | Payload::Ration(_)
        | Payload::Batch(_)
        | Payload::FeedBin(_)
        | Payload::FeedLevel(_)
        | Payload::Mixer(_)
        | Payload::MixerTest(_)
        | Payload::Bid(_)
        | Payload::ScaleCheck(_)
        | Payload::SieveTest(_)
        | Payload::StrawOnHand(_)
        | Payload::Breeding(_)
        | Payload::PaymentDue(_) => super::told_barn::parts(p, u).unwrap_or_default(),
        Payload::Cost(_) | Payload::MachineValue(_) | Payload::MoneyIn(_) => {
            super::told_money::parts(p, u, name)
        }
        Payload::Buyer(_)
        | Payload::Settlement(_)
        | Payload::Contact(_)
        | Payload::Entrance(_)
        | Payload::Bin(_)
        | Payload::Load(_)
        | Payload::GrainSample(_)
        | Payload::BinMeasured(_) => super::told_yard::parts(p, u, name, bin),
        Payload::BinReading(_) | Payload::FanRun(_) => super::told_keep::parts(p, u, bin),
        Payload::Withdrawn(x) => vec![Some(x.why.clone())],
    };
    let said: Vec<String> = parts.into_iter().flatten().filter(|s| !s.is_empty()).collect();
    format!("{}.", said.join(", ").trim_end_matches('.'))
}

/// A number as its form shows it, with its unit.
pub(super) fn number(kind: &str, key: &str, u: &UnitChoice, si: f64) -> Option<String> {
    let input = forms::find(kind)?.inputs.iter().find(|i| i.key == key)?;
    let forms::Ask::Number { unit, from_si, .. } = input.ask else { return None };
    let shown = figure(from_si(u, si), 1);
    Some(format!("{} {}", shown.trim_end_matches(".0"), unit(u)))
}
