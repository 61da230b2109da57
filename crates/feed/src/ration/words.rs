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
    if b.per_step > 0.0 {
        format!("Each {} more of {} adds {money} a tonne.", b.step_words, b.what)
    } else {
        format!("Each {} more allowed on {} saves {money} a tonne.", b.step_words, b.what)
    }
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
