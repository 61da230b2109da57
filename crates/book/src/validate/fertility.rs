//! Fertilizer entries at the door.

use stook_measure::figure;

use super::{Door, plain};
use crate::payload::{FertilizerApplied, FertilizerPlan, Grade, PlantBack, ProteinPremium, RateTable};

/// Most of a nutrient that is ever put on, kg/ha: above it a unit was mixed up.
const MOST_N: f64 = 340.0;
const MOST_OTHER: f64 = 250.0;

impl Door<'_> {
    pub(super) fn crop_year(&mut self, year: i16) {
        let now = self.happened.year();
        if !(now - 60..=now + 3).contains(&year) {
            self.stop(
                "crop_year",
                format!("{year} is not a likely crop year; give the year of the harvest."),
            );
        }
    }

    pub(super) fn fertilizer_plan(&mut self, x: &FertilizerPlan) {
        self.known_field(&x.field);
        self.crop_year(x.crop_year);
        let hint = "Is it product and not nutrient? 174 lb of urea hold 80 lb of nitrogen.";
        self.within("n_kg_ha", x.n_kg_ha, 0.0, MOST_N, "kg/ha of nitrogen", hint);
        for (at, value, of) in [
            ("p2o5_kg_ha", x.p2o5_kg_ha, "kg/ha of phosphate"),
            ("k2o_kg_ha", x.k2o_kg_ha, "kg/ha of potash"),
            ("s_kg_ha", x.s_kg_ha, "kg/ha of sulphur"),
        ] {
            self.within(at, value, 0.0, MOST_OTHER, of, "");
        }
        if let Some(row) = &x.seed_row {
            for (at, with_seed, all) in [
                ("seed_row.n_kg_ha", row.n_kg_ha, x.n_kg_ha),
                ("seed_row.p2o5_kg_ha", row.p2o5_kg_ha, x.p2o5_kg_ha),
                ("seed_row.k2o_kg_ha", row.k2o_kg_ha, x.k2o_kg_ha),
                ("seed_row.s_kg_ha", row.s_kg_ha, x.s_kg_ha),
            ] {
                if !(with_seed >= 0.0 && with_seed <= all + 0.05) {
                    self.stop(
                        at,
                        format!(
                            "{} kg/ha with the seed is more than the {} kg/ha of the plan; lower it, or raise the plan.",
                            figure(with_seed, 1),
                            figure(all, 1)
                        ),
                    );
                }
            }
        }
        if let Some(m) = &x.manure {
            for (at, value) in
                [("n", m.n_kg_ha), ("p2o5", m.p2o5_kg_ha), ("k2o", m.k2o_kg_ha), ("s", m.s_kg_ha)]
            {
                self.within(&format!("manure.{at}_kg_ha"), value, 0.0, MOST_N, "kg/ha from manure", "");
            }
        }
        for (i, p) in x.products.iter().enumerate() {
            let at = |name: &str| format!("products.{i}.{name}");
            self.text(&at("product"), &p.product, "Say which product.");
            self.within(&at("kg_ha"), p.kg_ha, 0.0, 1_000.0, "kg/ha", "");
            self.grade(&at("grade"), p.grade.as_ref());
        }
        let bushels = "Did you mean bushels an acre?";
        let hint = if x.target_yield_kg_ha.is_some_and(|y| y < 200.0) { bushels } else { "" };
        self.maybe("target_yield_kg_ha", x.target_yield_kg_ha, 200.0, 20_000.0, "kg/ha", hint);
    }

    fn grade(&mut self, at: &str, grade: Option<&Grade>) {
        let Some(g) = grade else { return };
        let parts = [g.n_pct, g.p2o5_pct, g.k2o_pct, g.s_pct];
        let sum: f64 = parts.iter().sum();
        if parts.iter().any(|x| !(0.0..=100.0).contains(x)) || sum <= 0.0 || sum > 100.0 {
            self.stop(at, "A grade is in percent, each 0 to 100 and together not over 100, such as 11-52-0.");
        }
    }

    pub(super) fn fertilizer_applied(&mut self, x: &FertilizerApplied) {
        self.known_field(&x.field);
        self.crop_year(x.crop_year);
        self.area(&x.field, x.area_ha);
        if x.products.is_empty() {
            self.stop("products", "Give at least one product with its weight.");
        }
        let area = x.area_ha.or_else(|| self.farm.fields.get(&x.field).map(|r| r.field().area_ha));
        for (i, p) in x.products.iter().enumerate() {
            let at = |name: &str| format!("products.{i}.{name}");
            self.text(&at("product"), &p.product, "Say which product.");
            self.grade(&at("grade"), p.grade.as_ref());
            let Some(area) = area.filter(|a| *a > 0.0) else { continue };
            let rate = p.kg / area;
            if !(rate.is_finite() && (0.0..=1_000.0).contains(&rate)) {
                self.stop(
                    at("kg"),
                    format!(
                        "{} kg on {} ha is {} kg/ha, more than any drill puts on; is the weight in pounds, or the area short?",
                        figure(p.kg, 0),
                        plain((area * 10.0).round() / 10.0),
                        figure(rate, 0)
                    ),
                );
            }
        }
    }

    pub(super) fn rate_table(&mut self, x: &RateTable) {
        self.text("name", &x.name, "Give the table a name.");
        self.text(
            "source",
            &x.source,
            "Say where the table is from and its year, so that it can be trusted next year.",
        );
        self.text("text", &x.text, "The table is empty.");
    }

    pub(super) fn plant_back(&mut self, x: &PlantBack) {
        self.known_field(&x.field);
        self.text("product", &x.product, "Write the product as on the label.");
        self.text("crop", x.crop.key(), "Say which crop the limit is on.");
        if x.applied > self.latest.date() {
            self.stop("applied", "The day of application is in the future; check the date.");
        }
        self.within("months", x.months, 0.0, 72.0, "months", "");
        let hint = "Labels print it in millimetres or inches; 175 mm is 7 in.";
        self.maybe("june_to_august_mm", x.june_to_august_mm, 10.0, 600.0, "mm", hint);
    }

    pub(super) fn protein_premium(&mut self, x: &ProteinPremium) {
        self.text("buyer", &x.buyer, "Say whose schedule it is.");
        self.within("base_pct", x.base_pct, 8.0, 18.0, "% protein", "");
        self.within(
            "cap_pct",
            x.cap_pct,
            x.base_pct.clamp(8.0, 18.0),
            20.0,
            "% protein",
            "The cap lies above the base.",
        );
        self.within("up_per_t_point", x.up_per_t_point, 0.0, 200.0, "of money a tonne and point", "");
        self.within("down_per_t_point", x.down_per_t_point, 0.0, 200.0, "of money a tonne and point", "");
        self.within("step_pct", x.step_pct, 0.0, 2.0, "points", "");
    }
}
