//! Set-up entries at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::boundary;
use crate::payload::{
    CropPlan, FarmSetUp, Field, LocalNumber, Machine, MachineKind, Price, SoilDescription, SoilLayer,
    UnitChoice,
};

impl Door<'_> {
    pub(super) fn farm_set_up(&mut self, x: &FarmSetUp) {
        self.text("name", &x.name, "Give the farm a name.");
        let p = &x.place;
        let swapped = if p.lat_deg.abs() > 90.0 && p.lon_deg.abs() <= 90.0 {
            "Latitude and longitude look swapped."
        } else {
            ""
        };
        self.within("place.lat_deg", p.lat_deg, -66.5, 66.5, "degrees north", swapped);
        self.within(
            "place.lon_deg",
            p.lon_deg,
            -180.0,
            180.0,
            "degrees east",
            "West is written with a minus sign.",
        );
        let feet = if p.elevation_m > 4_500.0 && p.elevation_m < 15_000.0 {
            format!(
                "Did you mean feet? {} ft is {} m.",
                plain(p.elevation_m),
                figure(units::ft_to_m(p.elevation_m), 0)
            )
        } else {
            String::new()
        };
        self.within("place.elevation_m", p.elevation_m, -430.0, 4_500.0, "m", &feet);
        if jiff::tz::TimeZone::get(&p.time_zone).is_err() {
            self.stop(
                "place.time_zone",
                format!("\"{}\" is no time zone known here; write it like America/Regina.", p.time_zone),
            );
        }
    }

    pub(super) fn units(&mut self, x: &UnitChoice) {
        if x.money.chars().count() > 8 {
            self.stop("money", "Keep the mark for money to a few letters, such as $ or EUR.");
        }
    }

    pub(super) fn machine(&mut self, x: &Machine) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Give the machine a name.");
        let widest = match x.kind {
            MachineKind::Drill => 30.0,
            MachineKind::Combine => 20.0,
            MachineKind::Sprayer => 60.0,
            MachineKind::Harrow => 40.0,
            MachineKind::Truck | MachineKind::Cart | MachineKind::Auger | MachineKind::Drier => 0.0,
        };
        let feet = if x.width_m > widest && units::ft_to_m(x.width_m) <= widest {
            format!(
                "Did you mean feet? {} ft is {} m.",
                plain(x.width_m),
                figure(units::ft_to_m(x.width_m), 1)
            )
        } else {
            String::new()
        };
        if x.kind.works_land() {
            self.within("width_m", x.width_m, 1.0, widest, "m", &feet);
            self.within("speed_kmh", x.speed_kmh, 0.5, 40.0, "km/h", "");
        } else {
            self.carries(x);
        }
        let bushels = if x.holds_kg.is_some_and(|k| k < 500.0) { "Did you mean bushels?" } else { "" };
        self.maybe("holds_kg", x.holds_kg, 500.0, 150_000.0, "kg", bushels);
        self.maybe("moves_kg_h", x.moves_kg_h, 1_000.0, 1_000_000.0, "kg/h", "");
        let percent = if x.field_efficiency.is_some_and(|e| e > 1.0) { "Write 65 % as 0.65." } else { "" };
        self.maybe("field_efficiency", x.field_efficiency, 0.2, 1.0, "of the theoretical rate", percent);
        self.within("hours_per_day", x.hours_per_day, 0.5, 24.0, "h", "");
    }

    pub(super) fn a_field(&mut self, x: &Field) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Give the field a name.");
        let same = |r: &&crate::FieldRecord| {
            r.field().id != x.id && r.field().name.trim().eq_ignore_ascii_case(x.name.trim())
        };
        if self.farm.fields.values().find(same).is_some() {
            self.stop(
                "name",
                format!("There is already a field named {}; give this one another name.", x.name.trim()),
            );
        }
        self.within("area_ha", x.area_ha, 0.05, 5_000.0, "ha", "");
        if let Some(shape) = &x.boundary {
            match boundary::area_ha(shape) {
                Err(problem) => self.stop("boundary", problem.to_string()),
                Ok(drawn) => {
                    self.area_against_outline(x.area_ha, drawn);
                    self.outline_near_farm(shape);
                }
            }
        }
        if let SoilDescription::Layers { layers } = &x.soil {
            self.layers(layers);
        }
        self.maybe("distance_km", x.distance_km, 0.0, 300.0, "km", "");
    }

    fn area_against_outline(&mut self, written: f64, drawn: f64) {
        if written <= 0.0 || (0.5..=1.2).contains(&(written / drawn)) {
            return; // some of an outline is slough, bush and yard
        }
        let acres = units::ha_to_acre(drawn);
        let hint = if (written / acres - 1.0).abs() < 0.2 { " Did you mean acres?" } else { "" };
        self.stop(
            "area_ha",
            format!("The outline holds {} ha, and {} ha is written.{hint}", figure(drawn, 1), plain(written)),
        );
    }

    fn outline_near_farm(&mut self, shape: &geojson::Geometry) {
        let (Some(site), Some((lon, lat))) = (self.farm.site(), boundary::middle(shape)) else { return };
        let yard = geo::Point::new(site.lon_deg, site.lat_deg);
        let km = geo::Distance::distance(&geo::Geodesic, yard, geo::Point::new(lon, lat)) / 1_000.0;
        if km > 400.0 {
            let at = format!("longitude {}, latitude {}", figure(lon, 2), figure(lat, 2));
            self.stop(
                "boundary",
                format!(
                    "The outline is at {at}, {} km from the yard; check that longitude comes first.",
                    figure(km, 0)
                ),
            );
        }
    }

    fn layers(&mut self, layers: &[SoilLayer]) {
        if layers.is_empty() {
            self.stop("soil.layers", "Give at least one layer, or choose \"not known\".");
        }
        let mut above = 0.0;
        for (i, l) in layers.iter().enumerate() {
            let at = |name: &str| format!("soil.layers.{i}.{name}");
            if (l.top_cm - above).abs() > 1e-9 {
                self.stop(
                    at("top_cm"),
                    format!("This layer must begin at {} cm, where the one above ends.", plain(above)),
                );
            }
            if !(l.bottom_cm > l.top_cm && l.bottom_cm <= 300.0) {
                self.stop(at("bottom_cm"), "A layer ends below its top, and not below 300 cm.");
            }
            above = l.bottom_cm;
            self.within(&at("sand_pct"), l.sand_pct, 0.0, 100.0, "%", "");
            self.within(&at("clay_pct"), l.clay_pct, 0.0, 100.0, "%", "");
            if l.sand_pct + l.clay_pct > 100.0 + 1e-9 {
                self.stop(at("clay_pct"), "Sand and clay together cannot pass 100 %; the rest is silt.");
            }
            self.maybe(&at("organic_matter_pct"), l.organic_matter_pct, 0.0, 60.0, "%", "");
        }
    }

    pub(super) fn crop_plan(&mut self, x: &CropPlan) {
        self.known_field(&x.field);
        let year = self.happened.year();
        if !(year - 60..=year + 3).contains(&x.crop_year) {
            self.stop(
                "crop_year",
                format!("{} is not a likely crop year; give the year of the harvest.", x.crop_year),
            );
        }
        self.text("crop", x.crop.key(), "Say which crop.");
        let bushels = "Did you mean bushels an acre?";
        let hint = if x.target_yield_kg_ha.is_some_and(|y| y < 200.0) { bushels } else { "" };
        self.maybe("target_yield_kg_ha", x.target_yield_kg_ha, 200.0, 20_000.0, "kg/ha", hint);
        for (at, day) in
            [("best_seeding_until", x.best_seeding_until), ("last_seeding_day", x.last_seeding_day)]
        {
            if day.is_some_and(|d| d.year() != x.crop_year && d.year() != x.crop_year - 1) {
                self.stop(at, format!("This day is not of the crop year {}.", x.crop_year));
            }
        }
        if let (Some(best), Some(last)) = (x.best_seeding_until, x.last_seeding_day)
            && last < best
        {
            self.stop("last_seeding_day", "The last day cannot come before the best ones end.");
        }
    }

    pub(super) fn price(&mut self, x: &Price) {
        self.text("what", &x.what, "Say what the price is for.");
        self.text("unit", &x.unit, "Say per what: t, bu, ha, ac.");
        self.within("value", x.value, 0.0, 1e6, "of money", "");
    }

    pub(super) fn local_number(&mut self, x: &LocalNumber) {
        self.text("why", &x.why, "Say where your number comes from, so that you can trust it next year.");
        if let Err(problem) = self.reference.check_local(&x.name, x.value) {
            let at = if self.reference.coefficient(&x.name).is_some() { "value" } else { "name" };
            self.stop(at, format!("{problem}."));
        }
    }

    pub(super) fn key(&mut self, at: &str, is_well_formed: bool) {
        if !is_well_formed {
            self.stop(at, "A key is small letters, digits and hyphens, such as long-90.");
        }
    }
}
