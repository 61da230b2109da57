//! Stage with the model's own error, and the stages to come.

use jiff::civil::Date;
use stook_crop::{CropParams, Phase, WheatState};

use super::{StageDate, StageNow};
use crate::answer::DateRange;
use crate::carry::Carried;
use crate::outlook::middle_state;
use crate::past::What;
use crate::run::FieldOutcome;

/// Error of the stage models, days either side (wheat-crop reference 3.2; narrowed where a stage was scouted).
fn error_days(phase: Phase, since_scouted: Option<i32>) -> f64 {
    let whole = match phase {
        Phase::Seeded | Phase::Seedling | Phase::Tillering => 2.0,
        p if p < Phase::Milk => 3.0,
        _ => 5.0,
    };
    // A stage seen is good to a day; the error grows back over six weeks.
    match since_scouted {
        Some(days) => (1.0 + f64::from(days.max(0)) / 42.0 * (whole - 1.0)).min(whole),
        None => whole,
    }
}

pub(super) fn now(c: &Carried, f: usize, seasons: &[Vec<FieldOutcome>]) -> Option<StageNow> {
    let field = &c.model.fields[f];
    let p = &field.params;
    let s = middle_state(c, f);
    let w = s.wheat?;
    let scouted: Option<Date> = c.events[f]
        .iter()
        .filter(|e| e.date.year() == c.model.year && matches!(e.what, What::Saw(..) | What::Moisture(..)))
        .map(|e| e.date)
        .next_back();
    let since = scouted.map(|d| (c.as_of - d).get_days());
    let err = error_days(s.phase, since);
    // Heat of the last ten days, to turn days into degree-days.
    let recent: Vec<f64> =
        c.sky.past.iter().rev().take(10).map(|d| (0.5 * (d.tmax_c + d.tmin_c)).max(0.0)).collect();
    let per_day = if recent.is_empty() {
        p.stage.late_season_cd_per_day
    } else {
        (recent.iter().sum::<f64>() / recent.len() as f64).max(5.0)
    };
    let low = moved(&w, p, -err * per_day);
    let high = moved(&w, p, err * per_day);
    let name = |w: &WheatState| match w.phase(p) {
        Phase::Seeded => "not up".to_string(),
        Phase::Seedling | Phase::Tillering => format!("{:.1} leaves", w.leaves(p)),
        phase => phase.words().to_string(),
    };
    let (a, b) = (name(&low), name(&high));
    let between = if a == b { format!("{a} either way") } else { format!("between {a} and {b}") };
    let range = match since {
        Some(days) if days <= 42 => format!(
            "Seen in the field {}; good to about {err:.0} {} now: {between}.",
            match days {
                0 => "today".to_string(),
                1 => "yesterday".to_string(),
                n => format!("{n} days ago"),
            },
            if err < 1.5 { "day" } else { "days" }
        ),
        _ => {
            format!("Reckoned from warmth, good to about {err:.0} days: {between}. A stage seen narrows it.")
        }
    };
    let mut next = Vec::new();
    let mut add = |stage: &str, err: f64, what: &dyn Fn(&FieldOutcome) -> Option<u16>| {
        let days: Vec<Option<u16>> = seasons.iter().map(|m| what(&m[f])).collect();
        // Already there in the first days: not to come.
        if days.iter().flatten().filter(|d| **d == 0).count() * 2 > days.len() {
            return;
        }
        if let Some(r) = crate::dates::date_range(c, &days) {
            next.push(StageDate { stage: stage.into(), when: widened(r, err) });
        }
    };
    if s.phase < Phase::Heading {
        add("heading", error_days(Phase::Heading, since), &|o| o.heading);
    }
    if s.phase < Phase::Flowering {
        add("flowering", error_days(Phase::Flowering, since), &|o| o.flowering);
    }
    if !s.is_ripe(field) {
        add("ripe: kernels at full weight", error_days(Phase::HardDough, since), &|o| o.ripe);
    }
    Some(StageNow {
        words: crate::outlook::stage_words(c, f, s),
        zadoks: w.zadoks(p),
        zadoks_low: low.zadoks(p),
        zadoks_high: high.zadoks(p),
        range,
        next,
    })
}

/// The same crop so many degree-days on, or back.
fn moved(w: &WheatState, p: &CropParams, by_cd: f64) -> WheatState {
    let mut x = *w;
    x.sum_cd = (x.sum_cd + by_cd).max(0.0);
    if x.emerged {
        x.since_emergence_cd = (x.since_emergence_cd + by_cd).max(0.0);
    } else {
        x.emerged = by_cd > 0.0 && x.sum_cd >= x.seed.need_cd;
    }
    let _ = p;
    x
}

/// A range of dates with the model's error added: the two errors are apart, so their squares add.
fn widened(r: DateRange, err_days: f64) -> DateRange {
    // The published error is taken as two standard errors; the weathers' ends are 1.28 away.
    let own = err_days / 2.0 * 1.28;
    let side = |end: Date| {
        let by_weather = f64::from((end - r.middle).get_days().abs());
        (by_weather.powi(2) + own.powi(2)).sqrt().round() as i64
    };
    let days = |n: i64| jiff::Span::new().days(n);
    DateRange {
        early: r.middle.saturating_sub(days(side(r.early))),
        middle: r.middle,
        late: r.middle.saturating_add(days(side(r.late))),
    }
}
