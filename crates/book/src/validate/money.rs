//! Costs and machine values at the door.

use super::Door;
use crate::payload::{Cost, MachineValue, MoneyIn};

impl Door<'_> {
    pub(super) fn cost(&mut self, x: &Cost) {
        let year = self.happened.year();
        if (i32::from(x.crop_year) - i32::from(year)).abs() > 3 {
            self.stop(
                "crop_year",
                format!("{} is far from {year}; give the year of the harvest.", x.crop_year),
            );
        }
        if let Some(field) = &x.field {
            self.known_field(field);
        }
        match (x.per_ha, x.amount) {
            (Some(_), Some(_)) => {
                self.stop("amount", "Give the money by the area or the money in all, not both.");
            }
            (None, None) => self.stop("amount", "Give the money: by the area, or in all."),
            _ => {}
        }
        self.maybe("per_ha", x.per_ha, 0.01, 20_000.0, "a hectare", "Money in all goes on its own line.");
        self.maybe("amount", x.amount, 0.01, 1e8, "of money", "");
    }

    pub(super) fn machine_value(&mut self, x: &MachineValue) {
        if !self.farm.machines.contains_key(&x.machine) {
            self.stop(
                "machine",
                format!("There is no machine \"{}\"; write the machine down first.", x.machine),
            );
        }
        let year = f64::from(self.happened.year());
        self.within(
            "new_price",
            x.new_price,
            500.0,
            5e6,
            "of money",
            "The price of a like new one today, not of yours.",
        );
        self.within("built", f64::from(x.built), 1940.0, year + 1.0, "", "Give the year.");
        self.maybe("hours_a_year", x.hours_a_year, 1.0, 5_000.0, "h", "");
        self.maybe("power_kw", x.power_kw, 5.0, 800.0, "kW", "");
        self.maybe("fuel_l_h", x.fuel_l_h, 0.5, 250.0, "L/h", "");
        self.maybe("repairs_a_year", x.repairs_a_year, 0.0, 1e6, "of money", "");
        self.maybe("tractor_new_price", x.tractor_new_price, 500.0, 5e6, "of money", "");
        self.maybe("tractor_built", x.tractor_built.map(f64::from), 1940.0, year + 1.0, "", "Give the year.");
        self.maybe("tractor_hours_a_year", x.tractor_hours_a_year, 1.0, 5_000.0, "h", "");
        if x.tractor_new_price.is_some() != x.tractor_built.is_some() {
            self.stop("tractor_built", "Give the tractor's price and the year it was built, or neither.");
        }
    }

    pub(super) fn money_in(&mut self, x: &MoneyIn) {
        self.text("what", &x.what, "Say what it is for.");
        self.within("amount", x.amount, 0.01, 1e9, "of money", "");
    }
}
