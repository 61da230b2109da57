//! A bin's course through a season of weather: hour by hour with its fan, day by day for a person.

use crate::bed::{Air, Bed, Layer};
use crate::control::{Control, Hour};
use crate::grain::Grain;
use crate::life::{LifeParams, Spent};

/// What pushes the air, and what counts as done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setup {
    /// Grain, for storage life.
    pub grain: Grain,
    /// Airflow, m3/s for each m2 of floor.
    pub flow_m3_s_m2: f64,
    /// Warming by the fan, K; nothing for a fan that sucks.
    pub fan_rise_k: f64,
    /// Power drawn by the fan, kW for each m2 of floor.
    pub fan_kw_m2: f64,
    /// Warming by a heater while the fan runs, K.
    pub heater_k: f64,
    /// Moisture the top must reach, percent wet basis.
    pub target_pct: f64,
    /// Storage life already spent when the course begins.
    pub spent: Spent,
    /// Keep a picture of the layers each day.
    pub pictures: bool,
}

/// One day of the course, at its end.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Day {
    /// Average moisture, percent wet basis.
    pub mean_pct: f64,
    /// Moisture of the top layer.
    pub top_pct: f64,
    /// Moisture of the bottom layer.
    pub bottom_pct: f64,
    /// Average temperature, C.
    pub mean_c: f64,
    /// Warmest layer, C.
    pub warmest_c: f64,
    /// Hours of fan in the day.
    pub fan_h: f64,
    /// Storage life spent in the worst layer.
    pub spent: Spent,
}

/// How the course came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Each day.
    pub days: Vec<Day>,
    /// The layers at the end of each day, if asked for.
    pub pictures: Vec<Vec<Layer>>,
    /// Hours of fan.
    pub fan_h: f64,
    /// Energy of the fan, kWh/m2.
    pub fan_kwh_m2: f64,
    /// Heat added by a heater, kWh/m2.
    pub heat_kwh_m2: f64,
    /// Water carried off, kg/m2 (negative when the grain took up water).
    pub water_out_kg_m2: f64,
    /// Days until the top was at the target.
    pub top_dry_day: Option<f64>,
    /// Days until the average was at the target.
    pub mean_dry_day: Option<f64>,
    /// Days until the worst layer had spent its storage life (likely).
    pub life_out_day: Option<f64>,
    /// Days until it may have, at the short end.
    pub life_may_be_out_day: Option<f64>,
    /// Hours without weather: the fan was taken as off.
    pub missing_h: usize,
}

/// Dry before spoiled?
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Race {
    /// Dry in time.
    Dry,
    /// Dry in time by the likely life, but not by the short end of it.
    Close,
    /// Spoiled first.
    Spoils,
    /// Neither within the weather given.
    Open,
}

impl Race {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Dry => "the top is dry before its storage life can run out",
            Self::Close => "the top is dry in time only if storage life is as long as the tables say",
            Self::Spoils => {
                "the top's storage life runs out before it is dry: more air, less depth, heat, or move it"
            }
            Self::Open => "neither dry nor out of storage life in the time looked at",
        }
    }
}

impl Course {
    /// The day the top is dry against the day storage life runs out.
    pub fn race(&self) -> Race {
        let before = |a: f64, b: Option<f64>| b.is_none_or(|b| a < b);
        match self.top_dry_day {
            Some(d) if before(d, self.life_may_be_out_day) => Race::Dry,
            Some(d) if before(d, self.life_out_day) => Race::Close,
            None if self.life_out_day.is_none() => Race::Open,
            _ => Race::Spoils,
        }
    }
}

