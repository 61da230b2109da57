//! A reckoning put in words.

mod fan;
mod grounds;
mod life;
mod night;
mod plans;

use jiff::civil::DateTime;
use stook_book::payload::{LengthUnit, UnitChoice};
use stook_measure::{figure, units};
use stook_season::words;

use crate::answer::{BinAir, Block, PlanSays};
use crate::choices::{WetPart, choices};
use crate::compare::{Tried, blocks};
use crate::spring;
use crate::work::Work;

/// Hours of tonight.
const NIGHT_H: usize = 24;

impl Work {
    /// The answer as far as it is reckoned.
    pub fn answer(&self) -> BinAir {
        let u = &self.about.units;
        let chosen = self
            .last
            .as_ref()
            .map_or_else(|| self.choose().min(self.tried.len().saturating_sub(1)), |l| l.chosen);
        let tried = self.tried.get(chosen);
        let shares = tried.map(Tried::first_hours).unwrap_or_default();
        let life = life::life(self);
        let hours = night::hours(self, &shares);
        let runs = blocks(&shares);
        let hold = spring::hold(self);
        let on: Vec<Block> = if hold.is_some() { Vec::new() } else { as_blocks(self.evening, &runs) };
        let alarms = self.about.looked.alarms(&self.p);
        let plans = plans::plans(self, chosen);
        let mut next = Vec::new();
        if let Some(p) = plans.get(chosen)
            && self.is_wet()
            && hold.is_none()
            && (self.push.is_err() || p.in_time < self.p.sure_share)
        {
            next = next_words(self, p);
        }
        let what = match hold.clone() {
            Some(held) => held,
            None if self.tried.is_empty() && !alarms.iter().any(|a| a.urgent) => {
                format!("{}: being reckoned.", self.about.name)
            }
            None => what(self, &on, &runs, &alarms),
        };
        let mut why = Vec::new();
        if let Some(l) = &life {
            why.push(life::life_words(u, l));
        }
        why.extend(night::air_words(self, &hours, &on));
        if let Some(p) = plans.get(chosen) {
            why.extend(plans::plan_words(self, p));
        }
        BinAir {
            bin: self.about.bin.clone(),
            name: self.about.name.clone(),
            holds: self.about.holds.clone(),
            as_of: self.evening.date(),
            what,
            why,
            change: change(self),
            next,
            alarms,
            fan: fan::fan_says(self),
            on,
            hours: hours.into_iter().take(NIGHT_H).collect(),
            layers: grounds::layers(self),
            workings: grounds::workings(self, life.as_ref()),
            life,
            plans,
            frames: plans::frames(self),
            waiting: plans::waiting(self),
            at_stake: self.about.mass_kg / 1000.0 * (self.prices.sound_t - self.prices.spoiled_t).max(0.0),
            readings: grounds::readings(self),
            assumed: self.about.assumed.clone(),
            faults: self.about.faults.clone(),
            done: self.done(),
            of: self.steps(),
            weathers: self.weathers.len(),
        }
    }
}

/// `22:00`.
fn clock(t: DateTime) -> String {
    format!("{}:{:02}", t.hour(), t.minute())
}

/// A height in the farm's unit.
pub(crate) fn height(u: &UnitChoice, m: f64) -> String {
    match u.length {
        LengthUnit::Feet => format!("{} ft", figure(units::m_to_ft(m), 0)),
        LengthUnit::Metres => format!("{} m", figure(m, 1)),
    }
}

fn as_blocks(evening: DateTime, runs: &[(usize, usize)]) -> Vec<Block> {
    let at = |h: usize| evening.saturating_add(jiff::Span::new().hours(h as i64));
    runs.iter().filter(|r| r.0 < NIGHT_H).map(|r| Block { from: at(r.0), to: at(r.1) }).collect()
}

