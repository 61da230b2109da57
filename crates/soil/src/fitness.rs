//! Whether a field carries a machine and takes the work: the share of a workable day.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

use crate::field_soil::{FieldSoil, SURFACE_M};
use crate::params::SoilParams;
use crate::water::WaterState;

/// Work on a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)] // the names say it
pub enum Operation {
    Harrow,
    Till,
    Seed,
    Roll,
    Spray,
    Spread,
    Swath,
    Combine,
    Cart,
    Manure,
}

impl Operation {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Harrow,
        Self::Till,
        Self::Seed,
        Self::Roll,
        Self::Spray,
        Self::Spread,
        Self::Swath,
        Self::Combine,
        Self::Cart,
        Self::Manure,
    ];

    /// The word used in names of coefficients.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Harrow => "harrow",
            Self::Till => "till",
            Self::Seed => "seed",
            Self::Roll => "roll",
            Self::Spray => "spray",
            Self::Spread => "spread",
            Self::Swath => "swath",
            Self::Combine => "combine",
            Self::Cart => "cart",
            Self::Manure => "manure",
        }
    }

    /// The operation of that word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|o| o.key() == text.trim().to_lowercase())
    }
}

/// When an operation goes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Water over field capacity with an even chance of going.
    pub limit: f64,
    /// Depth it is judged over, m.
    pub depth_m: f64,
    /// Width of the go curve, as a share of field capacity.
    pub width: f64,
    /// Rain in the day that leaves no time, mm.
    pub rain_stop_mm: f64,
}

/// The limits of all operations, and the margin below saturation at which water stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    of: [Limit; Operation::ALL.len()],
    standing_margin: f64,
    thaw_days: u16,
}

impl Limits {
    /// Reads `soil.fit.*`.
    pub fn from_reference(r: &Reference) -> Self {
        let of = Operation::ALL.map(|op| {
            let get = |what: &str| r.get(&format!("soil.fit.{}.{what}", op.key()));
            Limit {
                limit: get("limit"),
                depth_m: get("depth_m"),
                width: get("width"),
                rain_stop_mm: get("rain_stop_mm"),
            }
        });
        Self { of, standing_margin: r.get("soil.standing_margin"), thaw_days: r.get("soil.thaw_days") as u16 }
    }

    /// The limit of an operation.
    pub fn of(&self, op: Operation) -> &Limit {
        &self.of[op as usize]
    }

    /// The same with the farm's own limit for an operation, such as a refitted one.
    #[must_use]
    pub fn with(mut self, op: Operation, limit: f64) -> Self {
        self.of[op as usize].limit = limit;
        self
    }
}

/// What else the day holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Whether snow lies.
    pub snow_on_ground: bool,
    /// Rain in the day, mm.
    pub rain_today_mm: f64,
    /// Days in a row the soil has been above 0 C, from [`crate::SoilTemp::days_above_zero`].
    pub days_above_zero: u16,
}

/// What decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Binding {
    /// Nothing stands in the way.
    Fit,
    /// The soil is too wet for some of the day, or all of it.
    Wet,
    /// Rain takes part of the day, or all of it.
    Rain,
    /// Water stands.
    Standing,
    /// The ground is frozen or only just thawed.
    Frozen,
    /// Snow lies.
    Snow,
}

impl Binding {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Wet => "soil too wet",
            Self::Rain => "rain",
            Self::Standing => "water standing",
            Self::Frozen => "ground frozen or just thawed",
            Self::Snow => "snow on the ground",
        }
    }
}

/// The share of a workable day, and what decided it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitness {
    /// 0 to 1.
    pub share: f64,
    /// Water over field capacity at the operation's depth.
    pub relative_to_fc: f64,
    /// What decided.
    pub binding: Binding,
}

/// The chance of going at a wetness: a half at the limit, rising as it dries.
pub fn go_share(relative_to_fc: f64, limit: f64, width: f64) -> f64 {
    1.0 / (1.0 + ((relative_to_fc - limit) / width).exp())
}

/// Share of the day fit for an operation, with what decided it.
///
/// Snow, frost and standing water stop everything; rain takes a share of the day; wetness decides the rest. Work
/// meant for frozen ground, such as hauling in winter, is not judged here.
///
/// Source of the 0.95 of field capacity: Rutledge and McHardy (1968), quoted by Baier (1973) Can. Agric. Eng. 15(2).
/// No other limits were found in print; the farm's own log refits them ([`crate::refit`]).
pub fn judge(
    op: Operation,
    state: &WaterState,
    soil: &FieldSoil,
    day: &Conditions,
    limits: &Limits,
) -> Fitness {
    let limit = limits.of(op);
    let relative_to_fc = state.surface_relative_to_fc(soil, limit.depth_m);
    let stop = |binding| Fitness { share: 0.0, relative_to_fc, binding };
    if day.snow_on_ground {
        return stop(Binding::Snow);
    }
    if state.frozen || day.days_above_zero < limits.thaw_days {
        return stop(Binding::Frozen);
    }
    if state.surface_mm > soil.surface.sat_mm - limits.standing_margin * 1000.0 * SURFACE_M {
        return stop(Binding::Standing);
    }
    let dry_share = (1.0 - day.rain_today_mm.max(0.0) / limit.rain_stop_mm).clamp(0.0, 1.0);
    let go = go_share(relative_to_fc, limit.limit, limit.width);
    let binding = match (go < 0.9, dry_share < 0.9) {
        (false, false) => Binding::Fit,
        (true, false) => Binding::Wet,
        (false, true) => Binding::Rain,
        (true, true) => {
            if go < dry_share {
                Binding::Wet
            } else {
                Binding::Rain
            }
        }
    };
    Fitness { share: go * dry_share, relative_to_fc, binding }
}

/// Share of the day fit for an operation, 0 to 1: [`judge`] without the reason.
pub fn fitness(
    op: Operation,
    state: &WaterState,
    soil: &FieldSoil,
    day: &Conditions,
    limits: &Limits,
) -> f64 {
    judge(op, state, soil, day, limits).share
}

/// Wettest a soil can be tilled, % of dry weight: `7.5 + 1.91 OM + 0.34 clay`, both in %.
///
/// Source: Terzaghi, Hoogmoed and Miedema (1988) Neth. J. Agric. Sci. 36, on soils of Uruguay; equal to the water held
/// at pF 2.0-2.7.
pub fn upper_tillage_limit_pct(om_pct: f64, clay_pct: f64) -> f64 {
    7.5 + 1.91 * om_pct + 0.34 * clay_pct
}

impl From<&SoilParams> for Limits {
    fn from(p: &SoilParams) -> Self {
        p.limits
    }
}
