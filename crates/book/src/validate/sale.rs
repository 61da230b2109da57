//! Buyers and settlements at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{Buyer, Entrance, MoistureSettled, Settlement};

impl Door<'_> {
    pub(super) fn buyer(&mut self, x: &Buyer) {
        self.text("name", &x.name, "Say who buys.");
        self.text("crop", x.crop.key(), "Say which crop.");
        if x.prices.is_empty() {
            self.stop("prices", "Give at least one price.");
        }
        for p in &x.prices {
            let hint = if p.price_per_t > 0.0 && p.price_per_t < 30.0 {
                let key = if x.crop.key().contains("wheat") { "wheat" } else { x.crop.key() };
                let lb = units::lb_per_bushel(key).unwrap_or(60.0);
                format!(
                    "Is that a bushel? {} a bushel is {} a tonne.",
                    plain(p.price_per_t),
                    figure(p.price_per_t * units::bushels_per_tonne(lb), 0)
                )
            } else {
                String::new()
            };
            self.within("prices", p.price_per_t, 20.0, 3_000.0, "a tonne", &hint);
        }
        if let (Some(from), Some(until)) = (x.from, x.until)
            && until < from
        {
            self.stop("until", "The window ends before it begins.");
        }
        self.maybe("lowest_protein_pct", x.lowest_protein_pct, 5.0, 25.0, "%", "");
        self.maybe("most_don_ppm", x.most_don_ppm, 0.0, 50.0, "ppm", "");
        self.maybe("lowest_falling_number_s", x.lowest_falling_number_s, 62.0, 500.0, "s", "");
        for s in &x.don_steps {
            self.within("don_steps", s.above_ppm, 0.0, 50.0, "ppm", "");
            self.within("don_steps", s.off_per_t, 0.0, 1_000.0, "a tonne", "");
        }
        for (at, v) in [
            ("tough_off_per_t", x.tough_off_per_t),
            ("damp_off_per_t", x.damp_off_per_t),
            ("freight_per_t", x.freight_per_t),
        ] {
            self.maybe(at, v, 0.0, 500.0, "a tonne", "");
        }
        self.maybe("tonnes", x.tonnes, 0.1, 100_000.0, "t", "");
        if x.contract.is_some() && x.tonnes.is_none() {
            self.stop("tonnes", "Give the contract's tonnes.");
        }
        let share = "Write 13.5 %, not 0.135.";
        for (at, value) in [("base_protein_pct", x.base_protein_pct), ("premium_to_pct", x.premium_to_pct)] {
            let hint = if value.is_some_and(|v| v < 1.0) { share } else { "" };
            self.maybe(at, value, 5.0, 40.0, "%", hint);
        }
        self.maybe("premium_per_t_point", x.premium_per_t_point, 0.0, 200.0, "a tonne and point", "");
        self.maybe("dock_per_t_point", x.dock_per_t_point, 0.0, 200.0, "a tonne and point", "");
        self.maybe("most_t_month", x.most_t_month, 0.1, 100_000.0, "t", "");
        if (x.premium_per_t_point.is_some() || x.dock_per_t_point.is_some()) && x.base_protein_pct.is_none() {
            self.stop(
                "base_protein_pct",
                "Give the protein of the price, so that points can be counted from it.",
            );
        }
        if x.average && x.lowest_protein_pct.is_none() && x.most_don_ppm.is_none() {
            self.stop("average", "Give the limit on protein or DON that the average must keep.");
        }
    }

    pub(super) fn entrance(&mut self, x: &Entrance) {
        self.known_field(&x.field);
        self.text("words", &x.words, "Say the way in: road, grid position, gate.");
        self.maybe("lat_deg", x.lat_deg, -90.0, 90.0, "degrees", "");
        self.maybe("lon_deg", x.lon_deg, -180.0, 180.0, "degrees", "");
        if x.lat_deg.is_some() != x.lon_deg.is_some() {
            self.stop("lon_deg", "Give both latitude and longitude, or neither.");
        }
        let place = self.farm.set_up.as_ref().map(|f| f.is.place.clone());
        if let (Some(p), Some(lat), Some(lon)) = (place, x.lat_deg, x.lon_deg)
            && (lat - p.lat_deg).abs().max((lon - p.lon_deg).abs()) > 2.0
        {
            self.stop(
                "lat_deg",
                "That is far from the yard; west of Greenwich the longitude is negative, such as -101.3.",
            );
        }
    }

    pub(super) fn settlement(&mut self, x: &Settlement) {
        self.text("buyer", &x.buyer, "Say who bought it.");
        self.text("crop", x.crop.key(), "Say which crop.");
        let pounds = if x.gross_kg > 100_000.0 { "Did you mean pounds?" } else { "" };
        self.within("gross_kg", x.gross_kg, 500.0, 100_000.0, "kg", pounds);
        self.within("tare_kg", x.tare_kg, 0.0, 60_000.0, "kg", "");
        if x.tare_kg >= x.gross_kg {
            self.stop("tare_kg", "The empty truck weighs as much as the full one; look at the ticket again.");
        }
        self.within("dockage_pct", x.dockage_pct, 0.0, 60.0, "%", "");
        self.maybe("moisture_wb_pct", x.moisture_wb_pct, 3.0, 45.0, "%", "");
        self.maybe("protein_pct", x.protein_pct, 5.0, 50.0, "%", "");
        let bushel = if x.price_t > 0.0 && x.price_t < 20.0 {
            "Did you mean money a bushel? Write it a tonne."
        } else {
            ""
        };
        self.within("price_t", x.price_t, 20.0, 3_000.0, "a tonne", bushel);
        for (at, v) in [
            ("protein_t", x.protein_t),
            ("discount_t", x.discount_t),
            ("freight_t", x.freight_t),
            ("elevation_t", x.elevation_t),
            ("cleaning_t", x.cleaning_t),
            ("inspection_t", x.inspection_t),
            ("levy_t", x.levy_t),
        ] {
            self.within(at, v, -500.0, 500.0, "a tonne", "");
        }
        self.within("advance", x.advance, -1e7, 1e7, "", "");
        self.moisture_once(x);
    }

    /// Moisture is settled once.
    fn moisture_once(&mut self, x: &Settlement) {
        match x.moisture {
            MoistureSettled::Straight => {
                if x.moisture_per_t.is_some() || x.shrink_to_pct.is_some() {
                    self.stop(
                        "moisture",
                        "Money or shrink for moisture is given, so it was not settled as dry: choose which.",
                    );
                }
            }
            MoistureSettled::Discount | MoistureSettled::Drying => {
                match x.moisture_per_t {
                    None => self.stop("moisture_per_t", "Give the money a tonne."),
                    Some(v) => self.within("moisture_per_t", v, 0.0, 300.0, "a tonne", ""),
                }
                if x.shrink_to_pct.is_some() {
                    self.stop(
                        "shrink_to_pct",
                        "Moisture is settled once: by money or by shrink, not by both; ask the buyer which.",
                    );
                }
            }
            MoistureSettled::Shrink => {
                if x.moisture_per_t.is_some() {
                    self.stop(
                        "moisture_per_t",
                        "Moisture is settled once: by shrink or by money, not by both; ask the buyer which.",
                    );
                }
                match (x.moisture_wb_pct, x.shrink_to_pct) {
                    (Some(from), Some(to)) if to >= from => self.stop(
                        "shrink_to_pct",
                        format!("Grain at {} % is not shrunk to {} %.", plain(from), plain(to)),
                    ),
                    (Some(_), Some(to)) => self.within("shrink_to_pct", to, 5.0, 30.0, "%", ""),
                    (None, _) => self.stop("moisture_wb_pct", "Give the moisture it was shrunk from."),
                    (_, None) => self.stop("shrink_to_pct", "Give the moisture it was shrunk to."),
                }
            }
        }
    }
}
