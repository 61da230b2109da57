//! Spray windows, weeds and frost.

use stook_measure::units::c_to_f;
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::phase::Phase;
use crate::weeds::Pressure;
use crate::windows::{self, WeedSpray, Window};
use crate::{CropParams, frost, weeds};

const STAGES: [(&str, Phase); 11] = [
    ("leaves", Phase::Seedling),
    ("tillering", Phase::Tillering),
    ("jointing", Phase::Jointing),
    ("flag leaf", Phase::FlagLeaf),
    ("boot", Phase::Boot),
    ("heading", Phase::Heading),
    ("flowering", Phase::Flowering),
    ("milk", Phase::Milk),
    ("soft dough", Phase::SoftDough),
    ("hard dough", Phase::HardDough),
    ("ripe", Phase::Ripe),
];
const STAGE_WORDS: [&str; 11] = [
    "leaves",
    "tillering",
    "jointing",
    "flag leaf",
    "boot",
    "heading",
    "flowering",
    "milk",
    "soft dough",
    "hard dough",
    "ripe",
];

fn stage_input() -> Input {
    Input::choice("stage", &STAGE_WORDS, "stage of the main stems")
}

fn stage_of(a: &Args) -> Phase {
    STAGES.iter().find(|(w, _)| *w == a.text("stage")).map_or(Phase::Seeded, |(_, p)| *p)
}

fn window_words(w: Window) -> &'static str {
    match w {
        Window::TooEarly => "too early",
        Window::Early => "open, early",
        Window::Best => "best",
        Window::Acceptable => "acceptable",
        Window::Late => "late, last resort",
        Window::Closed => "closed",
    }
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.herbicide_window",
            title: "Weed spray window",
            about: "Whether the crop's stage suits a weed spray. The label overrides.",
            inputs: vec![
                Input::number("leaves", "leaves", 0.0, 9.0, "leaves on the main stem"),
                stage_input().or("leaves"),
                Input::choice("spray", &["general", "dicamba", "2,4-D", "MCPA"], "kind of spray")
                    .or("general"),
            ],
            outputs: vec![out("window", "", "where in the window")],
            source: "Kansas State Univ. e-updates; Univ. Minnesota; general window: common practice",
            run: herbicide_window,
        },
        Calculator {
            name: "crop.fungicide_window",
            title: "Head spray window",
            about: "Where a day stands in the window for a head blight spray, and the share of the response left.",
            inputs: vec![Input::number(
                "days_from_flowering",
                "d",
                -20.0,
                40.0,
                "days from the start of flowering",
            )],
            outputs: vec![
                out("window", "", "where in the window"),
                out("response_share", "1", "share of the full response (judgement)"),
            ],
            source: "best at BBCH 61-65, later sprays still worked in trials; spans and shares: judgement",
            run: fungicide_window,
        },
        Calculator {
            name: "crop.weed_loss",
            title: "Yield lost to weeds by when they come out",
            about: "Two published sets disagree; both are shown, with the middle used. For wild oat.",
            inputs: vec![
                Input::number(
                    "leaves",
                    "leaves",
                    0.0,
                    12.0,
                    "crop leaves when weeds come out; leave out for never",
                )
                .optional(),
                Input::choice("pressure", &["light", "moderate", "heavy"], "how many weeds").or("heavy"),
            ],
            outputs: vec![
                out("low_pct", "%", "low: Saskatchewan trial"),
                out("middle_pct", "%", "used: half way between the middles"),
                out("high_pct", "%", "high: North Dakota"),
            ],
            source: "North Dakota 8-15 % at 3 leaves, 25-35 % at 5; Saskatchewan none to 6-7, 28-39 % if never",
            run: weed_loss,
        },
        Calculator {
            name: "crop.frost_loss",
            title: "Frost damage",
            about: "What the freeze chart says of a night, and a share of yield for money. Look after 7 to 10 days \
                    before acting.",
            inputs: vec![
                stage_input(),
                Input::number("tmin_c", "C", -30.0, 10.0, "lowest temperature, crop height"),
            ],
            outputs: vec![
                out("harm", "", "in the words of the chart"),
                out("loss_pct", "%", "yield lost (partly judgement)"),
                out("tmin_f", "F", "the temperature in F"),
            ],
            source: "Kansas State Univ. C-646; shape from Ohio State Univ. ANR-93; seedlings: Manitoba",
            run: frost_loss,
        },
        Calculator {
            name: "crop.frost_first_node",
            title: "Frost at first node, published curve",
            about: "Yield lost after 15 minutes at a temperature, at the first-node stage.",
            inputs: vec![Input::number("t_f", "F", -10.0, 40.0, "temperature")],
            outputs: vec![out("loss_pct", "%", "yield lost")],
            source: "logistic through the two points of Ohio State Univ. ANR-93",
            run: frost_first_node,
        },
    ]
}

