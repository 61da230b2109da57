//! What a change of the hauling set-up would buy: one more truck, a bigger auger, another way to unload.

use stook_harvest::costs;
use stook_harvest::haul::{Cart, Change, Drier, Setup, Unloading};
use stook_measure::figure;

use super::Bought;
use crate::carry::Carried;
use crate::harvest::combine::HourWorth;
use crate::words;

/// Changes worth asking about.
pub(super) fn variants(s: &Setup) -> Vec<(String, Setup)> {
    let mut out = Vec::new();
    let mut more = s.clone();
    more.trucks.push(more.trucks[0]);
    out.push(("One more truck".to_string(), more));
    out.push(("An auger half as fast again".into(), Setup { pit_t_min: 1.5 * s.pit_t_min, ..s.clone() }));
    if s.carts.is_empty() {
        let cart = Cart { holds_t: 3.0 * s.tank_t, pours_t_min: 2.0 * s.unloads_t_min };
        out.push((
            "A grain cart".into(),
            Setup { carts: vec![cart], unloading: Unloading::Going, ..s.clone() },
        ));
    } else {
        let mut two = s.clone();
        two.carts.push(two.carts[0]);
        out.push(("A second cart".into(), two));
        let other = if s.unloading == Unloading::Going { Unloading::Stopped } else { Unloading::Going };
        let words = if other == Unloading::Going { "Unloading on the go" } else { "Stopping to unload" };
        out.push((words.into(), Setup { unloading: other, ..s.clone() }));
        if s.trucks.iter().all(|t| t.holds_t >= s.tank_t) {
            out.push((
                "Unloading at the field's edge".into(),
                Setup { unloading: Unloading::Edge, ..s.clone() },
            ));
        }
    }
    if let Some(d) = s.drier {
        out.push((
            "A drier twice as fast".into(),
            Setup { drier: Some(Drier { t_min: 2.0 * d.t_min, ..d }), ..s.clone() },
        ));
        out.push((
            "A wet bin of three truckloads".into(),
            Setup {
                drier: Some(Drier { wet_bin_t: d.wet_bin_t.max(3.0 * s.trucks[0].holds_t), ..d }),
                ..s.clone()
            },
        ));
        out.push(("No drying: binned damp or cut dry".into(), Setup { drier: None, ..s.clone() }));
    }
    out.push(("A combine a fifth faster".into(), Setup { cuts_t_min: 1.2 * s.cuts_t_min, ..s.clone() }));
    out
}

pub(super) fn bought(
    c: &Carried,
    what: String,
    change: Change,
    left_ha: f64,
    wheat_ha: f64,
    worth: &HourWorth,
) -> Bought {
    let u = &c.model.units;
    let p = &c.model.harvest.costs;
    let clear = change.hours_sooner.is_clear() && change.hours_sooner.mean.abs() >= 0.1;
    let year_hours = if clear { change.hours_sooner.mean / left_ha.max(1e-9) * wheat_ha } else { 0.0 };
    let year_money = year_hours * worth.total();
    let pays_up_to = (year_money
        / (costs::capital_recovery_factor(p.interest_pct, p.life_years) + p.housing_pct / 100.0))
        .max(0.0);
    let words = if !clear {
        "no clear difference".to_string()
    } else if change.hours_sooner.mean > 0.0 {
        format!(
            "{} h sooner off this field (known to {}); over all the wheat {} h, {} a year: pays up to a price of {}",
            figure(change.hours_sooner.mean, 1),
            figure(change.hours_sooner.half, 1),
            figure(year_hours, 0),
            words::cash(u, year_money),
            words::cash(u, pays_up_to)
        )
    } else {
        format!(
            "{} h later off this field (known to {}); over all the wheat {} h, {} a year lost",
            figure(-change.hours_sooner.mean, 1),
            figure(change.hours_sooner.half, 1),
            figure(-year_hours, 0),
            words::cash(u, -year_money)
        )
    };
    Bought { what, change, year_hours, year_money, pays_up_to, words }
}
