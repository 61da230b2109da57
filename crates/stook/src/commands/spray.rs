//! `stook spray`: the hours fit to spray, and the fields waiting for them.

use std::process::ExitCode;

use anyhow::bail;
use stook_book::SprayProductId;
use stook_season::spraying::{SprayAnswer, SprayAsk, answer, limits};
use stook_season::words;
use stook_weather::spray::Grade;

use super::calc;
use super::season::Asked;
use crate::output;

/// The hours of the next days fit to spray, by the guidance or a product's label
#[derive(Debug, clap::Args)]
pub struct Spray {
    /// Name or key of the field; all of them when left out
    field: Option<String>,
    /// Key of the product whose label rules
    #[arg(long)]
    product: Option<String>,
    /// Share of the stubble in thistle patches, %: what spraying it gains in money, in fall
    #[arg(long, value_name = "PERCENT")]
    thistle: Option<f64>,
    /// How the money of burn-off and stubble sprays comes about
    #[arg(long)]
    working: bool,
    /// Every hour, not only the fit stretches
    #[arg(long)]
    hours: bool,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Spray) -> anyhow::Result<ExitCode> {
    let s = a.asked.ask(|q| {
        let field = match &a.field {
            None => None,
            Some(name) => {
                let wanted = name.to_lowercase();
                let found = q
                    .farm
                    .fields
                    .values()
                    .map(|r| r.field())
                    .find(|f| f.id.as_str() == wanted || f.name.to_lowercase() == wanted);
                match found {
                    Some(f) => Some(f.id.to_string()),
                    None => bail!("no field is called \"{name}\""),
                }
            }
        };
        if let Some(p) = &a.product
            && !q.farm.spray_products.contains_key(&SprayProductId::from(p.as_str()))
        {
            let have: Vec<&str> = q.farm.spray_products.keys().map(SprayProductId::as_str).collect();
            bail!("no spray product has the key \"{p}\"; there are: {}", have.join(", "));
        }
        let today = stook_season::today(q)?;
        if let Some(t) = a.thistle.filter(|t| !(0.0..=100.0).contains(t)) {
            bail!("{t} % of the stubble cannot be in thistle; give a share from 0 to 100");
        }
        let ask = SprayAsk {
            product: a.product.as_deref().map(SprayProductId::from),
            field,
            now: a.asked.now(q.farm),
            thistle_pct: a.thistle,
        };
        Ok((stook_season::spraying::spray(q, &today, &ask)?, q.farm.units()))
    })?;
    if a.asked.json {
        output::json(&s.0)?;
    } else {
        print(&s.0, &s.1, a.hours, a.working)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn print(
    s: &SprayAnswer,
    u: &stook_book::payload::UnitChoice,
    hours: bool,
    workings: bool,
) -> anyhow::Result<()> {
    output::line(output::strong(&s.headline))?;
    output::folded(&s.why, 2)?;
    if let Some(m) = &s.measured {
        output::folded(m, 2)?;
    }
    for d in &s.days {
        output::folded(&format!("  {}", d.words), 4)?;
        if !hours {
            continue;
        }
        let rows = d
            .hours
            .iter()
            .filter(|h| !h.dark)
            .map(|h| {
                vec![
                    format!("{}:00", h.hour),
                    if h.grade == Grade::Fit { "fit" } else { answer::grade_word(h.grade) }.to_string(),
                    h.because.unwrap_or("").to_string(),
                    limits::wind(u, h.wind_ms),
                    format!("{:.1}", h.delta_t_c),
                    words::temperature(u, h.temp_c),
                    format!("{:.0} %", h.rh_pct),
                    format!("{:.0} of 10", h.share_fit * 10.0),
                ]
            })
            .collect();
        output::table(&["hour", "verdict", "because", "wind", "Delta T", "air", "humidity", "fit in"], rows)?;
    }
    for f in &s.fields {
        output::folded(&format!("{}, {}: {}.", f.name, words::area(u, f.area_ha), f.words), 2)?;
    }
    for g in &s.green {
        output::line(output::strong(&g.title))?;
        output::folded(&g.words, 2)?;
        for f in &g.fields {
            let money = f.money.as_ref().map_or(String::new(), |m| format!("; {}", m.words));
            output::folded(&format!("  {}: {}{money}.", f.name, f.words), 4)?;
            if let Some(m) = f.money.as_ref().filter(|_| workings) {
                calc::working(&m.working)?;
            }
        }
    }
    for i in &s.intervals {
        output::folded(&i.words, 2)?;
    }
    output::folded(&s.rule, 2)
}
