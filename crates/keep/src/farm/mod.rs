//! From the day book to bins that can be reckoned: their loads, fans, readings, weather and prices.

mod happened;
mod looked;
mod prices;
mod weathers;

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, DateTime};
use stook_book::farm::BinRecord;
use stook_book::payload::{AirFloor, Crop, FansStand};
use stook_book::sensor::SensorReading;
use stook_book::{BinId, Store, StoreError};
use stook_grain::fan::{Curve, FanError};
use stook_grain::{Grain, Point, moist};
use stook_measure::{Reference, figure};
use stook_season::facts::Question;
use stook_season::{SeasonError, sky as season_sky};
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;
use stook_weather::series::HourRecord;
use stook_yard::{BinState, Yard};

use crate::bin_case::{Case, CaseOf, Fan};
use crate::carry::carry;
use crate::params::KeepParams;
use crate::work::{About, Work};
use happened::events;
use looked::looked;
use prices::{prices, prices_of};
use weathers::{Wide, clock_ahead_h, evening};

/// Readings on file beside the book.
#[derive(Debug, Clone, Default)]
pub struct AirFacts {
    /// A station's own hours.
    pub hours: Vec<HourRecord>,
    /// Readings of sensors in bins.
    pub sensors: Vec<SensorReading>,
}

/// How far back readings are looked at, days.
const LOOK_BACK_DAYS: i32 = 430;

impl AirFacts {
    /// Reads them, up to the end of `as_of`.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn load(store: &Store, as_of: Date) -> Result<Self, StoreError> {
        let from = as_of.saturating_sub(jiff::Span::new().days(LOOK_BACK_DAYS)).at(0, 0, 0, 0);
        let until = as_of.tomorrow().unwrap_or(as_of).at(0, 0, 0, 0);
        let mut hours: Vec<HourRecord> = Vec::new();
        for station in store.stations()? {
            let own: Vec<HourRecord> = store
                .hours(&station, from, until)?
                .iter()
                .map(stook_book::readings::HourReading::record)
                .collect();
            if own.len() > hours.len() {
                hours = own;
            }
        }
        Ok(Self { hours, sensors: store.bin_readings(from, until)? })
    }
}

/// The yard of bins with everything needed to reckon any of them.
#[derive(Debug)]
pub struct Keeping {
    /// Bins that can be reckoned.
    pub works: Vec<Work>,
    /// Bins with grain that cannot, and why.
    pub silent: Vec<Silent>,
    /// How the weathers were made.
    pub weather: String,
}

/// A bin with grain of which nothing can be reckoned.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Silent {
    /// Key.
    pub bin: String,
    /// Name.
    pub name: String,
    /// Why, and what to do instead.
    pub why: String,
}

impl Keeping {
    /// Reads the farm: every bin with grain, or only `one`.
    ///
    /// # Errors
    /// When the farm has no place, or its weather cannot be used.
    pub fn new(q: &Question<'_>, air: &AirFacts, one: Option<&BinId>) -> Result<Self, SeasonError> {
        let site = q.farm.site().ok_or(SeasonError::NoPlace)?;
        let (reference, _) = q.farm.reference(&Reference::shipped());
        let p = Arc::new(KeepParams::from_reference(&reference));
        let evening = evening(q.farm, q.as_of, p.evening_h);
        let ahead_h = clock_ahead_h(q.farm, q.as_of);
        let table = SiteTable::with_offset(&site, ahead_h);
        let weather = WeatherParams::from_reference(&reference);
        let until = q.as_of.saturating_add(jiff::Span::new().days(p.horizon_days as i64 + 1));
        let made = season_sky::make(q.weather, site, &table, &weather, q.as_of, until, q.members, q.seed)?;
        let pressure_pa = moist::pressure_pa(site.elev_m);
        let standard_h = clock_ahead_h(q.farm, Date::constant(q.as_of.year(), 1, 1));
        let wide = Wide::new(&made, &table, pressure_pa, air, evening, ahead_h, standard_h);
        let yard = Yard::fold_until(q.farm, &reference, Some(q.as_of.at(23, 59, 59, 0)));
        let prices = prices(q.farm, &reference, &p, q.as_of);
        let (mut works, mut silent) = (Vec::new(), Vec::new());
        for (id, state) in &yard.bins {
            if one.is_some_and(|b| b != id) || state.is_empty() {
                continue;
            }
            let Some(record) = q.farm.bins.get(id) else { continue };
            match work(q, &p, record, state, &wide, air, &prices, pressure_pa, evening) {
                Ok(w) => works.push(w),
                Err(why) => silent.push(Silent { bin: id.to_string(), name: state.bin.name.clone(), why }),
            }
        }
        Ok(Self { works, silent, weather: made.basis.words.clone() })
    }
}

