//! A settlement, line by line from the scale ticket, and the line where a buyer's figures go wrong.
//!
//! Order: gross less tare; dockage to a tenth of a percent off the weight; the moisture term (straight, a discount, a
//! drying charge or shrink: never two of them); price and its adjustments on clean tonnes; deductions; levy; payable.
//! Money is rounded at the end only.

use stook_measure::{Op, Working};

use crate::drier::water_per_wet_kg;

/// How moisture is settled.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoistureTerm {
    /// Straight grade.
    #[default]
    Straight,
    /// A discount for tough or damp, money a tonne.
    Discount(f64),
    /// A drying charge, money a tonne.
    Drying(f64),
    /// Weight shrunk from one moisture to another, % wet basis.
    Shrink {
        /// Tested.
        from_pct: f64,
        /// Settled on.
        to_pct: f64,
    },
}

/// A ticket and its terms.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Sale {
    /// Scale, full, kg.
    pub gross_kg: f64,
    /// Scale, empty, kg.
    pub tare_kg: f64,
    /// Dockage, percent, settled to a tenth.
    pub dockage_pct: f64,
    /// Moisture.
    pub moisture: MoistureTerm,
    /// Price for the grade, money a tonne.
    pub price_t: f64,
    /// Protein premium (a discount when negative).
    pub protein_t: f64,
    /// Other discounts.
    pub discount_t: f64,
    /// Freight.
    pub freight_t: f64,
    /// Elevation.
    pub elevation_t: f64,
    /// Cleaning.
    pub cleaning_t: f64,
    /// Inspection.
    pub inspection_t: f64,
    /// Levies, on clean tonnes.
    pub levy_t: f64,
    /// Advances and other money already had.
    pub advance: f64,
}

/// A line of the statement, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineKey {
    /// Net scale weight, kg.
    NetScaleKg,
    /// Dockage, kg.
    DockageKg,
    /// Clean weight, t, after dockage and any shrink.
    NetT,
    /// Price after adjustments, money a tonne.
    PriceT,
    /// Value before deductions.
    GrossValue,
    /// Freight, elevation, cleaning, inspection and drying.
    Deductions,
    /// Levies.
    Levy,
    /// To be paid.
    Payable,
}

impl LineKey {
    /// All, in the order of the statement.
    pub const ALL: [Self; 8] = [
        Self::NetScaleKg,
        Self::DockageKg,
        Self::NetT,
        Self::PriceT,
        Self::GrossValue,
        Self::Deductions,
        Self::Levy,
        Self::Payable,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NetScaleKg => "net scale weight",
            Self::DockageKg => "dockage",
            Self::NetT => "clean weight",
            Self::PriceT => "price after adjustments",
            Self::GrossValue => "value before deductions",
            Self::Deductions => "deductions",
            Self::Levy => "levies",
            Self::Payable => "payable",
        }
    }

    /// Unit; empty for money.
    pub fn unit(self) -> &'static str {
        match self {
            Self::NetScaleKg | Self::DockageKg => "kg",
            Self::NetT => "t",
            _ => "",
        }
    }

    /// Half the last place a statement prints: differences within it are rounding.
    fn rounding(self) -> f64 {
        match self {
            Self::NetScaleKg | Self::DockageKg => 0.6,
            Self::NetT => 0.000_6,
            Self::PriceT => 0.006,
            // Money made of a weight printed to the kilogram and a price to the cent.
            _ => 0.6,
        }
    }
}

/// A line that does not agree.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Disagreement {
    /// Line.
    pub line: LineKey,
    /// The buyer's figure.
    pub theirs: f64,
    /// Ours.
    pub ours: f64,
    /// What the lines above it, as the buyer printed them, make of it.
    pub from_above: f64,
    /// The step itself is wrong; otherwise an error above it is carried down.
    pub at_fault: bool,
    /// What the buyer seems to have done, where it can be told.
    pub likely: Option<&'static str>,
}

impl Sale {
    /// One line from the lines above it.
    fn step(&self, line: LineKey, above: &dyn Fn(LineKey) -> f64) -> f64 {
        match line {
            LineKey::NetScaleKg => self.gross_kg - self.tare_kg,
            LineKey::DockageKg => above(LineKey::NetScaleKg) * tenth(self.dockage_pct) / 100.0,
            LineKey::NetT => {
                let clean = above(LineKey::NetScaleKg) - above(LineKey::DockageKg);
                let shrink = match self.moisture {
                    MoistureTerm::Shrink { from_pct, to_pct } => water_per_wet_kg(from_pct, to_pct).max(0.0),
                    _ => 0.0,
                };
                clean * (1.0 - shrink) / 1000.0
            }
            LineKey::PriceT => {
                let moisture = if let MoistureTerm::Discount(d) = self.moisture { d } else { 0.0 };
                self.price_t + self.protein_t - self.discount_t - moisture
            }
            LineKey::GrossValue => above(LineKey::NetT) * above(LineKey::PriceT),
            LineKey::Deductions => above(LineKey::NetT) * self.deductions_t(),
            LineKey::Levy => above(LineKey::NetT) * self.levy_t,
            LineKey::Payable => {
                above(LineKey::GrossValue) - above(LineKey::Deductions) - above(LineKey::Levy) - self.advance
            }
        }
    }

