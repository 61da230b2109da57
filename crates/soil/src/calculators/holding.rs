//! What a soil holds.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::out;
use crate::texture::{TextureClass, WaterLimits, saxton_rawls};
use crate::{dual, fitness};

const CLASSES: [&str; 14] = [
    "as measured",
    "sand",
    "loamy sand",
    "sandy loam",
    "loam",
    "silt loam",
    "silt",
    "sandy clay loam",
    "clay loam",
    "silty clay loam",
    "sandy clay",
    "silty clay",
    "clay",
    "heavy clay",
];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![limits(), available(), evaporable(), tillage(), sample()]
}

fn texture_inputs() -> Vec<Input> {
    vec![
        Input::choice("texture", &CLASSES, "texture class; \"as measured\" takes sand and clay from below")
            .or("as measured"),
        Input::number("sand_pct", "%", 0.0, 100.0, "sand in the fine earth, by weight").or(30.0),
        Input::number("clay_pct", "%", 0.0, 60.0, "clay in the fine earth, by weight").or(35.0),
        Input::number("om_pct", "%", 0.0, 8.0, "organic matter, by weight").or(2.5),
        Input::number("density_factor", "1", 0.9, 1.3, "density over the usual one: above 1 when packed")
            .or(1.0),
    ]
}

fn solve(a: &Args) -> Result<(WaterLimits, f64, f64), CalcError> {
    let (sand, clay) = TextureClass::parse(a.text("texture"))
        .map_or_else(|| (a.number("sand_pct") / 100.0, a.number("clay_pct") / 100.0), TextureClass::centre);
    saxton_rawls(sand, clay, a.number("om_pct"), a.number("density_factor"))
        .map(|w| (w, sand, clay))
        .map_err(|e| CalcError::Together(e.to_string()))
}

fn limits() -> Calculator {
    Calculator {
        name: "soil.water_limits",
        title: "Water a soil holds, from its texture",
        about: "Wilting point, field capacity and saturation by volume, conductivity and density. An average soil of \
                that texture: a measured field capacity is better, most of all on swelling clay.",
        inputs: texture_inputs(),
        outputs: vec![
            out("wp_pct", "%", "wilting point, by volume"),
            out("fc_pct", "%", "field capacity, by volume"),
            out("sat_pct", "%", "saturation, by volume"),
            out("ksat_mm_h", "mm/h", "saturated conductivity"),
            out("bulk_density", "Mg/m3", "bulk density"),
            out("available_mm_per_m", "mm/m", "water between wilting point and field capacity"),
        ],
        source: "Saxton and Rawls (2006) Soil Sci. Soc. Am. J. 70:1569, equations 1-9 and 16-18",
        run: |a| {
            let (w, sand, clay) = solve(a)?;
            let available = 1000.0 * (w.theta_fc - w.theta_wp);
            let working = Working::new("Water a soil holds")
                .line(Op::Note, "sand", 100.0 * sand, "%", 0)
                .line(Op::Note, "clay", 100.0 * clay, "%", 0)
                .line(Op::Note, "saturation", 1000.0 * w.theta_sat, "mm/m", 0)
                .line(Op::Start, "field capacity", 1000.0 * w.theta_fc, "mm/m", 1)
                .line(Op::Minus, "wilting point", 1000.0 * w.theta_wp, "mm/m", 1)
                .sum("available water", available, "mm/m", 1)
                .source("Saxton and Rawls (2006)")
                .would_change("a measured field capacity or wilting point of the field");
            Ok(Outcome::new(working)
                .with("wp_pct", 100.0 * w.theta_wp)
                .with("fc_pct", 100.0 * w.theta_fc)
                .with("sat_pct", 100.0 * w.theta_sat)
                .with("ksat_mm_h", w.ksat_mm_h)
                .with("bulk_density", w.bulk_density)
                .with("available_mm_per_m", available))
        },
    }
}

