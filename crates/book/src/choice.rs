//! Short lists to choose from, each with the key written in the book and the words a person reads.

macro_rules! choices {
    ($(#[$about:meta])* $name:ident { $($(#[$each:meta])* $variant:ident = $key:literal, $words:literal;)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name { $($(#[$each])* #[doc = $words] #[serde(rename = $key)] $variant,)+ }

        impl $name {
            /// Every choice, in the order to offer them.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// As written in the book and in forms.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$variant => $key,)+ }
            }

            /// As a person reads it.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)+ }
            }

            /// The choice with this key.
            pub fn from_key(key: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|c| c.key() == key)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.words())
            }
        }
    };
}
pub(crate) use choices;
