//! "Am I throwing it over? How fast?": the farm's own pan tests, what to change, and the speed that makes most money.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{LossMeasure, MachineKind, PanTest};
use stook_grain::loss::{self, BySource, FeedLoss, Lying};
use stook_harvest::adjust::{self, Adjustment};
use stook_harvest::combine::mog_t_h;
use stook_harvest::speed::{self, AtSpeed, Stakes};
use stook_measure::units::{bu_ac_to_kg_ha, kg_ha_to_bu_ac, m_to_ft};
use stook_measure::{Op, Working, figure};

use crate::SeasonError;
use crate::answer::Job;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::{order, words};

/// Pounds in a bushel of wheat.
const LB: f64 = 60.0;
/// Square feet in a square metre.
const FT2_PER_M2: f64 = 10.763_910_416_7;

/// The combine's page.
#[derive(Debug, Clone, Serialize)]
pub struct CombineAnswer {
    /// What to do, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// Tests of the year, latest first.
    pub tests: Vec<Tested>,
    /// Machine loss aimed at, % of the crop.
    pub target_pct: f64,
    /// What an hour of the combine is worth.
    pub hour: HourWorth,
    /// The speed that pays, when a test gives its curve.
    pub speed: Option<SpeedAnswer>,
    /// The whole table of what is seen and what to change.
    pub table: Vec<Adjustment>,
}

/// One pan test, reckoned.
#[derive(Debug, Clone, Serialize)]
pub struct Tested {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Day.
    pub date: Date,
    /// The entry.
    pub entry: String,
    /// Ground speed, km/h, when it was written.
    pub speed_kmh: Option<f64>,
    /// Yield taken, kg/ha.
    pub yield_kg_ha: f64,
    /// Whether that yield was written with the test.
    pub yield_is_own: bool,
    /// Losses by source, bu/ac.
    pub by_source: BySource,
    /// All of it, bu/ac.
    pub total_bu_ac: f64,
    /// All of it, % of the crop.
    pub total_pct: f64,
    /// Machine loss, % of the crop.
    pub machine_pct: f64,
    /// All of it, money/ha.
    pub money_ha: f64,
    /// All of it over what still stands of the field, money.
    pub money_left: f64,
    /// The part most lost at: `standing`, `header`, `separator`, `shoe` or `machine`.
    pub worst: &'static str,
    /// What to change, in order.
    pub change: Vec<String>,
    /// The reckoning.
    pub working: Working,
}

/// What an hour of the combine is worth.
#[derive(Debug, Clone, Serialize)]
pub struct HourWorth {
    /// Fuel, hands and wear, money/h.
    pub running: f64,
    /// What the fields that wait lose, money/h.
    pub waiting: f64,
    /// In words.
    pub words: String,
}

impl HourWorth {
    /// Both.
    pub fn total(&self) -> f64 {
        self.running + self.waiting
    }
}

/// The speed that pays.
#[derive(Debug, Clone, Serialize)]
pub struct SpeedAnswer {
    /// For which field.
    pub name: String,
    /// The best.
    pub best: AtSpeed,
    /// At the speed of the latest test or the machine's usual one.
    pub now: AtSpeed,
    /// The curve.
    pub curve: Vec<AtSpeed>,
    /// Loss against feed rate.
    pub law: FeedLoss,
    /// Tests behind it.
    pub tests: usize,
    /// Whether the exponent is the farm's own.
    pub exponent_is_own: bool,
    /// The reckoning.
    pub working: Working,
}

/// Answers.
///
/// # Errors
/// When the farm has no place.
pub fn combine(q: &Question<'_>) -> Result<CombineAnswer, SeasonError> {
    Ok(of(&carry(q)?, q))
}

