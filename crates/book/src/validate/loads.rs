//! Loads at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{Crop, Load, LoadFrom, LoadTo};

/// Heaviest load that one truck carries, kg.
const HEAVIEST_KG: f64 = 70_000.0;

impl Door<'_> {
    pub(super) fn load(&mut self, x: &Load) {
        match &x.from {
            LoadFrom::Field(f) => self.known_field(f),
            LoadFrom::Fields(parts) => {
                if parts.is_empty() {
                    self.stop("field", "Say which field it came from.");
                }
                for (i, p) in parts.iter().enumerate() {
                    self.known_field(&p.field);
                    self.within(&format!("from.{i}.share"), p.share, 0.0, 100.0, "", "");
                }
                if !parts.is_empty() && parts.iter().map(|p| p.share).sum::<f64>() <= 0.0 {
                    self.stop("field", "The shares of the fields come to nothing.");
                }
            }
            LoadFrom::Bin(b) => self.known_bin("from_bin", b),
            LoadFrom::Bought(who) => self.text("bought_from", who, "Say from whom it was bought."),
        }
        match &x.to {
            LoadTo::Bin(b) => {
                self.known_bin("to_bin", b);
                if x.from_bin() == Some(b) {
                    self.stop(
                        "to_bin",
                        "It cannot go from a bin into the same bin; turning it changes nothing in the book.",
                    );
                }
            }
            LoadTo::Buyer(who) => self.text("to_buyer", who, "Say to whom it went."),
            LoadTo::Elsewhere(place) => self.text("elsewhere", place, "Say where it went."),
            LoadTo::Mill | LoadTo::Seed => {}
        }
        self.load_weight(x);
        let crop = x.crop.clone().or_else(|| self.crop_of(x));
        self.grain_figures(
            crop.as_ref(),
            x.moisture_wb_pct,
            x.test_weight_kg_hl,
            x.dockage_pct,
            (x.protein_pct, x.protein_basis_pct),
            x.don_ppm,
            x.falling_number_s,
            x.temperature_c,
        );
        self.maybe("dried_to_wb_pct", x.dried_to_wb_pct, 3.0, 45.0, "%", "");
        if x.dried_to_wb_pct.is_some() && x.moisture_wb_pct.is_none() {
            self.stop("moisture_wb_pct", "Give the moisture it went into the drier with.");
        }
        if let (Some(wet), Some(dry)) = (x.moisture_wb_pct, x.dried_to_wb_pct)
            && dry > wet
        {
            self.stop(
                "dried_to_wb_pct",
                format!("It cannot come out of the drier at {} % from {} %.", plain(dry), plain(wet)),
            );
        }
        if x.emptied && x.from_bin().is_none() {
            self.stop("emptied", "Only a load out of a bin can be the last of it.");
        }
        self.not_inside_an_interval(x);
    }

    /// What the field grows this year, or the bin is kept for.
    fn crop_of(&self, x: &Load) -> Option<Crop> {
        let year = Load::harvest_year(self.happened.date());
        let planned = x.fields().into_iter().find_map(|(f, _)| self.farm.fields.get(f)?.plan(year)).cloned();
        let kept = || self.farm.bins.get(x.from_bin()?)?.bin().crop.clone();
        planned.map(|p| p.crop).or_else(kept)
    }

    fn load_weight(&mut self, x: &Load) {
        let given = [x.mass_kg, x.volume_m3, x.tanks].iter().flatten().count();
        if given != 1 {
            self.stop(
                "mass_kg",
                "Give the load's size once: its weight, its volume, or how many tank-fulls.",
            );
        }
        if let Some(kg) = x.mass_kg
            && !(kg.is_finite() && kg > 0.0 && kg <= HEAVIEST_KG)
        {
            let lb = units::lb_to_kg(kg);
            let hint = if lb > 0.0 && lb <= HEAVIEST_KG && kg > HEAVIEST_KG {
                format!(" Did you mean pounds? {} lb is {} kg.", figure(kg, 0), figure(lb, 0))
            } else {
                String::new()
            };
            self.stop(
                "mass_kg",
                format!("{} kg is no load for one truck; it should be up to 70,000 kg.{hint}", figure(kg, 0)),
            );
        }
        if let Some(kg) = x.mass_kg.filter(|kg| *kg > 0.0 && *kg < 100.0) {
            self.stop("mass_kg", format!("{} kg is next to nothing. Did you mean tonnes?", plain(kg)));
        }
        let hint = if x.volume_m3.is_some_and(|v| v > 120.0) { "Did you mean bushels?" } else { "" };
        self.maybe("volume_m3", x.volume_m3, 0.1, 120.0, "m3", hint);
        self.maybe("tanks", x.tanks, 0.05, 12.0, "tank-fulls", "");
        if x.tanks.is_some() && x.tank_m3.is_none() {
            self.stop("tank_m3", "Say what one tank holds.");
        }
        let hint = if x.tank_m3.is_some_and(|v| v > 60.0) { "Did you mean bushels?" } else { "" };
        self.maybe("tank_m3", x.tank_m3, 0.5, 60.0, "m3", hint);
    }

    /// Grain off a field inside a pre-harvest interval is stopped until somebody says why.
    fn not_inside_an_interval(&mut self, x: &Load) {
        if x.inside_interval_why.as_ref().is_some_and(|why| !why.trim().is_empty()) {
            return;
        }
        let found = x.fields().into_iter().find_map(|(id, _)| {
            let record = self.farm.fields.get(id)?;
            let (earliest, pass) = record.earliest_cut(self.happened.year())?;
            (self.happened.date() < earliest)
                .then(|| (record.field().name.clone(), pass.is.product.clone(), pass.on(), earliest))
        });
        if let Some((name, product, on, earliest)) = found {
            self.stop(
                "inside_interval_why",
                format!(
                    "{name} was sprayed with {product} on {on}, and its pre-harvest interval ends on {earliest}. If it \
                     has been cut already, write why, keep the grain apart and ask the buyer."
                ),
            );
        }
    }
}
