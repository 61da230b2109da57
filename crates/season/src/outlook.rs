//! Each field as it stands and as it may go.

use stook_crop::Phase;
use stook_measure::{Op, Range, Working};

use crate::answer::{Fan, FieldOutlook, Job, Window};
use crate::carry::Carried;
use crate::dates::date_range;
use crate::field::{CROP_DEPTH_M, FieldState, soil};
use crate::past;
use crate::run::{FieldOutcome, Track};
use crate::words;

/// The outlook of field `f` under the standing plan.
pub fn outlook(c: &Carried, f: usize, seasons: &[Vec<FieldOutcome>], tracks: &[Vec<Track>]) -> FieldOutlook {
    let field = &c.model.fields[f];
    let middle = middle_state(c, f);
    let s = soil(field, middle.variant);
    let numbers =
        |what: &dyn Fn(&FieldOutcome) -> f64| seasons.iter().map(|m| what(&m[f])).collect::<Vec<f64>>();
    let standing = middle.left_ha(Job::Cut) > 0.0;
    let yield_kg_ha = Range::of(&numbers(&|o| o.yield_kg_ha)).filter(|r| standing && r.p90 > 0.0);
    FieldOutlook {
        field: field.id.to_string(),
        name: field.name.clone(),
        area_ha: field.area_ha,
        crop: field.crop.clone(),
        stage: stage_words(c, f, middle),
        zadoks: middle.wheat.map(|w| f64::from(w.zadoks(&field.params))),
        water_mm: middle.water.available_mm(s, CROP_DEPTH_M),
        water_capacity_mm: s.capacity_to(CROP_DEPTH_M).fc_mm - s.capacity_to(CROP_DEPTH_M).wp_mm,
        surface: middle.water.surface_relative_to_fc(s, 0.10),
        soil_temp_c: c.air[0].first().map_or(f64::NAN, |a| a.soil_c),
        yield_kg_ha,
        happened: past::happened(&c.events[f], c.model.year),
        windows: windows(c, f, seasons),
        water_fan: fan(c, f, "mm", tracks, |t| &t.water_mm),
        stage_fan: fan(c, f, "Zadoks", tracks, |t| &t.zadoks),
        moisture_fan: fan(c, f, "% wet basis", tracks, |t| &t.moisture),
        working: workings(c, f, seasons, middle),
    }
}

/// The state of the middle weather: by development once seeded, by surface water before.
pub fn middle_state(c: &Carried, f: usize) -> &FieldState {
    let mut states: Vec<&FieldState> = c.starts.iter().map(|m| &m[f]).collect();
    states.sort_by(|a, b| {
        a.development().total_cmp(&b.development()).then(a.water.surface_mm.total_cmp(&b.water.surface_mm))
    });
    states[states.len() / 2]
}

/// Where the crop is, in words.
pub(crate) fn stage_words(c: &Carried, f: usize, s: &FieldState) -> String {
    let field = &c.model.fields[f];
    let Some(w) = &s.wheat else {
        return if s.is_begun(field, Job::Seed) { "part seeded".into() } else { "not seeded".into() };
    };
    if s.left_ha(Job::Cut) <= 0.0 {
        return "cut".into();
    }
    let zadoks = w.zadoks(&field.params);
    match s.phase {
        Phase::Seeded => format!("seeded {} days ago, not up yet", w.days),
        Phase::Seedling | Phase::Tillering => {
            format!("{:.1} leaves, {} (Zadoks {zadoks})", w.leaves(&field.params), s.phase.words())
        }
        phase if s.kernel.is_some() && phase >= Phase::Milk => {
            format!("{}, kernels about {:.0} % (Zadoks {zadoks})", phase.words(), s.moisture())
        }
        phase => format!("{} (Zadoks {zadoks})", phase.words()),
    }
}

/// The windows still to come or open, in order.
pub fn windows(c: &Carried, f: usize, seasons: &[Vec<FieldOutcome>]) -> Vec<Window> {
    let days = |what: &dyn Fn(&FieldOutcome) -> Option<u16>| {
        let all: Vec<Option<u16>> = seasons.iter().map(|m| what(&m[f])).collect();
        date_range(c, &all)
    };
    let done = |job: Job| seasons[0][f].done_before[job as usize];
    let mut out = Vec::new();
    let mut add = |job, opens: Option<_>, closes: Option<_>| {
        if let (Some(opens), Some(closes), false) = (opens, closes, done(job)) {
            out.push(Window { job, opens, closes });
        }
    };
    let i = |job: Job| job as usize;
    add(Job::Seed, days(&|o| o.first_fit[i(Job::Seed)]), days(&|o| o.done[i(Job::Seed)]));
    add(Job::Herbicide, days(&|o| o.herbicide_window.0), days(&|o| o.herbicide_window.1));
    add(Job::Fungicide, days(&|o| o.fungicide_window.0), days(&|o| o.fungicide_window.1));
    add(Job::Cut, days(&|o| o.first_fit[i(Job::Cut)]), days(&|o| o.done[i(Job::Cut)]));
    out
}

