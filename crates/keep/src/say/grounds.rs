//! What an answer rests on: layers, readings, workings.

use jiff::civil::DateTime;
use stook_grain::Grain;
use stook_grain::life::{cereal_table, fraser_muir};
use stook_measure::{Range, figure};
use stook_season::words;

use crate::answer::{LayerSays, LifeSays, ReadingsSay};
use crate::choices::{WetPart, choices};
use crate::signs;
use crate::work::Work;

pub(super) fn layers(w: &Work) -> Vec<LayerSays> {
    let s = &w.now.stack;
    let heights = s.heights_m(w.case.dry_kg_m3(s.bed.mean_wb_pct()));
    s.bed
        .layers
        .iter()
        .zip(&s.spent)
        .zip(heights.windows(2))
        .map(|((l, x), h)| LayerSays {
            from_m: h[0],
            to_m: h[1],
            m_pct: l.m_wb_pct(),
            t_c: l.t_c,
            spent: x.likely,
            days_left: x.left(&w.p.life, w.case.grain, l.m_wb_pct(), l.t_c).map(|d| d[1]),
        })
        .collect()
}

pub(super) fn readings(w: &Work) -> ReadingsSay {
    let last = w.about.looked.last();
    let mean = w.now.stack.bed.mean_c();
    let today = w.evening.date();
    let due = signs::due(&w.p, w.case.grain, w.about.filled, last.map(DateTime::date), mean, today);
    let u = &w.about.units;
    let words = match last {
        None => "Nothing was read in this bin yet: its temperature is reckoned from the loads.".into(),
        Some(at) => {
            let off = Range::of(&w.now.misses_c.iter().map(|m| m.abs()).collect::<Vec<_>>());
            let miss = off.map_or(String::new(), |r| match u.temperature {
                stook_book::payload::TemperatureUnit::Celsius => {
                    format!(" The reckoning was off by about {} C.", figure(r.p50, 1))
                }
                stook_book::payload::TemperatureUnit::Fahrenheit => {
                    format!(" The reckoning was off by about {} F.", figure(1.8 * r.p50, 1))
                }
            });
            format!("Last read {}.{miss}", words::day(at.date()))
        }
    };
    ReadingsSay { last, words, due, overdue: due.is_some_and(|d| d <= today) }
}

pub(super) fn workings(w: &Work, life: Option<&LifeSays>) -> Vec<stook_measure::Working> {
    use stook_measure::{Op, Working};
    let mut out = Vec::new();
    if let Some(l) = life {
        let table = if w.case.grain == Grain::Soybean { f64::NAN } else { cereal_table(l.m_pct, l.t_c).days };
        let mut life_w = Working::new(format!("Storage life, {}", l.part.to_lowercase()))
            .line(Op::Note, "Moisture", l.m_pct, "% wb", 1)
            .line(Op::Note, "Temperature", l.t_c, "C", 1);
        if table.is_finite() {
            life_w = life_w.line(Op::Note, "Whole life by the table", table, "d", 0);
        }
        if w.case.grain.is_wheat() {
            life_w = life_w.line(
                Op::Note,
                "Whole life by the wheat equation",
                fraser_muir(l.m_pct, l.t_c).days,
                "d",
                1,
            );
        }
        life_w = life_w
            .line(Op::Start, "Whole life, the shorter", 1.0 / l.a_day, "d", 1)
            .line(Op::Times, "Not yet spent", if l.a_day > 0.0 { l.days[1] * l.a_day } else { 1.0 }, "", 3)
            .sum("Days left", l.days[1], "d", 1)
            .note("Life is spent day by day at the moisture and temperature of that day, and does not come back.")
            .source("Hellevang, NDSU, slides 2019 and 2020")
            .source("Fraser and Muir 1981, from memory")
            .would_change("below a month every figure may be twice too long");
        out.push(life_w);
    }
    if let Ok(push) = &w.push {
        let bushels = push.flow_m3_s_m2 * w.case.area_m2 / stook_grain::air::M3_S_PER_CFM / push.cfm_bu;
        let cfm = push.flow_m3_s_m2 * w.case.area_m2 / stook_grain::air::M3_S_PER_CFM;
        out.push(
            Working::new("Air for each bushel")
                .line(Op::Note, "Static pressure", push.pa, "Pa", 0)
                .line(Op::Note, "Warming by the fan", push.rise_k, "K", 1)
                .line(Op::Note, "Power drawn", push.kw, "kW", 1)
                .line(Op::Start, "Air", cfm, "cfm", 0)
                .line(Op::Over, "Grain, volume bushels", bushels, "bu", 0)
                .sum("Air for each bushel", push.cfm_bu, "cfm/bu", 3)
                .source("form as in ASABE D272; constants from memory")
                .would_change("packing and fines: pressure may be a quarter less or more"),
        );
    }
    if let Some(wet) = WetPart::of(&w.p, &w.case, &w.now.stack) {
        out.extend(choices(&w.p, &w.case, &w.prices, &wet).into_iter().map(|c| c.working));
    }
    out
}
