//! Seed rate, stand and emergence.

use stook_measure::units::{in_to_mm, kg_ha_to_bu_ac, kg_ha_to_lb_ac, per_ft2_to_per_m2, per_m2_to_per_ft2};
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::CropParams;
use crate::emergence::{days_in_steady_soil, requirement_cd};
use crate::seeding::{self, Region};

const REGIONS: [(&str, Region); 4] = [
    ("Manitoba", Region::Manitoba),
    ("Saskatchewan", Region::Saskatchewan),
    ("North Dakota", Region::NorthDakota),
    ("South Dakota", Region::SouthDakota),
];

fn tkw() -> Input {
    Input::number("tkw_g", "g", 3.0, 60.0, "weight of a thousand seeds")
}
fn germination() -> Input {
    Input::number("germination_pct", "%", 1.0, 100.0, "germination from the seed test").or(95.0)
}
fn spacing() -> Input {
    Input::number("spacing_in", "in", 3.0, 40.0, "row spacing")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.seeding_rate",
            title: "Seeding rate",
            about: "Seed to sow for the plants you want. The prairie short form is shown beside the exact one; it \
                    gives 4.1 % too much.",
            inputs: vec![
                Input::number("stand_ft2", "plants/ft2", 1.0, 80.0, "plants wanted"),
                tkw(),
                germination(),
                Input::number("loss_pct", "%", 0.0, 90.0, "live seed that gives no plant").or(10.0),
                Input::choice("survival", &["product", "difference"], "how germination and loss go together")
                    .or("product"),
            ],
            outputs: vec![
                out("rate_lb_ac", "lb/ac", "seed to sow"),
                out("rate_kg_ha", "kg/ha", "the same"),
                out("rate_bu_ac", "bu/ac", "the same in 60 lb bushels"),
                out("short_form_lb_ac", "lb/ac", "by the short form, to compare with"),
                out("survival_pct", "%", "seeds that become plants"),
                out("seeds_ft2", "seeds/ft2", "seeds to drop"),
            ],
            source: "Saskatchewan form plants/m2 x TKW / survival %, exact; short form: Manitoba and prairie press",
            run: seeding_rate,
        },
        Calculator {
            name: "crop.seed_bushels",
            title: "Seed bushels from a seed count",
            about: "Bushels an acre for a count of live seed.",
            inputs: vec![
                Input::number("live_seed_per_ac", "seeds/ac", 1e5, 3e6, "live seed wanted"),
                germination(),
                Input::number("purity_pct", "%", 50.0, 100.0, "pure seed").or(99.0),
                Input::number("seeds_per_lb", "seeds/lb", 7000.0, 100_000.0, "seeds in a pound"),
            ],
            outputs: vec![out("rate_bu_ac", "bu/ac", "seed to sow, 60 lb bushels")],
            source: "South Dakota spring wheat seeding-rate study 2010-13",
            run: seed_bushels,
        },
        Calculator {
            name: "crop.seed_from_count",
            title: "Seed pounds from a seed count",
            about: "Pounds an acre for seeds or plants a square foot, from the count in a pound.",
            inputs: vec![
                Input::number("per_ft2", "1/ft2", 1.0, 80.0, "seeds (or plants, with the two shares) wanted"),
                Input::number("seeds_per_lb", "seeds/lb", 7000.0, 100_000.0, "seeds in a pound"),
                Input::number("germination_pct", "%", 1.0, 100.0, "germination; 100 for seeds dropped")
                    .or(100.0),
                Input::number("loss_pct", "%", 0.0, 90.0, "live seed that gives no plant").or(0.0),
            ],
            outputs: vec![out("rate_lb_ac", "lb/ac", "seed to sow")],
            source: "Univ. of Kentucky (Bitzer and Herbek); Univ. of Minnesota form with loss",
            run: seed_from_count,
        },
        Calculator {
            name: "crop.seeds_per_pound",
            title: "Seeds in a pound and thousand-kernel weight",
            about: "From a counted and weighed sample.",
            inputs: vec![
                Input::number("count", "seeds", 50.0, 20_000.0, "seeds counted"),
                Input::number("sample_g", "g", 1.0, 500.0, "weight of the sample").or(20.0),
            ],
            outputs: vec![
                out("seeds_per_lb", "seeds/lb", "seeds in a pound"),
                out("tkw_g", "g", "weight of a thousand"),
            ],
            source: "arithmetic; with 20 g the factor is 22.68 (Univ. of Kentucky)",
            run: seeds_per_pound,
        },
        Calculator {
            name: "crop.row_length",
            title: "Row length that holds a square foot",
            about: "Count plants in this length of row and you have plants a square foot.",
            inputs: vec![
                spacing(),
                Input::number("per_ft2", "1/ft2", 1.0, 80.0, "density for the seeds in a foot of row")
                    .or(30.0),
            ],
            outputs: vec![
                out("row_length_in", "in", "length of row that holds a square foot"),
                out("per_foot_of_row", "1/ft", "seeds or plants in a foot of row at that density"),
            ],
            source: "144 / spacing; Univ. of Kentucky",
            run: row_length,
        },
        Calculator {
            name: "crop.stand_count",
            title: "Stand from a count",
            about: "Plants a square foot from a count along a row, and a square metre.",
            inputs: vec![
                Input::number("count", "plants", 0.0, 5000.0, "plants counted"),
                Input::number("row_ft", "ft", 0.5, 1000.0, "length of row counted"),
                spacing(),
            ],
            outputs: vec![
                out("stand_ft2", "plants/ft2", "stand"),
                out("stand_m2", "plants/m2", "stand"),
                out("yield_share", "1", "share of full yield such a stand can give (judgement)"),
            ],
            source: "arithmetic; yield share: judgement, trials flat from 26 to 41 plants/ft2 (North Dakota)",
            run: stand_count,
        },
        Calculator {
            name: "crop.plants_per_acre",
            title: "Plants an acre to a square foot",
            about: "Seeds or plants an acre in plants a square foot and a square metre.",
            inputs: vec![Input::number("per_ac", "1/ac", 1e4, 5e6, "seeds or plants an acre")],
            outputs: vec![out("per_ft2", "1/ft2", "a square foot"), out("per_m2", "1/m2", "a square metre")],
            source: "43,560 ft2 in an acre",
            run: plants_per_acre,
        },
        Calculator {
            name: "crop.target_stand",
            title: "Target stand and expected loss",
            about: "Default plants wanted by region and lateness, and the share of live seed to expect lost by soil \
                    temperature.",
            inputs: vec![
                Input::choice(
                    "region",
                    &["Manitoba", "Saskatchewan", "North Dakota", "South Dakota"],
                    "where",
                ),
                Input::number("weeks_late", "weeks", -8.0, 8.0, "weeks past the best date").or(0.0),
                Input::number("soil_c", "C", -5.0, 35.0, "soil at seed depth").or(8.0),
                Input::choice("treated", &["yes", "no"], "seed treated").or("yes"),
            ],
            outputs: vec![
                out("stand_ft2", "plants/ft2", "plants wanted"),
                out("stand_m2", "plants/m2", "plants wanted"),
                out("loss_pct", "%", "live seed expected to give no plant"),
            ],
            source: "Manitoba, Saskatchewan, North and South Dakota guides; loss classes: judgement",
            run: target_stand,
        },
        Calculator {
            name: "crop.emergence_days",
            title: "Days to emergence",
            about: "Degree-days and days from seeding to shoots in moist soil of steady temperature. Good to about two \
                    days; in a dry seedbed count from the first 5 mm of rain.",
            inputs: vec![
                Input::number("depth_mm", "mm", 10.0, 100.0, "seeding depth"),
                Input::number("soil_c", "C", 4.0, 35.0, "mean soil temperature at seed depth").or(15.0),
            ],
            outputs: vec![
                out("need_cd", "C d", "degree-days needed"),
                out("days", "d", "days to emergence"),
                out("depth_in", "in", "the depth in inches"),
            ],
            source: "40 + 15 x depth in cm: open crop-model notes, wheat emerging phase",
            run: emergence_days,
        },
    ]
}

