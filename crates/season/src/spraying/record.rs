//! The spray record: what an inspector asks of each pass, with what is missing said first.

use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_book::farm::{Fact, Farm, FieldRecord};
use stook_book::payload::{
    CropPlan, SprayAir, SprayPass, SprayProduct, SprayProductId, SprayRateUnit, UnitChoice,
};
use stook_measure::units;

use crate::words;

/// One pass as the record shows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordRow {
    /// The entry in force.
    pub entry: String,
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Crop of the year, in words.
    pub crop: Option<String>,
    /// Area sprayed, ha.
    pub area_ha: f64,
    /// What for, in words.
    pub purpose: String,
    /// What it was aimed at.
    pub target: Option<String>,
    /// Stage of the crop.
    pub stage: Option<String>,
    /// Products in the tank.
    pub products: Vec<RecordProduct>,
    /// Water and product together, L/ha.
    pub water_l_ha: Option<f64>,
    /// When it began.
    pub started: DateTime,
    /// When it ended, if written.
    pub finished: Option<DateTime>,
    /// Who drove.
    pub operator: String,
    /// Licence or certificate.
    pub licence: Option<String>,
    /// Nozzle and drop size.
    pub nozzle: Option<String>,
    /// Strip left unsprayed, m.
    pub buffer_m: Option<f64>,
    /// The air at the time, as written or as the station has it.
    pub air: Option<SprayAir>,
    /// Whether the air stands in the entry; else it was looked up.
    pub air_written: bool,
    /// First day the field may be cut.
    pub cut_from: Option<Date>,
    /// The moment anyone may enter.
    pub enter_from: Option<DateTime>,
    /// When it was cut that year, and the reason when that was too soon.
    pub cut: Option<CutAfter>,
    /// What an inspector would ask and the entry does not say.
    pub gaps: Vec<String>,
    /// What goes against the label as entered in set-up, each in a sentence.
    pub against: Vec<String>,
}

/// A product of a pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordProduct {
    /// Name as on the label.
    pub name: String,
    /// Registration number.
    pub registration: Option<String>,
    /// Rate as written.
    pub rate: Option<String>,
    /// All of it that went on, in words: `70 L`.
    pub total: Option<String>,
}

/// The cut that followed a pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutAfter {
    /// When it began.
    pub on: Date,
    /// Whether that was inside the interval.
    pub inside: bool,
    /// The reason given, if it was.
    pub why: Option<String>,
}

/// Which passes.
#[derive(Debug, Clone, Default)]
pub struct RecordAsk {
    /// Only this field.
    pub field: Option<String>,
    /// From this day.
    pub from: Option<Date>,
    /// To this day.
    pub to: Option<Date>,
}

/// The passes in the order they were made; `air` tells the air of a time where the entry does not.
pub fn rows(farm: &Farm, ask: &RecordAsk, air: &dyn Fn(DateTime) -> Option<SprayAir>) -> Vec<RecordRow> {
    let mut out: Vec<RecordRow> = farm
        .fields
        .values()
        .filter(|r| ask.field.as_ref().is_none_or(|f| *f == r.field().id.0))
        .flat_map(|r| r.sprays.iter().map(move |s| (r, s)))
        .filter(|(_, s)| ask.from.is_none_or(|d| s.on() >= d) && ask.to.is_none_or(|d| s.on() <= d))
        .map(|(r, s)| row(farm, r, s, air))
        .collect();
    out.sort_by(|a, b| (a.started, &a.name).cmp(&(b.started, &b.name)));
    out
}

