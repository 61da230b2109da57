//! A stand counted: keep, patch or seed again, in money.

use stook_crop::Phase;
use stook_crop::stand::{ThinStand, choose};
use stook_measure::{Op, Working, figure, units};

use super::Look;
use crate::alone;
use crate::carry::Carried;
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// Days from now until the drill could be back.
const READY_IN: u16 = 3;

pub(super) fn look(c: &Carried, q: &Question<'_>, f: usize) -> Option<Look> {
    let field = &c.model.fields[f];
    let record = q.farm.fields.get(&field.id)?;
    let s = middle_state(c, f);
    if s.phase > Phase::Tillering {
        return None;
    }
    let seen = record
        .emergence
        .iter()
        .rfind(|x| x.on().year() == c.model.year && x.on() <= c.as_of && x.is.plants_per_m2.is_some())?;
    let stand = seen.is.plants_per_m2?;
    let bare = seen.is.bare_pct.unwrap_or(0.0) / 100.0;
    let again = alone::seeded(c, f, field, READY_IN);
    let kept = alone::standing(c, f);
    let n = kept.len().max(1) as f64;
    let mean = |x: &[alone::Alone], what: &dyn Fn(&alone::Alone) -> f64| x.iter().map(what).sum::<f64>() / n;
    let full = mean(&kept, &|a| a.unfrozen_kg_ha).max(1.0);
    let reseed_share = mean(&again, &|a| a.unfrozen_kg_ha) / full;
    let green = c.model.season.uncut_share;
    let reseed_kept = mean(&again, &|a| if a.fails() { green } else { 1.0 });
    let get = |name: &str| c.model.reference.get(name);
    let cost = get("season.reseed.seed_per_ha") + get("season.reseed.pass_per_ha");
    let x = ThinStand {
        stand_m2: stand,
        bare_share: bare,
        full_kg_ha: full,
        reseed_share,
        reseed_kept,
        price_per_kg: c.model.season.wheat_per_t / 1000.0,
        reseed_cost: cost,
    };
    let choice = choose(&x, &field.params.yield_);
    let u = &c.model.units;
    let money = |per_ha: f64| words::cash(u, per_ha * field.area_ha);
    let count = match u.area {
        stook_book::payload::AreaUnit::Acres => {
            format!("{} plants/ft2", figure(units::per_m2_to_per_ft2(stand), 0))
        }
        stook_book::payload::AreaUnit::Hectares => format!("{} plants/m2", figure(stand, 0)),
    };
    let enough = choice.standing_share >= 0.97 && bare < 0.03;
    let failing = mean(&again, &|a| f64::from(u8::from(a.fails())));
    let what = match choice.best() {
        _ if enough => format!("{}: the stand is enough ({count}).", field.name),
        "keep" => format!("Keep {}: {count} is thin, and seeding again would cost more.", field.name),
        "patch" => format!("Seed the bare part of {} again.", field.name),
        _ => format!("{}: seeding again comes out ahead. Ask the insurer first.", field.name),
    };
    let why = format!(
        "Worth of the crop: keep {}, patch {}, seed it all again {}. A crop seeded in {READY_IN} days makes about {} % of the yield, and in {} it is not ripe before frost.",
        money(choice.keep),
        money(choice.patch),
        money(choice.reseed),
        figure(100.0 * reseed_share, 0),
        words::in_ten(failing)
    );
    let working = Working::new(format!("{}: keep or seed again, a hectare", field.name))
        .line(Op::Note, "Plants counted", stand, "a m2", 0)
        .line(Op::Note, "Share bare", 100.0 * bare, "%", 0)
        .line(Op::Note, "Share of a full stand's yield that this stand makes", 100.0 * choice.standing_share, "%", 0)
        .line(Op::Note, "Yield of a full stand seeded when this was", full, "kg/ha", 0)
        .line(Op::Note, "Keep", choice.keep, "", 0)
        .line(Op::Note, "Patch the bare part", choice.patch, "", 0)
        .line(Op::Start, "Full yield", full * x.price_per_kg, "", 0)
        .line(Op::Times, "Share left for the later date", reseed_share, "", 2)
        .line(Op::Times, "Share left by frost before ripe", reseed_kept, "", 2)
        .line(Op::Minus, "Seed and pass", cost, "", 0)
        .sum("Seed it all again", choice.reseed, "", 0)
        .note("A patch ripens apart from the rest: the wait and the green kernels are not counted, so it must gain clearly.")
        .source("stand and yield: trials flat from 26 to 41 plants/ft2; below that our judgement")
        .source("1 % a day for late seeding (Manitoba, North Dakota, Minnesota)")
        .would_change("more counts: ten places, and the share of the field that is bare");
    Some(Look {
        about: "stand".into(),
        what,
        why,
        at: "Count in ten places, and pace out what is bare. Dig: seed that is swelling may still come."
            .into(),
        today: !enough && (c.as_of - seen.on()).get_days() <= 10,
        working: Some(working),
    })
}
