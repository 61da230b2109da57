//! Forms of the barn: ingredients, groups, moves, deaths, feed bins, mixers, checks of the mill and payments. Rations and batches are
//! written from their own pages.

use serde_json::{Map, Value as Json, json};
use stook_book::Farm;
use stook_book::payload::{FeedBinId, GroupId, GroupKind, GroupSex, IngredientId, MixerId, MoveWhy, ScaleOf};
use stook_feed::{Phase, ingredient};

use super::ask::{PERCENT, first, maybe, needed, pairs, plain};
use super::{Ask, Form, Values};

const KG: Ask = plain(|_| "kg", 5.0);
const HEAD: Ask = plain(|_| "head", 1.0);
const PPM: Ask = plain(|_| "ppm", 0.1);

fn groups(farm: &Farm) -> Vec<(String, String)> {
    farm.barn
        .groups
        .values()
        .filter_map(|g| g.last())
        .map(|g| (g.is.id.to_string(), g.is.name.clone()))
        .collect()
}
fn feed_bins(farm: &Farm) -> Vec<(String, String)> {
    farm.barn.feed_bins.values().map(|b| (b.is.id.to_string(), b.is.name.clone())).collect()
}
fn mixers(farm: &Farm) -> Vec<(String, String)> {
    farm.barn.mixers.values().map(|m| (m.is.id.to_string(), m.is.name.clone())).collect()
}
fn like() -> Vec<(String, String)> {
    ingredient::offered().filter(|i| i.group != "grain").map(|i| (i.key.clone(), i.name.clone())).collect()
}
/// What is bought for the mill, for the form of a price.
pub fn prices() -> Vec<(String, String)> {
    like()
}
fn phases() -> Vec<(String, String)> {
    Phase::ALL.iter().map(|p| (p.key().into(), p.words().into())).collect()
}
/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "feed_level",
        title: "Feed bin looked at",
        glove: true,
        set_up: false,
        inputs: &[
            needed("feed_bin", "Feed bin", "", Ask::Of(feed_bins)),
            needed("kg", "Feed in it", "By the look, the knock or the cable.", plain(|_| "kg", 250.0)),
        ],
    },
    Form {
        kind: "deaths",
        title: "Deaths",
        glove: true,
        set_up: false,
        inputs: &[
            needed("group", "Group", "", Ask::Of(groups)),
            needed("head", "How many", "", HEAD),
            maybe("cause", "What of", "", Ask::Text),
        ],
    },
    Form {
        kind: "herd_move",
        title: "Moved, weaned or sold",
        glove: true,
        set_up: false,
        inputs: &[
            needed("group", "From", "", Ask::Of(groups)),
            first(needed("why", "Why", "", pairs!(MoveWhy)), "moved"),
            maybe("to", "To, if not sold", "", Ask::OfOr(groups, "sold")),
            needed("head", "How many", "", HEAD),
            maybe("mean_kg", "Mean weight", "", KG),
            maybe(
                "last",
                "Is the group done, if these were the last?",
                "",
                Ask::YesNo("the last of them", "some stay"),
            ),
        ],
    },
    Form {
        kind: "herd_group",
        title: "Group of animals",
        glove: false,
        set_up: false,
        inputs: &[
            needed("name", "What you call it", "A pen, a room, a batch.", Ask::Text),
            first(needed("kind", "What it is", "", pairs!(GroupKind)), "growing"),
            needed("head", "Head", "", HEAD),
            maybe("mean_kg", "Mean weight", "Near enough: what they eat hangs on it.", KG),
            maybe("sex", "Sex", "", pairs!(GroupSex)),
            maybe("sold_at_kg", "Sold at", "", KG),
            maybe("feed_bin", "Eats from, if from a feed bin", "", Ask::OfOr(feed_bins, "no feed bin")),
            maybe("bedded", "Bedded on straw", "", Ask::YesNo("on straw", "no straw")),
        ],
    },
    Form {
        kind: "payment_due",
        title: "Payment due",
        glove: false,
        set_up: false,
        inputs: &[
            needed("what", "What for", "", Ask::Text),
            needed("amount", "Money", "", plain(|_| "", 500.0)),
            needed("due", "Due", "", Ask::Date),
        ],
    },
    Form {
        kind: "scale_check",
        title: "Scale checked",
        glove: false,
        set_up: false,
        inputs: &[
            needed("mixer", "Mixer", "", Ask::Of(mixers)),
            first(needed("scale", "Which scale", "", pairs!(ScaleOf)), "main"),
            needed("put_kg", "Put on", "Check weights, or bags you trust.", KG),
            needed("read_kg", "It read", "", KG),
        ],
    },
    Form {
        kind: "sieve_test",
        title: "Ground grain sieved",
        glove: false,
        set_up: false,
        inputs: &[
            first(needed("of", "What was ground", "", Ask::Text), "wheat"),
            needed(
                "catches",
                "Sieves, coarsest first",
                "A sieve a line: opening in um, grams on it, such as: 1180 24.8",
                Ask::LongText,
            ),
            maybe("pan_g", "In the pan", "", plain(|_| "g", 0.5)),
            maybe("screen", "Screen or roll gap", "", Ask::Text),
        ],
    },
    Form {
        kind: "straw_on_hand",
        title: "Straw on hand",
        glove: false,
        set_up: false,
        inputs: &[
            needed("bales", "Bales", "", plain(|_| "bales", 1.0)),
            needed("bale_kg", "Weight of a bale", "", plain(|_| "kg", 10.0)),
        ],
    },
    Form {
        kind: "breeding",
        title: "Buck in with the does",
        glove: false,
        set_up: false,
        inputs: &[
            needed("group", "The does", "", Ask::Of(groups)),
            needed("buck_in", "Buck in", "The day it is planned for will do.", Ask::Date),
            maybe("buck_out", "Buck out", "", Ask::Date),
        ],
    },
    Form {
        kind: "mixer_test",
        title: "Mixer test",
        glove: false,
        set_up: false,
        inputs: &[
            needed("mixer", "Mixer", "", Ask::Of(mixers)),
            needed(
                "tracer",
                "What was traced",
                "Salt, sodium, manganese or zinc. Protein is a poor tracer.",
                Ask::Text,
            ),
            needed(
                "samples",
                "Result of each sample",
                "Ten samples of one batch, with a space or comma between.",
                Ask::LongText,
            ),
            maybe("mixed_min", "Minutes mixed", "", plain(|_| "min", 1.0)),
        ],
    },
    Form {
        kind: "ingredient",
        title: "Bought ingredient",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "What you call it", "", Ask::Text),
            needed("like", "What it is", "", Ask::Choice(like)),
            maybe("analysis.cp", "Protein, from the label or a test", "As it is, not dry.", PERCENT),
            maybe("analysis.lys", "Digestible lysine, from a test", "", plain(|_| "%", 0.05)),
            maybe("analysis.ne", "Net energy, from the supplier", "", plain(|_| "kcal/kg", 10.0)),
            maybe("most_pct", "Most of it in a ration", "", PERCENT),
            maybe("rate_pct", "For a premix: its rate", "From the label.", plain(|_| "%", 0.1)),
            maybe(
                "phytase_p_pct",
                "For a premix with phytase: phosphorus it releases",
                "From the label, at that rate.",
                plain(|_| "%", 0.01),
            ),
            maybe(
                "copper",
                "Copper above need",
                "Such feed never to sheep, nor to goats.",
                Ask::YesNo("copper-fortified", "no"),
            ),
            maybe("don_ppm", "DON, if tested", "", PPM),
            maybe("on_hand_kg", "On hand", "", KG),
            maybe("lot", "Lot number on the bags", "", Ask::Text),
        ],
    },
    Form {
        kind: "feed_bin",
        title: "Feed bin",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "What you call it", "", Ask::Text),
            needed("holds_kg", "What it holds", "", KG),
            maybe("phase", "Feed in it", "", Ask::Choice(phases)),
        ],
    },
    Form {
        kind: "mixer",
        title: "Mixer and scales",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "What you call it", "", Ask::Text),
            needed("batch_kg", "A full batch", "", KG),
            maybe("step_kg", "Graduation of its scale", "", plain(|_| "kg", 0.5)),
            maybe("hand_step_kg", "Graduation of the hand scale", "", plain(|_| "kg", 0.05)),
            maybe("small_step_kg", "Graduation of the small scale", "", plain(|_| "kg", 0.01)),
            maybe("mix_min", "Minutes to mix", "After the last thing is in.", plain(|_| "min", 1.0)),
        ],
    },
];

