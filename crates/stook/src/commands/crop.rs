//! `stook crop`: the growing crop of a field, closer than `stook field`.

use std::process::ExitCode;

use anyhow::bail;
use stook_season::growing::growing;
use stook_season::late::late;
use stook_season::words;

use super::season::Asked;
use crate::output;

/// The growing crop of a field: stage and its range, water against need, three yields, what to look at, ripeness
#[derive(Debug, clap::Args)]
pub struct Crop {
    /// Name or key of the field
    name: String,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Crop) -> anyhow::Result<ExitCode> {
    let (all, ways, u) = a.asked.ask(|q| Ok((growing(q)?, late(q)?, q.farm.units())))?;
    let wanted = a.name.to_lowercase();
    let Some(g) = all.iter().find(|g| g.field == wanted || g.name.to_lowercase() == wanted) else {
        let names: Vec<&str> = all.iter().map(|g| g.name.as_str()).collect();
        bail!("no wheat field is called \"{}\"; there are: {}", a.name, names.join(", "));
    };
    let late = ways.iter().find(|l| l.field == g.field);
    if a.asked.json {
        output::json(&serde_json::json!({ "growing": g, "late": late }))?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&g.name))?;
    for l in &g.looks {
        output::folded(&format!("{} {} {}", l.what, l.why, l.at), 2)?;
    }
    if let Some(s) = &g.stage {
        output::folded(&format!("Stage: {}. {}", s.words, s.range), 2)?;
        for n in &s.next {
            let day = words::day;
            output::line(format!(
                "  {}: {} ({} to {})",
                n.stage,
                day(n.when.middle),
                day(n.when.early),
                day(n.when.late)
            ))?;
        }
    }
    if let Some(c) = &g.correction {
        output::folded(&c.words, 2)?;
    }
    for line in &g.changed {
        output::folded(&format!("Since last week: {line}"), 2)?;
    }
    let w = &g.water;
    let water = |mm: f64| words::water(&u, mm);
    output::folded(
        &format!(
            "Root zone: {} of {}. Next seven days: need {} to {}, rain {} to {}.",
            water(w.have_mm),
            water(w.hold_mm),
            water(w.need_7d_mm.p10),
            water(w.need_7d_mm.p90),
            water(w.rain_7d_mm.p10),
            water(w.rain_7d_mm.p90)
        ),
        2,
    )?;
    for s in &g.stress {
        output::line(format!("  {}: {}", s.label, s.figure))?;
    }
    if let Some(y) = &g.yields {
        let r = |x| words::wheat_yield_range(&u, x);
        output::line(format!("Yield by the line {}; by deficit {}", r(y.by_line), r(y.by_deficit)))?;
        if let Some(c) = y.corrected {
            output::line(format!("  corrected by what was made: {}", r(c)))?;
        }
        if let Some(x) = y.by_count {
            let by_count = stook_measure::figure(words::wheat_yield(&u, x), words::yield_decimals(&u));
            output::line(format!("  by heads and kernels: {by_count} {}", u.grain_yield.words()))?;
        }
    }
    for l in g.leaf.iter().filter(|l| l.last_10_days > 0 || l.next_7_days.p90 > 0.0) {
        let next = &l.next_7_days;
        output::line(format!(
            "  {}: {} of the last ten days fit to infect, {:.0} to {:.0} of the next seven",
            l.disease, l.last_10_days, next.p10, next.p90
        ))?;
    }
    if !g.leaf.is_empty() {
        output::folded(&g.leaf_basis, 2)?;
    }
    if let Some(r) = &g.ripe {
        output::folded(&r.preharvest_words, 2)?;
        output::folded(&r.waiting, 2)?;
        for h in r.hours.iter().filter(|h| h.chance >= 0.02) {
            output::line(format!(
                "  {}: {:.0}:00 to {:.0}:00 at {:.0} % or less, in {:.0} % of the weathers",
                words::day(h.date),
                h.from_h,
                h.to_h,
                r.below_pct,
                100.0 * h.chance
            ))?;
        }
    }
    if let Some(l) = late {
        output::folded(&format!("{} {}", l.what, l.why), 2)?;
        for w in &l.ways {
            let mean = words::cash_an_area(&u, w.mean);
            output::line(format!("  {}: {mean}, not ripe in {:.0} %", w.words, 100.0 * w.fails_in))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