    fn deductions_t(&self) -> f64 {
        let drying = if let MoistureTerm::Drying(d) = self.moisture { d } else { 0.0 };
        self.freight_t + self.elevation_t + self.cleaning_t + self.inspection_t + drying
    }

    /// All lines, exact.
    pub fn lines(&self) -> [(LineKey, f64); 8] {
        let mut out = LineKey::ALL.map(|k| (k, 0.0));
        for (i, key) in LineKey::ALL.into_iter().enumerate() {
            let done = out;
            out[i].1 = self.step(key, &|k| done[k as usize].1);
        }
        out
    }

    /// One line.
    pub fn line(&self, key: LineKey) -> f64 {
        self.lines()[key as usize].1
    }

    /// Where the buyer's figures disagree with the ticket and terms, in the order of the statement. The first one at
    /// fault is the error; those below it may only carry it.
    pub fn compare(&self, theirs: &[(LineKey, f64)]) -> Vec<Disagreement> {
        let ours = self.lines();
        let given = |k: LineKey| theirs.iter().find(|t| t.0 == k).map(|t| t.1);
        // A line that is not printed follows from the lines above it as the buyer printed them.
        let mut carried = [0.0; LineKey::ALL.len()];
        for line in LineKey::ALL {
            let done = carried;
            carried[line as usize] = given(line).unwrap_or_else(|| self.step(line, &|k| done[k as usize]));
        }
        let above = |k: LineKey| carried[k as usize];
        LineKey::ALL
            .into_iter()
            .filter_map(|line| {
                let figure = given(line)?;
                let exact = ours[line as usize].1;
                let follows = (figure - self.step(line, &above)).abs() <= line.rounding();
                if follows && (figure - exact).abs() <= line.rounding() {
                    return None;
                }
                let likely = if follows { None } else { self.likely(line, figure, &above) };
                let from_above = self.step(line, &above);
                Some(Disagreement {
                    line,
                    theirs: figure,
                    ours: exact,
                    from_above,
                    at_fault: !follows,
                    likely,
                })
            })
            .collect()
    }

    /// Common slips that give exactly the buyer's figure.
    fn likely(&self, line: LineKey, figure: f64, above: &dyn Fn(LineKey) -> f64) -> Option<&'static str> {
        let scale_t = above(LineKey::NetScaleKg) / 1000.0;
        let price = above(LineKey::PriceT);
        let guesses: Vec<(f64, &'static str)> = match line {
            LineKey::NetScaleKg => vec![(self.gross_kg, "the tare was not taken off")],
            LineKey::DockageKg => vec![
                (
                    self.gross_kg * tenth(self.dockage_pct) / 100.0,
                    "dockage was taken on the gross weight, truck and all",
                ),
                (
                    above(LineKey::NetScaleKg) * self.dockage_pct.ceil() / 100.0,
                    "dockage was rounded up to a whole percent",
                ),
            ],
            LineKey::NetT => {
                let mut v = vec![(scale_t, "dockage was not taken off")];
                if let MoistureTerm::Shrink { from_pct, to_pct } = self.moisture {
                    let clean = scale_t - above(LineKey::DockageKg) / 1000.0;
                    for (per_point, words) in [
                        (1.2, "shrink was taken at a flat 1.2 % a point"),
                        (1.3, "shrink was taken at a flat 1.3 % a point"),
                        (1.4, "shrink was taken at a flat 1.4 % a point"),
                        (1.5, "shrink was taken at a flat 1.5 % a point"),
                    ] {
                        v.push((clean * (1.0 - per_point * (from_pct - to_pct) / 100.0), words));
                    }
                }
                v
            }
            LineKey::PriceT => {
                let ours = self.step(line, above);
                vec![
                    (ours - self.protein_t, "the protein premium was left out"),
                    (ours - 2.0 * self.protein_t, "the protein premium was taken off"),
                    (ours + self.discount_t, "the discount was left out"),
                    (ours - self.discount_t, "the discount was taken twice"),
                ]
            }
            LineKey::GrossValue => vec![
                (scale_t * price, "the value is on weight before dockage"),
                (above(LineKey::NetT) * self.price_t, "the price before adjustments was used"),
            ],
            LineKey::Deductions => {
                vec![(scale_t * self.deductions_t(), "deductions are on weight before dockage")]
            }
            LineKey::Levy => vec![
                (scale_t * self.levy_t, "the levy is on weight before dockage"),
                (
                    above(LineKey::GrossValue) * self.levy_t / 100.0,
                    "the levy was taken as a percent of the value",
                ),
            ],
            LineKey::Payable => {
                let exact = self.step(line, above);
                vec![
                    (exact - above(LineKey::Levy), "the levy was taken twice"),
                    (exact - above(LineKey::Deductions), "the deductions were taken twice"),
                    (exact + self.advance, "the advance was not taken off"),
                ]
            }
        };
        let exact = self.step(line, above);
        guesses
            .into_iter()
            // A slip that gives the right figure explains nothing.
            .filter(|g| (g.0 - exact).abs() > line.rounding())
            .find(|g| (g.0 - figure).abs() <= line.rounding())
            .map(|g| g.1)
    }

    /// The statement as one reckons it.
    pub fn working(&self) -> Working {
        let at = |k| self.line(k);
        let mut w = Working::new("Settlement")
            .line(Op::Note, "Gross", self.gross_kg, "kg", 0)
            .line(Op::Note, "Tare", self.tare_kg, "kg", 0)
            .line(Op::Note, "Net scale weight", at(LineKey::NetScaleKg), "kg", 0)
            .line(Op::Note, "Dockage", tenth(self.dockage_pct), "%", 1)
            .line(Op::Note, "Dockage", at(LineKey::DockageKg), "kg", 1)
            .line(Op::Note, "Price", self.price_t, "a tonne", 2)
            .line(Op::Note, "Protein", self.protein_t, "a tonne", 2)
            .line(Op::Note, "Other discounts", self.discount_t, "a tonne", 2)
            .line(Op::Start, "Clean weight", at(LineKey::NetT), "t", 4)
            .line(Op::Times, "Price after adjustments", at(LineKey::PriceT), "a tonne", 2)
            .line(Op::Minus, "Deductions", at(LineKey::Deductions), "", 2)
            .line(Op::Minus, "Levies", at(LineKey::Levy), "", 2)
            .sum("Payable", at(LineKey::Payable), "", 2)
            .note("Dockage is settled to a tenth of a percent, and money is rounded at the end.")
            .source("order of the steps: Canada Grain Regulations");
        if self.advance != 0.0 {
            w = w.line(Op::Minus, "Advances", self.advance, "", 2);
        }
        match self.moisture {
            MoistureTerm::Straight => {}
            MoistureTerm::Discount(d) => w = w.note(format!("{d:.2} a tonne off for moisture.")),
            MoistureTerm::Drying(d) => w = w.note(format!("{d:.2} a tonne for drying.")),
            MoistureTerm::Shrink { from_pct, to_pct } => {
                w = w.note(format!("Weight shrunk from {from_pct:.1} to {to_pct:.1} %."));
            }
        }
        w
    }
}

