//! One bin through one weather under one plan.

use stook_grain::bed::Air;
use stook_grain::control::Hour;

use crate::bin_case::{Case, Push};
use crate::carry::blow;
use crate::money::{Cost, Prices, standing};
use crate::params::KeepParams;
use crate::plan::{Plan, Runner};
use crate::stack::Stack;

/// What is played.
#[derive(Debug, Clone, Copy)]
pub struct Play<'a> {
    /// Numbers.
    pub p: &'a KeepParams,
    /// The bin.
    pub case: &'a Case,
    /// What the fan does; none where there is no air.
    pub push: Option<&'a Push>,
    /// Prices.
    pub prices: &'a Prices,
    /// First hour decided on; before it the fan is as it is.
    pub from: usize,
    /// Whether it is on now.
    pub fan_on: bool,
    /// Hours the plan is put off, the fan off in them.
    pub delay_h: usize,
    /// Keep the layers at the end of each day.
    pub pictures: bool,
}

/// How it came out.
#[derive(Debug, Clone)]
pub struct Played {
    /// Money.
    pub cost: Cost,
    /// Hours of fan.
    pub fan_h: f64,
    /// Energy, kWh.
    pub kwh: f64,
    /// Hours until every layer was dry enough to keep.
    pub dry_h: Option<f64>,
    /// Hours until the worst layer had spent its life.
    pub out_h: Option<f64>,
    /// Hours until nothing was warmer than the temperature to reach next.
    pub cool_h: Option<f64>,
    /// Whether the fan ran, for each of the first hours decided on.
    pub first: Vec<bool>,
    /// At the end.
    pub end: Stack,
    /// Layers at the end of each day.
    pub pictures: Vec<Stack>,
}

/// Plays it. `hours` begins where `start` stands.
pub fn play(start: &Stack, hours: &[Hour], plan: Plan, play: &Play<'_>) -> Played {
    const FIRST: usize = 48;
    let Play { p, case, push, prices, from, fan_on, delay_h, pictures } = *play;
    let cool_to_c = p.cool_to_c(start.bed.warmest_c());
    let mut s = start.clone();
    let mut runner = Runner::new(plan, p, case);
    let creep = case.creep_a_day(p, s.bed.mean_wb_pct());
    let mut out = Played {
        cost: Cost::default(),
        fan_h: 0.0,
        kwh: 0.0,
        dry_h: None,
        out_h: None,
        cool_h: None,
        first: Vec::with_capacity(FIRST),
        end: Stack { bed: start.bed.clone(), spent: Vec::new(), each_kg_m2: start.each_kg_m2 },
        pictures: Vec::new(),
    };
    let mut day_sum = (0.0, 0.0);
    for (i, hour) in hours.iter().enumerate() {
        let known = hour.is_known();
        let mut on = false;
        if let (Some(push), true) = (push, known) {
            let inlet = Air::new(hour.t_c, hour.rh, hour.pressure_pa).warmed(push.rise_k);
            // The plan is asked before it starts too, so that it knows the day's mean air.
            let says = runner.on(&s.bed, hour, inlet);
            on = if i < from {
                fan_on
            } else if i < from + delay_h {
                false
            } else {
                says
            };
            if on {
                blow(&mut s, push, hour, 1.0);
                out.fan_h += 1.0;
                out.kwh += push.kw;
            }
        }
        if i >= from && out.first.len() < FIRST {
            out.first.push(on);
        }
        if known {
            day_sum = (day_sum.0 + hour.t_c, day_sum.1 + 1.0);
        }
        let now_h = (i + 1) as f64;
        if (i + 1) % 6 == 0 {
            s.spend(&p.life, case.grain, 0.25);
            if out.out_h.is_none() && s.spent.iter().any(|x| x.likely >= 1.0) {
                out.out_h = Some(now_h);
            }
            if out.dry_h.is_none() && s.bed.layers.iter().all(|l| l.m_wb_pct() <= case.keep_pct + 0.05) {
                out.dry_h = Some(now_h);
            }
            if out.cool_h.is_none() && s.bed.warmest_c() <= cool_to_c {
                out.cool_h = Some(now_h);
            }
        }
        if (i + 1) % 24 == 0 {
            if day_sum.1 > 0.0 {
                s.creep(day_sum.0 / day_sum.1, creep);
            }
            day_sum = (0.0, 0.0);
            if pictures {
                out.pictures.push(s.clone());
            }
        }
    }
    out.cost = standing(p, case, prices, &s);
    out.cost.energy = out.kwh * prices.kwh;
    out.end = s;
    out
}
