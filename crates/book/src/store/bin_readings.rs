//! Readings that devices send by the hour, in a table beside the entries.

use jiff::Timestamp;
use jiff::civil::DateTime;
use rusqlite::{TransactionBehavior, params};

use super::weather::{Put, minute_at, minute_number, source};
use super::{Store, StoreError};
use crate::payload::BinId;
use crate::sensor::SensorReading;

impl Store {
    /// Puts readings in; the same again changes nothing, a newer value of the same sensor and minute replaces the old.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_bin_readings(
        &mut self,
        file: &str,
        imported: Timestamp,
        readings: &[SensorReading],
    ) -> Result<Put, StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let source = source(&tx, file, imported)?;
        let mut put = Put { new: 0, changed: 0, same: 0 };
        {
            let mut old = tx.prepare_cached(
                "SELECT height_m IS ?4 AND temperature_c IS ?5 AND moisture_wb_pct IS ?6 AND co2_ppm IS ?7 \
                 FROM bin_reading WHERE bin = ?1 AND at = ?2 AND sensor = ?3",
            )?;
            let mut write = tx.prepare_cached(
                "INSERT INTO bin_reading (bin, at, sensor, height_m, temperature_c, moisture_wb_pct, co2_ppm, source) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (bin, at, sensor) DO UPDATE SET \
                 height_m = excluded.height_m, temperature_c = excluded.temperature_c, \
                 moisture_wb_pct = excluded.moisture_wb_pct, co2_ppm = excluded.co2_ppm, source = excluded.source",
            )?;
            for r in readings {
                let at = minute_number(r.at);
                let key = params![
                    r.bin.as_str(),
                    at,
                    r.sensor,
                    r.height_m,
                    r.temperature_c,
                    r.moisture_wb_pct,
                    r.co2_ppm
                ];
                let known: Option<bool> = old.query_map(key, |row| row.get(0))?.next().transpose()?;
                match known {
                    Some(true) => put.same += 1,
                    other => {
                        write.execute(params![
                            r.bin.as_str(),
                            at,
                            r.sensor,
                            r.height_m,
                            r.temperature_c,
                            r.moisture_wb_pct,
                            r.co2_ppm,
                            source
                        ])?;
                        if other.is_some() { put.changed += 1 } else { put.new += 1 }
                    }
                }
            }
        }
        tx.commit()?;
        Ok(put)
    }

    /// Readings of all bins from `from` up to and without `until`, in time order.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn bin_readings(&self, from: DateTime, until: DateTime) -> Result<Vec<SensorReading>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT bin, at, sensor, height_m, temperature_c, moisture_wb_pct, co2_ppm FROM bin_reading \
             WHERE at >= ?1 AND at < ?2 ORDER BY at, bin, sensor",
        )?;
        let rows = query
            .query_map(params![minute_number(from), minute_number(until)], |r| {
                Ok(SensorReading {
                    bin: BinId(r.get(0)?),
                    at: minute_at(r.get(1)?),
                    sensor: r.get(2)?,
                    height_m: r.get(3)?,
                    temperature_c: r.get(4)?,
                    moisture_wb_pct: r.get(5)?,
                    co2_ppm: r.get(6)?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(rows)
    }
}
