//! Depths as people and laboratories write them.

use stook_measure::units::MM_PER_IN;

/// Unit of a depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DepthUnit {
    /// Inches.
    Inches,
    /// Centimetres.
    Cm,
}

impl DepthUnit {
    /// Of a text: `in`, `inches`, `"`, `cm`.
    pub fn of(text: &str) -> Option<Self> {
        let t = text.to_lowercase();
        let has = |words: &[&str]| t.split(|c: char| !c.is_alphanumeric()).any(|w| words.contains(&w));
        if has(&["cm", "centimetre", "centimetres", "centimeter", "centimeters"]) {
            Some(Self::Cm)
        } else if t.contains('"') || has(&["in", "inch", "inches"]) {
            Some(Self::Inches)
        } else {
            None
        }
    }

    /// In centimetres.
    pub fn to_cm(self, x: f64) -> f64 {
        match self {
            Self::Inches => x * MM_PER_IN / 10.0,
            Self::Cm => x,
        }
    }
}

/// A range in a text, and what stands around it: `NO3-N 0-6 in (lb/ac)` gives 0 to 6, inches.
pub fn range(text: &str) -> Option<(f64, f64, Option<DepthUnit>)> {
    let letters: Vec<char> = text.chars().collect();
    let number = |from: usize| {
        let mut end = from;
        while end < letters.len() && (letters[end].is_ascii_digit() || letters[end] == '.') {
            end += 1;
        }
        let t: String = letters[from..end].iter().collect();
        t.parse::<f64>().ok().map(|x| (x, end))
    };
    let mut i = 0;
    while i < letters.len() {
        // a digit that belongs to a formula, as in NO3 or P2O5, starts no depth
        let starts = letters[i].is_ascii_digit()
            && (i == 0 || !(letters[i - 1].is_alphanumeric() || letters[i - 1] == '.'));
        if !starts {
            i += 1;
            continue;
        }
        let Some((top, mut j)) = number(i) else {
            i += 1;
            continue;
        };
        let after_first = j;
        // a unit may follow each figure: 0" - 6", 0 cm to 15 cm
        while j < letters.len()
            && (letters[j].is_whitespace()
                || letters[j] == '"'
                || letters[j].is_alphabetic() && j < after_first + 3)
        {
            j += 1;
        }
        let between: String = letters[after_first..j].iter().collect();
        let joined = between.to_lowercase().contains("to");
        let dash = j < letters.len() && "-\u{2013}\u{2014}_/".contains(letters[j]);
        if !(dash || joined) {
            i = after_first;
            continue;
        }
        if dash {
            j += 1;
        }
        while j < letters.len() && letters[j].is_whitespace() {
            j += 1;
        }
        match number(j) {
            Some((bottom, end)) if bottom > top && bottom <= 240.0 => {
                let rest: String = letters[end..].iter().collect();
                let word: String = rest
                    .trim_start_matches(|c: char| c.is_whitespace() || c == '_')
                    .chars()
                    .take_while(|c| c.is_alphabetic() || *c == '"')
                    .collect();
                return Some((top, bottom, DepthUnit::of(&word).or_else(|| DepthUnit::of(&between))));
            }
            _ => i = after_first,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depths_as_they_are_written() {
        use DepthUnit::{Cm, Inches};
        for (text, want) in [
            ("NO3-N 0-6 in (lb/ac)", Some((0.0, 6.0, Some(Inches)))),
            ("0 to 24\"", Some((0.0, 24.0, Some(Inches)))),
            ("0\"-6\"", Some((0.0, 6.0, Some(Inches)))),
            ("6-24", Some((6.0, 24.0, None))),
            ("P2O5 0-15cm", Some((0.0, 15.0, Some(Cm)))),
            ("15 - 60 cm", Some((15.0, 60.0, Some(Cm)))),
            ("S_0_6_in", Some((0.0, 6.0, Some(Inches)))),
            ("pH", None),
            ("NO3-N", None),
            ("24-6", None),
        ] {
            assert_eq!(range(text), want, "{text}");
        }
        assert!((Inches.to_cm(6.0) - 15.24).abs() < 1e-9);
    }
}
