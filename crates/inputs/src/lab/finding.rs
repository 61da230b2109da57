//! One figure of a file, before it is sure what it is.

use jiff::civil::Date;

use super::depth::DepthUnit;

/// A figure with everything the file says of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Finding {
    /// Line of the file, from 1; the sample's place for Modus.
    pub line: usize,
    /// Heading or element.
    pub column: String,
    /// Field as the file names it.
    pub field: String,
    /// Sample number.
    pub sample: Option<String>,
    /// Zone.
    pub zone: Option<String>,
    /// Day, with what was written.
    pub sampled: Option<Date>,
    /// Laboratory.
    pub lab: Option<String>,
    /// Depth with its unit as far as it is known.
    pub depth: Option<(f64, f64, Option<DepthUnit>)>,
    /// Name of the depth, where it has only a name.
    pub depth_name: Option<String>,
    /// Key of what was measured.
    pub what: String,
    /// The number.
    pub value: f64,
    /// Unit.
    pub unit: Option<String>,
    /// Element, oxide or ion.
    pub basis: Option<String>,
    /// Method.
    pub extractant: Option<String>,
    /// Cores in the bag.
    pub cores: Option<u32>,
    /// Soil temperature, C.
    pub soil_temp_c: Option<f64>,
    /// Point.
    pub point: Option<(f64, f64)>,
    /// The line as it stood.
    pub original: String,
}

/// Something that cannot be right, by line and column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRow {
    /// Line, from 1.
    pub line: usize,
    /// Column.
    pub column: String,
    /// What is wrong.
    pub sentence: String,
}

/// What a reader found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Figures.
    pub findings: Vec<Finding>,
    /// What cannot be right.
    pub bad: Vec<BadRow>,
    /// What to know.
    pub notes: Vec<String>,
}

/// A figure as laboratories write it: `12.5`, `12,5`, `<1`, `> 60`. The flag says that it is a bound.
pub fn figure_of(text: &str) -> Option<(f64, bool)> {
    let t = text.trim();
    let bare = t.trim_start_matches(['<', '>', '=', '~']).trim();
    let bound = bare.len() < t.len();
    let plain = if bare.contains('.') { bare.replace(',', "") } else { bare.replace(',', ".") };
    plain.parse::<f64>().ok().filter(|x| x.is_finite()).map(|x| (x, bound))
}

/// Whether a cell says that nothing was measured.
pub fn is_blank(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().as_str(),
        "" | "-" | "--" | "na" | "n/a" | "nd" | "n.d." | "." | "null"
    )
}