fn seeding_rate(a: &Args) -> Answer {
    let (stand, tkw) = (a.number("stand_ft2"), a.number("tkw_g"));
    let (germination, loss) = (a.number("germination_pct") / 100.0, a.number("loss_pct") / 100.0);
    let survival = match a.text("survival") {
        "product" => seeding::survival_product(germination, loss),
        _ => seeding::survival_difference(germination, loss),
    };
    if survival <= 0.0 {
        return Err(CalcError::Together(
            "the loss is as large as the germination, so no plants would come; take the product".into(),
        ));
    }
    let kg = seeding::rate_kg_ha(per_ft2_to_per_m2(stand), tkw, survival);
    let short = seeding::rate_lb_ac_short(stand, tkw, survival);
    let w = Working::new("Seeding rate")
        .line(Op::Note, "Plants wanted", stand, "plants/ft2", 1)
        .line(Op::Start, "Plants wanted", per_ft2_to_per_m2(stand), "plants/m2", 2)
        .line(Op::Times, "Weight of a thousand", tkw, "g", 2)
        .line(Op::Over, "Seeds that become plants", 100.0 * survival, "%", 2)
        .sum("Seed", kg, "kg/ha", 1)
        .note(format!("By the prairie short form: {short:.0} lb/ac, which is 4.1 % more."))
        .note(format!(
            "Germination and loss multiplied give {:.1} %, subtracted {:.1} %.",
            100.0 * seeding::survival_product(germination, loss),
            100.0 * seeding::survival_difference(germination, loss)
        ))
        .source("exact form; Saskatchewan")
        .would_change("a new seed test or kernel weight");
    Ok(Outcome::new(w)
        .with("rate_lb_ac", kg_ha_to_lb_ac(kg))
        .with("rate_kg_ha", kg)
        .with("rate_bu_ac", kg_ha_to_bu_ac(kg, 60.0))
        .with("short_form_lb_ac", short)
        .with("survival_pct", 100.0 * survival)
        .with("seeds_ft2", stand / survival))
}

