//! What readings say: alarms, sensors that have gone wrong, and when to read again.

use jiff::civil::{Date, DateTime};
use stook_grain::Grain;
use stook_grain::pests::Alarm as Sign;

use crate::answer::Alarm;
use crate::params::KeepParams;

/// What was seen of a bin of late.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Looked {
    /// Mean temperatures read: when, C, and whether the fan ran since the one before.
    pub temperatures: Vec<(DateTime, f64, bool)>,
    /// Warmest place at the last reading: C and where.
    pub warmest: Option<(f64, String)>,
    /// Carbon dioxide, ppm.
    pub co2: Vec<(DateTime, f64)>,
    /// The last smell, other than clean, and when.
    pub smell: Option<(DateTime, String)>,
    /// Anything seen in words, and when.
    pub seen: Option<(DateTime, String)>,
    /// Mean outdoor temperature by day, for the days between readings.
    pub outside: Vec<(Date, f64)>,
}

impl Looked {
    /// The last time anything was read.
    pub fn last(&self) -> Option<DateTime> {
        let t = self.temperatures.last().map(|x| x.0);
        let c = self.co2.last().map(|x| x.0);
        let s = self.smell.as_ref().map(|x| x.0);
        let w = self.seen.as_ref().map(|x| x.0);
        [t, c, s, w].into_iter().flatten().max()
    }

    /// Alarms, the worst first. None of them sends a person into a bin.
    pub fn alarms(&self, p: &KeepParams) -> Vec<Alarm> {
        let mut out: Vec<(u8, Alarm)> = Vec::new();
        if let Some((_, ppm)) = self.co2.last() {
            let rising = self.co2.len() >= 2 && self.co2[self.co2.len() - 2].1 < *ppm - 50.0;
            let sign = p.pests.co2(*ppm, rising);
            if sign != Sign::Fine {
                out.push((
                    rank(sign),
                    Alarm {
                        sign: format!(
                            "Carbon dioxide {ppm:.0} ppm{}.",
                            if rising { " and rising" } else { "" }
                        ),
                        act: said(sign),
                        urgent: sign >= Sign::Unload,
                    },
                ));
            }
        }
        if let Some((_, smell)) = &self.smell {
            out.push((2, Alarm {
                sign: format!("It smelled {smell}."),
                act: "Run the fan now and smell the air that comes out; if it stays, start moving the grain out. Check from outside.".into(),
                urgent: true,
            }));
        }
        if let [.., (d0, t0, _), (d1, t1, fan_ran)] = self.temperatures.as_slice()
            && !fan_ran
        {
            let days = d1.duration_since(*d0).as_hours() as f64 / 24.0;
            let outside = self.outside_change(d0.date(), d1.date());
            if days > 0.4 && p.pests.cable(*t0, *t1, days, outside) == Sign::Cool {
                out.push((2, Alarm {
                    sign: format!("It warmed from {t0:.0} to {t1:.0} C in {days:.0} days, fan off, while it got no warmer outside: it is heating by itself."),
                    act: "Run the fan now, day and night, and read it again tomorrow; if it does not fall, move the grain out. Check from outside.".into(),
                    urgent: true,
                }));
            }
        }
        out.sort_by_key(|a| std::cmp::Reverse(a.0));
        out.into_iter().map(|a| a.1).collect()
    }

    fn outside_change(&self, from: Date, to: Date) -> f64 {
        let near = |d: Date| {
            let days: Vec<f64> =
                self.outside.iter().filter(|(x, _)| (*x - d).get_days().abs() <= 1).map(|x| x.1).collect();
            (!days.is_empty()).then(|| days.iter().sum::<f64>() / days.len() as f64)
        };
        near(to).zip(near(from)).map_or(0.0, |(b, a)| b - a)
    }
}

fn rank(s: Sign) -> u8 {
    match s {
        Sign::Fine => 0,
        Sign::Cool => 1,
        Sign::Unload => 3,
        Sign::Spoiled => 4,
    }
}

/// A sign's words as a sentence of its own.
fn said(s: Sign) -> String {
    let mut letters = s.words().chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).chain(['.']).collect())
}

/// The day to read the bin again by: sooner in its first two months and while it is warm.
pub fn due(
    p: &KeepParams,
    grain: Grain,
    filled: Option<Date>,
    last: Option<Date>,
    mean_c: f64,
    today: Date,
) -> Option<Date> {
    let [first, warm, winter, canola] = p.walk_days;
    let age = filled.map_or(365, |f| (today - f).get_days());
    let days = match () {
        () if grain == Grain::Canola && age <= 42 => canola,
        () if age <= 60 => first,
        () if mean_c > 5.0 => warm,
        () => winter,
    };
    let from = last.or(filled)?;
    from.checked_add(jiff::Span::new().days(days as i64)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::tests::params;
    use jiff::civil::date;

    fn at(d: i8) -> DateTime {
        date(2026, 9, d).at(20, 0, 0, 0)
    }

    #[test]
    fn gas_smell_and_heating_are_said_and_no_one_is_sent_in() {
        let p = params();
        let mut l = Looked { co2: vec![(at(1), 480.0), (at(8), 1_700.0)], ..Looked::default() };
        l.smell = Some((at(8), "musty".into()));
        l.temperatures = vec![(at(1), 14.0, false), (at(8), 20.0, false)];
        l.outside = vec![(date(2026, 9, 1), 15.0), (date(2026, 9, 8), 11.0)];
        let alarms = l.alarms(&p);
        assert_eq!(alarms.len(), 3);
        assert!(alarms[0].sign.contains("1700 ppm and rising") && alarms[0].urgent);
        for a in &alarms {
            let act = a.act.to_lowercase();
            assert!(!act.contains("go in") && !act.contains("climb"), "{act}");
            assert!(
                act.contains("outside")
                    || act.contains("keep people out")
                    || act.contains("without entering"),
                "{act}"
            );
        }
        // Warmer outside, or a fan that ran: no alarm.
        l.outside[1].1 = 19.0;
        assert_eq!(l.alarms(&p).len(), 2);
        l.outside[1].1 = 11.0;
        l.temperatures[1].2 = true;
        assert_eq!(l.alarms(&p).len(), 2);
        assert!(Looked::default().alarms(&p).is_empty());
    }

    #[test]
    fn young_and_warm_bins_are_read_oftener() {
        let p = params();
        let today = date(2026, 9, 20);
        let due = |g, filled, mean| due(&p, g, Some(filled), None, mean, today).unwrap();
        let early = date(2026, 9, 1);
        assert!(due(Grain::Canola, early, 15.0) < due(Grain::HardWheat, early, 15.0));
        let old = date(2026, 3, 1);
        assert!(due(Grain::HardWheat, old, 12.0) < due(Grain::HardWheat, old, -3.0));
    }
}
