//! The demo's spray products, all invented, and how its passes are written down.

use jiff::civil::{Date, DateTime, date};
use stook_book::payload::{
    AirBy, MixStep, SprayAir, SprayPass, SprayProduct, SprayPurpose, SprayRateUnit, WindFrom,
};
use stook_book::{Entry, FieldId, SprayProductId};
use stook_measure::{Reference, units};
use stook_weather::forcing::SiteTable;
use stook_weather::hourly;
use stook_weather::params::WeatherParams;
use stook_weather::spray::{self, Grade};

use super::YEAR;
use super::farm::entry;
use super::sky::Truth;

const PER_US_GAL_AC: f64 = 3.785_411_784 / units::HA_PER_ACRE;

/// The sprayer's tank: 1,200 US gallons.
pub const TANK_L: f64 = 1_200.0 * 3.785_411_784;
/// Weed spray in the crop.
pub const WEEDS: &str = "gatepost-grass-and-broadleaf";
/// Head blight spray.
pub const HEADS: &str = "gatepost-head-blight";

/// The products in the shed.
pub fn products() -> Vec<Entry> {
    let at = date(YEAR, 1, 9).at(20, 5, 0, 0);
    let blank = |name: &str, purpose| SprayProduct {
        id: SprayProductId::from_name(name),
        name: name.into(),
        purpose,
        registration: None,
        crops: Some("spring wheat, durum, barley".into()),
        leaf_from: None,
        leaf_to: None,
        rate: None,
        rate_unit: None,
        water_l_ha: Some(10.0 * PER_US_GAL_AC),
        rainfast_h: Some(1.0),
        wind_low_ms: None,
        wind_high_ms: Some(units::kmh_to_ms(15.0)),
        temp_low_c: None,
        temp_high_c: None,
        re_entry_hours: Some(12),
        pre_harvest_days: None,
        plant_back_days: None,
        buffer_m: Some(15.0),
        container: Some(10.0),
        mix_step: None,
        mix_place: None,
        mixing: None,
    };
    let all = [
        SprayProduct {
            registration: Some("00001 (invented)".into()),
            crops: Some("before seeding any cereal, and stubble".into()),
            rate: Some(0.67),
            rate_unit: Some(SprayRateUnit::LAc),
            water_l_ha: Some(5.0 * PER_US_GAL_AC),
            temp_low_c: Some(4.0),
            plant_back_days: Some(1),
            mix_step: Some(MixStep::Solution),
            mixing: Some(
                "Fill half with water, add, fill up. Not in hard water without a conditioner.".into(),
            ),
            ..blank("Gatepost burn-off", SprayPurpose::Burnoff)
        },
        SprayProduct {
            registration: Some("00002 (invented)".into()),
            leaf_from: Some(2.0),
            leaf_to: Some(6.0),
            rate: Some(0.5),
            rate_unit: Some(SprayRateUnit::LAc),
            temp_high_c: Some(27.0),
            pre_harvest_days: Some(60),
            mix_step: Some(MixStep::Emulsion),
            mix_place: Some(1),
            mixing: Some("Add to a half-full tank with the agitator on, then the oil, then fill up.".into()),
            ..blank("Gatepost grass and broadleaf", SprayPurpose::Herbicide)
        },
        SprayProduct {
            registration: Some("00003 (invented)".into()),
            rate: Some(0.5),
            rate_unit: Some(SprayRateUnit::Percent),
            re_entry_hours: None,
            buffer_m: None,
            mix_step: Some(MixStep::Surfactant),
            mix_place: Some(2),
            ..blank("Gatepost oil", SprayPurpose::Other)
        },
        SprayProduct {
            registration: Some("00004 (invented)".into()),
            rate: Some(325.0),
            rate_unit: Some(SprayRateUnit::MlAc),
            re_entry_hours: Some(24),
            pre_harvest_days: Some(36),
            buffer_m: Some(30.0),
            mix_step: Some(MixStep::Emulsion),
            mixing: Some("Medium drops, nozzles angled forward. Keep the agitator on.".into()),
            ..blank("Gatepost head blight", SprayPurpose::Fungicide)
        },
        SprayProduct {
            registration: Some("00005 (invented)".into()),
            rate: Some(0.67),
            rate_unit: Some(SprayRateUnit::LAc),
            pre_harvest_days: Some(7),
            mix_step: Some(MixStep::Solution),
            mixing: Some("Only when the greenest kernels are under 30 % moisture.".into()),
            ..blank("Gatepost dry-down", SprayPurpose::PreHarvest)
        },
    ];
    all.into_iter().zip(9_000..).map(|(p, n)| entry(at, n, p)).collect()
}

/// The station's hour, with the wind's quarter from the flag in the yard.
fn air(truth: &Truth, table: &SiteTable, began: DateTime) -> Option<SprayAir> {
    let day = truth.day(began.date())?;
    let course = hourly::course(day, began.date().day_of_year() as u16, table);
    // The yard's clock is an hour ahead of the station's in summer.
    let h = usize::from(began.hour().unsigned_abs()).saturating_sub(1);
    let tenth = |x: f64| (x * 10.0).round() / 10.0;
    Some(SprayAir {
        temp_c: Some(tenth(course.temp_c[h])),
        rh_pct: Some(course.rh_pct[h].round()),
        wind_ms: Some(tenth(course.wind_2m_ms[h])),
        wind_from: Some(if began.day() % 3 == 0 { WindFrom::Nw } else { WindFrom::W }),
        by: AirBy::Station,
    })
}

/// A pass with what its product's label says.
pub fn pass(
    field: &FieldId,
    product: &str,
    products: &[Entry],
    truth: &Truth,
    table: &SiteTable,
    on: Date,
    turn: i64,
) -> (DateTime, SprayPass) {
    let label = products
        .iter()
        .find_map(|e| match e.payload() {
            Some(stook_book::Payload::SprayProduct(p)) if p.id.as_str() == product => Some(p),
            _ => None,
        })
        .expect("the demo's products are in its shed");
    let began = first_fit(truth, table, label, on).saturating_add(jiff::Span::new().minutes(105 * turn));
    let pass = SprayPass {
        product_id: Some(label.id.clone()),
        rate: label.rate_words(),
        water_l_ha: label.water_l_ha,
        finished: Some(began.saturating_add(jiff::Span::new().minutes(95))),
        pre_harvest_days: label.pre_harvest_days,
        re_entry_hours: label.re_entry_hours,
        buffer_m: label.buffer_m,
        nozzle: Some("04, coarse".into()),
        target: Some(if product == HEADS { "head blight" } else { "wild oat, cleavers" }.into()),
        air: air(truth, table, began),
        ..SprayPass::new(field.clone(), label.purpose, label.name.clone())
    };
    (began, pass)
}

/// The first hour of the day fit by the guidance and the label; noon when the truth gave none.
fn first_fit(truth: &Truth, table: &SiteTable, label: &SprayProduct, on: Date) -> DateTime {
    let reference = Reference::shipped();
    let limits = stook_season::spraying::limits::of(&reference, Some(label));
    let params = WeatherParams::from_reference(&reference);
    let doy = on.day_of_year() as u16;
    let fit = |h: &usize| {
        truth.day(on).is_some_and(|day| {
            let forcing = table.force(doy, day, &params);
            let air = spray::hour_air(&forcing, doy, table, &limits, *h);
            spray::classify(&air, &limits, table.pressure_kpa()).grade == Grade::Fit
        })
    };
    // Summer's clock is an hour ahead of the station's.
    let hour = (6..20_usize).find(fit).map_or(12, |h| h as i8 + 1);
    on.at(hour, 10, 0, 0)
}
