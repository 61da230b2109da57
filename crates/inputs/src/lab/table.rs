//! A laboratory's CSV, wide (a column a figure) or long (a line a figure).

use jiff::civil::Date;
use stook_book::Farm;

use super::analyte::{Analyte, extractant, plain, unit};
use super::ask::{Answers, Question};
use super::columns::Column;
use super::depth::{self, DepthUnit};
use super::finding::{BadRow, Finding, Found, figure_of, is_blank};
use super::{LabError, Reading, settle};

/// Most lines looked through for the headings.
const PREAMBLE: usize = 30;

/// Why a text is no day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoDay {
    /// 3/4/2025 is two days.
    Either,
    /// None at all.
    Bad,
}

/// A day as people write it. `order`: `mdy` or `dmy`, for figures that could be either.
pub fn day_of(text: &str, order: Option<&str>) -> Result<Date, NoDay> {
    let t = text.trim();
    if let Ok(d) = t.get(..10).unwrap_or(t).parse::<Date>() {
        return Ok(d);
    }
    let t = t.split(['T', ' ']).next().filter(|h| h.contains(['/', '-', '.']) && h.len() > 5).unwrap_or(t);
    let parts: Vec<&str> = t.split(|c: char| "/-. ,".contains(c)).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts[..] else { return Err(NoDay::Bad) };
    let number = |t: &str| t.parse::<i16>().ok();
    let year = |y: i16| if y < 100 { 2000 + y } else { y };
    let make = |y: i16, m: i16, d: i16| {
        Date::new(year(y), i8::try_from(m).unwrap_or(0), i8::try_from(d).unwrap_or(0)).map_err(|_| NoDay::Bad)
    };
    let month = |t: &str| {
        let short: String = t.to_lowercase().chars().take(3).collect();
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
            .iter()
            .position(|m| *m == short)
            .map(|i| i as i16 + 1)
    };
    match (number(a), number(b), number(c)) {
        (Some(y), Some(m), Some(d)) if a.len() == 4 => make(y, m, d),
        (Some(x), Some(y), Some(z)) => match (x > 12, y > 12, order) {
            (true, _, _) | (false, false, Some("dmy")) => make(z, y, x),
            (_, true, _) | (false, false, Some(_)) => make(z, x, y),
            (false, false, None) => Err(NoDay::Either),
        },
        (Some(d), None, Some(y)) => make(y, month(b).ok_or(NoDay::Bad)?, d),
        (None, Some(d), Some(y)) => make(y, month(a).ok_or(NoDay::Bad)?, d),
        _ => Err(NoDay::Bad),
    }
}

struct Rows {
    /// Line and cells of the headings, and of each row below.
    head: (usize, Vec<String>),
    body: Vec<(usize, Vec<String>)>,
    delimiter: char,
}

fn rows(text: &str) -> Result<Rows, LabError> {
    let sample: String = text.lines().take(PREAMBLE).collect::<Vec<_>>().join("\n");
    let count = |c: char| sample.chars().filter(|x| *x == c).count();
    let delimiter = [',', ';', '\t'].into_iter().max_by_key(|c| count(*c)).unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(delimiter as u8)
        .from_reader(text.as_bytes());
    let mut all: Vec<(usize, Vec<String>)> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|_| LabError::NoTable)?;
        let line = record.position().map_or(0, |p| p.line() as usize);
        all.push((line, record.iter().map(str::to_string).collect()));
    }
    // the headings: the first line where something is a column we know and most cells are filled
    let known = |cell: &String| {
        let c = Column::guess(0, cell, Vec::new(), None, &Answers::default());
        c.is != "ignore"
    };
    let at = all.iter().take(PREAMBLE).position(|(_, cells)| {
        let filled = cells.iter().filter(|c| !c.is_empty()).count();
        filled >= 2 && cells.iter().filter(|c| known(c)).count() >= 2
    });
    let at = at.ok_or(LabError::NoTable)?;
    let head = all[at].clone();
    let body: Vec<_> =
        all.into_iter().skip(at + 1).filter(|(_, c)| c.iter().any(|x| !x.is_empty())).collect();
    if body.is_empty() {
        return Err(LabError::NoTable);
    }
    Ok(Rows { head, body, delimiter })
}

/// Whether a line holds the units of the columns rather than figures.
fn is_unit_row(cells: &[String]) -> bool {
    let filled: Vec<&String> = cells.iter().filter(|c| !c.is_empty()).collect();
    !filled.is_empty()
        && filled.iter().filter(|c| unit(c).is_some() && figure_of(c).is_none()).count() * 2 > filled.len()
}

