//! A deep bed of grain in layers: temperature and moisture hour by hour as air passes up through it.
//!
//! The equilibrium layer model of Thompson (1968). In each step the air entering a layer and the layer's grain come to
//! one temperature and one humidity:
//!
//! 1. water: W = Wi + (md/ma)(M0 - M)
//! 2. energy: ma hi + md c(M0) T0 = ma h(T, W) + md c(M) T
//! 3. equilibrium: RH(T, W) = ERH(M, T)
//!
//! (1) and (2) give T in closed form for any M, so water and energy balance to the last bits of a double whatever the
//! accuracy of (3). The smear of the front that comes with layers plays the part of kernel resistance: use 20 layers,
//! and take days as good to 15 %. For airflow below about 1.5 cfm/bu (0.025 m3/s per m3) and air within about 10 C of
//! outdoors. Water in grain is treated as liquid at all temperatures.

use stook_weather::psychro;

use crate::emc::{COLDEST_C, EmcSet, Isotherm};
use crate::grain::Properties;
use crate::moist::{
    CP_AIR, CP_VAPOUR, EPSILON, H_VAPOUR, humidity_ratio, relative_humidity, saturation_fast, w_at_enthalpy,
};

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Layer {
    /// Dry matter on each m2 of floor, kg.
    pub dry_kg_m2: f64,
    /// Moisture, decimal dry basis.
    pub m_dd: f64,
    /// Temperature, C.
    pub t_c: f64,
}

impl Layer {
    /// Moisture, percent wet basis.
    pub fn m_wb_pct(&self) -> f64 {
        100.0 * self.m_dd / (1.0 + self.m_dd)
    }
}

/// Air entering or leaving.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature, C.
    pub t_c: f64,
    /// Water for each kg of dry air, kg.
    pub w: f64,
}

impl Air {
    /// Air of a relative humidity (0 to 1) at a pressure.
    pub fn new(t_c: f64, rh: f64, pressure_pa: f64) -> Self {
        Self { t_c, w: humidity_ratio(t_c, rh.min(1.0), pressure_pa) }
    }

    /// The same air warmed by `k` degrees, no water added.
    #[must_use]
    pub fn warmed(self, k: f64) -> Self {
        Self { t_c: self.t_c + k, w: self.w }
    }

    /// Enthalpy, kJ for each kg of dry air.
    pub fn enthalpy(&self) -> f64 {
        psychro::enthalpy(self.t_c, self.w)
    }

    /// Relative humidity, 0 to 1.
    pub fn rh(&self, pressure_pa: f64) -> f64 {
        relative_humidity(self.t_c, self.w, pressure_pa)
    }
}

/// What a bed's grain is like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedGrain {
    /// Equilibrium equation.
    pub isotherm: Isotherm,
    /// Moisture (decimal dry basis) taken off before the equation sees it.
    pub shift_dd: f64,
    /// Heat capacity at no moisture, kJ/kg dry matter K.
    pub heat_base: f64,
    /// Its rise with decimal dry-basis moisture.
    pub heat_slope: f64,
}

impl BedGrain {
    /// From equilibrium constants and properties.
    pub fn new(emc: &EmcSet, properties: &Properties) -> Self {
        let (heat_base, heat_slope) = properties.heat_per_dry_matter();
        // A stand-in's offset is in wet-basis points; near 8 % a point is 1.18 points dry basis.
        Self { isotherm: emc.isotherm, shift_dd: emc.offset_wb_pct * 0.0118, heat_base, heat_slope }
    }

    /// Humidity of the air between kernels, 0 to 1.
    pub fn erh(&self, m_dd: f64, t_c: f64) -> f64 {
        self.isotherm.rh(m_dd - self.shift_dd, t_c)
    }

    /// Value and derivative along a path with slope `dt` (dT/dM) of the kernel humidity.
    fn erh_slope(&self, m_dd: f64, t_c: f64, dt: f64) -> (f64, f64) {
        let m = (m_dd - self.shift_dd).max(1e-4);
        let t = t_c.max(COLDEST_C);
        match self.isotherm {
            Isotherm::Henderson { k, n, c } => {
                let u = k * ((100.0 * m).ln() * n).exp();
                let e = (-u * (t + c)).exp();
                (1.0 - e, e * u * (n / m * (t + c) + dt))
            }
            Isotherm::ChungPfost { a, b, c } => {
                let x = a / (t + c) * (-b * m).exp();
                let rh = (-x).exp();
                (rh, rh * x * (b + dt / (t + c)))
            }
            Isotherm::Halsey { a, b, c } => {
                let x = (a + b * t).exp() * (100.0 * m).powf(-c);
                let rh = (-x).exp();
                (rh, -rh * x * (b * dt - c / m))
            }
            Isotherm::Oswin { a, b, c } => {
                let s = a + b * t;
                let x = (100.0 * m / s).powf(c);
                let rh = x / (1.0 + x);
                (rh, rh / (1.0 + x) * c * (1.0 / m - b * dt / s))
            }
        }
    }

