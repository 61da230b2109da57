//! What to look at in the field: frost, heat and hail, midge evenings, insects counted, a thin stand.

use jiff::civil::Date;
use stook_book::payload::{CountUnit, DamageCause, Insect};
use stook_crop::{Phase, frost, insects};
use stook_measure::{Op, Working, figure};
use stook_weather::hourly;

use super::{Look, stand};
use crate::carry::Carried;
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// Days after frost or hail at which the crop can be judged (Univ. Nebraska 2021).
const JUDGE_FROM: i64 = 7;
const JUDGE_TO: i64 = 10;

pub(super) fn looks(c: &Carried, q: &Question<'_>, f: usize, standing: bool) -> Vec<Look> {
    if !standing {
        return Vec::new();
    }
    let mut out = Vec::new();
    out.extend(frost_met(c, f));
    out.extend(frost_ahead(c, f));
    out.extend(heat(c, f));
    out.extend(damage(c, q, f));
    out.extend(midge(c, f));
    out.extend(counted(c, q, f));
    out.extend(stand::look(c, q, f));
    out.sort_by_key(|l| !l.today);
    out
}

/// The phase a field was in on a day of the past, by its track.
fn phase_on(c: &Carried, f: usize, date: Date) -> Option<Phase> {
    let i = usize::try_from((date - c.sky.past_start).get_days()).ok()?;
    let z = *c.past[f].track.zadoks.get(i)?;
    if z.is_nan() {
        return None;
    }
    // Leaves are counted up from 11 before tillers show.
    let z = f64::from(z);
    if (10.0..21.0).contains(&z) {
        return Some(Phase::Seedling);
    }
    Phase::ALL.into_iter().rev().find(|p| f64::from(p.zadoks()) <= z)
}

fn look_at(phase: Phase) -> &'static str {
    match phase {
        Phase::Seedling | Phase::Tillering => {
            "Leaf tips burn and come back. Dig a plant: a white firm growing point is alive, a brown soft one is not."
        }
        Phase::Jointing | Phase::FlagLeaf => {
            "Split stems above the top node: a growing point that is white and firm lives; brown, soft or watery is dead."
        }
        Phase::Boot | Phase::Heading | Phase::Flowering => {
            "Look at anthers and stigma in several heads: white shrivelled anthers set nothing. Bleached heads show in a few days."
        }
        _ => {
            "Crush kernels: cloudy and soft is alive, shrunken and blistered is hurt. Count ten heads in five places."
        }
    }
}

/// The nights of the last ten days that were cold enough for the stage.
fn frost_met(c: &Carried, f: usize) -> Option<Look> {
    let field = &c.model.fields[f];
    let p = &field.params.frost;
    let mut worst: Option<(Date, f64, Phase, f64)> = None;
    for back in 1..=JUDGE_TO {
        let date = c.as_of.saturating_sub(jiff::Span::new().days(back));
        let i = usize::try_from((date - c.sky.past_start).get_days()).ok()?;
        let (Some(day), Some(phase)) = (c.sky.past.get(i), phase_on(c, f, date)) else { continue };
        if frost::harm(phase, day.tmin_c, p) == frost::Harm::None {
            continue;
        }
        let loss = frost::loss(phase, day.tmin_c, p);
        if worst.is_none_or(|w| loss > w.3) {
            worst = Some((date, day.tmin_c, phase, loss));
        }
    }
    let (date, tmin, phase, loss) = worst?;
    let u = &c.model.units;
    let from = date.saturating_add(jiff::Span::new().days(JUDGE_FROM));
    let to = date.saturating_add(jiff::Span::new().days(JUDGE_TO));
    let due = c.as_of >= from;
    let working = Working::new(format!("{}: frost on {}", field.name, words::day(date)))
        .line(Op::Note, "Lowest temperature at the station", tmin, "C", 1)
        .line(Op::Note, "Share of yield lost, as reckoned", 100.0 * loss, "%", 0)
        .note(format!("Stage that night: {}. The chart says harm {}.", phase.words(), frost::harm(phase, tmin, p).words()))
        .note("Hollows are colder than the station by some degrees, knolls warmer; the chart is for two hours at that cold.")
        .source("Kansas State Univ. freeze chart C-646; -6 C for spring wheat seedlings (Manitoba crop alliance); steepness Ohio State Univ. ANR-93 and our judgement")
        .would_change("what you find in the field: enter it as damage seen");
    Some(Look {
        about: "frost".into(),
        what: if due {
            format!("Look at {} now: frost on {} may have hurt it.", field.name, words::day(date))
        } else {
            format!(
                "Frost on {} on {}: look between {} and {}, not before.",
                field.name,
                words::day(date),
                words::day(from),
                words::day(to)
            )
        },
        why: format!(
            "{} at {}; about {} % of the yield if the field was as cold as the station. Tell the insurer at once; destroy nothing without written leave.",
            words::temperature(u, tmin),
            phase.words(),
            figure(100.0 * loss, 0)
        ),
        at: look_at(phase).into(),
        today: loss >= 0.02 || due,
        working: Some(working),
    })
}

