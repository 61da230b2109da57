use std::time::Instant;
use stook_grain::bed::*;
use stook_grain::*;
fn main() {
    let r = stook_measure::Reference::shipped();
    let t = EmcTable::from_reference(&r);
    let p = 101325.0;
    for end in [14.3, 14.4, 14.5, 14.6, 15.0] {
        for n in [10, 20, 30] {
            for t0 in [4.0, 7.2] {
                let bg =
                    BedGrain::new(t.best(Grain::Corn).unwrap(), &Properties::from_reference(&r, Grain::Corn));
                let tc = (45.0 - 32.0) / 1.8;
                let inlet = Air::new(tc, 0.6, p);
                let depth = 4.0;
                let mut b = Bed::uniform(bg, n, 721.0 * depth, 20.0, t0);
                let ma = air::per_bushel_to_per_m3(1.0) * depth * 3600.0 * 1.2;
                let mut h = 0;
                while h < 24 * 200 && b.top().m_wb_pct() > end {
                    b.step(inlet, ma, p);
                    h += 1;
                }
                println!("corn end {end} n {n} t0 {t0} {:.1} avg {:.2}", h as f64 / 24.0, b.mean_wb_pct());
            }
        }
    }
    // cooling
    for n in [20, 30] {
        for q in [0.1, 0.2, 1.0] {
            let bg = BedGrain::new(
                t.best(Grain::HardWheat).unwrap(),
                &Properties::from_reference(&r, Grain::HardWheat),
            );
            let inlet = Air::new(10.0, 0.65, p);
            let mut b = Bed::uniform(bg, n, 772.0 * 5.0, 13.5, 27.0);
            let ma = air::per_bushel_to_per_m3(q) * 5.0 * 3600.0 * 1.2 / 10.0;
            let land = bg.landing(13.5 / 86.5, inlet, p).t_c;
            let mut h = 0;
            let mut s = String::new();
            let (mut a, mut c) = (false, false);
            while h < 20000 {
                let o = b.step(inlet, ma, p);
                h += 1;
                let done = (27.0 - o.t_c) / (27.0 - land);
                let k = h as f64 / 10.0 * q;
                if !a && done >= 0.5 {
                    a = true;
                    s += &format!(" half {k:.1}");
                }
                if !c && done >= 0.9 {
                    c = true;
                    s += &format!(" 90% {k:.1} m {:.2}", b.mean_wb_pct());
                    break;
                }
            }
            println!("cool n {n} q {q} land {land:.2} {s} first out");
        }
    }
    let bg =
        BedGrain::new(t.best(Grain::HardWheat).unwrap(), &Properties::from_reference(&r, Grain::HardWheat));
    let mut b = Bed::uniform(bg, 30, 772.0 * 5.0, 17.5, 22.0);
    let ma = air::per_bushel_to_per_m3(0.75) * 5.0 * 3600.0 * 1.2;
    let t1 = Instant::now();
    for h in 0..6570 {
        let x = h as f64;
        let tc = 8.0 + 12.0 * (x / 8760.0 * 6.28).cos() + 6.0 * (x / 24.0 * 6.28).sin();
        let rh = 0.65 - 0.2 * (x / 24.0 * 6.28).sin();
        let a = Air::new(tc + 2.0, rh * 0.88, p);
        b.step(a, ma, p);
    }
    println!("{:?} m {:.2}", t1.elapsed(), b.mean_wb_pct());
}
