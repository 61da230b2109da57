//! `stook fertilizer`: how much of what on each field.

use std::process::ExitCode;

use anyhow::bail;
use stook_book::payload::NutrientRates;
use stook_inputs::report::{Choices, FieldReport, farm_report, field_report, year_decided_on};
use stook_measure::units::kg_ha_to_lb_ac;
use stook_measure::{Reference, figure};
use stook_season::ceiling::ceilings;

use super::{calc, season::Asked};
use crate::output;

/// How much nitrogen, phosphate, potash and sulphur each field wants, and what is decided.
#[derive(Debug, clap::Args)]
pub struct Fertilizer {
    /// Name or key of a field; without it, the whole farm
    field: Option<String>,
    /// Year of the harvest; without it, the next one to decide
    #[arg(long)]
    year: Option<i16>,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Fertilizer) -> anyhow::Result<ExitCode> {
    a.asked.ask(|q| {
        let year = a.year.unwrap_or_else(|| year_decided_on(q.as_of));
        let roofs = ceilings(q, year)?;
        let shipped = Reference::shipped();
        let Some(name) = &a.field else {
            let farm = farm_report(q.farm, &shipped, &roofs, q.as_of, year);
            if a.asked.json {
                output::json(&farm)?;
                return Ok(());
            }
            let rows = farm.fields.iter().map(row).collect();
            output::table(&["field", "crop", "N", "P2O5", "K2O", "S lb/ac", "state"], rows)?;
            let t = |kg: f64| figure(kg / 1000.0, 1);
            let all = farm.decided_kg + farm.open_kg;
            output::line(format!(
                "In all {} t N, {} t P2O5, {} t K2O, {} t S; decided on {} of {} fields.",
                t(all.n),
                t(all.p2o5),
                t(all.k2o),
                t(all.s),
                farm.decided,
                farm.fields.len()
            ))?;
            return Ok(());
        };
        let wanted = name.to_lowercase();
        let record = q
            .farm
            .fields
            .values()
            .find(|r| r.field().id.as_str() == wanted || r.field().name.to_lowercase() == wanted);
        let Some(record) = record else {
            let names: Vec<&str> = q.farm.fields.values().map(|r| r.field().name.as_str()).collect();
            bail!("no field is called \"{name}\"; there are: {}", names.join(", "));
        };
        let id = record.field().id.clone();
        let Some(r) = field_report(q.farm, &shipped, &roofs, &id, q.as_of, year, &Choices::default()) else {
            bail!("no such field")
        };
        if a.asked.json {
            output::json(&r)?;
            return Ok(());
        }
        sheet(&r)
    })?;
    Ok(ExitCode::SUCCESS)
}

fn rates(r: &FieldReport) -> (NutrientRates, &'static str) {
    match &r.plan {
        Some(p) => (
            NutrientRates {
                n_kg_ha: p.n_kg_ha,
                p2o5_kg_ha: p.p2o5_kg_ha,
                k2o_kg_ha: p.k2o_kg_ha,
                s_kg_ha: p.s_kg_ha,
            },
            "decided",
        ),
        None => (r.proposed, "proposed"),
    }
}

fn row(r: &FieldReport) -> Vec<String> {
    let (x, state) = rates(r);
    let lb = |v: f64| figure(kg_ha_to_lb_ac(v), 0);
    vec![
        r.name.clone(),
        r.crop.clone().unwrap_or_default(),
        lb(x.n_kg_ha),
        lb(x.p2o5_kg_ha),
        lb(x.k2o_kg_ha),
        lb(x.s_kg_ha),
        state.into(),
    ]
}

fn sheet(r: &FieldReport) -> anyhow::Result<()> {
    let lb = |v: f64| figure(kg_ha_to_lb_ac(v), 0);
    let (x, state) = rates(r);
    output::line(output::strong(&format!(
        "{}, {} in {}",
        r.name,
        r.crop.as_deref().unwrap_or("no crop"),
        r.crop_year
    )))?;
    output::line(format!(
        "{state}: {} N, {} P2O5, {} K2O, {} S lb/ac",
        lb(x.n_kg_ha),
        lb(x.p2o5_kg_ha),
        lb(x.k2o_kg_ha),
        lb(x.s_kg_ha)
    ))?;
    for w in &r.soil.warnings {
        output::folded(w, 2)?;
    }
    if let Some(n) = &r.nitrogen {
        match &n.pays {
            Ok(p) => {
                output::line(format!(
                    "Pays best: {} lb N/ac (flat top {} to {}); 20 lb under costs {:.2} an acre, 20 over {:.2}",
                    lb(p.n_kg_ha),
                    lb(p.flat_top_kg_ha.0),
                    lb(p.flat_top_kg_ha.1),
                    p.off_below_ha * stook_measure::units::HA_PER_ACRE,
                    p.off_above_ha * stook_measure::units::HA_PER_ACRE
                ))?;
                calc::working(&p.working)?;
            }
            Err(e) => output::folded(e, 2)?,
        }
        if let Some(w) = &n.budget_working {
            calc::working(w)?;
        }
    }
    for n in &r.nutrients {
        let cell = |v: Option<f64>| v.map_or_else(|| "-".into(), lb);
        output::line(format!(
            "{}: {}; sufficiency {}, build and maintain {}, replacement {} lb/ac",
            n.name,
            n.test,
            cell(n.sufficiency_kg_ha),
            cell(n.build_kg_ha),
            cell(n.replacement_kg_ha)
        ))?;
    }
    for a in &r.assumed {
        output::folded(a, 2)?;
    }
    Ok(())
}
