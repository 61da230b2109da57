//! A general climate of the interior northern plains, for a farm that has no station record yet.

use super::year::MONTH_DAYS;
use super::{Climate, Level, Matrix, Month, Slow, WET_DAY_MM, wet_fraction};
use crate::day::Site;
use crate::solar;

const TABLE: &str = include_str!("../../../../reference/climate-plains.csv");

/// Same-day and next-day correlations of the residuals of Tmax, Tmin and radiation: means of 31 stations, as the
/// matrices A and B printed by Richardson and Wright (1984) give them back.
const A: Matrix = [[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]];
const M0: Matrix = [[1.0, 0.633, 0.186], [0.633, 1.0, -0.193], [0.186, -0.193, 1.0]];

/// Slow terms of a plains climate: judgement, so that January means spread about 4 C and June rain about half.
const SLOW: Slow = Slow {
    temp_share: 0.06,
    rain_sd: 0.3,
    days: 30.0,
    season_temp_share: 0.0,
    season_rain_sd: 0.0,
    season_days: 0.0,
    doubt_temp_share: 0.0,
    doubt_rain_sd: 0.0,
};

impl Climate {
    /// The general plains climate at a site: approximate normals, from memory, of one interior station near 50.4 N,
    /// moved by a stated change of temperature with latitude and elevation and by the sun's strength. Rain is not
    /// moved. Meant for a first day's use within 48 to 54 N; replace it with the nearest station's record.
    ///
    /// # Panics
    /// When the shipped table is malformed; a test reads it.
    pub fn plains(site: &Site) -> Self {
        let mut lines = TABLE.lines();
        let heads: Vec<&str> = lines.next().expect("the table has a header").split(',').collect();
        let months: Vec<Month> = lines
            .map(|line| {
                let cells: Vec<&str> = line.split(',').collect();
                let get = |head: &str| -> f64 {
                    let at = heads.iter().position(|h| *h == head).expect("the table has the column");
                    cells[at].parse().expect("cells of the table are numbers")
                };
                month(&get, site)
            })
            .collect();
        let m1 = std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| A[i][k] * M0[k][j]).sum()));
        Self {
            site: *site,
            source:
                "from memory: approximate normals of an interior northern-plains station; replace with your \
                own station's file"
                    .into(),
            years: 0.0,
            months: months.try_into().expect("the table has twelve months"),
            m0: M0,
            m1,
            slow: SLOW,
        }
    }
}

fn month(get: &dyn Fn(&str) -> f64, site: &Site) -> Month {
    let number = get("month") as u8;
    let days = f64::from(MONTH_DAYS[usize::from(number) - 1]);
    let fraction = get("wet_days") / days;
    // Chances from the share of wet days alone (Geng and others 1986, from memory).
    let wet_after_dry = 0.75 * fraction;
    let wet_after_wet = 0.25 + wet_after_dry;
    let wet = wet_fraction(wet_after_dry, wet_after_wet);
    let moved = (site.lat_deg - get("at_lat_deg")) * get("lapse_c_per_deg_north")
        + (site.elev_m - get("at_elev_m")) / 1000.0 * get("lapse_c_per_km_up");
    let by_shift = |mean: f64, shift: f64, sd: f64| {
        let dry = mean - wet * shift;
        [Level { mean: dry, sd }, Level { mean: dry + shift, sd }]
    };
    let mid = solar::mid_month(number);
    let sun = solar::extraterrestrial_daily(site.lat_deg, mid)
        / solar::extraterrestrial_daily(get("at_lat_deg"), mid);
    let ratio = get("rs_wet_ratio");
    let rs_dry = get("rs_mj_m2") * sun / (1.0 - wet + wet * ratio);
    let rs_sd = get("rs_sd_mj_m2") * sun;
    let wind = Level { mean: get("wind_2m_ms"), sd: get("wind_sd_ms") };
    Month {
        wet_after_dry,
        wet_after_wet,
        wet_mean_mm: (get("precip_mm") / (days * wet)).max(WET_DAY_MM + 0.05),
        wet_shape: get("wet_shape"),
        tmax_c: by_shift(get("tmax_c") + moved, get("tmax_wet_shift_c"), get("tmax_sd_c")),
        tmin_c: by_shift(get("tmin_c") + moved, get("tmin_wet_shift_c"), get("tmin_sd_c")),
        rs_mj_m2: [Level { mean: rs_dry, sd: rs_sd }, Level { mean: rs_dry * ratio, sd: rs_sd }],
        dew_below_tmin_c: by_shift(get("dew_below_tmin_c"), get("dew_wet_shift_c"), get("dew_sd_c")),
        wind_2m_ms: [wind, wind],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_a_plains_climate() {
        let site = Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 };
        let c = Climate::plains(&site);
        let mean = |m: usize| {
            let m = &c.months[m];
            0.5 * (m.overall(&m.tmax_c) + m.overall(&m.tmin_c))
        };
        assert!((mean(0) + 15.1).abs() < 0.01 && (mean(6) - 18.9).abs() < 0.01);
        assert!((c.annual_precip_mm() - 408.0).abs() < 1.0, "{}", c.annual_precip_mm());
        assert!((2.0..4.0).contains(&c.annual_mean_c()));
        let north = Climate::plains(&Site { lat_deg: 53.4, ..site });
        assert!(north.annual_mean_c() < c.annual_mean_c() - 1.5);
    }

    #[test]
    fn correlations_are_those_printed() {
        // Published 31-station means, as the reference page states them to come back from A and B.
        let c = Climate::plains(&Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 600.0 });
        assert!((c.m1[0][0] - 0.621).abs() < 0.002, "{:?}", c.m1);
        assert!((c.m1[2][2] - 0.251).abs() < 0.002, "{:?}", c.m1);
    }
}
