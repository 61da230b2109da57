//! Dry matter lost by shelled corn, and its second-opinion storage life.

use stook_measure::units::{c_to_f, moisture_wb_to_db_pct};

/// Hours at reference conditions (60 F, 25 %, 30 % damage) after which a dry matter loss is reached are multiplied by
/// this at other moisture, temperature and damage: MM x MT x MD (Saul and Steele; Thompson 1972; ASABE D535; from
/// memory, reproduces 230 h to 0.5 % and 51 days at 20 % and 50 F).
///
/// Valid for 15 to 30 % and about 0 to 45 C.
pub fn multiplier(m_wb_pct: f64, t_c: f64, damage_pct: f64) -> f64 {
    let md = moisture_wb_to_db_pct(m_wb_pct);
    let f = c_to_f(t_c);
    let moisture = 0.103 * ((455.0 / md.powf(1.53)).exp() - 0.00845 * md + 1.558);
    let damage = 2.08 * (-0.0239 * damage_pct).exp();
    let mut temperature = 32.3 * (-3.48 * f / 60.0).exp();
    if f > 60.0 && m_wb_pct > 19.0 {
        let weight = if m_wb_pct <= 28.0 { (m_wb_pct - 19.0) / 100.0 } else { 0.09 };
        temperature += weight * (0.61 * (f - 60.0) / 60.0).exp();
    }
    moisture * temperature * damage
}

/// Dry matter lost, percent, after `hours` at reference conditions.
pub fn loss_pct(reference_hours: f64) -> f64 {
    0.0884 * (0.006 * reference_hours).exp_m1() + 0.00102 * reference_hours
}

/// Reference hours at which a loss is reached: the inverse of [`loss_pct`].
pub fn hours_to_loss(pct: f64) -> f64 {
    let (mut low, mut high) = (0.0, 5_000.0);
    for _ in 0..80 {
        let mid = f64::midpoint(low, high);
        if loss_pct(mid) < pct { low = mid } else { high = mid }
    }
    f64::midpoint(low, high)
}

/// Days until corn has lost `limit_pct` of its dry matter at steady conditions.
pub fn days_to_loss(m_wb_pct: f64, t_c: f64, damage_pct: f64, limit_pct: f64) -> f64 {
    hours_to_loss(limit_pct) * multiplier(m_wb_pct, t_c, damage_pct) / 24.0
}

/// Carbon dioxide given off, g for each kg of dry matter, at a dry matter loss.
pub fn co2_g_kg(loss_pct: f64) -> f64 {
    14.7 * loss_pct
}

/// Storage life of shelled corn, days (Adams and Rosentrater, from published tables). Longer than the cereal table.
pub fn days_adams_rosentrater(m_wb_pct: f64, t_c: f64) -> f64 {
    (2.646_61 - 0.140_96 * t_c + 1_183.719_96 / (m_wb_pct * m_wb_pct)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn hours_and_loss_are_inverse(pct in 0.01..3.0f64) {
            prop_assert!((loss_pct(hours_to_loss(pct)) - pct).abs() < 1e-9);
        }

        #[test]
        fn warmer_spoils_sooner(m in 16.0..28.0f64, t in 0.0..25.0f64) {
            prop_assert!(days_to_loss(m, t + 3.0, 30.0, 0.5) < days_to_loss(m, t, 30.0, 0.5));
            prop_assert!(days_to_loss(m + 1.0, t, 30.0, 0.5) < days_to_loss(m, t, 30.0, 0.5));
        }
    }
}