    /// One layer and the air through it brought to one state.
    ///
    /// `ratio` is dry matter over dry air, kg/kg. Newton on (3) within a bracket that shrinks; two or three rounds from
    /// the old moisture are enough away from a front.
    fn settle(&self, m0: f64, t0: f64, air: Air, ratio: f64, pressure_pa: f64) -> (f64, Air) {
        let energy = air.enthalpy() + ratio * (self.heat_base + self.heat_slope * m0) * t0;
        let (mut low, mut high) = (1e-4_f64.min(m0), m0 + air.w / ratio * (1.0 - 1e-9));
        let mut m = m0.min(high);
        // (1) and (2): the air over the layer for any moisture, with the heat capacity it was found by.
        let over = |m: f64| {
            let w = air.w + ratio * (m0 - m);
            let den = CP_AIR + CP_VAPOUR * w + ratio * (self.heat_base + self.heat_slope * m);
            (w, (energy - H_VAPOUR * w) / den, den)
        };
        for _ in 0..60 {
            let (w, t, den) = over(m);
            let dt = ratio * (H_VAPOUR + t * (CP_VAPOUR - self.heat_slope)) / den;
            let (erh, d_erh) = self.erh_slope(m, t, dt);
            let (saturation, d_saturation) = saturation_fast(t);
            let mix = EPSILON + w;
            let rh = pressure_pa * w / (mix * saturation);
            let d_rh = -rh * (ratio * EPSILON / (w * mix) + d_saturation * dt);
            let gap = rh - erh;
            // The gap falls with M: air still too wet for the grain means the grain takes up water.
            if gap > 0.0 {
                low = m;
            } else {
                high = m;
            }
            let newton = m - gap / (d_rh - d_erh);
            let inside = newton > low && newton < high;
            let next = if inside { newton } else { f64::midpoint(low, high) };
            let moved = (next - m).abs();
            m = next;
            // Newton squares its error: after so small a step the next would be below 1e-6.
            if moved < if inside { 1e-4 } else { 1e-10 } {
                break;
            }
        }
        let (w, t_c, _) = over(m);
        (m, Air { t_c, w })
    }

    /// Temperature that grain at `m_dd` is led to by this air: along constant enthalpy to where the air is in
    /// equilibrium with the grain. Cooler than the air when the air is drier than the grain, warmer when wetter.
    pub fn landing(&self, m_dd: f64, air: Air, pressure_pa: f64) -> Air {
        let h = air.enthalpy();
        // Humidity falls along the line as it warms. The dry end of the line has no water at all.
        let (mut low, mut high) = ((air.t_c - 40.0).max(-60.0), h / CP_AIR);
        let mut t = air.t_c.clamp(low, high);
        for _ in 0..60 {
            let w = w_at_enthalpy(h, t).max(1e-9);
            let (saturation, d_saturation) = saturation_fast(t);
            let mix = EPSILON + w;
            let rh = pressure_pa * w / (mix * saturation);
            let dw = -(CP_AIR + CP_VAPOUR * w) / (H_VAPOUR + CP_VAPOUR * t);
            let d_rh = rh * (EPSILON * dw / (w * mix) - d_saturation);
            let erh = self.erh(m_dd, t);
            let d_erh = erh * self.isotherm.dlnrh_dt(m_dd - self.shift_dd, t);
            let gap = rh - erh;
            if gap > 0.0 {
                low = t;
            } else {
                high = t;
            }
            let newton = t - gap / (d_rh - d_erh);
            let next = if newton > low && newton < high { newton } else { f64::midpoint(low, high) };
            let moved = (next - t).abs();
            t = next;
            if moved < 1e-6 {
                break;
            }
        }
        Air { t_c: t, w: w_at_enthalpy(h, t) }
    }
}

/// A bed, bottom layer first.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// What it is.
    pub grain: BedGrain,
    /// Its layers from the floor up.
    pub layers: Vec<Layer>,
}

