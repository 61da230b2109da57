//! The farm as numbers: what the season needs of the book, in SI, with every gap named.

use jiff::civil::Date;
use stook_book::farm::{Farm, FieldRecord};
use stook_book::payload::{Cover as BookCover, FieldId, TextureClass as BookTexture, UnitChoice};
use stook_book::payload::{
    Crop, CultivarClass, Drainage as BookDrainage, Machine, MachineKind, SoilDescription, SprayPurpose,
};
use stook_crop::CropParams;
use stook_harvest::HarvestParams;
use stook_harvest::capacity::hectares_per_hour;
use stook_measure::Reference;
use stook_soil::{Drainage, FieldSoil, Layer, Learned, Limits, Operation, Profile, SoilParams, TextureClass};
use stook_weather::forcing::SiteTable;
use stook_weather::{Site, params::WeatherParams};

use crate::SeasonError;
use crate::answer::Job;
use crate::disease::Blight;
use crate::growing::{Correction, OwnYields};
use crate::params::SeasonParams;

/// Everything the season runs on.
#[derive(Debug, Clone)]
pub struct Model {
    /// Farm name.
    pub farm: String,
    /// Units to speak in.
    pub units: UnitChoice,
    /// Where.
    pub site: Site,
    /// Sun and clear sky by day of year.
    pub table: SiteTable,
    /// Coefficients with the farm's own numbers in place.
    pub reference: Reference,
    /// Weather coefficients.
    pub weather: WeatherParams,
    /// Soil coefficients.
    pub soil: SoilParams,
    /// Crop coefficients of the middle cultivar class.
    pub crop: CropParams,
    /// Harvest coefficients.
    pub harvest: HarvestParams,
    /// Prices, limits, policy.
    pub season: SeasonParams,
    /// Crop year.
    pub year: i16,
    /// Wheat fields of the year, nearest the yard first.
    pub fields: Vec<FieldModel>,
    /// Days from a fungicide pass to the earliest cut, by the farm's own label facts.
    pub fungicide_wait_d: u16,
    /// Work rates by job.
    machines: [Option<MachineModel>; 5],
    /// What was taken in place of what is not known, widest first.
    pub assumed: Vec<String>,
    /// What a person should look at.
    pub warnings: Vec<String>,
    /// How many soils or starts a field runs on side by side.
    pub variants: usize,
}

/// A machine at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MachineModel {
    /// Area an hour, ha/h.
    pub ha_per_h: f64,
    /// Hours a day.
    pub hours_per_day: f64,
}

/// A wheat field.
#[derive(Debug, Clone)]
pub struct FieldModel {
    /// Its key.
    pub id: FieldId,
    /// Its name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Crop in words.
    pub crop: String,
    /// Soils run side by side: one when the soil is known, three when it is not.
    pub soils: Vec<FieldSoil>,
    /// Residue cover, share.
    pub residue: f64,
    /// Crop coefficients for the cultivar.
    pub params: CropParams,
    /// Last day of the year for seeding without loss.
    pub best_doy: f64,
    /// Last day of the year for seeding.
    pub last_doy: u16,
    /// Most it makes, kg/ha.
    pub cap_kg_ha: f64,
    /// Seeding depth, cm.
    pub depth_cm: f64,
    /// First day of the year it may be cut after sprays on record.
    pub earliest_cut_doy: u16,
    /// Limits of fitness, with the field's own where they were learned.
    pub limits: Limits,
    /// How that limit was learned, when it was.
    pub learned: Option<Learned>,
    /// Days its cultivar ripens after a middle one, by class.
    pub days_late: f64,
    /// What the farm's own sightings have added to that.
    pub correction: Option<Correction>,
    /// What head blight finds here, and what spraying must face to pay.
    pub blight: Blight,
    /// What the field made in other years against what is reckoned of them; none without such years.
    pub own_yields: Option<OwnYields>,
}

impl FieldModel {
    /// By how much the field's own past yields correct the water line.
    pub fn own_factor(&self) -> f64 {
        self.own_yields.as_ref().map_or(1.0, |o| o.factor)
    }

    /// Yield by the water line, corrected, up to the most the field makes, kg/ha.
    pub fn by_water_kg_ha(&self, crop_water_mm: f64) -> f64 {
        (self.params.yield_.line.at(crop_water_mm) * self.own_factor()).min(self.cap_kg_ha)
    }
}

