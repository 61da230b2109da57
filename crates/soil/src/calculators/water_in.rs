//! Rain and melt on their way into the ground.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Reference, Working};

use stook_weather::snowpack::water_in_depth;

use super::{Days, out};
use crate::params::SoilParams;
use crate::{frost, runoff};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![curve_numbers(), runoff_of_rain(), melt(), melt_parametric(), snow_water(), frost_index()]
}

fn curve_numbers() -> Calculator {
    Calculator {
        name: "soil.curve_numbers",
        title: "Runoff curve numbers of dry and wet ground",
        about: "From the number of average wetness.",
        inputs: vec![Input::list("cn2", "1", 10.0, 99.0, "curve number of average wetness").or(vec![81.0])],
        outputs: vec![out("cn_dry", "1", "condition 1"), out("cn_wet", "1", "condition 3")],
        source: "ASCE irrigation manual (2016) equations 14-14 and 14-15, against the table of USDA-SCS (1985)",
        run: |a| {
            let list = a.list("cn2");
            let Some(cn) = list.first() else {
                return Err(CalcError::Together("cn2 needs at least one value".into()));
            };
            let working = Working::new("Curve numbers")
                .line(Op::Note, "dry", runoff::dry(*cn), "", 0)
                .line(Op::Start, "average", *cn, "", 0)
                .line(Op::Plus, "when wet", runoff::wet(*cn) - cn, "", 1)
                .sum("wet", runoff::wet(*cn), "", 1);
            Ok(Outcome::new(working)
                .with("cn_dry", list.iter().map(|c| runoff::dry(*c)).collect::<Vec<_>>())
                .with("cn_wet", list.iter().map(|c| runoff::wet(*c)).collect::<Vec<_>>()))
        },
    }
}

fn runoff_of_rain() -> Calculator {
    Calculator {
        name: "soil.runoff",
        title: "Runoff from a day's rain",
        about: "One or more rains on ground with the curve number of its wetness. Unfrozen ground only.",
        inputs: vec![
            Input::list("rain_mm", "mm", 0.0, 500.0, "rain in the day").or(vec![40.0]),
            Input::list("curve_number", "1", 10.0, 99.0, "curve number at the wetness of the day")
                .or(vec![81.0]),
        ],
        outputs: vec![
            out("runoff_mm", "mm", "water off the field"),
            out("retention_mm", "mm", "most the ground can hold back"),
        ],
        source: "USDA-SCS (1985), first loss a fifth of the retention",
        run: |a| {
            let days = Days::of(a, &["rain_mm", "curve_number"])?;
            let retention: Vec<f64> = (0..days.count).map(|i| runoff::retention_mm(days.get(1, i))).collect();
            let q: Vec<f64> =
                retention.iter().enumerate().map(|(i, s)| runoff::runoff_mm(days.get(0, i), *s)).collect();
            let rain = days.get(0, 0);
            let working = Working::new("Runoff")
                .line(Op::Note, "most the ground can hold back", retention[0], "mm", 1)
                .line(Op::Start, "rain", rain, "mm", 2)
                .line(Op::Minus, "into the ground or held on it", rain - q[0], "mm", 2)
                .sum("runoff", q[0], "mm", 2)
                .source("USDA-SCS (1985)");
            Ok(Outcome::new(working).with("runoff_mm", q).with("retention_mm", retention))
        },
    }
}

fn melt() -> Calculator {
    Calculator {
        name: "soil.melt_into_frozen",
        title: "Snowmelt a frozen field takes in",
        about: "For ground frozen without an ice lens and without open cracks. Wet in fall: most runs off. Dry in fall: \
                most enters.",
        inputs: vec![
            Input::number("saturation", "1", 0.0, 1.0, "share of pores filled in the top 30 cm at freeze-up")
                .or(0.6),
            Input::number("swe_mm", "mm", 0.0, 500.0, "water in the pack at the start of melt").or(80.0),
        ],
        outputs: vec![
            out("infiltration_mm", "mm", "into the ground"),
            out("runoff_mm", "mm", "off the field"),
        ],
        source: "Granger, Gray and Dyck (1984) Can. J. Earth Sci. 21:669",
        run: |a| {
            let swe = a.number("swe_mm");
            let entered = frost::granger_infiltration_mm(a.number("saturation"), swe);
            let working = Working::new("Snowmelt into frozen ground")
                .line(Op::Start, "pack at the start of melt", swe, "mm", 1)
                .line(Op::Minus, "into the ground", entered, "mm", 1)
                .sum("runoff", swe - entered, "mm", 1)
                .would_change("an ice lens from rain or melt before the main melt: nearly all runs off")
                .source("Granger, Gray and Dyck (1984)");
            Ok(Outcome::new(working).with("infiltration_mm", entered).with("runoff_mm", swe - entered))
        },
    }
}

