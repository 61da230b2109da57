//! The hours, the fields and what can be done in them, put in words.

use jiff::civil::{Date, DateTime};
use stook_book::SprayProductId;
use stook_book::payload::{CropPlan, MachineKind, SprayProduct, SprayPurpose};
use stook_book::readings::ForecastHour;
use stook_crop::CropParams;
use stook_harvest::capacity::hectares_per_hour;
use stook_measure::{Reference, figure};
use stook_spray::SprayParams;
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;
use stook_weather::spray::{Factor, Grade};

use super::answer::{SprayAnswer, SprayDay, SprayField, SprayHour};
use super::{green, hours, intervals, limits, stage};
use crate::answer::{Job, Today, Window};
use crate::facts::Question;
use crate::params::SeasonParams;
use crate::{SeasonError, sky, words};

/// What is asked besides the farm and the day.
#[derive(Debug, Clone, Default)]
pub struct SprayAsk {
    /// The product whose label rules.
    pub product: Option<SprayProductId>,
    /// Only this field.
    pub field: Option<String>,
    /// The time of day, when the day has begun.
    pub now: Option<DateTime>,
    /// Share of the stubble in thistle patches, %.
    pub thistle_pct: Option<f64>,
}

/// Days shown.
const DAYS: usize = 7;

/// Days looked ahead for the night that ends good leaf.
const FALL_DAYS: i64 = 75;

const RULE: &str = "The label always rules: stage, rate, wind, temperature, buffer, re-entry and days to harvest. These \
                    hours are a reckoning. Look at the flag and the smoke before the boom opens.";

/// The hours fit to spray in the next days.
///
/// # Errors
/// When the farm has no place yet.
pub fn spray(q: &Question<'_>, today: &Today, ask: &SprayAsk) -> Result<SprayAnswer, SeasonError> {
    let site = q.farm.site().ok_or(SeasonError::NoPlace)?;
    let (reference, _) = q.farm.reference(&Reference::shipped());
    let table = SiteTable::new(&site);
    let params = WeatherParams::from_reference(&reference);
    let units = q.farm.units();
    let product = ask.product.as_ref().and_then(|id| q.farm.spray_products.get(id)).map(|p| &p.is);
    let limit = limits::of(&reference, product);
    // A day more than is shown: the farm's clock may run behind the sun's. In fall, far enough to see the leaf go.
    let ahead = if q.as_of.month() >= 8 { FALL_DAYS } else { DAYS as i64 + 1 };
    let until = q.as_of.saturating_add(jiff::Span::new().days(ahead));
    let sky = sky::make(q.weather, site, &table, &params, q.as_of, until, q.members, q.seed)?;
    let (ha_per_h, crewed) = sprayer(q, &reference);
    let zone = q.farm.time_zone();
    let by_hour = &q.weather.forecast_hours;
    let mut days =
        hours::days(&sky, &table, &limit, &zone, q.as_of, ask.now, DAYS, ha_per_h, crewed, by_hour);
    for d in &mut days {
        d.words = day_words(d, q.as_of);
    }
    let mut fields = waiting_fields(q, today, ask, product)?;
    let at = ask.now.unwrap_or_else(|| q.as_of.at(0, 0, 0, 0));
    share_out(&mut fields, days.first().filter(|d| d.date == q.as_of), q, product);
    let p = SprayParams::from_reference(&reference);
    let terms = green::Terms {
        farm: q.farm,
        as_of: q.as_of,
        reference: &reference,
        spray: &p,
        season: &SeasonParams::new(&reference, q.farm, q.as_of),
        crop: &CropParams::from_reference(&reference),
        units: &units,
        patches: ask.thistle_pct.map(|x| x.clamp(0.0, 100.0) / 100.0),
    };
    let green =
        [green::burn_off(&terms, today), green::stubble(&terms, &sky)].into_iter().flatten().collect();
    let measured = ask.now.and_then(|now| hours::last_measured(&q.weather.hours, &table, &limit, &zone, now));
    let (headline, why) = say(&days, &fields, q, &units);
    Ok(SprayAnswer {
        as_of: q.as_of,
        headline,
        why,
        product: product.map(|p| p.name.clone()),
        limits: limits::said(&limit, product, &units),
        days,
        fields,
        green,
        ha_per_h,
        intervals: intervals::open(q.farm, at),
        weather: basis(by_hour, &sky.basis.words),
        measured: measured.map(|h| measured_words(&h, &units)),
        rule: RULE.into(),
    })
}

