//! Nitrogen for wheat on one field: by budget, and by what pays best over the weathers.

use serde::Serialize;
use stook_fertility::FertilityParams;
use stook_fertility::nitrogen::{Budget, Need, Rate, budget};
use stook_fertility::response::expected::{curves, expected_profit, profit_band};
use stook_fertility::response::optimum::{cost_of_being_off, flat_top};
use stook_fertility::response::premium::{Premium, best_on_grid};
use stook_fertility::response::{Ceiling, Curve, Follow, expected_optimum};
use stook_measure::units::{kg_ha_to_bu_ac, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Op, Range, Working};

use crate::params::InputsParams;
use crate::words::sentence;

/// What is asked. All amounts kg/ha, money a kg.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Ceilings by weather, kg/ha. One certain yield is a list of one.
    pub ceilings_kg_ha: Vec<f64>,
    /// Yield aimed at by the budget, kg/ha.
    pub target_kg_ha: f64,
    /// Need a bushel: key of the table.
    pub need: String,
    /// How the curve follows its ceiling.
    pub follow: Follow,
    /// Nitrate-N to 60 cm, kg/ha.
    pub nitrate_kg_ha: f64,
    /// Credit of the crop before, kg/ha.
    pub previous_crop_kg_ha: f64,
    /// From manure, kg/ha.
    pub manure_kg_ha: f64,
    /// Money a kg of nitrogen.
    pub n_per_kg: f64,
    /// Money a kg of wheat.
    pub wheat_per_kg: f64,
    /// Premium for protein, money a kg and point, if one is given.
    pub premium: Option<Premium>,
}

/// Profit at a rate, over the weathers, money a ha: grain less nitrogen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// Rate, kg/ha.
    pub n_kg_ha: f64,
    /// Mean.
    pub mean: f64,
    /// 10, 50, 90.
    pub band: Range,
}

/// The economic answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pays {
    /// Rate of highest expected profit, kg/ha.
    pub n_kg_ha: f64,
    /// Expected profit there, money a ha.
    pub profit_ha: f64,
    /// Expected yield there, kg/ha.
    pub yield_kg_ha: f64,
    /// The first pound does not pay.
    pub does_not_pay: bool,
    /// Rates within a dollar an acre of the best, kg/ha.
    pub flat_top_kg_ha: (f64, f64),
    /// Money a ha lost by being off below and above.
    pub off_below_ha: f64,
    /// Above.
    pub off_above_ha: f64,
    /// How far off that is, kg/ha.
    pub off_by_kg_ha: f64,
    /// Rate by each way the curve may follow its ceiling: words, kg/ha.
    pub by_follow: Vec<(String, f64)>,
    /// The same with the protein premium: rate kg/ha, expected protein there, profit gained a ha over the plain rate.
    pub with_premium: Option<WithPremium>,
    /// Expected protein at the rate, %.
    pub protein_pct: f64,
    /// The chart.
    pub points: Vec<Point>,
    /// How reckoned.
    pub working: Working,
}

/// What a premium does to the rate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WithPremium {
    /// Rate, kg/ha.
    pub n_kg_ha: f64,
    /// Expected protein there, %.
    pub protein_pct: f64,
    /// Profit gained over the rate without it, money a ha.
    pub gain_ha: f64,
}

/// Both answers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Nitrogen {
    /// Budget, or why there is none.
    pub budget: Result<Rate, String>,
    /// Its working.
    pub budget_working: Option<Working>,
    /// What pays, or why no rate is named.
    pub pays: Result<Pays, String>,
}

/// The curve of a field at a ceiling: flat from the full need on, and `share_without` of it made on nothing.
pub fn base_curve(ceiling_kg_ha: f64, soil_kg_ha: f64, p: &InputsParams) -> Curve {
    let full = p.full_need_kg_per_kg * ceiling_kg_ha;
    Curve::QuadraticPlateau {
        plateau: ceiling_kg_ha,
        bend: 2.0 * (1.0 - p.share_without) * ceiling_kg_ha / (full * full),
        from: full - soil_kg_ha,
    }
}

/// Every way a curve may follow its ceiling, with words for it.
pub const FOLLOWS: [(Follow, &str, &str); 3] = [
    (Follow::NeedPerYield, "need_per_yield", "a bushel needs the same nitrogen in any year"),
    (Follow::SameNeed, "same_need", "the crop needs the same nitrogen in any year"),
    (Follow::SameApproach, "same_approach", "the last pounds are worth the same in any year"),
];

