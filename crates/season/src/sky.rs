//! Weather for the season: the observed days up to the day asked for, and many ways it may go on.

use jiff::civil::Date;
use stook_book::payload::CropPlan;
use stook_crop::CropParams;
use stook_crop::disease::leaf::{LeafDisease, Wetness, infects, wetness};
use stook_crop::ripening::DryingDay;
use stook_soil::temperature::At;
use stook_soil::{DayWater, SoilParams, SoilTemp};
use stook_weather::climate::Climate;
use stook_weather::ensemble::{self, EnsembleSpec};
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;
use stook_weather::series::{self, Record};
use stook_weather::snowpack::Snowpack;
use stook_weather::spray::{self, SprayLimits};
use stook_weather::{Day, Forcing, Site, quality};

use crate::SeasonError;
use crate::answer::WeatherBasis;
use crate::facts::WeatherFacts;
use crate::field::Air;

/// Days of observed weather the fields are carried through before the day asked for.
const LOOK_BACK_DAYS: i64 = 430;

/// Days of the year on which leaves and heads can catch disease: from jointing of the earliest crop.
pub const DISEASE_SEASON: std::ops::RangeInclusive<u16> = 130..=245;

/// The observed past and the members.
#[derive(Debug, Clone)]
pub struct Sky {
    /// Site.
    pub site: Site,
    /// First observed day played; the day the members start when there is none.
    pub past_start: Date,
    /// Observed days, complete, to the evening before the members start.
    pub past: Vec<Day>,
    /// First day of the members: the day after the last observed day, or an assumed start.
    pub start: Date,
    /// How many of the members' first days lie before the day asked for.
    pub lead: usize,
    /// Member names.
    pub labels: Vec<String>,
    /// Weather by member and day.
    pub members: Vec<Vec<Forcing>>,
    /// How it was made.
    pub basis: WeatherBasis,
    /// Mean air temperature of the year, C.
    pub annual_mean_c: f64,
    /// What is odd in the record.
    pub warnings: Vec<String>,
}

/// Makes the weather for `as_of` up to `until`.
///
/// # Errors
/// When the record on file cannot be used at all.
pub fn make(
    facts: &WeatherFacts,
    site: Site,
    table: &SiteTable,
    params: &WeatherParams,
    as_of: Date,
    until: Date,
    members: usize,
    seed: u64,
) -> Result<Sky, SeasonError> {
    let mut observed: Vec<Record> = facts.observed.iter().filter(|r| r.date < as_of).cloned().collect();
    observed.sort_by_key(|r| r.date);
    let mut warnings = Vec::new();
    let notes = quality::check(&observed, &site);
    for n in notes.iter().rev().take(3) {
        warnings.push(n.sentence.clone());
    }
    if notes.len() > 3 {
        warnings
            .push(format!("{} more readings on file look odd; they are used as they are.", notes.len() - 3));
    }
    let filled = if observed.is_empty() { None } else { Some(series::fill(&observed, &site, params)) };
    let years = filled.as_ref().map_or(0.0, |f| f.days.len() as f64 / 365.25);
    let dated: Vec<(Date, Day)> = filled
        .as_ref()
        .map(|f| {
            let mut date = f.start;
            f.days
                .iter()
                .map(|d| {
                    let this = (date, *d);
                    date = date.tomorrow().expect("inside the calendar");
                    this
                })
                .collect()
        })
        .unwrap_or_default();
    let fitted = if years >= 5.0 { Climate::fit(&dated, &site).ok() } else { None };
    let own_climate = fitted.is_some();
    let climate = fitted.unwrap_or_else(|| Climate::plains(&site));

    // Without a record up to yesterday the members begin where it ends, or at the last freeze-up.
    let assumed_start =
        Date::new(CropPlan::year_on(as_of) - 1, 11, 1).map_err(|e| SeasonError::Date(e.to_string()))?;
    let last_observed = dated.last().map(|(d, _)| *d);
    let start = match last_observed {
        Some(d) if (as_of - d).get_days() <= 300 => d.tomorrow().expect("inside the calendar"),
        _ => assumed_start,
    };
    let past: Vec<(Date, Day)> = dated
        .iter()
        .filter(|(d, _)| *d < start && (start - *d).get_days() as i64 <= LOOK_BACK_DAYS)
        .copied()
        .collect();
    let past_start = past.first().map_or(start, |(d, _)| *d);
    // A past year's remainder is only of use when its days are there; this season's own year is left out.
    let forecast: Vec<_> = crate::facts::complete(&facts.forecast, &site, params)
        .into_iter()
        .filter(|f| f.date >= start)
        .collect();
    let spec = EnsembleSpec {
        site,
        as_of: start,
        until,
        past: &dated,
        forecast: &forecast,
        climate: &climate,
        members,
        seed,
    };
    let ensemble = ensemble::build(&spec, table, params);
    let past_years = ensemble.members.iter().filter(|m| m.label.parse::<i16>().is_ok()).count();
    let generated = ensemble.members.len() - past_years;
    let basis = WeatherBasis {
        observed_to: last_observed,
        forecast_days: forecast.iter().filter(|f| f.date >= as_of).count(),
        past_years,
        generated,
        words: basis_words(last_observed, as_of, forecast.len(), past_years, generated, own_climate),
    };
    let annual_mean_c = if dated.len() >= 365 {
        let last_year = &dated[dated.len() - 365 * (dated.len() / 365)..];
        last_year.iter().map(|(_, d)| 0.5 * (d.tmax_c + d.tmin_c)).sum::<f64>() / last_year.len() as f64
    } else {
        climate.annual_mean_c()
    };
    Ok(Sky {
        site,
        past_start,
        past: past.into_iter().map(|(_, d)| d).collect(),
        start,
        lead: (as_of - start).get_days().max(0) as usize,
        labels: ensemble.members.iter().map(|m| m.label.clone()).collect(),
        members: ensemble.members.into_iter().map(|m| m.days).collect(),
        basis,
        annual_mean_c,
        warnings,
    })
}

