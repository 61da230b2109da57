//! From figures to soil tests: the field is found, what is missing is asked, and each sample becomes one entry.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::payload::{SampleKind, SamplePoint, SoilTest, SoilTestLayer, SoilTestValue};
use stook_book::{Farm, FieldId};
use stook_fertility::soil_test::figure::FigureError;

use super::analyte::{Analyte, P_METHODS, UNITS, plain};
use super::ask::{Answers, Question};
use super::columns::Column;
use super::depth::{self, DepthUnit};
use super::finding::{BadRow, Finding, Found};
use super::{LabError, Reading};
use crate::words::sentence;

/// A soil test read from a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// Name of its field.
    pub field_name: String,
    /// The entry.
    pub is: SoilTest,
    /// It is in the book already.
    pub there: bool,
}

/// A file understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// `CSV`, `Modus XML`, `Modus JSON`.
    pub kind: String,
    /// What the layout is remembered by.
    pub fingerprint: String,
    /// Answers it was read with: what the layout keeps.
    pub answers: BTreeMap<String, String>,
    /// Columns of a CSV.
    pub columns: Vec<Column>,
    /// Tests.
    pub tests: Vec<Test>,
    /// What cannot be right.
    pub bad: Vec<BadRow>,
    /// What to know.
    pub notes: Vec<String>,
}

/// Puts findings together, or asks.
pub fn settle(
    found: Found,
    kind: &str,
    fingerprint: &str,
    farm: &Farm,
    typed: &Answers,
    today: Date,
) -> Result<Reading, LabError> {
    let answers = typed.over(farm.lab_layouts.get(fingerprint).map(|l| &l.is.answers));
    let Found { mut findings, mut bad, mut notes } = found;
    let mut questions: Vec<Question> = Vec::new();
    for f in &mut findings {
        complete(f, &answers, &mut questions);
    }
    let mut fields: BTreeMap<String, Option<FieldId>> = BTreeMap::new();
    for f in &findings {
        let known = fields.entry(f.field.clone()).or_insert_with(|| field_of(&f.field, farm, &answers));
        if known.is_none() && answers.get(&field_key(&f.field)) != Some("skip") {
            ask_field(&f.field, farm, &mut questions);
        }
    }
    let mut once: Vec<Question> = Vec::new();
    for q in questions {
        if !once.iter().any(|o| o.key == q.key) {
            once.push(q);
        }
    }
    if !once.is_empty() {
        return Ok(Reading::Ask { columns: Vec::new(), questions: once, fingerprint: fingerprint.into() });
    }
    let mut tests: BTreeMap<(String, Option<String>, Option<String>, Date), Vec<Finding>> = BTreeMap::new();
    for f in findings {
        let Some(Some(id)) = fields.get(&f.field) else { continue };
        match checked(&f, today) {
            Ok(day) => {
                tests.entry((id.0.clone(), f.zone.clone(), f.sample.clone(), day)).or_default().push(f)
            }
            Err(sentence) => bad.push(BadRow { line: f.line, column: f.column.clone(), sentence }),
        }
    }
    let mut per_field: BTreeMap<(String, Date), usize> = BTreeMap::new();
    for (id, _, _, day) in tests.keys() {
        *per_field.entry((id.clone(), *day)).or_default() += 1;
    }
    let tests = merge_depths(tests);
    let mut out = Vec::new();
    for ((id, zone, sample, day), list) in tests {
        let several = per_field.get(&(id.clone(), day)).is_some_and(|n| *n > 1);
        let id = FieldId(id);
        let Some(record) = farm.fields.get(&id) else { continue };
        let is = test(id, zone, sample, day, &list, several, &mut notes);
        let there = record.soil_tests.iter().any(|t| t.is.sampled == is.sampled && t.is.layers == is.layers);
        out.push(Test { field_name: record.field().name.clone(), is, there });
    }
    bad.sort_by(|a, b| a.line.cmp(&b.line));
    bad.dedup();
    Ok(Reading::Done(Sheet {
        kind: kind.into(),
        fingerprint: fingerprint.into(),
        answers: answers.0,
        columns: Vec::new(),
        tests: out,
        bad,
        notes,
    }))
}