fn of(c: &Carried, q: &Question<'_>) -> CombineAnswer {
    let p = &c.model.harvest.combine;
    let machine = q.farm.machine(MachineKind::Combine);
    let width_m =
        machine.map_or_else(|| c.model.reference.get("season.machine.combine.width_m"), |m| m.width_m);
    let year = c.model.year;
    let mut tests: Vec<Tested> = q
        .farm
        .fields
        .values()
        .flat_map(|r| r.pan_tests.iter().map(move |t| (r, t)))
        .filter(|(_, t)| t.on().year() == year && t.on() <= c.as_of)
        .map(|(r, t)| tested(c, r, t, width_m))
        .collect();
    tests.sort_by(|a, b| b.date.cmp(&a.date).then_with(|| b.entry.cmp(&a.entry)));
    let hour = hour_worth(c);
    let speed = speed_answer(c, machine.map(|m| m.speed_kmh), width_m, &tests, &hour);
    let (headline, why) = in_words(c, &tests, speed.as_ref(), &hour);
    CombineAnswer {
        headline,
        why,
        tests,
        target_pct: p.target_loss_pct,
        hour,
        speed,
        table: adjust::table().to_vec(),
    }
}

fn tested(c: &Carried, r: &FieldRecord, t: &Fact<PanTest>, width_m: f64) -> Tested {
    let (x, p) = (&t.is, &c.model.harvest.combine);
    let ft2 = x.area_m2 * FT2_PER_M2;
    // What one bushel an acre looks like on a square foot, in what was counted.
    let mark = match (x.measure, x.tkw_g) {
        (LossMeasure::Grams, _) => loss::grams_per_ft2(LB),
        (LossMeasure::Kernels, Some(tkw)) => loss::kernels_per_ft2(LB, tkw),
        (LossMeasure::Kernels, None) => p.kernels_wheat,
    };
    let on_ground = |found: f64| found / ft2 / mark;
    let standing = on_ground(x.standing.unwrap_or(0.0));
    let cut_ground = on_ground(x.cut_ground.unwrap_or(0.0)).max(standing);
    let discharge_m = x.discharge_m.unwrap_or(p.discharge_m);
    let factor = loss::concentration(width_m, discharge_m).max(1.0);
    let lying = Lying {
        standing,
        cut_ground,
        behind: on_ground(x.behind),
        separator_and_shoe: x.from_separator.zip(x.from_shoe),
    };
    let by_source = loss::by_source(&lying, factor);
    let index = c.model.field_index(x.field.as_str());
    let outlook = index.map(|f| middle_state(c, f).by_water_kg_ha(&c.model.fields[f]));
    let yield_kg_ha = x.yield_kg_ha.or(outlook).unwrap_or(c.model.season.cap_kg_ha);
    let harvested = kg_ha_to_bu_ac(yield_kg_ha, LB);
    let total_bu_ac = by_source.total();
    let price_bu = c.model.season.wheat_per_t / stook_measure::units::bushels_per_tonne(LB);
    let money_ha = bu_ac_to_kg_ha(total_bu_ac, LB) / 1000.0 * c.model.season.wheat_per_t;
    let left_ha = index.map_or(0.0, |f| middle_state(c, f).left_ha(Job::Cut));
    let machine_pct = loss::percent(by_source.machine, harvested);
    let worst = worst(&by_source);
    let unit = if x.measure == LossMeasure::Grams { "g/ft2" } else { "kernels/ft2" };
    let working = Working::new("Loss by source")
        .line(Op::Note, "A bushel an acre on a square foot", mark, unit, 2)
        .line(Op::Note, "Found behind, on a square foot", x.behind / ft2, unit, 1)
        .line(Op::Note, "Found on cut ground", x.cut_ground.unwrap_or(0.0) / ft2, unit, 1)
        .line(
            Op::Note,
            format!(
                "Cut {} ft over straw {} ft: so many times concentrated",
                figure(m_to_ft(width_m), 0),
                figure(m_to_ft(discharge_m), 1)
            ),
            factor,
            "",
            2,
        )
        .line(Op::Start, "Shattered in the standing crop", by_source.standing, "bu/ac", 2)
        .line(Op::Plus, "At the header", by_source.header, "bu/ac", 2)
        .line(Op::Plus, "Through the machine", by_source.machine, "bu/ac", 2)
        .sum("In all", total_bu_ac, "bu/ac", 2)
        .note(format!(
            "Worth {} a bushel. Percent is of all that stood: lost over harvested and lost.",
            figure(price_bu, 2)
        ))
        .source("procedure of Hofman, Minnesota small grains page, 2003")
        .would_change("the kernel weight of your own seed lot; the width the straw fell on, by tape");
    Tested {
        field: x.field.to_string(),
        name: r.field().name.clone(),
        date: t.on(),
        entry: t.entry.to_string(),
        speed_kmh: x.speed_kmh,
        yield_kg_ha,
        yield_is_own: x.yield_kg_ha.is_some(),
        by_source,
        total_bu_ac,
        total_pct: loss::percent(total_bu_ac, harvested),
        machine_pct,
        money_ha,
        money_left: money_ha * left_ha,
        worst,
        change: change(x, worst, machine_pct, p.target_loss_pct),
        working,
    }
}

