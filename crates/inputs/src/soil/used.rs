//! The figures that the models take, each from the newest test that has it.

use jiff::civil::Date;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{SampleKind, SoilTest, SoilTestValue};
use stook_fertility::FertilityParams;
use stook_fertility::soil_test::Layer;
use stook_fertility::soil_test::layer::{Profile, profile};

use super::figures::standard;
use super::{TO_CM, Used};

/// The newest figure of each thing that the models use.
pub(super) fn used(tests: &[&Fact<SoilTest>], record: &FieldRecord, on: Date, p: &FertilityParams) -> Used {
    let nitrate = total(tests, "nitrate_n", p);
    let stale = nitrate.as_ref().is_some_and(|(_, day)| {
        crop_since(record, *day, on) || f64::from((on - *day).get_days()) > p.quality.old_nitrate_days
    });
    let sulphur = total(tests, "s", p);
    let chloride = total(tests, "cl", p);
    let ppm = |what: &str, wanted: &dyn Fn(&SoilTestValue) -> bool| newest_ppm(tests, what, wanted, p);
    let any = |_: &SoilTestValue| true;
    let method =
        |v: &SoilTestValue, m: &str| v.extractant.as_deref().is_some_and(|e| e.to_lowercase().contains(m));
    let p_ppm = [
        ("olsen", "Olsen"),
        ("kelowna", "modified Kelowna"),
        ("bray 1", "Bray 1"),
        ("bray", "Bray 1"),
        ("mehlich", "Mehlich 3"),
    ]
    .iter()
    .find_map(|(m, words)| ppm("p", &|v| method(v, m)).map(|x| (x, (*words).to_string())))
    .or_else(|| ppm("p", &any).map(|x| (x, "method not stated".into())));
    Used {
        nitrate_kg_ha: nitrate.map(|(x, _)| x.total_kg_ha),
        nitrate_complete: nitrate.is_some_and(|(x, _)| x.complete),
        nitrate_stale: stale,
        sulphur_kg_ha: sulphur.map(|(x, _)| x.total_kg_ha),
        chloride_kg_ha: chloride.map(|(x, _)| x.total_kg_ha),
        p_ppm,
        k_ppm: ppm("k", &any),
        cu_ppm: ppm("cu", &any),
        zn_ppm: ppm("zn", &any),
        ph: plain_value(tests, "ph"),
        organic_matter_pct: plain_value(tests, "organic_matter"),
    }
}

/// Whether a crop was taken from the field after a day.
pub(super) fn crop_since(record: &FieldRecord, day: Date, on: Date) -> bool {
    record.cuts.iter().any(|c| c.is.done && c.on() > day && c.on() <= on)
}

/// Sum over the layers to 60 cm of the newest sampling that has it, mean of the zones.
fn total(tests: &[&Fact<SoilTest>], what: &str, p: &FertilityParams) -> Option<(Profile, Date)> {
    let has = |t: &&&Fact<SoilTest>| {
        t.is.layers.iter().any(|l| l.values.iter().any(|v| v.what == what && standard(l, v, p).is_ok()))
    };
    let newest = tests.iter().filter(has).map(|t| t.is.sampled).max()?;
    let mut by_bag: Vec<(Option<String>, Vec<(Layer, f64)>)> = Vec::new();
    for t in tests.iter().filter(|t| (newest - t.is.sampled).get_days() <= 10 && t.is.sampled <= newest) {
        let key = t.is.zone.clone();
        let several_points = t.is.sample == Some(SampleKind::Grid);
        let mut layers: Vec<(Layer, f64)> = Vec::new();
        for l in &t.is.layers {
            if let Some(v) = l.values.iter().find(|v| v.what == what)
                && l.bottom_cm <= TO_CM + 2.0
                && let Ok(s) = standard(l, v, p)
            {
                layers.push((
                    Layer { top_cm: l.top_cm, bottom_cm: l.bottom_cm, bulk_density_g_cm3: None },
                    s.element_kg_ha,
                ));
            }
        }
        if layers.is_empty() {
            continue;
        }
        match by_bag.iter_mut().find(|(k, _)| *k == key && !several_points) {
            Some((_, held)) => held.extend(layers),
            None => by_bag.push((key, layers)),
        }
    }
    let profiles: Vec<Profile> = by_bag.iter().filter_map(|(_, l)| profile(l, TO_CM).ok()).collect();
    let n = profiles.len() as f64;
    (!profiles.is_empty()).then(|| {
        let mean = Profile {
            total_kg_ha: profiles.iter().map(|x| x.total_kg_ha).sum::<f64>() / n,
            sampled_to_cm: profiles.iter().map(|x| x.sampled_to_cm).fold(f64::INFINITY, f64::min),
            complete: profiles.iter().all(|x| x.complete),
        };
        (mean, newest)
    })
}

/// Mean over the bags of the newest sampling, surface layer, ppm of the element.
fn newest_ppm(
    tests: &[&Fact<SoilTest>],
    what: &str,
    wanted: &dyn Fn(&SoilTestValue) -> bool,
    p: &FertilityParams,
) -> Option<f64> {
    let of = |t: &SoilTest| {
        let l =
            t.layers.iter().filter(|l| l.top_cm < 1.0).min_by(|a, b| a.bottom_cm.total_cmp(&b.bottom_cm))?;
        let v = l.values.iter().find(|v| v.what == what && wanted(v))?;
        standard(l, v, p).ok().map(|s| s.element_mg_kg)
    };
    let newest = tests.iter().filter(|t| of(&t.is).is_some()).map(|t| t.is.sampled).max()?;
    let all: Vec<f64> =
        tests.iter().filter(|t| (newest - t.is.sampled).get_days() <= 10).filter_map(|t| of(&t.is)).collect();
    Some(all.iter().sum::<f64>() / all.len() as f64)
}

fn plain_value(tests: &[&Fact<SoilTest>], what: &str) -> Option<f64> {
    tests.iter().rev().find_map(|t| {
        t.is.layers
            .iter()
            .filter(|l| l.top_cm < 1.0)
            .find_map(|l| l.values.iter().find(|v| v.what == what).map(|v| v.value))
    })
}
