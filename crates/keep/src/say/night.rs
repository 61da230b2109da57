//! Tonight hour by hour, and its air in words.

use stook_grain::bed::Air;
use stook_grain::moist;
use stook_measure::figure;
use stook_season::words;

use super::NIGHT_H;
use crate::answer::{Block, HourSays};
use crate::work::Work;

/// The hours from this evening on: the mean of the weathers, and what the air does past the fan.
pub(super) fn hours(w: &Work, shares: &[f64]) -> Vec<HourSays> {
    let n = w.weathers.iter().map(Vec::len).min().unwrap_or(0).min(48);
    let rise = w.push.as_ref().map_or(0.0, |p| p.rise_k);
    let Some(top) = w.now.stack.bed.layers.last() else { return Vec::new() };
    (0..n)
        .filter_map(|h| {
            let known: Vec<_> =
                w.weathers.iter().map(|m| m[h]).filter(stook_grain::control::Hour::is_known).collect();
            let first = known.first()?;
            let mean = |of: &dyn Fn(&stook_grain::control::Hour) -> f64| {
                known.iter().map(of).sum::<f64>() / known.len() as f64
            };
            let t_c = mean(&|x| x.t_c);
            let ratio = mean(&|x| moist::humidity_ratio(x.t_c, x.rh, x.pressure_pa));
            let outside = Air { t_c, w: ratio };
            let after = outside.warmed(rise);
            let pa = first.pressure_pa;
            Some(HourSays {
                at: w.evening.saturating_add(jiff::Span::new().hours(h as i64)),
                t_c,
                rh_pct: 100.0 * outside.rh(pa).min(1.0),
                fan_t_c: after.t_c,
                fan_rh_pct: 100.0 * after.rh(pa).min(1.0),
                emc_pct: w.case.emc.emc(after.t_c, after.rh(pa)).m_wb_pct,
                landing_c: w.case.bed_grain.landing(top.m_dd, after, pa).t_c,
                on_share: shares.get(h).copied().unwrap_or(0.0),
            })
        })
        .collect()
}

/// Tonight's air in words, over the hours the fan runs, else over the night.
pub(super) fn air_words(w: &Work, hours: &[HourSays], on: &[Block]) -> Option<String> {
    let u = &w.about.units;
    w.push.as_ref().ok()?;
    let night: Vec<&HourSays> = hours
        .iter()
        .take(NIGHT_H)
        .filter(|h| {
            if on.is_empty() {
                !(8..20).contains(&h.at.hour())
            } else {
                on.iter().any(|b| (b.from..b.to).contains(&h.at))
            }
        })
        .collect();
    let n = night.len() as f64;
    if night.is_empty() {
        return None;
    }
    let mean = |of: &dyn Fn(&HourSays) -> f64| night.iter().map(|h| of(h)).sum::<f64>() / n;
    let emc = mean(&|h| h.emc_pct);
    let top_m = w.now.stack.bed.top().m_wb_pct();
    // The dry grain at the floor meets the air first.
    let driest = w.now.stack.bed.layers.iter().map(stook_grain::bed::Layer::m_wb_pct).fold(top_m, f64::min);
    let wets = match emc {
        e if e <= driest + 0.5 => "so it will not wet it",
        e if e < top_m - 0.5 => "which dries the top and wets the dry grain below it a little",
        _ => "which would wet it",
    };
    let part = if on.is_empty() { "Tonight's air" } else { "The air while it runs" };
    let land = mean(&|h| h.landing_c);
    let keeps =
        w.p.life
            .verdict(w.case.grain, top_m, land)
            .filter(|l| l.days < 200.0 && land < w.now.stack.bed.top().t_c - 2.0)
            .map_or(String::new(), |l| format!(", where it keeps about {} days", figure(l.days, 0)));
    Some(format!(
        "{part}: about {} and {} %; past the fan {} and {} %. That makes {} % grain, {wets}. The top lands near {}{keeps}.",
        words::temperature(u, mean(&|h| h.t_c)),
        figure(mean(&|h| h.rh_pct), 0),
        words::temperature(u, mean(&|h| h.fan_t_c)),
        figure(mean(&|h| h.fan_rh_pct), 0),
        figure(emc, 1),
        words::temperature(u, land),
    ))
}
