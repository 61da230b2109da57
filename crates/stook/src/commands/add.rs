//! `stook add KIND key=value ...`: writes one entry.

use std::process::ExitCode;

use anyhow::{Context, anyhow, bail};
use jiff::civil::DateTime;
use serde_json::{Map, Number, Value as Json};
use stook_book::{Entry, Payload, validate};
use stook_measure::{Reference, units};

use super::book_file::BookFile;
use crate::output;

/// Writes an entry into the book.
///
/// Keys are those of the entry in the book, such as `rain_mm=4`; farm units work too where the key says so:
/// `rain_in`, `depth_in`, `area_ac`, `rate_lb_ac`, `temp_f`. Text that JSON would read as a number or true/false is
/// taken as that.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:
  stook add rain rain_mm=4
  stook add go_no_go field=slough-quarter operation=seed go=false reason=\"north end soft\"
  stook add seeding field=long-90 depth_mm=40 done=true --at 2026-05-06T09:30
  stook add emergence_seen field=long-90
  stook add stage_seen field=long-90 leaves=3
  stook add insects_seen field=long-90 insect=midge count=0.2 unit=per_head
  stook add damage_seen field=long-90 cause=hail insurer_told=true
  stook add yield_count field=long-90 heads_per_m2=480 kernels_per_head=30
  stook add kernel_moisture field=long-90 moisture_wb_pct=16.5 method=meter
  stook add thumb_test field=long-90 result=bites_hard
  stook add local_number name=crop.yield.late_per_day value=0.012 why=\"own records\"
  stook add bin id=bin-1 name=\"Bin 1\" diameter_ft=30 wall_ft=24 floor=flat
  stook add load field=long-90 to_bin=bin-1 mass_kg=16400 moisture_wb_pct=14.2
  stook add load from_bin=bin-1 to_buyer=\"Bend Elevator\" mass_kg=40120 weighed=buyer_ticket ticket=41217
  stook add bin_measured bin=bin-1 down_ft=6.5 heap=1
  stook add price what=wheat value=7.80 unit=bu")]
pub struct Add {
    /// Kind of entry; `stook add list` shows them all
    kind: String,
    /// What it says
    values: Vec<String>,
    /// When it happened, such as 2026-05-05 or 2026-05-05T06:10; now when left out
    #[arg(long)]
    at: Option<String>,
    /// Who says so
    #[arg(long, env = "STOOK_WHO", default_value = "me")]
    who: String,
    /// Id of the entry this one corrects
    #[arg(long)]
    replaces: Option<uuid::Uuid>,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &Add) -> anyhow::Result<ExitCode> {
    if a.kind == "list" {
        let rows = Payload::KINDS.iter().map(|(k, t)| vec![(*k).into(), (*t).into()]).collect();
        output::table(&["kind", "what it is"], rows)?;
        return Ok(ExitCode::SUCCESS);
    }
    let payload = read(&a.kind, &a.values)?;
    let (mut store, _, farm) = a.book.farm()?;
    let now = farm.local(jiff::Timestamp::now());
    let happened = match &a.at {
        None => now,
        Some(text) => when(text)?,
    };
    let mut entry = Entry::new(happened, &a.who, payload);
    if let Some(earlier) = a.replaces {
        if store.entry(earlier)?.is_none() {
            bail!("there is no entry {earlier} to correct; `stook entries --json` shows the ids");
        }
        entry = entry.replacing(earlier);
    }
    if let Err(problems) = validate(&entry, &farm, &Reference::shipped(), jiff::Timestamp::now()) {
        let all: Vec<String> = problems.iter().map(|p| format!("{}: {}", p.at, p.sentence)).collect();
        bail!("{}", all.join("; "));
    }
    store.append(&entry)?;
    output::line(format!("Written: {} ({})", entry.payload().map_or("", |p| p.title()), entry.id))?;
    Ok(ExitCode::SUCCESS)
}

fn when(text: &str) -> anyhow::Result<DateTime> {
    if let Ok(t) = text.parse::<DateTime>() {
        return Ok(t);
    }
    let day: jiff::civil::Date = text
        .parse()
        .with_context(|| format!("\"{text}\" is no date; write 2026-05-05 or 2026-05-05T06:10"))?;
    Ok(day.at(12, 0, 0, 0))
}

