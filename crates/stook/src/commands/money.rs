//! `stook money`: what each field costs and leaves, and the cash by month.

use std::process::ExitCode;

use stook_barn::{Facts, plan};
use stook_measure::{figure, units};

use super::season::Asked;
use crate::output;

/// Money by field: cost an acre and a bushel, break-even, what is left by field and by use; cash by month.
#[derive(Debug, clap::Args)]
pub struct Money {
    /// Year of the harvest
    #[arg(long, value_name = "YEAR")]
    year: Option<i16>,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Money) -> anyhow::Result<ExitCode> {
    a.asked.ask(|q| {
        let facts = Facts::new(q.farm, q.as_of);
        let whole = plan::answer(&facts)?;
        let today = stook_season::today(q).ok();
        let outlook = |id: &stook_book::FieldId| {
            today.as_ref()?.fields.iter().find(|f| f.field == id.as_str())?.yield_kg_ha
        };
        let m = stook_money::answer(&facts, Some(&whole), &outlook, a.year);
        if a.asked.json {
            output::json(&serde_json::json!({ "money": m, "cash": whole.cash }))?;
            return Ok(ExitCode::SUCCESS);
        }
        output::line(output::strong(&m.headline))?;
        output::folded(&m.sure, 0)?;
        output::line("")?;
        let an_acre = |x: f64| figure(x * units::HA_PER_ACRE, 0);
        let rows = m
            .fields
            .iter()
            .map(|f| {
                let bu = |t: Option<f64>| t.map_or(String::new(), |t| figure(f.a_bushel(t), 2));
                vec![
                    f.name.clone(),
                    f.crop.words().to_string(),
                    f.yield_kg_ha
                        .map_or(String::new(), |y| figure(units::kg_ha_to_bu_ac(y.p50, f.lb_per_bu), 1)),
                    an_acre(f.cost_ha),
                    bu(f.break_even_t),
                    bu(f.price_t),
                    f.margin_ha.map_or(String::new(), an_acre),
                ]
            })
            .collect();
        output::table(&["field", "crop", "bu/ac", "cost/ac", "cost/bu", "worth/bu", "left/ac"], rows)?;
        for x in &m.uses {
            output::line(format!(
                "  {}, {}: {} t worth {} a tonne, cost {}, {} left",
                x.crop.words(),
                x.to,
                figure(x.tonnes, 0),
                figure(x.worth_t, 0),
                figure(x.cost_t, 0),
                figure(x.margin, 0)
            ))?;
        }
        if !m.asked.is_empty() {
            output::line("\nNot known, and not in it")?;
            for x in &m.asked {
                output::folded(&format!("  {} ({}): stook add {}", x.what, x.fields.join(", "), x.form), 4)?;
            }
        }
        output::line("\nCash by month")?;
        let rows = whole
            .cash
            .iter()
            .map(|c| {
                vec![
                    c.month.strftime("%b %Y").to_string(),
                    figure(c.sales, 0),
                    c.pigs.map_or(String::new(), |p| figure(p, 0)),
                    figure(c.other, 0),
                    figure(c.bought, 0),
                    figure(c.due, 0),
                    figure(c.running, 0),
                    c.due_words.join(", "),
                ]
            })
            .collect();
        output::table(&["month", "grain", "pigs", "other", "feed", "due", "in hand", ""], rows)?;
        for n in &m.notes {
            output::folded(n, 2)?;
        }
        Ok(ExitCode::SUCCESS)
    })
}
