//! The soil models offered as calculators.

use stook_measure::{Args, CalcError, Calculator, Output};

mod holding;
mod roots;
mod surface;
mod water_in;
mod work;

/// All of them.
pub fn calculators() -> Vec<Calculator> {
    let mut all = holding::calculators();
    all.extend(surface::calculators());
    all.extend(roots::calculators());
    all.extend(water_in::calculators());
    all.extend(work::calculators());
    all
}

const fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

/// Several lists, one value a day each; a list of one value holds for all days.
struct Days<'a> {
    lists: Vec<&'a [f64]>,
    count: usize,
}

impl<'a> Days<'a> {
    fn of(args: &'a Args, keys: &[&'static str]) -> Result<Self, CalcError> {
        let lists: Vec<&[f64]> = keys.iter().map(|k| args.list(k)).collect();
        let count = lists.iter().map(|l| l.len()).max().unwrap_or(0);
        if let Some(i) = lists.iter().position(|l| l.len() != 1 && l.len() != count) {
            return Err(CalcError::Together(format!(
                "{} has {} values and another list has {count}; give one value, or one for each day",
                keys[i],
                lists[i].len()
            )));
        }
        Ok(Self { lists, count })
    }

    fn get(&self, list: usize, day: usize) -> f64 {
        let l = self.lists[list];
        if l.len() == 1 { l[0] } else { l[day] }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::Map;
    use stook_measure::check;

    const CHECKS: &str = include_str!("../../../../reference/checks/soil.jsonl");

    #[test]
    fn published_checks_pass() {
        let wrong = check::audit("soil", CHECKS, &super::calculators());
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    #[test]
    fn every_calculator_runs_on_its_defaults_and_adds_up() {
        for c in super::calculators() {
            let o = c.call(&Map::new()).unwrap_or_else(|e| panic!("{}: {e}", c.name));
            for output in &c.outputs {
                assert!(o.get(output.key).is_some(), "{} gives no {}", c.name, output.key);
            }
            assert_eq!(o.out.len(), c.outputs.len(), "{}", c.name);
            let sum = o.working.sum.as_ref().unwrap_or_else(|| panic!("{} has no sum", c.name));
            // A pencil works with the printed digits.
            assert!(o.working.adds_up(0.01 * sum.value.abs() + 0.02), "{}: {:?}", c.name, o.working);
        }
    }

    #[test]
    fn checks_reach_most_calculators() {
        let checks = check::read("soil.jsonl", CHECKS).unwrap();
        let all = super::calculators();
        let reached = all.iter().filter(|c| checks.iter().any(|k| k.model == c.name)).count();
        assert!(reached * 10 >= all.len() * 7, "{reached} of {}", all.len());
    }

    #[test]
    fn lists_that_do_not_match_are_refused() {
        let given = serde_json::json!({"eto_mm": [4, 5, 4], "kcb": [0.2, 0.3]});
        let all = super::calculators();
        let c = all.iter().find(|c| c.name == "soil.surface_drying").unwrap();
        let e = c.call(given.as_object().unwrap()).unwrap_err().to_string();
        assert!(e.starts_with("kcb has 2 values"), "{e}");
    }
}