fn read(kind: &str, values: &[String]) -> anyhow::Result<Payload> {
    let mut data = Map::new();
    for v in values {
        let (key, text) =
            v.split_once('=').ok_or_else(|| anyhow!("\"{v}\" should be key=value, such as rain_mm=4"))?;
        let (key, value) = in_si(key.trim(), text.trim())?;
        if data.insert(key.clone(), value).is_some() {
            bail!("{key} is given twice");
        }
    }
    // The two ends of a load, by the words for them.
    if kind == "load" {
        for (key, side, end) in [
            ("field", "from", "field"),
            ("from_bin", "from", "bin"),
            ("bought_from", "from", "bought"),
            ("to_bin", "to", "bin"),
            ("to_buyer", "to", "buyer"),
            ("elsewhere", "to", "elsewhere"),
        ] {
            if let Some(v) = data.remove(key)
                && data.insert(side.into(), Json::Object(Map::from_iter([(end.to_string(), v)]))).is_some()
            {
                bail!("a load goes {side} one place; say it once");
            }
        }
        data.entry("weighed").or_insert_with(|| "truck_scale".into());
    }
    if kind == "bin" {
        if let Some(v) = data.remove("floor") {
            data.insert(
                "floor".into(),
                if v.is_string() { Json::Object(Map::from_iter([("shape".to_string(), v)])) } else { v },
            );
        }
        data.entry("job").or_insert_with(|| "any".into());
    }
    // A stage is one of three ways of saying it.
    if kind == "stage_seen" {
        for way in ["leaves", "zadoks", "words"] {
            if let Some(v) = data.remove(way) {
                data.insert("stage".into(), Json::Object(Map::from_iter([(way.to_string(), v)])));
            }
        }
    }
    match Payload::read(kind, Json::Object(data)) {
        Some(Ok(payload)) => Ok(payload),
        Some(Err(e)) => Err(anyhow!("{kind}: {e}")),
        None => bail!("there is no kind of entry named \"{kind}\"; `stook add list` shows them all"),
    }
}

/// Farm units to the book's, by the ending of the key.
fn in_si(key: &str, text: &str) -> anyhow::Result<(String, Json)> {
    let convert: Option<(&str, &str, fn(f64) -> f64)> = [
        ("_in", "_mm", units::in_to_mm as fn(f64) -> f64),
        ("_ac", "_ha", units::acre_to_ha),
        ("_lb_ac", "_kg_ha", units::lb_ac_to_kg_ha),
        ("_ft", "_m", units::ft_to_m),
        ("_mph", "_kmh", units::mph_to_kmh),
    ]
    .into_iter()
    .filter(|(from, ..)| key.ends_with(from))
    .max_by_key(|(from, ..)| from.len());
    if let Some((from, to, f)) = convert {
        let x: f64 =
            text.parse().with_context(|| format!("{key} should be a number; \"{text}\" is not one"))?;
        let number = Number::from_f64(f(x)).ok_or_else(|| anyhow!("{key} is not a usable number"))?;
        return Ok((format!("{}{to}", key.strip_suffix(from).unwrap_or(key)), Json::Number(number)));
    }
    let value = match text {
        "true" | "yes" => Json::Bool(true),
        "false" | "no" if key != "answer" => Json::Bool(false),
        _ => serde_json::from_str(text).unwrap_or_else(|_| Json::String(text.into())),
    };
    Ok((key.into(), value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(v: &[&str]) -> Vec<String> {
        v.iter().map(|s| (*s).to_string()).collect()
    }

    #[test]
    fn farm_units_become_si() {
        let Payload::Rain(r) = read("rain", &values(&["rain_in=0.5"])).unwrap() else { panic!("not rain") };
        assert!((r.rain_mm - 12.7).abs() < 1e-9);
    }

    #[test]
    fn says_what_is_wrong() {
        assert!(read("rain", &values(&["rain_mm"])).unwrap_err().to_string().contains("key=value"));
        assert!(read("snow", &[]).unwrap_err().to_string().contains("stook add list"));
        assert!(read("rain", &values(&["depth=4"])).unwrap_err().to_string().starts_with("rain: "));
        assert!(read("stage_seen", &values(&["field=a", "leaves=3"])).is_ok());
    }
}
