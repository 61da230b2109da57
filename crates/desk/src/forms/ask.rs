//! What forms ask, ready made: inputs that must or may be given, and numbers in the farm's units.

use stook_book::payload::{
    AreaUnit, DepthUnit, LengthUnit, RainUnit, RateUnit, SpeedUnit, UnitChoice, YieldUnit,
};
use stook_measure::units;

use super::{Ask, Input};

/// A choice from a list of the book's.
macro_rules! pairs {
    ($name:ident) => {
        Ask::Choice(|| $name::ALL.iter().map(|c| (c.key().to_string(), c.words().to_string())).collect())
    };
}

/// An input that must be given.
pub const fn needed(key: &'static str, label: &'static str, hint: &'static str, ask: Ask) -> Input {
    Input { key, label, hint, ask, needed: true, first: "" }
}
/// An input that may be left.
pub const fn maybe(key: &'static str, label: &'static str, hint: &'static str, ask: Ask) -> Input {
    Input { key, label, hint, ask, needed: false, first: "" }
}
/// With something chosen at first.
pub const fn first(mut input: Input, value: &'static str) -> Input {
    input.first = value;
    input
}

/// A number whose unit is the same for every farm.
pub const fn plain(unit: fn(&UnitChoice) -> &'static str, step: f64) -> Ask {
    Ask::Number { unit, to_si: |_, x| x, from_si: |_, x| x, step }
}
/// Percent.
pub const PERCENT: Ask = plain(|_| "%", 0.5);
/// Depth of rain; the book keeps mm.
pub const RAIN: Ask = Ask::Number {
    unit: |u| u.rain.words(),
    to_si: |u, x| if u.rain == RainUnit::Inches { units::in_to_mm(x) } else { x },
    from_si: |u, x| if u.rain == RainUnit::Inches { units::mm_to_in(x) } else { x },
    step: 1.0,
};
/// Area; the book keeps ha.
pub const AREA: Ask = Ask::Number {
    unit: |u| u.area.words(),
    to_si: |u, x| if u.area == AreaUnit::Acres { units::acre_to_ha(x) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::ha_to_acre(x) } else { x },
    step: 5.0,
};
/// Depth in the soil; the book keeps mm.
pub const DEPTH: Ask = Ask::Number {
    unit: |u| u.depth.words(),
    to_si: |u, x| match u.depth {
        DepthUnit::Mm => x,
        DepthUnit::Cm => x * 10.0,
        DepthUnit::Inches => units::in_to_mm(x),
    },
    from_si: |u, x| match u.depth {
        DepthUnit::Mm => x,
        DepthUnit::Cm => x / 10.0,
        DepthUnit::Inches => units::mm_to_in(x),
    },
    step: 0.25,
};
/// Rate on the land; the book keeps kg/ha.
pub const RATE: Ask = Ask::Number {
    unit: |u| u.rate.words(),
    to_si: |u, x| if u.rate == RateUnit::LbAc { units::lb_ac_to_kg_ha(x) } else { x },
    from_si: |u, x| if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(x) } else { x },
    step: 5.0,
};
/// Yield of wheat; the book keeps kg/ha.
pub const YIELD: Ask = Ask::Number {
    unit: |u| u.grain_yield.words(),
    to_si: |u, x| match u.grain_yield {
        YieldUnit::BuAc => units::bu_ac_to_kg_ha(x, 60.0),
        YieldUnit::THa => x * 1000.0,
        YieldUnit::KgHa => x,
        YieldUnit::LbAc => units::lb_ac_to_kg_ha(x),
    },
    from_si: |u, x| stook_season::words::wheat_yield(u, x),
    step: 1.0,
};
/// Width; the book keeps m.
pub const WIDTH: Ask = Ask::Number {
    unit: |u| u.length.words(),
    to_si: |u, x| if u.length == LengthUnit::Feet { units::ft_to_m(x) } else { x },
    from_si: |u, x| if u.length == LengthUnit::Feet { units::m_to_ft(x) } else { x },
    step: 1.0,
};
/// Speed; the book keeps km/h.
pub const SPEED: Ask = Ask::Number {
    unit: |u| u.speed.words(),
    to_si: |u, x| if u.speed == SpeedUnit::Mph { units::mph_to_kmh(x) } else { x },
    from_si: |u, x| if u.speed == SpeedUnit::Mph { units::kmh_to_mph(x) } else { x },
    step: 0.5,
};
/// Plants standing; the book keeps plants/m2.
pub const PLANTS: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "plants/ft2" } else { "plants/m2" },
    to_si: |u, x| if u.area == AreaUnit::Acres { units::per_ft2_to_per_m2(x) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::per_m2_to_per_ft2(x) } else { x },
    step: 1.0,
};
/// The field, needed.
pub const FIELD: Input = needed("field", "Field", "", Ask::Field);
/// Part of the field, when not the whole.
pub const PART: Input = maybe("area_ha", "Area, if not the whole field", "", AREA);

pub(super) use pairs;
