//! Conversions between SI and the farm's units.
//!
//! One function per conversion, named `from_to`. Factors that are exact by definition say so; the others name
//! their source. Weight bushels (a number of pounds) and volume bushels (a number of litres) are different
//! quantities: nothing here turns one into the other without a test weight.

/// Kilograms in a pound avoirdupois. Exact (Weights and Measures Act, Canada, Schedule II; US 1959).
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Square metres in an international acre. Exact (43,560 ft2 of 0.3048 m).
pub const M2_PER_ACRE: f64 = 4_046.856_422_4;
/// Hectares in an international acre. Exact.
pub const HA_PER_ACRE: f64 = 0.404_685_642_24;
/// Metres in a foot. Exact.
pub const M_PER_FT: f64 = 0.304_8;
/// Millimetres in an inch. Exact.
pub const MM_PER_IN: f64 = 25.4;
/// Kilometres in a mile. Exact.
pub const KM_PER_MILE: f64 = 1.609_344;
/// Litres in a US (Winchester) bushel of 2150.42 in3. Exact.
pub const L_PER_US_BUSHEL: f64 = 35.239_070_166_88;
/// Litres in an imperial bushel of 8 gallons of 4.54609 L. Exact (Weights and Measures Act, Canada).
pub const L_PER_IMPERIAL_BUSHEL: f64 = 36.368_72;
/// Litres in a US gallon of 231 in3. Exact.
pub const L_PER_US_GALLON: f64 = 3.785_411_784;
/// Litres in an imperial gallon. Exact.
pub const L_PER_IMPERIAL_GALLON: f64 = 4.546_09;

/// Pounds in a weight bushel of the named crop, or `None` for a crop without one here.
///
/// Source: Alberta Agriculture factors; US trade table (harvest reference, section 4.1). Oats differ by border
/// (34 lb in Canada, 32 in the US), so oats are two names.
pub fn lb_per_bushel(crop: &str) -> Option<f64> {
    Some(match crop {
        "wheat" | "durum" | "soybean" | "peas" => 60.0,
        "rye" | "flax" | "corn" => 56.0,
        "triticale" => 52.0,
        "canola" | "mustard" => 50.0,
        "barley" | "buckwheat" => 48.0,
        "oats (Canada)" => 34.0,
        "oats (US)" => 32.0,
        "sunflower" => 30.0,
        _ => return None,
    })
}

