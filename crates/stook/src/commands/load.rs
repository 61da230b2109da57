//! `stook load`: a load, in as few words as it takes.

use std::process::ExitCode;

use anyhow::{anyhow, bail};
use jiff::civil::DateTime;
use serde_json::json;
use stook_book::payload::{Load, LoadFrom, LoadTo, Weighed};
use stook_book::{Entry, Farm, validate};
use stook_measure::{Reference, figure};
use stook_yard::Yard;

use super::book_file::BookFile;
use crate::output;

/// Writes a load down: from a field or bin, to a bin, a buyer or the mill.
///
/// Names or keys of fields and bins both do. A place to go that is no bin is taken as a buyer; `mill` and `seed` are
/// the farm's own.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:
  stook load \"Long 90\" \"Bin 5\" 16420 --moisture 14.2
  stook load bin-1 \"Bend Elevator\" 40120 --ticket 41217
  stook load bin-4 mill 7800 --weighed cart_scale")]
pub struct LoadCommand {
    /// Field or bin it came from
    from: String,
    /// Bin, buyer, `mill` or `seed` it went to
    to: String,
    /// Weight of the grain, kg
    kg: f64,
    /// Moisture, % of the wet weight
    #[arg(long)]
    moisture: Option<f64>,
    /// How it was weighed: truck_scale, cart_scale, buyer_ticket, bin_measure, guess
    #[arg(long, default_value = "truck_scale")]
    weighed: String,
    /// Ticket number
    #[arg(long)]
    ticket: Option<String>,
    /// It was the last out of its bin
    #[arg(long)]
    last: bool,
    /// When, such as 2026-08-20T14:10; now when left out
    #[arg(long)]
    at: Option<DateTime>,
    /// Who says so
    #[arg(long, env = "STOOK_WHO", default_value = "me")]
    who: String,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &LoadCommand) -> anyhow::Result<ExitCode> {
    let (mut store, mut entries, farm) = a.book.farm()?;
    let from = from(&farm, &a.from)?;
    let to = to(&farm, &a.to);
    let weighed = Weighed::from_key(&a.weighed).ok_or_else(|| {
        let all: Vec<&str> = Weighed::ALL.iter().map(|w| w.key()).collect();
        anyhow!("\"{}\" is no way of weighing; it is one of {}", a.weighed, all.join(", "))
    })?;
    let mut load = Load::new(from, to, weighed, Some(a.kg));
    load.moisture_wb_pct = a.moisture;
    load.ticket.clone_from(&a.ticket);
    load.emptied = a.last;
    let happened = a.at.unwrap_or_else(|| farm.local(jiff::Timestamp::now()));
    let entry = Entry::new(happened, &a.who, load);
    if let Err(problems) = validate(&entry, &farm, &Reference::shipped(), jiff::Timestamp::now()) {
        let all: Vec<String> = problems.iter().map(|p| format!("{}: {}", p.at, p.sentence)).collect();
        bail!("{}", all.join("; "));
    }
    store.append(&entry)?;
    let id = entry.id;
    entries.push(entry);
    let farm = Farm::fold(&entries);
    let yard = Yard::fold(&farm, &farm.reference(&Reference::shipped()).0);
    let moved = yard.loads.iter().find(|m| m.entry == id);
    let bins: Vec<_> = moved
        .into_iter()
        .flat_map(|m| [m.load.from_bin(), m.load.to_bin()])
        .flatten()
        .filter_map(|b| yard.bin(b))
        .collect();
    let notices: Vec<_> = yard.notices.iter().filter(|n| n.entry == Some(id)).collect();
    if a.json {
        let bins: Vec<_> = bins
            .iter()
            .map(|b| json!({"bin": b.bin.id, "kg": b.mass_kg(), "room_kg": b.room_kg(None)}))
            .collect();
        output::json(&json!({"entry": id, "bins": bins, "notices": notices}))?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(format!("Written: load ({id})"))?;
    for b in bins {
        output::line(format!(
            "{} now holds {} t, room for {} t",
            b.bin.name,
            figure(b.mass_kg() / 1000.0, 1),
            figure(b.room_kg(None) / 1000.0, 1)
        ))?;
    }
    for n in notices {
        output::folded(&n.sentence, 0)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn from(farm: &Farm, name: &str) -> anyhow::Result<LoadFrom> {
    let wanted = name.to_lowercase();
    if let Some(f) = farm
        .fields
        .values()
        .map(stook_book::FieldRecord::field)
        .find(|f| f.id.as_str() == wanted || f.name.to_lowercase() == wanted)
    {
        return Ok(LoadFrom::Field(f.id.clone()));
    }
    bin(farm, &wanted).map(LoadFrom::Bin).ok_or_else(|| {
        anyhow!("no field or bin is called \"{name}\"; `stook bins` lists the bins, `stook today` the fields")
    })
}

fn to(farm: &Farm, name: &str) -> LoadTo {
    let wanted = name.to_lowercase();
    match (bin(farm, &wanted), wanted.as_str()) {
        (Some(b), _) => LoadTo::Bin(b),
        (None, "mill") => LoadTo::Mill,
        (None, "seed") => LoadTo::Seed,
        (None, _) => LoadTo::Buyer(name.into()),
    }
}

fn bin(farm: &Farm, wanted: &str) -> Option<stook_book::BinId> {
    let named =
        |b: &&stook_book::BinRecord| b.bin().id.as_str() == wanted || b.bin().name.to_lowercase() == wanted;
    farm.bins.values().find(named).map(|b| b.bin().id.clone())
}
