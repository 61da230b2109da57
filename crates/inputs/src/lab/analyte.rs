//! What a laboratory measures, by the names it goes under.

/// One thing measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Analyte {
    /// Key in the book.
    pub key: &'static str,
    /// In words.
    pub words: &'static str,
    /// Names in headings, plain: small letters and digits, longest first where one holds another.
    names: &'static [&'static str],
    /// Bases it is quoted in; the first is taken when the name itself says it. Empty: it has none.
    pub bases: &'static [&'static str],
    /// Names that say which basis it is, with that basis.
    says: &'static [(&'static str, &'static str)],
    /// Units that make sense.
    pub units: &'static [&'static str],
}

const SOIL: &[&str] = &["ppm", "mg/kg", "lb/ac", "kg/ha"];
const CHARGE: &[&str] = &["ppm", "mg/kg", "lb/ac", "kg/ha", "meq/100 g"];
const PERCENT: &[&str] = &["%"];

macro_rules! plain {
    ($key:literal, $words:literal, $names:expr, $units:expr) => {
        Analyte { key: $key, words: $words, names: $names, bases: &[], says: &[], units: $units }
    };
}

/// All of them. The first whose name is in a heading is taken.
pub const ANALYTES: &[Analyte] = &[
    Analyte {
        key: "nitrate_n",
        words: "nitrate nitrogen",
        names: &["nitratenitrogen", "nitraten", "no3n", "nno3", "nitrate", "no3"],
        bases: &["N", "NO3"],
        says: &[("nitratenitrogen", "N"), ("nitraten", "N"), ("no3n", "N"), ("nno3", "N")],
        units: SOIL,
    },
    plain!("ammonium_n", "ammonium nitrogen", &["ammoniumn", "nh4n", "ammonium", "nh4"], SOIL),
    Analyte {
        key: "p",
        words: "phosphorus",
        names: &["phosphorus", "phosphate", "p2o5", "olsenp", "polsen", "pbicarb", "bicarbp", "p"],
        bases: &["P", "P2O5"],
        says: &[
            ("p2o5", "P2O5"),
            ("phosphorus", "P"),
            ("olsenp", "P"),
            ("polsen", "P"),
            ("pbicarb", "P"),
            ("bicarbp", "P"),
            ("p", "P"),
        ],
        units: SOIL,
    },
    Analyte {
        key: "k",
        words: "potassium",
        names: &["potassium", "potash", "k2o", "k"],
        bases: &["K", "K2O"],
        says: &[("k2o", "K2O"), ("potassium", "K"), ("k", "K")],
        units: CHARGE,
    },
    Analyte {
        key: "s",
        words: "sulphate sulphur",
        names: &[
            "sulphatesulphur",
            "sulfatesulfur",
            "sulphates",
            "sulfates",
            "so4s",
            "sso4",
            "sulphate",
            "sulfate",
            "so4",
            "sulphur",
            "sulfur",
            "s",
        ],
        bases: &["S", "SO4"],
        says: &[
            ("sulphatesulphur", "S"),
            ("sulfatesulfur", "S"),
            ("sulphates", "S"),
            ("sulfates", "S"),
            ("so4s", "S"),
            ("sso4", "S"),
            ("sulphur", "S"),
            ("sulfur", "S"),
            ("s", "S"),
        ],
        units: SOIL,
    },
    plain!("cl", "chloride", &["chloride", "cl"], SOIL),
    plain!("cu", "copper", &["copper", "cu"], &["ppm", "mg/kg"]),
    plain!("zn", "zinc", &["zinc", "zn"], &["ppm", "mg/kg"]),
    plain!("mn", "manganese", &["manganese", "mn"], &["ppm", "mg/kg"]),
    plain!("fe", "iron", &["iron", "fe"], &["ppm", "mg/kg"]),
    plain!("b", "boron", &["boron", "b"], &["ppm", "mg/kg"]),
    plain!("ca", "calcium", &["calcium", "ca"], CHARGE),
    plain!("mg", "magnesium", &["magnesium", "mg"], CHARGE),
    plain!("na", "sodium", &["sodium", "na"], CHARGE),
    plain!("buffer_ph", "buffer pH", &["bufferph", "bph", "phbuffer"], &["1"]),
    plain!("ph", "pH", &["soilph", "phwater", "ph"], &["1"]),
    plain!("organic_matter", "organic matter", &["organicmatter", "som", "om"], PERCENT),
    plain!(
        "ec",
        "salts (EC)",
        &["electricalconductivity", "solublesalts", "salts", "salinity", "ec"],
        &["dS/m", "mS/cm", "mmho/cm"]
    ),
    plain!("cec", "cation exchange capacity", &["cec"], &["meq/100 g", "cmol/kg"]),
    plain!("sand", "sand", &["sand"], PERCENT),
    plain!("silt", "silt", &["silt"], PERCENT),
    plain!("clay", "clay", &["clay"], PERCENT),
    plain!("bulk_density", "bulk density", &["bulkdensity"], &["g/cm3"]),
];

/// Units that may be said of a column.
pub const UNITS: [&str; 13] = [
    "ppm",
    "mg/kg",
    "lb/ac",
    "kg/ha",
    "%",
    "meq/100 g",
    "cmol/kg",
    "dS/m",
    "mS/cm",
    "mmho/cm",
    "g/cm3",
    "mg/L",
    "1",
];

