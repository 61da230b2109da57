//! The surface layer: coefficients and drying.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{Days, out};
use crate::dual;

pub(super) fn calculators() -> Vec<Calculator> {
    vec![kcb_by_day(), adjusted(), coefficients(), drying()]
}

fn kcb_by_day() -> Calculator {
    Calculator {
        name: "soil.kcb_by_day",
        title: "Basal crop coefficient by day of the season",
        about: "Straight lines between the first, middle and last coefficient, with the four stage lengths from \
                planting: first growth, development, full cover, ripening.",
        inputs: vec![
            Input::number("kcb_ini", "1", 0.0, 1.4, "coefficient of first growth").or(0.15),
            Input::number("kcb_mid", "1", 0.0, 1.4, "coefficient at full cover").or(1.10),
            Input::number("kcb_end", "1", 0.0, 1.4, "coefficient at maturity").or(0.15),
            Input::list("lengths_d", "d", 1.0, 200.0, "the four stage lengths")
                .or(vec![20.0, 25.0, 40.0, 25.0]),
            Input::list("days", "d", 0.0, 400.0, "days after planting asked for").or(vec![30.0, 60.0, 100.0]),
        ],
        outputs: vec![out("kcb", "1", "basal coefficient on each day asked for")],
        source: "FAO-56 equation 66; values for crops in FAO-56 Table 17",
        run: |a| {
            let lengths = a.list("lengths_d");
            let [first, grow, full, ripen] = lengths else {
                return Err(stook_measure::CalcError::Together(format!(
                    "lengths_d needs four stage lengths; {} were given",
                    lengths.len()
                )));
            };
            let (ini, mid, end) = (a.number("kcb_ini"), a.number("kcb_mid"), a.number("kcb_end"));
            let kcb = |d: f64| {
                let grown = ((d - first) / grow).clamp(0.0, 1.0);
                let ripe = ((d - first - grow - full) / ripen).clamp(0.0, 1.0);
                ini + grown * (mid - ini) + ripe * (end - mid)
            };
            let list: Vec<f64> = a.list("days").iter().map(|d| kcb(*d)).collect();
            let Some((day, last)) = a.list("days").last().zip(list.last()) else {
                return Err(stook_measure::CalcError::Together("days needs at least one day".into()));
            };
            let working = Working::new(format!("Basal coefficient on day {day}"))
                .line(Op::Start, "at first", ini, "", 2)
                .line(Op::Plus, "gained or lost by that day", last - ini, "", 2)
                .sum("basal coefficient", *last, "", 2)
                .source("FAO-56 chapter 6");
            Ok(Outcome::new(working).with("kcb", list))
        },
    }
}

fn adjusted() -> Calculator {
    Calculator {
        name: "soil.kc_adjusted",
        title: "Crop coefficient moved to the site's wind and dryness",
        about: "Tables hold for 2 m/s of wind and 45 % lowest humidity. Coefficients below 0.45 stay.",
        inputs: vec![
            Input::number("k", "1", 0.0, 1.5, "coefficient in the table").or(1.10),
            Input::number("wind_2m_ms", "m/s", 0.0, 20.0, "mean wind at 2 m").or(3.5),
            Input::number("rh_min_pct", "%", 0.0, 100.0, "lowest humidity of the day").or(35.0),
            Input::number("height_m", "m", 0.0, 10.0, "crop height").or(0.9),
        ],
        outputs: vec![out("k_adjusted", "1", "coefficient for the site")],
        source: "FAO-56 equations 62, 65 and 70",
        run: |a| {
            let k = a.number("k");
            let to = dual::adjust_for_climate(
                k,
                a.number("wind_2m_ms"),
                a.number("rh_min_pct"),
                a.number("height_m"),
            );
            let working = Working::new("Coefficient for the site")
                .line(Op::Start, "in the table", k, "", 2)
                .line(Op::Plus, "for wind and dryness", to - k, "", 3)
                .sum("for the site", to, "", 2)
                .note("Wind is held within 1-6 m/s and the lowest humidity within 20-80 %.");
            Ok(Outcome::new(working).with("k_adjusted", to))
        },
    }
}

