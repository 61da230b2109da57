//! Head blight and leaf infection.

use stook_measure::units::kg_ha_to_bu_ac;
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::CropParams;
use crate::disease::pressure::{Worth, expected_index_pct, hours_for_index};
use crate::disease::{self, Fungicide, Infection, Resistance, Risk};

const FUNGICIDES: [&str; 5] =
    ["prothioconazole_tebuconazole", "metconazole", "prothioconazole", "tebuconazole", "propiconazole"];

fn fungicide_of(a: &Args) -> Fungicide {
    Fungicide::ALL
        .into_iter()
        .find(|f| f.key() == a.text("fungicide"))
        .unwrap_or(Fungicide::ProthioconazoleTebuconazole)
}

fn index() -> Input {
    Input::number("index_pct", "%", 0.0, 100.0, "diseased spikelets")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.fhb_risk",
            title: "Head blight risk",
            about: "A class from the hours of the last seven days that were 15 to 30 C and humid or wet. It means \
                    something from heading to the end of flowering; it is an index, not a probability.",
            inputs: vec![
                Input::number("wet_warm_h", "h", 0.0, 168.0, "wet-warm hours in seven days"),
                Input::choice(
                    "cultivar",
                    &["susceptible", "intermediate", "moderately resistant"],
                    "cultivar",
                )
                .or("intermediate"),
                Input::choice("stubble", &["other", "wheat or maize"], "last year's crop").or("other"),
            ],
            outputs: vec![out("risk", "", "low, moderate or high")],
            source: "predictors of De Wolf et al. 2003; class limits: judgement",
            run: fhb_risk,
        },
        Calculator {
            name: "crop.fhb_de_wolf",
            title: "Head blight, De Wolf equations",
            about: "The published equations on predictors scaled 0 to 1. How the authors scaled hours was not found: \
                    use it to rank days, not as a probability.",
            inputs: vec![
                Input::choice("model", &["A", "B"], "which equation"),
                Input::number("x", "1", 0.0, 1.0, "scaled predictor"),
            ],
            outputs: vec![out("p", "1", "as the equation gives it")],
            source: "De Wolf, Madden and Lipps 2003, Phytopathology 93:428; coefficients from a secondary note",
            run: de_wolf,
        },
        Calculator {
            name: "crop.fhb_loss",
            title: "What head blight costs",
            about: "Yield lost and DON at a share of diseased spikelets. Diseased kernels tell more of DON than heads.",
            inputs: vec![
                index(),
                Input::number("yield_kg_ha", "kg/ha", 500.0, 12_000.0, "yield without").or(4100.0),
            ],
            outputs: vec![
                out("loss_kg_ha", "kg/ha", "lost"),
                out("yield_left_pct", "%", "share of the yield left"),
                out("don_ppm", "ppm", "DON to expect"),
            ],
            source: "Madden and Paul 2009, 99:850; Paul et al. 2006, 96:951",
            run: fhb_loss,
        },
        Calculator {
            name: "crop.fhb_spray",
            title: "What a head spray returns",
            about: "Yield saved and DON left at the disease that would come without a spray, and the money.",
            inputs: vec![
                index(),
                Input::choice("fungicide", &FUNGICIDES, "active ingredient")
                    .or("prothioconazole_tebuconazole"),
                Input::number("price_bu", "money/bu", 0.0, 50.0, "price of wheat").or(7.5),
                Input::number("cost_ac", "money/ac", 0.0, 200.0, "spray and pass").or(22.0),
                Input::number("grade_saving_ac", "money/ac", -200.0, 500.0, "grade and DON discount saved")
                    .or(0.0),
            ],
            outputs: vec![
                out("saved_kg_ha", "kg/ha", "yield saved"),
                out("saved_bu_ac", "bu/ac", "yield saved"),
                out("don_before_ppm", "ppm", "DON without"),
                out("don_after_ppm", "ppm", "DON with"),
                out("trial_mean_gain_kg_ha", "kg/ha", "mean gain over the trials, to compare"),
                out("net_ac", "money/ac", "worth less cost"),
            ],
            source: "Madden and Paul 2009; Paul et al. 2006, 2008, 2010",
            run: fhb_spray,
        },
        Calculator {
            name: "crop.infection_wetness",
            title: "Hours of wetness a leaf disease needs",
            about: "Infection by temperature and wetness, one equation for all leaf diseases. 0 hours: no wetness is \
                    enough at that temperature.",
            inputs: vec![
                Input::number("t_c", "C", -10.0, 45.0, "temperature while wet"),
                Input::number("tmin_c", "C", -5.0, 20.0, "coldest for the disease"),
                Input::number("topt_c", "C", 0.0, 35.0, "best for the disease"),
                Input::number("tmax_c", "C", 5.0, 45.0, "hottest for the disease"),
                Input::number("wmin_h", "h", 0.5, 72.0, "hours needed at the best temperature"),
                Input::number("wmax_h", "h", 1.0, 200.0, "most hours").or(48.0),
            ],
            outputs: vec![
                out("response", "1", "temperature response"),
                out("wetness_h", "h", "hours needed"),
            ],
            source: "Magarey, Sutton and Thayer 2005, Phytopathology 95:92",
            run: infection,
        },
        Calculator {
            name: "crop.fhb_expected",
            title: "Disease to expect from the hours, and when a spray pays",
            about: "Diseased spikelets reckoned with at the worst seven days' hours, and the hours from which a head \
                    spray pays for itself. The step from hours to spikelets is a judgement, anchored on an epidemic \
                    being a tenth of the spikelets; use your own strips to correct it.",
            inputs: vec![
                Input::number("wet_warm_h", "h", 0.0, 168.0, "most wet-warm hours in seven days"),
                Input::choice(
                    "cultivar",
                    &["susceptible", "intermediate", "moderately resistant"],
                    "cultivar",
                )
                .or("intermediate"),
                Input::choice("stubble", &["other", "wheat or maize"], "last year's crop").or("other"),
                Input::number("yield_kg_ha", "kg/ha", 500.0, 12_000.0, "yield without disease").or(3500.0),
                Input::number("price_t", "money/t", 0.0, 2000.0, "price of wheat").or(276.0),
                Input::number("feed_price_t", "money/t", 0.0, 2000.0, "price as feed").or(230.0),
                Input::number("cost_ha", "money/ha", 0.0, 500.0, "spray and pass").or(54.0),
                Input::number("don_from_ppm", "ppm", 0.0, 10.0, "DON from which it is discounted").or(1.0),
                Input::number("don_per_t_ppm", "money/t/ppm", 0.0, 100.0, "discount a tonne and ppm")
                    .or(12.0),
            ],
            outputs: vec![
                out("index_pct", "%", "diseased spikelets to expect"),
                out("net_ha", "money/ha", "spray at its best, over its cost"),
                out("pays_from_pct", "%", "diseased spikelets at which it pays; -1 at none"),
                out("pays_from_h", "h", "hours at which it pays; -1 at none"),
            ],
            source: "Madden and Paul 2009; Paul et al. 2006, 2008; hours to spikelets: judgement",
            run: expected,
        },
        Calculator {
            name: "crop.leaf_spray_gain",
            title: "What a leaf spray gains",
            about: "Yield a flag-leaf spray saves after so many days on which leaves were wet and warm enough for \
                    tan spot. The two gains are published; the days at which they come are a judgement.",
            inputs: vec![
                Input::number("days", "d", 0.0, 90.0, "infection days from flag leaf to milk"),
                Input::choice("stubble", &["other", "wheat"], "last year's crop").or("other"),
            ],
            outputs: vec![out("gain_kg_ha", "kg/ha", "yield saved")],
            source: "Univ. Saskatchewan leaf-spot trials; days: judgement",
            run: leaf_gain,
        },
    ]
}