/// Past as one line, then a fan.
fn fan(c: &Carried, f: usize, unit: &str, tracks: &[Vec<Track>], of: fn(&Track) -> &Vec<f32>) -> Fan {
    let mut days: Vec<Option<Range>> = Vec::new();
    let past = of(&c.past[f].track);
    let first_of_year = jiff::civil::Date::new(c.model.year, 1, 1).unwrap_or(c.as_of);
    let from = first_of_year.max(c.sky.past_start);
    let skip = (from - c.sky.past_start).get_days().max(0) as usize;
    for x in past.iter().skip(skip) {
        let x = f64::from(*x);
        days.push(if x.is_nan() { None } else { Some(Range { p10: x, p50: x, p90: x }) });
    }
    let start = if days.is_empty() { c.sky.start } else { from };
    let past_days = days.len();
    let column = |day: usize, source: &[Vec<Track>]| {
        let values: Vec<f64> = source
            .iter()
            .filter_map(|m| of(&m[f]).get(day))
            .map(|x| f64::from(*x))
            .filter(|x| !x.is_nan())
            .collect();
        // A fan of a few members would look surer than it is.
        if values.len() * 3 < source.len() { None } else { Range::of(&values) }
    };
    days.extend((0..c.sky.lead).map(|d| column(d, &c.lead_tracks)));
    let ahead = tracks.first().map_or(0, |m| of(&m[f]).len());
    days.extend((0..ahead).map(|d| column(d, tracks)));
    if days.iter().all(Option::is_none) {
        return Fan { unit: unit.into(), ..Fan::default() };
    }
    Fan { unit: unit.into(), start: Some(start), days, past_days }
}

fn workings(c: &Carried, f: usize, seasons: &[Vec<FieldOutcome>], s: &FieldState) -> Vec<Working> {
    let field = &c.model.fields[f];
    let units = &c.model.units;
    let n = seasons.len() as f64;
    let mean = |what: &dyn Fn(&FieldOutcome) -> f64| seasons.iter().map(|m| what(&m[f])).sum::<f64>() / n;
    let line = field.params.yield_.line;
    let water = mean(&|o| o.crop_water_mm);
    let by_water = seasons.iter().map(|m| field.by_water_kg_ha(m[f].crop_water_mm)).sum::<f64>() / n;
    let own = (100.0 * field.own_factor()).round() / 100.0;
    let straight = own * line.slope_kg_ha_mm * (water.round() - line.intercept_mm.round());
    let made = mean(&|o| o.yield_kg_ha);
    let second = mean(&|o| o.by_deficit_kg_ha);
    let line_source = c.model.reference.coefficient("crop.yield.slope_kg_ha_mm");
    let yield_ = Working::new("Yield outlook, mean of the weathers")
        .line(Op::Start, "Water stored on 1 May and rain to 31 July", water.round(), "mm", 0)
        .line(Op::Minus, "Water that makes no grain", line.intercept_mm.round(), "mm", 0)
        .line(Op::Times, "Grain for each mm above it", line.slope_kg_ha_mm, "kg/ha", 2);
    let yield_ = if field.own_yields.is_some() {
        yield_.line(Op::Times, "Your own past yields here against those reckoned", own, "", 2)
    } else {
        yield_
    };
    let yield_ = yield_
        .line(
            if by_water >= straight { Op::Plus } else { Op::Minus },
            "Weathers at the field's best or at nothing",
            (by_water - straight).abs().round(),
            "kg/ha",
            0,
        )
        .line(
            if made >= by_water { Op::Plus } else { Op::Minus },
            "Late seeding, weeds, frost, heat, disease, shatter and what is already cut",
            (made - by_water).abs().round(),
            "kg/ha",
            0,
        )
        .sum("Yield", made.round(), "kg/ha", 0)
        .note(format!(
            "In your unit: {} {}. A second opinion, from the water the crop could not get, says {} before losses; it knows when the rain fell, the line does not.",
            stook_measure::figure(words::wheat_yield(units, made), words::yield_decimals(units)),
            stook_book::payload::UnitChoice::default().grain_yield.words().replace("bu/ac", units.grain_yield.words()),
            stook_measure::figure(words::wheat_yield(units, second), words::yield_decimals(units)),
        ))
        .source(line_source.map_or_else(String::new, |k| format!("{}: {} ({})", k.note, k.source, k.sure.words())))
        .would_change("rain to the end of July")
        .would_change("what the field made in other years: write the yield in the cut entry");
    let soil_ = soil(field, s.variant);
    let available = s.water.available_mm(soil_, CROP_DEPTH_M).round();
    let held = soil_.capacity_to(CROP_DEPTH_M);
    let water = Working::new("Water in the soil last evening, to 1.2 m")
        .line(Op::Start, "All the water", available + held.wp_mm.round(), "mm", 0)
        .line(Op::Minus, "Held too hard for the crop", held.wp_mm.round(), "mm", 0)
        .sum("Water the crop can take", available, "mm", 0)
        .note("A daily balance: rain and melt in; runoff, drainage, evaporation and the crop's use out.")
        .source("Balance: FAO Irrigation and Drainage Paper 56, dual coefficient, chapters 7 and 8; soil limits: Saxton and Rawls 2006")
        .would_change("the gauge")
        .would_change("the soil's texture by layer, or a soil moisture reading");
    let mut out = vec![yield_, water];
    if let Some(l) = &field.learned {
        out.push(l.working());
    }
    out
}
