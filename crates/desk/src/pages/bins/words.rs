//! Grain in the farm's words: bushels first where the farm speaks bushels, tonnes always.

use maud::{Markup, html};
use stook_book::payload::{UnitChoice, VolumeUnit, YieldUnit};
use stook_grain::moisture_class::{ClassLimits, MoistureClass};
use stook_measure::{figure, units};
use stook_yard::{CropFacts, Source};

use crate::pages::field_name;
use crate::state::Known;

/// Whether the farm speaks bushels.
pub fn in_bushels(u: &UnitChoice) -> bool {
    u.grain_yield == YieldUnit::BuAc
}

/// `245.8 t`.
pub fn tonnes(kg: f64) -> String {
    let d = if kg.abs() < 99_950.0 { 1 } else { 0 };
    format!("{} t", figure(kg / 1000.0, d))
}

/// `9,032 bu (245.8 t)`, or tonnes alone.
pub fn grain(u: &UnitChoice, facts: &CropFacts, kg: f64) -> String {
    if in_bushels(u) { format!("{} bu ({})", figure(facts.bushels(kg), 0), tonnes(kg)) } else { tonnes(kg) }
}

/// `9,032 bu`, or tonnes.
pub fn short(u: &UnitChoice, facts: &CropFacts, kg: f64) -> String {
    if in_bushels(u) { format!("{} bu", figure(facts.bushels(kg), 0)) } else { tonnes(kg) }
}

/// A volume in the farm's unit.
pub fn volume(u: &UnitChoice, m3: f64) -> String {
    let x = match u.volume {
        VolumeUnit::ImperialBushels => m3 * 1000.0 / units::L_PER_IMPERIAL_BUSHEL,
        VolumeUnit::UsBushels => m3 * 1000.0 / units::L_PER_US_BUSHEL,
        VolumeUnit::M3 => m3,
    };
    format!("{} {}", figure(x, 0), u.volume.words())
}

/// `14.2 %`.
pub fn pct(x: f64) -> String {
    format!("{}\u{a0}%", figure(x, 1))
}

/// Moisture with the trade's word when it is not dry: `16.9 % moisture, tough`.
pub fn moisture(facts: &CropFacts, m: f64) -> String {
    match class(facts, m) {
        Some(c) if c != MoistureClass::Straight => format!("{} moisture, {}", pct(m), c.word()),
        _ => format!("{} moisture", pct(m)),
    }
}

/// `16.9 %, tough`: where the label says moisture.
pub fn class_words(facts: &CropFacts, m: f64) -> String {
    match class(facts, m) {
        Some(c) if c != MoistureClass::Straight => format!("{}, {}", pct(m), c.word()),
        _ => pct(m),
    }
}

/// The moisture class, where the crop has one.
pub fn class(facts: &CropFacts, m: f64) -> Option<MoistureClass> {
    let key = facts.class_key?;
    let limits = ClassLimits::shipped().into_iter().find(|c| c.grain == key)?;
    Some(limits.class(m))
}

/// An origin in words, a field as the way to its page.
pub fn source(known: &Known, s: &Source) -> Markup {
    html! {
        @match s {
            Source::Field { field, year } => { a href={ "/field/" (field) } { (field_name(known, field)) } " " (year) }
            Source::Bought { from, on } => { "bought from " (from) ", " (super::super::long_day(*on)) }
            Source::NotWritten => { "no load written" }
        }
    }
}

/// An origin in words.
pub fn source_text(known: &Known, s: &Source) -> String {
    match s {
        Source::Field { field, year } => format!("{} {year}", field_name(known, field)),
        Source::Bought { from, .. } => format!("bought from {from}"),
        Source::NotWritten => "no load written".into(),
    }
}
