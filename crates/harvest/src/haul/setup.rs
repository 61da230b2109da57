//! What takes part in a day's hauling.

use serde::{Deserialize, Serialize};

/// How a combine empties its tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unloading {
    /// Beside the cart while cutting.
    Going,
    /// Standing where the tank is full.
    Stopped,
    /// At the field's edge, into the truck itself; also the way without a cart.
    Edge,
}

/// A grain cart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cart {
    /// Holds, t.
    pub holds_t: f64,
    /// Pours, t/min.
    pub pours_t_min: f64,
}

/// A truck.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Truck {
    /// Holds, t.
    pub holds_t: f64,
    /// Road to the yard, min.
    pub out_min: f64,
    /// Road back, min.
    pub back_min: f64,
}

/// A drier with its wet bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Drier {
    /// Dries, t of wet grain a minute.
    pub t_min: f64,
    /// Wet bin before it, t.
    pub wet_bin_t: f64,
}

/// Coefficients of variation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Variation {
    /// Of filling a tank: uneven crop, turns, stops.
    pub fill: f64,
    /// Of cart trips, of driving to the edge.
    pub field: f64,
    /// Of the road.
    pub road: f64,
    /// Of pouring in the yard.
    pub yard: f64,
}

impl Variation {
    /// Always the same.
    pub const NONE: Self = Self { fill: 0.0, field: 0.0, road: 0.0, yard: 0.0 };
}

/// A day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// Combines.
    pub combines: u32,
    /// Each cuts while it is not held up, turns counted, t/min.
    pub cuts_t_min: f64,
    /// Tank, t.
    pub tank_t: f64,
    /// Unloads, t/min.
    pub unloads_t_min: f64,
    /// How.
    pub unloading: Unloading,
    /// Minutes to the edge and as many back, when unloading there.
    pub edge_min: f64,
    /// Carts, all alike.
    pub carts: Vec<Cart>,
    /// Minutes of a cart from a combine to the trucks, and back.
    pub cart_trip_min: f64,
    /// Trucks.
    pub trucks: Vec<Truck>,
    /// Augers or pits in the yard.
    pub pits: u32,
    /// Each takes, t/min.
    pub pit_t_min: f64,
    /// Minutes to set up at the auger, each load.
    pub pit_setup_min: f64,
    /// Drier, when the grain goes through it.
    pub drier: Option<Drier>,
    /// Room in the bins, t.
    pub room_t: f64,
    /// Grain standing, t.
    pub field_t: f64,
    /// The day, min.
    pub day_min: f64,
    /// Minutes not counted at its start.
    pub warm_up_min: f64,
    /// How times vary.
    pub varies: Variation,
}

/// What keeps a set-up from being run.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HaulError {
    /// No combine, no truck, no auger.
    #[error("a day of hauling needs at least one {0}")]
    Missing(&'static str),
    /// A figure that cannot be.
    #[error("{0} must be above nothing")]
    NotPositive(&'static str),
    /// A truck that cannot take a tank at the edge.
    #[error("a truck must hold a whole tank when the combine unloads into it")]
    SmallTruck,
    /// A negative or undefined figure.
    #[error("{0} cannot be below nothing")]
    Negative(&'static str),
}

impl Setup {
    /// Looks it over.
    ///
    /// # Errors
    /// The first thing that cannot be.
    pub fn check(&self) -> Result<(), HaulError> {
        for (n, what) in
            [(self.combines as usize, "combine"), (self.trucks.len(), "truck"), (self.pits as usize, "auger")]
        {
            if n == 0 {
                return Err(HaulError::Missing(what));
            }
        }
        let above = |x: f64| x > 0.0 && !x.is_nan();
        for (x, what) in [
            (self.cuts_t_min, "what the combine cuts"),
            (self.tank_t, "the tank"),
            (self.unloads_t_min, "the combine's unloading"),
            (self.pit_t_min, "what the auger takes"),
            (self.day_min, "the day"),
            (self.field_t, "the grain standing"),
        ] {
            if !above(x) {
                return Err(HaulError::NotPositive(what));
            }
        }
        if self.trucks.iter().any(|t| !above(t.holds_t)) {
            return Err(HaulError::NotPositive("what a truck holds"));
        }
        if self.to_the_edge() && self.trucks.iter().any(|t| t.holds_t < self.tank_t - 1e-9) {
            return Err(HaulError::SmallTruck);
        }
        if self.carts.iter().any(|c| !above(c.holds_t) || !above(c.pours_t_min)) {
            return Err(HaulError::NotPositive("what a cart holds and pours"));
        }
        if self.drier.is_some_and(|d| !above(d.t_min)) {
            return Err(HaulError::NotPositive("what the drier dries"));
        }
        let not_below = |x: f64| x >= 0.0;
        for (x, what) in [
            (self.edge_min, "the drive to the edge"),
            (self.cart_trip_min, "the cart's trip"),
            (self.pit_setup_min, "setting up at the auger"),
            (self.warm_up_min, "the warm-up"),
            (self.drier.map_or(0.0, |d| d.wet_bin_t), "the wet bin"),
            (self.varies.fill, "variation"),
            (self.varies.field, "variation"),
            (self.varies.road, "variation"),
            (self.varies.yard, "variation"),
        ] {
            if !not_below(x) {
                return Err(HaulError::Negative(what));
            }
        }
        if self.trucks.iter().any(|t| !not_below(t.out_min) || !not_below(t.back_min)) {
            return Err(HaulError::Negative("the road"));
        }
        Ok(())
    }

    /// Whether combines drive to the trucks themselves.
    pub fn to_the_edge(&self) -> bool {
        self.unloading == Unloading::Edge || self.carts.is_empty()
    }

    /// What each stage could do on its own, t/min, when nothing varies and nothing waits.
    pub fn stages(&self) -> Vec<(&'static str, f64)> {
        let fill = self.tank_t / self.cuts_t_min;
        let pour = self.tank_t / self.unloads_t_min;
        let stop = match (self.to_the_edge(), self.unloading) {
            (true, _) => 2.0 * self.edge_min + pour,
            (false, Unloading::Going) => 0.0,
            (false, _) => pour,
        };
        let mut stages = vec![("combine", f64::from(self.combines) * self.tank_t / (fill + stop))];
        if !self.to_the_edge() {
            let carts = self
                .carts
                .iter()
                .map(|c| {
                    // Whole tanks, then a trip, the pouring, and back.
                    let tanks = (c.holds_t / self.tank_t + 1e-9).floor().max(1.0);
                    let load = (tanks * self.tank_t).min(c.holds_t);
                    load / (tanks * pour + 2.0 * self.cart_trip_min + load / c.pours_t_min)
                })
                .sum();
            stages.push(("cart", carts));
        }
        let load_rate = if self.to_the_edge() { self.unloads_t_min } else { self.carts[0].pours_t_min };
        stages.push((
            "trucks",
            self.trucks
                .iter()
                .map(|t| {
                    t.holds_t
                        / (t.holds_t / load_rate
                            + t.out_min
                            + t.back_min
                            + self.pit_setup_min
                            + t.holds_t / self.pit_t_min)
                })
                .sum(),
        ));
        let mean_load = self.trucks.iter().map(|t| t.holds_t).sum::<f64>() / self.trucks.len() as f64;
        stages.push((
            "auger",
            f64::from(self.pits) * mean_load / (mean_load / self.pit_t_min + self.pit_setup_min),
        ));
        if let Some(d) = self.drier {
            stages.push(("drier", d.t_min));
        }
        stages
    }
}
