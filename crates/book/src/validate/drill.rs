//! Entries about the drill, its tanks and its products, at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{DrillCatch, DrillSetUp, MachineKind, ProductLeast, TankLeft};

impl Door<'_> {
    pub(super) fn drill_set_up(&mut self, x: &DrillSetUp) {
        match self.farm.machines.get(&x.machine) {
            Some(m) if m.is.kind == MachineKind::Drill => {}
            Some(_) => self.stop("machine", "This machine is not a drill."),
            None => self.stop("machine", "There is no such drill in the book; add it in set-up first."),
        }
        let inches = |cm: f64| units::in_to_mm(cm) / 10.0;
        let hint = if (5.0..=20.0).contains(&x.row_spacing_cm) {
            format!(
                "Did you mean inches? {} in is {} cm.",
                plain(x.row_spacing_cm),
                figure(inches(x.row_spacing_cm), 1)
            )
        } else {
            String::new()
        };
        self.within("row_spacing_cm", x.row_spacing_cm, 10.0, 50.0, "cm between rows", &hint);
        self.within("spread_cm", x.spread_cm, 0.5, x.row_spacing_cm.clamp(1.0, 50.0), "cm of spread", "");
        if x.tanks.is_empty() {
            self.stop("tanks", "Give at least one tank.");
        }
        for (i, t) in x.tanks.iter().enumerate() {
            let hint = if t.volume_m3 > 30.0 { "Did you mean bushels or litres?" } else { "" };
            self.within(&format!("tanks.{i}.volume_m3"), t.volume_m3, 0.05, 30.0, "m3", hint);
            let at = |name: &str| format!("tanks.{i}.{name}");
            self.maybe(&at("least_kg_ha"), t.least_kg_ha, 0.0, 500.0, "kg/ha", "");
            self.maybe(&at("most_kg_ha"), t.most_kg_ha, 1.0, 2_000.0, "kg/ha", "");
            if let (Some(least), Some(most)) = (t.least_kg_ha, t.most_kg_ha)
                && least > most
            {
                self.stop(at("least_kg_ha"), "The lowest rate of this tank is above its highest; swap them.");
            }
        }
        self.maybe("refill_min", x.refill_min, 1.0, 240.0, "minutes", "");
        self.maybe("liquid_m3", x.liquid_m3, 0.1, 30.0, "m3", "A tank of 1,000 US gallons holds 3.8 m3.");
        self.maybe(
            "anhydrous_m3",
            x.anhydrous_m3,
            0.5,
            20.0,
            "m3",
            "A nurse tank of 1,450 US gallons holds 5.5 m3.",
        );
        if x.liquid_with_seed && x.liquid_m3.is_none() {
            self.stop("liquid_m3", "Liquid to the seed row needs a tank for it; give its volume.");
        }
    }

    pub(super) fn drill_catch(&mut self, x: &DrillCatch) {
        self.text("what", &x.what, "Say what was caught.");
        if x.caught_kg.is_empty() || x.caught_kg.iter().any(|k| !(*k > 0.0 && *k < 500.0)) {
            self.stop("caught_kg", "Give each catch as a weight above zero.");
        }
        self.within("width_m", x.width_m, 0.1, 40.0, "m", "");
        self.within("distance_m", x.distance_m, 1.0, 2_000.0, "m", "");
        self.within("wanted_kg_ha", x.wanted_kg_ha, 0.5, 1_000.0, "kg/ha", "");
        self.within("setting", x.setting, 0.001, 10_000.0, "on the meter", "");
    }

    pub(super) fn tank_left(&mut self, x: &TankLeft) {
        self.known_field(&x.field);
        self.crop_year(x.crop_year);
        self.area(&x.field, x.area_ha);
        self.text("tank", &x.tank, "Say which tank.");
        let names: Vec<&str> =
            self.farm.drills.values().flat_map(|d| d.is.carried().into_iter().map(|(n, _)| n)).collect();
        if !names.is_empty() && !names.contains(&x.tank.as_str()) {
            let sentence = format!("The drill has no tank \"{}\"; it has {}.", x.tank, names.join(", "));
            self.stop("tank", sentence);
        }
        self.within("filled_kg", x.filled_kg, 0.1, 200_000.0, "kg", "");
        if !(0.0..=x.filled_kg).contains(&x.left_kg) {
            self.stop(
                "left_kg",
                format!(
                    "{} kg left of {} kg put in cannot be; was a fill left out, or are the two swapped?",
                    figure(x.left_kg, 0),
                    figure(x.filled_kg, 0)
                ),
            );
        }
    }

    pub(super) fn product_least(&mut self, x: &ProductLeast) {
        self.text("product", &x.product, "Say which product.");
        self.maybe("least_kg_ha", x.least_kg_ha, 0.0, 300.0, "kg/ha", "");
        self.maybe("least_kg", x.least_kg, 0.0, 500_000.0, "kg", "");
        if x.least_kg_ha.is_none() && x.least_kg.is_none() {
            self.stop("least_kg_ha", "Give the least rate, the least the dealer sells, or both.");
        }
    }
}
