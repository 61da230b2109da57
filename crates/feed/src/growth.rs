//! Growth, intake and the feed a group will take.

use crate::FeedParams;
use crate::need::{self, Phase, Sex};

/// Metabolizable energy taken a day, kcal, by a growing pig of `kg`. Valid from about 20 kg (NRC 2012 after Bridges, from
/// memory; averaged over each range it gives the table within 2 %).
pub fn me_intake_kcal_d(p: &FeedParams, sex: Sex, kg: f64) -> f64 {
    let (a, b, c) = match sex {
        Sex::Mixed => (p.mixed_a, p.mixed_b, p.mixed_c),
        Sex::Gilt => (p.gilt_a, p.gilt_b, p.gilt_c),
        Sex::Barrow => (p.barrow_a, p.barrow_b, p.barrow_c),
    };
    a * (1.0 - (-(-b).exp() * kg.powf(c)).exp())
}

/// Time and feed over a stretch of weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Days.
    pub days: f64,
    /// Feed with waste, kg.
    pub feed_kg: f64,
}

/// The table's row at a weight: gain kg/d, feed kg/d.
fn daily(kg: f64) -> (f64, f64) {
    let phase = Phase::at_kg(kg);
    let r = need::row(phase.key()).expect("growing phases are rows");
    (r.adg_g_d.unwrap_or(800.0) / 1000.0, r.feed_incl_5pct_waste_g_d.unwrap_or(2500.0) / 1000.0)
}

/// Days and feed from one weight to another by the table's gains, with the farm's own factors.
///
/// `gain_factor` is own gain over the table's, `feed_factor` own feed for gain over the table's.
pub fn stretch(p: &FeedParams, from_kg: f64, to_kg: f64) -> Stretch {
    let mut s = Stretch { days: 0.0, feed_kg: 0.0 };
    let mut at = from_kg;
    while at < to_kg - 1e-9 {
        let phase_end = Phase::at_kg(at).kg().map_or(to_kg, |(_, b)| b);
        let end = if phase_end > at { phase_end.min(to_kg) } else { to_kg };
        let (gain, feed) = daily(at);
        let days = (end - at) / gain;
        s.days += days / p.gain_factor;
        s.feed_kg += days * feed * p.feed_factor;
        at = end;
    }
    s
}

/// Weight after `days`, kg, by the table's gains, not above the end of the table.
pub fn weight_after(p: &FeedParams, kg: f64, days: f64) -> f64 {
    let (mut at, mut left) = (kg, days);
    while left > 1e-9 {
        let (gain, _) = daily(at);
        let gain = gain * p.gain_factor;
        let end = Phase::at_kg(at).kg().map_or(f64::INFINITY, |(_, b)| b);
        let end = if end > at { end } else { f64::INFINITY };
        let need = (end - at) / gain;
        let step = left.min(need);
        at += gain * step;
        left -= step;
    }
    at
}

/// Feed taken a day by one pig of `kg`, with waste, kg.
///
/// From 25 kg by the intake curve of its sex over the diet's energy; below by the table.
pub fn feed_kg_d(p: &FeedParams, sex: Sex, kg: f64, me_kcal_kg: f64) -> f64 {
    let feed = if kg < 25.0 {
        daily(kg).1
    } else {
        me_intake_kcal_d(p, sex, kg) / ((1.0 - p.wasted_share) * me_kcal_kg)
    };
    feed * p.feed_factor * p.gain_factor
}

/// Feed a day of a sow, kg, by her day in the cycle.
pub fn sow_kg_d(p: &FeedParams, phase: Phase, day_in_pig: f64) -> f64 {
    match phase {
        Phase::Lactation => p.lactation_kg_d,
        _ if day_in_pig > 90.0 => p.late_kg_d,
        _ => p.early_kg_d,
    }
}

/// Litters a sow has in a year.
pub fn litters_per_sow(p: &FeedParams) -> f64 {
    365.0 / (p.gestation_days + p.lactation_days + p.empty_days)
}

/// Feed of one sow in a year, kg: in pig, in milk, empty.
pub fn sow_year(p: &FeedParams) -> (f64, f64) {
    let in_pig = 90.0 * p.early_kg_d + (p.gestation_days - 90.0) * p.late_kg_d + p.empty_days * p.empty_kg_d;
    let litters = litters_per_sow(p);
    (litters * in_pig, litters * p.lactation_days * p.lactation_kg_d)
}

/// Feed for gain and cost of a group when it is sold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closeout {
    /// Feed for each kg of gain.
    pub feed_per_gain: f64,
    /// What the table gives for it.
    pub table_feed_per_gain: f64,
    /// Own over table: the next budget's factor.
    pub feed_factor: f64,
    /// Gain a day, kg.
    pub gain_kg_d: f64,
    /// Own over table.
    pub gain_factor: f64,
}

/// Closes a group out: `head_in` at `kg_in` to `head_out` at `kg_out` in `days` on `feed_kg` in all. Deaths count half the gain.
pub fn closeout(
    p: &FeedParams,
    head_in: f64,
    kg_in: f64,
    head_out: f64,
    kg_out: f64,
    days: f64,
    feed_kg: f64,
) -> Closeout {
    let dead = (head_in - head_out).max(0.0);
    let gain = head_out * (kg_out - kg_in);
    let plain = FeedParams { gain_factor: 1.0, feed_factor: 1.0, ..*p };
    let table = stretch(&plain, kg_in, kg_out);
    let table_fg = table.feed_kg / (kg_out - kg_in);
    let fg = feed_kg / (gain + dead * (kg_out - kg_in) / 2.0);
    let gain_d = (kg_out - kg_in) / days;
    let table_gain = (kg_out - kg_in) / table.days;
    Closeout {
        feed_per_gain: fg,
        table_feed_per_gain: table_fg,
        feed_factor: fg / table_fg,
        gain_kg_d: gain_d,
        gain_factor: gain_d / table_gain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn stretches_add_and_weights_come_back(a in 5.0..60.0_f64, b in 5.0..60.0_f64, c in 0.0..40.0_f64) {
            let p = FeedParams::shipped();
            let (from, mid, to) = (a.min(b), a.max(b), a.max(b) + c);
            let (x, y, z) = (stretch(p, from, mid), stretch(p, mid, to), stretch(p, from, to));
            prop_assert!((x.days + y.days - z.days).abs() < 1e-6);
            prop_assert!((x.feed_kg + y.feed_kg - z.feed_kg).abs() < 1e-6);
            prop_assert!((weight_after(p, from, z.days) - to).abs() < 1e-6);
        }

        #[test]
        fn heavier_pigs_eat_more(kg in 25.0..130.0_f64) {
            let p = FeedParams::shipped();
            for sex in [Sex::Mixed, Sex::Gilt, Sex::Barrow] {
                prop_assert!(feed_kg_d(p, sex, kg + 1.0, 3300.0) > feed_kg_d(p, sex, kg, 3300.0));
            }
        }
    }

    #[test]
    fn a_group_on_the_table_closes_at_one() {
        let p = FeedParams::shipped();
        let s = stretch(p, 25.0, 120.0);
        let c = closeout(p, 100.0, 25.0, 100.0, 120.0, s.days, 100.0 * s.feed_kg);
        assert!((c.feed_factor - 1.0).abs() < 1e-9 && (c.gain_factor - 1.0).abs() < 1e-9);
    }
}
