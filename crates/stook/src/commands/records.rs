//! `stook records`: what was done, as a buyer or an inspector asks it.

use std::process::ExitCode;

use anyhow::bail;
use jiff::civil::Date;
use stook_book::readings::HourReading;
use stook_measure::Reference;
use stook_season::WeatherFacts;
use stook_season::spraying::air::{self, AirFacts};
use stook_season::spraying::record::{self, RecordAsk, RecordRow};
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;

use super::book_file::BookFile;
use crate::output;

/// Records of work done, with what is missing said first
#[derive(Debug, clap::Args)]
pub struct Records {
    /// Which records: spray
    #[arg(long, default_value = "spray")]
    kind: String,
    /// Only this field, by key
    #[arg(long)]
    field: Option<String>,
    /// From this day
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,
    /// To this day
    #[arg(long, value_name = "DATE")]
    to: Option<Date>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &Records) -> anyhow::Result<ExitCode> {
    if a.kind != "spray" {
        bail!("there is no record of the kind \"{}\"; there is: spray", a.kind);
    }
    let (store, _, farm) = a.book.farm()?;
    let weather = WeatherFacts::load(&store, a.to.unwrap_or(Date::MAX))?;
    let mut hours: Vec<HourReading> = Vec::new();
    for station in store.stations()? {
        hours.extend(store.hours(&station, jiff::civil::DateTime::MIN, jiff::civil::DateTime::MAX)?);
    }
    let table = farm.site().map(|s| SiteTable::new(&s));
    let params = WeatherParams::from_reference(&Reference::shipped());
    let zone = farm.time_zone();
    let look_up = |t| {
        let table = table.as_ref()?;
        let facts = AirFacts {
            hours: &hours,
            observed: &weather.observed,
            forecast: &[],
            table,
            params: &params,
            zone: &zone,
        };
        air::at(&facts, t)
    };
    let ask = RecordAsk { field: a.field.clone(), from: a.from, to: a.to };
    let rows = record::rows(&farm, &ask, &look_up);
    if a.json {
        output::json(&rows)?;
    } else {
        print(&rows)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn print(rows: &[RecordRow]) -> anyhow::Result<()> {
    for r in rows.iter().filter(|r| !r.gaps.is_empty()) {
        let said = format!("Missing on {}, {}: {}", r.started.date(), r.name, r.gaps.join(", "));
        output::folded(&said, 2)?;
    }
    let shown = rows
        .iter()
        .map(|r| {
            let products: Vec<String> = r
                .products
                .iter()
                .map(|p| match (&p.rate, &p.total) {
                    (Some(rate), Some(total)) => format!("{} {rate}, {total}", p.name),
                    (Some(rate), None) => format!("{} {rate}", p.name),
                    _ => p.name.clone(),
                })
                .collect();
            let air = r.air.map_or(String::new(), |x| {
                let part = |v: Option<f64>, unit: &str| v.map(|v| format!("{v:.0} {unit}"));
                let kmh = x.wind_ms.map(stook_measure::units::ms_to_kmh);
                [part(x.temp_c, "C"), part(x.rh_pct, "%"), part(kmh, "km/h")]
                    .into_iter()
                    .flatten()
                    .chain([x.by.key().to_string()])
                    .collect::<Vec<_>>()
                    .join(" ")
            });
            vec![
                r.started.strftime("%Y-%m-%d %H:%M").to_string(),
                r.name.clone(),
                format!("{:.1} ha", r.area_ha),
                products.join("; "),
                air,
                r.operator.clone(),
                r.cut_from.map_or(String::new(), |d| d.to_string()),
            ]
        })
        .collect();
    output::table(&["when", "field", "area", "product", "air", "driven by", "cut from"], shown)
}