impl Model {
    /// Reads the book for the crop year of `as_of`.
    ///
    /// # Errors
    /// When the farm has no place yet.
    pub fn new(farm: &Farm, shipped: &Reference, as_of: Date) -> Result<Self, SeasonError> {
        let site = farm.site().ok_or(SeasonError::NoPlace)?;
        let (reference, problems) = farm.reference(shipped);
        let mut warnings: Vec<String> = problems.iter().map(ToString::to_string).collect();
        warnings.extend(farm.warnings.iter().map(|w| w.sentence.clone()));
        let season = SeasonParams::new(&reference, farm, as_of);
        let soil = SoilParams::from_reference(&reference);
        let crop = CropParams::from_reference(&reference);
        let mut assumed = Vec::new();
        let year = stook_book::payload::CropPlan::year_on(as_of);
        let mut fields = Vec::new();
        let mut unknown_soil = Vec::new();
        for record in farm.fields.values() {
            let Some(plan) = record.plan(year) else { continue };
            if !matches!(plan.crop, Crop::SpringWheat | Crop::Durum) {
                continue;
            }
            let (field, soil_known) = field_model(record, plan, year, &season, &soil, &crop, &mut warnings);
            if !soil_known {
                unknown_soil.push(field.name.clone());
            }
            fields.push((record.field().distance_km.unwrap_or(f64::MAX), field));
        }
        fields.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.name.cmp(&b.1.name)));
        let fields: Vec<FieldModel> = fields.into_iter().map(|(_, f)| f).collect();
        if !unknown_soil.is_empty() {
            assumed.push(format!(
                "The soil of {} is not known: run as sandy loam, loam and clay side by side.",
                list(&unknown_soil)
            ));
        }
        let machines = machines(farm, &reference, &mut assumed);
        if !season.assumed.is_empty() {
            assumed.push(format!(
                "No price entered for {}: ours stand in, see the working.",
                list(&season.assumed)
            ));
        }
        Ok(Self {
            farm: farm.set_up.as_ref().map_or_else(String::new, |f| f.is.name.clone()),
            units: farm.units(),
            site,
            table: SiteTable::new(&site),
            weather: WeatherParams::from_reference(&reference),
            harvest: HarvestParams::from_reference(&reference),
            soil,
            crop,
            fungicide_wait_d: fungicide_wait(farm, &reference),
            season,
            year,
            variants: fields.iter().map(|f| f.soils.len()).max().unwrap_or(1),
            fields,
            machines,
            assumed,
            warnings,
            reference,
        })
    }

    /// The machine for a job.
    pub fn machine(&self, job: Job) -> Option<&MachineModel> {
        self.machines[job as usize].as_ref()
    }

    /// The same farm with a machine so many times as fast, and so many hours a day more.
    #[must_use]
    pub fn with_machine(&self, job: Job, times: f64, hours: f64) -> Self {
        let mut other = self.clone();
        if let Some(m) = &mut other.machines[job as usize] {
            m.ha_per_h *= times;
            m.hours_per_day = (m.hours_per_day + hours).min(24.0);
        }
        other
    }

    /// Hours a machine needs for an area; infinite without a machine.
    pub fn hours(&self, job: Job, area_ha: f64) -> f64 {
        self.machine(job).map_or(f64::INFINITY, |m| area_ha / m.ha_per_h)
    }

    /// Puts a field's own seeding limit in place; harrowing moves with it.
    pub fn learn(&mut self, field: usize, learned: Learned) {
        let f = &mut self.fields[field];
        let shift = learned.limit - f.limits.of(Operation::Seed).limit;
        let harrow = f.limits.of(Operation::Harrow).limit + shift;
        f.limits = f.limits.with(Operation::Seed, learned.limit).with(Operation::Harrow, harrow);
        f.learned = Some(learned);
    }

    /// Index of a field by key.
    pub fn field_index(&self, id: &str) -> Option<usize> {
        self.fields.iter().position(|f| f.id.as_str() == id)
    }
}

/// The longest wait of the fungicides in set-up; a usual one when there is none.
fn fungicide_wait(farm: &Farm, reference: &Reference) -> u16 {
    let labels = farm.spray_products.values().filter(|p| p.is.purpose == SprayPurpose::Fungicide);
    let longest = labels.filter_map(|p| p.is.pre_harvest_days).max();
    let usual = || stook_spray::SprayParams::from_reference(reference).pre_harvest_days.round() as u16;
    longest.unwrap_or_else(usual)
}

/// Days a cultivar class ripens after the middle one.
pub(crate) fn days_late(class: Option<CultivarClass>) -> f64 {
    match class {
        Some(CultivarClass::Early) => -3.0,
        Some(CultivarClass::Late) => 3.0,
        Some(CultivarClass::Mid) | None => 0.0,
    }
}

