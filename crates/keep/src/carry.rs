//! A bin from its first load to now: hour by hour on the weather that was, with its loads, its fan and its readings.

use stook_grain::bed::Air;
use stook_grain::control::Hour;
use stook_grain::moist::volume_m3_kg;

use crate::bin_case::{Case, NoAir, Push};
use crate::params::KeepParams;
use crate::reading::Seen;
use crate::stack::{Flow, Stack};

/// Something that happened to the bin.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Grain in: wet kg, % wet basis, C.
    In {
        /// Wet weight.
        kg: f64,
        /// Moisture.
        m_wb_pct: f64,
        /// Temperature.
        t_c: f64,
    },
    /// Grain out: wet kg.
    Out {
        /// Wet weight.
        kg: f64,
        /// How it ran out.
        flow: Flow,
    },
    /// A level seen: what the bin then held, wet kg. Where the book had nothing, it is of this moisture and temperature.
    Level {
        /// Wet weight.
        kg: f64,
        /// Moisture, % wet basis.
        m_wb_pct: f64,
        /// Temperature, C.
        t_c: f64,
    },
    /// Swept empty.
    Empty,
    /// Fan on or off.
    Fan(bool),
    /// What was seen.
    Seen(Seen),
}

/// An event at an hour, counted from the first hour of the weather.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Hour.
    pub hour: i64,
    /// What.
    pub what: What,
}

/// The bin now.
#[derive(Debug, Clone)]
pub struct Now {
    /// Its layers.
    pub stack: Stack,
    /// Whether the fan is on by the last word in the book.
    pub fan_on: bool,
    /// Hours the fan has run since filling.
    pub fan_h: f64,
    /// Hours of fan in the last ten days.
    pub fan_lately_h: f64,
    /// Energy of the fan, kWh.
    pub kwh: f64,
    /// Hours of weather missing while there was grain: the fan was taken as off.
    pub missing_h: usize,
    /// What kept the air out while the fan was said to be on.
    pub no_air: Option<NoAir>,
    /// Water that air has carried off, kg/m2.
    pub water_out_kg_m2: f64,
    /// Layers at the end of each day since filling.
    pub pictures: Vec<(i64, Stack)>,
    /// What was seen against what was reckoned, C, at each reading of temperature.
    pub misses_c: Vec<f64>,
}

/// Carries the bin through `hours`. Events must be in order; those after the last hour are not looked at.
pub fn carry(p: &KeepParams, case: &Case, events: &[Event], hours: &[Hour]) -> Now {
    let most = most_kg_m2(case, events);
    let mut now = Now {
        stack: Stack::empty(case.bed_grain, p.layers, most),
        fan_on: false,
        fan_h: 0.0,
        fan_lately_h: 0.0,
        kwh: 0.0,
        missing_h: 0,
        no_air: None,
        water_out_kg_m2: 0.0,
        pictures: Vec::new(),
        misses_c: Vec::new(),
    };
    let mut next = events.iter().peekable();
    let mut push: Option<Result<Push, NoAir>> = None;
    let mut day = Mean::default();
    for (i, hour) in hours.iter().enumerate() {
        while let Some(e) = next.next_if(|e| e.hour <= number(i)) {
            take(case, &mut now, &e.what);
            if !matches!(e.what, What::Fan(_) | What::Seen(_)) {
                push = None;
            }
        }
        if now.stack.is_empty() {
            continue;
        }
        if hour.is_known() {
            day.add(hour.t_c);
            if now.fan_on {
                let depth = case.depth_m(wet_kg_m2(&now.stack));
                match push.get_or_insert_with(|| case.push(p, depth)) {
                    Ok(at) => {
                        let before = now.stack.bed.water_kg_m2();
                        blow(&mut now.stack, at, hour, 1.0);
                        now.water_out_kg_m2 += before - now.stack.bed.water_kg_m2();
                        now.fan_h += 1.0;
                        now.kwh += at.kw;
                        if i + 240 >= hours.len() {
                            now.fan_lately_h += 1.0;
                        }
                    }
                    Err(why) => now.no_air = Some(why.clone()),
                }
            }
        } else {
            now.missing_h += 1;
        }
        if (i + 1) % 6 == 0 {
            now.stack.spend(&p.life, case.grain, 0.25);
        }
        if (i + 1) % 24 == 0 {
            let m = now.stack.bed.mean_wb_pct();
            now.stack.creep(day.take().unwrap_or(now.stack.bed.mean_c()), case.creep_a_day(p, m));
            now.pictures.push((number(i), now.stack.clone()));
        }
    }
    // Loads of the last hours, after the last whole hour of weather.
    for e in next.filter(|e| e.hour <= number(hours.len())) {
        take(case, &mut now, &e.what);
    }
    now
}

/// Passes one hour (or `h` hours) of outdoor air through the layers.
pub fn blow(stack: &mut Stack, push: &Push, hour: &Hour, h: f64) {
    let outside = Air::new(hour.t_c, hour.rh, hour.pressure_pa);
    let kg_m2 = push.flow_m3_s_m2 * 3600.0 * h / volume_m3_kg(hour.t_c, outside.w, hour.pressure_pa);
    stack.bed.step(outside.warmed(push.rise_k), kg_m2, hour.pressure_pa);
}

/// Wet weight over each m2.
pub fn wet_kg_m2(stack: &Stack) -> f64 {
    stack.bed.dry_kg_m2() + stack.bed.water_kg_m2()
}