fn basis_words(
    last: Option<Date>,
    as_of: Date,
    forecast: usize,
    years: usize,
    generated: usize,
    own: bool,
) -> String {
    let known = match last {
        None => "No weather is on file, so last winter and this spring are guessed too".to_string(),
        Some(d) if d.tomorrow().is_ok_and(|t| t == as_of) => "Weather is known to yesterday".into(),
        Some(d) => format!("Weather is known to {}, the days since are guessed", crate::words::day(d)),
    };
    let ahead = if forecast > 0 { format!(", then {forecast} days of forecast") } else { String::new() };
    let made = match (years, own) {
        (0, false) => format!(
            ", then {generated} made-up years from a general plains climate. Load your station's file: the ranges will narrow"
        ),
        (n, true) => {
            format!(", then the rest of each of {n} past years and {generated} made-up years like them")
        }
        (n, false) => format!(
            ", then the rest of each of {n} past years and {generated} made-up years from a general plains climate"
        ),
    };
    let how = if own {
        "Made-up seasons differ from each other about as much as yours on file do."
    } else {
        "How much such years differ from each other is a judgement."
    };
    format!("{known}{ahead}{made}. {how}")
}

/// Snow, soil temperature and disease weather carried from day to day: the same for every field.
#[derive(Debug, Clone, Copy)]
pub struct Ground {
    pack: Snowpack,
    temp: SoilTemp,
    /// Hours of head blight weather on each of the last seven days, by day of the year.
    blight_h: [f32; 7],
}

impl Ground {
    /// As on a day of `tmean_c` without snow.
    pub fn new(soil: &SoilParams, tmean_c: f64) -> Self {
        Self { pack: Snowpack::default(), temp: SoilTemp::new(soil, At::Seed, tmean_c), blight_h: [0.0; 7] }
    }

    /// One day on.
    #[allow(clippy::too_many_arguments)]
    pub fn air(
        &mut self,
        forcing: &Forcing,
        doy: u16,
        table: &SiteTable,
        weather: &WeatherParams,
        crop: &CropParams,
        limits: &SprayLimits,
        annual_mean_c: f64,
    ) -> Air {
        self.air_seen(forcing, doy, table, weather, crop, limits, annual_mean_c, None)
    }

    /// The same, with the canopy's wetness by the station's own hours where they are on file.
    #[allow(clippy::too_many_arguments)]
    pub fn air_seen(
        &mut self,
        forcing: &Forcing,
        doy: u16,
        table: &SiteTable,
        weather: &WeatherParams,
        crop: &CropParams,
        limits: &SprayLimits,
        annual_mean_c: f64,
        wet: Option<&Wetness>,
    ) -> Air {
        let had_snow = self.pack.swe_mm > 0.0 || forcing.snow_mm > 0.0;
        let melt = self.pack.step(forcing, doy, weather);
        let snow_on_ground = self.pack.swe_mm > 0.5;
        let water = DayWater {
            rain_mm: if had_snow { 0.0 } else { forcing.rain_mm },
            melt_mm: if had_snow { melt.to_ground_mm } else { 0.0 },
            swe_mm: self.pack.swe_mm,
            snow_on_ground,
        };
        let soil_c = self.temp.step(forcing.tmean_c, snow_on_ground, annual_mean_c);
        // Spraying is asked about from the first leaf to flowering only; the hours are dear to reckon.
        let spray_h =
            if (125..=235).contains(&doy) { spray::fit_hours(forcing, doy, table, limits) } else { 0.0 };
        let drying = if (180..=320).contains(&doy) {
            DryingDay::of(forcing, crop)
        } else {
            DryingDay { equilibrium_pct: 14.0, left: 1.0, rain_left: 1.0, rain_points: 0.0 }
        };
        let mut leaf_spot = 0.0;
        let today = usize::from(doy % 7);
        self.blight_h[today] = 0.0;
        if DISEASE_SEASON.contains(&doy) {
            let w = wet.copied().unwrap_or_else(|| wetness(forcing, doy, table, &crop.disease));
            self.blight_h[today] = w.warm_wet_h as f32;
            leaf_spot = f32::from(u8::from(infects(&crop.leaf.demands[LeafDisease::TanSpot as usize], &w)));
        }
        Air {
            doy,
            forcing: *forcing,
            water,
            soil_c,
            days_thawed: self.temp.days_above_zero(),
            spray_h,
            drying,
            blight_7d_h: self.blight_h.iter().sum(),
            leaf_spot,
        }
    }
}
