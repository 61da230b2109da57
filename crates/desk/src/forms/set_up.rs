//! The farm itself: place, units, machines, fields, plans, prices, own numbers.

use stook_book::payload::{
    AreaUnit, BlightRating, Cover, Crop, CultivarClass, DepthUnit, Drainage, LengthUnit, Lie, MachineKind,
    RainUnit, RateUnit, ScaleUnit, SpeedUnit, TemperatureUnit, TextureClass, VolumeUnit, YieldUnit,
};

use super::ask::{AREA, FIELD, SPEED, WIDTH, YIELD, first, maybe, needed, pairs, plain};
use super::{Ask, Form};

/// The forms.
pub const FORMS: &[Form] = &[
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
                        .chain(stook_inputs::prices::KEYS)
                        .chain(stook_money::prices::KEYS)
                        .map(|(k, w, _)| (k.to_string(), w.to_string()))
                        .chain(super::barn::prices())
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
                        ("lb", "pound"),
                        ("kg", "kilogram"),
                        ("h", "hour"),
                        ("head", "head"),
                        ("l", "litre"),
                        ("us_gal", "US gallon"),
                        ("imp_gal", "imperial gallon"),
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
            first(needed("scale", "The scale weighs in", "", pairs!(ScaleUnit)), "kg"),
            first(needed("volume", "Volume of bins and boxes", "", pairs!(VolumeUnit)), "imperial_bu"),
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
            maybe("width_m", "Working width", "Of what works land.", WIDTH),
            maybe("speed_kmh", "Working speed", "In the field; a truck's on the road.", SPEED),
            maybe(
                "field_efficiency",
                "Share of its full rate that it reaches",
                "0.7 is usual. Not known? Leave it.",
                plain(|_| "", 0.05),
            ),
            needed("hours_per_day", "Hours a day it can be crewed", "", plain(|_| "h", 1.0)),
            super::harvest::HOLDS,
            super::harvest::MOVES,
            super::harvest::GOING,
            maybe("tank_l", "A sprayer's tank is filled to", "", super::spraying::TANK),
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
            maybe(
                "soil.layers",
                "Or the soil layer by layer",
                "From a soil survey, one line a layer: depth of its bottom in cm, sand %, clay %, organic matter %. Such as 15 32 28 4.5",
                Ask::LongText,
            ),
            maybe("drainage", "Drainage", "", pairs!(Drainage)),
            maybe("cover", "Cover in spring", "", pairs!(Cover)),
            maybe("lie", "The land lies", "", pairs!(Lie)),
            maybe("distance_km", "Road from the yard", "", plain(|_| "km", 1.0)),
            maybe(
                "boundary",
                "Boundary, as GeoJSON",
                "Paste it, or choose a file. Of several outlines the one with the field's name is taken.",
                Ask::LongText,
            ),
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
            maybe("head_blight", "Against head blight", "As the seed guide rates it.", pairs!(BlightRating)),
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
