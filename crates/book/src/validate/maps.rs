//! Maps at the door.

use super::Door;
use crate::boundary;
use crate::payload::{FieldZones, YieldMap};

/// As many zones as task data knows codes.
const MOST_ZONES: usize = 254;
/// A square kilometre of hectares in squares of five metres.
const MOST_SQUARES: usize = 60_000;

impl Door<'_> {
    pub(super) fn yield_map(&mut self, x: &YieldMap) {
        self.known_field(&x.field);
        self.within("moisture_wb_pct", x.moisture_wb_pct, 0.0, 30.0, "%", "");
        self.within("square_m", x.square_m, 1.0, 200.0, "m", "");
        self.within("mean_kg_ha", x.mean_kg_ha, 10.0, 25_000.0, "kg/ha", "");
        if x.squares.is_empty() {
            self.stop("squares", "No point of the log stayed after cleaning, so there is no map.");
        }
        if x.squares.len() > MOST_SQUARES {
            self.stop(
                "squares",
                "The map is too large for one field; split the task, or take larger squares.",
            );
        }
        let on_earth = |v: f64, most: f64| v.is_finite() && v.abs() <= most;
        if x.squares.iter().any(|s| !on_earth(s.0, 180.0) || !on_earth(s.1, 90.0) || !on_earth(s.2, 50_000.0))
        {
            self.stop("squares", "A square is not on the earth or holds no yield that can be.");
        }
    }

    pub(super) fn field_zones(&mut self, x: &FieldZones) {
        self.known_field(&x.field);
        if x.zones.len() > MOST_ZONES {
            self.stop("zones", "A terminal knows 254 zones; merge some.");
        }
        for (i, z) in x.zones.iter().enumerate() {
            self.text(&format!("zones.{i}.name"), &z.name, "Name the zone.");
            self.within(
                &format!("zones.{i}.rate_pct"),
                z.rate_pct,
                0.0,
                300.0,
                "%",
                "100 is the field's own rate.",
            );
            if let Err(e) = boundary::area_ha(&z.boundary) {
                self.stop(format!("zones.{i}.boundary"), format!("{}: {e}.", z.name));
            }
        }
    }
}
