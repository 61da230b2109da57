//! Insects against temperature, and the signs of grain going out of condition.

use stook_measure::Reference;

/// Days of grain held cold that kill all stages, by temperature (Canadian Grain Commission): the whole mass must be
/// this cold. Warmest first.
const COLD_KILLS: [(f64, f64); 4] = [(-5.0, 84.0), (-10.0, 56.0), (-15.0, 28.0), (-20.0, 7.0)];

/// Days at `t_c` that kill all insects; `None` when it is not cold enough.
///
/// Straight between the published points; colder than the last counts as the last.
pub fn cold_kill_days(t_c: f64) -> Option<f64> {
    if t_c > COLD_KILLS[0].0 {
        return None;
    }
    let last = COLD_KILLS[COLD_KILLS.len() - 1];
    Some(
        COLD_KILLS
            .windows(2)
            .find(|w| t_c >= w[1].0)
            .map_or(last.1, |w| w[0].1 + (t_c - w[0].0) / (w[1].0 - w[0].0) * (w[1].1 - w[0].1)),
    )
}

/// Share of an insect kill reached over days at given temperatures; 1 kills.
pub fn cold_kill_share(daily_c: impl IntoIterator<Item = f64>) -> f64 {
    daily_c.into_iter().filter_map(cold_kill_days).map(|days| 1.0 / days).sum()
}

/// What insects can do at a temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Insects {
    /// Cold enough to kill them in weeks.
    Dying,
    /// Dormant.
    Dormant,
    /// Alive but not laying or developing.
    Still,
    /// Feeding begins.
    Slow,
    /// Feeding and breeding.
    Breeding,
}

impl Insects {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Dying => "cold kills them in weeks",
            Self::Dormant => "dormant",
            Self::Still => "no laying or development",
            Self::Slow => "slow: too cool to feed and breed",
            Self::Breeding => "feeding and breeding",
        }
    }
}

/// A reading of carbon dioxide, in what it asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Alarm {
    /// Nothing to do.
    Fine,
    /// Run the fan and read again.
    Cool,
    /// Spoilage likely: unload what can be unloaded, check without entering.
    Unload,
    /// Spoilage certain.
    Spoiled,
}

impl Alarm {
    /// What to do, in a sentence. Never says to go in.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fine => "nothing out of order in this reading",
            Self::Cool => "run the fan now and read again; check without entering",
            Self::Unload => "something is spoiling: start unloading, keep people out, check without entering",
            Self::Spoiled => {
                "grain is spoiling for certain: unload, keep people out; the air in the bin may not be fit to breathe"
            }
        }
    }
}

/// Thresholds of insects and signs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PestParams {
    feeding_c: f64,
    laying_c: f64,
    dormant_c: f64,
    co2_cool_ppm: f64,
    co2_problem_ppm: f64,
    co2_unload_ppm: f64,
    co2_certain_ppm: f64,
    heating_c_week: f64,
}

impl PestParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            feeding_c: r.get("grain.insects.feeding_c"),
            laying_c: r.get("grain.insects.laying_c"),
            dormant_c: r.get("grain.insects.dormant_c"),
            co2_cool_ppm: r.get("grain.signs.co2_cool_ppm"),
            co2_problem_ppm: r.get("grain.signs.co2_problem_ppm"),
            co2_unload_ppm: r.get("grain.signs.co2_unload_ppm"),
            co2_certain_ppm: r.get("grain.signs.co2_certain_ppm"),
            heating_c_week: r.get("grain.signs.heating_c_week"),
        }
    }

    /// What insects can do in grain at `t_c`.
    pub fn insects(&self, t_c: f64) -> Insects {
        if t_c <= COLD_KILLS[0].0 {
            Insects::Dying
        } else if t_c < self.dormant_c {
            Insects::Dormant
        } else if t_c < self.laying_c {
            Insects::Still
        } else if t_c < self.feeding_c {
            Insects::Slow
        } else {
            Insects::Breeding
        }
    }

    /// What a carbon dioxide reading (ppm, in the first flush of air) asks for.
    pub fn co2(&self, ppm: f64, rising: bool) -> Alarm {
        if ppm >= self.co2_certain_ppm {
            Alarm::Spoiled
        } else if ppm > self.co2_unload_ppm {
            Alarm::Unload
        } else if ppm >= self.co2_problem_ppm || (rising && ppm >= self.co2_cool_ppm) {
            Alarm::Cool
        } else {
            Alarm::Fine
        }
    }

    /// What two readings of a cable ask for, fan off between them: heating is a rise while it is no warmer outside.
    pub fn cable(&self, was_c: f64, is_c: f64, days: f64, outside_change_c: f64) -> Alarm {
        let rise = (is_c - was_c) / days.max(0.1) * 7.0;
        if rise > self.heating_c_week && outside_change_c <= 0.0 { Alarm::Cool } else { Alarm::Fine }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cold_kills_by_the_published_points() {
        for (t, d) in COLD_KILLS {
            assert_eq!(cold_kill_days(t), Some(d));
        }
        assert_eq!(cold_kill_days(-2.0), None);
        assert_eq!(cold_kill_days(-35.0), Some(7.0));
        assert_eq!(cold_kill_days(-12.5), Some(42.0));
        assert!((cold_kill_share([-10.0; 56]) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn alarms_never_send_anyone_in() {
        let p = PestParams::from_reference(&Reference::shipped());
        assert_eq!(p.co2(450.0, true), Alarm::Fine);
        assert_eq!(p.co2(700.0, true), Alarm::Cool);
        assert_eq!(p.co2(700.0, false), Alarm::Fine);
        assert_eq!(p.co2(1600.0, false), Alarm::Unload);
        assert_eq!(p.co2(3000.0, false), Alarm::Spoiled);
        assert_eq!(p.cable(12.0, 16.0, 7.0, -3.0), Alarm::Cool);
        assert_eq!(p.cable(12.0, 16.0, 7.0, 8.0), Alarm::Fine);
        for a in [Alarm::Cool, Alarm::Unload, Alarm::Spoiled] {
            assert!(!a.words().contains("enter the"), "{}", a.words());
        }
        assert_eq!(p.insects(20.0), Insects::Breeding);
        assert_eq!(p.insects(-6.0), Insects::Dying);
    }
}
