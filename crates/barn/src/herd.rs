//! The groups today: head, weight by the curve, phase, what they eat a day.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::{GroupKind, GroupSex};
use stook_book::{FeedBinId, GroupId};
use stook_feed::{Phase, Sex, growth};

use crate::Facts;

/// Energy of the diets the table's intake is reckoned on when no ration is accepted, kcal ME/kg.
const USUAL_ME: f64 = 3250.0;
/// Weight at which pigs are sold when the group does not say, kg.
pub const SOLD_AT_KG: f64 = 125.0;

/// A group today.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupToday {
    /// Key.
    pub id: GroupId,
    /// Name.
    pub name: String,
    /// What it is.
    pub kind: &'static str,
    /// Whether it is pigs.
    pub pigs: bool,
    /// Head.
    pub head: u32,
    /// Died since it was last written.
    pub died: u32,
    /// Weight by the curve, kg.
    pub kg: Option<f64>,
    /// Phase, for pigs.
    pub phase: Option<Phase>,
    /// Feed a day of one, kg.
    pub feed_kg_d: f64,
    /// Sold at, kg.
    pub sold_at_kg: f64,
    /// Days until it is sold, for growing pigs.
    pub days_to_sale: Option<f64>,
    /// Eats from.
    pub feed_bin: Option<FeedBinId>,
    /// Sex of growing pigs.
    #[serde(skip)]
    pub sex: Sex,
    /// Bedded on straw.
    pub bedded: bool,
}

fn sex(s: Option<GroupSex>) -> Sex {
    match s {
        Some(GroupSex::Gilt) => Sex::Gilt,
        Some(GroupSex::Barrow) => Sex::Barrow,
        _ => Sex::Mixed,
    }
}

/// Every group with animals in it.
pub fn today(f: &Facts<'_>) -> Vec<GroupToday> {
    on(f, f.on)
}

/// The same on another day.
pub fn on(f: &Facts<'_>, day: Date) -> Vec<GroupToday> {
    let p = &f.params;
    f.farm
        .barn
        .groups_on(day)
        .into_iter()
        .map(|g| {
            let set = &g.set_up.is;
            let sex = sex(set.sex);
            let days = f64::from((day - g.kg_on).get_days().max(0));
            let sold_at_kg = set.sold_at_kg.unwrap_or(SOLD_AT_KG);
            let (phase, kg, feed, to_sale) = match set.kind {
                GroupKind::Growing => {
                    let kg = growth::weight_after(p, g.kg.unwrap_or(30.0), days);
                    let left = if kg < sold_at_kg { growth::stretch(p, kg, sold_at_kg).days } else { 0.0 };
                    (Some(Phase::at_kg(kg)), Some(kg), growth::feed_kg_d(p, sex, kg, USUAL_ME), Some(left))
                }
                GroupKind::SowsInPig => {
                    let a_day =
                        (90.0 * p.early_kg_d + (p.gestation_days - 90.0) * p.late_kg_d) / p.gestation_days;
                    (Some(Phase::Gestation), g.kg, a_day, None)
                }
                GroupKind::SowsInMilk => (Some(Phase::Lactation), g.kg, p.lactation_kg_d, None),
                GroupKind::GoatsDry | GroupKind::GoatsLate | GroupKind::GoatsInMilk => {
                    (None, g.kg, 0.0, None)
                }
            };
            GroupToday {
                id: set.id.clone(),
                name: set.name.clone(),
                kind: set.kind.words(),
                pigs: phase.is_some(),
                head: g.head,
                died: g.died,
                kg,
                phase,
                feed_kg_d: feed,
                sold_at_kg,
                days_to_sale: to_sale,
                feed_bin: set.feed_bin.clone(),
                sex,
                bedded: set.bedded,
            }
        })
        .collect()
}

/// Feed a day of one pig of the group when it weighs `kg`.
pub fn eats_at(f: &Facts<'_>, g: &GroupToday, kg: f64) -> f64 {
    growth::feed_kg_d(&f.params, g.sex, kg, USUAL_ME)
}
