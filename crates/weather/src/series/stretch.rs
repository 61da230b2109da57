//! Which values of a filled series rest on no reading, as runs of days.

use jiff::civil::Date;

use super::{Filled, Marks, Rule};

/// A run of days in which one value was filled by one rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// What was filled.
    pub what: &'static str,
    /// How.
    pub rule: Rule,
}

const VALUES: [(&str, fn(&Marks) -> Rule); 6] = [
    ("highest temperature", |m| m.tmax),
    ("lowest temperature", |m| m.tmin),
    ("rain and snow", |m| m.precip),
    ("radiation", |m| m.radiation),
    ("humidity", |m| m.humidity),
    ("wind", |m| m.wind),
];

impl Filled {
    /// Every run of filled days, earliest first. Values reckoned from another reading of the same day are not filled.
    pub fn stretches(&self) -> Vec<Stretch> {
        let mut all: Vec<Stretch> = Vec::new();
        for (what, rule_of) in VALUES {
            let mut open: Option<Stretch> = None;
            let mut date = self.start;
            for marks in &self.marks {
                let rule = rule_of(marks);
                match &mut open {
                    Some(s) if s.rule == rule => s.to = date,
                    _ => {
                        all.extend(open.take());
                        open = (!rule.rests_on_the_day()).then_some(Stretch {
                            from: date,
                            to: date,
                            what,
                            rule,
                        });
                    }
                }
                date = date.tomorrow().unwrap_or(date);
            }
            all.extend(open);
        }
        all.sort_by_key(|s| s.from);
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Site;
    use crate::params::WeatherParams;
    use crate::series::{Record, fill};
    use jiff::civil::date;

    #[test]
    fn filled_days_are_told_and_measured_ones_are_not() {
        let site = Site { lat_deg: 50.0, lon_deg: -101.0, elev_m: 500.0 };
        let reference = stook_measure::Reference::shipped();
        let days: Vec<Record> = (1..=20)
            .filter(|d| *d != 11)
            .map(|d| Record {
                tmax_c: Some(20.0),
                tmin_c: Some(8.0),
                precip_mm: (d != 5).then_some(0.0),
                wind_2m_ms: Some(3.0),
                tdew_c: Some(7.0),
                rs_mj_m2: Some(20.0),
                ..Record::on(date(2026, 6, d))
            })
            .collect();
        let told = fill(&days, &site, &WeatherParams::from_reference(&reference)).stretches();
        let of = |what: &str| -> Vec<(Date, Date, Rule)> {
            told.iter().filter(|s| s.what == what).map(|s| (s.from, s.to, s.rule)).collect()
        };
        assert_eq!(of("highest temperature"), [(date(2026, 6, 11), date(2026, 6, 11), Rule::Bridged)]);
        assert_eq!(
            of("rain and snow").iter().map(|s| (s.0, s.1)).collect::<Vec<_>>(),
            [(date(2026, 6, 5), date(2026, 6, 5)), (date(2026, 6, 11), date(2026, 6, 11))]
        );
    }
}
