//! After seeding: is more nitrogen worth it, and what would a late spray for protein bring?

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::FieldRecord;
use stook_fertility::FertilityParams;
use stook_measure::figure;
use stook_measure::units::{kg_ha_to_lb_ac, lb_ac_to_kg_ha};

use crate::balance;
use crate::nitrogen::{Asked, nitrogen};
use crate::params::InputsParams;

/// More nitrogen on a growing crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TopUp {
    /// Put on already, kg/ha, and where that is from.
    pub there_kg_ha: f64,
    /// Where that is from.
    pub from: String,
    /// Rate that pays best now, kg/ha.
    pub pays_kg_ha: f64,
    /// Gained by it over none, money a ha, before the pass.
    pub gain_ha: f64,
    /// A late spray of 30 lb for protein: money a ha at the premium, before the pass; none without a premium.
    pub spray_ha: Option<f64>,
    /// What to know, in sentences.
    pub said: Vec<String>,
}

/// Nitrogen of the late spray, lb/ac, and the protein it can bring (Ransom et al. 2016).
const SPRAY_LB_AC: f64 = 30.0;
const SPRAY_POINTS: f64 = 1.0;

/// Works it out for a field that is seeded and not yet cut; none otherwise.
pub fn top_up(
    record: &FieldRecord,
    year: i16,
    on: Date,
    asked: &Asked,
    f: &FertilityParams,
    p: &InputsParams,
) -> Option<TopUp> {
    let seeded = record.seeded_on(year).filter(|d| *d <= on)?;
    if record.cut_on(year).is_some_and(|d| d <= on) {
        return None;
    }
    let (there, from) = match (balance::applied(record, year), record.fertilizer_plans.get(&year)) {
        (Some(a), _) => (a.n, "as written down"),
        (None, Some(plan)) => (plan.is.n_kg_ha, "as planned; write down what went on"),
        (None, None) => return None,
    };
    let more = Asked { manure_kg_ha: asked.manure_kg_ha + there, ..asked.clone() };
    let pays = nitrogen(&more, f, p).pays.ok()?;
    let none = pays.points.first()?.mean;
    let spray_ha = asked.premium.map(|premium| {
        let step = premium.at(pays.protein_pct + SPRAY_POINTS) - premium.at(pays.protein_pct);
        step * pays.yield_kg_ha - asked.n_per_kg * lb_ac_to_kg_ha(SPRAY_LB_AC)
    });
    let days = (on - seeded).get_days();
    let mut said = vec![format!(
        "Seeded {days} days ago with {} lb/ac of nitrogen, {from}. The weather since is in the yield below.",
        figure(kg_ha_to_lb_ac(there), 0)
    )];
    said.push(if kg_ha_to_lb_ac(pays.n_kg_ha) < 5.0 {
        "No top-up pays: what is there is enough for what the water promises.".into()
    } else {
        "A top-up works only if rain takes it in, and less each week; after flowering it makes protein and no yield.".to_string()
    });
    said.push("Nitrogen washed out or gassed off in wet spots is not reckoned: no regional figure was read. Look for pale leaves in the lows and test before you believe either.".into());
    if spray_ha.is_some() {
        said.push("Late spray: 30 lb/ac of 28-0-0 thinned with as much water after flowering can bring up to one point of protein (Ransom et al. 2016); it can burn the flag leaf, so spray in the cool of the day.".into());
    }
    Some(TopUp {
        there_kg_ha: there,
        from: from.into(),
        pays_kg_ha: pays.n_kg_ha,
        gain_ha: pays.profit_ha - none,
        spray_ha,
        said,
    })
}
