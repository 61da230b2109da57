//! Costs and machine values in a sentence.

use stook_book::payload::{AreaUnit, UnitChoice};
use stook_book::{FieldId, Payload};
use stook_measure::{figure, units};

/// The parts of the sentence.
pub fn parts(p: &Payload, u: &UnitChoice, name: &dyn Fn(&FieldId) -> String) -> Vec<Option<String>> {
    let money = |x: f64| format!("{}{}", u.money, figure(x, 2));
    match p {
        Payload::Cost(x) => vec![
            Some(x.kind.words().split(':').next().unwrap_or_default().to_string()),
            x.what.clone(),
            Some(format!("for {}", x.crop_year)),
            x.field.as_ref().map(name),
            x.crop.as_ref().map(|c| c.words().to_string()),
            x.per_ha.map(|m| {
                if u.area == AreaUnit::Acres {
                    format!("{} an acre", money(m * units::HA_PER_ACRE))
                } else {
                    format!("{} a hectare", money(m))
                }
            }),
            x.amount.map(money),
            x.due.map(|d| format!("due {}", super::long_day(d))),
        ],
        Payload::MachineValue(x) => vec![
            Some(x.machine.to_string()),
            Some(format!("{} new", money(x.new_price))),
            Some(format!("built {}", x.built)),
        ],
        Payload::MoneyIn(x) => {
            vec![Some(x.what.clone()), Some(money(x.amount)), Some(format!("on {}", super::long_day(x.due)))]
        }
        _ => Vec::new(),
    }
}
