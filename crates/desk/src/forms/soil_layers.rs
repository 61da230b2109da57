//! Soil layers as typed: one line a layer, from the top down.

use serde_json::{Value as Json, json};

/// Layers from lines of "bottom cm, sand %, clay %, organic matter %"; the last may be left out.
///
/// # Errors
/// The line that cannot be read and how to mend it.
pub fn read(text: &str) -> Result<Vec<Json>, String> {
    let mut layers = Vec::new();
    let mut top = 0.0;
    for (n, line) in text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()) {
        let figures: Option<Vec<f64>> = line
            .split(|c: char| c.is_whitespace() || c == ',' || c == ';')
            .filter(|w| !w.is_empty())
            .map(|w| w.trim_end_matches('%').parse().ok())
            .collect();
        let Some(&[bottom, sand, clay, ref rest @ ..]) = figures.as_deref() else {
            return Err(wrong(n, line));
        };
        let mut layer = json!({"top_cm": top, "bottom_cm": bottom, "sand_pct": sand, "clay_pct": clay});
        match rest {
            [] => {}
            [organic] => layer["organic_matter_pct"] = json!(organic),
            _ => return Err(wrong(n, line)),
        }
        layers.push(layer);
        top = bottom;
    }
    Ok(layers)
}

fn wrong(n: usize, line: &str) -> String {
    format!(
        "Line {} of the layers, \"{}\", is not three or four figures; write bottom in cm, sand %, clay % and, if known, organic matter %, such as 15 32 28 4.5.",
        n + 1,
        line.trim()
    )
}

/// Layers as lines, for a correction.
pub fn write(layers: &Json) -> Option<String> {
    let line = |l: &Json| {
        ["bottom_cm", "sand_pct", "clay_pct", "organic_matter_pct"]
            .iter()
            .filter_map(|k| l[*k].as_f64())
            .map(|x| x.to_string())
            .collect::<Vec<_>>()
            .join(" ")
    };
    Some(layers.as_array()?.iter().map(line).collect::<Vec<_>>().join("\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_become_layers_and_come_back() {
        let layers = read("15 32 28 4.5\n\n 60, 30, 34 \n").unwrap();
        assert_eq!(layers[0]["top_cm"], 0.0);
        assert_eq!(layers[1]["top_cm"], 15.0);
        assert_eq!(layers[1].get("organic_matter_pct"), None);
        assert_eq!(write(&json!(layers)).unwrap(), "15 32 28 4.5\n60 30 34");
    }

    #[test]
    fn a_line_that_is_no_layer_is_named() {
        for bad in ["15 32 28\nsand", "15 32 28\n30 20", "15 32 28\n30 1 2 3 4"] {
            assert!(read(bad).unwrap_err().starts_with("Line 2"), "{bad}");
        }
    }
}
