//! The reckoning of one bin, step by step, so that a page can show what is known so far.

use std::sync::Arc;

use jiff::civil::{Date, DateTime};
use stook_book::payload::UnitChoice;
use stook_grain::control::Hour;

use crate::bin_case::{Case, NoAir, Push};
use crate::carry::{Now, wet_kg_m2};
use crate::compare::{Tried, cheapest};
use crate::money::Prices;
use crate::params::KeepParams;
use crate::plan::Plan;
use crate::play::{Play, Played, play};
use crate::signs::Looked;
use crate::stack::Stack;

/// What is known of a bin beside its models.
#[derive(Debug, Clone)]
pub struct About {
    /// Key.
    pub bin: String,
    /// Name.
    pub name: String,
    /// "6,800 bu of spring wheat".
    pub holds: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// The last grain in.
    pub filled: Option<Date>,
    /// Units to speak in.
    pub units: UnitChoice,
    /// What was seen of late.
    pub looked: Looked,
    /// What was taken in place of facts.
    pub assumed: Vec<String>,
    /// What is wrong in what was given.
    pub faults: Vec<String>,
    /// Whether air comes in over the whole floor.
    pub full_floor: bool,
}

/// One bin being reckoned.
#[derive(Debug, Clone)]
pub struct Work {
    /// Numbers.
    pub p: Arc<KeepParams>,
    /// About it.
    pub about: About,
    /// The bin.
    pub case: Case,
    /// As it is this evening.
    pub now: Now,
    /// What its fan does.
    pub push: Result<Push, NoAir>,
    /// Prices.
    pub prices: Prices,
    /// Hours from this evening on, by weather.
    pub weathers: Arc<Vec<Vec<Hour>>>,
    /// This evening.
    pub evening: DateTime,
    /// Plans to try.
    pub plans: Vec<Plan>,
    /// Tried so far, in that order.
    pub tried: Vec<Tried>,
    /// The chosen plan begun a day later, and in one weather with its pictures.
    pub last: Option<Last>,
    start: Stack,
}

/// What is reckoned once the plan is chosen.
#[derive(Debug, Clone)]
pub struct Last {
    /// Which of the tried is chosen.
    pub chosen: usize,
    /// The same a day later.
    pub delayed: Option<Tried>,
    /// The middle weather, fan off, day by day.
    pub off: Played,
    /// The middle weather under the plan.
    pub plan: Played,
}

impl Work {
    /// Begins.
    pub fn new(
        p: Arc<KeepParams>,
        about: About,
        case: Case,
        now: Now,
        prices: Prices,
        weathers: Arc<Vec<Vec<Hour>>>,
        evening: DateTime,
    ) -> Self {
        let depth = case.depth_m(wet_kg_m2(&now.stack));
        let push = case.push(&p, depth);
        let wet = now.stack.bed.layers.iter().any(|l| l.m_wb_pct() > case.keep_pct + 0.3);
        let plans = match (&push, wet) {
            (Err(_), _) => vec![Plan::Off],
            (Ok(_), true) => Plan::WET.to_vec(),
            (Ok(_), false) => Plan::DRY.to_vec(),
        };
        let start = now.stack.coarser(p.layers_ahead);
        Self {
            p,
            about,
            case,
            now,
            push,
            prices,
            weathers,
            evening,
            plans,
            tried: Vec::new(),
            last: None,
            start,
        }
    }

    /// Whether any of it is too wet to keep through winter.
    pub fn is_wet(&self) -> bool {
        self.now.stack.bed.layers.iter().any(|l| l.m_wb_pct() > self.case.keep_pct + 0.3)
    }

    /// Days of life left in its worst part, as it lies; without end where no life is known.
    pub fn days_left(&self) -> f64 {
        self.now.stack.shortest(&self.p.life, self.case.grain).map_or(f64::INFINITY, |(_, d)| d[1])
    }

    /// Steps to take in all: one a plan, one for the choice.
    pub fn steps(&self) -> usize {
        self.plans.len() + 1
    }

    /// Steps taken.
    pub fn done(&self) -> usize {
        self.tried.len() + usize::from(self.last.is_some())
    }

    fn with(&self) -> Play<'_> {
        Play {
            p: &self.p,
            case: &self.case,
            push: self.push.as_ref().ok(),
            prices: &self.prices,
            from: 0,
            fan_on: self.now.fan_on,
            delay_h: 0,
            pictures: false,
        }
    }

    /// Takes the next step; false when there is none left.
    pub fn step(&mut self) -> bool {
        if self.weathers.is_empty() || self.done() >= self.steps() {
            return false;
        }
        if let Some(plan) = self.plans.get(self.tried.len()).copied() {
            let tried = Tried::over(&self.start, &self.weathers, plan, &self.with());
            self.tried.push(tried);
            return true;
        }
        let chosen = self.choose();
        let plan = self.tried[chosen].plan;
        let delayed = (plan != Plan::Off)
            .then(|| Tried::over(&self.start, &self.weathers, plan, &Play { delay_h: 24, ..self.with() }));
        let hours = &self.weathers[self.middle(chosen)];
        let shown = Play { pictures: true, ..self.with() };
        // The picture is in as many layers as the bin is shown in.
        let off = play(&self.now.stack, hours, Plan::Off, &shown);
        let plan = play(&self.now.stack, hours, plan, &shown);
        self.last = Some(Last { chosen, delayed, off, plan });
        true
    }

    /// All steps.
    pub fn finish(&mut self) {
        while self.step() {}
    }

    /// Which plan to follow of those tried.
    ///
    /// Wet grain: the cheapest over the weathers; where two are alike within half a percent of the money, drying first,
    /// since it leaves less to chance. Dry grain: cooling by fronts until it is as cold as it should be for winter,
    /// whatever the few kilowatt-hours; else off.
    pub fn choose(&self) -> usize {
        let at = |plan: Plan| self.tried.iter().position(|t| t.plan == plan);
        if self.push.is_err() || self.tried.len() < 2 {
            return 0;
        }
        if self.is_wet() {
            let Some((best, _)) = cheapest(&self.tried) else { return 0 };
            if let Some(dry) = at(Plan::DryThenCool) {
                let gap = self.tried[dry].mean() - self.tried[best].mean();
                if gap <= 0.005 * self.tried[best].mean().abs().max(200.0) {
                    return dry;
                }
            }
            return best;
        }
        let winter = self.p.control.winter_c + self.p.control.stop_within_k;
        match at(Plan::CoolByFronts) {
            Some(cool) if self.now.stack.bed.warmest_c() > winter => cool,
            _ => 0,
        }
    }

    /// The weather nearest the middle by what the plan costs: the one to draw.
    fn middle(&self, chosen: usize) -> usize {
        let mut by_cost: Vec<(usize, f64)> =
            self.tried[chosen].played.iter().map(|r| r.cost.total()).enumerate().collect();
        by_cost.sort_by(|a, b| a.1.total_cmp(&b.1));
        by_cost.get(by_cost.len() / 2).map_or(0, |x| x.0)
    }
}
