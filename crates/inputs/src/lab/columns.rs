//! The columns of a laboratory's CSV: what each was taken for, by its heading and by what was answered.

use super::analyte::{ANALYTES, Analyte, P_METHODS, UNITS, extractant, plain, unit};
use super::ask::{Answers, Question};
use super::depth;

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Place, from 0.
    pub index: usize,
    /// Heading as written.
    pub heading: String,
    /// The first figures in it.
    pub first: Vec<String>,
    /// What it is: a role or an analyte's key.
    pub is: String,
    /// Unit.
    pub unit: Option<String>,
    /// Depth, as written.
    pub depth: Option<String>,
    /// Element, oxide or ion.
    pub basis: Option<String>,
    /// Method.
    pub extractant: Option<String>,
}

/// What a column can be besides a figure of the soil.
pub const ROLES: [(&str, &str); 17] = [
    ("ignore", "leave it out"),
    ("field", "field"),
    ("sample", "sample number"),
    ("zone", "zone, benchmark or cell"),
    ("sampled", "day sampled"),
    ("lab", "laboratory"),
    ("depth", "depth, as 0-6"),
    ("top", "depth from"),
    ("bottom", "depth to"),
    ("cores", "cores in the bag"),
    ("soil_temp", "soil temperature, C"),
    ("lat", "latitude"),
    ("lon", "longitude"),
    ("analyte", "name of what was measured"),
    ("value", "the figure"),
    ("unit", "its unit"),
    ("method", "its method"),
];

/// Headings of the roles, plain.
const NAMES: [(&str, &[&str]); 16] = [
    ("field", &["field", "fieldname", "fieldid", "site", "location", "paddock", "land"]),
    (
        "sample",
        &[
            "sample",
            "sampleno",
            "samplenumber",
            "sampleid",
            "labno",
            "labnumber",
            "labid",
            "bag",
            "reference",
            "yoursampleid",
        ],
    ),
    ("zone", &["zone", "subfield", "benchmark", "cell", "grid", "mz", "managementzone"]),
    ("sampled", &["date", "sampled", "datesampled", "sampledate", "samplingdate", "dateofsampling"]),
    ("lab", &["lab", "laboratory", "labname"]),
    ("depth", &["depth", "depthin", "depthcm", "layer", "sampledepth"]),
    (
        "top",
        &[
            "depthfrom",
            "top",
            "topdepth",
            "startdepth",
            "startingdepth",
            "from",
            "upperdepth",
            "begindepth",
            "bdepth",
        ],
    ),
    (
        "bottom",
        &["depthto", "bottom", "bottomdepth", "enddepth", "endingdepth", "to", "lowerdepth", "edepth"],
    ),
    ("cores", &["cores", "noofcores", "corecount", "subsamples"]),
    ("soil_temp", &["soiltemp", "soiltempc", "soiltemperature", "soiltemperaturec"]),
    ("lat", &["lat", "latitude"]),
    ("lon", &["lon", "long", "longitude", "lng"]),
    ("analyte", &["analyte", "parameter", "test", "nutrient", "element", "testname"]),
    ("value", &["value", "result", "testresult", "resultvalue"]),
    ("unit", &["unit", "units", "uom"]),
    ("method", &["method", "extractant", "testmethod", "extraction"]),
];

impl Column {
    /// What a heading says, then what was answered.
    pub fn guess(
        index: usize,
        heading: &str,
        first: Vec<String>,
        unit_row: Option<&str>,
        answers: &Answers,
    ) -> Self {
        let get = |what: &str| answers.get(&format!("c{index}.{what}")).map(str::to_string);
        let mut c = Self {
            index,
            heading: heading.trim().to_string(),
            first,
            is: "ignore".into(),
            unit: unit_row.and_then(unit).map(str::to_string),
            depth: None,
            basis: None,
            extractant: extractant(heading).map(str::to_string),
        };
        c.by_heading();
        if let Some(is) = get("is") {
            if is != c.is {
                c.basis = None;
            }
            c.is = is;
        }
        c.unit = get("unit").or(c.unit);
        c.depth = get("depth").or(c.depth);
        c.basis = get("basis").or(c.basis);
        c.extractant = get("method").or(c.extractant);
        if let Some(a) = c.analyte() {
            c.unit = c.unit.or_else(|| a.only_unit().map(str::to_string));
        }
        c
    }

    fn by_heading(&mut self) {
        let whole = plain(&self.heading);
        if let Some((role, _)) = NAMES.iter().find(|(_, names)| names.contains(&whole.as_str())) {
            self.is = (*role).into();
            return;
        }
        if self.unit.is_none() {
            self.unit = bracketed(&self.heading)
                .find_map(|t| unit(&t))
                .or_else(|| unit_at_end(&self.heading))
                .map(str::to_string);
        }
        if depth::range(&self.heading).is_some() {
            self.depth = Some(self.heading.clone());
        }
        // the name is what is left once depth, unit and method are set aside: try ever fewer words from the front
        let bare = self.heading.replace(['(', ')', '[', ']', '_', ',', ':'], " ");
        let all: Vec<&str> = bare.split_whitespace().collect();
        for from in 0..all.len().min(3) {
            for to in (from + 1..=all.len().min(from + 3)).rev() {
                if let Some((a, basis)) = Analyte::by_name(&plain(&all[from..to].join(""))) {
                    self.is = a.key.into();
                    self.basis = basis.map(str::to_string);
                    return;
                }
            }
        }
    }

