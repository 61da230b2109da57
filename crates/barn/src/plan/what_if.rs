//! The same question with something else in it: what a price, a protein point, a ppm changes.

use stook_feed::plan::{self, PlanAnswer, PlanAsk, Planned};
use stook_measure::{Range, figure};

use super::put::{Put, put};
use super::words::goes;
use super::{Asked, Goes, WhatIf};
use crate::{BarnError, Facts, buyers};

const SOY: &str = "sbm_dehulled";

fn with_prices(p: &Put, times: f64) -> PlanAsk {
    let mut a = p.ask.clone();
    for b in &mut a.buyers {
        for price in b.price_t.iter_mut().flatten() {
            *price *= times;
        }
    }
    // Grain kept is worth what it could be sold at.
    for l in &mut a.lots {
        l.offer.price_t *= times;
    }
    a
}

/// Worth of the plan with grain prices low, as they are and high, money: each made anew for its prices.
pub(super) fn range(f: &Facts<'_>, p: &Put, base: &PlanAnswer) -> Result<Option<Range>, BarnError> {
    let at = |name: &str| -> Result<Option<f64>, BarnError> {
        let times = 1.0 + f.reference.get(name) / 100.0;
        Ok(match plan::plan(&with_prices(p, times))? {
            Planned::Found(a) => Some(a.worth),
            Planned::Impossible(_) => None,
        })
    };
    let (low, high) = (at("barn.price.low_pct")?, at("barn.price.high_pct")?);
    Ok(low.zip(high).map(|(p10, p90)| Range { p10, p50: base.worth, p90 }))
}

/// What each change does.
pub(super) fn what_if(
    f: &Facts<'_>,
    asked: &Asked<'_>,
    p: &Put,
    base: &PlanAnswer,
) -> Result<Vec<WhatIf>, BarnError> {
    let mut asks: Vec<(String, PlanAsk)> = Vec::new();
    let soy = |by: f64| {
        let mut a = p.ask.clone();
        for w in &mut a.rations {
            for o in w.bought.iter_mut().filter(|o| o.class == SOY) {
                o.price_t += by;
            }
        }
        a
    };
    if p.ask.rations.iter().any(|w| w.bought.iter().any(|o| o.class == SOY)) {
        asks.push(("Soybean meal 40 a tonne dearer".into(), soy(40.0)));
        asks.push(("Soybean meal 40 a tonne cheaper".into(), soy(-40.0)));
    }
    // A point of protein changes what buyers pay and what the pigs get: both are reckoned anew.
    for (points, words) in [
        (1.0, "Protein a point higher in every wheat bin"),
        (-1.0, "Protein a point lower in every wheat bin"),
    ] {
        asks.push((words.into(), put(f, asked, points)?.ask));
    }
    let offers = buyers::in_force(f.farm, f.on);
    let premium_off = {
        let mut a = p.ask.clone();
        for (b, fact) in a.buyers.iter_mut().zip(&p.offered) {
            let Some(base) = offers.iter().find(|o| o.entry == *fact).and_then(|o| o.is.base_protein_pct)
            else {
                continue;
            };
            for (l, price) in b.price_t.iter_mut().enumerate() {
                if let (Some(price), Some(protein)) = (price.as_mut(), p.lots[l].protein_pct) {
                    *price -= 5.0 * (protein - base).max(0.0);
                }
            }
        }
        a
    };
    asks.push(("Protein premium 5 a tonne and point less".into(), premium_off));
    for name in ["barn.price.low_pct", "barn.price.high_pct"] {
        let pct = f.reference.get(name);
        let words = if pct < 0.0 { "low" } else { "high" };
        asks.push((
            format!(
                "Grain prices {words}, one season in ten ({}{} %)",
                if pct > 0.0 { "+" } else { "" },
                figure(pct, 0)
            ),
            with_prices(p, 1.0 + pct / 100.0),
        ));
    }
    let mut don = p.ask.clone();
    for l in don.lots.iter_mut().filter(|l| matches!(l.offer.class.as_str(), "wheat_hrs" | "barley")) {
        l.offer.don_ppm += 1.0;
    }
    asks.push(("DON 1 ppm higher in every cereal bin (for the pigs)".into(), don));
    let mut out = Vec::new();
    for (what, ask) in asks {
        let found = plan::plan(&ask)?;
        out.push(match found {
            Planned::Found(a) => WhatIf { what, money: a.worth - base.worth, moves: moves(&a, base) },
            Planned::Impossible(_) => WhatIf {
                what,
                money: f64::NAN,
                moves: vec!["not all rations can be made then: clean grain would have to be bought".into()],
            },
        });
    }
    let soy_t: f64 = base
        .rations
        .iter()
        .flat_map(|r| r.parts.iter().map(move |x| (r.ration, x)))
        .filter(|(r, (key, _))| p.ask.rations[*r].bought.iter().any(|o| o.key == *key && o.class == SOY))
        .map(|(_, (_, t))| t)
        .sum();
    out.insert(
        0,
        WhatIf { what: "Each dollar a tonne on soybean meal".into(), money: -soy_t, moves: Vec::new() },
    );
    Ok(out)
}

/// Lots that go elsewhere.
fn moves(now: &PlanAnswer, base: &PlanAnswer) -> Vec<String> {
    now.lots
        .iter()
        .zip(&base.lots)
        .filter_map(|(now, was)| {
            let (x, y) =
                (goes(now.fed_t(), now.sold_t(), now.left_t), goes(was.fed_t(), was.sold_t(), was.left_t));
            let name = now.name.split(',').next().unwrap_or(&now.name);
            (x != y).then(|| {
                format!(
                    "{name} {}",
                    match x {
                        Goes::Trough => "goes to the trough",
                        Goes::Mill => "is sold",
                        Goes::Both => "is split",
                        Goes::Kept => "is kept",
                    }
                )
            })
        })
        .collect()
}
