//! `stook task-data`: prescriptions out, logs in, by the names of ISO 11783-10; and outlines from a shapefile.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, anyhow, bail};
use clap::Subcommand;
use serde_json::{Value as Json, json};
use stook_book::{Entry, FieldId, Payload, validate};
use stook_measure::{Reference, units};
use stook_taskdata::prescription::GRID;
use stook_taskdata::{
    Outline, Prescription, Rules, Zone, clean,
    clean::{points, width_m},
    prescription, read, read_log,
};

use super::book_file::BookFile;
use crate::output;

/// Writes a prescription as task data, reads logs back, brings in outlines from a shapefile.
///
/// Written: customer, farm, part field with outline, product, a planned task with treatment zones and a type 1 grid. Read:
/// part fields, products, tasks, time logs. Not covered: devices, type 2 grids, guidance, workers, archives. Prove the first
/// file on your own terminal.
#[derive(Debug, clap::Args)]
pub struct TaskData {
    #[command(subcommand)]
    what: What,
    #[command(flatten)]
    book: BookFile,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Writes a TASKDATA folder with one rate or zones
    Write {
        /// Field by its key
        #[arg(long)]
        field: String,
        /// Product
        #[arg(long)]
        product: String,
        /// Rate of the field, or of what no zone covers, kg/ha
        #[arg(long)]
        rate_kg_ha: Option<f64>,
        /// The same, lb/ac
        #[arg(long, conflicts_with = "rate_kg_ha")]
        rate_lb_ac: Option<f64>,
        /// GeoJSON of zones, each with a property rate_kg_ha
        #[arg(long)]
        zones: Option<PathBuf>,
        /// Side of a cell, m
        #[arg(long, default_value_t = 20.0)]
        cell_m: f64,
        /// Folder to make; TASKDATA is made in it
        #[arg(long)]
        out: PathBuf,
    },
    /// Reads a TASKDATA folder: fields, tasks, and yield logs cleaned
    Read {
        /// The folder that holds TASKDATA.XML
        folder: PathBuf,
        /// Write the cleaned yield points as GeoJSON
        #[arg(long)]
        points: Option<PathBuf>,
        /// Seconds from the knife to the sensor
        #[arg(long)]
        delay_s: Option<f64>,
        /// Moisture that yields are brought to, %
        #[arg(long, default_value_t = 14.5)]
        reference_pct: f64,
        /// Answer in JSON
        #[arg(long)]
        json: bool,
    },
    /// Brings outlines of a shapefile into the fields of the same name
    Shapes {
        /// The .shp; its .dbf and .prj beside it
        file: PathBuf,
        /// Column that holds the field's name
        #[arg(long, default_value = "name")]
        column: String,
        /// Who says so
        #[arg(long, env = "STOOK_WHO", default_value = "me")]
        who: String,
    },
}

/// Does it.
pub fn run(a: &TaskData) -> anyhow::Result<ExitCode> {
    match &a.what {
        What::Write { field, product, rate_kg_ha, rate_lb_ac, zones, cell_m, out } => {
            let rate = rate_kg_ha.or(rate_lb_ac.map(units::lb_ac_to_kg_ha));
            write(&a.book, field, product, rate, zones.as_deref(), *cell_m, out)
        }
        What::Read { folder, points, delay_s, reference_pct, json } => {
            let shipped = Rules::from_reference(&Reference::shipped(), *reference_pct);
            let rules = Rules { delay_s: delay_s.unwrap_or(shipped.delay_s), ..shipped };
            show(folder, points.as_deref(), &rules, *json)
        }
        What::Shapes { file, column, who } => bring_in(&a.book, file, column, who),
    }
}

