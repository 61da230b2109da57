//! What devices in bins read by themselves: by the row from a file, by the message from a device.
//!
//! Kept in a table beside the entries: a cable of twenty sensors read every hour would drown the book. Times are the
//! farm's wall clock. The file is any CSV with a heading; the units stand in the headings (`temp_c` or `temp_f`,
//! `height_m` or `height_ft`), so that nothing has to be guessed.

use std::collections::BTreeSet;

use jiff::civil::{Date, DateTime, Time};
use serde::{Deserialize, Serialize};
use stook_measure::units;

use crate::farm::Farm;
use crate::payload::BinId;

/// One sensor at one time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SensorReading {
    /// Bin.
    pub bin: BinId,
    /// When, by the farm's clock.
    pub at: DateTime,
    /// The sensor's own name or number; with the bin and the minute it is one reading.
    #[serde(default)]
    pub sensor: String,
    /// Height above the floor, m.
    #[serde(default)]
    pub height_m: Option<f64>,
    /// Temperature, C.
    #[serde(default)]
    pub temperature_c: Option<f64>,
    /// Moisture, % wet basis.
    #[serde(default)]
    pub moisture_wb_pct: Option<f64>,
    /// Carbon dioxide, ppm.
    #[serde(default)]
    pub co2_ppm: Option<f64>,
}

/// A row that cannot be right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BadReading {
    /// Line in the file or place in the list, from 1.
    pub line: u64,
    /// What is wrong and how to mend it.
    pub sentence: String,
}

/// Readings as understood.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// Those that can be right.
    pub good: Vec<SensorReading>,
    /// Those that cannot.
    pub bad: Vec<BadReading>,
}

