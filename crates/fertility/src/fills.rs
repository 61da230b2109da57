//! Tanks: how far a fill goes, where to stop for the next, what is left, and the size of the whole job.

use serde::{Deserialize, Serialize};

/// A tank and what flows from it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Tank {
    /// Volume, m3.
    pub volume_m3: f64,
    /// Density of what is in it as a heap or liquid, kg/m3.
    pub density_kg_m3: f64,
    /// Share that is filled.
    pub fill_fraction: f64,
    /// Rate, kg/ha.
    pub rate_kg_ha: f64,
}

impl Tank {
    /// What it takes, kg.
    pub fn capacity_kg(&self) -> f64 {
        self.volume_m3 * self.density_kg_m3 * self.fill_fraction
    }

    /// How far a fill goes, ha; without end for a tank that is not in use.
    pub fn ha_per_fill(&self) -> f64 {
        if self.rate_kg_ha > 0.0 { self.capacity_kg() / self.rate_kg_ha } else { f64::INFINITY }
    }
}

/// How fills are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Layout {
    /// Full each time, the last one for what is left.
    FullThenRest,
    /// All the same, so that the last is no odd one.
    Even,
}

/// A fill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fill {
    /// Area it goes for, ha.
    pub area_ha: f64,
    /// Area done when it is empty, ha.
    pub done_ha: f64,
    /// What goes in each tank, kg.
    pub kg: Vec<f64>,
}

/// A refill plan of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// How far a full fill goes, ha.
    pub ha_per_fill: f64,
    /// The tank that runs out first, from 0.
    pub first_empty: usize,
    /// The fills in order.
    pub fills: Vec<Fill>,
    /// All that is needed from each tank, kg.
    pub total_kg: Vec<f64>,
}

/// Why there is no plan.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FillError {
    /// Nothing flows.
    #[error("no tank has a rate; give at least one")]
    NoRate,
    /// Numbers that cannot be.
    #[error("an area, volume, density, fill or rate is negative or not a number; check the tanks")]
    Bad,
    /// Too many.
    #[error("that would be {0:.0} fills; check the size of the tanks and the area")]
    TooMany(f64),
}

/// Most fills that are laid out: beyond it a number was mistyped.
const MOST_FILLS: f64 = 1000.0;

/// Lays out the fills of a field.
///
/// # Errors
/// When no tank has a rate, a number cannot be, or the fills are past counting.
pub fn plan(area_ha: f64, tanks: &[Tank], layout: Layout) -> Result<Plan, FillError> {
    let good = |x: f64| x.is_finite() && x >= 0.0;
    let sound = |t: &Tank| {
        good(t.rate_kg_ha)
            && t.volume_m3 > 0.0
            && t.density_kg_m3 > 0.0
            && t.fill_fraction > 0.0
            && t.capacity_kg().is_finite()
    };
    if !good(area_ha) || !tanks.iter().all(sound) {
        return Err(FillError::Bad);
    }
    let (first_empty, ha_per_fill) = tanks
        .iter()
        .map(Tank::ha_per_fill)
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, ha)| ha.is_finite())
        .ok_or(FillError::NoRate)?;
    // the grace keeps an exact multiple from asking for one more fill of nothing
    let count = (area_ha / ha_per_fill - 1e-9).ceil().max(0.0);
    if count > MOST_FILLS {
        return Err(FillError::TooMany(count));
    }
    let n = count as usize;
    let mut done = 0.0;
    let fills = (0..n)
        .map(|i| {
            let area = match layout {
                Layout::Even => area_ha / count,
                Layout::FullThenRest if i + 1 < n => ha_per_fill,
                Layout::FullThenRest => area_ha - done,
            };
            done += area;
            Fill { area_ha: area, done_ha: done, kg: tanks.iter().map(|t| t.rate_kg_ha * area).collect() }
        })
        .collect();
    let total_kg = tanks.iter().map(|t| t.rate_kg_ha * area_ha).collect();
    Ok(Plan { ha_per_fill, first_empty, fills, total_kg })
}

/// Whole packages of a product, and what is left of the last, kg.
pub fn packages(total_kg: f64, package_kg: f64) -> (f64, f64) {
    let n = (total_kg / package_kg - 1e-9).ceil().max(0.0);
    (n, (n * package_kg - total_kg).max(0.0))
}

/// Hours of a job: work at `ha_per_h` and `refill_h` for each stop. The first fill counts unless it stands ready.
pub fn hours(area_ha: f64, ha_per_h: f64, fills: usize, refill_h: f64, first_is_ready: bool) -> f64 {
    let stops = fills.saturating_sub(usize::from(first_is_ready));
    area_ha / ha_per_h + stops as f64 * refill_h
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn tank(volume: f64, rate: f64) -> Tank {
        Tank { volume_m3: volume, density_kg_m3: 750.0, fill_fraction: 0.9, rate_kg_ha: rate }
    }

    #[test]
    fn what_is_no_plan() {
        assert_eq!(plan(60.0, &[tank(5.0, 0.0)], Layout::Even), Err(FillError::NoRate));
        assert_eq!(plan(-1.0, &[tank(5.0, 10.0)], Layout::Even), Err(FillError::Bad));
        assert_eq!(plan(60.0, &[tank(0.0, 10.0)], Layout::Even), Err(FillError::Bad));
        assert!(matches!(plan(60_000.0, &[tank(0.1, 100.0)], Layout::Even), Err(FillError::TooMany(_))));
        assert!(plan(0.0, &[tank(5.0, 10.0)], Layout::Even).unwrap().fills.is_empty());
        assert_eq!(packages(1001.0, 500.0), (3.0, 499.0));
        assert_eq!(packages(1000.0, 500.0), (2.0, 0.0));
        assert_eq!(hours(60.0, 6.0, 3, 0.5, true), 11.0);
    }

    proptest! {
        #[test]
        fn the_fills_close_and_none_is_over_full(
            area in 0.1..300.0f64, v1 in 1.0..8.0f64, v2 in 1.0..8.0f64, r1 in 20.0..200.0f64, r2 in 0.0..200.0f64, even in any::<bool>(),
        ) {
            let tanks = [tank(v1, r1), tank(v2, r2)];
            let p = plan(area, &tanks, if even { Layout::Even } else { Layout::FullThenRest }).unwrap();
            let sum: f64 = p.fills.iter().map(|f| f.area_ha).sum();
            prop_assert!((sum - area).abs() < 1e-9 * area.max(1.0));
            for (i, t) in tanks.iter().enumerate() {
                let kg: f64 = p.fills.iter().map(|f| f.kg[i]).sum();
                prop_assert!((kg - p.total_kg[i]).abs() < 1e-6);
                for f in &p.fills {
                    prop_assert!(f.kg[i] <= t.capacity_kg() * (1.0 + 1e-6) && f.kg[i] >= 0.0);
                }
            }
            // one fill fewer would not do
            prop_assert!((p.fills.len() as f64 - 1.0) * p.ha_per_fill < area);
        }
    }
}
