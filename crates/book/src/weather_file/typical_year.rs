//! A typical year: twelve real months, each chosen from another year of a long record for its sun and temperature.
//!
//! Such files are a fair stand-in for a station's air and sun, but their months were not chosen for rain, and many
//! carry none or a sentinel. So the file is named for what it is, and its rain is asked about, not believed.

use std::collections::{BTreeMap, BTreeSet};

use super::header::Quantity;
use super::sheet::{Row, Sheet};
use super::{Answers, Question, Reading};

/// Fewest different years among the twelve months: an ordinary year's file has one or two.
const LEAST_YEARS: usize = 3;
/// Key of the question about rain.
const RAIN: &str = "typical_rain";

/// Whether the months come each from one year, and from several years together.
fn is_typical(rows: &[Row]) -> bool {
    let mut year_of = BTreeMap::new();
    // The last hour of a month may be written as the first of the next.
    for r in rows.iter().filter(|r| r.at.day() > 1) {
        if *year_of.entry(r.at.month()).or_insert(r.at.year()) != r.at.year() {
            return false;
        }
    }
    let years: BTreeSet<i16> = year_of.values().copied().collect();
    year_of.len() == 12 && years.len() >= LEAST_YEARS
}

/// Says what a typical year is and asks whether its rain is to be used.
pub(super) fn look(mut sheet: Sheet, answers: &Answers) -> Reading {
    if !is_typical(&sheet.rows) {
        return Reading::Done(sheet);
    }
    sheet.notes.push(
        "The months come from different years: this is a typical year, not a record. It serves as one past year's air and sun."
            .into(),
    );
    let rain = [Quantity::Precip, Quantity::Rain, Quantity::NewSnow];
    if sheet.rows.iter().all(|r| rain.iter().all(|q| r.get(*q).is_none())) {
        return Reading::Done(sheet);
    }
    match answers.get(RAIN) {
        Some("use") => Reading::Done(sheet),
        Some("leave_out") => {
            for row in &mut sheet.rows {
                for q in rain {
                    row.set(q, f64::NAN);
                }
            }
            sheet.notes.push("Its rain and snow are left out, as you said.".into());
            Reading::Done(sheet)
        }
        _ => Reading::Ask(vec![Question::new(
            RAIN,
            "This is a typical year, put together from months of different years that were not chosen for their rain. What of its rain?",
            &[("leave_out", "leave it out: I have a rain record elsewhere"), ("use", "use it as it is")],
        )]),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Answers, Reading, read};
    use jiff::tz::TimeZone;

    fn file(year_of: impl Fn(i16) -> i16, rain: &str) -> String {
        let mut text = String::from("date,tmax_c,tmin_c,rain_mm\n");
        for month in 1..=12 {
            for day in 1..=28 {
                text.push_str(&format!("{}-{month:02}-{day:02},12,2,{rain}\n", year_of(month)));
            }
        }
        text
    }

    #[test]
    fn rain_of_a_typical_year_is_asked_about() {
        let text = file(|m| 1990 + m % 5, "1.5");
        let Reading::Ask(q) = read(text.as_bytes(), &TimeZone::UTC, &Answers::default()).unwrap() else {
            panic!("nothing asked")
        };
        assert_eq!(q[0].key, "typical_rain");
        for (answer, rain) in [("leave_out", None), ("use", Some(1.5))] {
            let answers = Answers::default().with("typical_rain", answer);
            let Reading::Done(sheet) = read(text.as_bytes(), &TimeZone::UTC, &answers).unwrap() else {
                panic!()
            };
            assert!(sheet.notes.iter().any(|n| n.contains("typical year")));
            let days = sheet.days(false).unwrap();
            assert_eq!((days.len(), days[0].precip_mm, days[0].tmax_c), (336, rain, Some(12.0)));
        }
    }

    #[test]
    fn ordinary_years_are_not() {
        for text in [file(|_| 2001, "1"), file(|m| 2001 + i16::from(m > 6), "1"), file(|m| 1990 + m % 5, "")]
        {
            let reading = read(text.as_bytes(), &TimeZone::UTC, &Answers::default()).unwrap();
            assert!(matches!(reading, Reading::Done(_)));
        }
    }
}
