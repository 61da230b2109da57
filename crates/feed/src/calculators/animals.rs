//! Animals: needs, intake, growth, the barn's year, goats.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, p, refused};
use crate::goat::{self, Goat};
use crate::growth;
use crate::need::{self, Choices, Phase, RatioSet, Sex};

const PHASES: [&str; 9] = [
    "starter_1",
    "starter_2",
    "starter_3",
    "grower_1",
    "grower_2",
    "finisher_1",
    "finisher_2",
    "gestation",
    "lactation",
];
const ROWS: [&str; 27] = [
    "starter_1",
    "starter_2",
    "starter_3",
    "grower_1",
    "grower_2",
    "finisher_1",
    "finisher_2",
    "lactation_1_190_plus10",
    "lactation_1_190_min",
    "lactation_1_230_plus10",
    "lactation_1_230_min",
    "lactation_1_270_plus10",
    "lactation_1_270_min",
    "lactation_2p_190_plus10",
    "lactation_2p_190_min",
    "lactation_2p_230_plus10",
    "lactation_2p_230_min",
    "lactation_2p_270_plus10",
    "lactation_2p_270_min",
    "gestation_1_early",
    "gestation_1_late",
    "gestation_2_early",
    "gestation_2_late",
    "gestation_3_early",
    "gestation_3_late",
    "gestation_4p_early",
    "gestation_4p_late",
];
const SEXES: [&str; 3] = ["mixed", "gilt", "barrow"];

fn weight(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "kg", 5.0, 200.0, about)
}