fn available() -> Calculator {
    Calculator {
        name: "soil.available_water",
        title: "Water a crop can reach, and take without stress",
        about: "Total available water over the rooting depth, and the share taken before the crop feels want. One or \
                more depths, each with its share.",
        inputs: vec![
            Input::number("fc_pct", "%", 3.0, 60.0, "field capacity, by volume").or(36.0),
            Input::number("wp_pct", "%", 1.0, 45.0, "wilting point, by volume").or(22.0),
            Input::list("root_depth_m", "m", 0.1, 3.0, "rooting depth").or(vec![1.0]),
            Input::list("p", "1", 0.1, 0.8, "share taken without stress; 0.55 for cereals at 5 mm/d")
                .or(vec![0.55]),
        ],
        outputs: vec![
            out("total_mm", "mm", "total available water"),
            out("readily_mm", "mm", "taken without stress"),
        ],
        source: "FAO-56 equations 82 and 83",
        run: |a| {
            let (fc, wp) = (a.number("fc_pct"), a.number("wp_pct"));
            if fc <= wp {
                return Err(CalcError::Together("fc_pct must be above wp_pct".into()));
            }
            let days = super::Days::of(a, &["root_depth_m", "p"])?;
            let total: Vec<f64> = (0..days.count).map(|i| 10.0 * (fc - wp) * days.get(0, i)).collect();
            let readily: Vec<f64> = total.iter().enumerate().map(|(i, t)| t * days.get(1, i)).collect();
            let working = Working::new("Water a crop takes without stress")
                .line(Op::Start, "field capacity", 10.0 * fc, "mm/m", 0)
                .line(Op::Minus, "wilting point", 10.0 * wp, "mm/m", 0)
                .line(Op::Times, "rooting depth", days.get(0, 0), "m", 2)
                .line(Op::Times, "share taken without stress", days.get(1, 0), "", 2)
                .sum("readily available", readily[0], "mm", 0)
                .note("The lines are for the first depth.")
                .source("FAO-56 chapter 8");
            Ok(Outcome::new(working).with("total_mm", total).with("readily_mm", readily))
        },
    }
}

fn evaporable() -> Calculator {
    Calculator {
        name: "soil.evaporable_water",
        title: "Water that can evaporate from the surface layer",
        about: "The whole of it, from field capacity to half the wilting point, and the part that goes unhindered.",
        inputs: vec![
            Input::number("fc_pct", "%", 3.0, 60.0, "field capacity, by volume").or(36.0),
            Input::number("wp_pct", "%", 1.0, 45.0, "wilting point, by volume").or(22.0),
            Input::number("layer_m", "m", 0.05, 0.20, "depth of the layer; 0.10-0.15").or(0.10),
            Input::number("sand_pct", "%", 0.0, 100.0, "sand, for the unhindered part").or(30.0),
            Input::number("clay_pct", "%", 0.0, 100.0, "clay, for the unhindered part").or(35.0),
        ],
        outputs: vec![
            out("tew_mm", "mm", "total evaporable water"),
            out("rew_mm", "mm", "readily evaporable water"),
        ],
        source: "FAO-56 equation 73; the unhindered part from texture by Allen and others (2005), from memory",
        run: |a| {
            let (fc, wp, ze) = (a.number("fc_pct"), a.number("wp_pct"), a.number("layer_m"));
            let tew = dual::total_evaporable_mm(fc / 100.0, wp / 100.0, ze);
            if tew <= 0.0 {
                return Err(CalcError::Together("fc_pct must be above half of wp_pct".into()));
            }
            let rew = dual::readily_evaporable_mm(a.number("sand_pct"), a.number("clay_pct")).min(0.9 * tew);
            let working = Working::new("Evaporable water")
                .line(Op::Note, "of it unhindered", rew, "mm", 1)
                .line(Op::Start, "at field capacity", 10.0 * fc * ze, "mm", 1)
                .line(Op::Minus, "at half the wilting point", 5.0 * wp * ze, "mm", 1)
                .sum("total evaporable", tew, "mm", 1)
                .source("FAO-56 chapter 7");
            Ok(Outcome::new(working).with("tew_mm", tew).with("rew_mm", rew))
        },
    }
}

