//! The forms.

use stook_book::payload::{
    Answer, AreaUnit, Cover, Crop, CultivarClass, DepthUnit, Drainage, LengthUnit, MachineKind,
    MoistureMethod, Operation, RainUnit, RateUnit, SpeedUnit, SprayPurpose, TemperatureUnit, TextureClass,
    ThumbResult, UnitChoice, YieldUnit,
};
use stook_measure::units;

use super::{Ask, Form, Input};

macro_rules! pairs {
    ($name:ident) => {
        Ask::Choice(|| $name::ALL.iter().map(|c| (c.key().to_string(), c.words().to_string())).collect())
    };
}

const fn needed(key: &'static str, label: &'static str, hint: &'static str, ask: Ask) -> Input {
    Input { key, label, hint, ask, needed: true, first: "" }
}
const fn maybe(key: &'static str, label: &'static str, hint: &'static str, ask: Ask) -> Input {
    Input { key, label, hint, ask, needed: false, first: "" }
}
const fn first(mut input: Input, value: &'static str) -> Input {
    input.first = value;
    input
}

const fn plain(unit: fn(&UnitChoice) -> &'static str, step: f64) -> Ask {
    Ask::Number { unit, to_si: |_, x| x, from_si: |_, x| x, step }
}
const PERCENT: Ask = plain(|_| "%", 0.5);
const RAIN: Ask = Ask::Number {
    unit: |u| u.rain.words(),
    to_si: |u, x| if u.rain == RainUnit::Inches { units::in_to_mm(x) } else { x },
    from_si: |u, x| if u.rain == RainUnit::Inches { units::mm_to_in(x) } else { x },
    step: 1.0,
};
const AREA: Ask = Ask::Number {
    unit: |u| u.area.words(),
    to_si: |u, x| if u.area == AreaUnit::Acres { units::acre_to_ha(x) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::ha_to_acre(x) } else { x },
    step: 5.0,
};
const DEPTH: Ask = Ask::Number {
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
const RATE: Ask = Ask::Number {
    unit: |u| u.rate.words(),
    to_si: |u, x| if u.rate == RateUnit::LbAc { units::lb_ac_to_kg_ha(x) } else { x },
    from_si: |u, x| if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(x) } else { x },
    step: 5.0,
};
const YIELD: Ask = Ask::Number {
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
const WIDTH: Ask = Ask::Number {
    unit: |u| u.length.words(),
    to_si: |u, x| if u.length == LengthUnit::Feet { units::ft_to_m(x) } else { x },
    from_si: |u, x| if u.length == LengthUnit::Feet { units::m_to_ft(x) } else { x },
    step: 1.0,
};
const SPEED: Ask = Ask::Number {
    unit: |u| u.speed.words(),
    to_si: |u, x| if u.speed == SpeedUnit::Mph { units::mph_to_kmh(x) } else { x },
    from_si: |u, x| if u.speed == SpeedUnit::Mph { units::kmh_to_mph(x) } else { x },
    step: 0.5,
};
const PLANTS: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "plants/ft2" } else { "plants/m2" },
    to_si: |u, x| if u.area == AreaUnit::Acres { units::per_ft2_to_per_m2(x) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::per_m2_to_per_ft2(x) } else { x },
    step: 1.0,
};
const FIELD: Input = needed("field", "Field", "", Ask::Field);
const PART: Input = maybe("area_ha", "Area, if not the whole field", "", AREA);

