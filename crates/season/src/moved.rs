//! What moved since yesterday, and why.

use stook_measure::figure;

use crate::Before;
use crate::answer::Decision;
use crate::carry::Carried;
use crate::words;

/// Puts into each decision what moved it since yesterday's answer.
pub fn note(
    today: &Carried,
    yesterday: &Carried,
    book: Option<&Before>,
    now: &mut [Decision],
    before: &[Decision],
) {
    let rain = rain_words(today, yesterday);
    for d in now {
        let Some(old) = before.iter().find(|o| o.key == d.key) else {
            if before.iter().any(|o| o.field == d.field)
                || yesterday.model.fields.len() != today.model.fields.len()
            {
                d.moved = Some("new on the list today.".into());
            }
            continue;
        };
        let units = &today.model.units;
        let mut said = Vec::new();
        if let (Some(a), Some(b)) = (&d.waiting, &old.waiting) {
            let (now, then) = (a.money.mean, b.money.mean);
            let step = (now - then).abs();
            if step > 0.25 * then.abs().max(now.abs())
                && step > 2.0 * (a.money.standard_error + b.money.standard_error)
                && step >= 20.0
            {
                said.push(format!(
                    "waiting a day read {} and reads {} now",
                    words::cash(units, then),
                    words::cash(units, now)
                ));
            }
        }
        if (d.fit.chance - old.fit.chance).abs() >= 0.3 {
            said.push(format!(
                "fit in {} then, {} now",
                words::in_ten(old.fit.chance),
                words::in_ten(d.fit.chance)
            ));
        }
        if (d.fit.limit - old.fit.limit).abs() >= 0.003 {
            said.push(format!(
                "your limit moved from {} to {}",
                figure(old.fit.limit, 2),
                figure(d.fit.limit, 2)
            ));
        }
        if !said.is_empty() {
            said.extend(rain.clone());
            let written = book.map(|b| b.written_about(&d.field)).unwrap_or_default();
            if !written.is_empty() {
                said.push(format!("written since: {}", written.join(", ").to_lowercase()));
            }
            d.moved = Some(format!("{}.", said.join("; ")));
        }
    }
}

/// Yesterday's rain against what was expected of it.
fn rain_words(today: &Carried, yesterday: &Carried) -> Option<String> {
    let units = &today.model.units;
    // Only when yesterday is the last observed day.
    if today.sky.lead != 0 {
        return None;
    }
    let fell = today.sky.past.last()?.precip_mm;
    let n = yesterday.air.len() as f64;
    let expected =
        yesterday.air.iter().filter_map(|a| a.first()).map(|a| a.forcing.day.precip_mm).sum::<f64>() / n;
    let wet =
        yesterday.air.iter().filter_map(|a| a.first()).filter(|a| a.forcing.day.precip_mm >= 1.0).count()
            as f64
            / n;
    if (fell - expected).abs() < 2.0 {
        return None;
    }
    Some(format!(
        "yesterday brought {} where {} had rain, {} on average",
        words::rain(units, fell),
        words::in_ten(wet),
        words::rain(units, (expected * 10.0).round() / 10.0)
    ))
}
