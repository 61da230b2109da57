//! Things seen on a walk through the crop, at the door.

use super::Door;
use crate::payload::{CountUnit, DamageSeen, Insect, InsectsSeen, YieldCount};

impl Door<'_> {
    pub(super) fn insects_seen(&mut self, x: &InsectsSeen) {
        self.known_field(&x.field);
        self.area(&x.field, x.area_ha);
        let most = if x.unit == CountUnit::PerHead { 200.0 } else { 5_000.0 };
        self.within("count", x.count, 0.0, most, x.unit.words(), "");
        let fits = match x.insect {
            Insect::Midge => matches!(x.unit, CountUnit::PerHead),
            Insect::Aphid => matches!(x.unit, CountUnit::PerStem | CountUnit::PerHead),
            Insect::Other => true,
            _ => matches!(x.unit, CountUnit::PerM2 | CountUnit::PerFt2),
        };
        if !fits {
            let wanted = match x.insect {
                Insect::Midge => "a head",
                Insect::Aphid => "a stem or a head",
                _ => "a square metre or a square foot",
            };
            self.stop(
                "unit",
                format!("{} are counted for {wanted}; choose that and count so.", plural(x.insect)),
            );
        }
    }

    pub(super) fn damage_seen(&mut self, x: &DamageSeen) {
        self.known_field(&x.field);
        self.area(&x.field, x.area_ha);
        let hint = "Write 20 for a fifth of the yield.";
        self.maybe("lost_pct", x.lost_pct, 0.0, 100.0, "%", hint);
    }

    pub(super) fn yield_count(&mut self, x: &YieldCount) {
        self.known_field(&x.field);
        self.within(
            "heads_per_m2",
            x.heads_per_m2,
            20.0,
            1_500.0,
            "heads/m2",
            "Count along a measured row, or in a ring.",
        );
        self.within(
            "kernels_per_head",
            x.kernels_per_head,
            2.0,
            90.0,
            "kernels",
            "Count every kernel of some heads.",
        );
        self.maybe("tkw_g", x.tkw_g, 12.0, 70.0, "g", "It is the weight of a thousand kernels.");
    }
}

fn plural(insect: Insect) -> &'static str {
    match insect {
        Insect::Midge => "Midges",
        Insect::Aphid => "Aphids",
        Insect::Grasshopper => "Grasshoppers",
        Insect::Armyworm => "Armyworms",
        _ => "Cutworms",
    }
}