fn tillage() -> Calculator {
    Calculator {
        name: "soil.tillage_limit",
        title: "Wettest a soil can be tilled or driven on with manure",
        about: "Upper limit by organic matter and clay, in percent of dry weight, and what that is against field \
                capacity. Fitted on soils of Uruguay with a Dutch method: a second opinion beside the 0.95 of field \
                capacity used here, not a rule for the prairies.",
        inputs: vec![
            Input::number("om_pct", "%", 0.0, 12.0, "organic matter, by weight").or(4.0),
            Input::number("clay_pct", "%", 5.0, 70.0, "clay, by weight").or(35.0),
            Input::number("bulk_density", "Mg/m3", 0.8, 1.8, "bulk density").or(1.25),
            Input::number("fc_pct", "%", 3.0, 60.0, "field capacity, by volume").or(36.0),
        ],
        outputs: vec![
            out("limit_dry_weight_pct", "%", "wettest, of dry weight"),
            out("limit_volume_pct", "%", "the same by volume"),
            out("limit_relative_to_fc", "1", "the same over field capacity"),
        ],
        source: "Terzaghi, Hoogmoed and Miedema (1988) Neth. J. Agric. Sci. 36",
        run: |a| {
            let (om, clay) = (a.number("om_pct"), a.number("clay_pct"));
            let by_weight = fitness::upper_tillage_limit_pct(om, clay);
            let by_volume = by_weight * a.number("bulk_density");
            let working = Working::new("Wettest for tillage")
                .line(Op::Note, "the same by volume", by_volume, "%", 1)
                .line(Op::Start, "base", 7.5, "%", 1)
                .line(Op::Plus, "for organic matter, 1.91 each %", 1.91 * om, "%", 2)
                .line(Op::Plus, "for clay, 0.34 each %", 0.34 * clay, "%", 2)
                .sum("wettest, of dry weight", by_weight, "%", 1)
                .source("Terzaghi, Hoogmoed and Miedema (1988)");
            Ok(Outcome::new(working)
                .with("limit_dry_weight_pct", by_weight)
                .with("limit_volume_pct", by_volume)
                .with("limit_relative_to_fc", by_volume / a.number("fc_pct")))
        },
    }
}

fn sample() -> Calculator {
    Calculator {
        name: "soil.sample_water",
        title: "Available water from a soil sample",
        about: "Turns the moisture of a sample, by dry weight, into mm above wilting point: the best start for a \
                season's water, from the fall soil test.",
        inputs: vec![
            Input::number("moisture_dry_pct", "%", 0.0, 80.0, "water in the sample, of dry weight").or(22.0),
            Input::number("bulk_density", "Mg/m3", 0.8, 1.8, "bulk density").or(1.30),
            Input::number("depth_m", "m", 0.05, 2.0, "thickness of soil the sample stands for").or(0.6),
            Input::number("fc_pct", "%", 3.0, 60.0, "field capacity, by volume").or(36.0),
            Input::number("wp_pct", "%", 1.0, 45.0, "wilting point, by volume").or(22.0),
        ],
        outputs: vec![
            out("water_mm", "mm", "all water in the layer"),
            out("available_mm", "mm", "above wilting point; negative when drier"),
            out("share_of_available", "1", "share of available water: 1 at field capacity"),
        ],
        source: "water by weight times bulk density; definition",
        run: |a| {
            let (fc, wp, depth) = (a.number("fc_pct"), a.number("wp_pct"), a.number("depth_m"));
            if fc <= wp {
                return Err(CalcError::Together("fc_pct must be above wp_pct".into()));
            }
            let water = 10.0 * a.number("moisture_dry_pct") * a.number("bulk_density") * depth;
            let available = water - 10.0 * wp * depth;
            let working = Working::new("Available water in a sample")
                .line(Op::Note, "room to field capacity", 10.0 * fc * depth - water, "mm", 0)
                .line(Op::Start, "moisture of dry weight", 10.0 * a.number("moisture_dry_pct"), "kg/t", 0)
                .line(Op::Times, "bulk density", a.number("bulk_density"), "Mg/m3", 2)
                .line(Op::Times, "depth", depth, "m", 2)
                .line(Op::Minus, "wilting point", 10.0 * wp * depth, "mm", 1)
                .sum("available", available, "mm", 1);
            Ok(Outcome::new(working)
                .with("water_mm", water)
                .with("available_mm", available)
                .with("share_of_available", available / (10.0 * (fc - wp) * depth)))
        },
    }
}
