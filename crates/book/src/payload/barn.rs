//! The barn: bought ingredients, groups of animals, rations, batches, feed bins, the mixer.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{BinId, FeedBinId, GroupId, IngredientId, MixerId, RationId};
use crate::choice::choices;

/// A bought ingredient. Its price is a price entry of its key, by the tonne.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoughtIngredient {
    /// Its key.
    pub id: IngredientId,
    /// What the farm calls it.
    pub name: String,
    /// The row of the ingredient table it is like, such as `sbm_dehulled`.
    pub like: String,
    /// Own analysis or the label, by nutrient key (`cp`, `lys`, `ne`, ...), as-fed, in the table's unit.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub analysis: BTreeMap<String, f64>,
    /// Most of it in any ration, % of the diet, by the farm's own view or the label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_pct: Option<f64>,
    /// For a premix: its rate by the label, % of the diet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_pct: Option<f64>,
    /// For a premix with phytase: digestible phosphorus it releases at that rate by the label, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phytase_p_pct: Option<f64>,
    /// Copper above need, as a growth promoter: never to sheep, nor as it is to goats.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub copper: bool,
    /// DON by its test, mg/kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub don_ppm: Option<f64>,
    /// On hand, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_hand_kg: Option<f64>,
    /// Lot number of what is on hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
}

choices! {
    /// What a group is.
    GroupKind {
        Growing = "growing", "growing pigs";
        SowsInPig = "sows_in_pig", "sows in pig";
        SowsInMilk = "sows_in_milk", "sows in milk";
        GoatsDry = "goats_dry", "goats, dry";
        GoatsLate = "goats_late", "goats, last two months before kidding";
        GoatsInMilk = "goats_in_milk", "goats in milk";
    }
}

choices! {
    /// Whose a group of growing pigs is.
    GroupSex { Mixed = "mixed", "together"; Gilt = "gilt", "gilts"; Barrow = "barrow", "barrows"; }
}

/// A group of animals as it stood when the entry happened. A later one of the same key takes its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HerdGroup {
    /// Its key.
    pub id: GroupId,
    /// What the farm calls it: a pen, a room, a batch.
    pub name: String,
    /// What it is.
    pub kind: GroupKind,
    /// Head.
    pub head: u32,
    /// Mean weight, kg; needed for growing pigs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_kg: Option<f64>,
    /// Sex.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sex: Option<GroupSex>,
    /// Weight at which it is sold, kg; none for the barn's usual.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sold_at_kg: Option<f64>,
    /// The feed bin it eats from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feed_bin: Option<FeedBinId>,
    /// Bedded on straw.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bedded: bool,
}

choices! {
    /// Why animals left a group.
    MoveWhy {
        Moved = "moved", "moved to another group";
        Sold = "sold", "sold";
        Weaned = "weaned", "weaned into another group";
    }
}

/// Animals moved out of a group.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HerdMove {
    /// From.
    pub group: GroupId,
    /// To another group; none when sold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<GroupId>,
    /// Why.
    pub why: MoveWhy,
    /// Head.
    pub head: u32,
    /// Mean weight of those moved, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_kg: Option<f64>,
    /// Whether the group is done: the last of it has gone.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub last: bool,
}

/// Deaths in a group.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deaths {
    /// Group.
    pub group: GroupId,
    /// Head.
    pub head: u32,
    /// What of, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<String>,
}

/// One thing in a ration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RationItem {
    /// A bought ingredient's key, or the crop of grain from a bin.
    pub of: String,
    /// The bin, for own grain.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin: Option<BinId>,
    /// Share of the diet, %.
    pub share_pct: f64,
}

/// A ration accepted: what is milled from now on for its phase.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AcceptedRation {
    /// Its key: the version, such as `grower-1-2026-01-14`.
    pub id: RationId,
    /// What it is called.
    pub name: String,
    /// Phase it is for, such as `grower_1`.
    pub phase: String,
    /// What is in it.
    pub items: Vec<RationItem>,
    /// What it cost when accepted, money a tonne.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost_t: Option<f64>,
    /// The nutritionist who looked at it; none when nobody has yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reviewed_by: Option<String>,
}

/// One thing weighed into a batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BatchLine {
    /// A bought ingredient's key, or the crop of grain from a bin.
    pub of: String,
    /// The bin its grain is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin: Option<BinId>,
    /// Augered straight from that bin, so that it leaves the bin by this entry. Otherwise it was hauled to the mill before,
    /// and the load says so.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub straight: bool,
    /// Lot number on the bag, for bought things.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// What the sheet asked for, kg.
    pub asked_kg: f64,
    /// What was weighed, kg.
    pub weighed_kg: f64,
}

/// A batch made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeedBatch {
    /// The ration it is of.
    pub ration: RationId,
    /// Number written on the sheet and the bags.
    pub number: String,
    /// What was weighed.
    pub lines: Vec<BatchLine>,
    /// Mixer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixer: Option<MixerId>,
    /// Where it went.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub into: Option<FeedBinId>,
    /// Minutes mixed after the last thing went in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixed_min: Option<f64>,
    /// Whether the mill was flushed before it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub flushed: bool,
}

impl FeedBatch {
    /// All of it, kg.
    pub fn total_kg(&self) -> f64 {
        self.lines.iter().map(|l| l.weighed_kg).sum()
    }
}

/// A bin of mixed feed in the barn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeedBin {
    /// Its key.
    pub id: FeedBinId,
    /// What the farm calls it.
    pub name: String,
    /// What it holds, kg.
    pub holds_kg: f64,
    /// Phase of the feed in it, such as `grower_1`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phase: Option<String>,
}

/// Feed seen in a feed bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeedLevel {
    /// Feed bin.
    pub feed_bin: FeedBinId,
    /// Feed in it, kg.
    pub kg: f64,
}

/// A mixer with its scales.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mixer {
    /// Its key.
    pub id: MixerId,
    /// What the farm calls it.
    pub name: String,
    /// A full batch, kg.
    pub batch_kg: f64,
    /// Graduation of its scale, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step_kg: Option<f64>,
    /// Graduation of the hand-add scale, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand_step_kg: Option<f64>,
    /// Graduation of the small scale, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub small_step_kg: Option<f64>,
    /// Minutes to mix after the last thing is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_min: Option<f64>,
}

/// A mixer test: one tracer in samples of one batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MixerTest {
    /// Mixer.
    pub mixer: MixerId,
    /// What was traced, such as salt.
    pub tracer: String,
    /// Result of each sample, in one unit.
    pub samples: Vec<f64>,
    /// Minutes mixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixed_min: Option<f64>,
}