fn fhb_risk(a: &Args) -> Answer {
    let p = &CropParams::shipped().disease;
    let cultivar = match a.text("cultivar") {
        "susceptible" => Resistance::Susceptible,
        "intermediate" => Resistance::Intermediate,
        _ => Resistance::ModeratelyResistant,
    };
    let hours = a.number("wet_warm_h");
    let risk = match disease::fhb_risk(hours, cultivar, a.text("stubble") != "other", p) {
        Risk::Low => "low",
        Risk::Moderate => "moderate",
        Risk::High => "high",
    };
    let w = Working::new("Head blight risk")
        .line(Op::Note, "Wet-warm hours in seven days", hours, "h", 0)
        .line(Op::Note, "Moderate from", p.moderate_h, "h", 0)
        .line(Op::Note, "High from", p.high_h, "h", 0)
        .note("One class up for a susceptible cultivar or wheat or maize stubble, one down for a resistant one.")
        .source("class limits: judgement");
    Ok(Outcome::new(w).with("risk", risk))
}

fn de_wolf(a: &Args) -> Answer {
    let x = a.number("x");
    let p = if a.text("model") == "A" { disease::de_wolf_a(x) } else { disease::de_wolf_b(x) };
    let w = Working::new("De Wolf equation")
        .line(Op::Note, "Scaled predictor", x, "", 3)
        .line(Op::Note, "Result", p, "", 3)
        .note("The scaling of hours is not known, so this ranks days and nothing more.")
        .source("De Wolf, Madden and Lipps 2003");
    Ok(Outcome::new(w).with("p", p))
}