/// Cold to come within five days.
fn frost_ahead(c: &Carried, f: usize) -> Option<Look> {
    let field = &c.model.fields[f];
    let mut hit = 0;
    let mut losses = Vec::new();
    for (start, air) in c.starts.iter().zip(&c.air) {
        let mut s = start[f];
        let before = s.frost_kept();
        for a in air.iter().take(5) {
            s.step(&c.model, field, a);
        }
        let lost = 1.0 - s.frost_kept() / before.max(1e-9);
        hit += usize::from(lost >= 0.03);
        losses.push(lost);
    }
    let share = hit as f64 / c.members().max(1) as f64;
    let mean = losses.iter().sum::<f64>() / losses.len().max(1) as f64;
    (share >= 0.1).then(|| Look {
        about: "frost".into(),
        what: format!(
            "Frost that hurts {} is possible within five days, in {}.",
            field.name,
            words::in_ten(share)
        ),
        why: format!("It would cost about {} % of the yield on average.", figure(100.0 * mean, 1)),
        at: "Nothing saves a standing crop. Note the lowest reading, and look 7 to 10 days later.".into(),
        today: share >= 0.3,
        working: None,
    })
}

/// Hot days at flowering and in early fill.
fn heat(c: &Carried, f: usize) -> Option<Look> {
    let field = &c.model.fields[f];
    let p = &field.params.scout;
    let mut days = 0_u8;
    let mut hottest: f64 = f64::MIN;
    for back in 1..=10 {
        let date = c.as_of.saturating_sub(jiff::Span::new().days(back));
        let Ok(i) = usize::try_from((date - c.sky.past_start).get_days()) else { continue };
        let (Some(day), Some(phase)) = (c.sky.past.get(i), phase_on(c, f, date)) else { continue };
        if (Phase::Heading..Phase::SoftDough).contains(&phase) && day.tmax_c >= p.heat_from_c {
            days += 1;
            hottest = hottest.max(day.tmax_c);
        }
    }
    (days > 0).then(|| {
        let loss = 100.0 * f64::from(days) * p.heat_loss_per_day;
        Look {
            about: "heat".into(),
            what: format!("Heat on {}: {days} {} at or over {} since heading, in the last ten days.", field.name, if days == 1 { "day" } else { "days" }, words::temperature(&c.model.units, p.heat_from_c)),
            why: format!(
                "Up to {}. The outlook has about {} % of the yield off for it, by a judgement of {} % a day; no published figure was read.",
                words::temperature(&c.model.units, hottest),
                figure(loss, 0),
                figure(100.0 * p.heat_loss_per_day, 0)
            ),
            at: "Count kernels in the middle of ten heads: empty florets there are heat or drought at flowering; white tips come later.".into(),
            today: days >= 3,
            working: None,
        }
    })
}

/// Damage written down.
fn damage(c: &Carried, q: &Question<'_>, f: usize) -> Vec<Look> {
    let field = &c.model.fields[f];
    let Some(record) = q.farm.fields.get(&field.id) else { return Vec::new() };
    let u = &c.model.units;
    record
        .damages
        .iter()
        .filter(|x| x.on().year() == c.model.year && x.on() <= c.as_of && (c.as_of - x.on()).get_days() <= 30)
        .map(|x| {
            let date = x.on();
            let from = date.saturating_add(jiff::Span::new().days(JUDGE_FROM));
            let to = date.saturating_add(jiff::Span::new().days(JUDGE_TO));
            let waits = matches!(x.is.cause, DamageCause::Hail | DamageCause::Frost) && x.is.lost_pct.is_none();
            let share = x.is.area_ha.map_or(1.0, |a| (a / field.area_ha).min(1.0));
            let worth = x.is.lost_pct.map(|lost| {
                let kg = middle_state(c, f).by_water_kg_ha(field);
                lost / 100.0 * share * field.area_ha * kg * c.model.season.wheat_per_t / 1000.0
            });
            let insurer = match x.is.insurer_told {
                Some(true) => "The insurer has been told; destroy nothing without written leave.",
                _ => "Tell the insurer now if you have not; destroy nothing without written leave.",
            };
            Look {
                about: x.is.cause.key().into(),
                what: if waits && c.as_of < from {
                    format!("{} on {}: judge it between {} and {}, not before.", cause(x.is.cause), field.name, words::day(from), words::day(to))
                } else if waits {
                    format!("Judge the {} on {} now and write down what is lost.", x.is.cause.words(), field.name)
                } else {
                    format!("{} on {} on {}.", cause(x.is.cause), field.name, words::day(date))
                },
                why: match worth {
                    Some(m) => format!("You take {} % as lost there, about {}. {insurer}", figure(x.is.lost_pct.unwrap_or(0.0), 0), words::cash(u, m)),
                    None => format!("Waiting pays: a crop that looks gone often comes back before the ears are out. {insurer}"),
                },
                at: look_at(middle_state(c, f).phase).into(),
                today: (waits && c.as_of >= from) || x.is.insurer_told == Some(false),
                working: None,
            }
        })
        .collect()
}

