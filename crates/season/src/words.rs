//! Numbers in the farm's units, and dates as a neighbour says them.

use jiff::civil::{Date, Weekday};
use stook_book::payload::{AreaUnit, RainUnit, TemperatureUnit, UnitChoice, YieldUnit};
use stook_measure::{Range, figure, money, units};

/// `158 ac`.
pub fn area(u: &UnitChoice, ha: f64) -> String {
    match u.area {
        AreaUnit::Acres => format!("{} ac", figure(units::ha_to_acre(ha), 0)),
        AreaUnit::Hectares => format!("{} ha", figure(ha, 0)),
    }
}

/// A wheat yield in the farm's unit.
pub fn wheat_yield(u: &UnitChoice, kg_ha: f64) -> f64 {
    match u.grain_yield {
        YieldUnit::BuAc => units::kg_ha_to_bu_ac(kg_ha, 60.0),
        YieldUnit::THa => kg_ha / 1000.0,
        YieldUnit::KgHa => kg_ha,
        YieldUnit::LbAc => units::kg_ha_to_lb_ac(kg_ha),
    }
}

/// Decimals that suit the yield unit.
pub fn yield_decimals(u: &UnitChoice) -> u8 {
    if u.grain_yield == YieldUnit::THa { 1 } else { 0 }
}

/// `41 - 52 - 63 bu/ac`; `about 52 bu/ac` where the weather ahead no longer matters: the line itself is not so sure.
pub fn wheat_yield_range(u: &UnitChoice, r: Range) -> String {
    let d = yield_decimals(u);
    let one = |x: f64| figure(wheat_yield(u, x), d);
    let (low, middle, high) = (one(r.p10), one(r.p50), one(r.p90));
    if low == high {
        return format!("about {middle} {}", u.grain_yield.words());
    }
    format!("{low} - {middle} - {high} {}", u.grain_yield.words())
}

/// `4 mm` or `0.16 in`.
pub fn rain(u: &UnitChoice, mm: f64) -> String {
    match u.rain {
        RainUnit::Mm => format!("{} mm", figure(mm, if mm < 10.0 && mm.fract() > 0.05 { 1 } else { 0 })),
        RainUnit::Inches => format!("{} in", figure(units::mm_to_in(mm), 2)),
    }
}

/// Water in the soil: `130 mm` or `5.1 in`.
pub fn water(u: &UnitChoice, mm: f64) -> String {
    match u.rain {
        RainUnit::Mm => format!("{} mm", figure(mm, 0)),
        RainUnit::Inches => format!("{} in", figure(units::mm_to_in(mm), 1)),
    }
}

/// `4.3 mph`.
pub fn speed(u: &UnitChoice, kmh: f64) -> String {
    match u.speed {
        stook_book::payload::SpeedUnit::Mph => format!("{} mph", figure(units::kmh_to_mph(kmh), 1)),
        stook_book::payload::SpeedUnit::Kmh => format!("{} km/h", figure(kmh, 1)),
    }
}

/// `6 C` or `43 F`.
pub fn temperature(u: &UnitChoice, c: f64) -> String {
    match u.temperature {
        TemperatureUnit::Celsius => format!("{} C", figure(c, 0)),
        TemperatureUnit::Fahrenheit => format!("{} F", figure(units::c_to_f(c), 0)),
    }
}

/// Money on an area in the farm's unit of area: `$12 an acre`.
pub fn cash_an_area(u: &UnitChoice, per_ha: f64) -> String {
    match u.area {
        AreaUnit::Acres => format!("{} an acre", cash(u, per_ha * units::HA_PER_ACRE)),
        AreaUnit::Hectares => format!("{} a hectare", cash(u, per_ha)),
    }
}

/// Money as an estimate, with the farm's mark.
pub fn cash(u: &UnitChoice, amount: f64) -> String {
    let text = money(amount);
    match text.strip_prefix('-') {
        Some(rest) => format!("-{}{rest}", u.money),
        None => format!("{}{text}", u.money),
    }
}

/// `5 May`.
pub fn day(date: Date) -> String {
    format!("{} {}", date.day(), month(date))
}

/// `Thu 7 May` within a week of `today`, else `7 May`; `today` and `tomorrow` by name.
pub fn day_from(today: Date, date: Date) -> String {
    match (date - today).get_days() {
        0 => "today".into(),
        1 => "tomorrow".into(),
        2..=6 => format!("{} {}", weekday(date.weekday()), day(date)),
        _ => day(date),
    }
}

fn month(date: Date) -> &'static str {
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
        [(date.month() - 1) as usize]
}

/// Short name of a weekday.
pub fn weekday(w: Weekday) -> &'static str {
    match w {
        Weekday::Monday => "Mon",
        Weekday::Tuesday => "Tue",
        Weekday::Wednesday => "Wed",
        Weekday::Thursday => "Thu",
        Weekday::Friday => "Fri",
        Weekday::Saturday => "Sat",
        Weekday::Sunday => "Sun",
    }
}

/// A share as `8 of 10 weathers`; the ends said plainly.
pub fn in_ten(share: f64) -> String {
    match (share * 10.0).round() as i64 {
        _ if share < 0.02 => "almost none of the weathers".into(),
        _ if share > 0.98 => "nearly all the weathers".into(),
        0 => "fewer than 1 weather in 10".into(),
        1 => "1 weather in 10".into(),
        10 => "more than 9 weathers in 10".into(),
        n => format!("{n} weathers in 10"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn said_plainly() {
        let u = UnitChoice::default();
        assert_eq!(area(&u, 64.0), "158 ac");
        assert_eq!(cash(&u, -734.0), "-$730");
        assert_eq!(day_from(date(2026, 5, 5), date(2026, 5, 7)), "Thu 7 May");
        assert_eq!(day_from(date(2026, 5, 5), date(2026, 5, 6)), "tomorrow");
        assert_eq!(in_ten(0.55), "6 weathers in 10");
        assert_eq!(rain(&u, 4.0), "4 mm");
        assert_eq!(
            wheat_yield_range(&u, Range { p10: 2757.0, p50: 3497.0, p90: 4237.0 }),
            "41 - 52 - 63 bu/ac"
        );
        let settled = Range { p10: 3490.0, p50: 3497.0, p90: 3500.0 };
        assert_eq!(wheat_yield_range(&u, settled), "about 52 bu/ac");
    }
}
