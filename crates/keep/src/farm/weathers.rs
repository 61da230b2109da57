//! The weather of all bins: the hours that were, and those that may come.

use std::sync::Arc;

use jiff::civil::{Date, DateTime};
use stook_book::farm::Farm;
use stook_grain::control::Hour;
use stook_season::sky as season_sky;
use stook_weather::forcing::SiteTable;

use super::AirFacts;
use crate::sky;

/// The weather of all bins: the hours that were, up to this evening, and those that may come.
pub(super) struct Wide {
    pub(super) first: Date,
    pub(super) past: Vec<Hour>,
    pub(super) ahead: Arc<Vec<Vec<Hour>>>,
    pub(super) daily: Vec<(Date, f64)>,
}

impl Wide {
    pub(super) fn new(
        made: &season_sky::Sky,
        table: &SiteTable,
        pressure_pa: f64,
        air: &AirFacts,
        evening: DateTime,
        ahead_h: f64,
        standard_h: f64,
    ) -> Self {
        let first = made.past_start;
        let members: Vec<Vec<Hour>> = made
            .members
            .iter()
            .map(|m| {
                sky::of_days(made.start, &m.iter().map(|f| f.day).collect::<Vec<_>>(), table, pressure_pa)
            })
            .collect();
        let mut past = sky::of_days(first, &made.past, table, pressure_pa);
        // From the end of the record to this evening: the mean of the weathers.
        let to_evening = usize::try_from(sky::index(made.start, evening)).unwrap_or(0);
        for h in 0..to_evening {
            let at: Vec<&Hour> = members.iter().filter_map(|m| m.get(h)).collect();
            let n = at.len().max(1) as f64;
            let mean = |of: fn(&Hour) -> f64| at.iter().map(|x| of(x)).sum::<f64>() / n;
            past.push(match at.first() {
                Some(x) => {
                    Hour { hour: x.hour, t_c: mean(|x| x.t_c), rh: mean(|x| x.rh), pressure_pa, wet: false }
                }
                None => sky::missing((h % 24) as u8),
            });
        }
        // A station keeps standard time all year; the farm's clock is ahead of it in summer.
        let summer_h = (ahead_h - standard_h).round() as i64;
        sky::lay_over(&mut past, first, &air.hours, summer_h.clamp(0, 1), pressure_pa);
        let mut date = first;
        let daily = made
            .past
            .iter()
            .map(|d| {
                let this = (date, 0.5 * (d.tmax_c + d.tmin_c));
                date = date.tomorrow().unwrap_or(date);
                this
            })
            .collect();
        let ahead = members.into_iter().map(|m| m.get(to_evening..).unwrap_or_default().to_vec()).collect();
        Self { first, past, ahead: Arc::new(ahead), daily }
    }

    /// Outdoor temperature at an hour, where it is known.
    pub(super) fn temp_c(&self, at: DateTime) -> Option<f64> {
        let i = usize::try_from(sky::index(self.first, at)).ok()?;
        self.past.get(i).filter(|h| h.is_known()).map(|h| h.t_c)
    }
}

/// The hour the night is decided from: the evening, or later when something was written down after it.
pub(super) fn evening(farm: &Farm, as_of: Date, hour: u8) -> DateTime {
    let of_day = |at: DateTime| (at.date() == as_of).then(|| at.hour());
    let loads = farm.loads.iter().filter_map(|l| of_day(l.happened));
    let bins = farm.bins.values().flat_map(|b| {
        let fans = b.fan_runs.iter().filter_map(|f| of_day(f.happened));
        fans.chain(b.readings.iter().filter_map(|r| of_day(r.happened))).collect::<Vec<_>>()
    });
    let latest = loads.chain(bins).max().unwrap_or(0);
    let hour = i8::try_from(hour).unwrap_or(18).max(latest);
    as_of.at(hour.min(23), 0, 0, 0)
}

/// Hours the farm's clock is ahead of UTC on a day.
pub(super) fn clock_ahead_h(farm: &Farm, on: Date) -> f64 {
    on.at(12, 0, 0, 0)
        .to_zoned_datetime(farm.time_zone())
        .map_or(0.0, |z| f64::from(z.offset().seconds()) / 3600.0)
}
