//! From the day book to bins that can be reckoned: their loads, fans, readings, weather and prices.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, DateTime};
use stook_book::farm::{BinRecord, Farm};
use stook_book::payload::{AirFloor, BinPart, Crop, SampledAt, Smell};
use stook_book::sensor::SensorReading;
use stook_book::{BinId, Store, StoreError};
use stook_grain::control::Hour;
use stook_grain::fan::Curve;
use stook_grain::{Grain, Point, moist};
use stook_measure::{Reference, figure};
use stook_season::facts::Question;
use stook_season::params::SeasonParams;
use stook_season::{SeasonError, sky as season_sky};
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;
use stook_weather::series::HourRecord;
use stook_yard::{BinState, Happened, Yard};
use uuid::Uuid;

use crate::bin_case::{Case, CaseOf, Fan};
use crate::carry::{Event, What, carry};
use crate::money::Prices;
use crate::params::KeepParams;
use crate::reading::{Height, Point as At, Seen};
use crate::sensors;
use crate::signs::Looked;
use crate::sky;
use crate::stack::Flow;
use crate::work::{About, Work};

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

/// The weather of all bins: the hours that were, up to this evening, and those that may come.
struct Wide {
    first: Date,
    past: Vec<Hour>,
    ahead: Arc<Vec<Vec<Hour>>>,
    daily: Vec<(Date, f64)>,
}

impl Wide {
    fn new(
        made: &season_sky::Sky,
        table: &SiteTable,
        pressure_pa: f64,
        air: &AirFacts,
        evening: DateTime,
        ahead_h: f64,
        standard_h: f64,
    ) -> Self {
        let first = made.past_start;
        let members: Vec<Vec<Hour>> = made
            .members
            .iter()
            .map(|m| {
                sky::of_days(made.start, &m.iter().map(|f| f.day).collect::<Vec<_>>(), table, pressure_pa)
            })
            .collect();
        let mut past = sky::of_days(first, &made.past, table, pressure_pa);
        // From the end of the record to this evening: the mean of the weathers.
        let to_evening = usize::try_from(sky::index(made.start, evening)).unwrap_or(0);
        for h in 0..to_evening {
            let at: Vec<&Hour> = members.iter().filter_map(|m| m.get(h)).collect();
            let n = at.len().max(1) as f64;
            let mean = |of: fn(&Hour) -> f64| at.iter().map(|x| of(x)).sum::<f64>() / n;
            past.push(match at.first() {
                Some(x) => {
                    Hour { hour: x.hour, t_c: mean(|x| x.t_c), rh: mean(|x| x.rh), pressure_pa, wet: false }
                }
                None => sky::missing((h % 24) as u8),
            });
        }
        // A station keeps standard time all year; the farm's clock is ahead of it in summer.
        let summer_h = (ahead_h - standard_h).round() as i64;
        sky::lay_over(&mut past, first, &air.hours, summer_h.clamp(0, 1), pressure_pa);
        let mut date = first;
        let daily = made
            .past
            .iter()
            .map(|d| {
                let this = (date, 0.5 * (d.tmax_c + d.tmin_c));
                date = date.tomorrow().unwrap_or(date);
                this
            })
            .collect();
        let ahead = members.into_iter().map(|m| m.get(to_evening..).unwrap_or_default().to_vec()).collect();
        Self { first, past, ahead: Arc::new(ahead), daily }
    }

    /// Outdoor temperature at an hour, where it is known.
    fn temp_c(&self, at: DateTime) -> Option<f64> {
        let i = usize::try_from(sky::index(self.first, at)).ok()?;
        self.past.get(i).filter(|h| h.is_known()).map(|h| h.t_c)
    }
}

/// The hour the night is decided from: the evening, or later when something was written down after it.
fn evening(farm: &Farm, as_of: Date, hour: u8) -> DateTime {
    let of_day = |at: DateTime| (at.date() == as_of).then(|| at.hour());
    let loads = farm.loads.iter().filter_map(|l| of_day(l.happened));
    let bins = farm.bins.values().flat_map(|b| {
        let fans = b.fan_runs.iter().filter_map(|f| of_day(f.happened));
        fans.chain(b.readings.iter().filter_map(|r| of_day(r.happened))).collect::<Vec<_>>()
    });
    let latest = loads.chain(bins).max().unwrap_or(0);
    let hour = i8::try_from(hour).unwrap_or(18).max(latest);
    as_of.at(hour.min(23), 0, 0, 0)
}

/// Hours the farm's clock is ahead of UTC on a day.
fn clock_ahead_h(farm: &Farm, on: Date) -> f64 {
    on.at(12, 0, 0, 0)
        .to_zoned_datetime(farm.time_zone())
        .map_or(0.0, |z| f64::from(z.offset().seconds()) / 3600.0)
}

