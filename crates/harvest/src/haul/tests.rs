//! The simulation against closed forms, plain arithmetic, and what must always hold.

use proptest::prelude::*;

use super::*;
use crate::queue;

/// An endless field whose tanks are truck loads, poured at the edge in no time: what is left is the line in the yard.
fn line(trucks: usize, fill_min: f64, away_min: f64, service_min: f64, cv_fill: f64, cv_yard: f64) -> Setup {
    Setup {
        combines: 1,
        cuts_t_min: 1.0 / fill_min.max(1e-9),
        tank_t: 1.0,
        unloads_t_min: 1e12,
        unloading: Unloading::Edge,
        edge_min: 0.0,
        carts: vec![],
        cart_trip_min: 0.0,
        trucks: vec![Truck { holds_t: 1.0, out_min: away_min, back_min: 0.0 }; trucks],
        pits: 1,
        pit_t_min: 1.0 / service_min,
        pit_setup_min: 0.0,
        drier: None,
        room_t: f64::INFINITY,
        field_t: f64::INFINITY,
        day_min: 22_000.0,
        warm_up_min: 2_000.0,
        varies: Variation { fill: cv_fill, field: 0.0, road: 1.0, yard: cv_yard },
    }
}

#[test]
fn one_auger_with_random_arrivals_is_mm1_and_md1() {
    for (k, rho) in [0.3, 0.5, 0.7, 0.8].into_iter().enumerate() {
        let service = 5.0;
        // So many trucks that one is always at the field.
        let s = |cv| Setup {
            varies: Variation { fill: 1.0, field: 0.0, road: 0.0, yard: cv },
            ..line(300, service / rho, 1.0, service, 1.0, cv)
        };
        let per_h = 60.0 * rho / service;
        let random = replicate(&s(1.0), 11 + k as u64, 60).unwrap();
        let regular = replicate(&s(0.0), 31 + k as u64, 60).unwrap();
        let (m, d) = (queue::mm1(per_h, 60.0 / service).unwrap(), queue::md1(per_h, 60.0 / service).unwrap());
        assert!(
            random.load_wait_min.holds(60.0 * m.wait_h),
            "M/M/1 {rho}: {:?}, {}",
            random.load_wait_min,
            60.0 * m.wait_h
        );
        assert!(random.pit_works.holds(m.busy), "M/M/1 {rho}: {:?}", random.pit_works);
        assert!(
            regular.load_wait_min.holds(60.0 * d.wait_h),
            "M/D/1 {rho}: {:?}, {}",
            regular.load_wait_min,
            60.0 * d.wait_h
        );
        // The interval is narrow enough to mean something.
        assert!(random.load_wait_min.half < 0.1 * random.load_wait_min.mean);
    }
}

#[test]
fn trucks_that_come_round_are_the_machine_repair_line() {
    for (k, (n, away, service)) in [(2, 20.0, 8.0), (3, 30.0, 10.0), (5, 25.0, 6.0)].into_iter().enumerate() {
        // The tank is full at once, so a truck back from the road leaves at once.
        let s = replicate(&line(n, 1e-9, away, service, 0.0, 1.0), 5 + k as u64, 60).unwrap();
        let l = queue::machine_repair(n as u32, away / 60.0, service / 60.0);
        assert!(s.pit_works.holds(l.busy), "{n} trucks: {:?}, {}", s.pit_works, l.busy);
        assert!(
            s.load_wait_min.holds(60.0 * l.wait_h),
            "{n} trucks: {:?}, {}",
            s.load_wait_min,
            60.0 * l.wait_h
        );
        let in_line = s.truck_waits_yard.times(n as f64);
        assert!(in_line.holds(l.in_line), "{n} trucks: {in_line:?}, {}", l.in_line);
    }
}

fn farm() -> Setup {
    Setup {
        combines: 1,
        cuts_t_min: 0.6,
        tank_t: 8.0,
        unloads_t_min: 4.0,
        unloading: Unloading::Going,
        edge_min: 3.0,
        carts: vec![Cart { holds_t: 24.0, pours_t_min: 8.0 }],
        cart_trip_min: 3.0,
        trucks: vec![Truck { holds_t: 24.0, out_min: 12.0, back_min: 10.0 }; 2],
        pits: 1,
        pit_t_min: 2.0,
        pit_setup_min: 3.0,
        drier: None,
        room_t: f64::INFINITY,
        field_t: f64::INFINITY,
        day_min: 6_000.0,
        warm_up_min: 1_000.0,
        varies: Variation::NONE,
    }
}

