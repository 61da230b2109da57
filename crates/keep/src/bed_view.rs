//! The fan on its bed at depths around the present one, and when to run it in any air: for tables and drawings.

use stook_grain::bed::Air;
use stook_grain::control::Hour;
use stook_grain::moist;
use stook_grain::natural::Drying;
use stook_measure::units;

use crate::bin_case::Push;
use crate::carry::wet_kg_m2;
use crate::work::Work;

/// The fan on its bed.
#[derive(Debug, Clone)]
pub struct BedView {
    /// Floor, m2.
    pub area_m2: f64,
    /// Depth of grain now, m.
    pub depth_m: f64,
    /// The fan's curve: m3/s, Pa.
    pub curve: Vec<(f64, f64)>,
    /// What the bed holds back: m3/s, Pa.
    pub bed: Vec<(f64, f64)>,
    /// Where they meet, or why not.
    pub at: Result<Push, String>,
    /// Depths around it.
    pub depths: Vec<Depth>,
    /// Air of the coming days past the fan: mean C and %.
    pub air_c: f64,
    /// Its humidity.
    pub air_rh_pct: f64,
    /// Equilibrium moisture by temperature: humidity %, moisture %.
    pub emc: Vec<(f64, Vec<(f64, f64)>)>,
    /// Humidities of its table.
    pub emc_at: Vec<f64>,
}

/// One depth.
#[derive(Debug, Clone)]
pub struct Depth {
    /// Depth, m.
    pub depth_m: f64,
    /// Whether it is the present one.
    pub here: bool,
    /// What the fan does, or why it cannot.
    pub push: Result<Push, String>,
    /// Fan hours of a cooling front.
    pub front_h: f64,
    /// Days of fan to dry the wettest layer's moisture off, when anything is to be dried.
    pub dry_days: Option<f64>,
}

/// A table for any air outside.
#[derive(Debug, Clone)]
pub struct Tape {
    /// Humidities along the head, %.
    pub humidities: Vec<f64>,
    /// Rows, coldest first.
    pub rows: Vec<TapeRow>,
    /// Mean moisture now.
    pub mean_pct: f64,
    /// Mean temperature now.
    pub mean_c: f64,
    /// Moisture of the top.
    pub top_pct: f64,
    /// The rule it follows, in a sentence.
    pub rule: String,
    /// Fan hours of a front.
    pub front_h: f64,
}

/// One outside temperature.
#[derive(Debug, Clone)]
pub struct TapeRow {
    /// Outside, C.
    pub t_c: f64,
    /// By humidity.
    pub cells: Vec<Cell>,
}

/// One air.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// Moisture it makes of the grain past the fan, % wet basis.
    pub emc_pct: f64,
    /// Whether to run.
    pub run: bool,
}