fn take(case: &Case, now: &mut Now, what: &What) {
    match what {
        What::In { kg, m_wb_pct, t_c } => {
            let m = m_wb_pct.clamp(4.0, 45.0);
            now.stack.put(kg / case.area_m2 * (1.0 - m / 100.0), m / (100.0 - m), *t_c);
        }
        What::Out { kg, flow } => {
            let dry_share = now.stack.bed.dry_kg_m2() / wet_kg_m2(&now.stack).max(1e-9);
            now.stack.draw(kg / case.area_m2 * dry_share, *flow);
        }
        What::Level { kg, m_wb_pct, t_c } => {
            if now.stack.is_empty() {
                take(case, now, &What::In { kg: *kg, m_wb_pct: *m_wb_pct, t_c: *t_c });
            } else {
                let factor = kg / case.area_m2 / wet_kg_m2(&now.stack);
                now.stack.bed.layers.iter_mut().for_each(|l| l.dry_kg_m2 *= factor.max(1e-6));
            }
        }
        What::Empty => now.stack.draw(f64::MAX, Flow::Funnel),
        What::Fan(on) => now.fan_on = *on,
        What::Seen(seen) => {
            if !now.stack.is_empty() {
                let heights = now.stack.heights_m(case.dry_kg_m3(now.stack.bed.mean_wb_pct()));
                now.misses_c.extend(crate::reading::take_in(&mut now.stack, &heights, seen));
            }
        }
    }
}

/// Most dry matter the bin ever holds, kg/m2: the layers are shares of it.
fn most_kg_m2(case: &Case, events: &[Event]) -> f64 {
    let (mut kg, mut most) = (0.0_f64, 0.0_f64);
    for e in events {
        match &e.what {
            What::In { kg: k, m_wb_pct, .. } => kg += k * (1.0 - m_wb_pct / 100.0),
            What::Out { kg: k, .. } => kg = (kg - k * 0.86).max(0.0),
            What::Empty => kg = 0.0,
            _ => {}
        }
        most = most.max(kg);
    }
    most / case.area_m2
}

/// An index as an hour.
fn number(i: usize) -> i64 {
    i64::try_from(i).unwrap_or(i64::MAX)
}

/// A mean in the making.
#[derive(Debug, Default)]
struct Mean {
    sum: f64,
    count: usize,
}

impl Mean {
    fn add(&mut self, x: f64) {
        self.sum += x;
        self.count += 1;
    }
    fn take(&mut self) -> Option<f64> {
        let mean = (self.count > 0).then(|| self.sum / self.count as f64);
        *self = Self::default();
        mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::Fan;
    use crate::bin_case::tests::{case, curve, params};
    use proptest::prelude::*;

    fn hours(n: usize, mean_c: f64) -> Vec<Hour> {
        (0..n)
            .map(|h| {
                let swing = ((h % 24) as f64 - 9.0) / 24.0 * std::f64::consts::TAU;
                Hour {
                    hour: (h % 24) as u8,
                    t_c: mean_c + 7.0 * swing.sin(),
                    rh: 0.65 - 0.2 * swing.sin(),
                    pressure_pa: 95_000.0,
                    wet: false,
                }
            })
            .collect()
    }

    fn load(hour: i64, kg: f64, m_wb_pct: f64, t_c: f64) -> Event {
        Event { hour, what: What::In { kg, m_wb_pct, t_c } }
    }

    #[test]
    fn loads_go_in_as_they_came_and_the_wet_one_lies_on_top() {
        let case = case(Some(Fan { curve: Some(curve()), power_kw: None, blows: true }));
        let events = vec![
            load(10, 90_000.0, 14.0, 22.0),
            load(34, 60_000.0, 14.2, 20.0),
            load(60, 35_000.0, 18.5, 26.0),
        ];
        let now = carry(&params(), &case, &events, &hours(72, 16.0));
        assert!((now.stack.bed.top().m_wb_pct() - 18.5).abs() < 1e-6);
        assert!(now.stack.bed.layers[0].m_wb_pct() < 14.05 && now.fan_h == 0.0);
        let kg = wet_kg_m2(&now.stack) * case.area_m2;
        assert!((kg - 185_000.0).abs() < 1e-3);
        // The wet top has spent more in half a day than the dry bottom in three.
        assert!(now.stack.spent.last().unwrap().likely > now.stack.spent[0].likely);
    }

    #[test]
    fn fan_on_with_no_way_to_push_is_said_and_changes_nothing() {
        let events = vec![load(0, 90_000.0, 15.0, 22.0), Event { hour: 5, what: What::Fan(true) }];
        let now = carry(&params(), &case(None), &events, &hours(48, 12.0));
        assert_eq!((now.no_air, now.fan_h), (Some(NoAir::NoFan), 0.0));
        let mut gaps = hours(48, 12.0);
        for h in &mut gaps[6..12] {
            h.t_c = f64::NAN;
        }
        let fan = Some(Fan { curve: Some(curve()), power_kw: None, blows: true });
        let now = carry(&params(), &case(fan), &events, &gaps);
        assert_eq!((now.missing_h, now.fan_h), (6, 37.0));
    }

    proptest! {
        #[test]
        fn water_and_dry_matter_are_kept(m in 12.0..20.0f64, t in 0.0..30.0f64, mean in -10.0..25.0f64, on in 0i64..100) {
            let case = case(Some(Fan { curve: Some(curve()), power_kw: None, blows: true }));
            let events = vec![load(0, 150_000.0, m, t), Event { hour: on, what: What::Fan(true) }];
            let now = carry(&params(), &case, &events, &hours(240, mean));
            let (dry, water) = (150_000.0 * (1.0 - m / 100.0) / case.area_m2, 150_000.0 * m / 100.0 / case.area_m2);
            prop_assert!((now.stack.bed.dry_kg_m2() / dry - 1.0).abs() < 1e-6);
            prop_assert!(((now.stack.bed.water_kg_m2() + now.water_out_kg_m2) / water - 1.0).abs() < 1e-6);
        }
    }
}
