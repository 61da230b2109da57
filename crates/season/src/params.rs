//! The season's own coefficients, from `reference/season.csv`, with the farm's prices put in.

use jiff::civil::Date;
use stook_book::farm::Farm;
use stook_measure::{Reference, units};

/// Prices, limits and the standing policy.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonParams {
    /// Milling wheat at the yard, money/t.
    pub wheat_per_t: f64,
    /// Feed wheat, money/t.
    pub feed_wheat_per_t: f64,
    /// One grade step, money/t.
    pub grade_step_per_t: f64,
    /// Harrow pass, money/ha.
    pub harrow_per_ha: f64,
    /// Weed spray, product and pass, money/ha.
    pub herbicide_per_ha: f64,
    /// Fungicide, product and pass, money/ha.
    pub fungicide_per_ha: f64,
    /// Combining, money/ha.
    pub cut_per_ha: f64,
    /// Drying, money/t and point.
    pub drying_per_t_point: f64,
    /// First day of the year for seeding.
    pub sow_first_doy: u16,
    /// Last day of the year for seeding.
    pub sow_last_doy: u16,
    /// Seeding depth, mm.
    pub sow_depth_mm: f64,
    /// Coldest seedbed, C.
    pub sow_min_soil_temp_c: f64,
    /// Share of available water above which the seedbed is moist.
    pub sow_moist_share: f64,
    /// Days between harrow passes.
    pub harrow_days_between: u16,
    /// How much wetter than for seeding (share of field capacity).
    pub harrow_limit_above_seed: f64,
    /// Fit hours that make a day workable.
    pub least_hours: f64,
    /// Wettest kernel that is cut, % wb.
    pub cut_moisture_max: f64,
    /// Moisture at which the standing policy starts, % wb.
    pub cut_moisture_start: f64,
    /// Dry, % wb.
    pub cut_moisture_dry: f64,
    /// A kernel moisture further than this from the reckoned one is remarked on, points.
    pub reading_far_points: f64,
    /// Last day of the run, day of year.
    pub cut_last_doy: u16,
    /// Worth of an uncut crop.
    pub uncut_share: f64,
    /// Share of its worth lost by wheat that finds no bin.
    pub no_room_share: f64,
    /// Most a field makes, kg/ha.
    pub cap_kg_ha: f64,
    /// Yield a fungicide in its window is expected to save, kg/ha.
    pub fungicide_gain_kg_ha: f64,
    /// Share of head blight a head spray at its best holds off.
    pub fungicide_index_control: f64,
    /// Share of DON it holds off.
    pub fungicide_don_control: f64,
    /// DON from which grain is discounted, ppm.
    pub don_from_ppm: f64,
    /// Discount for each ppm above, money/t.
    pub don_per_t_ppm: f64,
    /// Weed pressure, 0 to 1.
    pub weed_pressure: f64,
    /// Starting water, share of available.
    pub start_share: f64,
    /// Drier and wetter starts.
    pub start_spread: f64,
    /// Prices that the farm has entered: the coefficient each stands for, and its value in that unit.
    pub own: Vec<(&'static str, f64)>,
    /// Prices that the farm has not entered, in words.
    pub assumed: Vec<String>,
}

/// A price the season uses: key in the book, what it is, and the money unit of the coefficient.
struct Wanted {
    key: &'static str,
    coefficient: &'static str,
    words: &'static str,
    per: &'static str,
}

const WANTED: [Wanted; 7] = [
    Wanted { key: "wheat", coefficient: "season.price.wheat_per_t", words: "milling wheat", per: "t" },
    Wanted { key: "feed_wheat", coefficient: "season.price.feed_wheat_per_t", words: "feed wheat", per: "t" },
    Wanted {
        key: "grade_step",
        coefficient: "season.price.grade_step_per_t",
        words: "one grade down",
        per: "t",
    },
    Wanted {
        key: "harrow_pass",
        coefficient: "season.cost.harrow_per_ha",
        words: "a harrow pass",
        per: "ha",
    },
    Wanted {
        key: "herbicide_pass",
        coefficient: "season.cost.herbicide_per_ha",
        words: "a weed spray",
        per: "ha",
    },
    Wanted {
        key: "fungicide_pass",
        coefficient: "season.cost.fungicide_per_ha",
        words: "a fungicide",
        per: "ha",
    },
    Wanted {
        key: "drying",
        coefficient: "season.drying.cost_per_t_point",
        words: "drying by a point",
        per: "t_point",
    },
];

