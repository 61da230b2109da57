//! The phases of a wheat crop in trade words and Zadoks numbers.

use serde::{Deserialize, Serialize};

/// Where the main stems are. Ordered from seed to ripe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    /// In the ground, nothing up.
    Seeded,
    /// Up, leaves only.
    Seedling,
    /// Tillers show.
    Tillering,
    /// Nodes to be felt.
    Jointing,
    /// Flag leaf out.
    FlagLeaf,
    /// Head swelling in the sheath.
    Boot,
    /// Heads showing.
    Heading,
    /// Anthers out.
    Flowering,
    /// Flowering over, kernels set and watery.
    Set,
    /// Kernels fill, watery to milk.
    Milk,
    /// Kernels mash.
    SoftDough,
    /// Nail dents, fill is over.
    HardDough,
    /// Most kernels hard.
    Ripe,
}

impl Phase {
    /// All in order.
    pub const ALL: [Self; 13] = [
        Self::Seeded,
        Self::Seedling,
        Self::Tillering,
        Self::Jointing,
        Self::FlagLeaf,
        Self::Boot,
        Self::Heading,
        Self::Flowering,
        Self::Set,
        Self::Milk,
        Self::SoftDough,
        Self::HardDough,
        Self::Ripe,
    ];

    /// The Zadoks (BBCH) number at which the phase begins (Zadoks, Chang and Konzak 1974).
    pub fn zadoks(self) -> u8 {
        match self {
            Self::Seeded => 0,
            Self::Seedling => 10,
            Self::Tillering => 21,
            Self::Jointing => 31,
            Self::FlagLeaf => 39,
            Self::Boot => 43,
            Self::Heading => 51,
            Self::Flowering => 61,
            Self::Set => 69,
            Self::Milk => 73,
            Self::SoftDough => 83,
            Self::HardDough => 87,
            Self::Ripe => 91,
        }
    }

    /// In the words of the trade.
    pub fn words(self) -> &'static str {
        match self {
            Self::Seeded => "not up yet",
            Self::Seedling => "leaves, no tillers",
            Self::Tillering => "tillering",
            Self::Jointing => "jointing",
            Self::FlagLeaf => "flag leaf out",
            Self::Boot => "boot",
            Self::Heading => "heading",
            Self::Flowering => "flowering",
            Self::Set => "flowering over, kernels watery",
            Self::Milk => "milk",
            Self::SoftDough => "soft dough",
            Self::HardDough => "hard dough",
            Self::Ripe => "ripe, kernels hard",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zadoks_rises_with_the_phase() {
        for pair in Phase::ALL.windows(2) {
            assert!(pair[0] < pair[1] && pair[0].zadoks() < pair[1].zadoks(), "{pair:?}");
        }
    }
}
