//! Readings from cables, probes and hands: put into the layers, and doubted where a sensor has gone wrong.

use crate::params::KeepParams;
use crate::stack::Stack;

/// One value at a height above the floor; without a height it is of the whole bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Where.
    pub height: Height,
    /// The value: C or % wet basis.
    pub value: f64,
}

/// Where a reading was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Height {
    /// Metres above the floor.
    Metres(f64),
    /// Share of the depth of grain: 0 the floor, 1 the surface.
    Share(f64),
    /// All of it.
    Whole,
}

impl Height {
    /// Metres above the floor with `depth_m` of grain; `None` for the whole or above the grain.
    pub fn metres(self, depth_m: f64) -> Option<f64> {
        match self {
            Self::Metres(m) if m <= depth_m + 0.3 => Some(m.clamp(0.0, depth_m)),
            Self::Metres(_) | Self::Whole => None,
            Self::Share(s) => Some(s.clamp(0.0, 1.0) * depth_m),
        }
    }
}

/// What was seen at one time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seen {
    /// Temperatures.
    pub temperatures: Vec<Point>,
    /// Moistures.
    pub moistures: Vec<Point>,
}

/// How far a single moisture reading reaches up and down, m: it tells little of grain further off.
const REACH_M: f64 = 1.5;

/// Puts what was seen into the layers, and tells by how much the reckoning was off at each temperature, C.
///
/// Temperatures between two sensors are straight between them, beyond the last the same correction holds; one reading
/// alone moves the whole bin. Moistures correct the grain within [`REACH_M`]; one of the whole bin moves all of it.
pub fn take_in(stack: &mut Stack, heights: &[f64], seen: &Seen) -> Vec<f64> {
    let depth = heights.last().copied().unwrap_or(0.0);
    let middle: Vec<f64> = heights.windows(2).map(|w| f64::midpoint(w[0], w[1])).collect();
    let layer = |h: f64| {
        (0..middle.len())
            .min_by(|a, b| (middle[*a] - h).abs().total_cmp(&(middle[*b] - h).abs()))
            .unwrap_or(0)
    };
    let mut misses = Vec::new();
    let mut gaps: Vec<(f64, f64)> = Vec::new();
    for p in &seen.temperatures {
        match p.height.metres(depth) {
            Some(h) => gaps.push((h, p.value - stack.bed.layers[layer(h)].t_c)),
            None if p.height == Height::Whole => gaps.push((0.5 * depth, p.value - stack.bed.mean_c())),
            None => {}
        }
    }
    misses.extend(gaps.iter().map(|g| g.1));
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let (Some(first), Some(last)) = (gaps.first().copied(), gaps.last().copied()) {
        for (l, h) in stack.bed.layers.iter_mut().zip(&middle) {
            let gap = if *h <= first.0 {
                first.1
            } else if *h >= last.0 {
                last.1
            } else {
                gaps.windows(2).find(|w| *h <= w[1].0).map_or(last.1, |w| {
                    w[0].1 + (h - w[0].0) / (w[1].0 - w[0].0).max(1e-9) * (w[1].1 - w[0].1)
                })
            };
            l.t_c += gap;
        }
    }
    let dd = |wb: f64| wb / (100.0 - wb);
    for p in &seen.moistures {
        let Some(h) = p.height.metres(depth) else {
            if p.height == Height::Whole {
                let mean = stack.bed.water_kg_m2() / stack.bed.dry_kg_m2();
                let factor = dd(p.value) / mean;
                stack.bed.layers.iter_mut().for_each(|l| l.m_dd *= factor);
            }
            continue;
        };
        let gap = dd(p.value) - stack.bed.layers[layer(h)].m_dd;
        for (l, m) in stack.bed.layers.iter_mut().zip(&middle) {
            let near = (1.0 - (m - h).abs() / REACH_M).max(0.0);
            l.m_dd = (l.m_dd + near * gap).max(0.02);
        }
    }
    misses
}