/// The keys of the prices the season reads, with what they are and per what, for forms.
pub fn price_keys() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    WANTED.iter().map(|w| (w.key, w.words, w.per))
}

impl SeasonParams {
    /// Reads the coefficients and the farm's prices on `on`.
    pub fn new(r: &Reference, farm: &Farm, on: Date) -> Self {
        let (mut assumed, mut own_prices) = (Vec::new(), Vec::new());
        let mut price = |key: &str| {
            let w = WANTED.iter().find(|w| w.key == key).expect("listed above");
            let shipped = r.get(w.coefficient);
            match farm.price(key, on).and_then(|p| per_si(p.value, &p.unit, w.per)) {
                Some(value) => {
                    own_prices.push((w.coefficient, value));
                    value
                }
                None => {
                    let own =
                        r.coefficient(w.coefficient).is_some_and(|c| c.sure == stook_measure::Sure::Local);
                    if !own {
                        assumed.push(w.words.to_string());
                    }
                    shipped
                }
            }
        };
        Self {
            wheat_per_t: price("wheat"),
            feed_wheat_per_t: price("feed_wheat"),
            grade_step_per_t: price("grade_step"),
            harrow_per_ha: price("harrow_pass"),
            herbicide_per_ha: price("herbicide_pass"),
            fungicide_per_ha: price("fungicide_pass"),
            drying_per_t_point: price("drying"),
            cut_per_ha: r.get("season.cost.cut_per_ha"),
            sow_first_doy: r.get("season.sow.first_day") as u16,
            sow_last_doy: r.get("season.sow.last_day") as u16,
            sow_depth_mm: r.get("season.sow.depth_mm"),
            sow_min_soil_temp_c: r.get("season.sow.min_soil_temp_c"),
            sow_moist_share: r.get("season.sow.moist_share"),
            harrow_days_between: r.get("season.harrow.days_between") as u16,
            harrow_limit_above_seed: r.get("season.harrow.limit_above_seed"),
            least_hours: r.get("season.work.least_hours"),
            cut_moisture_max: r.get("season.cut.moisture_max"),
            cut_moisture_start: r.get("season.cut.moisture_start"),
            cut_moisture_dry: r.get("season.cut.moisture_dry"),
            reading_far_points: r.get("season.cut.reading_far_points"),
            cut_last_doy: r.get("season.cut.last_day") as u16,
            uncut_share: r.get("season.cut.uncut_share"),
            no_room_share: r.get("season.no_room.loss_share"),
            cap_kg_ha: r.get("season.yield.cap_kg_ha"),
            fungicide_gain_kg_ha: r.get("season.fungicide.expected_gain_kg_ha"),
            fungicide_index_control: r.get("season.fungicide.index_control"),
            fungicide_don_control: r.get("season.fungicide.don_control"),
            don_from_ppm: r.get("season.don.from_ppm"),
            don_per_t_ppm: r.get("season.don.per_t_ppm"),
            weed_pressure: r.get("season.weeds.pressure"),
            start_share: r.get("season.start.available_share"),
            start_spread: r.get("season.start.available_spread"),
            own: own_prices,
            assumed,
        }
    }
}

/// A price per the unit entered, per `wanted` (`t`, `ha` or `t_point`); `None` when the two do not go together.
fn per_si(value: f64, unit: &str, wanted: &str) -> Option<f64> {
    let per_bu_to_per_t = units::bushels_per_tonne(60.0);
    Some(match (unit, wanted) {
        (a, b) if a == b => value,
        ("bu", "t") | ("bu_point", "t_point") => value * per_bu_to_per_t,
        ("kg", "t") => value * 1000.0,
        ("ac", "ha") => value / units::HA_PER_ACRE,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_by_any_usual_unit() {
        assert!((per_si(7.50, "bu", "t").unwrap() - 275.6).abs() < 0.1);
        assert!((per_si(22.0, "ac", "ha").unwrap() - 54.36).abs() < 0.01);
        assert_eq!(per_si(3.0, "h", "ha"), None);
    }

    #[test]
    fn every_coefficient_is_there() {
        let p = SeasonParams::new(&Reference::shipped(), &Farm::default(), jiff::civil::date(2026, 5, 5));
        assert_eq!(p.assumed.len(), WANTED.len());
        assert!(p.sow_first_doy < p.sow_last_doy);
    }
}
