//! Shrink, over-drying and what drying costs.

use stook_measure::units::{L_PER_IMPERIAL_GALLON, L_PER_US_GALLON, bushels_per_tonne};
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::HarvestParams;
use crate::drying;

fn from() -> Input {
    Input::number("from_pct", "% wb", 5.0, 45.0, "moisture before, wet basis")
}
fn to() -> Input {
    Input::number("to_pct", "% wb", 5.0, 30.0, "moisture after, wet basis")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.water_shrink",
            title: "Weight lost as water",
            about: "Exact, by dry matter. A buyer's flat shrink a point takes more; the difference is shown.",
            inputs: vec![
                from(),
                to(),
                Input::number("flat_pct", "%", 0.0, 2.5, "buyer's flat shrink a point, to compare").or(1.4),
            ],
            outputs: vec![
                out("shrink_pct", "%", "weight lost as water"),
                out("per_point_pct", "%", "for each point"),
                out("flat_excess_pct", "%", "what the flat shrink takes beyond water"),
            ],
            source: "dry matter balance",
            run: water_shrink,
        },
        Calculator {
            name: "harvest.dried_weight",
            title: "Weight after drying",
            about: "Weight left after water and handling.",
            inputs: vec![
                Input::number("wet", "t", 0.0, 1e7, "weight before, any unit of weight"),
                from(),
                to(),
                Input::number("handling_pct", "%", 0.0, 3.0, "lost in handling, share of the wet weight")
                    .or(0.5),
            ],
            outputs: vec![
                out("dried", "t", "weight after, same unit"),
                out("total_shrink_pct", "%", "lost in all"),
            ],
            source: "dry matter balance; handling 0.5 % is a common buyer figure",
            run: dried_weight,
        },
        Calculator {
            name: "harvest.overdry_loss",
            title: "What over-drying costs",
            about: "Value lost by selling drier than the market asks.",
            inputs: vec![
                Input::number("actual_pct", "% wb", 5.0, 20.0, "moisture sold at"),
                Input::number("market_pct", "% wb", 8.0, 20.0, "moisture the market takes as dry").or(14.5),
            ],
            outputs: vec![out("loss_pct", "%", "value lost")],
            source: "dry matter balance; about 1 % a point (Hellevang, North Dakota State Univ., 2017)",
            run: overdry,
        },
        Calculator {
            name: "harvest.drying_cost",
            title: "What drying wheat costs",
            about: "Propane, power and money to dry wheat with heated air.",
            inputs: vec![
                Input::number("wet_t", "t", 0.0, 100_000.0, "wheat as cut").or(100.0),
                from(),
                to().or(14.5),
                Input::number("propane_l", "money/L", 0.0, 5.0, "price of propane").or(0.55),
                Input::number("power_kwh", "money/kWh", 0.0, 2.0, "price of electricity").or(0.12),
            ],
            outputs: vec![
                out("money", "money", "propane and power"),
                out("money_bu", "money/bu", "a bushel as cut"),
                out("money_bu_point", "money/bu", "a bushel and point"),
                out("propane_l", "L", "propane"),
                out("propane_us_gal", "US gal", "the same"),
                out("propane_imp_gal", "imp gal", "the same"),
                out("propane_us_gal_bu_point", "US gal", "a bushel and point"),
                out("power_kwh", "kWh", "electricity"),
                out("passes", "passes", "through the drier, 6 points each at most"),
            ],
            source: "Iowa State Univ. 2019 for corn, scaled to wheat by water; MWPS handbook for power; Canadian Grain \
                     Commission for points a pass",
            run: drying_cost,
        },
    ]
}

fn drier_after(a: &Args) -> Result<(f64, f64), CalcError> {
    let (from, to) = (a.number("from_pct"), a.number("to_pct"));
    if to > from {
        return Err(CalcError::Together(format!(
            "the grain goes from {from} to {to} %, which is not drying; change the two about"
        )));
    }
    Ok((from, to))
}