/// One sensor's readings in time order: (hours since some start, C).
pub type Series = Vec<(f64, f64)>;

/// What is wrong with a sensor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// Exactly the same for days.
    Stuck,
    /// Far from its neighbours.
    Wild,
}

/// Whether a sensor sticks: the last readings are exactly alike, over days, while the others of the bin moved.
pub fn stuck(p: &KeepParams, own: &Series, others_moved_c: f64) -> bool {
    let Some(&(end, last)) = own.last() else { return false };
    let alike = own.iter().rev().take_while(|r| (r.1 - last).abs() < 1e-9);
    let (count, first) = alike.fold((0, end), |(n, _), r| (n + 1, r.0));
    count >= p.still_readings && end - first >= 24.0 * p.still_days && others_moved_c >= 0.5
}

/// Which readings of one time are wild: outside any grain's temperature, or far from the median of the rest.
pub fn wild(p: &KeepParams, values: &[f64]) -> Vec<bool> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|v| (-50.0..80.0).contains(v)).collect();
    sorted.sort_by(f64::total_cmp);
    let median = sorted.get(sorted.len() / 2).copied();
    values
        .iter()
        .map(|v| {
            !(-50.0..80.0).contains(v)
                || (values.len() >= 3 && median.is_some_and(|m| (v - m).abs() > p.far_c))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::tests::{case, params};

    fn stack() -> Stack {
        let c = case(None);
        let mut s = Stack::empty(c.bed_grain, 30, 3000.0);
        s.put(2400.0, 0.16, 20.0);
        s.put(600.0, 0.22, 24.0);
        s
    }

    #[test]
    fn readings_move_the_layers_they_are_of() {
        let mut s = stack();
        let heights = s.heights_m(680.0);
        let at = |share, value| Point { height: Height::Share(share), value };
        let seen = Seen { temperatures: vec![at(0.0, 18.0), at(1.0, 30.0)], moistures: vec![at(1.0, 19.0)] };
        let misses = take_in(&mut s, &heights, &seen);
        assert_eq!(misses.len(), 2);
        assert!((s.bed.layers[0].t_c - 18.0).abs() < 0.4 && (s.bed.top().t_c - 30.0).abs() < 0.4);
        assert!((s.bed.top().m_wb_pct() - 19.0).abs() < 0.2 && (s.bed.layers[0].m_dd - 0.16).abs() < 1e-9);
        let before = s.bed.mean_c();
        take_in(
            &mut s,
            &heights,
            &Seen { temperatures: vec![Point { height: Height::Whole, value: 10.0 }], ..Seen::default() },
        );
        assert!((s.bed.mean_c() - 10.0).abs() < 1e-9 && before > 15.0);
        // A sensor above the grain says nothing of it.
        let over = Seen {
            temperatures: vec![Point { height: Height::Metres(40.0), value: 35.0 }],
            ..Seen::default()
        };
        assert!(take_in(&mut s, &heights, &over).is_empty());
    }

    #[test]
    fn a_sensor_that_sticks_or_reads_wild_is_found() {
        let p = params();
        let still: Series = (0..10).map(|d| (24.0 * f64::from(d), 21.3)).collect();
        assert!(stuck(&p, &still, 3.0));
        assert!(!stuck(&p, &still, 0.1), "nothing moved: it may be true");
        let mut moves = still.clone();
        moves[9].1 = 21.4;
        assert!(!stuck(&p, &moves, 3.0));
        assert!(!stuck(&p, &still[..4].to_vec(), 3.0));
        assert_eq!(wild(&p, &[18.0, 19.0, 85.0, 18.5]), [false, false, true, false]);
        assert_eq!(wild(&p, &[18.0, -127.0]), [false, true]);
        assert_eq!(wild(&p, &[2.0, 3.0, 30.5]), [false, false, true]);
    }
}