/// Dockage to a tenth of a percent.
fn tenth(pct: f64) -> f64 {
    (pct * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sale() -> Sale {
        Sale {
            gross_kg: 57_420.0,
            tare_kg: 17_380.0,
            dockage_pct: 1.5,
            price_t: 300.0,
            protein_t: 6.0,
            discount_t: 4.0,
            freight_t: 12.0,
            levy_t: 1.0,
            ..Sale::default()
        }
    }

    #[test]
    fn a_right_statement_is_left_alone_and_a_wrong_line_is_found() {
        let s = sale();
        let mut theirs: Vec<_> = s.lines().to_vec();
        assert_eq!(s.compare(&theirs), []);
        // Dockage on the gross weight, everything below carried faithfully.
        theirs[1].1 = 57_420.0 * 0.015;
        theirs[2].1 = (theirs[0].1 - theirs[1].1) / 1000.0;
        theirs[4].1 = theirs[2].1 * theirs[3].1;
        theirs[5].1 = theirs[2].1 * 12.0;
        theirs[6].1 = theirs[2].1;
        theirs[7].1 = theirs[4].1 - theirs[5].1 - theirs[6].1;
        let found = s.compare(&theirs);
        assert_eq!(found[0].line, LineKey::DockageKg);
        assert_eq!(found[0].likely, Some("dockage was taken on the gross weight, truck and all"));
        assert!(found[0].at_fault && found[1..].iter().all(|d| !d.at_fault), "{found:?}");
        assert!(found.iter().any(|d| d.line == LineKey::Payable && d.theirs < d.ours));
    }

    #[test]
    fn pencil_shrink_is_recognised() {
        let s = Sale { moisture: MoistureTerm::Shrink { from_pct: 17.0, to_pct: 14.5 }, ..sale() };
        let clean = s.line(LineKey::NetScaleKg) - s.line(LineKey::DockageKg);
        let found = s.compare(&[(LineKey::NetT, clean * (1.0 - 0.035) / 1000.0)]);
        assert_eq!(found[0].likely, Some("shrink was taken at a flat 1.4 % a point"));
    }

    #[test]
    fn the_working_adds_up() {
        let s = Sale { advance: 500.0, ..sale() };
        assert!(s.working().adds_up(0.05), "{:?} {:?}", s.working().by_hand(), s.working().sum);
    }

    proptest! {
        #[test]
        fn any_single_slip_of_note_is_found_at_its_line(i in 0usize..8, slip in 1.0..200.0f64, up in any::<bool>()) {
            let s = sale();
            let mut theirs: Vec<_> = s.lines().to_vec();
            let size = if theirs[i].0.unit() == "t" { slip / 100.0 } else { slip };
            theirs[i].1 += if up { size } else { -size };
            let found = s.compare(&theirs);
            let first = found.iter().find(|d| d.at_fault).map(|d| d.line);
            prop_assert_eq!(first, Some(LineKey::ALL[i]));
        }
    }
}
