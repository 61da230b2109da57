//! Errors of the models as sentences.

/// An error as a sentence: the first letter large, one full stop.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        format!("{}{}.", c.to_uppercase(), letters.as_str().trim_end_matches('.'))
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn one_full_stop() {
        assert_eq!(super::sentence("the unit is missing."), "The unit is missing.");
        assert_eq!(super::sentence(""), "");
    }
}
