//! `stook air`: what the fans do tonight, bin by bin.

use std::process::ExitCode;

use anyhow::bail;
use stook_book::BinId;
use stook_keep::{AirFacts, BinAir, Keeping, Silent};

use super::calc;
use super::season::Asked;
use crate::output;

/// What each bin's fan should do tonight, and what waiting a day costs.
#[derive(Debug, clap::Args)]
pub struct Air {
    /// One bin, by its key or name; all of them when left out
    bin: Option<String>,
    /// Show the working of every figure
    #[arg(long, short)]
    working: bool,
    #[command(flatten)]
    asked: Asked,
}

/// All bins in JSON.
#[derive(serde::Serialize)]
struct All<'a> {
    bins: &'a [BinAir],
    silent: &'a [Silent],
    weather: &'a str,
}

/// Does it.
pub fn run(a: &Air) -> anyhow::Result<ExitCode> {
    let (bins, silent, weather) = a.asked.ask_with_store(|q, _, store| {
        let one = match &a.bin {
            None => None,
            Some(word) => {
                let found = q
                    .farm
                    .bins
                    .values()
                    .map(|b| b.bin())
                    .find(|b| b.id.as_str() == word || b.name.eq_ignore_ascii_case(word));
                let Some(b) = found else {
                    let names: Vec<&str> = q.farm.bins.keys().map(BinId::as_str).collect();
                    bail!("there is no bin \"{word}\"; the bins are {}", names.join(", "));
                };
                Some(b.id.clone())
            }
        };
        let air = AirFacts::load(store, q.as_of)?;
        let mut k = Keeping::new(q, &air, one.as_ref())?;
        k.works.iter_mut().for_each(stook_keep::Work::finish);
        let bins: Vec<BinAir> = k.works.iter().map(stook_keep::Work::answer).collect();
        Ok((bins, k.silent, k.weather))
    })?;
    if a.asked.json {
        match (&a.bin, bins.first()) {
            (Some(_), Some(b)) => output::json(b)?,
            _ => output::json(&All { bins: &bins, silent: &silent, weather: &weather })?,
        }
        return Ok(ExitCode::SUCCESS);
    }
    for b in &bins {
        print(b, a.bin.is_some(), a.working)?;
    }
    for s in &silent {
        output::folded(&format!("{}: {}", s.name, s.why), 2)?;
    }
    if bins.is_empty() && silent.is_empty() {
        output::line("No grain in it by the book.")?;
    }
    output::line("")?;
    output::folded(&format!("Weather: {weather}"), 2)?;
    output::folded("Check bins from outside; never go in.", 2)?;
    Ok(ExitCode::SUCCESS)
}

/// Prints one bin: the whole of it, or the first lines.
pub fn print(b: &BinAir, whole: bool, working: bool) -> anyhow::Result<()> {
    output::line(output::strong(&b.what))?;
    for x in &b.alarms {
        output::folded(&format!("  {} {}", x.sign, x.act), 2)?;
    }
    for w in b.why.iter().take(if whole { usize::MAX } else { 1 }) {
        output::folded(&format!("  {w}"), 2)?;
    }
    if let Some(w) = &b.waiting {
        output::folded(&format!("  Waiting a day {}.", w.words), 2)?;
        if working {
            calc::working(&w.working)?;
        }
    }
    if !whole {
        return Ok(());
    }
    for n in &b.next {
        output::folded(&format!("  {n}"), 2)?;
    }
    output::folded(&format!("  {}", b.change), 2)?;
    output::folded(&format!("  Fan: {}", b.fan.words), 2)?;
    for o in &b.fan.objections {
        output::folded(&format!("  Look at: {o}."), 2)?;
    }
    let rows = b
        .plans
        .iter()
        .map(|p| {
            vec![
                format!("{}{}", if p.chosen { "* " } else { "" }, p.words),
                stook_measure::money(p.mean),
                stook_measure::figure(p.fan_h.p50, 0),
                stook_measure::figure(100.0 * p.in_time, 0),
                stook_measure::figure(p.top_pct.p50, 1),
                stook_measure::figure(p.warmest_c.p50, 0),
            ]
        })
        .collect();
    output::line("")?;
    output::table(&["way", "costs", "fan h", "dry in time %", "top after %", "warmest C"], rows)?;
    for x in b
        .faults
        .iter()
        .map(|f| format!("  Look at: {f}"))
        .chain(b.assumed.iter().map(|f| format!("  Taken as: {f}")))
    {
        output::folded(&x, 2)?;
    }
    output::folded(&format!("  {}", b.readings.words), 2)?;
    if working {
        for w in &b.workings {
            output::line(format!("\n  {}", w.title))?;
            calc::working(w)?;
        }
    }
    Ok(())
}