fn write(
    book: &BookFile,
    field: &str,
    product: &str,
    rate: Option<f64>,
    zones: Option<&Path>,
    cell_m: f64,
    out: &Path,
) -> anyhow::Result<ExitCode> {
    let (_, _, farm) = book.farm()?;
    let record = farm.fields.get(&FieldId::from(field)).ok_or_else(|| {
        let have: Vec<&str> = farm.fields.keys().map(FieldId::as_str).collect();
        anyhow!("there is no field \"{field}\"; the fields are {}", have.join(", "))
    })?;
    let f = record.field();
    let shape = f
        .boundary
        .as_ref()
        .ok_or_else(|| anyhow!("{} has no outline; bring in its boundary first", f.name))?;
    let mut list = match zones {
        None => Vec::new(),
        Some(path) => {
            let text =
                std::fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))?;
            zones_of(
                &serde_json::from_str(&text).with_context(|| format!("{} is not GeoJSON", path.display()))?,
            )?
        }
    };
    if let Some(rate_kg_ha) = rate {
        list.push(Zone { name: "field".into(), rate_kg_ha, outline: Outline::default() });
    }
    let p = Prescription {
        farm: farm.set_up.as_ref().map_or_else(|| "farm".into(), |x| x.is.name.clone()),
        field: f.name.clone(),
        area_m2: 10_000.0 * f.area_ha,
        outline: outline(&serde_json::to_value(shape)?)?,
        product: product.into(),
        task: format!("{product} on {}", f.name),
        zones: list,
        cell_m,
    };
    let files = prescription(&p)?;
    let folder = out.join("TASKDATA");
    std::fs::create_dir_all(&folder).with_context(|| format!("cannot make {}", folder.display()))?;
    std::fs::write(folder.join("TASKDATA.XML"), &files.xml)?;
    std::fs::write(folder.join(format!("{GRID}.bin")), &files.grid)?;
    output::line(format!(
        "Written to {}: {} zones on a grid of {} by {} cells. Prove it on your own terminal before the field.",
        folder.display(),
        p.zones.len(),
        files.size.0,
        files.size.1
    ))?;
    Ok(ExitCode::SUCCESS)
}

fn zones_of(all: &Json) -> anyhow::Result<Vec<Zone>> {
    let features = all["features"].as_array().ok_or_else(|| anyhow!("zones come as a FeatureCollection"))?;
    features
        .iter()
        .enumerate()
        .map(|(i, x)| {
            let rate_kg_ha = x["properties"]["rate_kg_ha"]
                .as_f64()
                .ok_or_else(|| anyhow!("zone {} has no property rate_kg_ha", i + 1))?;
            let name = x["properties"]["name"].as_str().map_or_else(|| format!("zone {}", i + 1), Into::into);
            Ok(Zone { name, rate_kg_ha, outline: outline(&x["geometry"])? })
        })
        .collect()
}

fn outline(shape: &Json) -> anyhow::Result<Outline> {
    let polygons: Vec<Vec<Vec<Vec<f64>>>> = match shape["type"].as_str() {
        Some("Polygon") => vec![serde_json::from_value(shape["coordinates"].clone())?],
        Some("MultiPolygon") => serde_json::from_value(shape["coordinates"].clone())?,
        other => bail!("an outline is a Polygon or MultiPolygon, not {}", other.unwrap_or("this")),
    };
    let corner = |c: Vec<f64>| match c.as_slice() {
        [lon, lat, ..] => Ok((*lon, *lat)),
        _ => bail!("a corner needs longitude and latitude"),
    };
    let ring = |r: Vec<Vec<f64>>| r.into_iter().map(corner).collect::<anyhow::Result<Vec<_>>>();
    let polygon = |p: Vec<Vec<Vec<f64>>>| p.into_iter().map(ring).collect::<anyhow::Result<Vec<_>>>();
    Ok(Outline(polygons.into_iter().map(polygon).collect::<anyhow::Result<_>>()?))
}

