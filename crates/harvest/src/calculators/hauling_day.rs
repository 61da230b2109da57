//! The hauling simulation as a calculator.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::haul::{Cart, Drier, Setup, Truck, Unloading, Variation, replicate};

fn number(key: &'static str, unit: &'static str, low: f64, high: f64, about: &'static str) -> Input {
    Input::number(key, unit, low, high, about)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![Calculator {
        name: "harvest.hauling_day",
        title: "A day's hauling, played many times",
        about: "Combines, carts, trucks, the auger, a drier: who waits for whom. Times vary as gamma numbers; 0 always \
                the same, 1 wholly random. The same seed gives the same days.",
        inputs: vec![
            number("combines", "1", 1.0, 20.0, "combines").or(1.0),
            number("cuts_t_h", "t/h", 0.1, 500.0, "each cuts, turns counted"),
            number("tank_t", "t", 0.1, 30.0, "tank").or(8.2),
            number("unloads_t_h", "t/h", 1.0, 1e9, "a combine unloads").or(245.0),
            Input::choice("unloading", &["going", "stopped", "edge"], "how it unloads").or("going"),
            number("edge_min", "min", 0.0, 60.0, "drive to the edge").or(4.0),
            number("carts", "1", 0.0, 10.0, "carts").or(1.0),
            number("cart_t", "t", 0.1, 80.0, "a cart holds").or(24.0),
            number("cart_pours_t_h", "t/h", 1.0, 1e9, "a cart pours").or(490.0),
            number("cart_trip_min", "min", 0.0, 60.0, "cart to the trucks").or(3.0),
            number("trucks", "1", 1.0, 400.0, "trucks").or(2.0),
            number("truck_t", "t", 0.1, 80.0, "a truck holds").or(16.3),
            number("out_min", "min", 0.0, 600.0, "road to the yard").or(15.0),
            number("back_min", "min", 0.0, 600.0, "road back").or(15.0),
            number("pits", "1", 1.0, 10.0, "augers or pits").or(1.0),
            number("pit_t_h", "t/h", 0.1, 1e6, "an auger takes").or(122.0),
            number("pit_setup_min", "min", 0.0, 120.0, "not pouring, each load").or(4.0),
            number("drier_t_h", "t/h", 0.0, 500.0, "drier takes; 0 for none").or(0.0),
            number("wet_bin_t", "t", 0.0, 5000.0, "wet bin before the drier").or(25.0),
            number("field_t", "t", 0.1, 1e7, "grain standing"),
            number("day_h", "h", 0.5, 10_000.0, "the day").or(12.0),
            number("warm_up_h", "h", 0.0, 5_000.0, "not counted at its start").or(0.0),
            number("cv_fill", "1", 0.0, 1.5, "how fillings vary").or(0.15),
            number("cv_field", "1", 0.0, 1.5, "how trips in the field vary").or(0.4),
            number("cv_road", "1", 0.0, 1.5, "how road times vary").or(0.15),
            number("cv_yard", "1", 0.0, 1.5, "how pouring varies").or(0.25),
            number("days", "1", 2.0, 1000.0, "days played").or(60.0),
            number("seed", "1", 0.0, 1e9, "seed").or(1.0),
        ],
        outputs: vec![
            out("cut_t_h", "t/h", "grain off the field"),
            out("cut_half", "t/h", "half its 95 % interval"),
            out("hours", "h", "until the field is off"),
            out("combine_waits", "1", "share of combine time waiting full"),
            out("combine_unloads", "1", "share of it stopped to unload"),
            out("cart_works", "1", "share of cart time at work"),
            out("truck_waits_field", "1", "share of truck time waiting in the field"),
            out("truck_waits_yard", "1", "share of truck time in line"),
            out("pit_works", "1", "share of auger time"),
            out("pit_half", "1", "half its interval"),
            out("drier_runs", "1", "share of time the drier runs"),
            out("load_wait_min", "min", "wait of a load in line"),
            out("wait_half_min", "min", "half its interval"),
        ],
        source: "discrete-event simulation; checked against M/M/1, M/D/1 and machine-repair closed forms",
        run,
    }]
}

fn run(a: &Args) -> Answer {
    let n = |k: &str| a.number(k);
    let whole = |k: &str| a.number(k).round() as usize;
    let setup = Setup {
        combines: whole("combines") as u32,
        cuts_t_min: n("cuts_t_h") / 60.0,
        tank_t: n("tank_t"),
        unloads_t_min: n("unloads_t_h") / 60.0,
        unloading: match a.text("unloading") {
            "going" => Unloading::Going,
            "stopped" => Unloading::Stopped,
            _ => Unloading::Edge,
        },
        edge_min: n("edge_min"),
        carts: vec![Cart { holds_t: n("cart_t"), pours_t_min: n("cart_pours_t_h") / 60.0 }; whole("carts")],
        cart_trip_min: n("cart_trip_min"),
        trucks: vec![
            Truck { holds_t: n("truck_t"), out_min: n("out_min"), back_min: n("back_min") };
            whole("trucks")
        ],
        pits: whole("pits") as u32,
        pit_t_min: n("pit_t_h") / 60.0,
        pit_setup_min: n("pit_setup_min"),
        drier: (n("drier_t_h") > 0.0)
            .then(|| Drier { t_min: n("drier_t_h") / 60.0, wet_bin_t: n("wet_bin_t") }),
        room_t: f64::INFINITY,
        field_t: n("field_t"),
        day_min: 60.0 * n("day_h"),
        warm_up_min: 60.0 * n("warm_up_h"),
        varies: Variation {
            fill: n("cv_fill"),
            field: n("cv_field"),
            road: n("cv_road"),
            yard: n("cv_yard"),
        },
    };
    let s =
        replicate(&setup, n("seed") as u64, whole("days")).map_err(|e| CalcError::Together(e.to_string()))?;
    let mut w = Working::new("A day's hauling");
    for (stage, t_min) in setup.stages() {
        w = w.line(Op::Note, format!("The {stage} alone could do"), 60.0 * t_min, "t/h", 1);
    }
    let w = w
        .sum("With waiting", s.cut_t_h.mean, "t/h", 1)
        .note(format!("Mean of {} days, known to {:.2} t/h either way.", s.days, s.cut_t_h.half));
    Ok(Outcome::new(w)
        .with("cut_t_h", s.cut_t_h.mean)
        .with("cut_half", s.cut_t_h.half)
        .with("hours", s.hours.mean)
        .with("combine_waits", s.combine_waits.mean)
        .with("combine_unloads", s.combine_unloads.mean)
        .with("cart_works", s.cart_works.mean)
        .with("truck_waits_field", s.truck_waits_field.mean)
        .with("truck_waits_yard", s.truck_waits_yard.mean)
        .with("pit_works", s.pit_works.mean)
        .with("pit_half", s.pit_works.half)
        .with("drier_runs", s.drier_runs.mean)
        .with("load_wait_min", s.load_wait_min.mean)
        .with("wait_half_min", s.load_wait_min.half))
}
