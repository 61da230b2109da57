//! Work entries at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{Cut, SeedLot, Seeding};

impl Door<'_> {
    pub(super) fn seed_lot(&mut self, x: &SeedLot) {
        if !x.id.is_well_formed() {
            self.stop("id", "A key is small letters, digits and hyphens, such as lot-4.");
        }
        self.text("crop", x.crop.key(), "Say which crop.");
        self.maybe("tkw_g", x.tkw_g, 0.5, 400.0, "g per thousand kernels", "");
        let share = "Write 94 %, not 0.94.";
        for (at, value) in [("germination_pct", x.germination_pct), ("vigour_pct", x.vigour_pct)] {
            let hint = if value.is_some_and(|v| v > 0.0 && v <= 1.0) { share } else { "" };
            self.maybe(at, value, 5.0, 100.0, "%", hint);
        }
    }

    pub(super) fn seeding(&mut self, x: &Seeding) {
        self.known_field(&x.field);
        if let Some(lot) = &x.lot
            && !self.farm.seed_lots.contains_key(lot)
        {
            self.stop("lot", format!("There is no seed lot \"{lot}\"; add it first or leave this empty."));
        }
        self.finish(x.finished, 21);
        self.maybe("rate_kg_ha", x.rate_kg_ha, 0.5, 400.0, "kg/ha", "");
        let depth = x.depth_mm.unwrap_or(25.0);
        let hint = if depth > 0.0 && depth <= 4.0 {
            format!("Did you mean inches? {} in is {} mm.", plain(depth), figure(units::in_to_mm(depth), 0))
        } else {
            String::new()
        };
        self.maybe("depth_mm", x.depth_mm, 5.0, 150.0, "mm", &hint);
        self.area(&x.field, x.area_ha);
    }

    pub(super) fn cut(&mut self, x: &Cut) {
        self.known_field(&x.field);
        self.finish(x.finished, 30);
        self.area(&x.field, x.area_ha);
        let bushels = "Did you mean bushels an acre?";
        let hint = if x.yield_kg_ha.is_some_and(|y| y > 0.0 && y < 100.0) { bushels } else { "" };
        self.maybe("yield_kg_ha", x.yield_kg_ha, 0.0, 20_000.0, "kg/ha", hint);
        if hint == bushels {
            let shown = plain(x.yield_kg_ha.unwrap_or_default());
            self.stop("yield_kg_ha", format!("{shown} kg/ha is next to nothing. {bushels}"));
        }
        self.maybe("moisture_wb_pct", x.moisture_wb_pct, 3.0, 60.0, "%", "");
        self.cut_interval(x);
    }
}
