//! `stook order`: which blends, how many tonnes, and what a price change alters.

use std::process::ExitCode;

use anyhow::Context;
use stook_inputs::order::{Order as Answer, WhatIf, order};
use stook_measure::{Reference, figure, units};
use stook_season::words;

use super::{calc, season::Asked};
use crate::output;

/// The fertilizer order: few blends that serve every field with an accepted plan, at least cost.
#[derive(Debug, clap::Args)]
pub struct Order {
    /// Different blends and straight products at most
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=12))]
    blends: Option<u8>,
    /// Try another price by the tonne, such as --price urea=700
    #[arg(long, value_name = "PRODUCT=MONEY")]
    price: Vec<String>,
    /// Year of the harvest it is for
    #[arg(long, value_name = "YEAR")]
    crop_year: Option<i16>,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Order) -> anyhow::Result<ExitCode> {
    let mut what_if =
        WhatIf { crop_year: a.crop_year, blends: a.blends.map(usize::from), ..WhatIf::default() };
    for p in &a.price {
        let (what, money) = p
            .split_once('=')
            .with_context(|| format!("\"{p}\" should be product=money, such as urea=700"))?;
        let per_t: f64 = money.parse().ok().filter(|x| *x > 0.0 && *x < 1e5).with_context(|| {
            format!("\"{money}\" is no price a tonne; write it as a number, such as {what}=700")
        })?;
        if stook_fertility::product::Product::of(what).is_none() {
            anyhow::bail!("there is no product \"{what}\"; the keys are in reference/fertility-products.csv");
        }
        what_if.per_t.insert(what.into(), per_t);
    }
    let (answer, u) = a.asked.ask(|q| {
        let (reference, _) = q.farm.reference(&Reference::shipped());
        Ok((order(q.farm, &reference, q.as_of, &what_if), q.farm.units()))
    })?;
    if a.asked.json {
        output::json(&answer)?;
    } else {
        print(&answer, &u)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn print(o: &Answer, u: &stook_book::payload::UnitChoice) -> anyhow::Result<()> {
    output::line(format!("{}, fertilizer for {}", o.farm, o.crop_year))?;
    output::line(output::strong(&o.headline))?;
    output::folded(&o.why, 0)?;
    output::folded(&format!("What would change it: {}", o.change), 0)?;
    if !o.blends.is_empty() {
        let rows = o.blends.iter().map(|b| {
            let parts: Vec<String> =
                b.parts.iter().map(|p| format!("{} kg {}", figure(p.kg_per_t, 0), p.product)).collect();
            vec![
                b.name.clone(),
                figure(b.tonnes, 2),
                words::cash(u, b.money),
                parts.join(", "),
                b.for_fields.join(", "),
            ]
        });
        output::line("")?;
        output::table(&["order", "t", "money", "in a tonne", "for"], rows.collect())?;
        let rows = o.fields.iter().map(|f| {
            let rate = |r: &Option<(String, f64)>| {
                r.as_ref()
                    .map_or(String::new(), |(name, kg)| format!("{:.0} {name}", units::kg_ha_to_lb_ac(*kg)))
            };
            let n = f.supplied_kg_ha.map(units::kg_ha_to_lb_ac);
            let gets = format!("{:.0}-{:.0}-{:.0}-{:.0}", n.n, n.p2o5, n.k2o, n.s);
            vec![
                f.name.clone(),
                rate(&f.with_seed),
                rate(&f.band),
                rate(&f.fluid),
                gets,
                figure(f.per_ha * units::HA_PER_ACRE, 2),
            ]
        });
        output::line("")?;
        output::table(
            &[
                "field",
                "with the seed, lb/ac",
                "band, lb/ac",
                "liquid or ammonia, lb/ac",
                "gets N-P-K-S",
                "money/ac",
            ],
            rows.collect(),
        )?;
        output::line("")?;
        for p in &o.products {
            output::folded(
                &format!(
                    "{}, {}{} a tonne{}: {}",
                    p.name,
                    u.money,
                    figure(p.per_t, 0),
                    if p.assumed { " (ours)" } else { "" },
                    p.words
                ),
                2,
            )?;
        }
    }
    if let Some(c) = o.caution {
        output::folded(c, 0)?;
    }
    for n in &o.notes {
        output::folded(&format!("- {n}"), 2)?;
    }
    if let Some(w) = &o.working {
        output::line("")?;
        calc::working(w)?;
    }
    Ok(())
}
