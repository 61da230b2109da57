//! Entries of the bin yard in a sentence.

use stook_book::payload::{LoadFrom, LoadTo, UnitChoice};
use stook_book::{BinId, FieldId, Payload};
use stook_measure::figure;

use super::told::number;

/// What such an entry says, in parts.
pub fn parts(
    p: &Payload,
    u: &UnitChoice,
    name: &dyn Fn(&FieldId) -> String,
    bin: &dyn Fn(&BinId) -> String,
) -> Vec<Option<String>> {
    let pct = |x: f64| format!("{} %", figure(x, 1));
    match p {
        Payload::Bin(x) => vec![
            Some(x.name.clone()),
            number("bin", "diameter_m", u, x.diameter_m).map(|d| format!("{d} across")),
            Some(if x.floor.is_hopper() { "hopper" } else { "flat" }.into()),
            Some(format!("for {}", x.job.words())),
        ],
        Payload::Load(x) => vec![
            Some(match &x.from {
                LoadFrom::Field(f) => name(f),
                LoadFrom::Fields(parts) => {
                    parts.iter().map(|p| name(&p.field)).collect::<Vec<_>>().join(" and ")
                }
                LoadFrom::Bin(b) => bin(b),
                LoadFrom::Bought(who) => format!("bought from {who}"),
            }),
            Some(match &x.to {
                LoadTo::Bin(b) => format!("into {}", bin(b)),
                LoadTo::Buyer(who) => format!("to {who}"),
                LoadTo::Mill => "into the mill".into(),
                LoadTo::Seed => "into the drill".into(),
                LoadTo::Elsewhere(place) => place.clone(),
            }),
            x.mass_kg.and_then(|kg| number("load", "mass_kg", u, kg)),
            x.volume_m3.and_then(|v| number("load", "volume_m3", u, v)),
            x.tanks.map(|n| format!("{} tank-fulls", figure(n, 1))),
            x.moisture_wb_pct.map(pct),
            x.dried_to_wb_pct.map(|d| format!("dried to {}", pct(d))),
            x.ticket.as_ref().map(|t| format!("ticket {t}")),
            x.emptied.then(|| "the last of it".into()),
        ],
        Payload::GrainSample(x) => vec![
            Some(bin(&x.bin)),
            Some(x.taken.words().into()),
            x.moisture_wb_pct.map(|m| format!("moisture {}", pct(m))),
            x.protein_pct
                .map(|p| format!("protein {} at {}", pct(p), pct(x.protein_basis_pct.unwrap_or(0.0)))),
            x.test_weight_kg_hl.map(|t| format!("{} kg/hL", figure(t, 1))),
            x.don_ppm.map(|d| format!("DON {} ppm", figure(d, 1))),
            x.falling_number_s.map(|f| format!("falling number {} s", figure(f, 0))),
            x.grade.clone(),
        ],
        Payload::BinMeasured(x) => vec![
            Some(bin(&x.bin)),
            x.depth_m
                .and_then(|d| number("bin_measured", "depth_m", u, d))
                .map(|d| format!("{d} at the wall")),
            x.down_m
                .and_then(|d| number("bin_measured", "down_m", u, d))
                .map(|d| format!("{d} down from the eave")),
            x.volume_m3.and_then(|v| {
                if v > 0.0 { number("bin_measured", "volume_m3", u, v) } else { Some("empty".into()) }
            }),
        ],
        Payload::Buyer(x) => vec![
            Some(x.name.clone()),
            Some(x.crop.words().into()),
            Some(
                x.prices
                    .iter()
                    .map(|p| {
                        format!("{} {}{} a tonne", p.grade, u.money, figure(p.price_per_t, 2))
                            .trim()
                            .to_string()
                    })
                    .collect::<Vec<_>>()
                    .join(", "),
            ),
            x.contract.as_ref().zip(x.tonnes).map(|(c, t)| format!("contract {c}, {} t", figure(t, 0))),
        ],
        Payload::Settlement(x) => vec![
            Some(x.buyer.clone()),
            x.ticket.as_ref().map(|t| format!("ticket {t}")),
            Some(x.crop.words().into()),
            x.grade.clone(),
            x.theirs.payable.map(|p| format!("paid {}{}", u.money, figure(p, 2))),
        ],
        Payload::Contact(x) => vec![Some(x.name.clone()), Some(x.phone.clone()), x.words.clone()],
        Payload::Entrance(x) => vec![Some(name(&x.field)), Some(x.words.clone())],
        _ => Vec::new(),
    }
}
