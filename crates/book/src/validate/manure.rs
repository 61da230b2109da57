//! Manure entries at the door.

use super::Door;
use crate::payload::{
    BarnCount, FieldId, ManureHauled, ManureLevel, ManurePlan, ManureRules, ManureStore, ManureStoreId,
    ManureTest,
};

impl Door<'_> {
    pub(super) fn manure_store(&mut self, x: &ManureStore) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Give the pit a name.");
        self.within("capacity_m3", x.capacity_m3, 10.0, 200_000.0, "m3", "");
        self.maybe("inflow_m3_day", x.inflow_m3_day, 0.0, 1_000.0, "m3 a day", "");
    }

    fn known_store(&mut self, id: &ManureStoreId) -> Option<f64> {
        let found = self.farm.manure_stores.get(id).map(|s| s.set_up.is.capacity_m3);
        if found.is_none() {
            let names: Vec<String> = self.farm.manure_stores.keys().map(ToString::to_string).collect();
            let known = if names.is_empty() {
                "write the pit down first, in Set-up".to_string()
            } else {
                format!("the book knows {}", names.join(", "))
            };
            self.stop("store", format!("There is no pit \"{id}\" in the book; {known}."));
        }
        found
    }

    pub(super) fn manure_level(&mut self, x: &ManureLevel) {
        if let Some(capacity) = self.known_store(&x.store) {
            self.within("held_m3", x.held_m3, 0.0, 1.05 * capacity, "m3", "That is more than the pit holds.");
        }
    }

    pub(super) fn manure_test(&mut self, x: &ManureTest) {
        self.known_store(&x.store);
        let unit = "kg/m3; a sheet in lb for 1,000 imperial gallons has ten times the figure";
        self.within("total_n_kg_m3", x.total_n_kg_m3, 0.05, 15.0, unit, "");
        self.maybe("ammonium_n_kg_m3", x.ammonium_n_kg_m3, 0.0, 15.0, unit, "");
        self.within("p_kg_m3", x.p_kg_m3, 0.0, 8.0, unit, "");
        self.within("k_kg_m3", x.k_kg_m3, 0.0, 15.0, unit, "");
        self.maybe("s_kg_m3", x.s_kg_m3, 0.0, 5.0, unit, "");
        self.maybe("dry_matter_pct", x.dry_matter_pct, 0.0, 30.0, "%", "");
        if x.ammonium_n_kg_m3.is_some_and(|a| a > x.total_n_kg_m3) {
            self.stop(
                "ammonium_n_kg_m3",
                "Ammonium is a part of the total nitrogen, so it cannot be more; check the sheet.",
            );
        }
    }

    pub(super) fn barn_count(&mut self, x: &BarnCount) {
        self.known_store(&x.store);
        self.within("head", x.head, 0.0, 100_000.0, "head", "");
    }

    pub(super) fn manure_hauled(&mut self, x: &ManureHauled) {
        self.known_store(&x.store);
        self.known_field(&x.field);
        self.area(&x.field, x.area_ha);
        self.within("volume_m3", x.volume_m3, 0.1, 100_000.0, "m3", "");
        self.maybe("days_to_work_in", x.days_to_work_in, 0.0, 60.0, "days", "");
        self.soaks_in(&x.field, x.area_ha, x.volume_m3);
    }

    pub(super) fn manure_plan(&mut self, x: &ManurePlan) {
        self.known_store(&x.store);
        self.known_field(&x.field);
        self.crop_year(x.crop_year);
        self.area(&x.field, x.area_ha);
        self.within("volume_m3", x.volume_m3, 0.0, 100_000.0, "m3", "");
        self.maybe("days_to_work_in", x.days_to_work_in, 0.0, 60.0, "days", "");
        self.soaks_in(&x.field, x.area_ha, x.volume_m3);
    }

    fn soaks_in(&mut self, field: &FieldId, area_ha: Option<f64>, volume_m3: f64) {
        let area = area_ha.or_else(|| self.farm.fields.get(field).map(|f| f.field().area_ha));
        if let Some(area) = area.filter(|a| *a > 0.0)
            && volume_m3 / area > 400.0
        {
            self.stop(
                "volume_m3",
                format!(
                    "That is {:.0} m3 a hectare, more than any soil takes; check the volume and the area.",
                    volume_m3 / area
                ),
            );
        }
    }

    pub(super) fn manure_rules(&mut self, x: &ManureRules) {
        self.text("name", &x.name, "Say whose rule it is.");
        self.text("source", &x.source, "Say where it was read, with its date.");
        let steps = [
            ("twice_removal_from_ppm", x.twice_removal_from_ppm),
            ("removal_from_ppm", x.removal_from_ppm),
            ("none_from_ppm", x.none_from_ppm),
        ];
        let mut last = 0.0;
        for (at, step) in steps {
            self.maybe(at, step, 0.0, 1_000.0, "ppm Olsen phosphorus", "");
            if let Some(s) = step {
                if s < last {
                    self.stop(
                        at,
                        "The steps must rise: twice the removal first, then the removal, then none.",
                    );
                }
                last = s;
            }
        }
        for (at, day) in [("closed_from", &x.closed_from), ("closed_to", &x.closed_to)] {
            if let Some(text) = day
                && ManureRules::month_day(text).is_none()
            {
                self.stop(at, format!("\"{text}\" is no day of the year; write month-day, such as 11-10."));
            }
        }
        if x.closed_from.is_some() != x.closed_to.is_some() {
            self.stop("closed_to", "Give both the first and the last closed day, or neither.");
        }
    }
}