fn fhb_loss(a: &Args) -> Answer {
    let p = &CropParams::shipped().disease;
    let (index, base) = (a.number("index_pct"), a.number("yield_kg_ha"));
    let loss = disease::fhb_yield_loss_kg_ha(index, p).min(base);
    let w = Working::new("What head blight costs")
        .line(Op::Start, "Diseased spikelets", index, "%", 1)
        .line(Op::Times, "Yield lost a point", p.fhb_loss_kg_ha_per_point, "kg/ha", 1)
        .sum("Lost", disease::fhb_yield_loss_kg_ha(index, p), "kg/ha", 0)
        .line(Op::Note, "DON to expect", disease::don_ppm(index, p), "ppm", 2)
        .source("Madden and Paul 2009; Paul et al. 2006");
    Ok(Outcome::new(w)
        .with("loss_kg_ha", loss)
        .with("yield_left_pct", 100.0 * (base - loss) / base)
        .with("don_ppm", disease::don_ppm(index, p)))
}

fn fhb_spray(a: &Args) -> Answer {
    let p = &CropParams::shipped().disease;
    let (index, fungicide) = (a.number("index_pct"), fungicide_of(a));
    let saved = disease::spray_saves_kg_ha(index, fungicide, p);
    let bu = kg_ha_to_bu_ac(saved, 60.0);
    let net = bu * a.number("price_bu") + a.number("grade_saving_ac") - a.number("cost_ac");
    let w = Working::new("What a head spray returns")
        .line(Op::Note, "Diseased spikelets without a spray", index, "%", 1)
        .line(Op::Note, "Share held off", p.fungicides[fungicide as usize].index_control, "", 2)
        .line(Op::Start, "Yield saved", bu, "bu/ac", 3)
        .line(Op::Times, "Price", a.number("price_bu"), "money/bu", 2)
        .line(Op::Plus, "Grade and DON discount saved", a.number("grade_saving_ac"), "money/ac", 2)
        .line(Op::Minus, "Spray and pass", a.number("cost_ac"), "money/ac", 2)
        .sum("Worth less cost", net, "money/ac", 1)
        .source("Madden and Paul 2009; Paul et al. 2006, 2008")
        .would_change("the disease that comes, which is the least sure of all");
    Ok(Outcome::new(w)
        .with("saved_kg_ha", saved)
        .with("saved_bu_ac", bu)
        .with("don_before_ppm", disease::don_ppm(index, p))
        .with("don_after_ppm", disease::don_after_spray_ppm(index, fungicide, p))
        .with("trial_mean_gain_kg_ha", disease::fungicide_response_kg_ha(fungicide, p))
        .with("net_ac", net))
}