/// A sheet with a line for each depth numbers its samples by depth: without zones, samples of one field and day whose
/// depths do not meet are one test.
#[allow(clippy::type_complexity)]
fn merge_depths(
    tests: BTreeMap<(String, Option<String>, Option<String>, Date), Vec<Finding>>,
) -> BTreeMap<(String, Option<String>, Option<String>, Date), Vec<Finding>> {
    let mut out: BTreeMap<(String, Option<String>, Option<String>, Date), Vec<Finding>> = BTreeMap::new();
    let layers = |list: &[Finding]| {
        list.iter()
            .filter_map(|f| f.depth.map(|(t, b, _)| ((t * 10.0).round() as i64, (b * 10.0).round() as i64)))
            .collect::<std::collections::BTreeSet<_>>()
    };
    for (key, list) in tests {
        let same = out.iter().find(|(k, held)| {
            k.0 == key.0
                && k.1 == key.1
                && k.3 == key.3
                && k.2 != key.2
                && layers(held).is_disjoint(&layers(&list))
                && held.first().and_then(|h| h.point) == list.first().and_then(|h| h.point)
        });
        match same.map(|(k, _)| k.clone()) {
            Some(k) => out.get_mut(&k).expect("just found").extend(list),
            None => {
                out.insert(key, list);
            }
        }
    }
    out
}

/// Fills a finding from the answers and asks for what is missing.
fn complete(f: &mut Finding, answers: &Answers, questions: &mut Vec<Question>) {
    let Some(a) = Analyte::of(&f.what) else { return };
    let name = plain(&f.column);
    let key = |what: &str| format!("{what}.{name}");
    let given = |what: &str| answers.get(&key(what)).map(str::to_string);
    f.unit = f.unit.take().or_else(|| a.only_unit().map(str::to_string)).or_else(|| given("unit"));
    if f.unit.is_none() {
        let choices: Vec<(&str, &str)> = UNITS.iter().map(|u| (*u, *u)).collect();
        questions.push(Question::choose(
            key("unit"),
            format!("{}: which unit? ppm and lb/ac differ by two or more.", f.column),
            &choices,
        ));
    }
    f.basis = f.basis.take().or_else(|| given("basis"));
    if f.basis.is_none() && !a.bases.is_empty() {
        let choices: Vec<(&str, &str)> = a.bases.iter().map(|b| (*b, *b)).collect();
        questions.push(Question::choose(
            key("basis"),
            format!("{}: as which is it quoted?", f.column),
            &choices,
        ));
    }
    f.extractant = f.extractant.take().or_else(|| given("method"));
    if f.extractant.is_none() && a.key == "p" {
        questions.push(Question::choose(
            key("method"),
            format!("{}: by which method? A figure of one is not a figure of another.", f.column),
            &P_METHODS,
        ));
    }
    let depth_name = f.depth_name.clone().unwrap_or_else(|| "all figures".into());
    let depth_key = format!("depth.{}", plain(&depth_name));
    if f.depth.is_none() {
        f.depth = answers.get(&depth_key).and_then(depth::range);
    }
    match f.depth {
        None => questions.push(Question::choose(
            depth_key,
            format!("Depth of {depth_name}: from where to where? Write it as 0-6 in or 0-15 cm."),
            &[],
        )),
        Some((t, b, None)) => match answers.get("depth_unit") {
            Some("in") => f.depth = Some((t, b, Some(DepthUnit::Inches))),
            Some("cm") => f.depth = Some((t, b, Some(DepthUnit::Cm))),
            _ => questions.push(Question::choose(
                "depth_unit",
                format!("Depth {t} to {b}: inches or centimetres?"),
                &[("in", "inches"), ("cm", "centimetres")],
            )),
        },
        Some(_) => {}
    }
}

fn field_key(text: &str) -> String {
    format!("field.{}", plain(text))
}

fn field_of(text: &str, farm: &Farm, answers: &Answers) -> Option<FieldId> {
    if let Some(id) = answers
        .get(&field_key(text))
        .or_else(|| if text.is_empty() { answers.get("whole_field") } else { None })
    {
        return farm.fields.contains_key(&FieldId::from(id)).then(|| FieldId::from(id));
    }
    let wanted = plain(text);
    farm.fields
        .values()
        .map(|r| r.field())
        .find(|f| plain(&f.name) == wanted || plain(f.id.as_str()) == wanted)
        .map(|f| f.id.clone())
}

