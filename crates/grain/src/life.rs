//! How long grain keeps: the cereal table, the wheat equation, the shorter of the two, and spending it.
//!
//! Storage life is cumulative: a day at given moisture and temperature spends 1/life of it. Air holds temperature
//! but adds no life, and grain already damaged starts with less. Below a month every figure may be twice too long.

use stook_measure::Reference;
use stook_measure::units::c_to_f;

use crate::grain::Grain;

/// Moistures of the table's rows, percent wet basis.
const ROWS_PCT: [f64; 8] = [14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 26.0, 30.0];
/// Temperatures of its columns, F.
const COLUMNS_F: [f64; 6] = [30.0, 40.0, 50.0, 60.0, 70.0, 80.0];
/// "Over 300 days" in the table: a floor, never a value to extend from.
pub const AT_LEAST_DAYS: f64 = 300.0;
/// Approximate allowable storage time of cereals, days (Hellevang, NDSU, slides 2019 and 2020).
const TABLE_DAYS: [[f64; 6]; 8] = [
    [300.0, 300.0, 300.0, 300.0, 200.0, 140.0],
    [300.0, 300.0, 300.0, 240.0, 125.0, 70.0],
    [300.0, 300.0, 230.0, 120.0, 70.0, 40.0],
    [300.0, 200.0, 90.0, 50.0, 30.0, 15.0],
    [300.0, 90.0, 50.0, 25.0, 14.0, 7.0],
    [190.0, 60.0, 30.0, 15.0, 8.0, 3.0],
    [90.0, 35.0, 12.0, 8.0, 5.0, 2.0],
    [60.0, 25.0, 5.0, 5.0, 3.0, 1.0],
];

/// A storage life.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Life {
    /// Days.
    pub days: f64,
    /// The true life is at least this: the source stops counting here.
    pub at_least: bool,
    /// Outside the range of the source.
    pub outside: bool,
}

/// Cereal storage life from the table, days, at `m_wb_pct` and `t_c`.
///
/// Between rows and columns the logarithm of days is interpolated. Drier than 14 % counts as 14 %, colder than 30 F
/// as 30 F (both floors); above 80 F life halves every 10 F; above 30 % it is that of 30 %, flagged as outside.
pub fn cereal_table(m_wb_pct: f64, t_c: f64) -> Life {
    let f = c_to_f(t_c);
    let (row, up) = place(&ROWS_PCT, m_wb_pct);
    let (column, right) = place(&COLUMNS_F, f);
    let ln = |r: usize, c: usize| TABLE_DAYS[r][c].ln();
    let low = ln(row, column) + right * (ln(row, column + 1) - ln(row, column));
    let high = ln(row + 1, column) + right * (ln(row + 1, column + 1) - ln(row + 1, column));
    let mut days = (low + up * (high - low)).exp();
    if f > 80.0 {
        days *= 0.5_f64.powf((f - 80.0) / 10.0);
    }
    let at_least = days >= AT_LEAST_DAYS * (1.0 - 1e-6) || m_wb_pct < ROWS_PCT[0] || f < COLUMNS_F[0];
    Life { days: days.min(AT_LEAST_DAYS), at_least, outside: m_wb_pct > 30.0 || f > 100.0 }
}

/// Index of the interval and share of the way through it, held to the ends.
fn place(at: &[f64], x: f64) -> (usize, f64) {
    let i = at.windows(2).position(|w| x < w[1]).unwrap_or(at.len() - 2);
    (i, ((x - at[i]) / (at[i + 1] - at[i])).clamp(0.0, 1.0))
}

/// Soybean life: the cereal table read `shift` points wetter (2 to be safe, 3 to reproduce the 2019 table).
pub fn soybean_table(m_wb_pct: f64, t_c: f64, shift_points: f64) -> Life {
    cereal_table(m_wb_pct + shift_points, t_c)
}

/// Wheat, days to 95 % germination (Fraser and Muir 1981, from memory): 12 to 24 % moisture.
///
/// Above 19 % never longer than at 19 %. Shorter than the table by 10 to 40 % at 16 to 20 %, yet 1.2 to 1.7 times longer than what was
/// measured on one hard red spring wheat (White et al. 2001).
pub fn fraser_muir(m_wb_pct: f64, t_c: f64) -> Life {
    let log = if m_wb_pct <= 19.0 {
        6.234 - 0.2118 * m_wb_pct - 0.0527 * t_c
    } else {
        // The second piece starts up to a tenth of a log unit above the first; wetter grain never keeps longer.
        (4.129 - 0.0997 * m_wb_pct - 0.0567 * t_c).min(6.234 - 0.2118 * 19.0 - 0.0527 * t_c)
    };
    Life {
        days: 10f64.powf(log),
        at_least: m_wb_pct < 12.0,
        outside: !(12.0..=24.0).contains(&m_wb_pct) || !(0.0..=40.0).contains(&t_c),
    }
}

/// Numbers behind storage life.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LifeParams {
    /// Points by which soybean is read wetter.
    pub soy_shift_points: f64,
    /// Factor by which short lives may be too long.
    pub short_days_factor: f64,
    /// Lives below this carry that factor, days.
    pub short_days: f64,
}

