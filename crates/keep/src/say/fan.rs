//! The fan on its bed, in words: what it pushes, whether that is enough, and what one more foot costs.

use stook_book::payload::UnitChoice;
use stook_grain::air::PA_PER_IN_WATER;
use stook_measure::{figure, units};

use super::height;
use crate::answer::FanSays;
use crate::bin_case::{NoAir, Push, PushBy};
use crate::carry::wet_kg_m2;
use crate::work::Work;

/// What is said of the fan.
pub(super) fn fan_says(w: &Work) -> FanSays {
    let u = &w.about.units;
    let depth_m = w.case.depth_m(wet_kg_m2(&w.now.stack));
    let push = w.push.as_ref().ok().copied();
    let deeper = depth_m + units::ft_to_m(1.0);
    let more = w.case.push(&w.p, deeper);
    let one_more_foot = match (&push, &more) {
        (Some(a), Ok(b)) if a.by == PushBy::Curve => {
            let hours = |q: f64| w.p.natural.front_hours(q)[1];
            Some((b.cfm_bu, (hours(b.cfm_bu) - hours(a.cfm_bu)) / 24.0))
        }
        _ => None,
    };
    FanSays {
        on_now: w.now.fan_on,
        push,
        words: words(u, w, &w.push),
        depth_m,
        objections: objections(w, push.as_ref(), depth_m, &more),
        one_more_foot,
        front_h: push.map(|p| w.p.natural.front_hours(p.cfm_bu)[1]),
        money_h: push.map_or(0.0, |p| p.kw * w.prices.kwh),
    }
}

fn words(u: &UnitChoice, w: &Work, push: &Result<Push, NoAir>) -> String {
    let p = match push {
        Ok(p) => p,
        Err(why) => return format!("No air: {why}."),
    };
    let by = match p.by {
        PushBy::Curve => "by its curve",
        PushBy::Power => "by its motor's power, since its curve is not in the book: good to a third",
        PushBy::Taken => {
            "taken as the least for cooling, since neither its curve nor its power is in the book: enter them"
        }
    };
    let on = if w.now.fan_on { "On" } else { "Off" };
    let depth = height(u, w.case.depth_m(wet_kg_m2(&w.now.stack)));
    format!(
        "{on}. Through {depth} of grain it gives {} cfm a bushel at {} in of water, {by}; it warms the air by {} C and draws {} kW. A cooling front takes about {} h of fan.",
        figure(p.cfm_bu, 2),
        figure(p.pa / PA_PER_IN_WATER, 1),
        figure(p.rise_k, 1),
        figure(p.kw, 1),
        figure(w.p.natural.front_hours(p.cfm_bu)[1], 0),
    )
}

fn objections(w: &Work, push: Option<&Push>, depth_m: f64, more: &Result<Push, NoAir>) -> Vec<String> {
    let mut out = Vec::new();
    let wettest = w.now.stack.bed.layers.iter().map(stook_grain::bed::Layer::m_wb_pct).fold(0.0, f64::max);
    if let Some(p) = push {
        if w.is_wet() && w.case.grain.is_wheat() {
            out.extend(w.p.natural.wheat_objections(wettest, p.cfm_bu, depth_m));
        }
        if p.pa > w.p.fan.axial_stall_pa {
            out.push("at this pressure an axial fan is likely to stall; a centrifugal one is not".into());
        }
    }
    if let (Some(_), Err(NoAir::Fan(why))) = (push, more) {
        out.push(format!("one more foot is too deep: {why}"));
    }
    if !w.about.full_floor && push.is_some() {
        out.push("air comes in by ducts or a tube, not over the whole floor: corners get less than is reckoned here".into());
    }
    out
}
