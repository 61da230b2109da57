//! Readings of bins and fans in a sentence.

use stook_book::payload::UnitChoice;
use stook_book::{BinId, Payload};
use stook_measure::figure;
use stook_season::words;

/// What an entry of keeping says, part by part.
pub fn parts(p: &Payload, u: &UnitChoice, bin: &dyn Fn(&BinId) -> String) -> Vec<Option<String>> {
    match p {
        Payload::BinReading(x) => {
            let points: Vec<String> = x
                .points
                .iter()
                .map(|p| {
                    let place = match (&p.part, p.height_m) {
                        (Some(part), _) => part.words().to_string(),
                        (None, Some(h)) => format!("{} m up", figure(h, 1)),
                        (None, None) => "somewhere".into(),
                    };
                    let t = p.temperature_c.map(|t| words::temperature(u, t));
                    let m = p.moisture_wb_pct.map(|m| format!("{} %", figure(m, 1)));
                    format!("{place} {}", [t, m].into_iter().flatten().collect::<Vec<_>>().join(" and "))
                })
                .collect();
            vec![
                Some(bin(&x.bin)),
                Some(format!("by {}", x.by.words())),
                (!points.is_empty()).then(|| points.join("; ")),
                x.co2_ppm.map(|c| format!("carbon dioxide {} ppm", figure(c, 0))),
                x.smell.map(|s| format!("smell {}", s.words())),
                x.seen.clone(),
            ]
        }
        Payload::FanRun(x) => {
            vec![Some(bin(&x.bin)), Some(if x.on { "fan on" } else { "fan off" }.into()), x.reason.clone()]
        }
        _ => Vec::new(),
    }
}
