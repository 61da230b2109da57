//! `stook rain`: rain is coming and the drill is in a field: finish, or quit when?

use std::process::ExitCode;

use anyhow::{Context, bail};
use stook_book::payload::AreaUnit;
use stook_measure::units;
use stook_season::late::{RainAsked, before_rain};
use stook_season::words;

use super::calc;
use super::season::Asked;
use crate::output;

/// Rain is coming while seeding: area left against the chance of rain by the hour, and when to quit
#[derive(Debug, clap::Args)]
pub struct Rain {
    /// Name or key of a field still being seeded
    field: String,
    /// Left to seed, in the farm's unit of area; by the book when left out
    #[arg(long)]
    left: Option<f64>,
    /// Time now, such as 16:30
    #[arg(long)]
    now: String,
    /// When the radar has rain here, such as 22:00; else by the forecast on file
    #[arg(long)]
    rain_at: Option<String>,
    #[command(flatten)]
    asked: Asked,
}

fn clock(text: &str) -> anyhow::Result<f64> {
    let (h, m) = text.split_once(':').unwrap_or((text, "0"));
    match (h.parse::<f64>(), m.parse::<f64>()) {
        (Ok(h), Ok(m)) if (0.0..=24.0).contains(&h) && (0.0..60.0).contains(&m) => Ok(h + m / 60.0),
        _ => bail!("\"{text}\" is no time of day; write it as 21:30"),
    }
}

/// Does it.
pub fn run(a: &Rain) -> anyhow::Result<ExitCode> {
    let now_h = clock(&a.now)?;
    // An hour earlier than now is of the night to come.
    let rain_at_h = a.rain_at.as_deref().map(clock).transpose()?;
    let rain_at_h = rain_at_h.map(|h| if h < now_h { h + 24.0 } else { h });
    let (answer, units) = a.asked.ask(|q| {
        let wanted = a.field.to_lowercase();
        let found = q
            .farm
            .fields
            .values()
            .find(|r| r.field().id.as_str() == wanted || r.field().name.to_lowercase() == wanted);
        let record = found.with_context(|| format!("no field is called \"{}\"", a.field))?;
        let u = q.farm.units();
        let whole = record.field().area_ha;
        let left_ha = match a.left {
            Some(x) if u.area == AreaUnit::Acres => units::acre_to_ha(x),
            Some(x) => x,
            None => whole - record.seeded_in(q.as_of.year()).filter_map(|s| s.is.area_ha).sum::<f64>(),
        };
        if !(0.0..=1.1 * whole).contains(&left_ha) {
            bail!("the field is {}; give what is left of it", words::area(&u, whole));
        }
        let asked = RainAsked { now_h, left_ha, rain_at_h, chance: None, close_h: 0.5 };
        Ok((before_rain(q, record.field().id.as_str(), &asked)?, u))
    })?;
    let Some(answer) = answer else {
        bail!("{} is no wheat field of this year, so its seeding is not reckoned", a.field);
    };
    if a.asked.json {
        output::json(&answer)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&answer.what))?;
    output::folded(&answer.why, 2)?;
    let rows = answer
        .hours
        .iter()
        .map(|h| {
            vec![
                format!("{}:00", (h.by_h as i64) % 24),
                words::area(&units, h.left_ha),
                words::in_ten(h.rain),
            ]
        })
        .collect();
    output::table(&["by", "left", "rain has begun in"], rows)?;
    calc::working(&answer.working)?;
    Ok(ExitCode::SUCCESS)
}