fn melt_parametric() -> Calculator {
    Calculator {
        name: "soil.melt_into_frozen_parametric",
        title: "Snowmelt a frozen field takes in, with soil temperature",
        about: "A second form that also knows the soil's temperature and its wetness at the surface during melt. The \
                season uses the simpler one.",
        inputs: vec![
            Input::number("c", "1", 0.5, 3.0, "2.1 on prairie, 1.14 in boreal forest").or(2.1),
            Input::number("surface_saturation", "1", 0.0, 1.0, "pores filled at the surface during melt")
                .or(0.9),
            Input::number("saturation", "1", 0.0, 1.0, "pores filled before melt").or(0.5),
            Input::number("soil_c", "C", -40.0, 0.0, "soil temperature before melt").or(-4.0),
            Input::number("swe_mm", "mm", 0.0, 500.0, "water in the pack at the start of melt").or(80.0),
        ],
        outputs: vec![
            out("hours", "h", "time the melt has to enter"),
            out("infiltration_mm", "mm", "into the ground"),
            out("runoff_mm", "mm", "off the field"),
        ],
        source: "Zhao and Gray (1997, 1999); Gray and others (2001) Hydrol. Process. 15:3095",
        run: |a| {
            let swe = a.number("swe_mm");
            let (entered, hours) = frost::parametric_infiltration_mm(
                a.number("c"),
                a.number("surface_saturation"),
                a.number("saturation"),
                a.number("soil_c"),
                swe,
            );
            let working = Working::new("Snowmelt into frozen ground")
                .line(Op::Note, "time to enter", hours, "h", 0)
                .line(Op::Start, "pack at the start of melt", swe, "mm", 1)
                .line(Op::Minus, "into the ground", entered, "mm", 1)
                .sum("runoff", swe - entered, "mm", 1);
            Ok(Outcome::new(working)
                .with("hours", hours)
                .with("infiltration_mm", entered)
                .with("runoff_mm", swe - entered))
        },
    }
}

fn snow_water() -> Calculator {
    Calculator {
        name: "soil.snow_water",
        title: "Water in the snow, from its depth",
        about: "For settled prairie packs. Fresh snow holds less, a pack in spring more.",
        inputs: vec![Input::list("depth_cm", "cm", 0.0, 300.0, "depth of snow").or(vec![30.0])],
        outputs: vec![out("swe_mm", "mm", "water in the snow")],
        source: "prairie hydrology practice after Pomeroy and Gray; below 2.05 cm in proportion to depth",
        run: |a| {
            let swe: Vec<f64> = a.list("depth_cm").iter().map(|d| water_in_depth(*d)).collect();
            let Some((depth, water)) = a.list("depth_cm").first().zip(swe.first()) else {
                return Err(CalcError::Together("depth_cm needs at least one value".into()));
            };
            let per_cm = if *depth > 0.0 { water / depth } else { 0.0 };
            let working = Working::new("Water in the snow")
                .line(Op::Start, "depth", *depth, "cm", 1)
                .line(Op::Times, "water in each cm", per_cm, "mm/cm", 3)
                .sum("water", *water, "mm", 1);
            Ok(Outcome::new(working).with("swe_mm", swe))
        },
    }
}

fn frost_index() -> Calculator {
    Calculator {
        name: "soil.frost_index",
        title: "Is the ground frozen?",
        about: "A running index of cold, damped by snow. Frozen above 56. One value a day, or one for all days. Under \
                snow the season keeps frozen ground frozen even when the index fades.",
        inputs: vec![
            Input::number("start_cd", "C d", 0.0, 1000.0, "index before the first day").or(0.0),
            Input::list("tmean_c", "C", -50.0, 40.0, "mean air temperature")
                .or(vec![-2.0, -6.0, -10.0, -12.0, -15.0, -12.0, -9.0]),
            Input::list("swe_mm", "mm", 0.0, 500.0, "water in the snow on the ground").or(vec![0.0]),
        ],
        outputs: vec![
            out("index_cd", "C d", "index at each day's end"),
            out("frozen", "", "yes or no, at the end"),
        ],
        source: "Molnau and Bissell (1983), as documented in an open flood model",
        run: |a| {
            let p = SoilParams::from_reference(&Reference::shipped());
            let days = Days::of(a, &["tmean_c", "swe_mm"])?;
            let start = a.number("start_cd");
            let (mut index, mut faded, mut list) = (start, 0.0, Vec::new());
            for i in 0..days.count {
                faded += (1.0 - p.frost_decay) * index;
                index = frost::index_after(
                    index,
                    days.get(0, i),
                    days.get(1, i),
                    p.frost_decay,
                    p.frost_snow_per_mm,
                );
                list.push(index);
            }
            let frozen = if index > p.frost_threshold_cd { "yes" } else { "no" };
            let working = Working::new("Frost index")
                .line(Op::Note, "frozen above", p.frost_threshold_cd, "C d", 0)
                .line(Op::Start, "before the first day", start, "C d", 1)
                .line(Op::Minus, "faded", faded, "C d", 1)
                .line(Op::Plus, "cold less warmth that reached the ground", index - start + faded, "C d", 1)
                .sum("at the end", index, "C d", 1);
            Ok(Outcome::new(working).with("index_cd", list).with("frozen", frozen))
        },
    }
}
