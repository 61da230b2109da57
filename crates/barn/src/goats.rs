//! Goats: hay, grain and straw by group.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::GroupId;
use stook_book::payload::GroupKind;
use stook_feed::goat::{self, Goat};

use crate::Facts;

/// Weight of a doe when the group does not say, kg; hay she eats, share of her weight; digestible nutrients of hay and grain.
const DOE_KG: f64 = 60.0;
const HAY_SHARE: f64 = 0.022;
const HAY_SHARE_MILK: f64 = 0.03;
const HAY_TDN: f64 = 0.52;
const GRAIN_TDN: f64 = 0.84;
/// Milk of a meat doe with twins, kg a day.
const MILK_KG: f64 = 1.6;

/// A group of goats today.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GoatsToday {
    /// Name.
    pub name: String,
    /// Kind in words.
    pub kind: &'static str,
    /// Head.
    pub head: u32,
    /// Digestible nutrients for each, kg a day.
    pub tdn_kg: f64,
    /// Protein for each, kg a day.
    pub protein_kg: f64,
    /// Hay for each, kg a day.
    pub hay_kg: f64,
    /// Whole grain (barley or oats) for each, kg a day.
    pub grain_kg: f64,
    /// The same if the grain is wheat: held lower.
    pub wheat_kg: f64,
    /// Whether grain within the limit leaves her short: better hay is the answer.
    pub short: bool,
    /// The year of the does by their breeding, when it is written.
    pub year: Option<GoatYear>,
    /// Sentences of caution.
    pub cautions: Vec<String>,
}

/// A breeding's dates.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GoatYear {
    /// Flushing, from and to: grain before and into breeding.
    pub flush: (Date, Date),
    /// Late pregnancy begins: the last fifty days before the first kids.
    pub late_from: Date,
    /// Kidding, first and last.
    pub kidding: (Date, Date),
    /// Grain to flush with today, kg each, low and high; none outside the weeks of it.
    pub flush_kg: Option<(f64, f64)>,
    /// What the day asks, in a sentence.
    pub words: String,
}

/// Days a doe carries, and of the late part.
const CARRIES: i64 = 150;
const LATE: i64 = 50;
/// Flushing: days before the buck goes in, and after.
const FLUSH: (i64, i64) = (14, 21);
/// Days the buck stays when his leaving is not written: two heats.
const BUCK_STAYS: i64 = 42;

/// The year of a group by its breeding written last; none when there is none, or its kids are long there.
pub fn year(f: &Facts<'_>, group: &GroupId) -> Option<GoatYear> {
    let b = f.farm.barn.breedings.iter().rev().find(|b| b.is.group == *group && b.on() <= f.on)?;
    let plus = |d: Date, n: i64| d.saturating_add(jiff::Span::new().days(n));
    let out = b.is.buck_out.unwrap_or(plus(b.is.buck_in, BUCK_STAYS));
    let flush = (plus(b.is.buck_in, -FLUSH.0), plus(b.is.buck_in, FLUSH.1));
    let kidding = (plus(b.is.buck_in, CARRIES), plus(out, CARRIES));
    let late_from = plus(kidding.0, -LATE);
    if f.on > plus(kidding.1, 60) {
        return None;
    }
    let flushing = f.on >= flush.0 && f.on <= flush.1;
    let days = |to: Date| (to - f.on).get_days();
    let words = if flushing {
        "Flush them now: the grain below each day, stepped in over a week.".to_string()
    } else if f.on < flush.0 {
        format!("Flushing begins in {} days.", days(flush.0))
    } else if f.on < late_from {
        format!("Late pregnancy begins in {} days: hay is enough until then.", days(late_from))
    } else if f.on < kidding.0 {
        format!(
            "Late pregnancy: kids in {} days at the earliest. Step the grain up now; clean pens, straw and iodine ready.",
            days(kidding.0)
        )
    } else if f.on <= kidding.1 {
        "Kidding now: look in at night. Write the does down as in milk when their kids are there.".into()
    } else {
        "Kidding is past: write the does down as in milk.".into()
    };
    Some(GoatYear {
        flush,
        late_from,
        kidding,
        flush_kg: flushing.then_some((f.params.goat_flush_low, f.params.goat_flush_high)),
        words,
    })
}

/// Every group of goats.
pub fn today(f: &Facts<'_>) -> Vec<GoatsToday> {
    f.farm
        .barn
        .groups_on(f.on)
        .into_iter()
        .filter_map(|g| {
            let set = &g.set_up.is;
            let year = year(f, &set.id);
            let (late, milk) = match set.kind {
                // Written as dry, but late by the buck's day: the does do not wait for the entry.
                GroupKind::GoatsDry => {
                    (year.as_ref().is_some_and(|y| f.on >= y.late_from && f.on <= y.kidding.1), 0.0)
                }
                GroupKind::GoatsLate => (true, 0.0),
                GroupKind::GoatsInMilk => (false, MILK_KG),
                _ => return None,
            };
            let kg = g.kg.unwrap_or(DOE_KG);
            let need = goat::need(&f.params, &Goat { kg, milk_kg_d: milk, fat_pct: 4.0, activity: 1.25, late_pregnant: late, gain_g_d: 0.0 });
            let hay = (kg * if milk > 0.0 { HAY_SHARE_MILK } else { HAY_SHARE }).max(need.forage_kg);
            let (grain, short) = goat::grain_kg(&f.params, &need, hay, HAY_TDN, GRAIN_TDN, false);
            let (wheat, _) = goat::grain_kg(&f.params, &need, hay, HAY_TDN, GRAIN_TDN, true);
            let mut cautions = vec![
                "Hay first, grain whole, no more than a pound at a feeding, changed over one to two weeks: a gut turned acid kills within a day.".to_string(),
                "Never pig feed, pig premix or medicated pig feed to goats or sheep.".to_string(),
            ];
            if late {
                cautions.push("A doe that goes off her feed now may have twin-lamb disease: ring the veterinarian.".into());
            }
            Some(GoatsToday {
                name: set.name.clone(),
                kind: set.kind.words(),
                head: g.head,
                tdn_kg: need.tdn_kg,
                protein_kg: need.protein_kg,
                hay_kg: hay,
                grain_kg: grain,
                wheat_kg: wheat,
                short,
                year,
                cautions,
            })
        })
        .collect()
}