fn sex(a: &Args) -> Sex {
    Sex::from_key(a.text("sex")).unwrap_or_default()
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "feed.need_table",
            title: "A row of the requirement table",
            about: "What a diet must hold by the printed tables: NRC 2012 for growing pigs, Farmer 2015 for milk, NRC 2012 from memory for sows in pig. Needs without margin unless the row says +10 %.",
            inputs: vec![Input::choice("row", &ROWS, "row of the table")],
            outputs: vec![
                out("ne_kcal_kg", "kcal/kg", "net energy"),
                out("me_kcal_kg", "kcal/kg", "metabolizable energy"),
                out("feed_g_d", "g/d", "feed with 5 % waste"),
                out("gain_g_d", "g/d", "gain"),
                out("lys_pct", "%", "digestible lysine"),
                out("ca_pct", "%", "calcium"),
                out("sttd_p_pct", "%", "digestible phosphorus"),
                out("lys_g_mcal", "g/Mcal", "digestible lysine for net energy"),
            ],
            source: "NRC 2012 Table 16-1A and others; Farmer (ed.) 2015 Table 6.3",
            run: need_table,
        },
        Calculator {
            name: "feed.need",
            title: "What a phase needs",
            about: "The need a ration is made to: net energy, lysine in proportion to it, other amino acids in proportion to lysine, minerals; the margin stands apart. Minerals follow energy. A nutritionist reviews every ration.",
            inputs: vec![
                Input::choice("phase", &PHASES, "phase"),
                Input::choice("sex", &SEXES, "sex").or("mixed"),
                Input::choice(
                    "ratios",
                    &["formulators", "table"],
                    "amino acid ratios: as in printed diets, or the table's minima",
                )
                .or("formulators"),
                Input::number(
                    "margin_pct",
                    "%",
                    0.0,
                    15.0,
                    "margin on lysine and phosphorus, in place of the usual",
                )
                .optional(),
            ],
            outputs: vec![
                out("ne_kcal_kg", "kcal/kg", "lowest net energy"),
                out("lys_g_mcal", "g/Mcal", "digestible lysine for net energy"),
                out("lys_pct", "%", "digestible lysine at that energy"),
                out("sttd_p_pct", "%", "digestible phosphorus"),
                out("ca_min_pct", "%", "least calcium"),
                out("ca_max_pct", "%", "most calcium"),
                out("na_pct", "%", "sodium"),
                out("thr_of_lys", "1", "threonine to lysine"),
                out("don_ppm", "ppm", "most DON"),
            ],
            source: "NRC 2012; ratios of PMC8269968 and Vier et al. 2019; Canadian guideline for DON",
            run: need_of,
        },
        Calculator {
            name: "feed.intake",
            title: "What a pig eats a day",
            about: "Energy taken a day by a growing pig of a weight, by sex, and feed with waste at a diet's energy. From about 20 kg.",
            inputs: vec![
                Input::number("kg", "kg", 20.0, 150.0, "weight"),
                Input::choice("sex", &SEXES, "sex").or("mixed"),
                Input::number("me_kcal_kg", "kcal/kg", 2000.0, 4000.0, "metabolizable energy of the diet")
                    .or(3300.0),
            ],
            outputs: vec![
                out("me_kcal_d", "kcal/d", "energy taken"),
                out("feed_kg_d", "kg/d", "feed with 5 % waste"),
            ],
            source: "NRC 2012 intake curves after Bridges, from memory; they give the table within 2 %",
            run: |a| {
                let me = growth::me_intake_kcal_d(p(), sex(a), a.number("kg"));
                let feed = me / ((1.0 - p().wasted_share) * a.number("me_kcal_kg"));
                let w = Working::new("Feed a day")
                    .line(Op::Start, "Energy taken", me, "kcal", 0)
                    .line(Op::Over, "Diet", a.number("me_kcal_kg"), "kcal/kg", 0)
                    .line(Op::Over, "Share eaten", 1.0 - p().wasted_share, "", 2)
                    .sum("Feed", feed, "kg", 3);
                Ok(Outcome::new(w).with("me_kcal_d", me).with("feed_kg_d", feed))
            },
        },
        Calculator {
            name: "feed.budget",
            title: "Days and feed from one weight to another",
            about: "By the table's gains and feed, each phase in turn, with your own factors from close-outs.",
            inputs: vec![
                weight("from_kg", "from"),
                weight("to_kg", "to"),
                Input::number("gain_factor", "1", 0.5, 1.5, "own gain over the table's").or(1.0),
                Input::number("feed_factor", "1", 0.6, 1.6, "own feed for gain over the table's").or(1.0),
            ],
            outputs: vec![
                out("days", "d", "days"),
                out("feed_kg", "kg", "feed of one pig, waste counted"),
                out("feed_per_gain", "1", "feed for gain"),
            ],
            source: "NRC 2012 Table 16-1A",
            run: |a| {
                let (from, to) = (a.number("from_kg"), a.number("to_kg"));
                if to <= from {
                    return Err(refused("to_kg must be above from_kg"));
                }
                let q = crate::FeedParams {
                    gain_factor: a.number("gain_factor"),
                    feed_factor: a.number("feed_factor"),
                    ..*p()
                };
                let s = growth::stretch(&q, from, to);
                let mut w = Working::new("Feed");
                let mut at = from;
                while at < to - 1e-9 {
                    let end = Phase::at_kg(at).kg().map_or(to, |(_, b)| if b > at { b.min(to) } else { to });
                    w = w.line(
                        Op::Plus,
                        format!("{at:.0} to {end:.0} kg"),
                        growth::stretch(&q, at, end).feed_kg,
                        "kg",
                        2,
                    );
                    at = end;
                }
                Ok(Outcome::new(w.sum("Feed", s.feed_kg, "kg", 2))
                    .with("days", s.days)
                    .with("feed_kg", s.feed_kg)
                    .with("feed_per_gain", s.feed_kg / (to - from)))
            },
        },
        Calculator {
            name: "feed.barn_year",
            title: "A farrow-to-finish barn in a year",
            about: "Litters, farrowings a week, pigs sold and sow feed from a few numbers.",
            inputs: vec![
                Input::number("sows", "sows", 1.0, 20_000.0, "sows"),
                Input::number("weaned", "pigs", 4.0, 18.0, "pigs weaned a litter").or(11.0),
                Input::number("nursery_loss_pct", "%", 0.0, 50.0, "lost in the nursery").or(3.0),
                Input::number("finish_loss_pct", "%", 0.0, 50.0, "lost in the finishing barn").or(3.0),
            ],
            outputs: vec![
                out("litters", "a year", "litters a sow"),
                out("farrowings_week", "a week", "farrowings"),
                out("sold", "pigs", "pigs sold"),
                out("sow_kg", "kg", "feed of a sow in a year"),
            ],
            source: "arithmetic; feeding rates of NRC 2012 and Farmer (ed.) 2015",
            run: |a| {
                let litters = growth::litters_per_sow(p());
                let weeks = a.number("sows") * litters / 52.0;
                let kept = (1.0 - a.number("nursery_loss_pct") / 100.0)
                    * (1.0 - a.number("finish_loss_pct") / 100.0);
                let sold = a.number("sows") * litters * a.number("weaned") * kept;
                let (pig, milk) = growth::sow_year(p());
                let w = Working::new("Pigs sold")
                    .line(Op::Start, "Sows", a.number("sows"), "", 0)
                    .line(Op::Times, "Litters a sow", litters, "", 4)
                    .line(Op::Times, "Weaned a litter", a.number("weaned"), "", 1)
                    .line(Op::Times, "Kept to sale", kept, "", 4)
                    .sum("Sold", sold, "pigs", 0);
                Ok(Outcome::new(w)
                    .with("litters", litters)
                    .with("farrowings_week", weeks)
                    .with("sold", sold)
                    .with("sow_kg", pig + milk))
            },
        },
        Calculator {
            name: "feed.closeout",
            title: "How a group did",
            about: "Feed for gain against the table, and the factors for the next budget. Pigs that died count half the gain.",
            inputs: vec![
                Input::number("head_in", "pigs", 1.0, 1e5, "pigs in"),
                weight("kg_in", "weight in"),
                Input::number("head_out", "pigs", 1.0, 1e5, "pigs out"),
                weight("kg_out", "weight out"),
                Input::number("days", "d", 5.0, 400.0, "days"),
                Input::number("feed_kg", "kg", 1.0, 1e8, "feed in all"),
            ],
            outputs: vec![
                out("feed_per_gain", "1", "feed for gain"),
                out("table_feed_per_gain", "1", "the table's"),
                out("feed_factor", "1", "own over the table's"),
                out("gain_kg_d", "kg/d", "gain a day"),
                out("gain_factor", "1", "own over the table's"),
            ],
            source: "arithmetic against NRC 2012 Table 16-1A",
            run: |a| {
                if a.number("kg_out") <= a.number("kg_in") || a.number("head_out") > a.number("head_in") {
                    return Err(refused("pigs go out heavier than they came in, and not more of them"));
                }
                let c = growth::closeout(
                    p(),
                    a.number("head_in"),
                    a.number("kg_in"),
                    a.number("head_out"),
                    a.number("kg_out"),
                    a.number("days"),
                    a.number("feed_kg"),
                );
                let w = Working::new("Feed for gain over the table")
                    .line(Op::Start, "Own feed for gain", c.feed_per_gain, "", 3)
                    .line(Op::Over, "Table", c.table_feed_per_gain, "", 3)
                    .sum("Factor", c.feed_factor, "", 3);
                Ok(Outcome::new(w)
                    .with("feed_per_gain", c.feed_per_gain)
                    .with("table_feed_per_gain", c.table_feed_per_gain)
                    .with("feed_factor", c.feed_factor)
                    .with("gain_kg_d", c.gain_kg_d)
                    .with("gain_factor", c.gain_factor))
            },
        },
        Calculator {
            name: "feed.goat",
            title: "What a goat needs",
            about: "Energy, digestible nutrients and protein a day, by the factorial system of NRC 1981. NRC 2007 differs by under 15 % for this use. Hay first, grain whole, changes over one to two weeks; never pig feed or pig premix to goats or sheep.",
            inputs: vec![
                Input::number("kg", "kg", 5.0, 150.0, "weight"),
                Input::number("gain_g_d", "g/d", 0.0, 400.0, "gain").or(0.0),
                Input::number("milk_kg_d", "kg/d", 0.0, 10.0, "milk").or(0.0),
                Input::number("fat_pct", "%", 2.0, 8.0, "fat of the milk").or(4.0),
                Input::choice("walks", &["housed", "light", "hills", "long range"], "how far she walks")
                    .or("housed"),
                Input::choice("late", &["no", "yes"], "last two months before kidding").or("no"),
            ],
            outputs: vec![
                out("me_kcal_d", "kcal/d", "metabolizable energy"),
                out("tdn_kg_d", "kg/d", "total digestible nutrients"),
                out("cp_kg_d", "kg/d", "crude protein"),
                out("forage_kg_d", "kg/d", "least forage"),
            ],
            source: "NRC 1981 Nutrient Requirements of Goats p. 10; Alabama Extension ANR-812 Table 3",
            run: |a| {
                let activity = match a.text("walks") {
                    "light" => 1.25,
                    "hills" => 1.5,
                    "long range" => 1.75,
                    _ => 1.0,
                };
                let g = Goat {
                    kg: a.number("kg"),
                    gain_g_d: a.number("gain_g_d"),
                    milk_kg_d: a.number("milk_kg_d"),
                    fat_pct: a.number("fat_pct"),
                    activity,
                    late_pregnant: a.text("late") == "yes",
                };
                let n = goat::need(p(), &g);
                let w = Working::new("Energy a day")
                    .line(
                        Op::Plus,
                        "Maintenance",
                        p().goat_maintenance * g.kg.powf(0.75) * activity,
                        "kcal",
                        0,
                    )
                    .line(Op::Plus, "Gain", p().goat_gain * g.gain_g_d, "kcal", 0)
                    .line(
                        Op::Plus,
                        "Milk",
                        g.milk_kg_d * (p().goat_milk + p().goat_fat * (g.fat_pct - 4.0) / 0.5),
                        "kcal",
                        0,
                    )
                    .sum("Energy", n.me_kcal, "kcal", 0);
                Ok(Outcome::new(w)
                    .with("me_kcal_d", n.me_kcal)
                    .with("tdn_kg_d", n.tdn_kg)
                    .with("cp_kg_d", n.protein_kg)
                    .with("forage_kg_d", n.forage_kg))
            },
        },
        Calculator {
            name: "feed.goat_grain",
            title: "Grain for a goat on hay",
            about: "Grain on top of hay to meet energy, in two feedings, held to a pound a feeding and wheat to a quarter of the dry diet: wheat starch is fast and a gut turned acid kills within a day.",
            inputs: vec![
                Input::number("tdn_kg_d", "kg/d", 0.1, 6.0, "digestible nutrients needed"),
                Input::number("hay_kg_d", "kg/d", 0.1, 6.0, "hay eaten"),
                Input::number("hay_tdn", "1", 0.3, 0.75, "digestible nutrients of the hay, by its test")
                    .or(0.55),
                Input::number("grain_tdn", "1", 0.6, 0.95, "digestible nutrients of the grain").or(0.85),
                Input::choice("grain", &["wheat", "other"], "grain").or("wheat"),
            ],
            outputs: vec![
                out("grain_kg_d", "kg/d", "grain"),
                out("short", "", "whether the limit leaves her short"),
            ],
            source: "limits: extension advice (not over 1 lb a feeding); wheat share from memory",
            run: |a| {
                let n = goat::GoatNeed {
                    me_kcal: 0.0,
                    tdn_kg: a.number("tdn_kg_d"),
                    protein_kg: 0.0,
                    forage_kg: 0.0,
                };
                let (kg, short) = goat::grain_kg(
                    p(),
                    &n,
                    a.number("hay_kg_d"),
                    a.number("hay_tdn"),
                    a.number("grain_tdn"),
                    a.text("grain") == "wheat",
                );
                let w = Working::new("Grain")
                    .line(Op::Note, "Need", n.tdn_kg, "kg", 3)
                    .line(Op::Note, "From hay", a.number("hay_kg_d") * a.number("hay_tdn"), "kg", 3)
                    .sum("Grain", kg, "kg", 2);
                Ok(Outcome::new(w).with("grain_kg_d", kg).with("short", if short { "yes" } else { "no" }))
            },
        },
    ]
}