/// Works both out.
pub fn nitrogen(a: &Asked, f: &FertilityParams, p: &InputsParams) -> Nitrogen {
    let need = Need::of(&a.need).unwrap_or_else(|| &Need::shipped()[0]);
    let b = Budget {
        yield_kg_ha: a.target_kg_ha,
        need_kg_per_kg: need.kg_per_kg(),
        soil_nitrate_kg_ha: a.nitrate_kg_ha,
        previous_crop_kg_ha: a.previous_crop_kg_ha,
        manure_kg_ha: a.manure_kg_ha,
        ..Budget::default()
    };
    let rate = budget(&b, &f.nitrogen).map_err(|e| e.to_string());
    let budget_working = rate.as_ref().ok().map(|r| budget_working(a, need, r));
    Nitrogen { budget: rate, budget_working, pays: pays(a, p) }
}

fn budget_working(a: &Asked, need: &Need, r: &Rate) -> Working {
    let lb = |x: f64| kg_ha_to_lb_ac(x).round();
    let bu = kg_ha_to_bu_ac(a.target_kg_ha, 60.0).round();
    let mut w = Working::new("Nitrogen by budget")
        .line(Op::Start, "Yield aimed at", bu, "bu/ac", 0)
        .line(Op::Times, format!("Need a bushel ({})", need.name), need.lb_n_per_bu, "lb", 2)
        .line(Op::Minus, "Nitrate in the soil to 2 ft", lb(a.nitrate_kg_ha), "lb/ac", 0)
        .line(Op::Minus, "Credit of the crop before", lb(a.previous_crop_kg_ha), "lb/ac", 0);
    if a.manure_kg_ha > 0.0 {
        w = w.line(Op::Minus, "From manure", lb(a.manure_kg_ha), "lb/ac", 0);
    }
    if r.surplus_kg_ha > 0.0 {
        w = w.line(Op::Plus, "More there than needed: nothing to put on", lb(r.surplus_kg_ha), "lb/ac", 0);
    }
    w.sum("Nitrogen to put on", kg_ha_to_lb_ac(r.fertilizer_kg_ha).round(), "lb/ac", 0)
        .source(format!("{} ({})", need.source, need.sure))
        .note("Such a rate is good to about 30 lb/ac either way.")
        .would_change("the yield you aim at")
        .would_change("a test of the nitrate to two feet")
}

fn pays(a: &Asked, p: &InputsParams) -> Result<Pays, String> {
    let list: Vec<f64> = a.ceilings_kg_ha.iter().map(|y| y.max(p.floor_kg_ha)).collect();
    if list.is_empty() {
        return Err(
            "There is no yield outlook for this field and year, so no rate by profit is named.".into()
        );
    }
    let mean = list.iter().sum::<f64>() / list.len() as f64;
    let soil = a.nitrate_kg_ha + a.previous_crop_kg_ha + a.manure_kg_ha;
    let base = base_curve(mean, soil, p);
    let ceilings = Ceiling::equal(&list);
    let by = |follow: Follow| {
        let c = curves(&base, soil, &ceilings, follow).map_err(|e| sentence(&e.to_string()))?;
        let e = expected_optimum(&c, a.wheat_per_kg, a.n_per_kg, p.tried_to_kg_ha)
            .map_err(|e| sentence(&e.to_string()))?;
        Ok::<_, String>((c, e))
    };
    let (c, best) = by(a.follow)?;
    let at = |n: f64| expected_profit(&c, n, a.wheat_per_kg, a.n_per_kg);
    let (below, above) = cost_of_being_off(at, best.rate, p.off_by_kg_ha);
    // a dollar an acre: nobody sets a drill for less
    let within = 1.0 / stook_measure::units::HA_PER_ACRE;
    let step = lb_ac_to_kg_ha(5.0);
    let last = (p.tried_to_kg_ha / step).round() as usize;
    let points = (0..=last)
        .filter_map(|i| {
            let n = i as f64 * step;
            Some(Point { n_kg_ha: n, mean: at(n), band: profit_band(&c, n, a.wheat_per_kg, a.n_per_kg)? })
        })
        .collect();
    let by_follow = FOLLOWS
        .iter()
        .filter_map(|(f, _, words)| by(*f).ok().map(|(_, e)| ((*words).to_string(), e.rate)))
        .collect();
    let protein = |n: f64| c.iter().map(|(w, curve)| w * protein_pct(curve, n, p)).sum::<f64>();
    let with_premium = a.premium.map(|premium| {
        let money = |n: f64| {
            c.iter()
                .map(|(w, curve)| w * (a.wheat_per_kg + premium.at(protein_pct(curve, n, p))) * curve.at(n))
                .sum::<f64>()
                - a.n_per_kg * n
        };
        let (n, profit) = best_on_grid(money, p.tried_to_kg_ha, lb_ac_to_kg_ha(1.0));
        WithPremium { n_kg_ha: n, protein_pct: protein(n), gain_ha: profit - money(best.rate) }
    });
    let working = pays_working(a, p, mean, soil, &best, &base);
    Ok(Pays {
        n_kg_ha: best.rate,
        profit_ha: best.profit,
        yield_kg_ha: best.yield_,
        does_not_pay: best.does_not_pay,
        flat_top_kg_ha: flat_top(at, best.rate, within, p.tried_to_kg_ha),
        off_below_ha: below,
        off_above_ha: above,
        off_by_kg_ha: p.off_by_kg_ha,
        by_follow,
        with_premium,
        protein_pct: protein(best.rate),
        points,
        working,
    })
}