/// Reads it.
pub fn read(text: &str, farm: &Farm, typed: &Answers, today: Date) -> Result<Reading, LabError> {
    let mut r = rows(text)?;
    let fingerprint = r.head.1.iter().map(|h| plain(h)).collect::<Vec<_>>().join("|");
    let answers = typed.over(farm.lab_layouts.get(&fingerprint).map(|l| &l.is.answers));
    let unit_row = is_unit_row(&r.body[0].1).then(|| r.body.remove(0).1);
    let columns: Vec<Column> = r
        .head
        .1
        .iter()
        .enumerate()
        .map(|(i, h)| {
            let first = r
                .body
                .iter()
                .filter_map(|(_, c)| c.get(i))
                .filter(|c| !c.is_empty())
                .take(3)
                .cloned()
                .collect();
            Column::guess(i, h, first, unit_row.as_ref().and_then(|u| u.get(i)).map(String::as_str), &answers)
        })
        .collect();
    let place = |role: &str| columns.iter().position(|c| c.is == role);
    let depth_elsewhere = place("depth").is_some() || (place("top").is_some() && place("bottom").is_some());
    let mut questions: Vec<Question> = columns.iter().flat_map(|c| c.open(depth_elsewhere)).collect();
    let long = place("analyte").zip(place("value"));
    if long.is_none() && !columns.iter().any(|c| c.analyte().is_some()) {
        questions.push(Question::choose(
            "columns",
            "No column was taken for a figure of the soil: say which are.",
            &[],
        ));
    }
    if place("field").is_none() && answers.get("whole_field").is_none() {
        let fields: Vec<(&str, &str)> =
            farm.fields.values().map(|f| (f.field().id.as_str(), f.field().name.as_str())).collect();
        questions.push(Question::choose(
            "whole_field",
            "No column names the field: which field is the file about?",
            &fields,
        ));
    }
    if place("sampled").is_none() && answers.get("whole_date").is_none() {
        questions.push(Question::choose(
            "whole_date",
            "No column gives the day of sampling: which day was it? Write it as 2025-10-21.",
            &[],
        ));
    }
    let order = answers.get("date_order");
    if let Some(d) = place("sampled") {
        let days: Vec<&str> = r.body.iter().filter_map(|(_, c)| c.get(d)).map(String::as_str).collect();
        let unsure = days.iter().any(|t| day_of(t, None) == Err(NoDay::Either));
        let tells = days.iter().any(|t| {
            numeric(t)
                && day_of(t, None).is_ok()
                && t.trim().get(..4).is_none_or(|y| !y.chars().all(|c| c.is_ascii_digit()))
        });
        if unsure && !tells && order.is_none() {
            let sentence =
                format!("In {}, is the month or the day written first?", days.first().unwrap_or(&""));
            questions.push(Question::choose(
                "date_order",
                sentence,
                &[("mdy", "month first"), ("dmy", "day first")],
            ));
        }
    }
    let ask = |questions| {
        Ok(Reading::Ask { columns: columns.clone(), questions, fingerprint: fingerprint.clone() })
    };
    if !questions.is_empty() {
        return ask(questions);
    }
    let found = findings(&r, &columns, &answers);
    match settle::settle(found, "CSV", &fingerprint, farm, &answers, today)? {
        Reading::Ask { questions, .. } => ask(questions),
        Reading::Done(mut sheet) => {
            sheet.columns = columns;
            Ok(Reading::Done(sheet))
        }
    }
}

fn numeric(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_digit() || "/-. ".contains(c))
}

/// The order of dates that the file itself gives away.
fn order_of(days: &[&str]) -> Option<&'static str> {
    days.iter().find_map(|t| {
        let parts: Vec<i32> =
            t.split(|c: char| "/-.".contains(c)).filter_map(|p| p.trim().parse().ok()).collect();
        match parts[..] {
            [a, _, _] if a > 12 && a <= 31 => Some("dmy"),
            [_, b, _] if b > 12 && b <= 31 => Some("mdy"),
            _ => None,
        }
    })
}