fn need_table(a: &Args) -> Answer {
    let r = need::row(a.text("row")).ok_or_else(|| refused("there is no such row"))?;
    let get = |x: Option<f64>| x.unwrap_or(f64::NAN);
    let lys = get(r.lys_sid_pct) * 1e4 / get(r.ne_kcal_kg);
    let w = Working::new(r.stage.clone())
        .line(Op::Note, "Lysine", get(r.lys_sid_pct), "%", 2)
        .line(Op::Note, "Net energy", get(r.ne_kcal_kg), "kcal/kg", 0)
        .source(format!("{} ({})", r.source, r.sure));
    Ok(Outcome::new(w)
        .with("ne_kcal_kg", get(r.ne_kcal_kg))
        .with("me_kcal_kg", get(r.me_kcal_kg))
        .with("feed_g_d", get(r.feed_incl_5pct_waste_g_d))
        .with("gain_g_d", get(r.adg_g_d))
        .with("lys_pct", get(r.lys_sid_pct))
        .with("ca_pct", get(r.ca_total_pct))
        .with("sttd_p_pct", get(r.p_sttd_pct))
        .with("lys_g_mcal", lys))
}

fn need_of(a: &Args) -> Answer {
    let phase = Phase::from_key(a.text("phase")).ok_or_else(|| refused("there is no such phase"))?;
    let set = if a.text("ratios") == "table" { RatioSet::Table } else { RatioSet::Formulators };
    let margin = a.maybe_number("margin_pct").map(|m| m / 100.0);
    let n = need::need(p(), phase, Choices { sex: sex(a), set, margin, phytase_p_pct: None });
    let w = Working::new(format!("Need: {}", phase.words()))
        .line(Op::Start, "Lysine for energy, without margin", n.lys_g_mcal / (1.0 + n.margin), "g/Mcal", 3)
        .line(Op::Times, "Margin", 1.0 + n.margin, "", 3)
        .sum("Lysine for energy", n.lys_g_mcal, "g/Mcal", 2)
        .note("A nutritionist reviews the ration made to it.");
    Ok(Outcome::new(w)
        .with("ne_kcal_kg", n.ne_kcal_kg)
        .with("lys_g_mcal", n.lys_g_mcal)
        .with("lys_pct", n.lys_pct(n.ne_kcal_kg))
        .with("sttd_p_pct", n.sttd_p_pct)
        .with("ca_min_pct", n.ca_min_pct)
        .with("ca_max_pct", n.ca_max_pct)
        .with("na_pct", n.na_min_pct)
        .with("thr_of_lys", n.ratios[2])
        .with("don_ppm", n.don_max_ppm.unwrap_or(f64::NAN)))
}
