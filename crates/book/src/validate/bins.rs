//! Bins, samples and levels at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{Bin, BinFloor, BinId, BinMeasured, Crop, GrainSample};

impl Door<'_> {
    /// A bin that is in the book, beside the input `at`.
    pub(super) fn known_bin(&mut self, at: &str, id: &BinId) {
        if self.farm.bins.contains_key(id) {
            return;
        }
        let names: Vec<&str> = self.farm.bins.values().map(|b| b.bin().name.as_str()).take(30).collect();
        let have = if names.is_empty() {
            "add the bin in set-up first".into()
        } else {
            format!("the bins are {}", names.join(", "))
        };
        self.stop(at, format!("There is no bin \"{id}\"; {have}."));
    }

    pub(super) fn a_bin(&mut self, x: &Bin) {
        self.text("name", &x.name, "Give the bin a name.");
        if !x.id.is_well_formed() {
            self.stop("id", "A key is small letters, digits and hyphens, such as bin-5.");
        }
        let feet =
            |m: f64| format!("Did you mean feet? {} ft is {} m.", plain(m), figure(units::ft_to_m(m), 1));
        let hint = if (24.0..110.0).contains(&x.diameter_m) { feet(x.diameter_m) } else { String::new() };
        self.within("diameter_m", x.diameter_m, 1.0, 24.0, "m", &hint);
        let hint = if (20.0..110.0).contains(&x.wall_m) { feet(x.wall_m) } else { String::new() };
        self.within("wall_m", x.wall_m, 0.5, 20.0, "m", &hint);
        if let BinFloor::Hopper { height_m, outlet_m } = x.floor {
            self.maybe("floor.height_m", height_m, 0.2, 20.0, "m", "");
            self.maybe("floor.outlet_m", outlet_m, 0.1, x.diameter_m.max(0.2) * 0.9, "m", "");
        }
        self.maybe("capacity_m3", x.capacity_m3, 1.0, 40_000.0, "m3", "");
        if let (Some(c), true) = (x.capacity_m3, x.diameter_m > 0.0 && x.wall_m > 0.0) {
            let wall = std::f64::consts::PI * x.diameter_m * x.diameter_m / 4.0 * x.wall_m;
            if !(0.5 * wall..=2.5 * wall).contains(&c) {
                self.stop(
                    "capacity_m3",
                    format!(
                        "A bin {} m across with a wall of {} m holds about {} m3; {} m3 cannot be right. Leave it \
                         empty to reckon it from the size.",
                        plain(x.diameter_m),
                        plain(x.wall_m),
                        figure(wall, 0),
                        figure(c, 0)
                    ),
                );
            }
        }
        if let Some(fan) = &x.fan {
            self.maybe("fan.power_kw", fan.power_kw, 0.1, 200.0, "kW", "");
            if let Some(n) = fan.count
                && !(1..=6).contains(&n)
            {
                self.stop("fan.count", format!("A bin has from one to six fans alike, not {n}."));
            }
            for (i, p) in fan.curve.iter().enumerate() {
                let at = |name: &str| format!("fan.curve.{i}.{name}");
                self.within(&at("pressure_pa"), p.pressure_pa, 0.0, 10_000.0, "Pa", "");
                self.within(&at("air_m3_s"), p.air_m3_s, 0.0, 100.0, "m3/s", "");
            }
            let falls = fan
                .curve
                .windows(2)
                .all(|w| w[0].pressure_pa < w[1].pressure_pa && w[0].air_m3_s > w[1].air_m3_s);
            if fan.curve.len() == 1 || !falls {
                self.stop(
                    "fan.curve",
                    "A fan's curve needs two points or more: pressure rising, airflow falling.",
                );
            }
        }
    }

    /// The figures loads and samples share.
    #[allow(clippy::too_many_arguments)] // one for each figure on the paper
    pub(super) fn grain_figures(
        &mut self,
        crop: Option<&Crop>,
        moisture: Option<f64>,
        test_weight: Option<f64>,
        dockage: Option<f64>,
        protein: (Option<f64>, Option<f64>),
        don: Option<f64>,
        falling: Option<f64>,
        temperature: Option<f64>,
    ) {
        let share = |x: Option<f64>, words: &'static str| {
            if x.is_some_and(|v| v > 0.0 && v < 1.0) { words } else { "" }
        };
        let hint = share(moisture, "Write 14.5 %, not 0.145.");
        self.maybe("moisture_wb_pct", moisture, 3.0, 45.0, "%", hint);
        let hint = match test_weight {
            Some(x) if (20.0..69.0).contains(&x) => {
                "Did you mean pounds a bushel? Stook keeps kilograms a hectolitre."
            }
            _ => "",
        };
        self.maybe("test_weight_kg_hl", test_weight, lightest(crop), 95.0, "kg/hL", hint);
        self.maybe("dockage_pct", dockage, 0.0, 50.0, "%", "");
        self.maybe("protein_pct", protein.0, 5.0, 50.0, "%", share(protein.0, "Write 13.5 %, not 0.135."));
        self.maybe("protein_basis_pct", protein.1, 0.0, 20.0, "%", "");
        if protein.0.is_some() && protein.1.is_none() {
            self.stop(
                "protein_basis_pct",
                "Say at what moisture the protein is given: 13.5 % in Canada, 12 % in the United States, 0 for dry.",
            );
        }
        let hint = if don.is_some_and(|d| d > 100.0) {
            "Did you mean parts per billion? 1,000 ppb is 1 ppm."
        } else {
            ""
        };
        self.maybe("don_ppm", don, 0.0, 100.0, "ppm", hint);
        self.maybe("falling_number_s", falling, 62.0, 700.0, "s", "Below 62 s the test says nothing.");
        let hint = if temperature.is_some_and(|t| t > 60.0) { "Did you mean Fahrenheit?" } else { "" };
        self.maybe("temperature_c", temperature, -45.0, 60.0, "C", hint);
    }

    pub(super) fn grain_sample(&mut self, x: &GrainSample) {
        self.known_bin("bin", &x.bin);
        let crop = self.farm.bins.get(&x.bin).and_then(|b| b.bin().crop.clone());
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
        for (name, value) in &x.factors {
            self.within(&format!("factors.{name}"), *value, 0.0, 10_000.0, "", "");
        }
        let figures = [
            x.moisture_wb_pct,
            x.test_weight_kg_hl,
            x.dockage_pct,
            x.protein_pct,
            x.don_ppm,
            x.falling_number_s,
            x.temperature_c,
        ];
        if figures.iter().all(Option::is_none) && x.factors.is_empty() && x.grade.is_none() {
            self.stop("moisture_wb_pct", "Give at least one figure of the sample.");
        }
    }

    pub(super) fn bin_measured(&mut self, x: &BinMeasured) {
        self.known_bin("bin", &x.bin);
        let given = [x.depth_m, x.down_m, x.volume_m3].iter().flatten().count();
        if given != 1 {
            self.stop(
                "depth_m",
                "Give one of these: the depth of grain at the wall, how far it is down from the eave, or the volume.",
            );
        }
        if let Some(record) = self.farm.bins.get(&x.bin) {
            let (wall, name) = (record.bin().wall_m, record.bin().name.clone());
            for (at, value) in [("depth_m", x.depth_m), ("down_m", x.down_m)] {
                if let Some(v) = value.filter(|v| !(v.is_finite() && (0.0..=wall).contains(v))) {
                    let ft = units::ft_to_m(v);
                    let hint = if (0.0..=wall).contains(&ft) {
                        format!(" Did you mean feet? {} ft is {} m.", plain(v), figure(ft, 2))
                    } else {
                        String::new()
                    };
                    self.stop(
                        at,
                        format!(
                            "The wall of {name} is {} m high; {} m is not on it.{hint}",
                            plain(wall),
                            plain(v)
                        ),
                    );
                }
            }
        }
        self.maybe("volume_m3", x.volume_m3, 0.0, 40_000.0, "m3", "");
        self.maybe("heap", x.heap, -1.0, 1.0, "", "1 is a full heap, 0 level, -1 a full hollow.");
        self.maybe("test_weight_kg_hl", x.test_weight_kg_hl, 25.0, 95.0, "kg/hL", "");
        self.maybe("moisture_wb_pct", x.moisture_wb_pct, 3.0, 45.0, "%", "");
    }
}

/// Test weight below which a figure for this crop is more likely pounds a bushel, kg/hL.
fn lightest(crop: Option<&Crop>) -> f64 {
    match crop {
        Some(Crop::SpringWheat | Crop::Durum | Crop::Peas) => 62.0,
        _ => 25.0,
    }
}