impl Bed {
    /// A bed of `count` equal layers, all at one moisture (percent wet basis) and temperature.
    ///
    /// `mass_kg_m2` is the wet mass over each m2 of floor.
    pub fn uniform(grain: BedGrain, count: usize, mass_kg_m2: f64, m_wb_pct: f64, t_c: f64) -> Self {
        let m_dd = m_wb_pct / (100.0 - m_wb_pct);
        let dry_kg_m2 = mass_kg_m2 / (1.0 + m_dd) / count as f64;
        Self { grain, layers: vec![Layer { dry_kg_m2, m_dd, t_c }; count] }
    }

    /// A bed of `count` layers of equal dry matter from loads in the order they went in: (wet kg/m2, % wet basis, C).
    ///
    /// A layer that spans two loads takes its share of each; heat is shared by heat capacity.
    pub fn from_loads(grain: BedGrain, count: usize, loads: &[(f64, f64, f64)]) -> Self {
        let dry = |l: &(f64, f64, f64)| l.0 * (1.0 - l.1 / 100.0);
        let each = loads.iter().map(dry).sum::<f64>() / count as f64;
        let mut layers = Vec::with_capacity(count);
        let (mut d, mut water, mut heat, mut capacity) = (0.0, 0.0, 0.0, 0.0);
        for load in loads {
            let m = load.1 / (100.0 - load.1);
            let c = grain.heat_base + grain.heat_slope * m;
            let mut left = dry(load);
            while left > 0.0 {
                let take = left.min(each - d);
                (d, water) = (d + take, water + take * m);
                (heat, capacity) = (heat + take * c * load.2, capacity + take * c);
                left -= take;
                if d >= each * (1.0 - 1e-12) && layers.len() < count {
                    layers.push(Layer { dry_kg_m2: d, m_dd: water / d, t_c: heat / capacity });
                    (d, water, heat, capacity) = (0.0, 0.0, 0.0, 0.0);
                } else if take <= 0.0 {
                    break;
                }
            }
        }
        Self { grain, layers }
    }

    /// Passes `air_kg_m2` of dry air up through the bed and returns the air that leaves the top.
    pub fn step(&mut self, inlet: Air, air_kg_m2: f64, pressure_pa: f64) -> Air {
        let mut air = inlet;
        if air_kg_m2 <= 0.0 {
            return air;
        }
        for layer in &mut self.layers {
            let ratio = layer.dry_kg_m2 / air_kg_m2;
            let (m, out) = self.grain.settle(layer.m_dd, layer.t_c, air, ratio, pressure_pa);
            layer.m_dd = m;
            layer.t_c = out.t_c;
            air = out;
        }
        air
    }

    /// Dry matter over each m2, kg.
    pub fn dry_kg_m2(&self) -> f64 {
        self.layers.iter().map(|l| l.dry_kg_m2).sum()
    }

    /// Water in the grain over each m2, kg.
    pub fn water_kg_m2(&self) -> f64 {
        self.layers.iter().map(|l| l.dry_kg_m2 * l.m_dd).sum()
    }

    /// Heat in the grain over each m2 above 0 C, kJ.
    pub fn heat_kj_m2(&self) -> f64 {
        let g = &self.grain;
        self.layers.iter().map(|l| l.dry_kg_m2 * (g.heat_base + g.heat_slope * l.m_dd) * l.t_c).sum()
    }

    /// Average moisture, percent wet basis.
    pub fn mean_wb_pct(&self) -> f64 {
        let (water, dry) = (self.water_kg_m2(), self.dry_kg_m2());
        100.0 * water / (water + dry)
    }

    /// Average temperature, C, by dry matter.
    pub fn mean_c(&self) -> f64 {
        self.layers.iter().map(|l| l.dry_kg_m2 * l.t_c).sum::<f64>() / self.dry_kg_m2()
    }

