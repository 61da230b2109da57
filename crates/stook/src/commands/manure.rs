//! `stook manure`: room in the pit, which field, at what rate, and what a load is worth.

use std::process::ExitCode;

use stook_book::payload::ManureMethod;
use stook_inputs::manure::{manure, rate, volume};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::{calc, season::Asked};
use crate::output;

/// Room in the pit, the fields to haul to, the rate on each and what a load is worth.
#[derive(Debug, clap::Args)]
pub struct Manure {
    /// How it is put on: injected, worked_in, left_bare or left_on_residue; else as it was last time
    #[arg(long, value_name = "HOW")]
    method: Option<String>,
    /// Days until it is worked in
    #[arg(long, value_name = "DAYS")]
    days: Option<f64>,
    /// Show the working of every load
    #[arg(long, short)]
    working: bool,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Manure) -> anyhow::Result<ExitCode> {
    let way = match &a.method {
        None => None,
        Some(key) => Some((
            ManureMethod::from_key(key).ok_or_else(|| {
                let all: Vec<_> = ManureMethod::ALL.iter().map(|m| m.key()).collect();
                anyhow::anyhow!("\"{key}\" is no way of putting it on; choose one of {}", all.join(", "))
            })?,
            a.days,
        )),
    };
    let (m, u) = a.asked.ask(|q| {
        let (reference, _) = q.farm.reference(&Reference::shipped());
        Ok((manure(q.farm, &reference, q.as_of, way, None), q.farm.units()))
    })?;
    if a.asked.json {
        output::json(&m)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(format!("{}, {}", m.farm, m.as_of.strftime("%A %-d %B %Y")))?;
    output::line(output::strong(&m.headline))?;
    output::folded(&m.why, 0)?;
    output::folded(&format!("What would change it: {}", m.change), 0)?;
    output::line("")?;
    output::folded(m.caution, 0)?;
    if !m.hauls.is_empty() {
        let rows = m.hauls.iter().map(|h| {
            vec![
                h.name.clone(),
                volume(&u, h.m3),
                words::area(&u, h.area_ha),
                rate(&u, h.rate_m3_ha),
                format!("{:.0}", h.loads),
                h.sets.clone(),
                format!("{}{}", u.money, figure(h.net_per_load, 0)),
            ]
        });
        output::line("")?;
        output::table(
            &["field", "volume", "area", "rate", "loads", "set by", "a load brings"],
            rows.collect(),
        )?;
        if a.working {
            for h in &m.hauls {
                output::line("")?;
                calc::working(&h.working)?;
            }
        }
        output::line("")?;
        let rows = m.ways.iter().map(|w| {
            let pct = |x: f64| format!("{} %", figure(100.0 * x, 0));
            vec![
                w.words.clone(),
                pct(w.kept),
                w.kept_by_equations.map_or_else(|| "-".into(), pct),
                format!("{}{}", u.money, figure(w.n_money, 0)),
                format!("{}{}", u.money, figure(w.less_than_injected, 0)),
            ]
        });
        output::table(
            &[
                "how the pit is spread",
                "ammonium kept",
                "by the equations",
                "nitrogen kept, money",
                "less than injected",
            ],
            rows.collect(),
        )?;
    }
    for p in &m.planned {
        output::folded(
            &format!("- planned for {}: {}, {} hauled", p.name, volume(&u, p.m3), volume(&u, p.hauled_m3)),
            2,
        )?;
    }
    for n in m.notes.iter().chain(&m.none_for) {
        output::folded(&format!("- {n}"), 2)?;
    }
    output::folded(&format!("Rule: {}. {}", m.law, m.check_law), 2)?;
    Ok(ExitCode::SUCCESS)
}
