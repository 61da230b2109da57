//! What a table's heading leaves open, settled from its rows or the answers, or asked.

use std::collections::BTreeMap;

use csv::ByteRecord;
use jiff::tz::TimeZone;

use super::cell::{self, DateOrder};
use super::clock;
use super::ghcn::which_station;
use super::header::{Clock, Quantity};
use super::plan::{Plan, reader};
use super::sheet::Step;
use super::unit::{Dimension, Unit};
use super::{Answers, Question};

/// What the questions settle.
pub(super) struct Settled {
    pub step: Step,
    pub order: DateOrder,
    pub clock: Clock,
    pub station: Option<Vec<u8>>,
    pub units: Vec<Unit>,
    pub wind_height_m: Option<f64>,
}

/// Everything the heading leaves open, from the rows or the answers; else the questions.
pub(super) fn settle(
    plan: &Plan,
    bytes: &[u8],
    zone: &TimeZone,
    answers: &Answers,
) -> Result<Settled, Vec<Question>> {
    let mut questions = Vec::new();
    let seen = survey(plan, bytes);
    let has = |q| plan.measured.iter().any(|m| m.quantity == q);
    let timed = plan.time.is_some() || seen.timed;
    let step =
        if timed && !has(Quantity::TempMax) && !has(Quantity::TempMin) { Step::Hour } else { Step::Day };

    let units = units(plan, answers, &mut questions);
    let order = match answers.get("date_order") {
        _ if seen.first_over_12 || !seen.year_last => DateOrder::DayFirst,
        _ if seen.second_over_12 => DateOrder::MonthFirst,
        Some("day_first") => DateOrder::DayFirst,
        Some("month_first") => DateOrder::MonthFirst,
        _ => {
            questions.push(Question::new(
                "date_order",
                "Which stands first in the dates, the day or the month?",
                &[("day_first", "the day"), ("month_first", "the month")],
            ));
            DateOrder::DayFirst
        }
    };
    let clock = match (step, plan.clock, answers.get("clock")) {
        (Step::Day, ..) => Clock::Standard,
        (_, Some(said), _) => said,
        (_, _, Some("standard")) => Clock::Standard,
        (_, _, Some("wall")) => Clock::Wall,
        (_, _, Some("utc")) => Clock::Utc,
        _ if seen.offsets => Clock::Standard,
        _ => {
            let wall = "the clock on the wall, moved in spring and autumn";
            let mut choices = vec![("standard", "standard time all year"), ("utc", "universal time")];
            if clock::moves(zone) {
                choices.insert(1, ("wall", wall));
            }
            questions.push(Question::new("clock", "Which clock are the hours of this file?", &choices));
            Clock::Standard
        }
    };
    let stations: Vec<&[u8]> = seen.stations.iter().map(Vec::as_slice).collect();
    let chosen = answers.get("station").map(str::as_bytes).filter(|s| stations.contains(s));
    if stations.len() > 1 && chosen.is_none() {
        questions.push(which_station(&stations));
    }
    let station = chosen.or(stations.first().copied()).map(<[u8]>::to_vec);
    let wind_height_m = wind_height(plan, answers, &mut questions);
    if questions.is_empty() {
        Ok(Settled { step, order, clock, station, units, wind_height_m })
    } else {
        Err(questions)
    }
}

/// The unit of each measured column; placeholders where a question is asked.
fn units(plan: &Plan, answers: &Answers, questions: &mut Vec<Question>) -> Vec<Unit> {
    let archive = plan.is_archive();
    let mut open: BTreeMap<Dimension, Vec<&str>> = BTreeMap::new();
    let mut out = Vec::new();
    for m in &plan.measured {
        let dimension = m.quantity.dimension();
        let only = dimension.units();
        // The archive's service writes no units: C, mm, cm, km/h and kPa, the first of each list here.
        let known =
            m.unit.or_else(|| answers.unit(dimension)).or((archive || only.len() == 1).then_some(only[0]));
        if known.is_none() {
            open.entry(dimension).or_default().push(plan.headings[m.column].as_str());
        }
        out.push(known.unwrap_or(only[0]));
    }
    questions.extend(open.iter().map(|(dimension, headings)| Question::unit(*dimension, headings)));
    out
}

fn wind_height(plan: &Plan, answers: &Answers, questions: &mut Vec<Question>) -> Option<f64> {
    let wind = plan.measured.iter().find(|m| m.quantity == Quantity::Wind)?;
    let known = wind.height_m.or_else(|| {
        // Public weather stations measure wind at 10 m (WMO No. 8).
        plan.is_archive().then_some(10.0)
    });
    let answered =
        || answers.get("wind_height").and_then(|a| a.parse().ok()).filter(|h| (0.5..=30.0).contains(h));
    let height = known.or_else(answered);
    if height.is_none() {
        questions.push(Question::new(
            "wind_height",
            "How high above the ground is the wind measured, in metres?",
            &[("10", "10 m, a public station or a forecast"), ("2", "2 m, a farm station")],
        ));
    }
    height
}

/// What one pass over the rows shows.
#[derive(Default)]
#[allow(clippy::struct_excessive_bools)] // each is a plain sighting
struct Seen {
    timed: bool,
    offsets: bool,
    year_last: bool,
    first_over_12: bool,
    second_over_12: bool,
    stations: Vec<Vec<u8>>,
}

fn survey(plan: &Plan, bytes: &[u8]) -> Seen {
    let mut seen = Seen::default();
    let mut reader = reader(&bytes[plan.skip_bytes..], plan.delimiter);
    let mut cells = ByteRecord::new();
    let mut count = 0;
    while reader.read_byte_record(&mut cells).unwrap_or(false) {
        if let Some(cell) = plan.date.and_then(|i| cells.get(i)) {
            if let Some((first, second)) = cell::day_and_month(cell) {
                seen.year_last = true;
                seen.first_over_12 |= first > 12;
                seen.second_over_12 |= second > 12;
            }
            // Midnight alone is a day, not an hour.
            if count < 100
                && let Some(stamp) =
                    cell::stamp(cell, DateOrder::DayFirst).or(cell::stamp(cell, DateOrder::MonthFirst))
            {
                seen.timed |= stamp.time.is_some_and(|t| t.0 != 0);
                seen.offsets |= stamp.offset_min.is_some();
            }
        }
        if let Some(cell) = plan.station.and_then(|i| cells.get(i)).map(<[u8]>::trim_ascii)
            && !cell.is_empty()
            && seen.stations.len() < 1_000
            && !seen.stations.iter().any(|s| s == cell)
        {
            seen.stations.push(cell.to_vec());
        }
        count += 1;
    }
    seen
}
