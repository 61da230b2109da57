//! Wet grain kept frozen: hold the cold until drying air comes, and when that may be.

use stook_measure::Range;
use stook_season::words;

use crate::work::Work;

/// What to do with wet frozen grain at the end of winter: leave it, until the air dries. `None` when it is not so.
pub(crate) fn hold(w: &Work) -> Option<String> {
    let month = w.evening.month();
    if !w.is_wet() || !(2..=5).contains(&month) || w.now.stack.bed.mean_c() > 0.5 {
        return None;
    }
    let (when, share) = restart(w);
    let name = &w.about.name;
    let state = format!(
        "{} %, {}",
        stook_measure::figure(w.now.stack.bed.mean_wb_pct(), 1),
        words::temperature(&w.about.units, w.now.stack.bed.mean_c())
    );
    let date = |d: f64| words::day(w.evening.date().saturating_add(jiff::Span::new().days(d.round() as i64)));
    match when {
        Some(r) if r.p50 < 1.5 => None,
        Some(r) if share > 0.5 => Some(format!(
            "{name} ({state}): keep the cold in, fan off and covered. Drying air about {} ({} to {}).",
            date(r.p50),
            date(r.p10),
            date(r.p90)
        )),
        _ => Some(format!(
            "{name} ({state}): keep the cold in, fan off and covered. No drying air within {} days in most weathers.",
            w.p.horizon_days
        )),
    }
}

/// Days until five days running average as warm as drying is begun again at, and the share of weathers that get there.
pub(crate) fn restart(w: &Work) -> (Option<Range>, f64) {
    const RUN_H: usize = 120;
    let found: Vec<Option<f64>> = w
        .weathers
        .iter()
        .map(|hours| {
            (0..hours.len().saturating_sub(RUN_H)).step_by(24).find_map(|h| {
                let mean = hours[h..h + RUN_H].iter().map(|x| x.t_c).sum::<f64>() / RUN_H as f64;
                (mean >= w.p.restart_c).then_some(h as f64 / 24.0)
            })
        })
        .collect();
    let share = found.iter().flatten().count() as f64 / found.len().max(1) as f64;
    let days: Vec<f64> = found.iter().map(|d| d.unwrap_or(w.p.horizon_days as f64)).collect();
    (Range::of(&days), share)
}