fn cause(x: DamageCause) -> String {
    cap(x.words())
}

fn cap(w: &str) -> String {
    format!("{}{}", w[..1].to_uppercase(), &w[1..])
}

/// Wheat midge: is this evening one to look?
fn midge(c: &Carried, f: usize) -> Option<Look> {
    let field = &c.model.fields[f];
    let s = middle_state(c, f);
    if !(Phase::Boot..=Phase::Flowering).contains(&s.phase) {
        return None;
    }
    let p = &field.params.scout;
    let u = &c.model.units;
    let first = Date::new(c.model.year, 1, 1)
        .ok()?
        .saturating_add(jiff::Span::new().days(p.midge_from_doy as i64 - 1));
    let mut sum = 0.0;
    for (i, day) in c.sky.past.iter().enumerate() {
        if c.sky.past_start.saturating_add(jiff::Span::new().days(i as i64)) >= first {
            sum += p.midge_day_cd(day.tmax_c, day.tmin_c);
        }
    }
    let out = p.midge_out(sum);
    // Half past flowering no spray helps, and the heads are past harm.
    let past_half = s.phase == Phase::Flowering && s.wheat.is_some_and(|w| w.days_flowering >= 3);
    let mut fit = 0;
    let mut dusk = Vec::new();
    for air in &c.air {
        let Some(a) = air.first() else { continue };
        let sunset = c.model.table.sun(a.doy).sunset_h();
        let h = (sunset.floor() as usize).min(23);
        let course = hourly::course(&a.forcing.day, a.doy, &c.model.table);
        dusk.push(course.temp_c[h]);
        fit += usize::from(course.temp_c[h] >= p.midge_evening_c && course.wind_2m_ms[h] <= p.midge_wind_ms);
    }
    let share = fit as f64 / c.members().max(1) as f64;
    let dusk_c = stook_measure::Range::of(&dusk)?;
    let sunset = c.model.table.sun(c.as_of.day_of_year() as u16).sunset_h();
    let at = format!("{}:{:02}", sunset.floor(), ((sunset.fract() * 60.0) as u32) / 10 * 10);
    // None out for days to come: nothing to say yet.
    if out < 0.01 && sum < 0.9 * p.midge_out_cd[0] {
        return None;
    }
    let flying = (0.05..0.97).contains(&out);
    let tonight = flying && share >= 0.4 && !past_half;
    let what = if past_half {
        format!(
            "Midge on {}: half flowered, past the window. A spray now only kills what eats midge.",
            field.name
        )
    } else if tonight {
        format!("Look for midge in {} tonight from about {at}.", field.name)
    } else if flying {
        format!("Midge may be out on {}; tonight is not an evening for them.", field.name)
    } else {
        format!(
            "Midge: {} of the females out, little to look for on {} yet.",
            if out < 0.5 { "few" } else { "nearly all" },
            field.name
        )
    };
    let working = Working::new("Wheat midge by warmth")
        .line(Op::Note, "Degree-days over 4.4 C (40 F) since 1 March", sum, "C d", 0)
        .line(Op::Note, "A tenth of the females out at", p.midge_out_cd[0], "C d", 0)
        .line(Op::Note, "Half at", p.midge_out_cd[1], "C d", 0)
        .line(Op::Note, "Nine tenths at", p.midge_out_cd[2], "C d", 0)
        .line(Op::Note, "Out now, as reckoned", 100.0 * out, "%", 0)
        .line(Op::Note, "Dusk tonight, middle", dusk_c.p50, "C", 0)
        .line(Op::Note, "Weathers with a warm still dusk", 100.0 * share, "%", 0)
        .source("North Dakota Crop and Pest Report 2019 and 2020; Univ. Minnesota 2009: 1300, 1475, 1600 F-days over 40 F")
        .source("evenings over 15 C with wind under 10 km/h (Agdex 606-1); the day the sum starts is from memory");
    Some(Look {
        about: "midge".into(),
        what,
        why: format!(
            "About {} % of the females are out by warmth ({} F-days). At dusk {}, warm and still in {}. Up to {} % of the yield and the grade are at stake.",
            figure(100.0 * out, 0),
            figure(sum * 1.8, 0),
            words::temperature(u, dusk_c.p50),
            words::in_ten(share),
            figure(100.0 * p.midge_loss, 0)
        ),
        at: "Part the crop at dusk at five places and count midges a head: one for 4 to 5 heads costs yield, one for 8 to 10 costs the top grade. Write the count down.".into(),
        today: tonight,
        working: Some(working),
    })
}

