//! The part of a bin with least storage life left, in words.

use stook_book::payload::UnitChoice;
use stook_grain::life::{cereal_table, fraser_muir};
use stook_measure::figure;
use stook_season::words;

use super::height;
use crate::answer::LifeSays;
use crate::work::Work;

/// The part with least life left, with all its neighbours of about its moisture.
pub(super) fn life(w: &Work) -> Option<LifeSays> {
    let (p, g, s) = (&w.p, w.case.grain, &w.now.stack);
    let (at, left) = s.shortest(&p.life, g)?;
    let l = &s.bed.layers[at];
    let (m, t) = (l.m_wb_pct(), l.t_c);
    let like =
        |i: usize| (s.bed.layers[i].m_wb_pct() - m).abs() < 1.0 && (s.bed.layers[i].t_c - t).abs() < 4.0;
    let (mut from, mut to) = (at, at);
    while from > 0 && like(from - 1) {
        from -= 1;
    }
    while to + 1 < s.bed.layers.len() && like(to + 1) {
        to += 1;
    }
    let heights = s.heights_m(w.case.dry_kg_m3(s.bed.mean_wb_pct()));
    let (low, high) = (heights[from], heights[to + 1]);
    let u = &w.about.units;
    let part = match (from == 0, to + 1 == s.bed.layers.len()) {
        (true, true) => "All of it".to_string(),
        (_, true) => format!("Top {}", height(u, high - low)),
        (true, _) => format!("Bottom {}", height(u, high - low)),
        _ => format!("{} to {} up", height(u, low), height(u, high)),
    };
    let verdict = p.life.verdict(g, m, t)?;
    // The long end: the other model, where there is one.
    let spent = s.spent[at];
    let long = if g.is_wheat() { cereal_table(m, t).days.max(fraser_muir(m, t).days) } else { verdict.days };
    Some(LifeSays {
        part,
        m_pct: m,
        t_c: t,
        spent: spent.likely,
        days: [left[0], left[1], left[2].max((1.0 - spent.least).max(0.0) * long)],
        a_day: 1.0 / verdict.days,
        at_least: verdict.at_least,
    })
}

pub(super) fn life_words(u: &UnitChoice, l: &LifeSays) -> String {
    let place = format!("{} at {} % and {}", l.part, figure(l.m_pct, 1), words::temperature(u, l.t_c));
    if l.days[1] <= 0.0 {
        return format!(
            "{place}: its storage life is likely spent. Sell or feed it first, and have it tested."
        );
    }
    if l.at_least && l.days[1] > 200.0 {
        return format!("{place}: it keeps, at least {} days.", figure(l.days[1], 0));
    }
    let spends = match l.a_day {
        a if a > 0.04 => format!("; each day as it lies spends {} of it", one_in(a)),
        _ => String::new(),
    };
    let range = match l.days {
        [short, likely, long] if likely < 90.0 && long > short + 1.0 => {
            format!(" ({} to {})", figure(short, 0), figure(long, 0))
        }
        _ => String::new(),
    };
    format!("{place}: {} days of life left{range}{spends}.", figure(l.days[1], 0))
}

/// `a ninth`.
pub(super) fn one_in(share: f64) -> String {
    let n = (1.0 / share).round() as usize;
    let names = [
        "all",
        "all",
        "half",
        "a third",
        "a quarter",
        "a fifth",
        "a sixth",
        "a seventh",
        "an eighth",
        "a ninth",
        "a tenth",
    ];
    names.get(n).map_or_else(|| format!("{} %", figure(100.0 * share, 0)), |s| (*s).to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_said_plainly() {
        assert_eq!(one_in(0.11), "a ninth");
        assert_eq!(one_in(0.031), "3 %");
    }
}
