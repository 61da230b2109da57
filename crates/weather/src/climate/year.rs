//! Drawing monthly values out over the days of a year.

/// Days of each month, February as in a leap year: tables here have 366 days.
pub const MONTH_DAYS: [u16; 12] = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// 366 daily values on straight lines between month middles, moved so that every month keeps its mean.
pub fn smooth_year(monthly: &[f64; 12]) -> Vec<f64> {
    let mut nodes = *monthly;
    let mut days = lines(&nodes);
    // Each round halves what is left of the difference or better; 12 rounds leave nothing that matters.
    for _ in 0..12 {
        for (m, mean) in month_means(&days).iter().enumerate() {
            nodes[m] += monthly[m] - mean;
        }
        days = lines(&nodes);
    }
    days
}

/// Straight lines between the middles of the months, the year closed on itself.
fn lines(nodes: &[f64; 12]) -> Vec<f64> {
    let mut middles = [0.0; 12];
    let mut start = 0.0;
    for (middle, n) in middles.iter_mut().zip(MONTH_DAYS) {
        *middle = start + 0.5 * f64::from(n);
        start += f64::from(n);
    }
    (0..366)
        .map(|d| {
            let t = f64::from(d) + 0.5;
            let after = middles.iter().position(|m| *m > t).unwrap_or(12);
            let (a, b) = ((after + 11) % 12, after % 12);
            let (ta, tb) = (
                if after == 0 { middles[11] - 366.0 } else { middles[a] },
                if after == 12 { middles[0] + 366.0 } else { middles[b] },
            );
            nodes[a] + (nodes[b] - nodes[a]) * (t - ta) / (tb - ta)
        })
        .collect()
}

/// Means of the months of 366 daily values.
fn month_means(days: &[f64]) -> [f64; 12] {
    let mut start = 0;
    MONTH_DAYS.map(|n| {
        let n = usize::from(n);
        let mean = days[start..start + n].iter().sum::<f64>() / n as f64;
        start += n;
        mean
    })
}

/// Month (0 to 11) of a day of a leap year (0 to 365).
pub fn month_of(day: usize) -> usize {
    let mut left = day;
    for (m, n) in MONTH_DAYS.iter().enumerate() {
        if left < usize::from(*n) {
            return m;
        }
        left -= usize::from(*n);
    }
    11
}

/// Place (0 to 365) of a date in a leap year: 1 March is always 60.
pub fn leap_day(date: jiff::civil::Date) -> usize {
    let day = date.day_of_year() as usize - 1;
    if !date.in_leap_year() && day >= 59 { day + 1 } else { day }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn months_keep_their_means() {
        let normals = [-15.0, -12.0, -5.0, 4.5, 11.3, 16.2, 18.9, 18.2, 11.9, 4.3, -5.3, -12.7];
        let days = smooth_year(&normals);
        for (m, mean) in month_means(&days).iter().enumerate() {
            assert!((mean - normals[m]).abs() < 0.01, "{m}: {mean}");
        }
        let steepest = days.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max);
        assert!(steepest < 0.6, "{steepest}");
    }

    #[test]
    fn leap_places() {
        assert_eq!(leap_day(date(2023, 2, 28)), 58);
        assert_eq!(leap_day(date(2024, 2, 29)), 59);
        assert_eq!(leap_day(date(2023, 3, 1)), 60);
        assert_eq!(leap_day(date(2024, 12, 31)), 365);
        assert_eq!(leap_day(date(2023, 12, 31)), 365);
        assert_eq!((month_of(58), month_of(59), month_of(60), month_of(365)), (1, 1, 2, 11));
    }
}