#[allow(clippy::too_many_arguments)] // one place where a bin's facts meet
fn work(
    q: &Question<'_>,
    p: &Arc<KeepParams>,
    record: &BinRecord,
    state: &BinState,
    wide: &Wide,
    air: &AirFacts,
    prices: &BTreeMap<&'static str, f64>,
    pressure_pa: f64,
    evening: DateTime,
) -> Result<Work, String> {
    let bin = &state.bin;
    let (mut assumed, mut faults) = (Vec::new(), Vec::new());
    let Some(grain) = state.facts.grain else {
        let crop = state.crop.as_ref().map_or("this crop", Crop::words);
        return Err(format!(
            "Nothing is known of how {crop} takes up and gives off water: read it often and keep it dry and cool."
        ));
    };
    let fan = match fan_of(state, &mut faults, &mut assumed) {
        Ok(fan) => fan,
        Err(why) => {
            faults.push(why);
            None
        }
    };
    let of = CaseOf {
        grain,
        diameter_m: bin.diameter_m,
        kg_m3: state.kg_hl() * 10.0 * state.angles.pack,
        fan,
        pressure_pa,
        market_pct: state.facts.market_wb_pct,
    };
    let case = Case::new(p, of).map_err(|e| stook_sentence(&e.to_string()))?;
    if state.volume_m3() > state.capacity_m3 * 1.02 {
        faults.push(format!(
            "The loads in the book come to {} m3 where {} holds {} m3 heaped: look at the loads or the size of the bin; the figures are for the grain in the book.",
            figure(state.volume_m3(), 0),
            bin.name,
            figure(state.capacity_m3, 0)
        ));
    }
    let looked = looked(p, record, air, wide, evening, &mut faults);
    let events = events(q.farm, p, record, state, wide, air, evening, &mut assumed);
    let now = carry(p, &case, &events, &wide.past);
    if now.missing_h > 0 {
        faults.push(format!(
            "{} hours of weather are missing since it was filled: the fan was taken as off in them.",
            now.missing_h
        ));
    }
    if let Some(why) = &now.no_air {
        faults.push(format!("The book says the fan ran, but no air can be reckoned: {why}."));
    }
    if record.fan_runs.is_empty() && bin.fan.is_some() {
        assumed.push(
            "The fan is taken as off since the bin was filled: write it down when it is switched.".into(),
        );
    }
    if now.stack.is_empty() {
        return Err("The loads in the book leave nothing in it to reckon.".into());
    }
    let ours =
        |name: &str| p.reference.coefficient(name).is_none_or(|c| c.sure != stook_measure::Sure::Local);
    if ours("keep.price.kwh") && ours("keep.price.tough_t_point") {
        assumed.push("Power by the kWh and a buyer's discount by the point are our figures: write keep.price.kwh and keep.price.tough_t_point as your own numbers.".into());
    }
    let prices = prices_of(q.farm, prices, state.crop.as_ref(), q.as_of, &mut assumed);
    let crop = state.crop.as_ref().map_or("grain", Crop::words);
    let about = About {
        bin: bin.id.to_string(),
        name: bin.name.clone(),
        holds: format!("{} bu of {crop}", figure(state.bushels(), 0)),
        mass_kg: state.mass_kg(),
        filled: state.filled_on(),
        units: q.farm.units(),
        looked,
        assumed,
        faults,
        full_floor: bin.fan.as_ref().is_none_or(|f| matches!(f.air, None | Some(AirFloor::FullFloor))),
    };
    Ok(Work::new(Arc::clone(p), about, case, now, prices, Arc::clone(&wide.ahead), evening))
}

fn stook_sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).chain(['.']).collect())
}

fn fan_of(
    state: &BinState,
    faults: &mut Vec<String>,
    assumed: &mut Vec<String>,
) -> Result<Option<Fan>, String> {
    let Some(f) = &state.bin.fan else { return Ok(None) };
    let count = f.count.unwrap_or(1).max(1);
    let points: Vec<Point> = f.curve.iter().map(|x| Point { pa: x.pressure_pa, m3_s: x.air_m3_s }).collect();
    let curve = match points.len() {
        0 => None,
        _ => match Curve::new(&points).and_then(|one| together(&one, count, f.stand)) {
            Ok(c) => Some(c),
            Err(why) => {
                faults.push(format!("{}'s fan: {why}. Until then its power is used.", state.bin.name));
                None
            }
        },
    };
    let power_kw = f.power_kw.map(|kw| kw * f64::from(count));
    if curve.is_none() {
        assumed.push(match power_kw {
            Some(kw) => format!(
                "The fan has no curve in the book: its air is reckoned from its {} kW.",
                figure(kw, 1)
            ),
            None => {
                "The fan has neither curve nor power in the book: the least air for cooling is taken.".into()
            }
        });
    }
    Ok(Some(Fan { curve, power_kw, blows: true }))
}

/// Several fans alike as one: side by side their air adds up, one behind another their pressure.
fn together(one: &Curve, count: u8, stand: Option<FansStand>) -> Result<Curve, FanError> {
    let fans = vec![one.clone(); usize::from(count)];
    match stand {
        Some(FansStand::OneBehindAnother) => Curve::series(&fans),
        Some(FansStand::SideBySide) | None => Curve::parallel(&fans),
    }
}

/// Whether a grain's storage life is known to the models.
pub fn has_life(p: &KeepParams, grain: Grain) -> bool {
    p.life.verdict(grain, 14.0, 15.0).is_some()
}

/// Days of life the grain of each bin has left as it lies, by its own air to now, and whether it is at least so long:
/// nothing of the weather ahead.
///
/// # Errors
/// As [`Keeping::new`].
pub fn lives(q: &Question<'_>, air: &AirFacts) -> Result<BTreeMap<BinId, (f64, bool)>, SeasonError> {
    let k = Keeping::new(q, air, None)?;
    Ok(k.works
        .iter()
        .filter_map(|w| {
            let life = w.answer().life?;
            Some((BinId::from(w.about.bin.as_str()), (life.days[1], life.at_least)))
        })
        .collect())
}