fn worst(b: &BySource) -> &'static str {
    let mut places = vec![("standing", b.standing), ("header", b.header)];
    match (b.separator, b.shoe) {
        (Some(a), Some(s)) => places.extend([("separator", a), ("shoe", s)]),
        _ => places.push(("machine", b.machine)),
    }
    places.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or("machine", |p| p.0)
}

/// What to change: what was seen first, then the part most is lost at, unless the loss is small enough to leave alone.
fn change(x: &PanTest, worst: &str, machine_pct: f64, target_pct: f64) -> Vec<String> {
    if let Some(row) = x.seen.as_deref().and_then(adjust::find) {
        return row.change.clone();
    }
    let first = |place: &str| adjust::at_place(place).next().map(|r| r.change.clone()).unwrap_or_default();
    match worst {
        "standing" => {
            vec!["nothing to set: it fell before the machine came; cut sooner, or where it holds".into()]
        }
        "header" => first("header"),
        _ if machine_pct <= target_pct => vec!["leave it: the machine is within what you aim at".into()],
        "separator" => adjust::find("straw").map(|r| r.change.clone()).unwrap_or_default(),
        "shoe" => {
            vec!["look at the sieves: matted means fan up and chaffer more open; bare means fan down".into()]
        }
        _ => vec![
            "hold the pan under each stream: in long straw it is the separator, in chaff the shoe".into(),
            "slow down a little and measure again".into(),
        ],
    }
}

/// What an hour of the combine is worth today: its running, and what the queue loses.
pub(super) fn hour_worth(c: &Carried) -> HourWorth {
    let machine = c.model.machine(Job::Cut);
    let running = machine.map_or(0.0, |m| c.model.season.cut_per_ha * m.ha_per_h);
    let day = order::machine_day(c, Job::Cut);
    let hours = machine.map_or(10.0, |m| m.hours_per_day);
    let waiting =
        day.as_ref().filter(|d| d.money.is_clear()).map_or(0.0, |d| (d.money.mean / hours).max(0.0));
    let u = &c.model.units;
    let words = if waiting > 0.5 {
        format!(
            "An hour of the combine is worth {}: {} to run it, and {} that the fields in the queue lose for each hour it stands (a lost day over its hours).",
            words::cash(u, running + waiting),
            words::cash(u, running),
            words::cash(u, waiting)
        )
    } else {
        format!(
            "An hour of the combine costs {} to run. A lost day makes no clear difference to the queue today, so nothing is added for it.",
            words::cash(u, running)
        )
    };
    HourWorth { running, waiting, words }
}

