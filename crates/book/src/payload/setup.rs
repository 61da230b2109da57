//! Set-up: the farm, its units, machines, fields, plans, prices and own numbers. The latest of each counts.

use serde::{Deserialize, Serialize};

use super::{FieldId, MachineId};
use crate::choice::choices;

/// The farm and where it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FarmSetUp {
    /// What the farm is called.
    pub name: String,
    /// Where the yard is.
    pub place: Place,
}

/// A place on the ground with its clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Latitude, degrees north.
    pub lat_deg: f64,
    /// Longitude, degrees east (negative in the Americas).
    pub lon_deg: f64,
    /// Elevation, m.
    pub elevation_m: f64,
    /// IANA name of the time zone, such as `America/Regina`.
    pub time_zone: String,
    /// Province, state or district, as a hint for local rules and grades.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub region: Option<String>,
}

choices! {
    /// Unit of area.
    AreaUnit { Acres = "acres", "acres"; Hectares = "hectares", "hectares"; }
}
choices! {
    /// Unit of grain yield.
    YieldUnit { BuAc = "bu_ac", "bu/ac"; THa = "t_ha", "t/ha"; KgHa = "kg_ha", "kg/ha"; LbAc = "lb_ac", "lb/ac"; }
}
choices! {
    /// Unit of rates of seed and fertilizer.
    RateUnit { LbAc = "lb_ac", "lb/ac"; KgHa = "kg_ha", "kg/ha"; }
}
choices! {
    /// Unit of temperature.
    TemperatureUnit { Celsius = "celsius", "C"; Fahrenheit = "fahrenheit", "F"; }
}
choices! {
    /// Unit of rain.
    RainUnit { Mm = "mm", "mm"; Inches = "inches", "in"; }
}
choices! {
    /// Unit of depth in the soil.
    DepthUnit { Mm = "mm", "mm"; Cm = "cm", "cm"; Inches = "inches", "in"; }
}
choices! {
    /// Unit of machine width.
    LengthUnit { Metres = "metres", "m"; Feet = "feet", "ft"; }
}
choices! {
    /// Unit of speed.
    SpeedUnit { Kmh = "kmh", "km/h"; Mph = "mph", "mph"; }
}

choices! {
    /// Unit the scale weighs loads in.
    ScaleUnit { Kg = "kg", "kg"; Lb = "lb", "lb"; Tonnes = "t", "t"; }
}
choices! {
    /// Unit of the volume of bins, boxes and tanks.
    VolumeUnit {
        ImperialBushels = "imperial_bu", "imp bu";
        UsBushels = "us_bu", "US bu";
        M3 = "m3", "m3";
    }
}

fn kilograms() -> ScaleUnit {
    ScaleUnit::Kg
}

fn imperial_bushels() -> VolumeUnit {
    VolumeUnit::ImperialBushels
}

/// The units the farm reads and writes in. The book itself is in SI.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitChoice {
    /// Area.
    pub area: AreaUnit,
    /// Grain yield.
    pub grain_yield: YieldUnit,
    /// Seed and fertilizer rates.
    pub rate: RateUnit,
    /// Temperature.
    pub temperature: TemperatureUnit,
    /// Rain.
    pub rain: RainUnit,
    /// Depth in the soil.
    pub depth: DepthUnit,
    /// Machine width.
    pub length: LengthUnit,
    /// Speed.
    pub speed: SpeedUnit,
    /// What the scale weighs loads in.
    #[serde(default = "kilograms")]
    pub scale: ScaleUnit,
    /// Volume of bins, boxes and tanks.
    #[serde(default = "imperial_bushels")]
    pub volume: VolumeUnit,
    /// How money is marked, such as `$`; empty for no mark.
    pub money: String,
}

impl Default for UnitChoice {
    /// The mix common on the Canadian plains: acres and bushels, Celsius and millimetres of rain.
    fn default() -> Self {
        Self {
            area: AreaUnit::Acres,
            grain_yield: YieldUnit::BuAc,
            rate: RateUnit::LbAc,
            temperature: TemperatureUnit::Celsius,
            rain: RainUnit::Mm,
            depth: DepthUnit::Inches,
            length: LengthUnit::Feet,
            speed: SpeedUnit::Mph,
            scale: ScaleUnit::Kg,
            volume: VolumeUnit::ImperialBushels,
            money: "$".into(),
        }
    }
}