/// The station's last hour, judged.
fn measured_words(h: &SprayHour, u: &stook_book::payload::UnitChoice) -> String {
    let verdict = match (h.grade, h.because) {
        (Grade::Fit, _) | (_, None) => "fit by these limits".to_string(),
        (Grade::Caution, Some(why)) => format!("care: {why}"),
        (Grade::No, Some(why)) => format!("not fit: {why}"),
    };
    format!(
        "Measured at your station from {}:00: {}, {}, {} % humidity, Delta T {}: {verdict}.",
        h.hour,
        limits::wind(u, h.wind_ms),
        words::temperature(u, h.temp_c),
        figure(h.rh_pct, 0),
        figure(h.delta_t_c, 1)
    )
}

/// Where the hours come from.
fn basis(by_hour: &[ForecastHour], rest: &str) -> String {
    match by_hour.last() {
        Some(last) => format!(
            "Hours to {} are the forecast's own; later ones are reckoned from days. {rest}",
            words::day(last.hour.at.date())
        ),
        None => format!("The hours are reckoned from days, since no forecast by the hour is on file. {rest}"),
    }
}

/// Area an hour and hours a day of the sprayer, set up or usual.
fn sprayer(q: &Question<'_>, r: &Reference) -> (f64, f64) {
    let get = |what: &str| r.get(&format!("season.machine.sprayer.{what}"));
    match q.farm.machine(MachineKind::Sprayer) {
        Some(m) => (
            hectares_per_hour(
                m.width_m,
                m.speed_kmh,
                m.field_efficiency.unwrap_or_else(|| get("efficiency")),
            ),
            m.hours_per_day,
        ),
        None => {
            (hectares_per_hour(get("width_m"), get("speed_kmh"), get("efficiency")), get("hours_per_day"))
        }
    }
}

/// Fields with a spray window open or opening within the days shown; those that cost most to leave first, then those
/// that close first.
fn waiting_fields(
    q: &Question<'_>,
    today: &Today,
    ask: &SprayAsk,
    product: Option<&SprayProduct>,
) -> Result<Vec<SprayField>, SeasonError> {
    // The label's leaf window goes before the usual one.
    let by_leaf = match product.filter(|p| p.purpose == SprayPurpose::Herbicide) {
        Some(SprayProduct { leaf_from, leaf_to, .. }) if leaf_from.or(*leaf_to).is_some() => {
            Some(stage::windows(q, leaf_from.unwrap_or(0.0), leaf_to.unwrap_or(99.0))?)
        }
        _ => None,
    };
    let horizon = q.as_of.saturating_add(jiff::Span::new().days(DAYS as i64));
    let fits = |job: Job| match product.map(|p| p.purpose) {
        None | Some(SprayPurpose::Other) => true,
        Some(SprayPurpose::Herbicide) => job == Job::Herbicide,
        Some(SprayPurpose::Fungicide) => job == Job::Fungicide,
        Some(_) => false,
    };
    let mut out = Vec::new();
    for f in today.fields.iter().filter(|f| ask.field.as_ref().is_none_or(|k| *k == f.field)) {
        let windows = match &by_leaf {
            None => f.windows.clone(),
            Some(all) => all
                .iter()
                .filter(|w| w.field == f.field)
                .map(|w| Window { job: Job::Herbicide, opens: w.opens, closes: w.closes })
                .collect(),
        };
        for w in &windows {
            let spray = matches!(w.job, Job::Herbicide | Job::Fungicide) && fits(w.job);
            if !spray || w.opens.early > horizon || w.closes.late < q.as_of {
                continue;
            }
            let decision = today.open.iter().find(|d| d.field == f.field && d.job == w.job);
            let per_hour = decision.and_then(|d| d.waiting.as_ref()).map_or(0.0, |w| w.per_hour);
            let pays = decision.and_then(|d| d.spray.as_ref()).filter(|s| s.clear).map(|s| s.net.mean > 0.0);
            out.push((
                per_hour,
                SprayField {
                    field: f.field.clone(),
                    name: f.name.clone(),
                    area_ha: f.area_ha,
                    job: w.job,
                    stage: f.stage.clone(),
                    opens: w.opens,
                    closes: w.closes,
                    pays,
                    today_ha: 0.0,
                    cut_from: None,
                    enter_from: None,
                    words: String::new(),
                },
            ));
        }
    }
    out.sort_by(|(a, x), (b, y)| {
        // Those that would not pay, after those that may.
        let open = |f: &SprayField| (f.pays == Some(false), f.opens.middle > q.as_of);
        open(x).cmp(&open(y)).then(b.total_cmp(a)).then(x.closes.middle.cmp(&y.closes.middle))
    });
    Ok(out.into_iter().map(|(_, f)| f).collect())
}