fn coefficients() -> Calculator {
    Calculator {
        name: "soil.surface_coefficients",
        title: "How evaporation and transpiration share the day's demand",
        about: "Upper limit of the coefficient, shaded ground, exposed wet ground, and the evaporation coefficient at \
                a given dryness of the surface.",
        inputs: vec![
            Input::number("kcb", "1", 0.0, 1.4, "basal coefficient").or(0.9),
            Input::number("wind_2m_ms", "m/s", 0.0, 20.0, "mean wind at 2 m").or(3.0),
            Input::number("rh_min_pct", "%", 0.0, 100.0, "lowest humidity of the day").or(35.0),
            Input::number("height_m", "m", 0.0, 5.0, "crop height").or(0.8),
            Input::number("kc_min", "1", 0.0, 0.3, "coefficient of dry bare soil").or(0.15),
            Input::number("wetted_share", "1", 0.01, 1.0, "ground wetted: 1 for rain").or(1.0),
            Input::number("kr", "1", 0.0, 1.0, "1 for a wet surface, 0 for a dry one").or(1.0),
        ],
        outputs: vec![
            out("kc_max", "1", "upper limit"),
            out("cover", "1", "ground shaded"),
            out("exposed_wet", "1", "ground exposed and wet"),
            out("ke", "1", "evaporation coefficient"),
            out("kc", "1", "both together"),
        ],
        source: "FAO-56 equations 71, 72, 75 and 76",
        run: |a| {
            let (kcb, h) = (a.number("kcb"), a.number("height_m"));
            let climate = dual::climate_term(a.number("wind_2m_ms"), a.number("rh_min_pct"));
            let kc_max = dual::kc_max(1.2, kcb, climate, (h / 3.0).powf(0.3));
            let cover = dual::cover_fraction(kcb, a.number("kc_min"), kc_max, h);
            let exposed = (1.0 - cover).min(a.number("wetted_share"));
            let ke = dual::ke(a.number("kr"), kc_max, kcb, exposed);
            let working = Working::new("Coefficients of a day")
                .line(Op::Note, "upper limit", kc_max, "", 2)
                .line(Op::Note, "exposed wet ground", exposed, "", 2)
                .line(Op::Start, "transpiration (basal)", kcb, "", 2)
                .line(Op::Plus, "evaporation", ke, "", 2)
                .sum("both", kcb + ke, "", 2)
                .source("FAO-56 chapter 7");
            Ok(Outcome::new(working)
                .with("kc_max", kc_max)
                .with("cover", cover)
                .with("exposed_wet", exposed)
                .with("ke", ke)
                .with("kc", kcb + ke))
        },
    }
}

fn drying() -> Calculator {
    Calculator {
        name: "soil.surface_drying",
        title: "Surface layer drying, day by day",
        about: "Evaporation and depletion of the surface layer over one or more days. Lists hold one value a day, or \
                one for all days. Water is taken to come early in the day. As FAO-56 keeps it: the layer is never \
                above field capacity at the day's end.",
        inputs: vec![
            Input::number("tew_mm", "mm", 2.0, 60.0, "total evaporable water").or(25.0),
            Input::number("rew_mm", "mm", 0.5, 15.0, "readily evaporable water").or(10.0),
            Input::number("depletion_mm", "mm", 0.0, 60.0, "depletion at the start").or(0.0),
            Input::number("kc_max", "1", 0.8, 1.6, "upper limit of the coefficient").or(1.2),
            Input::list("kcb", "1", 0.0, 1.4, "basal coefficient").or(vec![0.0]),
            Input::list("exposed", "1", 0.01, 1.0, "ground not shaded").or(vec![1.0]),
            Input::number("wetted_share", "1", 0.01, 1.0, "ground wetted: 1 for rain").or(1.0),
            Input::list("eto_mm", "mm", 0.0, 20.0, "reference evapotranspiration")
                .or(vec![4.0, 4.0, 4.0, 4.0, 4.0]),
            Input::list("water_mm", "mm", 0.0, 300.0, "rain less runoff, or irrigation over the whole field")
                .or(vec![0.0]),
        ],
        outputs: vec![
            out("ke", "1", "evaporation coefficient"),
            out("evaporation_mm", "mm", "evaporation"),
            out("etc_mm", "mm", "evaporation and transpiration"),
            out("percolation_mm", "mm", "water through the layer"),
            out("depletion_end_mm", "mm", "depletion at the day's end"),
        ],
        source: "FAO-56 equations 71, 74, 77 and 79",
        run: |a| {
            let (tew, rew) = (a.number("tew_mm"), a.number("rew_mm"));
            if rew >= tew {
                return Err(stook_measure::CalcError::Together("rew_mm must be below tew_mm".into()));
            }
            let days = Days::of(a, &["kcb", "exposed", "eto_mm", "water_mm"])?;
            let (kc_max, wetted) = (a.number("kc_max"), a.number("wetted_share"));
            let mut depletion = a.number("depletion_mm").min(tew);
            let start = depletion;
            let (mut kes, mut es, mut etcs, mut dps, mut ends) =
                (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
            let (mut entered, mut left) = (0.0, 0.0);
            for i in 0..days.count {
                let (kcb, eto) = (days.get(0, i), days.get(2, i));
                let exposed_wet = days.get(1, i).min(wetted);
                let inflow = days.get(3, i) / wetted;
                let kr = dual::reduction((depletion - inflow).max(0.0), tew, rew);
                let ke = dual::ke(kr, kc_max, kcb, exposed_wet);
                let before = depletion;
                let (end, percolated) = dual::surface_day(depletion, inflow, ke * eto / exposed_wet, tew);
                depletion = end;
                entered += inflow - percolated;
                left += end - before + inflow - percolated;
                kes.push(ke);
                es.push(ke * eto);
                etcs.push((ke + kcb) * eto);
                dps.push(percolated);
                ends.push(end);
            }
            let working = Working::new("Depletion of the surface layer")
                .line(Op::Note, "total evaporable water", tew, "mm", 1)
                .line(Op::Note, "of it unhindered", rew, "mm", 1)
                .line(Op::Start, "depletion at the start", start, "mm", 1)
                .line(Op::Minus, "water held by the layer", entered, "mm", 1)
                .line(Op::Plus, "evaporated, per exposed wet ground", left, "mm", 1)
                .sum("depletion at the end", depletion, "mm", 1)
                .source("FAO-56 chapter 7");
            Ok(Outcome::new(working)
                .with("ke", kes)
                .with("evaporation_mm", es)
                .with("etc_mm", etcs)
                .with("percolation_mm", dps)
                .with("depletion_end_mm", ends))
        },
    }
}
