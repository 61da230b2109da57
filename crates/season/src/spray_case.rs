//! A head spray against leaving the field unsprayed: the same weathers on both sides.

use stook_crop::Phase;
use stook_crop::disease::fhb_risk;
use stook_measure::{Op, Range, Spread, Working, figure};

use crate::answer::{Job, SprayCase};
use crate::carry::Carried;
use crate::disease::worth;
use crate::money::{PARTS, Part};
use crate::outlook::middle_state;
use crate::run::{Directive, NEVER, Policy};
use crate::waiting::TwoRuns;
use crate::words;

/// Weighs the spray on field `f`. `None` when there are no weathers.
pub fn weigh(c: &Carried, f: usize, runs: &TwoRuns) -> Option<SprayCase> {
    let never = c.seasons(&Policy::default(), Some(Directive { field: f, job: Job::Fungicide, skip: NEVER }));
    let field = &c.model.fields[f];
    let mut gain = Vec::with_capacity(never.len());
    let mut parts = [0.0; PARTS];
    for (now, not) in runs.now.iter().zip(&never) {
        let mut total = 0.0;
        for (x, y) in now.iter().zip(not) {
            let d = x.purse - y.purse;
            total += d.total();
            for (sum, part) in parts.iter_mut().zip(d.0) {
                *sum += part;
            }
        }
        gain.push(total);
    }
    let net = Spread::of(&gain)?;
    let hours: Vec<f64> = never.iter().map(|m| f64::from(m[f].blight_h)).collect();
    let index: Vec<f64> = hours.iter().map(|h| field.blight.index_pct(*h, &field.params)).collect();
    let leaf: Vec<f64> = never.iter().map(|m| f64::from(m[f].leaf_days)).collect();
    let (hours, index_pct) = (Range::of(&hours)?, Range::of(&index)?);
    let b = &field.blight;
    let class = fhb_risk(hours.p50, b.resistance, b.host_stubble, &field.params.disease).words().to_string();
    let s = middle_state(c, f);
    let heads = (Phase::Heading..=Phase::Flowering).contains(&s.phase);
    let mut case = SprayCase {
        clear: net.is_clear() && net.mean.abs() >= 1.0,
        hours_now: heads.then(|| s.blight_h()),
        hours,
        class,
        pays_from_index_pct: b.pays_from_pct,
        pays_from_h: Some(b.spray_from_h).filter(|h| h.is_finite()),
        pays_in: gain.iter().filter(|g| **g > 0.0).count() as f64 / gain.len() as f64,
        leaf_days: Range::of(&leaf)?,
        own_saving: c.model.season.fungicide_gain_kg_ha > 0.0,
        words: String::new(),
        working: Working::default(),
        net,
        index_pct,
    };
    case.words = in_words(c, f, &case);
    case.working = working(c, f, &case, &parts, gain.len());
    Some(case)
}

fn in_words(c: &Carried, f: usize, s: &SprayCase) -> String {
    let units = &c.model.units;
    let b = &c.model.fields[f].blight;
    let mut said = Vec::new();
    let (mean, range) = (words::cash(units, s.net.mean), s.net.range);
    let span = format!("{} to {}", words::cash(units, range.p10), words::cash(units, range.p90));
    let pays = words::in_ten(s.pays_in);
    said.push(if s.clear && s.net.mean > 0.0 {
        format!("Spraying gains about {mean} on the field over leaving it ({span}); it pays in {pays}")
    } else if s.clear {
        let (mean, low, high) =
            (words::cash(units, -s.net.mean), words::cash(units, -range.p90), words::cash(units, -range.p10));
        format!(
            "Spraying loses about {mean} on the field against leaving it ({low} to {high}); it pays in {pays}"
        )
    } else {
        format!("Spraying or leaving it comes to about the same ({span}); it pays in {pays}")
    });
    if s.own_saving {
        said.push("This goes by your own number for what a spray saves".into());
    }
    let stubble = if b.host_stubble { ", on wheat or maize stubble" } else { "" };
    said.push(format!(
        "Head blight weather by the end of flowering: {} warm wet hours in the worst seven days ({} to {}), {} risk for {}{stubble}",
        figure(s.hours.p50, 0),
        figure(s.hours.p10, 0),
        figure(s.hours.p90, 0),
        s.class,
        b.rating_words()
    ));
    if let Some(h) = s.pays_from_h {
        said.push(format!("On head blight alone a spray pays from about {} h", figure(h, 0)));
    }
    said.join(". ")
}

