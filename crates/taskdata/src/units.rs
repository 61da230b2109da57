//! Units of the data dictionary, and yield brought to a reference moisture.

use stook_measure::units::bu_ac_to_kg_ha;

/// mg/m2 of kg/ha.
pub fn kg_ha_to_mg_m2(kg_ha: f64) -> f64 {
    kg_ha * 100.0
}
/// kg/ha of mg/m2.
pub fn mg_m2_to_kg_ha(mg_m2: f64) -> f64 {
    mg_m2 / 100.0
}
/// mg/m2 of bu/ac.
pub fn bu_ac_to_mg_m2(bu_ac: f64, lb_per_bu: f64) -> f64 {
    kg_ha_to_mg_m2(bu_ac_to_kg_ha(bu_ac, lb_per_bu))
}
/// ppm of percent.
pub fn pct_to_ppm(pct: f64) -> f64 {
    pct * 10_000.0
}
/// Mass at a reference moisture ("dry mass" of the dictionary: at that moisture, not bone dry).
pub fn at_reference(mass: f64, moisture_pct: f64, reference_pct: f64) -> f64 {
    mass * (100.0 - moisture_pct) / (100.0 - reference_pct)
}
/// Bytes of a grid file: type 1 one a cell, type 2 four for each process datum of a cell.
pub fn grid_bytes(grid_type: u8, columns: usize, rows: usize, process_data: usize) -> usize {
    columns * rows * if grid_type == 1 { 1 } else { 4 * process_data }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dictionary_by_hand() {
        // 60 bu/ac of 60 lb: DDI 84; 14.5 %: DDI 99; 1000 at 16 % is 982.46 at 14.5 %; 120 by 80 cells.
        assert!((bu_ac_to_mg_m2(60.0, 60.0) / 403_497.0 - 1.0).abs() < 2e-4);
        assert_eq!(pct_to_ppm(14.5), 145_000.0);
        assert!((at_reference(1000.0, 16.0, 14.5) - 982.46).abs() < 0.02);
        assert_eq!(grid_bytes(1, 120, 80, 1), 9600);
        assert_eq!(kg_ha_to_mg_m2(100.0), 10_000.0);
    }
}
