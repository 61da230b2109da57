//! What a field made in earlier wheat years against what the model would have said of them: the correction that every
//! outlook of the field carries.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use stook_book::farm::{Farm, FieldRecord};
use stook_book::payload::{Crop, Load};
use stook_measure::{Op, Working, figure};

use crate::facts::Question;
use crate::hindcast;
use crate::model::Model;
use crate::past;

/// Past years count as this many when there is none: the correction grows with them.
const PRIOR_YEARS: f64 = 2.0;
/// A reckoned yield under this is a failed year: a ratio to it says nothing, kg/ha.
const LEAST_KG_HA: f64 = 400.0;
/// One year moves the correction by no more than this either way.
const YEAR_BOUNDS: (f64, f64) = (0.4, 2.0);

/// A year that was cut and written down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PastYear {
    /// The year.
    pub year: i16,
    /// What it made, kg/ha.
    pub made: f64,
    /// What the model makes of that year's weather, seeding and sprays, kg/ha.
    pub reckoned: f64,
}

/// A field's own yields.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnYields {
    /// What the water line is multiplied by.
    pub factor: f64,
    /// The years behind it.
    pub years: Vec<PastYear>,
}

impl OwnYields {
    fn of(years: Vec<PastYear>) -> Option<Self> {
        if years.is_empty() {
            return None;
        }
        let n = years.len() as f64;
        let ratio = |p: &PastYear| (p.made / p.reckoned).clamp(YEAR_BOUNDS.0, YEAR_BOUNDS.1);
        let sum = years.iter().map(ratio).sum::<f64>();
        Some(Self { factor: (sum + PRIOR_YEARS) / (n + PRIOR_YEARS), years })
    }

    /// How it comes about.
    pub fn working(&self, slope_kg_ha_mm: f64) -> Working {
        let n = self.years.len() as f64;
        let mut w = Working::new("The outlook against what you made");
        for p in &self.years {
            w = w.line(Op::Note, format!("{}: made", p.year), p.made, "kg/ha", 0).line(
                Op::Note,
                format!("{}: reckoned by that year's water, seeding day, sprays and frost", p.year),
                p.reckoned,
                "kg/ha",
                0,
            );
        }
        let mean = (self.factor * (n + PRIOR_YEARS) - PRIOR_YEARS) / n;
        w.line(Op::Note, "Mean of made over reckoned", mean, "", 2)
            .line(
                Op::Start,
                format!("Weighed with {PRIOR_YEARS:.0} years at 1, so that one year does not decide"),
                self.factor,
                "",
                2,
            )
            .sum("Correction of the line", self.factor, "", 2)
            .note("Every outlook of this field carries it: Today, the order of work, harvest and bins.")
            .note(format!(
                "To make it the line of every field, enter your own number crop.yield.slope_kg_ha_mm = {}.",
                figure(slope_kg_ha_mm * self.factor, 2)
            ))
            .source(
                "your cut entries or weighed loads, and those years played again over the weather on file",
            )
            .would_change("another year's yield: write its loads, or the yield in the cut entry")
    }
}

/// Puts each field's correction in place.
pub(crate) fn learn(model: &mut Model, q: &Question<'_>) {
    let mut cases: Vec<(usize, i16, Date)> = Vec::new();
    let mut made = Vec::new();
    let mut events = Vec::with_capacity(model.fields.len());
    for (f, field) in model.fields.iter().enumerate() {
        let Some(record) = q.farm.fields.get(&field.id) else {
            events.push(Vec::new());
            continue;
        };
        events.push(past::events(record, q.as_of).0);
        for (year, plan) in &record.plans {
            if *year >= model.year || !matches!(plan.is.crop, Crop::SpringWheat | Crop::Durum) {
                continue;
            }
            let cut = record.cuts.iter().filter(|x| x.on().year() == *year && x.is.done);
            let said = cut.filter_map(|x| Some((x.on(), x.is.yield_kg_ha?))).next();
            let found = said.or_else(|| by_loads(q.farm, record, *year, model.season.cut_moisture_dry));
            if let (Some((on, kg)), Some(_)) = (found, record.seeded_on(*year)) {
                cases.push((f, *year, on));
                made.push(kg);
            }
        }
    }
    if cases.is_empty() {
        return;
    }
    let reckoned = hindcast::reckoned(model, q.weather, &events, &cases);
    let mut by_field: Vec<Vec<PastYear>> = vec![Vec::new(); model.fields.len()];
    for (((f, year, _), made), reckoned) in cases.into_iter().zip(made).zip(reckoned) {
        if let Some(reckoned) = reckoned.filter(|kg| *kg >= LEAST_KG_HA) {
            by_field[f].push(PastYear { year, made, reckoned });
        }
    }
    for (field, years) in model.fields.iter_mut().zip(by_field) {
        field.own_yields = OwnYields::of(years);
    }
}

/// The day it was cut and what it made by its loads, kg/ha clean at market moisture; `None` without loads, while it is not
/// all off, or when one of them was not weighed.
fn by_loads(farm: &Farm, record: &FieldRecord, year: i16, market_pct: f64) -> Option<(Date, f64)> {
    let id = &record.field().id;
    let mut cuts = record.cuts.iter().filter(|c| c.on().year() == year).peekable();
    if cuts.peek().is_some() && !cuts.any(|c| c.is.done) {
        return None;
    }
    let mut kg = 0.0;
    let mut first: Option<Date> = None;
    for load in farm.loads_off(id).filter(|l| Load::harvest_year(l.on()) == year) {
        let share: f64 = load.is.fields().iter().filter(|(f, _)| *f == id).map(|(_, s)| s).sum();
        let clean = load.is.mass_kg? * (1.0 - load.is.dockage_pct.unwrap_or(0.0) / 100.0);
        let moisture = load.is.moisture_wb_pct.unwrap_or(market_pct);
        kg += share * clean * (100.0 - moisture) / (100.0 - market_pct);
        first = Some(first.map_or(load.on(), |d| d.min(load.on())));
    }
    Some((first?, kg / record.field().area_ha))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_year_does_not_decide_and_none_says_nothing() {
        assert_eq!(OwnYields::of(Vec::new()), None);
        let year = |made, reckoned| PastYear { year: 2024, made, reckoned };
        let one = OwnYields::of(vec![year(3900.0, 3000.0)]).unwrap();
        assert!((one.factor - (1.3 + 2.0) / 3.0).abs() < 1e-12, "{one:?}");
        let six = OwnYields::of(vec![year(3900.0, 3000.0); 6]).unwrap();
        assert!((six.factor - (7.8 + 2.0) / 8.0).abs() < 1e-12);
        // A load book slip by a factor of ten is held.
        let slip = OwnYields::of(vec![year(30_000.0, 3000.0)]).unwrap();
        assert!((slip.factor - 4.0 / 3.0).abs() < 1e-12);
        assert!((one.working(10.0).by_hand().unwrap() - one.factor).abs() < 0.01);
    }
}