    /// Warmest layer, C.
    pub fn warmest_c(&self) -> f64 {
        self.layers.iter().map(|l| l.t_c).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Top layer.
    ///
    /// # Panics
    /// When the bed has no layers.
    pub fn top(&self) -> &Layer {
        self.layers.last().expect("a bed has layers")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EmcTable, Grain};
    use proptest::prelude::*;
    use stook_measure::Reference;

    fn grain(g: Grain) -> BedGrain {
        let r = Reference::shipped();
        BedGrain::new(EmcTable::from_reference(&r).best(g).unwrap(), &Properties::from_reference(&r, g))
    }

    #[test]
    fn loads_go_in_from_the_floor_up_and_nothing_is_lost() {
        let g = grain(Grain::HardWheat);
        let loads = [(1200.0, 13.0, 25.0), (700.0, 16.5, 18.0), (333.0, 19.0, 12.0)];
        let bed = Bed::from_loads(g, 30, &loads);
        assert_eq!(bed.layers.len(), 30);
        let water: f64 = loads.iter().map(|l| l.0 * l.1 / 100.0).sum();
        let dry: f64 = loads.iter().map(|l| l.0).sum::<f64>() - water;
        assert!((bed.water_kg_m2() - water).abs() < 1e-9 * water);
        assert!((bed.dry_kg_m2() - dry).abs() < 1e-9 * dry);
        assert!(bed.top().m_wb_pct() > 18.9 && bed.layers[0].m_wb_pct() < 13.1);
    }

    #[test]
    fn every_equation_settles_on_its_own_isotherm() {
        for g in [Grain::HardWheat, Grain::Oats, Grain::Canola, Grain::Soybean] {
            let mut bed = Bed::uniform(grain(g), 10, 2000.0, 14.0, 20.0);
            let air = Air::new(15.0, 0.6, 95_000.0);
            for _ in 0..5000 {
                bed.step(air, 40.0, 95_000.0);
            }
            let l = bed.layers[0];
            assert!(
                (l.t_c - 15.0).abs() < 0.01 && (bed.grain.erh(l.m_dd, l.t_c) - 0.6).abs() < 1e-4,
                "{l:?}"
            );
        }
    }

    #[test]
    fn finer_steps_agree() {
        // An hour in one step or in four: the drying of wheat hardly changes.
        let days = |per_hour: u32| {
            let mut bed = Bed::uniform(grain(Grain::HardWheat), 20, 3000.0, 18.0, 20.0);
            let air = Air::new(16.67, 0.56, 101_325.0);
            let mut steps = 0;
            while bed.top().m_wb_pct() > 13.5 {
                bed.step(air, 160.0 / f64::from(per_hour), 101_325.0);
                steps += 1;
            }
            f64::from(steps) / f64::from(per_hour) / 24.0
        };
        assert!((days(1) / days(4) - 1.0).abs() < 0.02, "{} {}", days(1), days(4));
    }

    proptest! {
        #[test]
        fn water_and_heat_close_and_states_stay_physical(
            m in 9.0..28.0f64, t in -15.0..40.0f64, n in 5usize..30,
            hours in proptest::collection::vec((-25.0..35.0f64, 0.15..1.0f64, 0.0..300.0f64), 1..60),
        ) {
            for which in [Grain::HardWheat, Grain::Canola] {
                let mut bed = Bed::uniform(grain(which), n, 3000.0, m, t);
                let (water0, heat0) = (bed.water_kg_m2(), bed.heat_kj_m2());
                let (mut water, mut heat) = (0.0, 0.0);
                for &(tc, rh, air_kg) in &hours {
                    let p = 94_300.0;
                    let inlet = Air::new(tc, rh, p);
                    let out = bed.step(inlet, air_kg, p);
                    if air_kg > 0.0 {
                        water += air_kg * (inlet.w - out.w);
                        heat += air_kg * (inlet.enthalpy() - out.enthalpy());
                        prop_assert!(out.w > 0.0 && out.rh(p) < 1.0 + 1e-6);
                    }
                }
                prop_assert!((bed.water_kg_m2() - water0 - water).abs() < 1e-6 * water0);
                prop_assert!((bed.heat_kj_m2() - heat0 - heat).abs() < 1e-6 * (heat0.abs() + 1e5));
                for l in &bed.layers {
                    prop_assert!(l.m_dd > 0.0 && (-60.0..80.0).contains(&l.t_c), "{l:?}");
                }
            }
        }

        #[test]
        fn air_drier_than_the_grain_cools_it(m in 10.0..20.0f64, t in -5.0..35.0f64, rh in 0.2..0.95f64) {
            let g = grain(Grain::HardWheat);
            let air = Air::new(t, rh, 95_000.0);
            let m_dd = m / (100.0 - m);
            let land = g.landing(m_dd, air, 95_000.0);
            prop_assert!((land.enthalpy() - air.enthalpy()).abs() < 1e-9);
            prop_assert!((land.rh(95_000.0) - g.erh(m_dd, land.t_c)).abs() < 1e-5);
            prop_assert_eq!(land.t_c < t, rh < g.erh(m_dd, t));
        }
    }
}
