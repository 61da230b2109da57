//! Short text keys for the farm's own things.

use serde::{Deserialize, Serialize};

macro_rules! ids {
    ($($(#[$about:meta])* $name:ident)+) => { $(
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The key made from a name: `Slough Quarter` becomes `slough-quarter`.
            pub fn from_name(name: &str) -> Self {
                Self(slug(name))
            }

            /// The key itself.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// Whether the key can stand in a web address and a command as it is.
            pub fn is_well_formed(&self) -> bool {
                !self.0.is_empty() && self.0.len() <= 60 && slug(&self.0) == self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl From<&str> for $name {
            fn from(key: &str) -> Self {
                Self(key.into())
            }
        }
    )+ };
}

ids! {
    /// Key of a field. It stays when the field's name changes.
    FieldId
    /// Key of a machine.
    MachineId
    /// Key of a bought ingredient.
    IngredientId
    /// Key of a group of animals.
    GroupId
    /// Key of an accepted ration: its version.
    RationId
    /// Key of a feed bin in the barn.
    FeedBinId
    /// Key of a mixer.
    MixerId
    /// Key of a seed lot.
    SeedLotId
    /// Key of a manure pit.
    ManureStoreId
    /// Key of a bin. It stays when the bin's name changes.
    BinId
    /// Key of a spray product.
    SprayProductId
}

/// Lower case letters and digits of any script, everything else one hyphen.
fn slug(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for c in name.chars() {
        if c.is_alphanumeric() {
            out.extend(c.to_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(out.trim_end_matches('-').len());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_plain() {
        assert_eq!(FieldId::from_name("  Slough Quarter #2 ").0, "slough-quarter-2");
        assert_eq!(FieldId::from_name("Bär's").0, "bär-s");
        assert!(FieldId::from("long-90").is_well_formed());
        assert!(!FieldId::from("Long 90").is_well_formed());
        assert!(!FieldId::from_name("?").is_well_formed());
    }
}