/// Counts of the last two weeks against every published threshold.
fn counted(c: &Carried, q: &Question<'_>, f: usize) -> Vec<Look> {
    let field = &c.model.fields[f];
    let Some(record) = q.farm.fields.get(&field.id) else { return Vec::new() };
    let phase = middle_state(c, f).phase;
    let u = &c.model.units;
    let mut latest: std::collections::BTreeMap<Insect, _> = std::collections::BTreeMap::new();
    for x in &record.insects {
        if x.on() <= c.as_of && (c.as_of - x.on()).get_days() <= 14 {
            latest.insert(x.is.insect, x);
        }
    }
    latest
        .into_values()
        .map(|x| {
            let count = insects::in_table_unit(x.is.count, x.is.unit == CountUnit::PerFt2);
            let rows = insects::for_insect(x.is.insect.key());
            let per = |unit: &str| match unit {
                "per_m2" => "a m2",
                "per_stem" => "a stem",
                _ => "a head",
            };
            let said: Vec<String> = rows
                .iter()
                .map(|t| {
                    let range = if (t.low - t.high).abs() < 1e-9 { figure(t.low, 0) } else {
                        let d = u8::from(t.high < 1.0) * 3;
                        format!("{} to {}", figure(t.low, d), figure(t.high, d))
                    };
                    let of = if t.insect == x.is.insect.key() { String::new() } else { format!(", written of {}", t.insect.replace('_', " ")) };
                    format!("{} {} for {} ({}{of}): {}", range, per(&t.unit), t.what_for, t.source, t.against(count, phase).words())
                })
                .collect();
            let worst = rows.iter().map(|t| t.against(count, phase)).max().unwrap_or(insects::Against::NotNow);
            let least = rows.iter().map(|t| t.against(count, phase)).min().unwrap_or(insects::Against::NotNow);
            let differ = worst >= insects::Against::At && least < insects::Against::At;
            let hit = x.is.area_ha.unwrap_or(field.area_ha).min(field.area_ha);
            let cost = hit * c.model.reference.get("season.cost.insecticide_per_ha");
            let need = c.model.reference.get("season.cost.insecticide_per_ha") / (c.model.season.wheat_per_t / 1000.0);
            let name = cap(x.is.insect.words());
            let own_only = rows.iter().all(|t| t.insect == x.is.insect.key());
            Look {
                about: "insects".into(),
                what: match worst {
                    _ if rows.is_empty() => format!("{name} on {}: no threshold is on file for it.", field.name),
                    insects::Against::Above | insects::Against::At if differ && own_only => {
                        format!("{name} on {}: above one threshold and below another; see which matters to you.", field.name)
                    }
                    insects::Against::Above | insects::Against::At if differ => {
                        format!("{name} on {}: sources disagree whether to spray.", field.name)
                    }
                    insects::Against::Above => format!("{name} on {} is above the threshold.", field.name),
                    insects::Against::At => format!("{name} on {} is at the threshold: count again soon.", field.name),
                    _ => format!("{name} on {} is below the threshold.", field.name),
                },
                why: format!(
                    "Counted {} {} on {}. {}. Spraying {} costs about {}; it must save {} {} there to pay.",
                    figure(count, if count < 10.0 { 2 } else { 0 }),
                    per(match x.is.unit { CountUnit::PerFt2 | CountUnit::PerM2 => "per_m2", CountUnit::PerStem => "per_stem", CountUnit::PerHead => "per_head" }),
                    words::day(x.on()),
                    said.join("; "),
                    words::area(u, hit),
                    words::cash(u, cost),
                    figure(words::wheat_yield(u, need), 1),
                    u.grain_yield.words()
                ),
                at: "Count again in five places, edges and middle apart; spray only the part that needs it. Bees, buffers, re-entry and days to harvest: the label rules.".into(),
                today: worst >= insects::Against::At,
                working: None,
            }
        })
        .collect()
}