    /// The analyte it holds, if it does.
    pub fn analyte(&self) -> Option<&'static Analyte> {
        Analyte::of(&self.is)
    }

    /// What must still be said of it. `depth_elsewhere`: a column gives the depth.
    pub fn open(&self, depth_elsewhere: bool) -> Vec<Question> {
        let Some(a) = self.analyte() else { return Vec::new() };
        let key = |what: &str| format!("c{}.{what}", self.index);
        let mut out = Vec::new();
        if self.unit.is_none() {
            let choices: Vec<(&str, &str)> = UNITS.iter().map(|u| (*u, *u)).collect();
            out.push(Question::choose(
                key("unit"),
                format!("{}: which unit? ppm and lb/ac differ by two or more.", self.heading),
                &choices,
            ));
        }
        if !a.bases.is_empty() && self.basis.is_none() {
            let choices: Vec<(&str, &str)> = a.bases.iter().map(|b| (*b, *b)).collect();
            out.push(Question::choose(
                key("basis"),
                format!("{}: as which is it quoted?", self.heading),
                &choices,
            ));
        }
        if self.depth.as_deref().and_then(depth::range).is_none() && !depth_elsewhere {
            out.push(Question::choose(
                key("depth"),
                format!("{}: from which depth? Write it as 0-6 in or 0-15 cm.", self.heading),
                &[],
            ));
        }
        if a.key == "p" && self.extractant.is_none() {
            out.push(Question::choose(
                key("method"),
                format!("{}: by which method? A figure of one is not a figure of another.", self.heading),
                &P_METHODS,
            ));
        }
        out
    }

    /// In words, for a preview.
    pub fn words(&self) -> &str {
        ROLES
            .iter()
            .find(|(k, _)| *k == self.is)
            .map(|(_, w)| *w)
            .or_else(|| ANALYTES.iter().find(|a| a.key == self.is).map(|a| a.words))
            .unwrap_or(&self.is)
    }
}

/// What stands in brackets.
fn bracketed(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(['(', '[']).skip(1).filter_map(|t| t.split([')', ']']).next().map(str::to_string))
}

/// A unit as the last word: `K ppm`, `NO3-N lb/ac`.
fn unit_at_end(text: &str) -> Option<&'static str> {
    let last = text.split_whitespace().last()?;
    let known = [
        "ppm", "mg/kg", "lb/ac", "lbs/ac", "lb/acre", "lbs/acre", "kg/ha", "%", "ds/m", "ms/cm", "mmho/cm",
        "mmhos/cm", "meq/100g", "meq",
    ];
    known
        .contains(&last.to_lowercase().as_str())
        .then(|| if last.eq_ignore_ascii_case("meq") { Some("meq/100 g") } else { unit(last) })?
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guess(heading: &str) -> Column {
        Column::guess(0, heading, Vec::new(), None, &Answers::default())
    }

    #[test]
    fn headings_of_many_laboratories() {
        let c = guess("NO3-N 0-6 in (lb/ac)");
        assert_eq!(
            (c.is.as_str(), c.unit.as_deref(), c.basis.as_deref()),
            ("nitrate_n", Some("lb/ac"), Some("N"))
        );
        assert_eq!(depth::range(c.depth.as_deref().unwrap()).unwrap().1, 6.0);
        assert!(c.open(false).is_empty());
        let c = guess("Olsen P ppm");
        assert_eq!((c.is.as_str(), c.extractant.as_deref()), ("p", Some("Olsen")));
        assert_eq!(guess("Field Name").is, "field");
        assert_eq!(guess("Soil pH").is, "ph");
        assert_eq!(guess("Organic Matter (%)").is, "organic_matter");
        assert_eq!(guess("K").is, "k");
        assert_eq!(guess("Sulphate-S 0-24").is, "s");
        assert_eq!(guess("Invoice").is, "ignore");
    }

    #[test]
    fn what_is_not_said_is_asked() {
        let keys = |c: &Column| c.open(false).iter().map(|q| q.key.clone()).collect::<Vec<_>>();
        assert_eq!(keys(&guess("Phosphate")), ["c0.unit", "c0.basis", "c0.depth", "c0.method"]);
        assert_eq!(keys(&guess("NO3 0-24 in")), ["c0.unit", "c0.basis"]);
        let answered = Answers::default().with("c0.unit", "ppm").with("c0.basis", "N");
        assert!(Column::guess(0, "NO3 0-24 in", Vec::new(), None, &answered).open(false).is_empty());
    }
}