const FORMS: &[Form] = &[
    Form {
        kind: "rain",
        title: "Rain gauge",
        glove: true,
        set_up: false,
        inputs: &[
            needed(
                "rain_mm",
                "Rain since the gauge was last emptied",
                "A reading before noon counts for the day before.",
                RAIN,
            ),
            maybe("field", "Gauge", "", Ask::FieldOr("in the yard")),
        ],
    },
    Form {
        kind: "go_no_go",
        title: "Go or no at the gate",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("operation", "Work", "", pairs!(Operation)), "seed"),
            needed("go", "Fit?", "It teaches Stook your own limit.", Ask::YesNo("GO", "NO")),
            maybe("reason", "Why, if you like", "", Ask::Text),
        ],
    },
    Form { kind: "harrowed", title: "Harrowed", glove: true, set_up: false, inputs: &[FIELD, PART] },
    Form {
        kind: "seeding",
        title: "Seeded",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("done", "Whole field in?", "", Ask::YesNo("done", "not yet")), "true"),
            maybe("depth_mm", "Depth", "", DEPTH),
            maybe("rate_kg_ha", "Rate", "", RATE),
            maybe("area_ha", "Area, if not the whole field", "", AREA),
        ],
    },
    Form {
        kind: "emergence_seen",
        title: "Emergence seen",
        glove: true,
        set_up: false,
        inputs: &[FIELD, maybe("plants_per_m2", "Plants, if counted", "Several counts, the mean.", PLANTS)],
    },
    Form {
        kind: "stage_seen",
        title: "Stage seen",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            maybe(
                "leaves",
                "Leaves on the main stem",
                "Whole and tenths: 3.5 is three and a half.",
                plain(|_| "leaves", 0.5),
            ),
            maybe(
                "words",
                "Or the stage",
                "",
                Ask::Choice(|| {
                    stook_crop::Phase::ALL
                        .iter()
                        .skip(2)
                        .map(|p| (p.words().to_string(), p.words().to_string()))
                        .collect()
                }),
            ),
        ],
    },
    Form {
        kind: "spray_pass",
        title: "Sprayed",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("purpose", "For", "", pairs!(SprayPurpose)), "herbicide"),
            needed("product", "Product, as on the label", "", Ask::Text),
            maybe("rate", "Rate, as on the label", "", Ask::Text),
            maybe(
                "pre_harvest_days",
                "Days to harvest, from the label",
                "The field is blocked for cutting until then.",
                plain(|_| "days", 1.0),
            ),
            maybe("re_entry_hours", "Hours before anyone may enter, from the label", "", plain(|_| "h", 1.0)),
            PART,
        ],
    },
    Form {
        kind: "kernel_moisture",
        title: "Kernel moisture",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            needed("moisture_wb_pct", "Moisture", "Of the wet weight, as the meter shows it.", PERCENT),
            first(needed("method", "By", "", pairs!(MoistureMethod)), "meter"),
        ],
    },
    Form {
        kind: "thumb_test",
        title: "Thumb test",
        glove: true,
        set_up: false,
        inputs: &[FIELD, needed("result", "A kernel from the greenest part", "", pairs!(ThumbResult))],
    },
    Form {
        kind: "cut",
        title: "Cut",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("done", "Whole field off?", "", Ask::YesNo("done", "not yet")), "true"),
            maybe("moisture_wb_pct", "Moisture", "", PERCENT),
            maybe("yield_kg_ha", "Yield, as weighed", "", YIELD),
            maybe("area_ha", "Area, if not the whole field", "", AREA),
            maybe(
                "inside_interval_why",
                "If inside a pre-harvest interval: why all the same",
                "The label and the law rule.",
                Ask::Text,
            ),
        ],
    },
    Form {
        kind: "soil_test",
        title: "Soil test",
        glove: false,
        set_up: false,
        inputs: super::soil_test::INPUTS,
    },
    Form {
        kind: "price",
        title: "Price",
        glove: false,
        set_up: false,
        inputs: &[
            needed(
                "what",
                "Of what",
                "",
                Ask::Choice(|| {
                    stook_season::params::price_keys()
                        .map(|(k, w, _)| (k.to_string(), w.to_string()))
                        .collect()
                }),
            ),
            needed("value", "Money", "", plain(|_| "", 0.1)),
            needed(
                "unit",
                "Per",
                "",
                Ask::Choice(|| {
                    [
                        ("bu", "bushel"),
                        ("t", "tonne"),
                        ("ac", "acre"),
                        ("ha", "hectare"),
                        ("bu_point", "bushel and point"),
                        ("t_point", "tonne and point"),
                    ]
                    .map(|(k, w)| (k.to_string(), w.to_string()))
                    .to_vec()
                }),
            ),
        ],
    },
    Form {
        kind: "local_number",
        title: "Your own number",
        glove: false,
        set_up: false,
        inputs: &[
            needed("name", "Coefficient", "By its name: stook reference lists them.", Ask::Text),
            needed("value", "Your number, in its unit", "", plain(|_| "", 0.01)),
            needed("why", "Why", "", Ask::Text),
        ],
    },
    Form {
        kind: "note",
        title: "Note",
        glove: false,
        set_up: false,
        inputs: &[
            needed("text", "Note", "", Ask::LongText),
            maybe("field", "About", "", Ask::FieldOr("the farm")),
        ],
    },
    Form {
        kind: "decision_answer",
        title: "No, because",
        glove: false,
        set_up: false,
        inputs: &[
            needed("decision", "Decision", "", Ask::Text),
            first(needed("answer", "Answer", "", pairs!(Answer)), "no"),
            maybe("reason", "Why", "It is kept.", Ask::Text),
            maybe("field", "Field", "", Ask::FieldOr("no one field")),
        ],
    },
    Form {
        kind: "farm",
        title: "Farm and place",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "Name of the farm", "", Ask::Text),
            needed(
                "place.lat_deg",
                "Latitude",
                "Degrees north, such as 50.1. A phone's map shows it.",
                plain(|_| "degrees", 0.1),
            ),
            needed(
                "place.lon_deg",
                "Longitude",
                "Degrees east; west of Greenwich it is negative, such as -101.3.",
                plain(|_| "degrees", 0.1),
            ),
            first(
                needed(
                    "place.elevation_m",
                    "Height above the sea",
                    "Not known? Leave 500.",
                    plain(|_| "m", 50.0),
                ),
                "500",
            ),
            first(needed("place.time_zone", "Clock", "", Ask::Choice(zones)), "America/Winnipeg"),
            maybe("place.region", "Province, state or district", "", Ask::Text),
        ],
    },
    Form {
        kind: "units",
        title: "Units",
        glove: false,
        set_up: true,
        inputs: &[
            first(needed("area", "Area", "", pairs!(AreaUnit)), "acres"),
            first(needed("grain_yield", "Yield", "", pairs!(YieldUnit)), "bu_ac"),
            first(needed("rate", "Rates", "", pairs!(RateUnit)), "lb_ac"),
            first(needed("temperature", "Temperature", "", pairs!(TemperatureUnit)), "celsius"),
            first(needed("rain", "Rain", "", pairs!(RainUnit)), "mm"),
            first(needed("depth", "Depth", "", pairs!(DepthUnit)), "inches"),
            first(needed("length", "Width", "", pairs!(LengthUnit)), "feet"),
            first(needed("speed", "Speed", "", pairs!(SpeedUnit)), "mph"),
            first(needed("money", "Mark of money", "", Ask::Text), "$"),
        ],
    },
    Form {
        kind: "machine",
        title: "Machine",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "What you call it", "", Ask::Text),
            needed("kind", "What it is", "", pairs!(MachineKind)),
            needed("width_m", "Working width", "", WIDTH),
            needed("speed_kmh", "Working speed", "", SPEED),
            maybe(
                "field_efficiency",
                "Share of its full rate that it reaches",
                "0.7 is usual. Not known? Leave it.",
                plain(|_| "", 0.05),
            ),
            needed("hours_per_day", "Hours a day it can be crewed", "", plain(|_| "h", 1.0)),
        ],
    },
    Form {
        kind: "field",
        title: "Field",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "Name", "", Ask::Text),
            needed("area_ha", "Area", "", AREA),
            maybe("soil.class", "Soil", "Not known? Leave it: the range widens.", pairs!(TextureClass)),
            maybe("drainage", "Drainage", "", pairs!(Drainage)),
            maybe("cover", "Cover in spring", "", pairs!(Cover)),
            maybe("distance_km", "Road from the yard", "", plain(|_| "km", 1.0)),
            maybe("boundary", "Boundary, as GeoJSON", "Paste it, or choose a file.", Ask::LongText),
        ],
    },
    Form {
        kind: "crop_plan",
        title: "Crop plan",
        glove: false,
        set_up: true,
        inputs: &[
            FIELD,
            needed("crop_year", "Year of the harvest", "", plain(|_| "", 1.0)),
            first(
                needed(
                    "crop",
                    "Crop",
                    "",
                    Ask::Choice(|| {
                        Crop::NAMED.iter().map(|c| (c.key().to_string(), c.words().to_string())).collect()
                    }),
                ),
                "spring_wheat",
            ),
            maybe("cultivar", "Cultivar", "", Ask::Text),
            maybe("cultivar_class", "Ripens", "Against others of its crop.", pairs!(CultivarClass)),
            maybe("target_yield_kg_ha", "The most it makes", "", YIELD),
            maybe(
                "best_seeding_until",
                "Best seeded by",
                "After this day a late start costs yield.",
                Ask::Date,
            ),
            maybe("last_seeding_day", "Last day you would seed it", "", Ask::Date),
        ],
    },
];

fn zones() -> Vec<(String, String)> {
    [
        ("America/Winnipeg", "Central"),
        ("America/Regina", "Central all year (Saskatchewan)"),
        ("America/Edmonton", "Mountain (Alberta)"),
        ("America/Chicago", "Central (United States)"),
        ("America/Denver", "Mountain (United States)"),
    ]
    .map(|(k, w)| (k.to_string(), w.to_string()))
    .to_vec()
}

/// Every form.
pub fn all() -> &'static [Form] {
    FORMS
}

/// The form of a kind.
pub fn find(kind: &str) -> Option<&'static Form> {
    FORMS.iter().find(|f| f.kind == kind)
}