/// Whether this file shapes the kind.
pub fn shapes(kind: &str) -> bool {
    matches!(
        kind,
        "ingredient"
            | "herd_group"
            | "feed_bin"
            | "mixer"
            | "mixer_test"
            | "sieve_test"
            | "straw_on_hand"
            | "herd_move"
            | "deaths"
    )
}

/// Flat values into the entry's own shape.
pub fn assemble(
    kind: &str,
    mut flat: Map<String, Json>,
    values: &Values,
) -> Result<Json, (&'static str, String)> {
    let name = flat.get("name").and_then(Json::as_str).unwrap_or("").to_string();
    let key = values.get("key").filter(|k| !k.is_empty()).cloned();
    let id = match kind {
        "ingredient" => Some(IngredientId::from_name(&name).0),
        "herd_group" => Some(GroupId::from_name(&name).0),
        "feed_bin" => Some(FeedBinId::from_name(&name).0),
        "mixer" => Some(MixerId::from_name(&name).0),
        _ => None,
    };
    if let Some(id) = id {
        flat.insert("id".into(), json!(key.unwrap_or(id)));
    }
    if let Some(head) = flat.get("head").and_then(Json::as_f64) {
        if head < 0.0 || head.fract() != 0.0 {
            return Err(("head", "Count whole animals.".into()));
        }
        flat.insert("head".into(), json!(head as u64));
    }
    if let Some(bales) = flat.get("bales").and_then(Json::as_f64) {
        if bales < 0.0 || bales.fract() != 0.0 {
            return Err(("bales", "Count whole bales.".into()));
        }
        flat.insert("bales".into(), json!(bales as u64));
    }
    if kind == "sieve_test" {
        let text = flat.get("catches").and_then(Json::as_str).unwrap_or("").to_string();
        let mut catches = Vec::new();
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
            let numbers: Vec<f64> =
                line.split_whitespace().filter_map(|t| t.replace(',', ".").parse().ok()).collect();
            let [opening_um, g] = numbers.as_slice() else {
                return Err(("catches", format!("\"{line}\" is not a sieve, such as: 1180 24.8")));
            };
            catches.push(json!({"opening_um": opening_um, "g": g}));
        }
        flat.insert("catches".into(), json!(catches));
    }
    if kind == "mixer_test" {
        let text = flat.get("samples").and_then(Json::as_str).unwrap_or("").to_string();
        let mut samples = Vec::new();
        for word in text.split(|c: char| c.is_whitespace() || c == ',' || c == ';').filter(|w| !w.is_empty())
        {
            let Ok(x) = word.parse::<f64>() else {
                return Err((
                    "samples",
                    format!("\"{word}\" is not a number; write the results with a space between."),
                ));
            };
            samples.push(x);
        }
        flat.insert("samples".into(), json!(samples));
    }
    let mut analysis = Map::new();
    let nested: Vec<String> = flat.keys().filter(|k| k.starts_with("analysis.")).cloned().collect();
    for k in nested {
        if let (Some(v), Some((_, n))) = (flat.remove(&k), k.split_once('.')) {
            analysis.insert(n.into(), v);
        }
    }
    if !analysis.is_empty() {
        flat.insert("analysis".into(), Json::Object(analysis));
    }
    Ok(Json::Object(flat))
}

/// Samples as they were typed.
pub fn prefill(kind: &str, data: &Json, key: &str) -> Option<String> {
    if (kind, key) == ("sieve_test", "catches") {
        let list = data["catches"].as_array()?;
        return Some(
            list.iter().map(|c| format!("{} {}", c["opening_um"], c["g"])).collect::<Vec<_>>().join("\n"),
        );
    }
    if (kind, key) != ("mixer_test", "samples") {
        return None;
    }
    let list = data["samples"].as_array()?;
    Some(list.iter().filter_map(Json::as_f64).map(|x| x.to_string()).collect::<Vec<_>>().join(" "))
}