/// Where the hours of the working come from.
fn hours_from(c: &Carried) -> String {
    let made = "the day's extremes and vapour pressure, hour by hour; rain whose time is not known is spread";
    let limit = "An hour counts at 15 to 30 C with 90 % humidity or rain.";
    match c.measured_days(10) {
        0 => format!(
            "{limit} No hours of your station are on file for the last ten days: they come from {made}."
        ),
        n => format!(
            "{limit} {n} of the last ten days are by your station's own hours; the others and those to come by {made}."
        ),
    }
}

fn working(c: &Carried, f: usize, s: &SprayCase, parts: &[f64; PARTS], n: usize) -> Working {
    let field = &c.model.fields[f];
    let mut w = Working::new(format!("{}: a head spray against none", field.name))
        .line(
            Op::Note,
            "Most warm wet hours in seven days, heading to end of flowering, middle",
            s.hours.p50,
            "h",
            0,
        )
        .line(Op::Note, "Diseased spikelets to expect unsprayed, middle", s.index_pct.p50, "%", 1)
        .line(Op::Note, "Diseased spikelets, one weather in ten above", s.index_pct.p90, "%", 1)
        .line(Op::Note, "Days of tan spot infection, flag leaf to milk, middle", s.leaf_days.p50, "d", 0);
    if let Some(x) = s.pays_from_index_pct {
        w = w.line(Op::Note, "Diseased spikelets at which the spray pays by itself", x, "%", 1);
    }
    let usual = worth(&c.model.season, &field.params, 0.65 * field.cap_kg_ha);
    let m = usual.at(s.index_pct.p90, 1.0);
    w = w.line(Op::Note, "Yield a spray at its best would save at that", m.saved_kg_ha, "kg/ha", 0).line(
        Op::Note,
        "DON discount it would save at that",
        m.discount - m.discount_sprayed,
        "a ha",
        0,
    );
    let mut rounded = 0.0;
    for (part, sum) in Part::ALL.into_iter().zip(parts) {
        let mean = sum / n as f64;
        if mean.abs() >= 0.5 {
            let op = if mean < 0.0 { Op::Minus } else { Op::Plus };
            w = w.line(op, part.words(), mean.abs(), "", 0);
            rounded += mean.round();
        }
    }
    let rest = s.net.mean.round() - rounded;
    if rest != 0.0 {
        let op = if rest < 0.0 { Op::Minus } else { Op::Plus };
        w = w.line(op, "Small change and rounding", rest.abs(), "", 0);
    }
    w = w.sum(format!("Spraying over leaving it, mean of {n} weathers"), s.net.mean.round(), "", 0)
        .note("The hours rank the pressure; they are not a probability. Hours turn into diseased spikelets by our judgement, anchored on an epidemic being a tenth of the spikelets; what a diseased spikelet costs and what a spray holds off are published.")
        .note(hours_from(c));
    if s.own_saving {
        w = w.note("Your own number season.fungicide.expected_gain_kg_ha stands in for the reckoned saving.");
    }
    for name in [
        "crop.disease.fhb_loss_kg_ha_per_point",
        "crop.disease.index_at_high_pct",
        "season.fungicide.index_control",
        "season.fungicide.don_control",
        "season.don.per_t_ppm",
        "crop.leaf.gain_high_kg_ha",
        "season.cost.fungicide_per_ha",
    ] {
        if let Some(k) = c.model.reference.coefficient(name) {
            w = w.source(format!("{}: {} {}. {} ({})", k.note, k.value, k.unit, k.source, k.sure.words()));
        }
    }
    if !field.blight.rating_known {
        w = w.would_change("the cultivar's rating against head blight: enter it in the crop plan");
    }
    w.would_change("flowering seen in the field")
        .would_change("your own strips: enter what they saved as season.fungicide.expected_gain_kg_ha")
        .would_change("the price and your buyer's DON scale")
}