fn row(
    farm: &Farm,
    r: &FieldRecord,
    s: &Fact<SprayPass>,
    air: &dyn Fn(DateTime) -> Option<SprayAir>,
) -> RecordRow {
    let x = &s.is;
    let area_ha = x.area_ha.unwrap_or(r.field().area_ha);
    let tank = x.water_l_ha.map(|w| w * area_ha);
    let product = |name: &str, id: Option<&SprayProductId>, rate: Option<&String>| {
        let label: Option<&SprayProduct> = id.and_then(|id| farm.spray_products.get(id)).map(|p| &p.is);
        RecordProduct {
            name: name.into(),
            registration: label.and_then(|l| l.registration.clone()),
            rate: rate.cloned(),
            total: rate.and_then(|text| total(text, area_ha, tank)),
        }
    };
    let mut products = vec![product(&x.product, x.product_id.as_ref(), x.rate.as_ref())];
    products.extend(x.mix.iter().map(|p| product(&p.product, p.product_id.as_ref(), p.rate.as_ref())));
    let looked_up = x.air.or_else(|| air(s.happened));
    let cut_from = s.earliest_cut();
    let cut =
        r.cuts.iter().find(|c| c.happened >= s.happened && (c.on() - s.on()).get_days() < 200).map(|c| {
            CutAfter {
                on: c.on(),
                inside: cut_from.is_some_and(|d| c.on() < d),
                why: c.is.inside_interval_why.clone(),
            }
        });
    let operator = x.operator.clone().unwrap_or_else(|| s.who.clone());
    let mut row = RecordRow {
        entry: s.entry.to_string(),
        field: r.field().id.to_string(),
        name: r.field().name.clone(),
        crop: r.plan(CropPlan::year_on(s.on())).map(|p| p.crop.words().to_string()),
        area_ha,
        purpose: x.purpose.words().into(),
        target: x.target.clone(),
        stage: x.stage.clone(),
        products,
        water_l_ha: x.water_l_ha,
        started: s.happened,
        finished: x.finished,
        operator,
        licence: x.licence.clone(),
        nozzle: x.nozzle.clone(),
        buffer_m: x.buffer_m,
        air: looked_up,
        air_written: x.air.is_some(),
        cut_from,
        enter_from: s.enter_from(),
        cut,
        gaps: Vec::new(),
        against: Vec::new(),
    };
    row.gaps = gaps(&row, x);
    let ids = x.mix.iter().map(|p| &p.product_id).chain([&x.product_id]);
    let labels = ids.flatten().filter_map(|id| farm.spray_products.get(id)).map(|p| &p.is);
    row.against = labels.flat_map(|l| against(&row, x, l, &farm.units())).collect();
    if let Some(c) = row.cut.as_ref().filter(|c| c.inside) {
        row.against.push(format!("Cut on {}, inside the days to harvest.", words::day(c.on)));
    }
    row
}

/// Where a pass goes against a label as the farm entered it.
fn against(row: &RecordRow, x: &SprayPass, l: &SprayProduct, u: &UnitChoice) -> Vec<String> {
    let mut out = Vec::new();
    let wind = |ms| super::limits::wind(u, ms);
    let temp = |c| words::temperature(u, c);
    // Half a unit is within what an instrument and a rounding tell.
    if let Some(a) = row.air {
        match (a.wind_ms, l.wind_high_ms) {
            (Some(w), Some(most)) if w > most + 0.15 => {
                out.push(format!("Wind {}; the label of {} ends at {}.", wind(w), l.name, wind(most)));
            }
            _ => {}
        }
        match (a.wind_ms, l.wind_low_ms) {
            (Some(w), Some(least)) if w < least - 0.15 => {
                out.push(format!("Wind {}; the label of {} begins at {}.", wind(w), l.name, wind(least)));
            }
            _ => {}
        }
        match (a.temp_c, l.temp_high_c) {
            (Some(t), Some(most)) if t > most + 0.5 => {
                out.push(format!("{}; the label of {} ends at {}.", temp(t), l.name, temp(most)));
            }
            _ => {}
        }
        match (a.temp_c, l.temp_low_c) {
            (Some(t), Some(least)) if t < least - 0.5 => {
                out.push(format!("{}; the label of {} begins at {}.", temp(t), l.name, temp(least)));
            }
            _ => {}
        }
    }
    match (x.water_l_ha, l.water_l_ha) {
        (Some(w), Some(least)) if w < least * 0.98 => {
            out.push(format!("Less water than the label of {} asks.", l.name));
        }
        _ => {}
    }
    match (x.buffer_m, l.buffer_m) {
        (Some(m), Some(least)) if m < least => {
            out.push(format!("A narrower strip than the label of {} asks.", l.name));
        }
        _ => {}
    }
    out
}

/// What is missing, in words.
fn gaps(row: &RecordRow, x: &SprayPass) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut lacks = |missing: bool, what: &str| {
        if missing {
            out.push(what.into());
        }
    };
    lacks(row.operator.trim().is_empty() || row.operator.eq_ignore_ascii_case("me"), "who drove, by name");
    lacks(row.finished.is_none(), "when it was finished");
    lacks(row.products.iter().any(|p| p.rate.is_none()), "the rate");
    lacks(row.products.iter().any(|p| p.registration.is_none()), "the registration number");
    lacks(row.water_l_ha.is_none(), "the water");
    lacks(row.target.is_none(), "what it was aimed at");
    lacks(row.air.is_none_or(|a| a.temp_c.is_none()), "the temperature");
    lacks(row.air.is_none_or(|a| a.wind_ms.is_none()), "the wind");
    lacks(row.air.is_none_or(|a| a.wind_from.is_none()), "where the wind came from");
    lacks(x.pre_harvest_days.is_none() && row.crop.is_some(), "the days to harvest");
    lacks(x.re_entry_hours.is_none(), "the hours before entry");
    out
}