fn water_shrink(a: &Args) -> Answer {
    let (from, to) = drier_after(a)?;
    let per_point = drying::shrink_per_point_pct(to);
    let shrink = drying::water_shrink_pct(from, to);
    let excess = (from - to) * a.number("flat_pct") - shrink;
    let w = Working::new("Weight lost as water")
        .line(Op::Start, "Points removed", from - to, "%", 2)
        .line(Op::Times, "Shrink for each point, 100 / (100 - dry moisture)", per_point, "%", 4)
        .sum("Lost", shrink, "%", 2)
        .line(Op::Note, "Flat shrink beyond it", excess, "%", 2)
        .source("dry matter balance");
    Ok(Outcome::new(w)
        .with("shrink_pct", shrink)
        .with("per_point_pct", per_point)
        .with("flat_excess_pct", excess))
}

fn dried_weight(a: &Args) -> Answer {
    let (from, to) = drier_after(a)?;
    let (wet, handling) = (a.number("wet"), a.number("handling_pct"));
    let dried = drying::dried_weight(wet, from, to, handling);
    let water = drying::water_shrink_pct(from, to);
    let w = Working::new("Weight after drying")
        .line(Op::Start, "Before", wet, "", 2)
        .line(Op::Minus, "Water", wet * water / 100.0, "", 2)
        .line(Op::Minus, "Handling", wet * handling / 100.0, "", 2)
        .sum("After", dried, "", 1)
        .source("dry matter balance");
    Ok(Outcome::new(w).with("dried", dried).with("total_shrink_pct", water + handling))
}

fn overdry(a: &Args) -> Answer {
    let (actual, market) = (a.number("actual_pct"), a.number("market_pct"));
    let loss = drying::overdry_loss_pct(actual, market);
    let w = Working::new("What over-drying costs")
        .line(Op::Start, "Points too dry", (market - actual).max(0.0), "%", 2)
        .line(
            Op::Times,
            "For each point, 100 / (100 - moisture)",
            drying::shrink_per_point_pct(actual),
            "%",
            4,
        )
        .sum("Value lost", loss, "%", 2)
        .source("dry matter balance");
    Ok(Outcome::new(w).with("loss_pct", loss))
}

fn drying_cost(a: &Args) -> Answer {
    let (from, to) = drier_after(a)?;
    let mut p = HarvestParams::shipped().drying;
    p.propane_price_l = a.number("propane_l");
    p.power_price_kwh = a.number("power_kwh");
    let wet = a.number("wet_t");
    let cost = drying::drying_cost(wet, from, to, &p);
    let bushels = wet * bushels_per_tonne(60.0);
    let points = from - to;
    let each = |total: f64, n: f64| if n > 0.0 { total / n } else { 0.0 };
    let per_bu = each(cost.money, bushels);
    let per_point_gal = drying::propane_wheat_gal_bu_point(to, &p);
    let w = Working::new("What drying costs")
        .line(Op::Note, "Bushels as cut", bushels, "bu", 0)
        .line(Op::Note, "Points removed", points, "%", 2)
        .line(Op::Note, "Propane a bushel and point", per_point_gal, "US gal", 4)
        .line(Op::Note, "Propane", cost.propane_l, "L", 0)
        .line(Op::Start, "Propane", cost.propane_l * p.propane_price_l, "", 2)
        .line(Op::Plus, "Power", cost.power_kwh * p.power_price_kwh, "", 2)
        .sum("Drying", cost.money, "", 2)
        .note(format!(
            "{} through the drier, no more than {} points in one.",
            cost.passes, p.max_points_per_pass
        ))
        .source("Iowa State Univ. 2019, scaled to wheat; MWPS handbook")
        .would_change("your own drier's litres over the last wet fall");
    Ok(Outcome::new(w)
        .with("money", cost.money)
        .with("money_bu", per_bu)
        .with("money_bu_point", each(per_bu, points))
        .with("propane_l", cost.propane_l)
        .with("propane_us_gal", cost.propane_l / L_PER_US_GALLON)
        .with("propane_imp_gal", cost.propane_l / L_PER_IMPERIAL_GALLON)
        .with("propane_us_gal_bu_point", per_point_gal)
        .with("power_kwh", cost.power_kwh)
        .with("passes", f64::from(cost.passes)))
}
