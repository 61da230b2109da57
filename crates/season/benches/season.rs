//! Speed of the season engine: `cargo bench -p stook-season`.
//!
//! Twenty fields, a thousand weathers, one season, then the share of the time each model takes, found by running it
//! alone over the same days. Prints what it measured on this machine; nothing here is a test.

use std::hint::black_box;
use std::time::Instant;

use stook_book::Farm;
use stook_crop::ripening::KernelMoisture;
use stook_crop::stage::WheatState;
use stook_season::carry::carry;
use stook_season::field::soil;
use stook_season::run::Policy;
use stook_season::{Question, WeatherFacts};
use stook_soil::fitness::{Conditions, fitness};
use stook_soil::{Cover, Operation};

#[path = "../tests/common/mod.rs"]
mod common;

/// A usual day of seeding, and the days a crop stands ripe, day of the year.
const SOWN: u16 = 128;
const RIPE: std::ops::RangeInclusive<u16> = 225..=270;

fn main() {
    // Cargo's test runner passes --test when it only wants to see that benches build and run.
    let members = if std::env::args().any(|a| a == "--test") { 30 } else { 1_000 };
    let farm = Farm::fold(&common::entries(20));
    let weather = WeatherFacts::default();
    let question = Question {
        farm: &farm,
        weather: &weather,
        before: None,
        as_of: jiff::civil::date(2026, 4, 1),
        members,
        seed: 1,
    };
    let t = Instant::now();
    let c = carry(&question).expect("the bench farm has a place");
    println!("weathers made and fields carried to 1 April: {:.2} s", t.elapsed().as_secs_f64());

    let days: usize = c.air.iter().map(Vec::len).sum();
    let field_days = (days * c.model.fields.len()) as f64;
    let mut best = f64::INFINITY;
    for _ in 0..3 {
        let t = Instant::now();
        black_box(c.seasons(&Policy::default(), None));
        best = best.min(t.elapsed().as_secs_f64());
    }
    println!(
        "{} fields x {} weathers x {} days: {best:.3} s on {} threads, {:.2} million field-days a second",
        c.model.fields.len(),
        c.members(),
        c.air[0].len(),
        rayon::current_num_threads(),
        field_days / best / 1e6
    );

    // One thread, each model alone over the same field-days.
    let few = c.members().min(60);
    let alone = |what: &dyn Fn(usize, usize)| {
        let t = Instant::now();
        for m in 0..few {
            for f in 0..c.model.fields.len() {
                what(m, f);
            }
        }
        t.elapsed().as_secs_f64()
    };
    let whole = alone(&|m, f| {
        if f == 0 {
            black_box(stook_season::run::season(
                &c.model,
                &c.starts[m],
                &c.air[m],
                &Policy::default(),
                None,
                None,
            ));
        }
    });
    let water = alone(&|m, f| {
        let field = &c.model.fields[f];
        let mut w = c.starts[m][f].water;
        let cover = Cover { kcb: 0.8, height_m: 0.6, root_depth_m: 0.9, ..Cover::bare(0.2) };
        for a in &c.air[m] {
            black_box(stook_soil::step(
                &mut w,
                soil(field, c.starts[m][f].variant),
                &c.model.soil,
                &a.forcing,
                &a.water,
                &cover,
            ));
        }
    });
    let stage = alone(&|m, f| {
        let field = &c.model.fields[f];
        let mut w: Option<WheatState> = c.starts[m][f].wheat;
        for a in &c.air[m] {
            if w.is_none() && a.doy == SOWN {
                w = Some(WheatState::sown(field.depth_cm, &field.params));
            }
            if let Some(w) = &mut w {
                black_box(w.step(&field.params, &a.forcing, a.soil_c, true));
            }
        }
    });
    let drydown = alone(&|m, f| {
        let p = &c.model.fields[f].params;
        let mut k = KernelMoisture::measured(p.ripening.pm_moisture_pct);
        for a in c.air[m].iter().filter(|a| RIPE.contains(&a.doy)) {
            k.dry(&a.drying, &p.ripening);
            black_box(k.pct());
        }
    });
    let fit = alone(&|m, f| {
        let field = &c.model.fields[f];
        let (water, soil) = (&c.starts[m][f].water, soil(field, c.starts[m][f].variant));
        for a in &c.air[m] {
            let day = Conditions {
                snow_on_ground: a.water.snow_on_ground,
                rain_today_mm: a.forcing.rain_mm,
                days_above_zero: a.days_thawed,
            };
            // Until it is sown a field is asked about the drill; ripe, about the combine; else about the sprayer.
            let op = match a.doy {
                d if d <= SOWN => Operation::Seed,
                d if RIPE.contains(&d) => Operation::Combine,
                _ => Operation::Spray,
            };
            black_box(fitness(op, water, soil, &day, &field.limits));
        }
    });
    let hours = alone(&|m, _| {
        for a in c.air[m].iter().filter(|a| RIPE.contains(&a.doy)) {
            black_box(stook_harvest::hours::combine_hours(&a.forcing, 16.0, &c.model.harvest));
        }
    });
    let parts = [
        ("soil water", water),
        ("crop stage", stage),
        ("kernel drydown", drydown),
        ("fitness of the soil", fit),
        ("combine hours", hours),
    ];
    let rest = (whole - parts.iter().map(|p| p.1).sum::<f64>()).max(0.0);
    println!("share of one thread's time, each model run alone over the same days:");
    for (what, seconds) in parts.into_iter().chain([("cover, machines, order and money", rest)]) {
        println!("  {what}: {:.0} %", 100.0 * seconds / whole);
    }
}