fn seed_bushels(a: &Args) -> Answer {
    let (live, per_lb) = (a.number("live_seed_per_ac"), a.number("seeds_per_lb"));
    let (germination, purity) = (a.number("germination_pct"), a.number("purity_pct"));
    let bu = seeding::rate_bu_ac_from_live_seed(live, germination / 100.0, purity / 100.0, per_lb);
    let w = Working::new("Seed bushels")
        .line(Op::Start, "Live seed wanted", live, "seeds/ac", 0)
        .line(Op::Over, "Germination", germination / 100.0, "", 4)
        .line(Op::Over, "Purity", purity / 100.0, "", 4)
        .line(Op::Over, "Seeds in a pound", per_lb, "seeds/lb", 0)
        .line(Op::Over, "Pounds in a bushel", 60.0, "lb/bu", 0)
        .sum("Seed", bu, "bu/ac", 3)
        .source("South Dakota seeding-rate study 2010-13");
    Ok(Outcome::new(w).with("rate_bu_ac", bu))
}

fn seed_from_count(a: &Args) -> Answer {
    const FT2_PER_ACRE: f64 = 43_560.0;
    let (per_ft2, per_lb) = (a.number("per_ft2"), a.number("seeds_per_lb"));
    let (germination, loss) = (a.number("germination_pct") / 100.0, a.number("loss_pct") / 100.0);
    let lb = seeding::rate_lb_ac_from_stand(per_ft2 * FT2_PER_ACRE, loss, per_lb, germination);
    let w = Working::new("Seed pounds")
        .line(Op::Start, "A square foot", per_ft2, "1/ft2", 2)
        .line(Op::Times, "Square feet in an acre", FT2_PER_ACRE, "ft2/ac", 0)
        .line(Op::Over, "Seeds in a pound", per_lb, "seeds/lb", 0)
        .line(Op::Over, "Germination", germination, "", 4)
        .line(Op::Over, "Share that comes up", 1.0 - loss, "", 4)
        .sum("Seed", lb, "lb/ac", 1)
        .note("One press copy multiplies by the share that comes up; dividing is right.")
        .source("Univ. of Kentucky; Univ. of Minnesota");
    Ok(Outcome::new(w).with("rate_lb_ac", lb))
}

fn seeds_per_pound(a: &Args) -> Answer {
    let (count, sample) = (a.number("count"), a.number("sample_g"));
    let per_lb = seeding::seeds_per_lb_from_sample(count, sample);
    let w = Working::new("Seeds in a pound")
        .line(Op::Start, "Seeds counted", count, "seeds", 0)
        .line(Op::Over, "Weight of the sample", sample, "g", 2)
        .line(Op::Times, "Grams in a pound", 1000.0 * stook_measure::units::KG_PER_LB, "g/lb", 3)
        .sum("Seeds in a pound", per_lb, "seeds/lb", 0)
        .source("arithmetic");
    Ok(Outcome::new(w).with("seeds_per_lb", per_lb).with("tkw_g", seeding::seeds_per_lb(per_lb)))
}

fn row_length(a: &Args) -> Answer {
    let (spacing, per_ft2) = (a.number("spacing_in"), a.number("per_ft2"));
    let length = seeding::row_length_for_ft2_in(spacing);
    let w = Working::new("Row length for a square foot")
        .line(Op::Start, "Square inches in a square foot", 144.0, "in2", 0)
        .line(Op::Over, "Row spacing", spacing, "in", 2)
        .sum("Row length", length, "in", 1)
        .note(format!("That is {:.0} mm.", in_to_mm(length)))
        .source("arithmetic");
    Ok(Outcome::new(w)
        .with("row_length_in", length)
        .with("per_foot_of_row", seeding::seeds_per_foot_of_row(per_ft2, spacing)))
}