fn speed_answer(
    c: &Carried,
    usual_kmh: Option<f64>,
    width_m: f64,
    tests: &[Tested],
    hour: &HourWorth,
) -> Option<SpeedAnswer> {
    let p = &c.model.harvest.combine;
    let feed = |kmh: f64, kg_ha: f64| mog_t_h(kmh, width_m, kg_ha / 1000.0, p.mog_to_grain);
    let pans: Vec<(f64, f64)> = tests
        .iter()
        .filter(|t| t.machine_pct > 0.0)
        .filter_map(|t| Some((feed(t.speed_kmh?, t.yield_kg_ha), t.machine_pct)))
        .collect();
    let latest = tests.iter().find(|t| t.speed_kmh.is_some() && t.machine_pct > 0.0)?;
    let own = FeedLoss::fit(&pans).filter(|l| (0.3..=6.0).contains(&l.b));
    let law = own.or_else(|| {
        let (f, l) = *pans.first()?;
        Some(FeedLoss { a: l / f.powf(p.loss_exponent), b: p.loss_exponent })
    })?;
    let efficiency = c
        .model
        .machine(Job::Cut)
        .zip(usual_kmh)
        .map_or(0.7, |(m, kmh)| (m.ha_per_h / (width_m * kmh / 10.0)).clamp(0.3, 1.0));
    let stakes = Stakes {
        crop_per_ha: latest.yield_kg_ha / 1000.0 * c.model.season.wheat_per_t,
        hour: hour.total(),
        width_m,
        efficiency,
    };
    let at_kmh = |kmh: f64| law.at(feed(kmh, latest.yield_kg_ha));
    let (low, high) = (2.0, p.header_speed_kmh);
    let best = speed::best(low, high, &stakes, at_kmh);
    let now = speed::at(latest.speed_kmh.or(usual_kmh).unwrap_or(6.0), &stakes, at_kmh);
    let acre = stook_measure::units::HA_PER_ACRE;
    let working = Working::new(format!("Speed in {}", latest.name))
        .line(Op::Note, "Crop standing", stakes.crop_per_ha * acre, "an acre", 0)
        .line(Op::Note, "An hour of the combine", stakes.hour, "", 0)
        .line(Op::Note, "Loss rises with feed rate to the power", law.b, "", 2)
        .line(Op::Start, "Lost and time at the speed tested", now.total() * acre, "an acre", 2)
        .line(Op::Minus, "Lost over the back at the best speed", best.loss_per_ha * acre, "an acre", 2)
        .line(Op::Minus, "Time at the best speed", best.time_per_ha * acre, "an acre", 2)
        .sum("Better by", (now.total() - best.total()) * acre, "an acre", 2)
        .note(if own.is_some() {
            format!("The curve goes through your own {} tests.", pans.len())
        } else {
            "One test gives the height of the curve; its steepness is our judgement until a second test at another speed is written.".into()
        })
        .source("form of Nyborg 1967: loss as a power of the straw and chaff feed rate")
        .would_change("a test at another speed; rain in the forecast, which makes an hour dearer; damp straw, which loses more");
    Some(SpeedAnswer {
        name: latest.name.clone(),
        best,
        now,
        curve: speed::curve(low, high, 38, &stakes, at_kmh),
        law,
        tests: pans.len(),
        exponent_is_own: own.is_some(),
        working,
    })
}

fn in_words(
    c: &Carried,
    tests: &[Tested],
    speed: Option<&SpeedAnswer>,
    hour: &HourWorth,
) -> (String, String) {
    let u = &c.model.units;
    let Some(t) = tests.first() else {
        return (
            "Measure what lies behind the combine.".into(),
            "No loss is in the book this year. Count on a square foot behind, on cut ground and in the standing crop: five minutes in the first two hours of a field.".into(),
        );
    };
    let acre = stook_measure::units::HA_PER_ACRE;
    let lost = format!(
        "{} lost {} bu/ac in all on {}, {} % of the crop, {} an acre",
        t.name,
        figure(t.total_bu_ac, 1),
        words::day(t.date),
        figure(t.total_pct, 1),
        words::cash(u, t.money_ha * acre)
    );
    let first = t.change.first().map_or_else(String::new, |s| capital(s));
    let headline = match speed {
        Some(s) if (s.best.speed_kmh - s.now.speed_kmh).abs() >= 0.4 => {
            let dir = if s.best.speed_kmh > s.now.speed_kmh { "faster" } else { "slower" };
            match (first.as_str(), dir) {
                ("Slow down", "slower") => {
                    format!("Slow down to about {}.", words::speed(u, s.best.speed_kmh))
                }
                _ => format!("{first}. Drive {dir}: about {}.", words::speed(u, s.best.speed_kmh)),
            }
        }
        Some(s) => format!("{first}. Keep about {}.", words::speed(u, s.now.speed_kmh)),
        None => format!("{first}."),
    };
    (headline, format!("{lost}; most of it {}. {}", place_words(t.worst), hour.words))
}

/// Where a loss happens, in words.
pub fn place_words(place: &str) -> &'static str {
    match place {
        "standing" => "shattered before the machine came",
        "header" => "at the header",
        "separator" => "over the rotor or walkers",
        "shoe" => "over the shoe",
        _ => "through the machine",
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |f| f.to_uppercase().chain(letters).collect())
}