/// Gives today's fit hours to the fields in order, and says of each what it means.
fn share_out(
    fields: &mut [SprayField],
    today: Option<&SprayDay>,
    q: &Question<'_>,
    product: Option<&SprayProduct>,
) {
    let units = q.farm.units();
    let mut left = today.map_or(0.0, |d| d.area_ha);
    let ends = today.and_then(|d| d.fit.last()).map(|(_, end)| *end);
    for f in fields {
        let open = f.opens.middle <= q.as_of;
        if open && f.pays != Some(false) {
            f.today_ha = f.area_ha.min(left);
            left -= f.today_ha;
        }
        let days = product.and_then(|p| p.pre_harvest_days);
        f.cut_from = days.map(|d| q.as_of.saturating_add(jiff::Span::new().days(i64::from(d))));
        f.enter_from = match (product.and_then(|p| p.re_entry_hours), ends) {
            (Some(h), Some(end)) => {
                let end = q.as_of.at(0, 0, 0, 0).saturating_add(jiff::Span::new().hours(i64::from(end)));
                Some(end.saturating_add(jiff::Span::new().hours(i64::from(h))))
            }
            _ => None,
        };
        let window = if open {
            format!("open, closes about {}", words::day_from(q.as_of, f.closes.middle))
        } else {
            format!("opens about {}", words::day_from(q.as_of, f.opens.middle))
        };
        let reach = if f.today_ha <= 0.0 {
            String::new()
        } else if f.today_ha + 0.01 >= f.area_ha {
            ", all of it today".to_string()
        } else {
            format!(", {} of it today", words::area(&units, f.today_ha))
        };
        let cut = f
            .cut_from
            .map_or(String::new(), |d| format!(". Cut no earlier than {} if sprayed today", words::day(d)));
        let pays = if f.pays == Some(false) { "; not expected to pay, see Today" } else { "" };
        f.words = format!("{}: {}, {window}{reach}{pays}{cut}", f.job.word(), f.stage);
    }
}

/// `6:00 to 10:00 and 18:00 to 20:00`.
pub fn stretch_words(fit: &[(u8, u8)]) -> String {
    let all: Vec<String> = fit.iter().map(|(a, b)| format!("{a}:00 to {b}:00")).collect();
    crate::model::list(&all)
}

/// What keeps most of the day's light from being fit.
fn hindrance(d: &SprayDay) -> Option<Factor> {
    let mut count: Vec<(Factor, usize)> = Vec::new();
    for f in d.hours.iter().filter(|h| !h.dark && h.grade != Grade::Fit).filter_map(|h| h.factor) {
        match count.iter_mut().find(|(x, _)| *x == f) {
            Some((_, n)) => *n += 1,
            None => count.push((f, 1)),
        }
    }
    count.into_iter().max_by_key(|(_, n)| *n).map(|(f, _)| f)
}

