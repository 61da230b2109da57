//! The shapes a response can have.

use serde::{Deserialize, Serialize};

/// Yield against nitrogen applied.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum Curve {
    /// `b0 + b1 n + b2 n^2`. To reproduce published figures; it falls past its top.
    Quadratic {
        /// Yield without.
        b0: f64,
        /// First slope.
        b1: f64,
        /// Bend, negative for a curve that flattens.
        b2: f64,
    },
    /// `plateau - bend / 2 (from - n)^2` up to `from`, then `plateau`.
    QuadraticPlateau {
        /// Highest yield.
        plateau: f64,
        /// How fast the slope falls.
        bend: f64,
        /// Rate at which the plateau begins.
        from: f64,
    },
    /// `ceiling (1 - exp(-c (n + soil)))`.
    Mitscherlich {
        /// Yield never quite reached.
        ceiling: f64,
        /// Effect of a unit.
        c: f64,
        /// What the soil gives, in units of fertilizer.
        soil: f64,
    },
    /// `plateau - slope (from - n)` up to `from`, then `plateau`.
    LinearPlateau {
        /// Highest yield.
        plateau: f64,
        /// Slope below.
        slope: f64,
        /// Rate at which the plateau begins.
        from: f64,
    },
}

impl Curve {
    /// Yield at a rate.
    pub fn at(&self, n: f64) -> f64 {
        match *self {
            Self::Quadratic { b0, b1, b2 } => b0 + n * (b1 + n * b2),
            Self::QuadraticPlateau { plateau, bend, from } => {
                let short = (from - n).max(0.0);
                plateau - 0.5 * bend * short * short
            }
            Self::Mitscherlich { ceiling, c, soil } => ceiling * (1.0 - (-c * (n + soil)).exp()),
            Self::LinearPlateau { plateau, slope, from } => plateau - slope * (from - n).max(0.0),
        }
    }

    /// Yield gained by one more unit at a rate; at a corner the slope above it.
    pub fn slope(&self, n: f64) -> f64 {
        match *self {
            Self::Quadratic { b1, b2, .. } => b1 + 2.0 * b2 * n,
            Self::QuadraticPlateau { bend, from, .. } => bend * (from - n).max(0.0),
            Self::Mitscherlich { ceiling, c, soil } => ceiling * c * (-c * (n + soil)).exp(),
            Self::LinearPlateau { slope, from, .. } => {
                if n < from {
                    slope
                } else {
                    0.0
                }
            }
        }
    }

    /// Whether more nitrogen never adds more than the unit before: what an optimum needs.
    pub fn flattens(&self) -> bool {
        match *self {
            Self::Quadratic { b2, .. } => b2 < 0.0,
            Self::QuadraticPlateau { bend, from, .. } => bend > 0.0 && from.is_finite(),
            Self::Mitscherlich { ceiling, c, .. } => ceiling > 0.0 && c > 0.0,
            Self::LinearPlateau { slope, from, .. } => slope >= 0.0 && from.is_finite(),
        }
    }

    /// Highest yield of the curve, where it has one.
    pub fn ceiling(&self) -> Option<f64> {
        self.flattens().then_some(match *self {
            Self::Quadratic { b0, b1, b2 } => b0 - b1 * b1 / (4.0 * b2),
            Self::QuadraticPlateau { plateau, .. } | Self::LinearPlateau { plateau, .. } => plateau,
            Self::Mitscherlich { ceiling, .. } => ceiling,
        })
    }

    /// Rate of highest yield, where there is one.
    pub fn full_rate(&self) -> Option<f64> {
        match *self {
            Self::Quadratic { b1, b2, .. } if b2 < 0.0 => Some(-b1 / (2.0 * b2)),
            Self::QuadraticPlateau { from, .. } | Self::LinearPlateau { from, .. } => Some(from),
            _ => None,
        }
    }

    /// The textbook optimum: the rate at which the slope equals the price ratio, before any limit.
    /// `None` when the curve does not flatten.
    pub fn unbounded_optimum(&self, ratio: f64) -> Option<f64> {
        self.flattens().then(|| match *self {
            Self::Quadratic { b1, b2, .. } => (ratio - b1) / (2.0 * b2),
            Self::QuadraticPlateau { bend, from, .. } => from - ratio / bend,
            Self::Mitscherlich { ceiling, c, soil } => (ceiling * c / ratio).ln() / c - soil,
            Self::LinearPlateau { slope, from, .. } => {
                if slope > ratio {
                    from
                } else {
                    f64::NEG_INFINITY
                }
            }
        })
    }

    /// A quadratic-plateau as `a + b n + c n^2` up to its corner.
    pub fn as_quadratic(plateau: f64, bend: f64, from: f64) -> (f64, f64, f64) {
        (plateau - 0.5 * bend * from * from, bend * from, -0.5 * bend)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn curves() -> [Curve; 4] {
        [
            Curve::Quadratic { b0: 2.0, b1: 0.04, b2: -1e-4 },
            Curve::QuadraticPlateau { plateau: 6.0, bend: 4e-4, from: 150.0 },
            Curve::Mitscherlich { ceiling: 6.0, c: 0.02, soil: 40.0 },
            Curve::LinearPlateau { plateau: 6.0, slope: 0.02, from: 120.0 },
        ]
    }

    proptest! {
        #[test]
        fn the_slope_is_that_of_the_yield(n in 0.0..300.0f64) {
            for c in curves() {
                let h = 1e-4;
                let by_difference = (c.at(n + h) - c.at(n - h)) / (2.0 * h);
                let corner = c.full_rate().is_some_and(|f| (f - n).abs() < 2.0 * h);
                prop_assert!(corner || (c.slope(n) - by_difference).abs() < 1e-6, "{:?} at {}", c, n);
                prop_assert!(c.at(n) <= c.ceiling().unwrap() + 1e-12);
                prop_assert!(c.slope(n + 1.0) <= c.slope(n) + 1e-15);
            }
        }

        #[test]
        fn at_the_textbook_optimum_a_unit_pays_for_itself(ratio in 0.002..0.015f64) {
            for c in &curves()[..3] {
                let n = c.unbounded_optimum(ratio).unwrap();
                prop_assert!((c.slope(n) - ratio).abs() < 1e-12);
            }
        }
    }
}