impl LifeParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            soy_shift_points: r.get("grain.life.soy_shift_points"),
            short_days_factor: r.get("grain.life.short_days_factor"),
            short_days: r.get("grain.life.short_days"),
        }
    }

    /// The life to go by: the table, and for wheat the shorter of table and equation.
    ///
    /// Canola, flax and peas have no confirmed life; `None`.
    pub fn verdict(&self, grain: Grain, m_wb_pct: f64, t_c: f64) -> Option<Life> {
        match grain {
            Grain::Canola | Grain::Flax | Grain::Peas => None,
            Grain::Soybean => Some(soybean_table(m_wb_pct, t_c, self.soy_shift_points)),
            g => {
                let table = cereal_table(m_wb_pct, t_c);
                if !g.is_wheat() || m_wb_pct < 12.0 {
                    return Some(table);
                }
                let second = fraser_muir(m_wb_pct, t_c);
                Some(if second.days < table.days { second } else { table })
            }
        }
    }

    /// Longest and shortest life that may be meant, days.
    pub fn range(&self, grain: Grain, m_wb_pct: f64, t_c: f64) -> Option<(f64, f64)> {
        let life = self.verdict(grain, m_wb_pct, t_c)?;
        let short = if life.days < self.short_days { life.days / self.short_days_factor } else { life.days };
        // Where the table stops counting, dry cool grain keeps longer than the floor: the equation says how long for
        // wheat, and for the rest there is no end within a storage year.
        let long = match (life.at_least, grain.is_wheat()) {
            (true, true) => fraser_muir(m_wb_pct, t_c).days.max(life.days),
            (true, false) => f64::INFINITY,
            (false, _) => life.days,
        };
        Some((short, long))
    }
}

/// Life spent so far, as a share of 1.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Spent {
    /// If every life is as long as may be.
    pub least: f64,
    /// By the verdict itself.
    pub likely: f64,
    /// If every life is as short as may be.
    pub most: f64,
}

impl Spent {
    /// Spends `days` at a moisture and temperature; nothing for grains without a confirmed life.
    pub fn spend(&mut self, p: &LifeParams, grain: Grain, m_wb_pct: f64, t_c: f64, days: f64) {
        let (Some(life), Some((short, long))) =
            (p.verdict(grain, m_wb_pct, t_c), p.range(grain, m_wb_pct, t_c))
        else {
            return;
        };
        self.least += days / long;
        // A floor is not a life: where the source stops counting, go by the long end.
        self.likely += days / if life.at_least { long } else { life.days };
        self.most += days / short;
    }

    /// Days left at a steady moisture and temperature: shortest, likely, longest. Spent life leaves nothing.
    pub fn left(&self, p: &LifeParams, grain: Grain, m_wb_pct: f64, t_c: f64) -> Option<[f64; 3]> {
        let life = p.verdict(grain, m_wb_pct, t_c)?;
        let (short, long) = p.range(grain, m_wb_pct, t_c)?;
        let rest = |spent: f64, days: f64| (1.0 - spent).max(0.0) * days;
        Some([rest(self.most, short), rest(self.likely, life.days), rest(self.least, long)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_measure::units::f_to_c;

    fn params() -> LifeParams {
        LifeParams::from_reference(&Reference::shipped())
    }

    #[test]
    fn every_printed_cell_comes_back() {
        for (row, m) in TABLE_DAYS.iter().zip(ROWS_PCT) {
            for (days, f) in row.iter().zip(COLUMNS_F) {
                let life = cereal_table(m, f_to_c(f));
                assert!((life.days - days).abs() < 1e-6, "{m} % {f} F");
                assert_eq!(life.at_least, *days >= 300.0);
            }
        }
    }

    #[test]
    fn no_life_is_invented_for_canola() {
        assert_eq!(params().verdict(Grain::Canola, 10.0, 20.0), None);
    }

    #[test]
    fn dry_cool_wheat_does_not_run_out_in_a_winter() {
        let mut spent = Spent::default();
        spent.spend(&params(), Grain::HardWheat, 13.0, 0.0, 270.0);
        assert!(spent.likely < 0.15 && spent.most > 0.8, "{spent:?}");
    }

    proptest! {
        #[test]
        fn wetter_or_warmer_never_keeps_longer(
            m in 10.0..32.0f64, t in -10.0..40.0f64, dm in 0.0..3.0f64, dt in 0.0..8.0f64,
        ) {
            for g in [Grain::HardWheat, Grain::Barley, Grain::Soybean] {
                let p = params();
                let here = p.verdict(g, m, t).unwrap().days;
                prop_assert!(p.verdict(g, m + dm, t).unwrap().days <= here * (1.0 + 1e-9));
                prop_assert!(p.verdict(g, m, t + dt).unwrap().days <= here * (1.0 + 1e-9));
            }
        }

        #[test]
        fn spending_is_the_same_in_parts(m in 14.0..24.0f64, t in 5.0..30.0f64, days in 0.1..50.0f64) {
            let (p, g) = (params(), Grain::Barley);
            let (mut whole, mut parts) = (Spent::default(), Spent::default());
            whole.spend(&p, g, m, t, days);
            for _ in 0..10 {
                parts.spend(&p, g, m, t, days / 10.0);
            }
            prop_assert!((whole.likely - parts.likely).abs() < 1e-9);
            prop_assert!(whole.least <= whole.likely && whole.likely <= whole.most + 1e-12);
        }
    }
}