fn infection(a: &Args) -> Answer {
    let d = Infection {
        tmin_c: a.number("tmin_c"),
        topt_c: a.number("topt_c"),
        tmax_c: a.number("tmax_c"),
        wmin_h: a.number("wmin_h"),
        wmax_h: a.number("wmax_h"),
    };
    if !(d.tmin_c < d.topt_c && d.topt_c < d.tmax_c) {
        return Err(CalcError::Together(
            "the best temperature must lie between the coldest and the hottest".into(),
        ));
    }
    let t = a.number("t_c");
    let (response, hours) = (d.temperature_response(t), d.wetness_needed_h(t));
    let mut w = Working::new("Hours of wetness needed");
    w = match hours {
        Some(h) if h < d.wmax_h => w
            .line(Op::Start, "Hours at the best temperature", d.wmin_h, "h", 1)
            .line(Op::Over, "Temperature response", response, "", 4)
            .sum("Hours needed", h, "h", 1),
        Some(h) => w.line(Op::Note, "Hours needed, held at the most", h, "h", 1),
        None => w.note("Outside the temperatures at which the disease infects."),
    };
    let w = w.source("Magarey, Sutton and Thayer 2005");
    Ok(Outcome::new(w).with("response", response).with("wetness_h", hours.unwrap_or(0.0)))
}

fn expected(a: &Args) -> Answer {
    let p = &CropParams::shipped().disease;
    let r = match a.text("cultivar") {
        "susceptible" => Resistance::Susceptible,
        "intermediate" => Resistance::Intermediate,
        _ => Resistance::ModeratelyResistant,
    };
    let stubble = a.text("stubble") != "other";
    let best = p.fungicides[Fungicide::ProthioconazoleTebuconazole as usize];
    let worth = Worth {
        grain_per_kg: a.number("price_t") / 1000.0,
        spray_per_ha: a.number("cost_ha"),
        yield_kg_ha: a.number("yield_kg_ha"),
        don_from_ppm: a.number("don_from_ppm"),
        don_per_kg_ppm: a.number("don_per_t_ppm") / 1000.0,
        don_most_per_kg: ((a.number("price_t") - a.number("feed_price_t")) / 1000.0).max(0.0),
        index_control: best.index_control,
        don_control: best.don_control,
        don_ppm_per_point: p.don_ppm_per_point,
        loss_kg_ha_per_point: p.fhb_loss_kg_ha_per_point,
    };
    let index = expected_index_pct(a.number("wet_warm_h"), r, stubble, p);
    let m = worth.at(index, 1.0);
    let even = worth.break_even_index_pct();
    let hours = even.and_then(|x| hours_for_index(x, r, stubble, p));
    let w = Working::new("A head spray at its best, over its cost, for a hectare")
        .line(Op::Note, "Diseased spikelets to expect", index, "%", 1)
        .line(Op::Start, "Yield saved", m.saved_kg_ha, "kg", 1)
        .line(Op::Times, "Price", worth.grain_per_kg, "a kg", 4)
        .line(Op::Plus, "DON discount saved", m.discount - m.discount_sprayed, "", 2)
        .line(Op::Minus, "Spray and pass", worth.spray_per_ha, "", 2)
        .sum("Left over its cost", worth.net(index), "", 1)
        .source("Madden and Paul 2009; Paul et al. 2006, 2008; hours to spikelets: judgement");
    Ok(Outcome::new(w)
        .with("index_pct", index)
        .with("net_ha", worth.net(index))
        .with("pays_from_pct", even.unwrap_or(-1.0))
        .with("pays_from_h", hours.unwrap_or(-1.0)))
}

fn leaf_gain(a: &Args) -> Answer {
    let p = &CropParams::shipped().leaf;
    let gain = p.spray_gain_kg_ha(a.number("days"), a.text("stubble") != "other");
    let w = Working::new("What a leaf spray gains")
        .line(Op::Note, "Infection days", a.number("days"), "d", 0)
        .line(Op::Note, "No gain up to", p.days_no_gain, "d", 0)
        .line(Op::Note, "The lower published gain at", p.days_low_gain, "d", 0)
        .line(Op::Note, "The higher at", p.days_high_gain, "d", 0)
        .sum("Yield saved", gain, "kg/ha", 0)
        .source("Univ. Saskatchewan: 0.07-0.13 and 0.41-0.47 t/ha in two of six site-years, nothing in four");
    Ok(Outcome::new(w).with("gain_kg_ha", gain))
}