/// What comes after the last fit hour, when it is worth saying.
fn then(d: &SprayDay) -> Option<Factor> {
    let (_, end) = *d.fit.last()?;
    d.hours.iter().find(|h| h.hour == end && !h.dark)?.factor
}

fn day_words(d: &SprayDay, as_of: Date) -> String {
    let day = capital(&words::day_from(as_of, d.date));
    if d.fit.is_empty() {
        let why = hindrance(d).map_or("no light left", Factor::words);
        return format!("{day}: no hours. Mostly {why}.");
    }
    let after = then(d).map_or(String::new(), |f| format!(", then {}", f.words()));
    format!("{day}: {}{after}.", stretch_words(&d.fit))
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

fn say(
    days: &[SprayDay],
    fields: &[SprayField],
    q: &Question<'_>,
    units: &stook_book::payload::UnitChoice,
) -> (String, String) {
    let today = days.first().filter(|d| d.date == q.as_of);
    let next = days.iter().skip(usize::from(today.is_some())).find(|d| !d.fit.is_empty());
    let next_words = next.map_or("None in the days ahead.".to_string(), |d| {
        format!("Next: {}, {}.", words::day_from(q.as_of, d.date), stretch_words(&d.fit))
    });
    let headline = match today {
        Some(d) if !d.fit.is_empty() => {
            let after = then(d).map_or(String::new(), |f| format!(", then {}", short(f)));
            format!("Fit to spray today {}{after}.", stretch_words(&d.fit))
        }
        Some(d) => {
            let why = hindrance(d).map_or("no light left", short);
            format!("No hours to spray today: {why}. {next_words}")
        }
        None => format!("The day is over for spraying. {next_words}"),
    };
    let mut why = Vec::new();
    if let Some(d) = today.filter(|d| !d.fit.is_empty()) {
        let shares: Vec<f64> =
            d.hours.iter().filter(|h| h.grade == Grade::Fit).map(|h| h.share_fit).collect();
        let mean = shares.iter().sum::<f64>() / shares.len().max(1) as f64;
        why.push(format!("Those hours are fit in {}", words::in_ten(mean)));
        let reached: Vec<String> = fields
            .iter()
            .filter(|f| f.today_ha > 0.0)
            .enumerate()
            .map(|(i, f)| {
                let whole = f.today_ha + 0.01 >= f.area_ha;
                match (i, whole) {
                    (_, true) => f.name.clone(),
                    (_, false) => format!("{} of {}", words::area(units, f.today_ha), f.name),
                }
            })
            .collect();
        let area = words::area(units, d.area_ha);
        let mut open = fields.iter().filter(|f| f.opens.middle <= q.as_of).peekable();
        if reached.is_empty() && open.peek().is_some() && open.all(|f| f.pays == Some(false)) {
            why.push(format!(
                "The sprayer can do about {area} in them, but no spray whose window is open is expected to pay"
            ));
        } else if reached.is_empty() {
            why.push(format!("The sprayer can do about {area} in them"));
        } else {
            why.push(format!("Room for about {area}: {}", reached.join(", then ")));
        }
    }
    if fields.is_empty() {
        why.push(format!(
            "No wheat field of {} has a spray window open this week",
            CropPlan::year_on(q.as_of)
        ));
    }
    let said = why.join(". ");
    (headline, if said.is_empty() { said } else { format!("{said}.") })
}

/// A factor in the fewest words.
pub fn short(f: Factor) -> &'static str {
    match f {
        Factor::Rain => "rain",
        Factor::Inversion => "still air in layers",
        Factor::WindHigh => "too windy",
        Factor::WindLow => "too calm",
        Factor::Hot => "too hot",
        Factor::Cold => "too cold",
        Factor::HotAndDry => "hot and dry",
        Factor::DeltaTHigh => "air too dry",
        Factor::DeltaTLow => "air too damp",
    }
}
