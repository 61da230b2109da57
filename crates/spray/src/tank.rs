//! Tank mixes: how many fills, what goes in each, what the last part-tank takes.

use serde::{Deserialize, Serialize};

/// What is to be sprayed, and the tank.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// Area, ha.
    pub area_ha: f64,
    /// Water and product together, L/ha.
    pub water_l_ha: f64,
    /// What the tank is filled to, L.
    pub tank_l: f64,
    /// Mix of the same kind still in the tank, L.
    pub left_l: f64,
    /// All fills the same, instead of full ones and a last part.
    pub even: bool,
}

/// How a rate is given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// A liquid, L/ha.
    LPerHa(f64),
    /// A dry product, kg/ha; it takes no room in the tank worth counting.
    KgPerHa(f64),
    /// A share of the tank, %.
    PercentOfTank(f64),
}

/// One product of the mix.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Its rate.
    pub per: Per,
}

impl Part {
    /// What a volume of mix needs of it: L of a liquid, kg of a dry product.
    pub fn in_mix(&self, mix_l: f64, water_l_ha: f64) -> f64 {
        match self.per {
            Per::LPerHa(x) | Per::KgPerHa(x) => x * mix_l / water_l_ha,
            Per::PercentOfTank(pct) => mix_l * pct / 100.0,
        }
    }

    /// Room it takes in the tank, L.
    fn room(&self, amount: f64) -> f64 {
        if matches!(self.per, Per::KgPerHa(_)) { 0.0 } else { amount }
    }
}

/// One fill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fill {
    /// Mix made in it, L.
    pub mix_l: f64,
    /// Area it goes for, with what was left in the tank for the first, ha.
    pub area_ha: f64,
    /// Area done when it is empty, ha.
    pub done_ha: f64,
    /// Water, L.
    pub water_l: f64,
    /// Each product, L or kg.
    pub parts: Vec<f64>,
}

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// Mix for the whole job, L, what is left in the tank counted.
    pub mix_l: f64,
    /// Area a full tank goes for, ha.
    pub ha_per_tank: f64,
    /// Fills in order.
    pub fills: Vec<Fill>,
    /// Each product for the fills, L or kg.
    pub totals: Vec<f64>,
    /// Water for the fills, L.
    pub water_l: f64,
}

/// Why a sheet cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// The area, the water or the tank is nothing.
    Nothing,
    /// The products alone fill more than the mix.
    NoRoomForWater,
    /// More fills than a person would make.
    TooMany,
}

impl Trouble {
    /// In a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nothing => "Area, water and tank must all be more than nothing.",
            Self::NoRoomForWater => {
                "The products come to more than the whole mix, with no room for water: check each rate and its unit."
            }
            Self::TooMany => "That is over 500 fills; check the tank and the area.",
        }
    }
}

/// A hair's breadth that does not make another fill, L.
const HAIR_L: f64 = 1e-6;
const MOST_FILLS: f64 = 500.0;

/// What goes in each tank.
///
/// # Errors
/// When the figures make no sheet.
pub fn fills(job: &Job, parts: &[Part]) -> Result<Sheet, Trouble> {
    if !(job.area_ha > 0.0 && job.water_l_ha > 0.0 && job.tank_l > 0.0 && job.left_l >= 0.0) {
        return Err(Trouble::Nothing);
    }
    let mix_l = job.area_ha * job.water_l_ha;
    let to_make = (mix_l - job.left_l).max(0.0);
    if (to_make - HAIR_L) / job.tank_l > MOST_FILLS {
        return Err(Trouble::TooMany);
    }
    let n = ((to_make - HAIR_L) / job.tank_l).ceil().max(0.0) as usize;
    let mut made = Vec::with_capacity(n);
    let mut done_ha = job.left_l.min(mix_l) / job.water_l_ha;
    let before = done_ha;
    for i in 0..n {
        let mix =
            if job.even { to_make / n as f64 } else { (to_make - job.tank_l * i as f64).min(job.tank_l) };
        let amounts: Vec<f64> = parts.iter().map(|p| p.in_mix(mix, job.water_l_ha)).collect();
        let room: f64 = parts.iter().zip(&amounts).map(|(p, x)| p.room(*x)).sum();
        if room >= mix {
            return Err(Trouble::NoRoomForWater);
        }
        let area = mix / job.water_l_ha + if i == 0 { before } else { 0.0 };
        done_ha += mix / job.water_l_ha;
        made.push(Fill { mix_l: mix, area_ha: area, done_ha, water_l: mix - room, parts: amounts });
    }
    let totals = (0..parts.len()).map(|k| made.iter().map(|f| f.parts[k]).sum()).collect();
    let water_l = made.iter().map(|f| f.water_l).sum();
    Ok(Sheet { mix_l, ha_per_tank: job.tank_l / job.water_l_ha, fills: made, totals, water_l })
}

