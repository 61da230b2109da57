//! `stook crop`: the growing crop of a field, closer than `stook field`.

use std::process::ExitCode;

use anyhow::bail;
use stook_season::growing::growing;
use stook_season::late::late;

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
    let (all, ways) = a.asked.ask(|q| Ok((growing(q)?, late(q)?)))?;
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
            output::line(format!("  {}: {} ({} to {})", n.stage, n.when.middle, n.when.early, n.when.late))?;
        }
    }
    if let Some(c) = &g.correction {
        output::folded(&c.words, 2)?;
    }
    for line in &g.changed {
        output::folded(&format!("Since last week: {line}"), 2)?;
    }
    let w = &g.water;
    output::folded(
        &format!(
            "Root zone to {:.1} m: {:.0} of {:.0} mm. Next seven days: need {:.0} to {:.0} mm, rain {:.0} to {:.0} mm.",
            w.root_m,
            w.have_mm,
            w.hold_mm,
            w.need_7d_mm.p10,
            w.need_7d_mm.p90,
            w.rain_7d_mm.p10,
            w.rain_7d_mm.p90
        ),
        2,
    )?;
    for s in &g.stress {
        output::line(format!("  {}: {}", s.label, s.figure))?;
    }
    if let Some(y) = &g.yields {
        let r = |x: stook_measure::Range| format!("{:.0} - {:.0} - {:.0}", x.p10, x.p50, x.p90);
        output::line(format!("Yield, kg/ha: by the line {}; by deficit {}", r(y.by_line), r(y.by_deficit)))?;
        if let Some(c) = y.corrected {
            output::line(format!("  corrected by what was made: {}", r(c)))?;
        }
        if let Some(x) = y.by_count {
            output::line(format!("  by heads and kernels: {x:.0}"))?;
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
                h.date,
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
            output::line(format!(
                "  {}: {:.0} a ha, not ripe in {:.0} %",
                w.words,
                w.mean,
                100.0 * w.fails_in
            ))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
