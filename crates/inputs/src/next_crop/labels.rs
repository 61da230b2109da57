//! Labels' limits on the next crop, held against the months gone and the field's own June to August rain.

use jiff::civil::{Date, date};
use serde::Serialize;
use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_book::payload::PlantBack;
use stook_measure::figure;
use stook_season::WeatherFacts;

/// Rain on a field from June to August of a year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SummerRain {
    /// Year.
    pub year: i16,
    /// Rain, mm.
    pub mm: f64,
    /// Where it was measured, in words.
    pub from: String,
}

/// How sure a label's limit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LabelSays {
    /// Met.
    Fine,
    /// Not met: the label rules.
    No,
    /// The rain is not known.
    NotKnown,
}

/// A label's limit held against the field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// Crop it is on.
    pub crop: String,
    /// What it says for this crop year.
    pub says: LabelSays,
    /// In a sentence.
    pub sentence: String,
}

/// Rain from 1 June to 31 August: the field's own gauge, else the station, else the yard gauge.
pub fn summer_rain(
    farm: &Farm,
    record: &FieldRecord,
    weather: &WeatherFacts,
    year: i16,
) -> Option<SummerRain> {
    let (from, to) = (date(year, 6, 1), date(year, 8, 31));
    let inside = |d: Date| d >= from && d <= to;
    let sum = |list: &[stook_book::Fact<stook_book::payload::Rain>]| -> (usize, f64) {
        let all: Vec<f64> = list.iter().filter(|r| inside(r.on())).map(|r| r.is.rain_mm).collect();
        (all.len(), all.iter().sum())
    };
    let (n, mm) = sum(&record.rain);
    if n >= 5 {
        return Some(SummerRain { year, mm, from: "the field's own gauge".into() });
    }
    let days: Vec<f64> =
        weather.observed.iter().filter(|r| inside(r.date)).filter_map(|r| r.precip_mm).collect();
    if days.len() >= 85 {
        return Some(SummerRain { year, mm: days.iter().sum(), from: "the weather station".into() });
    }
    let (n, mm) = sum(&farm.rain);
    (n >= 5).then(|| SummerRain { year, mm, from: "the yard gauge".into() })
}

/// A label's limit for seeding in a crop year.
pub(super) fn limit(x: &PlantBack, rain: Option<&SummerRain>, crop_year: i16) -> Limit {
    let seeded = date(crop_year, 5, 5);
    let months = (f64::from((seeded - x.applied).get_days()) / 30.44).floor();
    let time = months >= x.months;
    let crop = x.crop.words().to_string();
    let mut sentence = format!(
        "{} of {}: {} after {} months; it is {} by early May {crop_year}",
        x.product,
        x.applied,
        crop,
        figure(x.months, 0),
        figure(months, 0)
    );
    let says = match (time, x.june_to_august_mm) {
        (false, _) => LabelSays::No,
        (true, None) => LabelSays::Fine,
        (true, Some(mm)) => match rain.filter(|r| r.year == x.applied.year()) {
            None => {
                sentence.push_str(&format!(
                    ", and {} mm of rain from June to August, which is not in the book",
                    figure(mm, 0)
                ));
                LabelSays::NotKnown
            }
            Some(r) => {
                sentence.push_str(&format!(
                    ", and {} mm of rain from June to August: {} mm fell by {}",
                    figure(mm, 0),
                    figure(r.mm, 0),
                    r.from
                ));
                if r.mm >= mm { LabelSays::Fine } else { LabelSays::No }
            }
        },
    };
    sentence.push_str(match says {
        LabelSays::Fine => ". Met.",
        LabelSays::No => ". Not met: do not seed it.",
        LabelSays::NotKnown => ". Ask before you seed it, or grow something else.",
    });
    Limit { crop, says, sentence }
}
