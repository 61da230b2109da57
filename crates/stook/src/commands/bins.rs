//! `stook bins` and `stook bin`: what is in the bins and where it came from.

use std::process::ExitCode;

use anyhow::bail;
use jiff::civil::Date;
use serde_json::{Value as Json, json};
use stook_book::payload::LoadFrom;
use stook_book::{Farm, FieldId};
use stook_grain::lot::Lot;
use stook_measure::{Reference, figure};
use stook_yard::{BinState, Happened, Source, Yard};

use super::book_file::BookFile;
use crate::output;

/// What is in every bin: grain, tonnes, bushels, room, moisture, protein.
#[derive(Debug, clap::Args)]
pub struct Bins {
    /// As it stood at the end of this day, such as 2026-06-25
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

/// One bin: what went in and from where, what the next truckload out would be.
#[derive(Debug, clap::Args)]
pub struct Bin {
    /// Name or key of the bin
    name: String,
    /// As it stood at the end of this day
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// Kilograms of the next truckload
    #[arg(long, default_value_t = 16_000.0)]
    load_kg: f64,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

fn yard(book: &BookFile, as_of: Option<Date>) -> anyhow::Result<(Farm, Yard)> {
    let (_, _, farm) = book.farm()?;
    let (reference, _) = farm.reference(&Reference::shipped());
    let until = as_of.map(|d| d.at(23, 59, 59, 0));
    let yard = Yard::fold_until(&farm, &reference, until);
    Ok((farm, yard))
}

fn maybe(x: Option<f64>, decimals: u8) -> String {
    x.map_or_else(|| "-".into(), |v| figure(v, decimals))
}

/// Every bin.
pub fn all(a: &Bins) -> anyhow::Result<ExitCode> {
    let (farm, yard) = yard(&a.book, a.as_of)?;
    if a.json {
        let bins: Vec<Json> = yard.in_order().into_iter().map(|b| state(&farm, b)).collect();
        output::json(&json!({
            "bins": bins,
            "notices": yard.notices,
            "account": {
                "in_kg": yard.ledger.in_kg(),
                "out_kg": yard.ledger.out_kg(),
                "gap_kg": yard.ledger.gap_kg(),
                "missing_kg": yard.ledger.missing.mass_kg(),
                "not_written_kg": yard.ledger.not_written.mass_kg(),
                "drier_water_kg": yard.ledger.drier_water_kg,
            },
        }))?;
        return Ok(ExitCode::SUCCESS);
    }
    if yard.bins.is_empty() {
        output::line(
            "There are no bins in the book; add one with `stook add bin` or on the desk in Set-up.",
        )?;
        return Ok(ExitCode::SUCCESS);
    }
    let rows = yard
        .in_order()
        .into_iter()
        .map(|b| {
            let lot = b.lot();
            let crop = if b.is_empty() { "empty".into() } else { crop_words(b) };
            vec![
                b.bin.name.clone(),
                crop,
                figure(b.mass_kg() / 1000.0, 1),
                figure(b.bushels(), 0),
                figure(100.0 * b.share_full(), 0),
                figure(b.room_kg(None) / 1000.0, 1),
                maybe(lot.moisture_pct(), 1),
                maybe(lot.protein_pct(13.5), 1),
                maybe(lot.test_weight_kg_hl(), 1),
                maybe(lot.don_ppm(), 1),
                b.bin.job.key().into(),
            ]
        })
        .collect();
    output::table(
        &["bin", "grain", "t", "bu", "% full", "room t", "moist %", "prot %", "kg/hL", "DON", "for"],
        rows,
    )?;
    for n in &yard.notices {
        output::line("")?;
        output::folded(&n.sentence, 0)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn crop_words(b: &BinState) -> String {
    b.crop.as_ref().map_or_else(|| "grain".into(), |c| c.words().into())
}

fn source_words(farm: &Farm, s: &Source) -> String {
    match s {
        Source::Field { field, year } => format!("{} {year}", field_name(farm, field)),
        Source::Bought { from, on } => format!("bought from {from} on {on}"),
        Source::NotWritten => "no load written".into(),
    }
}

fn field_name(farm: &Farm, id: &FieldId) -> String {
    farm.fields.get(id).map_or_else(|| id.to_string(), |r| r.field().name.clone())
}

fn lot_json(farm: &Farm, lot: &Lot) -> Json {
    let from: Vec<Json> = stook_yard::source::sources(lot)
        .into_iter()
        .map(|(s, kg)| json!({"source": s, "words": source_words(farm, &s), "kg": kg}))
        .collect();
    json!({
        "kg": lot.mass_kg(),
        "moisture_wb_pct": lot.moisture_pct(),
        "protein_pct": lot.protein_pct(13.5),
        "protein_basis_pct": 13.5,
        "test_weight_kg_hl": lot.test_weight_kg_hl(),
        "don_ppm": lot.don_ppm(),
        "falling_number_s": lot.falling_number_s(),
        "dockage_pct": lot.dockage_pct(),
        "from": from,
    })
}

fn state(farm: &Farm, b: &BinState) -> Json {
    json!({
        "bin": b.bin.id,
        "name": b.bin.name,
        "job": b.bin.job,
        "crop": if b.is_empty() { None } else { b.crop.clone() },
        "kg": b.mass_kg(),
        "sd_kg": b.sd_kg,
        "bushels": b.bushels(),
        "volume_m3": b.volume_m3(),
        "capacity_m3": b.capacity_m3,
        "room_m3": b.room_m3(),
        "room_kg": b.room_kg(None),
        "depth_m": b.depth_m(),
        "lot": lot_json(farm, &b.lot()),
    })
}

/// One bin.
pub fn one(a: &Bin) -> anyhow::Result<ExitCode> {
    let (farm, yard) = yard(&a.book, a.as_of)?;
    let wanted = a.name.to_lowercase();
    let Some(b) =
        yard.bins.values().find(|b| b.bin.id.as_str() == wanted || b.bin.name.to_lowercase() == wanted)
    else {
        let names: Vec<&str> = yard.bins.values().map(|b| b.bin.name.as_str()).collect();
        bail!("no bin is called \"{}\"; there are: {}", a.name, names.join(", "));
    };
    let (next, _) = b.next_out(a.load_kg);
    if a.json {
        let mut out = state(&farm, b);
        out["next_load_out"] = lot_json(&farm, &next);
        out["layers"] = b
            .layers()
            .iter()
            .map(|l| json!({"since": l.since, "entry": l.entry, "temperature_c": l.temperature_c, "lot": lot_json(&farm, &l.lot)}))
            .collect();
        output::json(&out)?;
        return Ok(ExitCode::SUCCESS);
    }
    let crop = if b.is_empty() { "empty".to_string() } else { format!("holds {}", crop_words(b)) };
    output::line(output::strong(&format!("{} {crop}", b.bin.name)))?;
    output::line(format!(
        "{} t (give or take {}), {} bu, {} % full, room for {} t",
        figure(b.mass_kg() / 1000.0, 1),
        figure(b.sd_kg / 1000.0, 1),
        figure(b.bushels(), 0),
        figure(100.0 * b.share_full(), 0),
        figure(b.room_kg(None) / 1000.0, 1)
    ))?;
    for (s, kg) in b.sources() {
        output::line(format!("  from {}: {} t", source_words(&farm, &s), figure(kg / 1000.0, 1)))?;
    }
    if !b.is_empty() {
        output::line(format!("The next {} t out would likely be:", figure(a.load_kg / 1000.0, 1)))?;
        for (s, kg) in stook_yard::source::sources(&next) {
            output::line(format!("  {}: {} t", source_words(&farm, &s), figure(kg / 1000.0, 1)))?;
        }
        output::line(format!(
            "  moisture {} %, protein {} % at 13.5 %",
            maybe(next.moisture_pct(), 1),
            maybe(next.protein_pct(13.5), 1)
        ))?;
    }
    output::line("")?;
    let rows = b
        .history
        .iter()
        .rev()
        .take(30)
        .map(|e| {
            let (what, kg) = match &e.what {
                Happened::In { from, lot, .. } => (
                    match from {
                        LoadFrom::Field(f) => format!("in from {}", field_name(&farm, f)),
                        LoadFrom::Fields(_) => "in from several fields".into(),
                        LoadFrom::Bin(o) => format!("in from {o}"),
                        LoadFrom::Bought(w) => format!("bought from {w}"),
                    },
                    lot.mass_kg(),
                ),
                Happened::Out { lot, .. } => ("out".into(), -lot.mass_kg()),
                Happened::Sample { .. } => ("sampled".into(), 0.0),
                Happened::Measured { taken, book, .. } => ("measured".into(), taken.kg - book.kg),
                Happened::Emptied { missing_kg } => ("empty".into(), -missing_kg),
            };
            vec![e.at.date().to_string(), what, figure(kg / 1000.0, 2), figure(e.after_kg / 1000.0, 1)]
        })
        .collect();
    output::table(&["day", "what", "t", "then held t"], rows)?;
    for n in yard.notices.iter().filter(|n| n.bin == b.bin.id) {
        output::line("")?;
        output::folded(&n.sentence, 0)?;
    }
    Ok(ExitCode::SUCCESS)
}
