//! `stook barn`, `stook ration`, `stook mill-or-trough` and `stook trace`.

use std::process::ExitCode;

use anyhow::bail;
use jiff::civil::Date;
use stook_barn::rations::{self, Asked};
use stook_barn::trace::{self, From};
use stook_barn::{Facts, feed_bins, goats, herd, plan};
use stook_book::Farm;
use stook_measure::figure;

use super::book_file::BookFile;
use crate::output;

/// What every command of the barn takes.
#[derive(Debug, clap::Args)]
struct Common {
    #[command(flatten)]
    book: BookFile,
    /// The day to answer for, such as 2026-01-15; the farm's own day when not given
    #[arg(long, value_name = "DAY")]
    as_of: Option<Date>,
    /// Write JSON
    #[arg(long)]
    json: bool,
}

impl Common {
    fn with<T>(&self, work: impl FnOnce(&Facts<'_>) -> anyhow::Result<T>) -> anyhow::Result<T> {
        let entries = self.book.open()?.entries()?;
        let farm = Farm::fold(&entries);
        let on = self.as_of.unwrap_or_else(|| farm.local(jiff::Timestamp::now()).date());
        let farm = Farm::fold(entries.iter().filter(|e| e.on() <= on));
        work(&Facts::new(&farm, on))
    }

    /// Days of life each bin's grain has left as it lies; empty where nothing can be reckoned.
    fn lives(&self, f: &Facts<'_>) -> std::collections::BTreeMap<stook_book::BinId, plan::Life> {
        let found = || -> anyhow::Result<_> {
            let store = self.book.open()?;
            let weather = stook_season::WeatherFacts::load(&store, f.on)?;
            let air = stook_keep::AirFacts::load(&store, f.on)?;
            let q = stook_season::Question {
                farm: f.farm,
                weather: &weather,
                before: None,
                as_of: f.on,
                members: 1,
                seed: 1,
            };
            let lives = stook_keep::lives(&q, &air)?;
            Ok(lives.into_iter().map(|(b, (days, at_least))| (b, plan::Life { days, at_least })).collect())
        };
        found().unwrap_or_default()
    }
}

/// Feed on hand, what to mill next, the groups.
#[derive(Debug, clap::Args)]
pub struct Barn {
    #[command(flatten)]
    common: Common,
}

/// The least-cost ration of a phase, what its limits cost and what would change it.
#[derive(Debug, clap::Args)]
pub struct RationCommand {
    /// Phase, such as grower_1, gestation or lactation
    phase: String,
    /// Standard deviations of lysine kept in hand: 0.842 for four batches in five, 1.645 for 19 in 20
    #[arg(long, default_value_t = 0.0)]
    safety: f64,
    #[command(flatten)]
    common: Common,
}

/// Mill or trough: which bin to feed, which to sell, when, and what would change it.
#[derive(Debug, clap::Args)]
pub struct Where {
    /// Chance of running short of own grain before new crop that you accept, %; your own number when not given
    #[arg(long, value_name = "PERCENT", value_parser = chance)]
    short_chance: Option<f64>,
    #[command(flatten)]
    common: Common,
}

fn chance(text: &str) -> Result<f64, String> {
    text.parse().ok().filter(|x| (0.5..=50.0).contains(x)).ok_or_else(|| {
        format!("{text} is no chance to accept; give 0.5 to 50, such as 5 for one year in twenty")
    })
}

/// From a bag of feed back to the field and forward to the pen, from any end.
#[derive(Debug, clap::Args)]
#[group(id = "end", required = true, multiple = false)]
pub struct Trace {
    /// Batch number on the bag
    #[arg(long, group = "end")]
    batch: Option<String>,
    /// Group off its feed
    #[arg(long, group = "end")]
    group: Option<String>,
    /// Bin of grain
    #[arg(long, group = "end")]
    bin: Option<String>,
    /// Field
    #[arg(long, group = "end")]
    field: Option<String>,
    /// Lot number of a bought ingredient
    #[arg(long, group = "end")]
    lot: Option<String>,
    #[command(flatten)]
    common: Common,
}

/// Does it.
pub fn barn(a: &Barn) -> anyhow::Result<ExitCode> {
    a.common.with(|f| {
        let (bins, mill, groups, goats) =
            (feed_bins::today(f), feed_bins::to_mill(f, 5.0), herd::today(f), goats::today(f));
        if a.common.json {
            output::json(&serde_json::json!({
                "on": f.on, "feed_bins": bins, "to_mill": mill, "groups": groups, "goats": goats,
                "weeks": stook_barn::demand::weeks(f, 8), "straw": stook_barn::straw::answer(f),
                "scales": stook_barn::mill_checks::scales(f), "grinds": stook_barn::mill_checks::grinds(f),
            }))?;
            return Ok(ExitCode::SUCCESS);
        }
        output::line(output::strong("To mill"))?;
        if mill.is_empty() {
            output::line("Nothing within 5 days.")?;
        }
        for m in &mill {
            let flush = if m.flush { "flush first, " } else { "" };
            output::line(format!(
                "  {}{} of {} for {}, empty {}",
                flush,
                m.batches,
                m.phase.words(),
                m.name,
                m.empty_at.strftime("%a %-d %b %H:00")
            ))?;
        }
        output::line("")?;
        let rows = bins
            .iter()
            .map(|b| {
                vec![
                    b.name.clone(),
                    b.kg.map_or("not seen".into(), |k| figure(k, 0)),
                    figure(b.eaten_kg_d, 0),
                    b.days_left.map_or(String::new(), |d| figure(d, 1)),
                ]
            })
            .collect();
        output::table(&["feed bin", "kg", "kg a day", "days left"], rows)?;
        output::line("")?;
        let rows = groups
            .iter()
            .map(|g| {
                vec![
                    g.name.clone(),
                    g.kind.into(),
                    g.head.to_string(),
                    g.kg.map_or(String::new(), |k| figure(k, 0)),
                    g.days_to_sale.map_or(String::new(), |d| figure(d, 0)),
                ]
            })
            .collect();
        output::table(&["group", "", "head", "kg", "days to sale"], rows)?;
        for s in stook_barn::mill_checks::scales(f) {
            output::folded(&format!("Scale, {}: {}", s.name, s.words), 2)?;
        }
        for g in stook_barn::mill_checks::grinds(f) {
            output::folded(&format!("Ground {}: {}", g.of, g.words), 2)?;
        }
        if let Some(s) = stook_barn::straw::answer(f) {
            output::folded(&s.words, 2)?;
        }
        for (g, y) in goats.iter().filter_map(|g| Some((g, g.year.as_ref()?))) {
            output::folded(&format!("{}: {}", g.name, y.words), 2)?;
        }
        Ok(ExitCode::SUCCESS)
    })
}

/// Does it.
pub fn ration(a: &RationCommand) -> anyhow::Result<ExitCode> {
    let phase = stook_barn::phase(&a.phase)?;
    a.common.with(|f| {
        let r = rations::answer(f, phase, Asked { safety_z: a.safety, ..Asked::default() })?;
        if a.common.json {
            output::json(&r)?;
            return Ok(ExitCode::SUCCESS);
        }
        output::line(output::strong(r.words))?;
        match &r.ration {
            None => {
                output::line("No ration meets all limits.")?;
                for s in &r.conflict {
                    output::folded(s, 2)?;
                }
            }
            Some(x) => {
                let rows = x
                    .parts
                    .iter()
                    .map(|p| {
                        vec![
                            p.name.clone(),
                            figure(100.0 * p.share, 3),
                            figure(p.price_t, 0),
                            figure(p.share * p.price_t, 2),
                        ]
                    })
                    .collect();
                output::table(&["", "%", "a tonne", "in it"], rows)?;
                output::line(format!("A tonne costs {}.", figure(x.cost_t, 2)))?;
                for s in r.prices.iter().chain(&r.would_change) {
                    output::folded(&format!("  {s}"), 4)?;
                }
            }
        }
        if !r.assumed.is_empty() {
            output::folded(
                &format!("Our price, since none of yours is written down: {}.", r.assumed.join(", ")),
                2,
            )?;
        }
        for n in &r.notes {
            output::folded(n, 2)?;
        }
        Ok(if r.ration.is_some() { ExitCode::SUCCESS } else { ExitCode::from(1) })
    })
}

/// Does it.
pub fn whole(a: &Where) -> anyhow::Result<ExitCode> {
    a.common.with(|f| {
        let life = std::borrow::Cow::Owned(a.common.lives(f));
        let w = plan::answer_to(f, &plan::Asked { short_pct: a.short_chance, life })?;
        if a.common.json {
            output::json(&w)?;
            return Ok(ExitCode::SUCCESS);
        }
        for s in w.headline.iter().chain(&w.conflict) {
            output::folded(s, 2)?;
        }
        output::line("")?;
        let rows = w
            .lots
            .iter()
            .map(|l| {
                vec![
                    l.lot.name.clone(),
                    figure(l.lot.tonnes, 0),
                    figure(l.fed_t, 0),
                    figure(l.sold_t, 0),
                    figure(l.left_t, 0),
                    l.trough_t.map_or("no room".into(), |x| figure(x, 0)),
                    l.mill_t.map_or("nobody bids".into(), |x| figure(x, 0)),
                ]
            })
            .collect();
        output::table(&["bin", "t", "feed", "sell", "left", "trough", "mill"], rows)?;
        for h in &w.hold {
            output::folded(
                &format!(
                    "Hold {} bu of {} to {}: enough {}; {} bu free.",
                    figure(h.bushels(h.hold_t), 0),
                    h.crop.replace('_', " "),
                    h.until,
                    stook_barn::hold::enough_words(h.short_pct),
                    figure(h.bushels(h.free_t), 0)
                ),
                2,
            )?;
        }
        for x in &w.finish {
            let used =
                x.last_used.map_or("not touched".into(), |m| format!("used to {}", m.strftime("%b %Y")));
            let least = if x.at_least { "at least " } else { "" };
            output::line(format!(
                "  {} keeps {least}{} days as it lies: {used}",
                x.name,
                figure(x.days.min(999.0), 0)
            ))?;
        }
        for b in &w.blends {
            if let Some(x) = b.comes_to {
                output::folded(
                    &format!("Blended, by the contract: {}, {} comes to {}.", b.buyer, b.what, figure(x, 2)),
                    2,
                )?;
            }
        }
        if let Some(r) = w.worth_range {
            output::line(format!(
                "Worth {} at these prices; {} to {} at low and high ones.",
                figure(r.p50, 0),
                figure(r.p10, 0),
                figure(r.p90, 0)
            ))?;
        }
        output::line("\nWhat would change it")?;
        for c in &w.what_if {
            let then = if c.moves.is_empty() { "the plan stands".into() } else { c.moves.join("; ") };
            output::folded(&format!("  {}: {}; {then}.", c.what, figure(c.money, 0)), 4)?;
        }
        for n in &w.notes {
            output::folded(n, 2)?;
        }
        Ok(if w.worth.is_some() { ExitCode::SUCCESS } else { ExitCode::from(1) })
    })
}

/// Does it.
pub fn trace(a: &Trace) -> anyhow::Result<ExitCode> {
    let from = if let Some(x) = &a.batch {
        From::Batch(x.clone())
    } else if let Some(x) = &a.group {
        From::Group(x.as_str().into())
    } else if let Some(x) = &a.bin {
        From::Bin(x.as_str().into())
    } else if let Some(x) = &a.field {
        From::Field(x.as_str().into())
    } else if let Some(x) = &a.lot {
        From::Lot(x.clone())
    } else {
        bail!("say what to trace: --batch, --group, --bin, --field or --lot");
    };
    a.common.with(|f| {
        let t = trace::trace(f, &from)?;
        if a.common.json {
            output::json(&t)?;
            return Ok(ExitCode::SUCCESS);
        }
        output::line(output::strong(&t.about))?;
        for w in &t.words {
            output::folded(w, 2)?;
        }
        for x in &t.fields {
            output::line(format!(
                "  from {} {}, {} % of the grain",
                x.name,
                x.year,
                figure(100.0 * x.share, 0)
            ))?;
        }
        for (_, name, head) in &t.groups {
            output::line(format!("  to {name}, {head} head"))?;
        }
        let rows = t
            .batches
            .iter()
            .map(|b| {
                vec![
                    b.number.clone(),
                    b.on.to_string(),
                    figure(b.kg, 0),
                    b.grain.iter().map(|g| g.name.clone()).collect::<Vec<_>>().join(", "),
                    b.ate.iter().map(|x| x.name.clone()).collect::<Vec<_>>().join(", "),
                ]
            })
            .collect();
        output::table(&["batch", "day", "kg", "grain from", "eaten by"], rows)?;
        Ok(ExitCode::SUCCESS)
    })
}
