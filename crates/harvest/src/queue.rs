//! Waiting lines with a known answer: what the hauling simulation is checked against, and the plain screen before it.

use serde::Serialize;

/// A line in steady state.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Line {
    /// Share of time the server works.
    pub busy: f64,
    /// Customers in line and in service.
    pub in_system: f64,
    /// Customers in line.
    pub in_line: f64,
    /// Hours in line and in service.
    pub time_h: f64,
    /// Hours in line.
    pub wait_h: f64,
}

/// One server, random arrivals, random service (Kleinrock 1975). `None` when the line grows without end.
pub fn mm1(arrivals_per_h: f64, service_per_h: f64) -> Option<Line> {
    single(arrivals_per_h, service_per_h, 1.0)
}

/// One server, random arrivals, service always the same (Pollaczek-Khinchine with no spread).
pub fn md1(arrivals_per_h: f64, service_per_h: f64) -> Option<Line> {
    single(arrivals_per_h, service_per_h, 0.0)
}

/// Pollaczek-Khinchine: one server, random arrivals, service with a squared coefficient of variation.
fn single(arrivals_per_h: f64, service_per_h: f64, scv: f64) -> Option<Line> {
    let rho = arrivals_per_h / service_per_h;
    (rho < 1.0).then(|| {
        let in_line = rho * rho * (1.0 + scv) / (2.0 * (1.0 - rho));
        let wait_h = in_line / arrivals_per_h;
        Line { busy: rho, in_system: in_line + rho, in_line, time_h: wait_h + 1.0 / service_per_h, wait_h }
    })
}

/// Chance of having to wait with several servers (Erlang C); 1 when the line grows without end.
pub fn erlang_c(arrivals_per_h: f64, service_per_h: f64, servers: u32) -> f64 {
    let a = arrivals_per_h / service_per_h;
    let c = f64::from(servers);
    if a >= c {
        return 1.0;
    }
    // Erlang B by its recursion, which does not overflow; then C from B.
    let b = (1..=servers).fold(1.0, |b, k| a * b / (f64::from(k) + a * b));
    b / (1.0 - a / c * (1.0 - b))
}

/// Machine repair: `n` machines that run for a random time and then wait for one server: trucks on the road and one
/// pit. Running time with the given mean, service random with the given mean, hours. Closed form (Palm; Kleinrock 1975).
pub fn machine_repair(n: u32, run_h: f64, service_h: f64) -> Line {
    let r = service_h / run_h;
    // Weight of k machines at the server: n!/(n-k)! r^k.
    let mut weights = vec![1.0];
    for k in 0..n {
        let last = weights[k as usize];
        weights.push(last * f64::from(n - k) * r);
    }
    let sum: f64 = weights.iter().sum();
    let p0 = weights[0] / sum;
    let in_system = weights.iter().enumerate().map(|(k, w)| k as f64 * w).sum::<f64>() / sum;
    let served_per_h = (1.0 - p0) / service_h;
    let in_line = in_system - (1.0 - p0);
    Line {
        busy: 1.0 - p0,
        in_system,
        in_line,
        time_h: in_system / served_per_h,
        wait_h: in_line / served_per_h,
    }
}

/// The least stage of a serial chain.
pub fn least_stage<'a>(stages: &[(&'a str, f64)]) -> Option<(&'a str, f64)> {
    stages.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Trucks needed to keep up, and how one truck goes round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TruckRound {
    /// Minutes for a round.
    pub cycle_min: f64,
    /// Bushels an hour for each truck.
    pub bu_h_per_truck: f64,
    /// Trucks needed.
    pub trucks: f64,
}

/// Load, road, unload, road back: trucks = combine rate / (load / cycle), rounded up.
pub fn trucks_needed(
    combine_bu_h: f64,
    truck_bu: f64,
    load_min: f64,
    haul_out_min: f64,
    unload_min: f64,
    haul_back_min: f64,
) -> TruckRound {
    let cycle_min = load_min + haul_out_min + unload_min + haul_back_min;
    let bu_h_per_truck = 60.0 * truck_bu / cycle_min;
    TruckRound { cycle_min, bu_h_per_truck, trucks: (combine_bu_h / bu_h_per_truck - 1e-9).ceil() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_machine_never_waits() {
        let l = machine_repair(1, 3.0, 1.0);
        assert!(l.in_line.abs() < 1e-12 && (l.busy - 0.25).abs() < 1e-12);
    }

    #[test]
    fn erlang_c_of_one_server_is_its_load() {
        assert!((erlang_c(3.0, 5.0, 1) - 0.6).abs() < 1e-12);
        assert_eq!(erlang_c(6.0, 5.0, 1), 1.0);
    }

    proptest! {
        #[test]
        fn littles_law_holds(rho in 0.05..0.97f64, mu in 0.5..50.0f64, n in 1..12u32) {
            for l in [mm1(rho * mu, mu).unwrap(), md1(rho * mu, mu).unwrap()] {
                prop_assert!((l.in_system - rho * mu * l.time_h).abs() < 1e-9 * l.in_system.max(1.0));
            }
            let l = machine_repair(n, 1.0, rho);
            // Served an hour equals the rate at which running machines come in.
            let coming = (f64::from(n) - l.in_system) / 1.0;
            prop_assert!((l.busy / rho - coming).abs() < 1e-9 * coming.max(1.0));
        }

        #[test]
        fn regular_service_waits_half_as_long(rho in 0.05..0.97f64) {
            let (m, d) = (mm1(rho, 1.0).unwrap(), md1(rho, 1.0).unwrap());
            prop_assert!((d.wait_h / m.wait_h - 0.5).abs() < 1e-9);
        }
    }
}
