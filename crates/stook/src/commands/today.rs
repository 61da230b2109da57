//! `stook today`: what is worth doing, and what a day's wait costs.

use std::process::ExitCode;

use stook_keep::{AirFacts, BinAir, Keeping};
use stook_season::answer::{Decision, Today as Answer};

use super::calc;
use super::season::Asked;
use crate::output;

/// What is worth doing today, and what does waiting a day cost.
#[derive(Debug, clap::Args)]
pub struct Today {
    /// Show the working of every figure
    #[arg(long, short)]
    working: bool,
    #[command(flatten)]
    asked: Asked,
}

/// The day's answer with the bins that press.
#[derive(serde::Serialize)]
struct WithBins<'a> {
    #[serde(flatten)]
    today: &'a Answer,
    bins: &'a [BinAir],
}

/// Weathers the bins are run through for the day's list.
const BIN_WEATHERS: usize = 60;

/// Bins that ask for something, dearest to leave first.
fn pressing(q: &stook_season::Question<'_>, store: &stook_book::Store) -> anyhow::Result<Vec<BinAir>> {
    if q.farm.loads.is_empty() {
        return Ok(Vec::new());
    }
    let q = stook_season::Question { members: q.members.min(BIN_WEATHERS), ..*q };
    let mut k = Keeping::new(&q, &AirFacts::load(store, q.as_of)?, None)?;
    k.works.iter_mut().for_each(stook_keep::Work::finish);
    let mut bins: Vec<BinAir> =
        k.works.iter().map(stook_keep::Work::answer).filter(BinAir::presses).collect();
    let money = |b: &BinAir| b.waiting.as_ref().map_or(0.0, |w| w.money.mean);
    bins.sort_by(|a, b| money(b).total_cmp(&money(a)));
    Ok(bins)
}

/// Does it.
pub fn run(a: &Today) -> anyhow::Result<ExitCode> {
    let (today, bins) =
        a.asked.ask_with_store(|q, _, store| Ok((stook_season::today(q)?, pressing(q, store)?)))?;
    if a.asked.json {
        output::json(&WithBins { today: &today, bins: &bins })?;
    } else {
        print(&today, a.working)?;
        if !bins.is_empty() {
            output::line("\nBins")?;
        }
        for b in &bins {
            super::air::print(b, false, a.working)?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Prints the day's answer.
pub fn print(t: &Answer, working: bool) -> anyhow::Result<()> {
    output::line(format!("{}, {}", t.farm, t.as_of.strftime("%A %-d %B %Y")))?;
    output::line(output::strong(&t.headline))?;
    for (i, d) in t.open.iter().enumerate() {
        output::line("")?;
        decision(i + 1, d, working)?;
    }
    if let Some(o) = &t.order {
        output::line("")?;
        let names: Vec<&str> = o.stops.iter().map(|s| s.name.as_str()).collect();
        output::folded(&format!("Order for the {}: {}. {}", o.machine, names.join(", "), o.words), 2)?;
    }
    if !t.looks.is_empty() {
        output::line("\nLook at")?;
        for l in &t.looks {
            output::folded(&format!("  {} {}", l.what, l.why), 4)?;
        }
    }
    if !t.coming.is_empty() {
        output::line("\nComing")?;
        for c in &t.coming {
            output::folded(&format!("  {}", c.words), 4)?;
        }
    }
    output::line("")?;
    output::folded(&format!("Weather: {}", t.weather.words), 2)?;
    for a in &t.assumed {
        output::folded(&format!("Taken as: {a}"), 2)?;
    }
    for w in &t.warnings {
        output::folded(&format!("Look at: {w}"), 2)?;
    }
    Ok(())
}

fn decision(n: usize, d: &Decision, working: bool) -> anyhow::Result<()> {
    output::line(format!("{n}. {}", d.place))?;
    output::folded(&format!("   {}", output::strong(&d.what)), 3)?;
    output::folded(&format!("   {}", d.why), 3)?;
    if let Some(w) = &d.waiting {
        output::folded(
            &format!("   Waiting a day {}; {:.0} an hour of the {}.", w.words, w.per_hour, d.job.machine()),
            3,
        )?;
    }
    if let Some(m) = &d.moved {
        output::folded(&format!("   Since yesterday: {m}"), 3)?;
    }
    output::folded(&format!("   {}", d.change), 3)?;
    if let Some(c) = &d.caution {
        output::folded(&format!("   Caution: {c}"), 3)?;
    }
    if let Some(a) = &d.answered {
        output::folded(&format!("   You said: {a}"), 3)?;
    }
    if working && let Some(w) = &d.waiting {
        calc::working(&w.working)?;
    }
    Ok(())
}