fn ask_field(text: &str, farm: &Farm, questions: &mut Vec<Question>) {
    let mut choices: Vec<(&str, &str)> =
        farm.fields.values().map(|f| (f.field().id.as_str(), f.field().name.as_str())).collect();
    choices.sort_by(|a, b| a.1.cmp(b.1));
    choices.push(("skip", "none of ours: leave it out"));
    let named =
        if text.is_empty() { "The file names no field".into() } else { format!("The file says \"{text}\"") };
    questions.push(Question::choose(
        field_key(text),
        format!("{named}: which of your fields is it?"),
        &choices,
    ));
}

/// The day of a figure that can be right.
fn checked(f: &Finding, today: Date) -> Result<Date, String> {
    let Some(day) = f.sampled else { return Err("The day of sampling is missing.".into()) };
    if day > today {
        return Err(format!("Sampled on {day}, which is still to come; check the date."));
    }
    if day.year() < 1950 {
        return Err(format!("Sampled on {day}, which is too long ago; check the year."));
    }
    if f.unit.as_deref() == Some("mg/L") {
        return Err(sentence(&FigureError::Solution.to_string()));
    }
    let most = match (f.what.as_str(), f.unit.as_deref()) {
        ("ph" | "buffer_ph", _) => 11.0,
        (_, Some("%")) => 100.0,
        _ => 50_000.0,
    };
    let least = if f.what == "ph" { 3.0 } else { 0.0 };
    if !(least..=most).contains(&f.value) {
        return Err(format!(
            "{} {} cannot be right; look at the sheet.",
            f.value,
            f.unit.as_deref().unwrap_or("").trim_start_matches('1')
        )
        .replace("  ", " "));
    }
    Ok(day)
}

fn test(
    field: FieldId,
    zone: Option<String>,
    sample: Option<String>,
    sampled: Date,
    list: &[Finding],
    several: bool,
    notes: &mut Vec<String>,
) -> SoilTest {
    let mut layers: Vec<SoilTestLayer> = Vec::new();
    let mut text: Vec<String> = Vec::new();
    let mut points: Vec<SamplePoint> = Vec::new();
    for f in list {
        let Some((t, b, Some(unit))) = f.depth else { continue };
        let tenth = |x: f64| (unit.to_cm(x) * 10.0).round() / 10.0;
        let (top_cm, bottom_cm) = (tenth(t), tenth(b));
        let value = SoilTestValue {
            what: f.what.clone(),
            value: f.value,
            unit: f.unit.clone().unwrap_or_default(),
            extractant: f.extractant.clone(),
            basis: f.basis.clone(),
        };
        let layer = match layers.iter_mut().find(|l| (l.top_cm, l.bottom_cm) == (top_cm, bottom_cm)) {
            Some(l) => l,
            None => {
                layers.push(SoilTestLayer { top_cm, bottom_cm, values: Vec::new() });
                layers.last_mut().expect("just put there")
            }
        };
        if layer.values.iter().any(|v| v.what == value.what && v.extractant == value.extractant) {
            notes.push(format!(
                "Line {}, {}: there is a figure of it already for this depth; the first is kept.",
                f.line, f.column
            ));
        } else {
            layer.values.push(value);
        }
        if !text.contains(&f.original) {
            text.push(f.original.clone());
        }
        if let Some((lat_deg, lon_deg)) = f.point {
            let p = SamplePoint { lat_deg, lon_deg };
            if !points.contains(&p) {
                points.push(p);
            }
        }
    }
    layers.sort_by(|a, b| a.top_cm.total_cmp(&b.top_cm).then(a.bottom_cm.total_cmp(&b.bottom_cm)));
    let first = &list[0];
    let kind = match (&zone, several, points.is_empty()) {
        (Some(_), ..) => Some(SampleKind::Zone),
        (None, true, false) => Some(SampleKind::Grid),
        _ => None,
    };
    let mut text = text.join("\n");
    text.truncate(text.char_indices().nth(18_000).map_or(text.len(), |(i, _)| i));
    SoilTest {
        field,
        sampled,
        lab: first.lab.clone(),
        layers,
        sample: kind,
        number: sample,
        zone,
        cores: list.iter().find_map(|f| f.cores),
        soil_temp_c: list.iter().find_map(|f| f.soil_temp_c),
        points,
        text,
    }
}