fn herbicide_window(a: &Args) -> Answer {
    let p = &CropParams::shipped().window;
    let spray = match a.text("spray") {
        "dicamba" => WeedSpray::Dicamba,
        "2,4-D" => WeedSpray::TwoFourD,
        "MCPA" => WeedSpray::Mcpa,
        _ => WeedSpray::General,
    };
    let words = window_words(windows::herbicide(a.number("leaves"), stage_of(a), spray, p));
    let w = Working::new("Weed spray window")
        .line(Op::Note, "Leaves", a.number("leaves"), "leaves", 1)
        .note(format!("{}: {words}.", a.text("spray")))
        .note("The label overrides this.")
        .source("Kansas State Univ. e-updates; Univ. Minnesota");
    Ok(Outcome::new(w).with("window", words))
}

fn fungicide_window(a: &Args) -> Answer {
    let p = &CropParams::shipped().window;
    let days = a.number("days_from_flowering");
    let words = window_words(windows::fungicide(days, p));
    let share = windows::fungicide_response_share(days, p);
    let w = Working::new("Head spray window")
        .line(Op::Note, "Days from the start of flowering", days, "d", 1)
        .line(Op::Note, "Share of the response left", share, "", 2)
        .note(format!("Window: {words}."))
        .note("The label, and its days to harvest, override this.")
        .source("judgement, bounded by trials");
    Ok(Outcome::new(w).with("window", words).with("response_share", share))
}

fn weed_loss(a: &Args) -> Answer {
    let pressure = match a.text("pressure") {
        "light" => Pressure::Light,
        "moderate" => Pressure::Moderate,
        _ => Pressure::Heavy,
    };
    let loss = weeds::loss(a.maybe_number("leaves"), pressure, &CropParams::shipped().weeds);
    let w = Working::new("Yield lost to weeds")
        .line(Op::Note, "Low, Saskatchewan trial", 100.0 * loss.low, "%", 1)
        .line(Op::Note, "Middle, used", 100.0 * loss.middle, "%", 1)
        .line(Op::Note, "High, North Dakota", 100.0 * loss.high, "%", 1)
        .note("The sources disagree on early weeds; the middle is half way between their middles.")
        .source("North Dakota extension; Saskatchewan wild oat trial");
    Ok(Outcome::new(w)
        .with("low_pct", 100.0 * loss.low)
        .with("middle_pct", 100.0 * loss.middle)
        .with("high_pct", 100.0 * loss.high))
}

fn frost_loss(a: &Args) -> Answer {
    let p = &CropParams::shipped().frost;
    let (phase, tmin) = (stage_of(a), a.number("tmin_c"));
    let harm = frost::harm(phase, tmin, p).words();
    let loss = 100.0 * frost::loss(phase, tmin, p);
    let w = Working::new("Frost damage")
        .line(Op::Note, "Lowest temperature", tmin, "C", 1)
        .line(Op::Note, "Yield lost", loss, "%", 0)
        .note(format!("By the chart: {harm}."))
        .note("Look after 7 to 10 days; tell the insurer at once and destroy nothing without written leave.")
        .source("Kansas State Univ. C-646; Ohio State Univ. ANR-93");
    Ok(Outcome::new(w).with("harm", harm).with("loss_pct", loss).with("tmin_f", c_to_f(tmin)))
}

fn frost_first_node(a: &Args) -> Answer {
    let loss = 100.0 * frost::first_node_loss_15_min(a.number("t_f"));
    let w = Working::new("Frost at first node")
        .line(Op::Note, "Temperature for 15 minutes", a.number("t_f"), "F", 1)
        .line(Op::Note, "Yield lost", loss, "%", 1)
        .source("Ohio State Univ. ANR-93");
    Ok(Outcome::new(w).with("loss_pct", loss))
}
