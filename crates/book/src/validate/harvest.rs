//! Harvest entries at the door.

use super::Door;
use crate::payload::{LossMeasure, Machine, MachineKind, PanTest, StrawBaled};

impl Door<'_> {
    pub(super) fn pan_test(&mut self, x: &PanTest) {
        self.known_field(&x.field);
        self.within("area_m2", x.area_m2, 0.01, 5.0, "m2", "A pan of 1 ft2 is 0.093 m2.");
        let (most, unit) = match x.measure {
            LossMeasure::Kernels => (20_000.0, "kernels"),
            LossMeasure::Grams => (2_000.0, "g"),
        };
        self.within("behind", x.behind, 0.0, most, unit, "");
        for (at, value) in [
            ("cut_ground", x.cut_ground),
            ("standing", x.standing),
            ("from_separator", x.from_separator),
            ("from_shoe", x.from_shoe),
        ] {
            self.maybe(at, value, 0.0, most, unit, "");
        }
        if x.cut_ground.is_some_and(|c| c > x.behind && c > 0.0) {
            self.stop(
                "cut_ground",
                "More lies on the cut ground than behind the machine; behind holds both, so check which is which.",
            );
        }
        if let (Some(standing), Some(cut)) = (x.standing, x.cut_ground)
            && standing > cut
        {
            self.stop(
                "standing",
                "More lies under the standing crop than on the cut ground; count again, or leave one out.",
            );
        }
        self.maybe("discharge_m", x.discharge_m, 0.3, 20.0, "m", "");
        self.maybe("speed_kmh", x.speed_kmh, 0.5, 20.0, "km/h", "");
        self.maybe("yield_kg_ha", x.yield_kg_ha, 100.0, 20_000.0, "kg/ha", "");
        self.maybe("tkw_g", x.tkw_g, 1.0, 500.0, "g", "");
    }

    pub(super) fn straw_baled(&mut self, x: &StrawBaled) {
        self.known_field(&x.field);
        self.within("bales", x.bales, 0.5, 20_000.0, "bales", "");
        self.within("bale_kg", x.bale_kg, 8.0, 1_000.0, "kg a bale", "");
        if let Some(r) = self.farm.fields.get(&x.field)
            && x.bales * x.bale_kg / r.field().area_ha > 9_000.0
        {
            self.stop(
                "bales",
                format!(
                    "That is {:.1} t a hectare, more straw than grows; check the bales and what one weighs.",
                    x.bales * x.bale_kg / r.field().area_ha / 1000.0
                ),
            );
        }
    }

    /// A machine that carries, moves or dries grain.
    pub(super) fn carries(&mut self, x: &Machine) {
        if x.kind == MachineKind::Truck && x.speed_kmh != 0.0 {
            self.within("speed_kmh", x.speed_kmh, 5.0, 110.0, "km/h on the road", "");
        }
        if matches!(x.kind, MachineKind::Truck | MachineKind::Cart) && x.holds_kg.is_none() {
            self.stop("holds_kg", "Say what it holds; without that no load can be reckoned.");
        }
        if matches!(x.kind, MachineKind::Auger | MachineKind::Drier) && x.moves_kg_h.is_none() {
            self.stop("moves_kg_h", "Say how much grain it moves in an hour.");
        }
    }
}