fn findings(r: &Rows, columns: &[Column], answers: &Answers) -> Found {
    let mut found = Found::default();
    let place = |role: &str| columns.iter().position(|c| c.is == role);
    let days: Vec<&str> = place("sampled")
        .map(|d| r.body.iter().filter_map(|(_, c)| c.get(d)).map(String::as_str).collect())
        .unwrap_or_default();
    let order = answers.get("date_order").or_else(|| order_of(&days));
    for (line, cells) in &r.body {
        let cell =
            |role: &str| place(role).and_then(|i| cells.get(i)).map(|s| s.trim()).filter(|s| !s.is_empty());
        let heading =
            |role: &str| place(role).map_or_else(|| role.to_string(), |i| columns[i].heading.clone());
        let mut bad =
            |column: String, sentence: String| found.bad.push(BadRow { line: *line, column, sentence });
        let sampled = match (cell("sampled"), answers.get("whole_date")) {
            (Some(t), _) => match day_of(t, order) {
                Ok(d) => Some(d),
                Err(_) => {
                    bad(heading("sampled"), format!("\"{t}\" is no day; write it as 2025-10-21."));
                    continue;
                }
            },
            (None, Some(t)) => day_of(t, Some("mdy")).ok(),
            (None, None) => None,
        };
        let Some(sampled) = sampled else {
            bad(heading("sampled"), "The day of sampling is missing.".into());
            continue;
        };
        let field = match cell("field").or(answers.get("whole_field")) {
            Some(f) => f.to_string(),
            None => {
                bad(heading("field"), "The field is missing.".into());
                continue;
            }
        };
        let column_unit = |role: &str| place(role).and_then(|i| DepthUnit::of(&columns[i].heading));
        let mut depth_here =
            cell("depth").and_then(depth::range).map(|(t, b, u)| (t, b, u.or(column_unit("depth"))));
        if let (Some(t), Some(b)) = (cell("top").and_then(figure_of), cell("bottom").and_then(figure_of)) {
            depth_here = Some((t.0, b.0, column_unit("top").or(column_unit("bottom"))));
        }
        if (place("depth").is_some() || place("top").is_some()) && depth_here.is_none() {
            bad(
                heading(if place("depth").is_some() { "depth" } else { "top" }),
                "The depth cannot be read; write it as 0-6 in.".into(),
            );
            continue;
        }
        if let Some((t, b, _)) = depth_here.filter(|(t, b, _)| b <= t) {
            bad(heading("bottom"), format!("From {t} to {b} is no layer; depths run down from the surface."));
            continue;
        }
        let number = |role: &str| cell(role).and_then(figure_of).map(|x| x.0);
        let base = Finding {
            line: *line,
            field,
            sample: cell("sample").map(str::to_string),
            zone: cell("zone").map(str::to_string),
            sampled: Some(sampled),
            lab: cell("lab").map(str::to_string),
            cores: number("cores").map(|n| n.round() as u32),
            soil_temp_c: number("soil_temp"),
            point: number("lat").zip(number("lon")),
            original: cells.join(&r.delimiter.to_string()),
            ..Finding::default()
        };
        if let (Some(name), Some(text)) = (cell("analyte"), cell("value")) {
            long_row(&mut found, &base, name, text, cell("unit"), cell("method"), depth_here);
            continue;
        }
        for c in columns {
            let Some(a) = c.analyte() else { continue };
            let Some(text) = cells.get(c.index).map(|t| t.trim()) else { continue };
            if is_blank(text) {
                continue;
            }
            let Some((value, bound)) = figure_of(text) else {
                found.bad.push(BadRow {
                    line: *line,
                    column: c.heading.clone(),
                    sentence: format!("\"{text}\" is not a number."),
                });
                continue;
            };
            if bound {
                found.notes.push(format!(
                    "Line {line}, {}: \"{text}\" is a bound and is taken as the figure itself.",
                    c.heading
                ));
            }
            found.findings.push(Finding {
                column: c.heading.clone(),
                depth: c.depth.as_deref().and_then(depth::range).or(depth_here),
                what: a.key.into(),
                value,
                unit: c.unit.clone(),
                basis: c.basis.clone(),
                extractant: c.extractant.clone(),
                ..base.clone()
            });
        }
    }
    found
}

fn long_row(
    found: &mut Found,
    base: &Finding,
    name: &str,
    text: &str,
    unit_text: Option<&str>,
    method: Option<&str>,
    depth_here: Option<(f64, f64, Option<DepthUnit>)>,
) {
    if is_blank(text) {
        return;
    }
    let c = Column::guess(0, name, Vec::new(), None, &Answers::default());
    let Some(a) = Analyte::of(&c.is) else {
        found.notes.push(format!("Line {}: {name} is not read, as no page uses it.", base.line));
        return;
    };
    let Some((value, _)) = figure_of(text) else {
        found.bad.push(BadRow {
            line: base.line,
            column: name.into(),
            sentence: format!("\"{text}\" is not a number."),
        });
        return;
    };
    found.findings.push(Finding {
        column: name.into(),
        depth: depth_here.or_else(|| depth::range(name)),
        what: a.key.into(),
        value,
        unit: unit_text.and_then(unit).map(str::to_string).or(c.unit),
        basis: c.basis,
        extractant: method.and_then(extractant).map(str::to_string).or(c.extractant),
        ..base.clone()
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_as_people_write_them() {
        let d = Ok(date(2025, 10, 21));
        for text in [
            "2025-10-21",
            "2025/10/21",
            "10/21/2025",
            "21/10/2025",
            "21-Oct-2025",
            "Oct 21, 2025",
            "21.10.25",
            "2025-10-21T12:00:00",
        ] {
            assert_eq!(day_of(text, None), d, "{text}");
        }
        assert_eq!(day_of("3/4/2025", None), Err(NoDay::Either));
        assert_eq!(day_of("3/4/2025", Some("dmy")), Ok(date(2025, 4, 3)));
        assert_eq!(day_of("3/4/2025", Some("mdy")), Ok(date(2025, 3, 4)));
        assert_eq!(day_of("last fall", None), Err(NoDay::Bad));
    }
}
