//! What a ration says, in words.

use stook_measure::figure;
use stook_optimise::{Conflict, Side};

use super::{Binding, Ration};

/// What each limit that binds costs, in sentences.
pub fn price_words(r: &Ration) -> Vec<String> {
    r.binding.iter().map(one).collect()
}

fn one(b: &Binding) -> String {
    let money = figure(b.per_step.abs(), 2);
    let what = plain(&b.what);
    if b.per_step > 0.0 {
        format!("{what} binds: {} more asked adds {money} a tonne.", b.step_words)
    } else {
        format!("{what} binds: {} more allowed saves {money} a tonne.", b.step_words)
    }
}

/// A row's name as the start of a sentence: a ratio by its amino acid.
fn plain(what: &str) -> String {
    let what = what.strip_suffix(" to lysine").or_else(|| what.strip_suffix(" for energy")).unwrap_or(what);
    let mut letters = what.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// Which few limits do not go together and what giving way on each would take, in sentences.
pub fn conflict_words(c: &Conflict) -> Vec<String> {
    let names: Vec<String> = c
        .limits
        .iter()
        .map(|l| if l.of_column { format!("the limit on {}", l.name) } else { l.name.clone() })
        .collect();
    let mut all = vec![match names.as_slice() {
        [] => "No limit was found to blame; look at the prices and contents.".to_string(),
        [only] => format!("Nothing on offer meets {only}."),
        _ => format!("These cannot all be met together: {}.", names.join("; ")),
    }];
    for (l, name) in c.limits.iter().zip(&names) {
        let side = if l.side == Side::AtLeast { "down" } else { "up" };
        // A ratio stands as a sum not below nought, in g/kg: by how much of the diet it may fall short.
        if l.limit == 0.0
            && !l.of_column
            && let (Some(to), Some(cost)) = (l.give_way_to, l.objective)
        {
            all.push(format!(
                "Give way on {name}: let it be {} % of the diet short, and the ration costs {} a tonne.",
                figure(to.abs() / 10.0, 3),
                figure(cost, 2)
            ));
            continue;
        }
        if let (true, Some(to), Some(cost)) = (l.of_column, l.give_way_to, l.objective) {
            all.push(format!(
                "Give way on {name}: {side} from {} % to {} % of the diet, and the ration costs {} a tonne.",
                figure(100.0 * l.limit, 1),
                figure(100.0 * to, 1),
                figure(cost, 2)
            ));
            continue;
        }
        all.push(match (l.give_way_to, l.objective) {
            (Some(to), Some(cost)) => format!(
                "Give way on {name}: {side} from {} to {}, and the ration costs {} a tonne.",
                tidy(l.limit),
                tidy(to),
                figure(cost, 2)
            ),
            (Some(to), None) => format!("Give way on {name}: {side} from {} to {}.", tidy(l.limit), tidy(to)),
            _ => format!("Giving way on {name} alone is not enough."),
        });
    }
    all
}

fn tidy(x: f64) -> String {
    figure(x, if x.abs() < 1.0 { 4 } else { 3 })
}