fn show(folder: &Path, save: Option<&Path>, rules: &Rules, as_json: bool) -> anyhow::Result<ExitCode> {
    let file = |name: &str| -> anyhow::Result<Vec<u8>> {
        // Terminals write names in either case.
        let wanted = name.to_lowercase();
        let found = std::fs::read_dir(folder)
            .with_context(|| format!("cannot read {}", folder.display()))?
            .filter_map(|e| Some(e.ok()?.path()))
            .find(|p| p.file_name().is_some_and(|n| n.to_string_lossy().to_lowercase() == wanted))
            .ok_or_else(|| anyhow!("there is no {name} in {}", folder.display()))?;
        std::fs::read(&found).with_context(|| format!("cannot read {}", found.display()))
    };
    let data = read(&String::from_utf8_lossy(&file("TASKDATA.XML")?))?;
    let mut tasks = Vec::new();
    let mut features = Vec::new();
    for t in &data.tasks {
        if let Some(g) = &t.grid {
            g.check(file(&format!("{}.bin", g.file))?.len())?;
        }
        let mut logs = Vec::new();
        for name in &t.logs {
            let header = file(&format!("{name}.xml"))?;
            let log = read_log(name, &String::from_utf8_lossy(&header), &file(&format!("{name}.bin"))?)?;
            let c = clean(&points(&log), rules, width_m(&log));
            features.extend(c.points.iter().map(|p| {
                json!({"type": "Feature", "geometry": {"type": "Point", "coordinates": [p.lon, p.lat]},
                    "properties": {"task": t.name, "kg_ha": (p.kg_ha * 10.0).round() / 10.0, "moisture_pct": p.moisture_pct}})
            }));
            logs.push(json!({"log": name, "records": log.records.len(), "points": c.points.len(), "mean_kg_ha": c.mean_kg_ha,
                "left_out": {"delay": c.no_place, "ends_of_passes": c.ends, "slow": c.slow, "cut_before": c.overlap, "moisture": c.moisture, "outliers": c.outliers}}));
        }
        let field = t.field.as_ref().and_then(|id| data.fields.iter().find(|f| f.id == *id));
        tasks.push(json!({"task": t.name, "status": t.status, "field": field.map(|f| f.name.clone()),
            "zones": t.zones.len(), "logs": logs}));
    }
    if let Some(path) = save {
        let all = json!({"type": "FeatureCollection", "features": features});
        std::fs::write(path, serde_json::to_string(&all)?)
            .with_context(|| format!("cannot write {}", path.display()))?;
    }
    let answer = json!({"farm": data.farm, "fields": data.fields.iter().map(|f| f.name.clone()).collect::<Vec<_>>(),
        "products": data.products.iter().map(|p| p.1.clone()).collect::<Vec<_>>(), "tasks": tasks});
    if as_json {
        output::json(&answer)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(format!(
        "{} fields, {} products, {} tasks",
        data.fields.len(),
        data.products.len(),
        data.tasks.len()
    ))?;
    for t in answer["tasks"].as_array().into_iter().flatten() {
        output::line(format!(
            "{}: {} zones, {} logs, field {}",
            t["task"].as_str().unwrap_or("task"),
            t["zones"],
            t["logs"].as_array().map_or(0, Vec::len),
            t["field"].as_str().unwrap_or("not named")
        ))?;
        for l in t["logs"].as_array().into_iter().flatten() {
            let bu = units::kg_ha_to_bu_ac(l["mean_kg_ha"].as_f64().unwrap_or(0.0), 60.0);
            output::folded(
                &format!(
                    "  {}: {} records, {} points stay, mean {:.1} bu/ac of wheat at {} %; left out {}",
                    l["log"].as_str().unwrap_or(""),
                    l["records"],
                    l["points"],
                    bu,
                    rules.reference_pct,
                    l["left_out"]
                ),
                4,
            )?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn bring_in(book: &BookFile, file: &Path, column: &str, who: &str) -> anyhow::Result<ExitCode> {
    let bytes = |ext: &str| std::fs::read(file.with_extension(ext));
    let shp = std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
    let (dbf, prj) = (bytes("dbf").ok(), bytes("prj").ok());
    let prj = prj.map(|b| String::from_utf8_lossy(&b).into_owned());
    let found = stook_taskdata::shapes::shapes(&shp, dbf.as_deref(), prj.as_deref())?;
    let (mut store, _, farm) = book.farm()?;
    let now = farm.local(jiff::Timestamp::now());
    let (mut done, mut missed) = (Vec::new(), Vec::new());
    for s in &found {
        let name = s.row.iter().find(|(k, _)| k.eq_ignore_ascii_case(column)).map_or("", |(_, v)| v.as_str());
        let field = farm.fields.values().find(|r| r.field().name.trim().eq_ignore_ascii_case(name.trim()));
        let Some(record) = field.filter(|_| !name.is_empty()) else {
            missed.push(if name.is_empty() { "one without a name".to_string() } else { name.to_string() });
            continue;
        };
        let rings: Vec<Vec<Vec<[f64; 2]>>> = s
            .outline
            .0
            .iter()
            .map(|p| p.iter().map(|r| r.iter().map(|(x, y)| [*x, *y]).collect()).collect())
            .collect();
        let mut f = record.field().clone();
        f.boundary = Some(serde_json::from_value(json!({"type": "MultiPolygon", "coordinates": rings}))?);
        let entry = Entry::new(now, who, Payload::from(f));
        if let Err(problems) = validate(&entry, &farm, &Reference::shipped(), jiff::Timestamp::now()) {
            let all: Vec<String> = problems.into_iter().map(|p| p.sentence).collect();
            bail!("{name}: {}", all.join(" "));
        }
        store.append(&entry)?;
        done.push(name.to_string());
    }
    output::line(format!("{} outlines brought in: {}", done.len(), done.join(", ")))?;
    if !missed.is_empty() {
        output::folded(
            &format!(
                "No field of that name: {}. Rename the field, or say which column holds the name with --column.",
                missed.join(", ")
            ),
            2,
        )?;
    }
    Ok(if done.is_empty() { ExitCode::from(1) } else { ExitCode::SUCCESS })
}