impl Work {
    /// The fan on its bed.
    pub fn bed_view(&self) -> BedView {
        let (p, case) = (&self.p, &self.case);
        let depth_m = case.depth_m(wet_kg_m2(&self.now.stack));
        let curve: Vec<(f64, f64)> = case
            .fan
            .as_ref()
            .and_then(|f| f.curve.as_ref())
            .map(|c| c.points().iter().map(|x| (x.m3_s, x.pa)).collect())
            .unwrap_or_default();
        let widest = curve.iter().map(|c| c.0).fold(0.0, f64::max);
        let bed = match case.resistance {
            Some(r) if widest > 0.0 => (0..=24)
                .map(|i| {
                    let q = widest * f64::from(i) / 24.0;
                    (q, r.bed_pa(q / case.area_m2, depth_m) + p.fan.duct_pa)
                })
                .collect(),
            _ => Vec::new(),
        };
        let (air_c, rh) = self.coming_air();
        let rise = self.push.as_ref().map_or(0.0, |x| x.rise_k);
        let air = Air::new(air_c, rh, case.pressure_pa).warmed(rise);
        let wettest =
            self.now.stack.bed.layers.iter().map(stook_grain::bed::Layer::m_wb_pct).fold(0.0, f64::max);
        let depths = (-2..=4)
            .map(|k| depth_m + f64::from(k) * units::ft_to_m(1.0))
            .filter(|d| *d > 0.3)
            .map(|d| {
                let push = case.push(p, d);
                let dry_days = push.as_ref().ok().filter(|_| wettest > case.keep_pct + 0.3).map(|x| {
                    p.natural
                        .estimate(
                            &case.bed_grain,
                            &Drying {
                                from_pct: wettest,
                                to_pct: case.keep_pct,
                                flow_per_s: x.flow_m3_s_m2 / d,
                                density_kg_m3: case.kg_m3,
                                inlet: air,
                                pressure_pa: case.pressure_pa,
                            },
                        )
                        .days
                });
                Depth {
                    depth_m: d,
                    here: (d - depth_m).abs() < 1e-9,
                    front_h: push.as_ref().map_or(f64::NAN, |x| p.natural.front_hours(x.cfm_bu)[1]),
                    dry_days,
                    push: push.map_err(|e| e.to_string()),
                }
            })
            .collect();
        let emc = [-5.0, 5.0, 15.0, 25.0]
            .map(|t| {
                let points = (0..=24)
                    .map(|i| {
                        let h = 30.0 + 2.5 * f64::from(i);
                        (h, case.emc.emc(t, h / 100.0).m_wb_pct)
                    })
                    .collect();
                (t, points)
            })
            .to_vec();
        BedView {
            area_m2: case.area_m2,
            depth_m,
            curve,
            bed,
            at: self.push.clone().map_err(|e| e.to_string()),
            depths,
            air_c: air.t_c,
            air_rh_pct: 100.0 * air.rh(case.pressure_pa).min(1.0),
            emc,
            emc_at: vec![30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0],
        }
    }

    /// Mean of the outdoor air over the next ten days, all weathers: C and humidity 0 to 1.
    fn coming_air(&self) -> (f64, f64) {
        let known: Vec<&Hour> =
            self.weathers.iter().flat_map(|m| m.iter().take(240)).filter(|h| h.is_known()).collect();
        if known.is_empty() {
            return (15.0, 0.65);
        }
        let n = known.len() as f64;
        let t = known.iter().map(|h| h.t_c).sum::<f64>() / n;
        let w = known.iter().map(|h| moist::humidity_ratio(h.t_c, h.rh, h.pressure_pa)).sum::<f64>() / n;
        (t, moist::relative_humidity(t, w, self.case.pressure_pa).min(1.0))
    }

    /// The table to tape to the fan. `None` without air.
    pub fn tape(&self) -> Option<Tape> {
        let push = self.push.as_ref().ok()?;
        let (p, case, bed) = (&self.p, &self.case, &self.now.stack.bed);
        let humidities = vec![40.0, 50.0, 60.0, 70.0, 80.0, 90.0];
        let (warmest, mean, top) = (bed.warmest_c(), bed.mean_wb_pct(), bed.top().m_wb_pct());
        let wet = self.is_wet();
        let rows = (-2..=6)
            .map(|k| {
                let t_c = 5.0 * f64::from(k);
                let cells = humidities
                    .iter()
                    .map(|h| {
                        let after = Air::new(t_c, h / 100.0, case.pressure_pa).warmed(push.rise_k);
                        let emc_pct = case.emc.emc(after.t_c, after.rh(case.pressure_pa)).m_wb_pct;
                        let land = case.bed_grain.landing(bed.layers[0].m_dd, after, case.pressure_pa).t_c;
                        let cools = land <= warmest - p.control.start_below_k
                            && emc_pct <= mean + p.control.emc_margin_points;
                        let dries = wet && emc_pct <= case.keep_pct && t_c >= p.control.hold_below_c;
                        Cell { emc_pct, run: cools || dries }
                    })
                    .collect();
                TapeRow { t_c, cells }
            })
            .collect();
        let rule = if wet {
            "Run when the air dries it to what keeps, or when it ends well colder without wetting it."
        } else {
            "Run when it ends well colder without being wetted."
        };
        Some(Tape {
            humidities,
            rows,
            mean_pct: mean,
            mean_c: bed.mean_c(),
            top_pct: top,
            rule: rule.into(),
            front_h: p.natural.front_hours(push.cfm_bu)[1],
        })
    }
}
