//! Points gathered into squares, so that a map of a field is small enough to keep and to draw.

use std::collections::BTreeMap;

use crate::clean::YieldPoint;
use crate::place::M_PER_DEG;

/// A square of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Square {
    /// Longitude of its middle.
    pub lon: f64,
    /// Latitude of its middle.
    pub lat: f64,
    /// Mean of its points, kg/ha.
    pub kg_ha: f64,
    /// Points in it.
    pub points: u32,
}

/// Means over squares of `side_m`, from the south-west corner of the points.
pub fn squares(points: &[YieldPoint], side_m: f64) -> Vec<Square> {
    let (west, south) =
        points.iter().fold((f64::INFINITY, f64::INFINITY), |b, p| (b.0.min(p.lon), b.1.min(p.lat)));
    let tall = side_m / M_PER_DEG;
    let wide = side_m / (M_PER_DEG * south.to_radians().cos());
    let mut sums: BTreeMap<(i64, i64), (f64, u32)> = BTreeMap::new();
    for p in points {
        let key = (((p.lon - west) / wide).floor() as i64, ((p.lat - south) / tall).floor() as i64);
        let sum = sums.entry(key).or_default();
        sum.0 += p.kg_ha;
        sum.1 += 1;
    }
    let square = |((x, y), (sum, n)): ((i64, i64), (f64, u32))| Square {
        lon: west + (x as f64 + 0.5) * wide,
        lat: south + (y as f64 + 0.5) * tall,
        kg_ha: sum / f64::from(n),
        points: n,
    };
    sums.into_iter().map(square).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_point_is_lost_and_the_mean_stays(all in proptest::collection::vec((0.0..0.01f64, 0.0..0.01f64, 100.0..6000.0f64), 1..200), side in 5.0..60.0f64) {
            let points: Vec<YieldPoint> = all.iter().map(|(x, y, k)| YieldPoint { t_s: 0.0, lon: -101.3 + x, lat: 50.1 + y, kg_ha: *k, moisture_pct: None }).collect();
            let s = squares(&points, side);
            prop_assert_eq!(s.iter().map(|c| c.points as usize).sum::<usize>(), points.len());
            let mean = points.iter().map(|p| p.kg_ha).sum::<f64>() / points.len() as f64;
            let back = s.iter().map(|c| c.kg_ha * f64::from(c.points)).sum::<f64>() / points.len() as f64;
            prop_assert!((mean - back).abs() < 1e-6);
        }
    }
}
