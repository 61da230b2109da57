//! What a drill or spreader put on, from its log: rate and area by tank.

use std::collections::BTreeMap;

use crate::ddi;
use crate::log::TimeLog;
use crate::place::metres;
use crate::units::mg_m2_to_kg_ha;

/// What came out of one device element, such as a tank of the drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Applied {
    /// Device element, as the log names it.
    pub element: String,
    /// Mean rate over the area worked, kg/ha.
    pub rate_kg_ha: f64,
    /// Area worked, ha; none when the log gives no width.
    pub area_ha: Option<f64>,
    /// Distance worked, km.
    pub km: f64,
}

/// Seconds without a record after which the way between two records is not counted.
const BREAK_S: f64 = 10.0;

/// Rates by device element; each weighs by the distance it was held while working.
pub fn applied(log: &TimeLog) -> Vec<Applied> {
    let mut rate: BTreeMap<usize, f64> = BTreeMap::new();
    // Metres, metres times rate, square metres.
    let mut sums: BTreeMap<usize, (f64, f64, f64)> = BTreeMap::new();
    let (mut width_m, mut working) = (0.0_f64, true);
    let mut before: Option<(f64, (f64, f64))> = None;
    for r in &log.records {
        let here = r.position;
        if let (Some((t, from)), Some(to)) = (before, here)
            && working
            && (0.0..=BREAK_S).contains(&(r.seconds() - t))
        {
            let m = metres(from, to);
            for (i, kg_ha) in rate.iter().filter(|(_, x)| **x > 0.0) {
                let sum = sums.entry(*i).or_default();
                sum.0 += m;
                sum.1 += m * kg_ha;
                sum.2 += m * width_m;
            }
        }
        if let Some(p) = here {
            before = Some((r.seconds(), p));
        }
        for &(i, v) in &r.values {
            match log.fields.get(i).map(|f| f.ddi) {
                Some(ddi::ACTUAL_MASS_PER_AREA) => {
                    rate.insert(i, mg_m2_to_kg_ha(f64::from(v)));
                }
                Some(ddi::ACTUAL_WIDTH) => width_m = f64::from(v) / 1000.0,
                Some(ddi::WORK_STATE) => working = v == 1,
                _ => {}
            }
        }
    }
    let one = |(i, (m, m_rate, m2)): (usize, (f64, f64, f64))| Applied {
        element: log.fields[i].element.clone(),
        rate_kg_ha: m_rate / m,
        area_ha: (m2 > 0.0).then_some(m2 / 10_000.0),
        km: m / 1000.0,
    };
    sums.into_iter().filter(|(_, s)| s.0 > 0.0).map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{LogField, LogRecord};

    /// Due north at 2 m/s, a record a second; two tanks; the second shut off half way.
    #[test]
    fn two_tanks_and_a_headland() {
        let field = |ddi, element: &str| LogField { ddi, element: element.into() };
        let fields = vec![
            field(ddi::ACTUAL_MASS_PER_AREA, "DET2"),
            field(ddi::ACTUAL_MASS_PER_AREA, "DET3"),
            field(ddi::ACTUAL_WIDTH, "DET1"),
            field(ddi::WORK_STATE, "DET1"),
        ];
        let record = |i: u32| LogRecord {
            ms_of_day: 1000 * i,
            day: 17_000,
            position: Some((-101.3, 50.0 + 2.0 * f64::from(i) / crate::place::M_PER_DEG)),
            values: match i {
                0 => vec![(0, 11_000), (1, 6_000), (2, 15_000), (3, 1)],
                50 => vec![(1, 0)],
                100 => vec![(3, 0)],
                _ => vec![],
            },
        };
        let log = TimeLog { fields, records: (0..150).map(record).collect() };
        let a = applied(&log);
        assert_eq!(a.len(), 2);
        assert!((a[0].rate_kg_ha - 110.0).abs() < 1e-9 && (a[1].rate_kg_ha - 60.0).abs() < 1e-9);
        // 200 m and 100 m of 15 m.
        assert!((a[0].area_ha.unwrap() - 0.3).abs() < 1e-6, "{:?}", a[0]);
        assert!((a[1].area_ha.unwrap() - 0.15).abs() < 1e-6, "{:?}", a[1]);
        assert!(applied(&TimeLog { fields: vec![], records: vec![] }).is_empty());
    }
}