fn prices(farm: &Farm, r: &Reference, p: &KeepParams, on: Date) -> BTreeMap<&'static str, f64> {
    let s = SeasonParams::new(r, farm, on);
    let own = |key: &str, per: &str| farm.price(key, on).filter(|x| x.unit == per).map(|x| x.value);
    let per_bu = stook_measure::units::bushels_per_tonne(60.0);
    let tough =
        own("tough_discount", "t_point").or_else(|| own("tough_discount", "bu_point").map(|x| x * per_bu));
    BTreeMap::from([
        ("wheat", s.wheat_per_t),
        ("feed_wheat", s.feed_wheat_per_t),
        ("drying", s.drying_per_t_point),
        ("kwh", own("electricity", "kWh").unwrap_or(p.kwh)),
        ("tough", tough.unwrap_or(p.tough_t_point)),
    ])
}

/// Prices for a crop: wheat's own; another crop's by its price in the book, spoiled as feed wheat.
fn prices_of(
    farm: &Farm,
    all: &BTreeMap<&'static str, f64>,
    crop: Option<&Crop>,
    on: Date,
    assumed: &mut Vec<String>,
) -> Prices {
    let wheat = matches!(crop, None | Some(Crop::SpringWheat | Crop::Durum));
    let sound_t = match crop {
        Some(c) if !wheat => {
            let own = farm.price(c.key(), on).and_then(|x| match x.unit.as_str() {
                "t" => Some(x.value),
                _ => None,
            });
            if own.is_none() {
                assumed.push(format!("No price a tonne of {} is in the book: feed wheat's stands in, so spoiling shows no money.", c.words()));
            }
            own.unwrap_or(all["feed_wheat"])
        }
        _ => all["wheat"],
    };
    Prices {
        sound_t,
        spoiled_t: all["feed_wheat"].min(sound_t),
        drying_t_point: all["drying"],
        kwh: all["kwh"],
        tough_t_point: all["tough"],
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
    let points: Vec<Point> = f.curve.iter().map(|x| Point { pa: x.pressure_pa, m3_s: x.air_m3_s }).collect();
    let curve = match points.len() {
        0 => None,
        _ => match Curve::new(&points) {
            Ok(c) => Some(c),
            Err(why) => {
                faults.push(format!("{}'s fan: {why}. Until then its power is used.", state.bin.name));
                None
            }
        },
    };
    if curve.is_none() {
        assumed.push(match f.power_kw {
            Some(kw) => format!(
                "The fan has no curve in the book: its air is reckoned from its {} kW.",
                figure(kw, 1)
            ),
            None => {
                "The fan has neither curve nor power in the book: the least air for cooling is taken.".into()
            }
        });
    }
    Ok(Some(Fan { curve, power_kw: f.power_kw, blows: true }))
}

/// What happened to the bin, by the hour.
#[allow(clippy::too_many_arguments)]
fn events(
    farm: &Farm,
    p: &KeepParams,
    record: &BinRecord,
    state: &BinState,
    wide: &Wide,
    air: &AirFacts,
    evening: DateTime,
    assumed: &mut Vec<String>,
) -> Vec<Event> {
    let temps: BTreeMap<Uuid, (Option<f64>, bool)> =
        farm.loads.iter().map(|l| (l.entry, (l.is.temperature_c, l.is.moisture_wb_pct.is_some()))).collect();
    let mut out: Vec<Event> = Vec::new();
    let (mut no_temp, mut no_moisture) = (0, 0);
    let mut put = |at: DateTime, what: What| out.push(Event { hour: sky::index(wide.first, at), what });
    for e in &state.history {
        match &e.what {
            Happened::In { lot, .. } => {
                let (t, m) = temps.get(&e.entry).copied().unwrap_or((None, false));
                no_temp += usize::from(t.is_none());
                no_moisture += usize::from(!m);
                // Grain off the combine is about as warm as the air; the field warms it on a sunny day.
                let t_c = t.or_else(|| wide.temp_c(e.at)).unwrap_or(15.0);
                put(e.at, What::In { kg: lot.mass_kg(), m_wb_pct: lot.moisture_pct().unwrap_or(14.0), t_c });
            }
            Happened::Out { lot, .. } => {
                let flow = match state.flow {
                    stook_yard::heap::Flow::Mass => Flow::Mass,
                    stook_yard::heap::Flow::Funnel { .. } => Flow::Funnel,
                };
                put(e.at, What::Out { kg: lot.mass_kg(), flow });
            }
            Happened::Sample { .. } => {
                if let Some(s) = record.samples.iter().find(|s| s.entry == e.entry) {
                    let height = match s.is.taken {
                        SampledAt::Whole => Height::Whole,
                        SampledAt::Top => Height::Share(0.95),
                        SampledAt::Core => Height::Share(0.5),
                        SampledAt::Bottom => Height::Share(0.05),
                        SampledAt::Loads => continue,
                    };
                    let at = |value| At { height, value };
                    put(
                        e.at,
                        What::Seen(Seen {
                            temperatures: s.is.temperature_c.map(at).into_iter().collect(),
                            moistures: s.is.moisture_wb_pct.map(at).into_iter().collect(),
                        }),
                    );
                }
            }
            Happened::Measured { .. } => put(
                e.at,
                What::Level {
                    kg: e.after_kg,
                    m_wb_pct: state.facts.market_wb_pct.unwrap_or(14.0),
                    t_c: wide.temp_c(e.at).unwrap_or(10.0),
                },
            ),
            Happened::Emptied { .. } => put(e.at, What::Empty),
        }
    }
    for f in &record.fan_runs {
        put(f.happened, What::Fan(f.is.on));
    }
    for r in &record.readings {
        put(r.happened, What::Seen(seen_of(&r.is)));
    }
    for (at, seen) in sensors::daily(p, &air.sensors, &state.bin.id, evening) {
        put(at, What::Seen(seen));
    }
    out.retain(|e| e.hour <= sky::index(wide.first, evening));
    // Within an hour grain comes before what is seen in it.
    let order = |w: &What| u8::from(matches!(w, What::Fan(_))) + 2 * u8::from(matches!(w, What::Seen(_)));
    out.sort_by_key(|e| (e.hour, order(&e.what)));
    if no_temp > 0 {
        assumed.push(format!("{no_temp} loads have no temperature: the air of that hour is taken."));
    }
    if no_moisture > 0 {
        assumed.push(format!("{no_moisture} loads have no moisture: the usual one of the crop is taken."));
    }
    out
}

/// A reading in the book as the layers take it.
fn seen_of(r: &stook_book::payload::BinReading) -> Seen {
    let mut seen = Seen::default();
    for x in &r.points {
        let height = match (x.height_m, x.part) {
            (Some(h), _) => Height::Metres(h),
            (None, Some(BinPart::Top)) => Height::Share(0.95),
            (None, Some(BinPart::Middle)) => Height::Share(0.5),
            (None, Some(BinPart::Bottom)) => Height::Share(0.08),
            (None, Some(BinPart::Whole) | None) => Height::Whole,
        };
        seen.temperatures.extend(x.temperature_c.map(|value| At { height, value }));
        seen.moistures.extend(x.moisture_wb_pct.map(|value| At { height, value }));
    }
    seen
}

/// What was read of late, for alarms; sensors that went wrong are named.
fn looked(
    p: &KeepParams,
    record: &BinRecord,
    air: &AirFacts,
    wide: &Wide,
    evening: DateTime,
    faults: &mut Vec<String>,
) -> Looked {
    let mut out = Looked { outside: wide.daily.clone(), ..Looked::default() };
    let mut temperatures: Vec<(DateTime, f64)> = Vec::new();
    for r in record.readings.iter().filter(|r| r.on() <= evening.date()) {
        let temps: Vec<f64> = r.is.points.iter().filter_map(|x| x.temperature_c).collect();
        if !temps.is_empty() {
            temperatures.push((r.happened, temps.iter().sum::<f64>() / temps.len() as f64));
        }
        if let Some(c) = r.is.co2_ppm {
            out.co2.push((r.happened, c));
        }
        match r.is.smell {
            Some(s @ (Smell::Musty | Smell::Sour)) => out.smell = Some((r.happened, s.words().into())),
            Some(Smell::None) => out.smell = None,
            None => {}
        }
        if let Some(words) = &r.is.seen {
            out.seen = Some((r.happened, words.clone()));
        }
    }
    let id = &record.bin().id;
    for (at, seen) in sensors::daily(p, &air.sensors, id, evening) {
        if !seen.temperatures.is_empty() {
            temperatures.push((
                at,
                seen.temperatures.iter().map(|x| x.value).sum::<f64>() / seen.temperatures.len() as f64,
            ));
        }
    }
    out.co2.extend(
        air.sensors
            .iter()
            .filter(|s| s.bin == *id && s.at <= evening)
            .filter_map(|s| Some((s.at, s.co2_ppm?))),
    );
    out.co2.sort_by_key(|c| c.0);
    temperatures.sort_by_key(|t| t.0);
    // Two readings of a few hours apart say little: one a day is enough to see heating by.
    let mut before: Option<DateTime> = None;
    for (at, t) in temperatures {
        let ran = before.is_some_and(|b| ran_between(record, b, at));
        out.temperatures.push((at, t, ran));
        before = Some(at);
    }
    faults.extend(sensors::faults(p, &air.sensors, id, evening));
    out
}

/// Whether the fan was on at some time between two moments.
fn ran_between(record: &BinRecord, from: DateTime, to: DateTime) -> bool {
    let mut on = false;
    for f in &record.fan_runs {
        if f.happened >= to {
            break;
        }
        if f.happened <= from {
            on = f.is.on;
        } else if f.is.on {
            return true;
        }
    }
    on
}

/// Whether a grain's storage life is known to the models.
pub fn has_life(p: &KeepParams, grain: Grain) -> bool {
    p.life.verdict(grain, 14.0, 15.0).is_some()
}