/// Why a file cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SensorError {
    /// No heading that is known.
    #[error(
        "the heading has no column \"{0}\"; it needs bin, time, and at least one of temp_c, temp_f, moisture_pct, co2_ppm"
    )]
    NoColumn(&'static str),
    /// A column without a unit.
    #[error("the column \"{0}\" does not say its unit; call it {1}")]
    NoUnit(String, &'static str),
    /// Not a table.
    #[error("line {0} cannot be read as a row of the table: {1}")]
    NotATable(u64, String),
    /// Not JSON of readings.
    #[error("this is no list of readings: {0}")]
    NotReadings(String),
}

impl SensorReading {
    /// What is wrong with it, if anything, against the farm.
    pub fn problem(&self, farm: &Farm, latest: DateTime) -> Option<String> {
        let Some(record) = farm.bins.get(&self.bin) else {
            let names: Vec<&str> = farm.bins.keys().map(BinId::as_str).take(30).collect();
            let have = if names.is_empty() {
                "there are no bins in the book yet".into()
            } else {
                format!("the bins are {}", names.join(", "))
            };
            return Some(format!("There is no bin \"{}\"; {have}.", self.bin));
        };
        if self.at > latest {
            return Some(format!("{} is in the future; check the device's clock.", self.at));
        }
        let bin = record.bin();
        let top = bin.wall_m + 0.5 * bin.diameter_m;
        if self.height_m.is_some_and(|h| !(0.0..=top).contains(&h)) {
            return Some(format!(
                "A height of {} m is not in {}; heights are in metres above the floor.",
                self.height_m.unwrap_or(0.0),
                bin.name
            ));
        }
        if self.temperature_c.is_none() && self.moisture_wb_pct.is_none() && self.co2_ppm.is_none() {
            return Some("Nothing was read: give a temperature, moisture or carbon dioxide.".into());
        }
        if self.temperature_c.is_some_and(|t| !(-60.0..=100.0).contains(&t)) {
            return Some("No grain has this temperature; is the cable broken, or is it Fahrenheit?".into());
        }
        if self.moisture_wb_pct.is_some_and(|m| !(3.0..=60.0).contains(&m)) {
            return Some("No grain has this moisture; it is a percent of the wet weight.".into());
        }
        if self.co2_ppm.is_some_and(|c| !(200.0..=200_000.0).contains(&c)) {
            return Some("Carbon dioxide is in parts per million; outdoor air has about 420.".into());
        }
        None
    }
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Column {
    Bin,
    Date,
    Time,
    Sensor,
    HeightM,
    HeightFt,
    TempC,
    TempF,
    Moisture,
    Co2,
}

fn column(heading: &str) -> Result<Option<Column>, SensorError> {
    let name = heading.trim().trim_start_matches('\u{feff}').to_lowercase().replace([' ', '-'], "_");
    Ok(Some(match name.as_str() {
        "bin" => Column::Bin,
        "date" => Column::Date,
        "time" | "at" | "when" | "datetime" | "date_time" | "timestamp" => Column::Time,
        "sensor" | "cable" | "node" | "sensor_id" => Column::Sensor,
        "height_m" => Column::HeightM,
        "height_ft" => Column::HeightFt,
        "temp_c" | "temperature_c" => Column::TempC,
        "temp_f" | "temperature_f" => Column::TempF,
        "moisture_pct" | "moisture" | "moisture_wb_pct" => Column::Moisture,
        "co2_ppm" | "co2" => Column::Co2,
        "temp" | "temperature" => return Err(SensorError::NoUnit(heading.into(), "temp_c or temp_f")),
        "height" => return Err(SensorError::NoUnit(heading.into(), "height_m or height_ft")),
        _ => return Ok(None),
    }))
}

/// Reads a CSV of readings.
///
/// # Errors
/// When its heading does not say enough, or it is no table.
pub fn read_csv(bytes: &[u8], farm: &Farm, latest: DateTime) -> Result<Readings, SensorError> {
    let mut table = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let not_a_table =
        |e: csv::Error| SensorError::NotATable(e.position().map_or(1, csv::Position::line), e.to_string());
    let headings = table.headers().map_err(not_a_table)?.clone();
    let columns = headings.iter().map(column).collect::<Result<Vec<_>, _>>()?;
    let has = |c: Column| columns.contains(&Some(c));
    if !has(Column::Bin) {
        return Err(SensorError::NoColumn("bin"));
    }
    if !has(Column::Time) && !has(Column::Date) {
        return Err(SensorError::NoColumn("time"));
    }
    if ![Column::TempC, Column::TempF, Column::Moisture, Column::Co2].into_iter().any(has) {
        return Err(SensorError::NoColumn("temp_c"));
    }
    let mut out = Readings::default();
    let mut twice = BTreeSet::new();
    for row in table.records() {
        let row = row.map_err(not_a_table)?;
        let line = row.position().map_or(0, csv::Position::line);
        let text =
            |c: Column| columns.iter().position(|x| *x == Some(c)).and_then(|i| row.get(i)).unwrap_or("");
        match one(&text, farm, latest) {
            Ok(r) => {
                if twice.insert((r.bin.clone(), r.at, r.sensor.clone())) {
                    out.good.push(r);
                } else {
                    out.bad.push(BadReading {
                        line,
                        sentence:
                            "This bin, minute and sensor stand twice in the file; name the sensors apart."
                                .into(),
                    });
                }
            }
            Err(sentence) => out.bad.push(BadReading { line, sentence }),
        }
    }
    Ok(out)
}

fn one<'a>(
    text: &impl Fn(Column) -> &'a str,
    farm: &Farm,
    latest: DateTime,
) -> Result<SensorReading, String> {
    let number = |c: Column| -> Result<Option<f64>, String> {
        let t = text(c);
        if t.is_empty() {
            return Ok(None);
        }
        t.parse().map(Some).map_err(|_| format!("\"{t}\" is not a number."))
    };
    let key = text(Column::Bin);
    // The farm's word for the bin does as well as its key.
    let bin = farm
        .bins
        .values()
        .find(|b| b.bin().name.eq_ignore_ascii_case(key))
        .map_or_else(|| BinId::from(key), |b| b.bin().id.clone());
    let temperature_c = match (number(Column::TempC)?, number(Column::TempF)?) {
        (Some(c), _) => Some(c),
        (None, f) => f.map(units::f_to_c),
    };
    let height_m = match (number(Column::HeightM)?, number(Column::HeightFt)?) {
        (Some(m), _) => Some(m),
        (None, f) => f.map(units::ft_to_m),
    };
    let at = moment(text(Column::Date), text(Column::Time)).ok_or_else(|| {
        format!("\"{} {}\" is no time; write 2026-09-03 21:00.", text(Column::Date), text(Column::Time))
    })?;
    let sensor = match (text(Column::Sensor), height_m) {
        ("", Some(h)) => format!("{h:.2} m"),
        (name, _) => name.to_string(),
    };
    let reading = SensorReading {
        bin,
        at,
        sensor,
        height_m,
        temperature_c,
        moisture_wb_pct: number(Column::Moisture)?,
        co2_ppm: number(Column::Co2)?,
    };
    reading.problem(farm, latest).map_or(Ok(reading), Err)
}

fn moment(date: &str, time: &str) -> Option<DateTime> {
    if date.is_empty() {
        return time.replacen(' ', "T", 1).trim_end_matches('Z').parse().ok();
    }
    let date: Date = date.parse().ok()?;
    if time.is_empty() {
        return Some(date.at(12, 0, 0, 0));
    }
    let time: Time = time.parse().ok()?;
    Some(date.to_datetime(time))
}

/// Reads what a device sends: one reading, or a list of them.
///
/// # Errors
/// When it is no JSON of readings.
pub fn read_json(text: &[u8], farm: &Farm, latest: DateTime) -> Result<Readings, SensorError> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Sent {
        Many(Vec<SensorReading>),
        One(SensorReading),
    }
    let sent: Sent = serde_json::from_slice(text).map_err(|_| {
        SensorError::NotReadings("send {\"bin\": …, \"at\": \"2026-09-03T21:00\", \"sensor\": …, \"temperature_c\": …}, or a list of such".into())
    })?;
    let all = match sent {
        Sent::Many(all) => all,
        Sent::One(one) => vec![one],
    };
    let mut out = Readings::default();
    for (i, mut r) in all.into_iter().enumerate() {
        if r.sensor.is_empty() {
            r.sensor = r.height_m.map_or_else(String::new, |h| format!("{h:.2} m"));
        }
        match r.problem(farm, latest) {
            None => out.good.push(r),
            Some(sentence) => out.bad.push(BadReading { line: i as u64 + 1, sentence }),
        }
    }
    Ok(out)
}