fn stand_count(a: &Args) -> Answer {
    let (count, row_ft, spacing) = (a.number("count"), a.number("row_ft"), a.number("spacing_in"));
    let ft2 = seeding::stand_ft2_from_row(count, row_ft, spacing);
    let m2 = per_ft2_to_per_m2(ft2);
    let w = Working::new("Stand")
        .line(Op::Start, "Plants counted", count, "plants", 0)
        .line(Op::Over, "Row length", row_ft, "ft", 2)
        .line(Op::Times, "Inches in a foot", 12.0, "in/ft", 0)
        .line(Op::Over, "Row spacing", spacing, "in", 2)
        .sum("Stand", ft2, "plants/ft2", 1)
        .note(
            "A thin even stand often beats seeding again; the date lost and the seed weigh against the gaps.",
        )
        .source("arithmetic");
    Ok(Outcome::new(w)
        .with("stand_ft2", ft2)
        .with("stand_m2", m2)
        .with("yield_share", crate::yield_::stand_factor(m2, &CropParams::shipped().yield_)))
}

fn plants_per_acre(a: &Args) -> Answer {
    let per_ac = a.number("per_ac");
    let per_ft2 = seeding::per_acre_to_per_ft2(per_ac);
    let w = Working::new("Plants a square foot")
        .line(Op::Start, "An acre", per_ac, "1/ac", 0)
        .line(Op::Over, "Square feet in an acre", 43_560.0, "ft2/ac", 0)
        .sum("A square foot", per_ft2, "1/ft2", 1)
        .source("arithmetic");
    Ok(Outcome::new(w).with("per_ft2", per_ft2).with("per_m2", per_ft2_to_per_m2(per_ft2)))
}

fn target_stand(a: &Args) -> Answer {
    let p = &CropParams::shipped().seeding;
    let (weeks, soil) = (a.number("weeks_late"), a.number("soil_c"));
    let region = REGIONS.iter().find(|(n, _)| *n == a.text("region")).map_or(Region::Manitoba, |(_, r)| *r);
    let base = seeding::target_stand_m2(region, 0.0, p);
    let stand = seeding::target_stand_m2(region, weeks, p);
    let loss = 100.0 * seeding::expected_loss(soil, a.text("treated") == "yes", p);
    let mut w = Working::new("Target stand")
        .line(Op::Start, format!("Usual in {}", a.text("region")), base, "plants/m2", 1)
        .line(Op::Plus, "For lateness", stand - base, "plants/m2", 1)
        .sum("Plants wanted", stand, "plants/m2", 1)
        .line(Op::Note, "Live seed expected to give no plant", loss, "%", 0)
        .source("state and provincial guides; 1 plant/ft2 for each week late: Univ. of Minnesota");
    if soil < p.soil_cold_c {
        w = w.note("The soil is colder than wheat needs to germinate; seed lies and waits.");
    }
    Ok(Outcome::new(w)
        .with("stand_ft2", per_m2_to_per_ft2(stand))
        .with("stand_m2", stand)
        .with("loss_pct", loss))
}

fn emergence_days(a: &Args) -> Answer {
    let p = &CropParams::shipped().emergence;
    let (depth_cm, soil) = (a.number("depth_mm") / 10.0, a.number("soil_c"));
    let need = requirement_cd(depth_cm, p);
    let days = days_in_steady_soil(depth_cm, soil, p).ok_or_else(|| {
        CalcError::Together(format!(
            "wheat does not germinate below {} C; wait for warmer soil or give its temperature then",
            p.min_soil_c
        ))
    })?;
    let w = Working::new("Days to emergence")
        .line(Op::Start, "For each cm of depth", p.per_cm_cd, "C d/cm", 1)
        .line(Op::Times, "Depth", depth_cm, "cm", 2)
        .line(Op::Plus, "Shoot at no depth", p.base_cd, "C d", 1)
        .line(Op::Times, "Your own seedbed", p.multiplier, "", 2)
        .line(Op::Over, "Soil temperature", soil, "C", 2)
        .sum("Days", days, "d", 1)
        .note("Good to about two days. Dry seedbed: count from the first 5 mm of rain.")
        .source("open crop-model notes, wheat emerging phase")
        .would_change("soil temperature and a crust");
    Ok(Outcome::new(w)
        .with("need_cd", need)
        .with("days", days)
        .with("depth_in", stook_measure::units::mm_to_in(10.0 * depth_cm)))
}