#[test]
fn without_variation_the_least_stage_rules() {
    // Standing to unload, whole tanks fit the cart and the cart the truck: nothing is left over to spoil the sum.
    let whole = Setup { unloading: Unloading::Stopped, ..farm() };
    let cases = [
        whole.clone(),
        Setup { trucks: vec![Truck { holds_t: 24.0, out_min: 30.0, back_min: 30.0 }], ..whole.clone() },
        Setup { pit_t_min: 0.4, pit_setup_min: 0.0, ..whole.clone() },
        Setup { drier: Some(Drier { t_min: 0.3, wet_bin_t: 30.0 }), ..whole },
        farm(),
    ];
    for s in cases {
        let (stage, rate) = queue::least_stage(&s.stages()).unwrap();
        let c = simulate(&s, 1, 0).unwrap();
        let got = c.cut_t / c.minutes;
        assert!((got / rate - 1.0).abs() < 0.05, "{stage}: {got} against {rate}");
    }
}

#[test]
fn a_second_truck_helps_where_trucks_are_short_and_not_where_they_are_not() {
    let varies = Variation { fill: 0.2, field: 0.3, road: 0.2, yard: 0.2 };
    let short = Setup {
        trucks: vec![Truck { holds_t: 24.0, out_min: 20.0, back_min: 18.0 }],
        field_t: 200.0,
        warm_up_min: 0.0,
        day_min: 900.0,
        varies,
        ..farm()
    };
    let mut more = short.clone();
    more.trucks.push(more.trucks[0]);
    let gain = compare(&short, &more, 3, 60).unwrap();
    assert!(gain.hours_sooner.is_clear() && gain.hours_sooner.mean > 1.0, "{gain:?}");
    let plenty = Setup { trucks: vec![short.trucks[0]; 5], ..short };
    let mut six = plenty.clone();
    six.trucks.push(six.trucks[0]);
    assert!(compare(&plenty, &six, 3, 60).unwrap().hours_sooner.mean < 0.1);
}

#[test]
fn the_same_seed_gives_the_same_day() {
    let s = Setup { varies: Variation { fill: 0.4, field: 0.4, road: 0.4, yard: 0.4 }, ..farm() };
    assert_eq!(simulate(&s, 9, 3), simulate(&s, 9, 3));
    assert_ne!(simulate(&s, 9, 3), simulate(&s, 9, 4));
}

#[test]
fn what_cannot_be_is_said() {
    assert_eq!(simulate(&Setup { trucks: vec![], ..farm() }, 1, 0), Err(HaulError::Missing("truck")));
    let small =
        Setup { carts: vec![], trucks: vec![Truck { holds_t: 5.0, out_min: 1.0, back_min: 1.0 }], ..farm() };
    assert_eq!(
        simulate(&small, 1, 0).unwrap_err().to_string(),
        "a truck must hold a whole tank when the combine unloads into it"
    );
    assert!(simulate(&Setup { tank_t: f64::NAN, ..farm() }, 1, 0).is_err());
}

#[test]
fn students_t() {
    for (n, t) in [(6, 2.5706), (11, 2.2281), (31, 2.0423), (61, 2.0003)] {
        assert!((student_975(n) - t).abs() < 0.006, "{n}: {}", student_975(n));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_tonne_reaches_the_yard(
        combines in 1..4u32, carts in 0..3usize, trucks in 1..5usize, field in 20.0..300.0f64, going in any::<bool>(),
        out in 0.0..40.0f64, cv in 0.0..0.8f64, wet in proptest::option::of(0.2..3.0f64), seed in 0..1000u64,
    ) {
        let s = Setup {
            combines,
            carts: vec![Cart { holds_t: 22.0, pours_t_min: 8.0 }; carts],
            trucks: vec![Truck { holds_t: 15.0, out_min: out, back_min: out }; trucks],
            unloading: if going { Unloading::Going } else { Unloading::Stopped },
            drier: wet.map(|t_min| Drier { t_min, wet_bin_t: 25.0 }),
            field_t: field,
            day_min: 1e7,
            warm_up_min: 0.0,
            varies: Variation { fill: cv, field: cv, road: cv, yard: cv },
            ..farm()
        };
        let c = simulate(&s, seed, 0).unwrap();
        prop_assert!(c.finished);
        prop_assert!((c.cut_t - field).abs() < 1e-6 * field, "cut {} of {field}", c.cut_t);
        prop_assert!((c.hauled_t - field).abs() < 1e-6 * field, "hauled {} of {field}", c.hauled_t);
        // No machine is busy longer than there was time.
        let n = f64::from(combines);
        prop_assert!(c.combine_waits + c.combine_unloads <= n * c.minutes + 1e-6);
        prop_assert!(c.pit_works <= c.minutes + 1e-6 && c.pit_held <= c.pit_works + 1e-6);
        prop_assert!(c.cart_works + c.cart_waits <= carts as f64 * c.minutes + 1e-6, "{c:?}");
        prop_assert!(c.truck_waits_field + c.truck_waits_yard <= trucks as f64 * c.minutes + 1e-6);
        prop_assert!(c.cut_by_min <= c.minutes + 1e-9);
    }
}
