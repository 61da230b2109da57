//! `stook field`: one field's year.

use std::process::ExitCode;

use anyhow::bail;
use stook_season::answer::Fan;

use super::{calc, season::Asked};
use crate::output;

/// One field: where it stands, what happened, what comes.
#[derive(Debug, clap::Args)]
pub struct FieldCommand {
    /// Name or key of the field
    name: String,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &FieldCommand) -> anyhow::Result<ExitCode> {
    let today = a.asked.ask(|q| Ok(stook_season::today(q)?))?;
    let wanted = a.name.to_lowercase();
    let Some(f) = today.fields.iter().find(|f| f.field == wanted || f.name.to_lowercase() == wanted) else {
        let names: Vec<&str> = today.fields.iter().map(|f| f.name.as_str()).collect();
        bail!(
            "no wheat field of {} is called \"{}\"; there are: {}",
            today.as_of.year(),
            a.name,
            names.join(", ")
        );
    };
    if a.asked.json {
        output::json(f)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&format!("{}, {:.0} ha of {}", f.name, f.area_ha, f.crop)))?;
    output::line(format!("Now: {}", f.stage))?;
    output::line(format!(
        "Water to 1.2 m: {:.0} of {:.0} mm. Top 0.1 m: {:.2} of field capacity. Soil at seed depth: {:.0} C.",
        f.water_mm, f.water_capacity_mm, f.surface, f.soil_temp_c
    ))?;
    if let Some(y) = f.yield_kg_ha {
        output::line(format!("Outlook: {:.0} - {:.0} - {:.0} kg/ha", y.p10, y.p50, y.p90))?;
    }
    for h in &f.happened {
        output::line(format!("  {}  {}", h.date, h.what))?;
    }
    for w in &f.windows {
        output::line(format!(
            "  {}: opens {} ({} to {}), to about {}",
            w.job.word(),
            w.opens.middle,
            w.opens.early,
            w.opens.late,
            w.closes.middle
        ))?;
    }
    for (name, fan) in
        [("water", &f.water_fan), ("stage", &f.stage_fan), ("kernel moisture", &f.moisture_fan)]
    {
        weekly(name, fan)?;
    }
    for w in &f.working {
        output::line("")?;
        output::line(&w.title)?;
        calc::working(w)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// A fan a week at a time.
fn weekly(name: &str, fan: &Fan) -> anyhow::Result<()> {
    let Some(start) = fan.start else { return Ok(()) };
    output::line(format!("\n{name} [{}], 10 - 50 - 90", fan.unit))?;
    for (i, r) in fan.days.iter().enumerate().step_by(7) {
        if let Some(r) = r {
            let date = start.saturating_add(jiff::Span::new().days(i as i64));
            output::line(format!("  {date}  {:6.0} {:6.0} {:6.0}", r.p10, r.p50, r.p90))?;
        }
    }
    Ok(())
}