/// Protein of one weather's crop at a rate: that of just enough at the full rate, less when short, more beyond.
fn protein_pct(curve: &Curve, n: f64, p: &InputsParams) -> f64 {
    let full = curve.full_rate().unwrap_or(0.0);
    (p.protein_at_full_pct + p.protein_per_kg_ha * (n - full)).clamp(9.0, 17.5)
}

fn pays_working(
    a: &Asked,
    p: &InputsParams,
    mean: f64,
    soil: f64,
    best: &stook_fertility::response::Expected,
    base: &Curve,
) -> Working {
    let ratio = a.n_per_kg / a.wheat_per_kg;
    let Curve::QuadraticPlateau { bend, from, .. } = *base else { return Working::default() };
    let certain = (from - ratio / bend).max(0.0);
    let lb = |x: f64| kg_ha_to_lb_ac(x).round();
    let (short, moved) = (lb(ratio / bend), lb(best.rate) - lb(certain));
    let need = lb(from + soil);
    let held = lb(certain) - (need - lb(soil) - short);
    let mut w = Working::new("Nitrogen that pays best")
        .line(Op::Note, "Mean ceiling over the weathers", kg_ha_to_bu_ac(mean, 60.0), "bu/ac", 1)
        .line(Op::Note, "A lb of nitrogen over a lb of wheat, price", ratio, "", 2)
        .line(
            Op::Start,
            format!(
                "Full need of that ceiling, {} lb a bushel",
                stook_measure::figure(p.full_need_kg_per_kg * 60.0, 1)
            ),
            need,
            "lb/ac",
            0,
        )
        .line(Op::Minus, "Soil nitrate, crop before, manure", lb(soil), "lb/ac", 0)
        .line(Op::Minus, "Last pounds that do not pay for themselves", short, "lb/ac", 0);
    if held.abs() > 0.5 {
        w = w.line(
            if held > 0.0 { Op::Plus } else { Op::Minus },
            "No less than nothing; rounding",
            held.abs(),
            "lb/ac",
            0,
        );
    }
    if moved.abs() > 0.0 {
        let op = if moved > 0.0 { Op::Plus } else { Op::Minus };
        w = w.line(op, "Because the yield is not certain", moved.abs(), "lb/ac", 0);
    }
    w.sum("Nitrogen to put on", lb(best.rate), "lb/ac", 0)
        .note("Expected profit over the weathers is highest here: grain less nitrogen. With one certain yield it is the textbook rate.")
        .note("No open nitrogen trial of prairie spring wheat was read: the shape is set from the published need a bushel and from what a crop makes on nothing. Your own strips are better: enter the two numbers as your own.")
        .source("Form: quadratic up to a plateau (Bullock and Bullock 1994); need: Flaten and Mangin 2019")
        .would_change("the price of nitrogen or of wheat")
        .would_change("rain and stored water, which move the ceiling")
        .would_change("the nitrate test")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_fertility::response::optimum;
    use stook_measure::Reference;
    use stook_measure::units::bu_ac_to_kg_ha;

    fn params() -> (FertilityParams, InputsParams) {
        let r = Reference::shipped();
        (FertilityParams::from_reference(&r), InputsParams::from_reference(&r))
    }

    fn asked(ceilings: Vec<f64>) -> Asked {
        Asked {
            target_kg_ha: ceilings.iter().sum::<f64>() / ceilings.len() as f64,
            ceilings_kg_ha: ceilings,
            need: "minnesota".into(),
            follow: Follow::NeedPerYield,
            nitrate_kg_ha: lb_ac_to_kg_ha(40.0),
            previous_crop_kg_ha: 0.0,
            manure_kg_ha: 0.0,
            n_per_kg: 1.433,
            wheat_per_kg: 0.2756,
            premium: None,
        }
    }

    #[test]
    fn with_a_certain_yield_it_is_the_textbook_optimum_exactly() {
        let (f, p) = params();
        for bu in [35.0, 52.0, 70.0] {
            let y = bu_ac_to_kg_ha(bu, 60.0);
            for count in [1, 9] {
                let a = asked(vec![y; count]);
                let textbook = optimum(
                    &base_curve(y, a.nitrate_kg_ha, &p),
                    a.n_per_kg / a.wheat_per_kg,
                    p.tried_to_kg_ha,
                )
                .unwrap();
                for (follow, ..) in FOLLOWS {
                    let got = nitrogen(&Asked { follow, ..a.clone() }, &f, &p).pays.unwrap();
                    assert!(
                        (got.n_kg_ha - textbook.rate).abs() < 1e-6,
                        "{bu} {follow:?}: {} {}",
                        got.n_kg_ha,
                        textbook.rate
                    );
                    assert!((got.yield_kg_ha - textbook.at_yield).abs() < 1e-6);
                }
            }
        }
    }

    #[test]
    fn the_best_rate_at_usual_prices_is_near_the_published_need() {
        let (f, p) = params();
        let a = asked(vec![bu_ac_to_kg_ha(50.0, 60.0)]);
        let got = nitrogen(&a, &f, &p).pays.unwrap();
        let per_bu = kg_ha_to_lb_ac(got.n_kg_ha + a.nitrate_kg_ha) / 50.0;
        assert!((2.2..2.7).contains(&per_bu), "{per_bu}");
        assert!(got.working.adds_up(1.0), "{:?}", got.working);
    }

    proptest! {
        #[test]
        fn wider_weather_moves_the_rate_as_theory_says(mean in 2400.0..4200.0f64, spread in 0.0..0.35f64, wider in 0.0..0.25f64) {
            let (f, p) = params();
            let pair = |s: f64| vec![mean * (1.0 - s), mean * (1.0 + s)];
            let at = |s: f64, follow: Follow| nitrogen(&Asked { follow, ..asked(pair(s)) }, &f, &p).pays.map(|x| x.n_kg_ha);
            if let (Ok(near), Ok(far)) = (at(spread, Follow::SameApproach), at(spread + wider, Follow::SameApproach)) {
                prop_assert!(far >= near - 1e-6);
            }
            if let (Ok(near), Ok(far)) = (at(spread, Follow::SameNeed), at(spread + wider, Follow::SameNeed)) {
                prop_assert!((far - near).abs() < 1e-6);
            }
        }

        #[test]
        fn dear_nitrogen_and_a_rich_soil_never_raise_the_rate(nitrate in 0.0..120.0f64, more in 0.0..60.0f64, dearer in 0.0..1.0f64) {
            let (f, p) = params();
            let ceilings: Vec<f64> = (0..12).map(|i| 2200.0 + 180.0 * f64::from(i)).collect();
            let rate = |a: Asked| nitrogen(&a, &f, &p).pays.unwrap().n_kg_ha;
            let a = Asked { nitrate_kg_ha: nitrate, ..asked(ceilings) };
            let richer = rate(Asked { nitrate_kg_ha: nitrate + more, ..a.clone() });
            prop_assert!(richer <= rate(a.clone()) + 1e-6);
            let dear = rate(Asked { n_per_kg: a.n_per_kg + dearer, ..a.clone() });
            prop_assert!(dear <= rate(a) + 1e-6);
        }
    }

    #[test]
    fn a_premium_raises_the_rate() {
        let (f, p) = params();
        let ceilings: Vec<f64> = (0..12).map(|i| 2200.0 + 180.0 * f64::from(i)).collect();
        let premium = Premium {
            base_pct: 13.5,
            up_per_point: 0.02,
            down_per_point: 0.02,
            cap_pct: 15.0,
            step_pct: 0.5,
        };
        let got = nitrogen(&Asked { premium: Some(premium), ..asked(ceilings) }, &f, &p).pays.unwrap();
        let with = got.with_premium.unwrap();
        assert!(with.n_kg_ha > got.n_kg_ha && with.gain_ha > 0.0 && with.protein_pct > got.protein_pct);
    }
}
