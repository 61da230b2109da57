//! How far a sampling can be trusted.

use jiff::civil::Date;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{Lie, SampleKind, SoilTest};
use stook_fertility::FertilityParams;
use stook_fertility::soil_test::quality::{Sample, Season, Strategy, warnings};

use super::used::crop_since;

/// What is not well with the newest sampling.
pub(super) fn trust(
    now: &[&Fact<SoilTest>],
    record: &FieldRecord,
    on: Date,
    p: &FertilityParams,
) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let nitrate_to = now
        .iter()
        .flat_map(|t| &t.is.layers)
        .filter(|l| l.values.iter().any(|v| v.what == "nitrate_n"))
        .map(|l| l.bottom_cm)
        .fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))));
    let bags = now
        .iter()
        .map(|t| (t.is.zone.clone(), t.is.number.clone()))
        .collect::<std::collections::BTreeSet<_>>()
        .len();
    for t in now {
        let sample = Sample {
            strategy: match t.is.sample {
                Some(SampleKind::Zone) => Strategy::Zone,
                Some(SampleKind::Benchmark) => Strategy::Benchmark,
                Some(SampleKind::Grid) => Strategy::Grid,
                Some(SampleKind::Composite) => Strategy::Composite,
                None if bags > 1 => Strategy::Zone,
                None => Strategy::Composite,
            },
            cores: t.is.cores,
            // all nitrogen goes on in bands here, so the row positions of the cores matter
            banded: record.fertilizer_plans.values().any(|f| f.on() < t.is.sampled),
            area_ha: Some(record.field().area_ha / bags.max(1) as f64),
            rolling: record.field().lie == Some(Lie::Rolling),
            age_days: f64::from((on - t.is.sampled).get_days()),
            crop_since: crop_since(record, t.is.sampled, on),
            season: if t.is.sampled.month() >= 8 { Season::Fall } else { Season::Spring },
            soil_c: t.is.soil_temp_c,
            nitrate_to_cm: nitrate_to,
        };
        for w in warnings(&sample, &p.quality) {
            let said = w.sentence();
            if !found.contains(&said) {
                found.push(said);
            }
        }
    }
    found
}