impl Analyte {
    /// By its key.
    pub fn of(key: &str) -> Option<&'static Self> {
        ANALYTES.iter().find(|a| a.key == key)
    }

    /// Whether it has one unit only, that need not be said.
    pub fn only_unit(&self) -> Option<&'static str> {
        match self.units {
            [one] => Some(one),
            _ => None,
        }
    }

    /// The one a word names, with the basis it states, if it does. `word` is plain: small letters and digits.
    pub fn by_name(word: &str) -> Option<(&'static Self, Option<&'static str>)> {
        let a = ANALYTES.iter().find(|a| a.names.contains(&word))?;
        Some((a, a.basis_of(word)))
    }

    /// The basis a name states.
    fn basis_of(&self, word: &str) -> Option<&'static str> {
        self.says.iter().find(|(w, _)| *w == word).map(|(_, b)| *b)
    }
}

/// Small letters and digits only.
pub fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The unit a text states, as written in the book. Laboratories write `lbs/acre`, `ug/g`, `mg/kg (ppm)`.
pub fn unit(text: &str) -> Option<&'static str> {
    let t: String =
        text.to_lowercase().chars().filter(|c| !c.is_whitespace() && !"()[].".contains(*c)).collect();
    let has = |words: &[&str]| words.iter().any(|w| t.contains(w));
    Some(if has(&["meq/100", "me/100"]) {
        "meq/100 g"
    } else if has(&["cmol"]) {
        "cmol/kg"
    } else if has(&["mg/l", "meq/l"]) {
        "mg/L"
    } else if has(&["mg/kg", "ug/g", "ppm", "\u{b5}g/g"]) {
        "ppm"
    } else if has(&["lb/a", "lbs/a", "#/a", "lbac", "lbsac", "poundsperacre", "lb/ac"]) {
        "lb/ac"
    } else if has(&["kg/ha"]) {
        "kg/ha"
    } else if has(&["ds/m"]) {
        "dS/m"
    } else if has(&["ms/cm"]) {
        "mS/cm"
    } else if has(&["mmho"]) {
        "mmho/cm"
    } else if has(&["g/cm3", "g/cc"]) {
        "g/cm3"
    } else if t.contains('%') || t == "percent" || t == "pct" {
        "%"
    } else if matches!(t.as_str(), "none" | "1" | "ph" | "su" | "unitless") {
        "1"
    } else {
        return None;
    })
}

/// The method a text states, as the models know it; for phosphorus a figure of one is not a figure of another.
pub fn extractant(text: &str) -> Option<&'static str> {
    let t = text.to_lowercase();
    let has = |w: &str| t.contains(w);
    Some(if has("olsen") || has("bicarb") || has("p-bic") {
        "Olsen"
    } else if has("kelowna") {
        "modified Kelowna"
    } else if has("bray 2") || has("bray2") || has("-b2-") {
        "Bray 2"
    } else if has("bray") || has("-b1-") {
        "Bray 1"
    } else if has("mehlich 1") || has("mehlich-1") || has("mehlich1") {
        "Mehlich 1"
    } else if has("mehlich") || has("-m3") {
        "Mehlich 3"
    } else if has("dtpa") {
        "DTPA"
    } else if has("nh4ac") || has("acetate") || has("nh4oac") {
        "ammonium acetate"
    } else if has("kcl") {
        "KCl"
    } else if has("hcl") {
        "HCl"
    } else if has("cacl2") {
        "CaCl2"
    } else if has("hot water") || has("hotwater") {
        "hot water"
    } else if has("water") || has("no3-1:5") {
        "water"
    } else {
        return None;
    })
}

/// Methods of phosphorus to choose from.
pub const P_METHODS: [(&str, &str); 6] = [
    ("Olsen", "Olsen (sodium bicarbonate)"),
    ("modified Kelowna", "modified Kelowna"),
    ("Bray 1", "Bray 1"),
    ("Bray 2", "Bray 2"),
    ("Mehlich 3", "Mehlich 3"),
    ("Mehlich 1", "Mehlich 1"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_what_they_say() {
        let of = |w: &str| Analyte::by_name(&plain(w)).map(|(a, b)| (a.key, b));
        assert_eq!(of("NO3-N"), Some(("nitrate_n", Some("N"))));
        assert_eq!(of("NO3"), Some(("nitrate_n", None)));
        assert_eq!(of("P2O5"), Some(("p", Some("P2O5"))));
        assert_eq!(of("Phosphate"), Some(("p", None)));
        assert_eq!(of("Potash"), Some(("k", None)));
        assert_eq!(of("SO4-S"), Some(("s", Some("S"))));
        assert_eq!(of("Organic Matter"), Some(("organic_matter", None)));
        assert_eq!(of("yield"), None);
    }

    #[test]
    fn units_as_laboratories_write_them() {
        for (text, want) in [
            ("lbs/acre", Some("lb/ac")),
            ("Mehlich 1   mg/kg (ppm)", Some("ppm")),
            ("ug/g", Some("ppm")),
            ("cmol(+)/kg", Some("cmol/kg")),
            ("meq/L", Some("mg/L")),
            ("none", Some("1")),
            ("mmhos/cm", Some("mmho/cm")),
            ("bushels", None),
        ] {
            assert_eq!(unit(text), want, "{text}");
        }
        assert_eq!(extractant("S-P-BIC.01.03"), Some("Olsen"));
        assert_eq!(extractant("S-P-B1-1:10.01.03"), Some("Bray 1"));
        assert_eq!(extractant("S-K-NH4AC.05"), Some("ammonium acetate"));
    }
}
