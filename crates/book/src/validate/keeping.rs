//! Readings of bins and fans, at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{BinReading, FanRun};

impl Door<'_> {
    pub(super) fn bin_reading(&mut self, x: &BinReading) {
        self.known_bin("bin", &x.bin);
        let tallest = self.farm.bins.get(&x.bin).map(|b| b.bin().wall_m + 0.5 * b.bin().diameter_m);
        let mut said = x.co2_ppm.is_some() || x.smell.is_some() || x.seen.is_some();
        for (i, p) in x.points.iter().enumerate() {
            let at = |name: &str| format!("points.{i}.{name}");
            if let (Some(h), Some(top)) = (p.height_m, tallest) {
                let hint = if h > top {
                    format!("Did you mean feet? {} ft is {} m.", plain(h), figure(units::ft_to_m(h), 1))
                } else {
                    String::new()
                };
                self.within(&at("height_m"), h, 0.0, top.max(1.0), "m above the floor", &hint);
            }
            if let Some(t) = p.temperature_c {
                let hint = if t > 50.0 {
                    format!("Did you mean Fahrenheit? {} F is {} C.", plain(t), figure(units::f_to_c(t), 1))
                } else {
                    String::new()
                };
                self.within(&at("temperature_c"), t, -50.0, 75.0, "C", &hint);
            }
            let hint = if p.moisture_wb_pct.is_some_and(|m| m > 0.0 && m < 1.0) {
                "Write 14.5 %, not 0.145."
            } else {
                ""
            };
            self.maybe(&at("moisture_wb_pct"), p.moisture_wb_pct, 4.0, 50.0, "%", hint);
            said |= p.temperature_c.is_some() || p.moisture_wb_pct.is_some();
        }
        let hint = if x.co2_ppm.is_some_and(|c| c > 0.0 && c < 100.0) {
            "Outdoor air has about 420 ppm; is it in percent?"
        } else {
            ""
        };
        self.maybe("co2_ppm", x.co2_ppm, 300.0, 100_000.0, "ppm", hint);
        if !said {
            self.stop(
                "points",
                "Give at least one thing that was read: a temperature, moisture, carbon dioxide or smell.",
            );
        }
    }

    pub(super) fn fan_run(&mut self, x: &FanRun) {
        self.known_bin("bin", &x.bin);
        let no_fan =
            self.farm.bins.get(&x.bin).filter(|b| b.bin().fan.is_none()).map(|b| b.bin().name.clone());
        if let Some(name) = no_fan {
            self.stop("bin", format!("{name} has no fan in the book; give it one in set-up first."));
        }
    }
}
