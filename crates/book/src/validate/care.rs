//! The barn's checks and the goats' year at the door.

use super::Door;
use crate::payload::{Breeding, GroupKind, ScaleCheck, SieveTest, StrawOnHand};

impl Door<'_> {
    pub(super) fn scale_check(&mut self, x: &ScaleCheck) {
        self.known_mixer(&x.mixer);
        self.within("put_kg", x.put_kg, 0.001, 20_000.0, "kg", "");
        self.within("read_kg", x.read_kg, 0.0, 20_000.0, "kg", "");
        if x.put_kg > 0.0 && !(0.5..=2.0).contains(&(x.read_kg / x.put_kg)) {
            self.stop("read_kg", "That is half or double of what was put on; were both in kilograms?");
        }
    }

    pub(super) fn sieve_test(&mut self, x: &SieveTest) {
        self.text("of", &x.of, "Say what was ground.");
        if x.catches.len() < 3 {
            self.stop("catches", "Give at least three sieves: the opening and what stayed on it.");
        }
        for pair in x.catches.windows(2) {
            if pair[1].opening_um >= pair[0].opening_um {
                self.stop("catches", "Give the sieves from the coarsest to the finest.");
            }
        }
        for c in &x.catches {
            self.within("catches", c.opening_um, 20.0, 8_000.0, "um", "");
            self.within("catches", c.g, 0.0, 2_000.0, "g", "");
        }
        self.within("pan_g", x.pan_g, 0.0, 2_000.0, "g", "");
        if x.pan_g + x.catches.iter().map(|c| c.g).sum::<f64>() < 10.0 {
            self.stop("catches", "Sieve about 100 g; this is under 10 g in all.");
        }
    }

    pub(super) fn straw_on_hand(&mut self, x: &StrawOnHand) {
        self.within("bale_kg", x.bale_kg, 5.0, 1_000.0, "kg", "Did you mean pounds?");
    }

    pub(super) fn breeding(&mut self, x: &Breeding) {
        let goats = self.farm.barn.groups.get(&x.group).and_then(|g| g.last()).map(|g| g.is.kind);
        match goats {
            None => {
                self.stop("group", format!("There is no group \"{}\"; write the does down first.", x.group))
            }
            Some(GroupKind::GoatsDry | GroupKind::GoatsLate | GroupKind::GoatsInMilk) => {}
            Some(_) => self.stop("group", "That group is not goats."),
        }
        if x.buck_out.is_some_and(|o| o < x.buck_in) {
            self.stop("buck_out", "The buck cannot be out before he is in.");
        }
    }
}
