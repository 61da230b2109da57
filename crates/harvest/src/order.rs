//! Which field first, for one machine.

/// A field waiting: hours of work and money lost for each hour it waits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Job {
    /// Hours of work.
    pub hours: f64,
    /// Money lost per hour (or day: any one unit for all jobs) of waiting.
    pub loss_rate: f64,
}

/// Money saved for each hour of machine time by doing this job next: loss rate over hours. Higher goes first.
#[inline]
pub fn index(job: &Job) -> f64 {
    job.loss_rate / job.hours
}

/// The order of least total loss with steady rates and no weather: by falling [`index`] (Smith 1956).
///
/// Jobs of no hours come first, jobs that lose nothing or gain by waiting last; ties keep the order given.
pub fn order(jobs: &[Job]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..jobs.len()).collect();
    // Cross products instead of ratios, so that a job of no hours does not divide by zero.
    let key = |i: usize| if jobs[i].hours <= 0.0 { f64::INFINITY } else { index(&jobs[i]) };
    places.sort_by(|&a, &b| key(b).total_cmp(&key(a)));
    places
}

/// Loss rate times completion time, summed over jobs done in `order`.
pub fn total_loss(jobs: &[Job], order: &[usize]) -> f64 {
    let (mut clock, mut sum) = (0.0, 0.0);
    for &i in order {
        clock += jobs[i].hours;
        sum += jobs[i].loss_rate * clock;
    }
    sum
}

/// What it costs to let `later` go before `sooner` when the two stand next to each other: positive when `sooner`
/// rightly goes first.
pub fn swap_cost(sooner: &Job, later: &Job) -> f64 {
    sooner.loss_rate * later.hours - later.loss_rate * sooner.hours
}

/// Completion times, h, of jobs done in `order`, by place in `jobs`; each field opens with `setup_h` of moving.
pub fn completion_h(jobs: &[Job], order: &[usize], setup_h: f64) -> Vec<f64> {
    let mut done = vec![0.0; jobs.len()];
    let mut clock = 0.0;
    for &i in order {
        clock += setup_h + jobs[i].hours;
        done[i] = clock;
    }
    done
}

/// Expected loss with work hours that come a day at a time: `hours_by_day` is one weather, `loss_per_day` applies to
/// each day a job is unfinished at its end, and a job left over at the last day is charged for every day.
///
/// The same function run over many weathers gives the range behind the order.
pub fn loss_over_days(jobs: &[Job], order: &[usize], hours_by_day: &[f64]) -> f64 {
    let mut left: Vec<f64> = jobs.iter().map(|j| j.hours).collect();
    let mut loss = 0.0;
    for &today in hours_by_day {
        let mut hours = today.max(0.0);
        for &i in order {
            let used = left[i].min(hours);
            left[i] -= used;
            hours -= used;
            if hours <= 0.0 {
                break;
            }
        }
        loss += jobs.iter().zip(&left).filter(|(_, l)| **l > 1e-9).map(|(j, _)| j.loss_rate).sum::<f64>();
    }
    loss
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn permutations(n: usize) -> Vec<Vec<usize>> {
        if n == 0 {
            return vec![vec![]];
        }
        let mut all = Vec::new();
        for shorter in permutations(n - 1) {
            for at in 0..n {
                let mut p = shorter.clone();
                p.insert(at, n - 1);
                all.push(p);
            }
        }
        all
    }

    fn jobs() -> impl Strategy<Value = Vec<Job>> {
        let job = (0.5..20.0f64, -20.0..200.0f64).prop_map(|(hours, loss_rate)| Job { hours, loss_rate });
        proptest::collection::vec(job, 1..6)
    }

    proptest! {
        #[test]
        fn no_order_is_better(jobs in jobs()) {
            let best = total_loss(&jobs, &order(&jobs));
            for p in permutations(jobs.len()) {
                prop_assert!(best <= total_loss(&jobs, &p) + 1e-9 * best.abs().max(1.0));
            }
        }

        #[test]
        fn a_swap_costs_what_it_says(jobs in jobs()) {
            let right = order(&jobs);
            for i in 1..right.len() {
                let mut swapped = right.clone();
                swapped.swap(i - 1, i);
                let cost = swap_cost(&jobs[right[i - 1]], &jobs[right[i]]);
                prop_assert!(cost >= -1e-9);
                let difference = total_loss(&jobs, &swapped) - total_loss(&jobs, &right);
                prop_assert!((difference - cost).abs() < 1e-6);
            }
        }

        #[test]
        fn hours_are_used_up(jobs in jobs(), hours in proptest::collection::vec(0.0..14.0f64, 0..30)) {
            let jobs: Vec<Job> = jobs.into_iter().map(|j| Job { loss_rate: j.loss_rate.abs(), ..j }).collect();
            let o = order(&jobs);
            let loss = loss_over_days(&jobs, &o, &hours);
            let all: f64 = jobs.iter().map(|j| j.loss_rate).sum();
            prop_assert!(loss >= 0.0 && loss <= all * hours.len() as f64 + 1e-9);
            // more hours on every day never lose more
            let longer: Vec<f64> = hours.iter().map(|h| h + 1.0).collect();
            prop_assert!(loss_over_days(&jobs, &o, &longer) <= loss + 1e-9);
        }
    }
}