choices! {
    /// What a machine does.
    MachineKind {
        Drill = "drill", "drill";
        Sprayer = "sprayer", "sprayer";
        Combine = "combine", "combine";
        Harrow = "harrow", "harrow";
        Truck = "truck", "truck";
        Cart = "cart", "grain cart";
        Auger = "auger", "auger or pit";
        Drier = "drier", "drier";
    }
}

/// A field machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// Its key.
    pub id: MachineId,
    /// What it does.
    pub kind: MachineKind,
    /// What the farm calls it.
    pub name: String,
    /// Working width, m; none for what has no width in the field.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub width_m: f64,
    /// Working speed, km/h; a truck's on the road; none for what stands still.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub speed_kmh: f64,
    /// Share of the theoretical work rate that is reached, 0 to 1; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field_efficiency: Option<f64>,
    /// Hours it can be crewed in a day, h.
    pub hours_per_day: f64,
    /// Grain it holds (tank, cart, box, wet bin before a drier), kg of wheat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holds_kg: Option<f64>,
    /// Grain it moves in an hour (unloading auger, pit, drier at [`Machine::PER_POINTS`] points), kg of wheat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moves_kg_h: Option<f64>,
    /// Whether a combine unloads without stopping.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unloads_going: Option<bool>,
    /// What a sprayer's tank is filled to, L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tank_l: Option<f64>,
}

impl Machine {
    /// Points of moisture that a drier's rate is stated for.
    pub const PER_POINTS: f64 = 5.0;
}

impl MachineKind {
    /// Whether it works land at a width and speed; the others carry, move or dry grain.
    pub fn works_land(self) -> bool {
        matches!(self, Self::Drill | Self::Sprayer | Self::Combine | Self::Harrow)
    }
}

fn is_nothing(x: &f64) -> bool {
    *x == 0.0
}

choices! {
    /// Soil texture by class (USDA names).
    TextureClass {
        Sand = "sand", "sand";
        LoamySand = "loamy_sand", "loamy sand";
        SandyLoam = "sandy_loam", "sandy loam";
        Loam = "loam", "loam";
        SiltLoam = "silt_loam", "silt loam";
        Silt = "silt", "silt";
        SandyClayLoam = "sandy_clay_loam", "sandy clay loam";
        ClayLoam = "clay_loam", "clay loam";
        SiltyClayLoam = "silty_clay_loam", "silty clay loam";
        SandyClay = "sandy_clay", "sandy clay";
        SiltyClay = "silty_clay", "silty clay";
        Clay = "clay", "clay";
    }
}

/// One layer of soil.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilLayer {
    /// Top, cm below the surface.
    pub top_cm: f64,
    /// Bottom, cm below the surface.
    pub bottom_cm: f64,
    /// Sand, % by weight.
    pub sand_pct: f64,
    /// Clay, % by weight.
    pub clay_pct: f64,
    /// Organic matter, % by weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub organic_matter_pct: Option<f64>,
}

/// What is known of a field's soil.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum SoilDescription {
    /// Nothing: results carry a wider range.
    #[default]
    NotKnown,
    /// The texture class of the whole profile.
    Class {
        /// The class.
        class: TextureClass,
    },
    /// Layer by layer from the top.
    Layers {
        /// The layers.
        layers: Vec<SoilLayer>,
    },
}

choices! {
    /// How a field lies.
    Lie {
        Level = "level", "level";
        Rolling = "rolling", "rolling: knolls and lows";
    }
}

choices! {
    /// How a field drains.
    Drainage { Poor = "poor", "stays wet"; Fair = "fair", "middling"; Good = "good", "drains well"; }
}
choices! {
    /// What covers the soil in spring.
    Cover {
        Bare = "bare", "bare or tilled";
        Light = "light", "light stubble or after peas";
        Heavy = "heavy", "heavy standing stubble";
    }
}

