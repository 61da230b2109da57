//! Speed of the season engine: `cargo bench -p stook-season`.
//!
//! Twenty fields, a thousand weathers, one season, then the share of the time each model takes, found by running it
//! alone over the same days. Prints what it measured on this machine; nothing here is a test.

use std::hint::black_box;
use std::time::Instant;

use stook_book::Farm;
use stook_season::carry::carry;
use stook_season::field::{FieldState, soil};
use stook_season::run::Policy;
use stook_season::{Question, WeatherFacts};
use stook_soil::Cover;

#[path = "../tests/common/mod.rs"]
mod common;

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
    let field = alone(&|m, f| {
        let mut s: FieldState = c.starts[m][f];
        let field = &c.model.fields[f];
        for a in &c.air[m] {
            if s.wheat.is_none() && a.doy == 128 {
                s.mark_done(&c.model, field, stook_season::answer::Job::Seed, 128, None);
            }
            s.step(&c.model, field, a);
        }
        black_box(s);
    });
    let share = |x: f64| 100.0 * x / whole;
    println!(
        "of one thread's time: soil water {:.0} %, crop {:.0} %, fitness, machines and money {:.0} %",
        share(water),
        share((field - water).max(0.0)),
        share((whole - field).max(0.0))
    );
}