/// Acres to hectares.
pub fn acre_to_ha(acre: f64) -> f64 {
    acre * HA_PER_ACRE
}
/// Hectares to acres.
pub fn ha_to_acre(ha: f64) -> f64 {
    ha / HA_PER_ACRE
}
/// Square metres to acres.
pub fn m2_to_acre(m2: f64) -> f64 {
    m2 / M2_PER_ACRE
}
/// Feet to metres.
pub fn ft_to_m(ft: f64) -> f64 {
    ft * M_PER_FT
}
/// Metres to feet.
pub fn m_to_ft(m: f64) -> f64 {
    m / M_PER_FT
}
/// Inches to millimetres.
pub fn in_to_mm(inch: f64) -> f64 {
    inch * MM_PER_IN
}
/// Millimetres to inches.
pub fn mm_to_in(mm: f64) -> f64 {
    mm / MM_PER_IN
}
/// Miles per hour to kilometres per hour.
pub fn mph_to_kmh(mph: f64) -> f64 {
    mph * KM_PER_MILE
}
/// Kilometres per hour to miles per hour.
pub fn kmh_to_mph(kmh: f64) -> f64 {
    kmh / KM_PER_MILE
}
/// Kilometres per hour to metres per second.
pub fn kmh_to_ms(kmh: f64) -> f64 {
    kmh / 3.6
}
/// Metres per second to kilometres per hour.
pub fn ms_to_kmh(ms: f64) -> f64 {
    ms * 3.6
}
/// Degrees Fahrenheit to Celsius.
pub fn f_to_c(f: f64) -> f64 {
    (f - 32.0) / 1.8
}
/// Degrees Celsius to Fahrenheit.
pub fn c_to_f(c: f64) -> f64 {
    c * 1.8 + 32.0
}
/// Pounds to kilograms.
pub fn lb_to_kg(lb: f64) -> f64 {
    lb * KG_PER_LB
}
/// Kilograms to pounds.
pub fn kg_to_lb(kg: f64) -> f64 {
    kg / KG_PER_LB
}
/// Pounds per acre to kilograms per hectare.
pub fn lb_ac_to_kg_ha(lb_ac: f64) -> f64 {
    lb_ac * KG_PER_LB / HA_PER_ACRE
}
/// Kilograms per hectare to pounds per acre.
pub fn kg_ha_to_lb_ac(kg_ha: f64) -> f64 {
    kg_ha * HA_PER_ACRE / KG_PER_LB
}
/// Kilograms per hectare to weight bushels per acre, for a bushel of `lb_per_bu` pounds.
pub fn kg_ha_to_bu_ac(kg_ha: f64, lb_per_bu: f64) -> f64 {
    kg_ha_to_lb_ac(kg_ha) / lb_per_bu
}
/// Weight bushels per acre to kilograms per hectare.
pub fn bu_ac_to_kg_ha(bu_ac: f64, lb_per_bu: f64) -> f64 {
    lb_ac_to_kg_ha(bu_ac * lb_per_bu)
}
/// Weight bushels in a tonne.
pub fn bushels_per_tonne(lb_per_bu: f64) -> f64 {
    1000.0 / (lb_per_bu * KG_PER_LB)
}
/// Plants per square foot to plants per square metre.
pub fn per_ft2_to_per_m2(per_ft2: f64) -> f64 {
    per_ft2 / (M_PER_FT * M_PER_FT)
}
/// Plants per square metre to plants per square foot.
pub fn per_m2_to_per_ft2(per_m2: f64) -> f64 {
    per_m2 * (M_PER_FT * M_PER_FT)
}
/// Moisture, percent of wet weight, to percent of dry weight.
pub fn moisture_wb_to_db_pct(wb_pct: f64) -> f64 {
    100.0 * wb_pct / (100.0 - wb_pct)
}
/// Moisture, percent of dry weight, to percent of wet weight.
pub fn moisture_db_to_wb_pct(db_pct: f64) -> f64 {
    100.0 * db_pct / (100.0 + db_pct)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, tol: f64) {
        assert!((a - b).abs() <= tol, "{a} is not within {tol} of {b}");
    }

    #[test]
    fn published_factors() {
        // Alberta Agriculture bushel factors (Canada Grains Council 1999), harvest reference 4.1.
        near(bushels_per_tonne(60.0), 36.744, 0.001);
        near(bushels_per_tonne(48.0), 45.93, 0.005);
        near(bushels_per_tonne(50.0), 44.092, 0.005);
        // Wheat-crop reference, unit factors.
        near(kg_ha_to_bu_ac(1.0, 60.0), 0.014_869_6, 1e-7);
        near(kg_ha_to_lb_ac(1.0), 0.892_18, 1e-5);
        near(per_ft2_to_per_m2(1.0), 10.764, 0.001);
        near(bu_ac_to_kg_ha(1.0, 60.0), 67.25, 0.005);
        // Wheat-crop reference 6.8: 170 g/kg dry basis is 14.5 % wet basis.
        near(moisture_db_to_wb_pct(17.0), 14.5, 0.05);
        near(moisture_db_to_wb_pct(67.0), 40.1, 0.05);
    }

    #[test]
    fn there_and_back() {
        for x in [0.1, 1.0, 17.3, 2_400.0] {
            near(ha_to_acre(acre_to_ha(x)), x, 1e-9 * x);
            near(c_to_f(f_to_c(x)), x, 1e-9 * x.max(1.0));
            near(bu_ac_to_kg_ha(kg_ha_to_bu_ac(x, 60.0), 60.0), x, 1e-9 * x);
            near(per_m2_to_per_ft2(per_ft2_to_per_m2(x)), x, 1e-9 * x);
        }
        near(moisture_db_to_wb_pct(moisture_wb_to_db_pct(16.0)), 16.0, 1e-12);
    }
}