/// A field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Field {
    /// Its key: stays when the name changes.
    pub id: FieldId,
    /// What the farm calls it.
    pub name: String,
    /// Seeded area, ha.
    pub area_ha: f64,
    /// Outline, a GeoJSON Polygon or MultiPolygon in longitude and latitude.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boundary: Option<geojson::Geometry>,
    /// Soil.
    #[serde(default)]
    pub soil: SoilDescription,
    /// Drainage, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drainage: Option<Drainage>,
    /// Cover, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover: Option<Cover>,
    /// Road distance from the yard, km.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_km: Option<f64>,
    /// How the land lies, if known: a soil sample stands for less of it where it rolls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
}

/// A crop. One without a name here is kept by its own word.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub enum Crop {
    /// Spring wheat.
    SpringWheat,
    /// Durum wheat.
    Durum,
    /// Barley.
    Barley,
    /// Oats.
    Oats,
    /// Canola.
    Canola,
    /// Field peas.
    Peas,
    /// Flax.
    Flax,
    /// Hay.
    Hay,
    /// Nothing this year.
    Fallow,
    /// Another, by its word.
    Other(String),
}

impl Crop {
    /// The crops with a name here, in the order to offer them.
    pub const NAMED: [Self; 9] = [
        Self::SpringWheat,
        Self::Durum,
        Self::Barley,
        Self::Oats,
        Self::Canola,
        Self::Peas,
        Self::Flax,
        Self::Hay,
        Self::Fallow,
    ];

    /// As written in the book.
    pub fn key(&self) -> &str {
        match self {
            Self::SpringWheat => "spring_wheat",
            Self::Durum => "durum",
            Self::Barley => "barley",
            Self::Oats => "oats",
            Self::Canola => "canola",
            Self::Peas => "peas",
            Self::Flax => "flax",
            Self::Hay => "hay",
            Self::Fallow => "fallow",
            Self::Other(word) => word,
        }
    }

    /// As a person reads it.
    pub fn words(&self) -> &str {
        match self {
            Self::SpringWheat => "spring wheat",
            other => other.key(),
        }
    }
}

impl From<String> for Crop {
    fn from(key: String) -> Self {
        Self::NAMED.into_iter().find(|c| c.key() == key).unwrap_or(Self::Other(key))
    }
}

impl From<Crop> for String {
    fn from(crop: Crop) -> Self {
        crop.key().into()
    }
}

choices! {
    /// How soon a cultivar ripens against others of its crop.
    CultivarClass { Early = "early", "early"; Mid = "mid", "middle"; Late = "late", "late"; }
}

choices! {
    /// How a cultivar is rated against head blight.
    BlightRating {
        Susceptible = "susceptible", "susceptible";
        Intermediate = "intermediate", "in between";
        ModeratelyResistant = "moderately_resistant", "moderately resistant or better";
    }
}

/// What a field grows in a crop year, named by the calendar year of its harvest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CropPlan {
    /// Field.
    pub field: FieldId,
    /// Year of the harvest.
    pub crop_year: i16,
    /// Crop.
    pub crop: Crop,
    /// How soon it ripens; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cultivar_class: Option<CultivarClass>,
    /// Cultivar by name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cultivar: Option<String>,
    /// Its rating against head blight, from the seed guide; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head_blight: Option<BlightRating>,
    /// Yield aimed at, kg/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_yield_kg_ha: Option<f64>,
    /// Last day of seeding that costs no yield, by the farm's own view.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub best_seeding_until: Option<jiff::civil::Date>,
    /// Last day it would still be seeded (insurance, frost).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_seeding_day: Option<jiff::civil::Date>,
}

impl CropPlan {
    /// The crop year that work on `day` is for: the next harvest once the fields are cleared, from November on.
    pub fn year_on(day: jiff::civil::Date) -> i16 {
        if day.month() >= 11 { day.year() + 1 } else { day.year() }
    }
}

/// A price. `what` is the thing's key, such as `wheat`, `drying` or `herbicide_pass`; the unit says per what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Price {
    /// The thing priced.
    pub what: String,
    /// Money per unit.
    pub value: f64,
    /// Per what: `t`, `bu`, `ha`, `ac`, `t_point` (a tonne by one point of moisture), `kg`, `h`.
    pub unit: String,
}

/// The farm's own number in place of a shipped coefficient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LocalNumber {
    /// The coefficient's name in the reference files.
    pub name: String,
    /// The farm's value, in the coefficient's unit.
    pub value: f64,
    /// Why.
    pub why: String,
}