/// A rate as written, read back: its figure and its unit.
pub fn read_rate(text: &str) -> Option<(f64, SprayRateUnit)> {
    let text = text.trim();
    let split = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))?;
    let figure: f64 = text[..split].replace(',', ".").parse().ok()?;
    let unit = text[split..].trim();
    let unit = SprayRateUnit::ALL.iter().copied().find(|u| u.words().eq_ignore_ascii_case(unit))?;
    Some((figure, unit))
}

/// A rate in SI: what an hectare gets of a liquid (L) or a dry product (kg), or a share of the tank (%).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SiRate {
    /// L/ha.
    Liquid(f64),
    /// kg/ha.
    Dry(f64),
    /// % of the tank.
    Share(f64),
}

/// A label's rate in SI.
pub fn si_rate(figure: f64, unit: SprayRateUnit) -> SiRate {
    const L_PER_FL_OZ: f64 = 0.029_573_529_562_5;
    const KG_PER_OZ: f64 = 0.028_349_523_125;
    let per_ha = |per_ac: f64| per_ac / units::HA_PER_ACRE;
    match unit {
        SprayRateUnit::LAc => SiRate::Liquid(per_ha(figure)),
        SprayRateUnit::MlAc => SiRate::Liquid(per_ha(figure) / 1000.0),
        SprayRateUnit::LHa => SiRate::Liquid(figure),
        SprayRateUnit::MlHa => SiRate::Liquid(figure / 1000.0),
        SprayRateUnit::FlOzAc => SiRate::Liquid(per_ha(figure * L_PER_FL_OZ)),
        SprayRateUnit::PtAc => SiRate::Liquid(per_ha(figure * 16.0 * L_PER_FL_OZ)),
        SprayRateUnit::GAc => SiRate::Dry(per_ha(figure) / 1000.0),
        SprayRateUnit::GHa => SiRate::Dry(figure / 1000.0),
        SprayRateUnit::KgHa => SiRate::Dry(figure),
        SprayRateUnit::OzAc => SiRate::Dry(per_ha(figure * KG_PER_OZ)),
        SprayRateUnit::LbAc => SiRate::Dry(units::lb_ac_to_kg_ha(figure)),
        SprayRateUnit::Percent => SiRate::Share(figure),
    }
}

/// All that went on of a rate as written, in words; none when it cannot be read.
fn total(rate: &str, area_ha: f64, tank_l: Option<f64>) -> Option<String> {
    let (figure, unit) = read_rate(rate)?;
    Some(match si_rate(figure, unit) {
        SiRate::Liquid(x) => amount(x * area_ha, "L"),
        SiRate::Dry(x) => amount(x * area_ha, "kg"),
        SiRate::Share(pct) => amount(tank_l? * pct / 100.0, "L"),
    })
}

/// `70 L`, `1.71 kg`.
pub fn amount(x: f64, unit: &str) -> String {
    let decimals = if x >= 100.0 {
        0
    } else if x >= 10.0 {
        1
    } else {
        2
    };
    format!("{} {unit}", stook_measure::figure(x, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_are_read_back_as_written() {
        for u in SprayRateUnit::ALL {
            assert_eq!(read_rate(&format!("0.67 {}", u.words())), Some((0.67, *u)));
        }
        assert_eq!(read_rate("325mL/ac"), Some((325.0, SprayRateUnit::MlAc)));
        assert_eq!(read_rate("half a jug"), None);
        assert_eq!(read_rate("2"), None);
    }

    #[test]
    fn what_went_on_is_rate_by_area() {
        // 100 acres at 0.67 L/ac is 67 L; at 2 pints it is 25 US gallons.
        let ha = 100.0 * units::HA_PER_ACRE;
        assert_eq!(total("0.67 L/ac", ha, None).unwrap(), "67.0 L");
        assert_eq!(total("2 US pt/ac", ha, None).unwrap(), "94.6 L");
        assert_eq!(total("20 g/ac", ha, None).unwrap(), "2.00 kg");
        assert_eq!(total("0.5 % of the tank", ha, Some(4000.0)).unwrap(), "20.0 L");
        assert_eq!(total("0.5 % of the tank", ha, None), None);
    }
}