fn what(w: &Work, on: &[Block], runs: &[(usize, usize)], alarms: &[crate::answer::Alarm]) -> String {
    let name = &w.about.name;
    if alarms.iter().any(|a| a.urgent) {
        return match w.push {
            Ok(_) => format!("{name}: fan ON now, and look into it from outside."),
            Err(_) => format!("{name}: start moving it out; look into it from outside."),
        };
    }
    if w.push.is_err() {
        let wet = WetPart::of(&w.p, &w.case, &w.now.stack);
        return match (wet, &w.case.fan) {
            (Some(p), None) if p.days < 60.0 => format!(
                "{name} has no fan: move the wet {} out within {}.",
                tonnes(p.wet_t),
                days(0.5 * p.days)
            ),
            (Some(p), Some(_)) if p.days < 60.0 => format!(
                "{name}: its fan cannot help; move the wet {} out within {}.",
                tonnes(p.wet_t),
                days(0.5 * p.days)
            ),
            _ => format!("{name}: nothing to do tonight."),
        };
    }
    let Some(first) = on.first() else {
        return if w.now.fan_on {
            format!("{name}: switch the fan OFF tonight.")
        } else {
            format!("{name}: leave the fan off tonight.")
        };
    };
    let start = if first.from <= w.evening { "now".to_string() } else { format!("at {}", clock(first.from)) };
    let long = runs.first().is_some_and(|r| r.1 >= 40);
    if long {
        return if w.now.fan_on {
            format!("{name}: leave the fan ON, day and night.")
        } else {
            format!("{name}: fan ON {start}, and leave it on day and night.")
        };
    }
    let day = if first.to.date() > first.from.date() && first.to.hour() >= 12 { " tomorrow" } else { "" };
    let rest = match on.get(1) {
        Some(b) => format!(", and again {} to {}", clock(b.from), clock(b.to)),
        None => String::new(),
    };
    format!("{name}: fan ON {start}, off at {}{day}{rest}.", clock(first.to))
}

fn tonnes(t: f64) -> String {
    format!("{} t", figure(t, 0))
}

fn days(d: f64) -> String {
    match d {
        d if d < 1.5 => "a day".into(),
        d => format!("{} days", figure(d.floor(), 0)),
    }
}

fn change(w: &Work) -> String {
    if w.push.is_err() {
        return "A reading of its temperature and moisture.".into();
    }
    if w.is_wet() {
        "A probe of the top: its moisture and temperature. Rain or fog drawn in: switch it off while it lasts. Once begun, the cool front must come out of the top.".into()
    } else {
        "A reading of its temperature. Rain, fog or snow drawn in: switch it off while it lasts.".into()
    }
}

/// What to do besides, with what it costs.
fn next_words(w: &Work, p: &PlanSays) -> Vec<String> {
    let u = &w.about.units;
    let Some(wet) = WetPart::of(&w.p, &w.case, &w.now.stack) else { return Vec::new() };
    let mut out = vec![if w.push.is_err() {
        format!("There is no air for it; what can be done with the wet {}:", tonnes(wet.wet_t))
    } else {
        format!(
            "Air alone dries it in time in {}; what else can be done with the wet {}:",
            words::in_ten(p.in_time),
            tonnes(wet.wet_t)
        )
    }];
    for c in choices(&w.p, &w.case, &w.prices, &wet) {
        let money = if c.money < -0.5 {
            format!("gains about {}", words::cash(u, -c.money))
        } else {
            format!("costs about {}", words::cash(u, c.money))
        };
        out.push(format!("{} It {money}.", c.words));
    }
    if w.push.is_ok() {
        out.push(format!(
            "With air alone it costs about {}, the chance of spoiling in it.",
            words::cash(u, p.mean)
        ));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn shares_and_blocks_are_said_plainly() {
        let evening = date(2026, 9, 3).at(18, 0, 0, 0);
        let b = as_blocks(evening, &[(4, 14), (30, 40)]);
        assert_eq!(b.len(), 1);
        assert_eq!((clock(b[0].from), clock(b[0].to)), ("22:00".into(), "8:00".into()));
        assert_eq!(days(0.7), "a day");
    }
}