/// Containers to open for an amount, and what stays in the last; none without a size.
pub fn containers(amount: f64, holds: f64) -> Option<(u32, f64)> {
    if !(holds > 0.0 && amount >= 0.0) {
        return None;
    }
    let n = (amount / holds - 1e-9).ceil().max(0.0);
    Some((n as u32, (n * holds - amount).max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const JOB: Job = Job { area_ha: 57.0, water_l_ha: 94.0, tank_l: 4500.0, left_l: 0.0, even: false };

    #[test]
    fn a_last_part_tank_takes_its_share() {
        let parts = [
            Part { per: Per::LPerHa(2.0) },
            Part { per: Per::KgPerHa(0.03) },
            Part { per: Per::PercentOfTank(0.25) },
        ];
        let s = fills(&JOB, &parts).unwrap();
        assert_eq!(s.fills.len(), 2);
        assert!((s.fills[1].mix_l - 858.0).abs() < 1e-9);
        assert!((s.totals[0] - 114.0).abs() < 1e-9 && (s.totals[1] - 1.71).abs() < 1e-9);
        assert!((s.totals[2] - 13.395).abs() < 1e-9);
        // The dry product takes no room: water, liquid and adjuvant fill the tank.
        let f = &s.fills[0];
        assert!((f.water_l + f.parts[0] + f.parts[2] - f.mix_l).abs() < 1e-9);
        assert!((s.fills[1].done_ha - 57.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_left_in_the_tank_counts_as_mix() {
        let s = fills(&Job { left_l: 858.0, ..JOB }, &[Part { per: Per::LPerHa(2.0) }]).unwrap();
        assert_eq!(s.fills.len(), 1);
        assert!((s.fills[0].area_ha - 57.0).abs() < 1e-9, "the first fill goes on from what was there");
        let none = fills(&Job { left_l: 9_000.0, ..JOB }, &[]).unwrap();
        assert!(none.fills.is_empty() && none.water_l == 0.0);
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(fills(&Job { tank_l: 0.0, ..JOB }, &[]), Err(Trouble::Nothing));
        assert_eq!(fills(&Job { area_ha: f64::NAN, ..JOB }, &[]), Err(Trouble::Nothing));
        assert_eq!(fills(&JOB, &[Part { per: Per::LPerHa(120.0) }]), Err(Trouble::NoRoomForWater));
        assert_eq!(fills(&Job { tank_l: 1.0, ..JOB }, &[]), Err(Trouble::TooMany));
    }

    #[test]
    fn containers_are_whole() {
        assert_eq!(containers(114.0, 10.0), Some((12, 6.0)));
        assert_eq!(containers(20.0, 10.0), Some((2, 0.0)));
        assert_eq!(containers(5.0, 0.0), None);
    }

    proptest! {
        #[test]
        fn the_fills_add_up_to_the_job(
            area in 1.0..400.0f64, water in 20.0..300.0f64, tank in 400.0..9000.0f64, left in 0.0..2000.0f64,
            rate in 0.01..5.0f64, pct in 0.05..2.0f64, even in any::<bool>(),
        ) {
            let job = Job { area_ha: area, water_l_ha: water, tank_l: tank, left_l: left, even };
            let parts = [Part { per: Per::LPerHa(rate) }, Part { per: Per::PercentOfTank(pct) }];
            let s = fills(&job, &parts).unwrap();
            let made: f64 = s.fills.iter().map(|f| f.mix_l).sum();
            prop_assert!((made - (s.mix_l - left).max(0.0)).abs() < 1e-6 * s.mix_l.max(1.0));
            for f in &s.fills {
                prop_assert!(f.mix_l <= tank + 1e-6 && f.water_l > 0.0);
                let all: f64 = f.water_l + f.parts.iter().sum::<f64>();
                prop_assert!((all - f.mix_l).abs() < 1e-6 * f.mix_l);
            }
            if let Some(last) = s.fills.last() {
                prop_assert!((last.done_ha - area).abs() < 1e-6 * area);
                prop_assert!((s.totals[0] - rate * (area - left / water)).abs() < 1e-6 * area);
            }
        }
    }
}