fn field_model(
    record: &FieldRecord,
    plan: &stook_book::payload::CropPlan,
    year: i16,
    season: &SeasonParams,
    soil_params: &SoilParams,
    crop: &CropParams,
    warnings: &mut Vec<String>,
) -> (FieldModel, bool) {
    let field = record.field();
    let drainage = match field.drainage {
        Some(BookDrainage::Poor) => Drainage::Poor,
        Some(BookDrainage::Fair) => Drainage::Imperfect,
        Some(BookDrainage::Good) | None => Drainage::Well,
    };
    let profiles = profiles(&field.soil, &field.name, warnings);
    let soil_known = profiles.len() == 1;
    let days_late = days_late(plan.cultivar_class);
    let doy = |d: Date| d.day_of_year() as u16;
    let depth_mm = record.seeded_in(year).filter_map(|s| s.is.depth_mm).last().unwrap_or(season.sow_depth_mm);
    let model = FieldModel {
        id: field.id.clone(),
        name: field.name.clone(),
        area_ha: field.area_ha,
        crop: plan.crop.words().to_string(),
        soils: profiles.iter().map(|p| FieldSoil::new(p, drainage, soil_params)).collect(),
        residue: match field.cover {
            Some(BookCover::Bare) => 0.1,
            Some(BookCover::Light) | None => 0.35,
            Some(BookCover::Heavy) => 0.7,
        },
        params: crop.for_cultivar(days_late),
        best_doy: plan.best_seeding_until.map_or(crop.yield_.best_day, |d| f64::from(doy(d))),
        last_doy: plan.last_seeding_day.map_or(season.sow_last_doy, doy),
        cap_kg_ha: plan.target_yield_kg_ha.unwrap_or(season.cap_kg_ha),
        depth_cm: depth_mm / 10.0,
        earliest_cut_doy: record.earliest_cut(year).map_or(0, |(d, _)| doy(d)),
        limits: soil_params.limits.with(
            Operation::Harrow,
            soil_params.limits.of(Operation::Seed).limit + season.harrow_limit_above_seed,
        ),
        learned: None,
        days_late,
        correction: None,
        blight: Blight::of(record, plan, year, season, crop),
        own_yields: None,
    };
    (model, soil_known)
}

/// The soil as one profile, or three when it is not known.
fn profiles(soil: &SoilDescription, name: &str, warnings: &mut Vec<String>) -> Vec<Profile> {
    const DEPTH_M: f64 = 1.5;
    const ORGANIC_PCT: f64 = 3.5;
    let uniform = |class| Profile::uniform(class, DEPTH_M, ORGANIC_PCT).expect("a class is a valid profile");
    let unknown =
        || vec![uniform(TextureClass::Loam), uniform(TextureClass::SandyLoam), uniform(TextureClass::Clay)];
    match soil {
        SoilDescription::NotKnown => unknown(),
        SoilDescription::Class { class } => vec![uniform(texture(*class))],
        SoilDescription::Layers { layers } => {
            let layers: Vec<Layer> = layers
                .iter()
                .map(|l| Layer {
                    sand_pct: l.sand_pct,
                    clay_pct: l.clay_pct,
                    ..Layer::of_class(
                        TextureClass::Loam,
                        l.bottom_cm / 100.0,
                        l.organic_matter_pct.unwrap_or(ORGANIC_PCT),
                    )
                })
                .collect();
            match Profile::new(&layers) {
                Ok(p) => vec![p],
                Err(e) => {
                    warnings.push(format!("{name}: {e} The soil is taken as not known until then."));
                    unknown()
                }
            }
        }
    }
}

fn texture(class: BookTexture) -> TextureClass {
    TextureClass::parse(class.words()).expect("both lists hold the twelve classes")
}

fn machines(farm: &Farm, r: &Reference, assumed: &mut Vec<String>) -> [Option<MachineModel>; 5] {
    let mut missing = Vec::new();
    let mut of = |kind: MachineKind, name: &str, word: &str| match farm.machine(kind) {
        Some(m) => Some(from_machine(m, r, name)),
        None => {
            missing.push(word.to_string());
            let get = |what: &str| r.get(&format!("season.machine.{name}.{what}"));
            Some(MachineModel {
                ha_per_h: hectares_per_hour(get("width_m"), get("speed_kmh"), get("efficiency")),
                hours_per_day: get("hours_per_day"),
            })
        }
    };
    let drill = of(MachineKind::Drill, "drill", "drill");
    let sprayer = of(MachineKind::Sprayer, "sprayer", "sprayer");
    let combine = of(MachineKind::Combine, "combine", "combine");
    // A farm without a harrow simply does not harrow.
    let harrow = farm.machine(MachineKind::Harrow).map(|m| from_machine(m, r, "harrow"));
    if !missing.is_empty() {
        assumed.push(format!("No {} set up: a usual size stands in.", list(&missing)));
    }
    [harrow, drill, sprayer, sprayer, combine]
}

fn from_machine(m: &Machine, r: &Reference, name: &str) -> MachineModel {
    let efficiency =
        m.field_efficiency.unwrap_or_else(|| r.get(&format!("season.machine.{name}.efficiency")));
    MachineModel {
        ha_per_h: hectares_per_hour(m.width_m, m.speed_kmh, efficiency),
        hours_per_day: m.hours_per_day,
    }
}

/// `a, b and c`.
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