/// Runs `bed` through `hours` under `control`.
///
/// With the fan off the bed stays as it is: the slow exchange through walls and roof is not counted, nor the heat of
/// grain that is already spoiling. Storage life is spent once a day by each layer's own state.
pub fn run(bed: &mut Bed, hours: &[Hour], setup: &Setup, life: &LifeParams, control: &mut Control) -> Course {
    let mut spent = vec![setup.spent; bed.layers.len()];
    let mut course = Course {
        days: Vec::with_capacity(hours.len() / 24 + 1),
        pictures: Vec::new(),
        fan_h: 0.0,
        fan_kwh_m2: 0.0,
        heat_kwh_m2: 0.0,
        water_out_kg_m2: 0.0,
        top_dry_day: None,
        mean_dry_day: None,
        life_out_day: None,
        life_may_be_out_day: None,
        missing_h: 0,
    };
    let water_before = bed.water_kg_m2();
    let (mut fan_today, mut hours_today) = (0.0, 0.0);
    for (i, hour) in hours.iter().enumerate() {
        hours_today += 1.0;
        if hour.is_known() {
            let outside = Air::new(hour.t_c, hour.rh, hour.pressure_pa);
            let after_fan = outside.warmed(setup.fan_rise_k + setup.heater_k);
            if control.decide(bed, hour, after_fan).0 {
                let volume = crate::moist::volume_m3_kg(hour.t_c, outside.w, hour.pressure_pa);
                let air_kg_m2 = setup.flow_m3_s_m2 * 3600.0 / volume;
                bed.step(after_fan, air_kg_m2, hour.pressure_pa);
                fan_today += 1.0;
                course.fan_kwh_m2 += setup.fan_kw_m2;
                course.heat_kwh_m2 += air_kg_m2 * crate::moist::CP_AIR * setup.heater_k / 3600.0;
            }
        } else {
            course.missing_h += 1;
        }
        let now = (i + 1) as f64 / 24.0;
        if course.top_dry_day.is_none() && bed.top().m_wb_pct() <= setup.target_pct {
            course.top_dry_day = Some(now);
        }
        if (i + 1) % 24 == 0 || i + 1 == hours.len() {
            let mut worst = Spent::default();
            for (layer, s) in bed.layers.iter().zip(&mut spent) {
                s.spend(life, setup.grain, layer.m_wb_pct(), layer.t_c, hours_today / 24.0);
                if s.likely > worst.likely {
                    worst.likely = s.likely;
                }
                worst.least = worst.least.max(s.least);
                worst.most = worst.most.max(s.most);
            }
            if course.life_out_day.is_none() && worst.likely >= 1.0 {
                course.life_out_day = Some(now);
            }
            if course.life_may_be_out_day.is_none() && worst.most >= 1.0 {
                course.life_may_be_out_day = Some(now);
            }
            let mean_pct = bed.mean_wb_pct();
            if course.mean_dry_day.is_none() && mean_pct <= setup.target_pct {
                course.mean_dry_day = Some(now);
            }
            course.days.push(Day {
                mean_pct,
                top_pct: bed.top().m_wb_pct(),
                bottom_pct: bed.layers[0].m_wb_pct(),
                mean_c: bed.mean_c(),
                warmest_c: bed.warmest_c(),
                fan_h: fan_today,
                spent: worst,
            });
            if setup.pictures {
                course.pictures.push(bed.layers.clone());
            }
            course.fan_h += fan_today;
            (fan_today, hours_today) = (0.0, 0.0);
        }
    }
    course.water_out_kg_m2 = water_before - bed.water_kg_m2();
    course
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::BedGrain;
    use crate::control::{ControlParams, FanRule};
    use crate::{EmcTable, Properties};
    use stook_measure::Reference;

    fn weather(days: usize, mean_c: f64) -> Vec<Hour> {
        (0..24 * days)
            .map(|h| {
                let hour = (h % 24) as u8;
                let swing = (f64::from(hour) - 9.0) / 24.0 * std::f64::consts::TAU;
                Hour {
                    hour,
                    t_c: mean_c + 7.0 * swing.sin(),
                    rh: 0.62 - 0.2 * swing.sin(),
                    pressure_pa: 95_000.0,
                    wet: false,
                }
            })
            .collect()
    }

    fn with(rule: FanRule, hours: &[Hour], m: f64, t: f64, cfm_bu: f64) -> Course {
        let r = Reference::shipped();
        let table = EmcTable::from_reference(&r);
        let emc = table.best(Grain::HardWheat).unwrap();
        let p = Properties::from_reference(&r, Grain::HardWheat);
        let depth = 4.0;
        let mut bed = Bed::uniform(BedGrain::new(emc, &p), 20, p.density_kg_m3 * depth, m, t);
        let setup = Setup {
            grain: Grain::HardWheat,
            flow_m3_s_m2: crate::air::per_bushel_to_per_m3(cfm_bu) * depth,
            fan_rise_k: 1.5,
            fan_kw_m2: 0.05,
            heater_k: 0.0,
            target_pct: 14.0,
            spent: Spent::default(),
            pictures: true,
        };
        let mut control = Control::new(rule, ControlParams::from_reference(&r), emc);
        run(&mut bed, hours, &setup, &LifeParams::from_reference(&r), &mut control)
    }

    #[test]
    fn wet_warm_wheat_spoils_without_air_and_dries_with_it() {
        let hours = weather(90, 14.0);
        let off = with(FanRule::Off, &hours, 19.0, 24.0, 1.0);
        assert_eq!(off.race(), Race::Spoils);
        assert_eq!(off.water_out_kg_m2, 0.0);
        let on = with(FanRule::Dry { target_pct: 14.0 }, &hours, 17.0, 18.0, 1.0);
        assert!(on.top_dry_day.is_some() && on.fan_h < 90.0 * 24.0, "{:?} {}", on.top_dry_day, on.fan_h);
        assert_eq!(on.pictures.len(), 90);
    }

    #[test]
    fn landing_rule_cools_with_fewer_hours_than_day_and_night() {
        let hours = weather(40, 10.0);
        let all = with(FanRule::Always, &hours, 13.5, 28.0, 0.15);
        let landing = with(FanRule::Landing { below_k: 5.6 }, &hours, 13.5, 28.0, 0.15);
        let clock = with(FanRule::Hours { from: 22, to: 8 }, &hours, 13.5, 28.0, 0.15);
        assert!(landing.fan_h < 0.7 * all.fan_h, "{} {}", landing.fan_h, all.fan_h);
        assert!(landing.days.last().unwrap().warmest_c < 16.0);
        assert_eq!(clock.fan_h, 400.0);
        assert!(clock.days.last().unwrap().mean_c < all.days.last().unwrap().mean_c);
    }

    #[test]
    fn missing_hours_are_counted_and_rain_is_not_drawn_in() {
        let mut hours = weather(10, 10.0);
        for h in &mut hours[24..30] {
            h.rh = f64::NAN;
        }
        for h in &mut hours[48..72] {
            h.wet = true;
        }
        let c = with(FanRule::DryBulb { below_k: 3.0 }, &hours, 14.0, 30.0, 0.1);
        assert_eq!(c.missing_h, 6);
        assert_eq!(c.days[2].fan_h, 0.0);
        assert!(c.days[0].fan_h > 0.0);
    }
}
