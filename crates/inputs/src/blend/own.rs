//! A field by itself: any mix at any rate.

use serde::{Deserialize, Serialize};
use stook_fertility::{Nutrient, Nutrients};
use stook_optimise::{Col, Conflict, Problem, Row, Side, SolveError, Span};

use super::{Carrier, Land, NOTHING, Offer, Settings};

/// The least-cost products of one field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Own {
    /// Of each product with the seed, kg/ha.
    pub with_seed: Vec<f64>,
    /// Of each product in the band, kg/ha.
    pub band: Vec<f64>,
    /// Money a ha: no plan for the field costs less.
    pub per_ha: f64,
    /// What one kg more of each nutrient would cost here, money/kg.
    pub worth_per_kg: Nutrients,
    /// Prices between which the mix stays as it is, by product, money/kg.
    pub price_stays: Vec<Span>,
}

/// Why there is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OwnError {
    /// No products can do it.
    #[error("{0}")]
    Cannot(String),
    /// The solver.
    #[error(transparent)]
    Solver(#[from] SolveError),
}

/// Finds it.
///
/// # Errors
/// When no mix of the products on offer meets the need within the limits: in a sentence which of them quarrel.
pub fn own(land: &Land, offers: &[Offer], settings: &Settings) -> Result<Own, OwnError> {
    let (p, bought, seed, band, rows) = problem(land, offers, settings);
    let s = p.solve_ranged()?;
    if !s.found() {
        let conflict = p.explain_infeasible()?;
        return Err(OwnError::Cannot(say(land, offers, conflict.as_ref())));
    }
    let stays =
        |i: usize| s.ranges.as_ref().map_or(Span { low: None, high: None }, |r| r.cost[bought[i].index()]);
    let amount = |c: &Option<Col>| c.map_or(0.0, |c| s.amount(c).max(0.0));
    let mut worth = Nutrients::NONE;
    for (n, row) in Nutrient::ALL.into_iter().zip(rows) {
        worth[n] = row.map_or(0.0, |r| s.price(r));
    }
    Ok(Own {
        with_seed: seed.iter().map(amount).collect(),
        band: band.iter().map(amount).collect(),
        per_ha: s.objective,
        worth_per_kg: worth,
        price_stays: (0..offers.len()).map(stays).collect(),
    })
}

type Columns = Vec<Option<Col>>;

/// The program: products with the seed and in the band, the needs, the limits.
fn problem(
    land: &Land,
    offers: &[Offer],
    settings: &Settings,
) -> (Problem, Vec<Col>, Columns, Columns, Vec<Option<Row>>) {
    let mut p = Problem::minimise();
    let wanted = land.wanted_with_seed();
    let some_seed = Nutrient::ALL.iter().any(|n| wanted[*n] > NOTHING);
    let column = |p: &mut Problem, o: &Offer, place: &str, is: bool| {
        is.then(|| p.column(format!("{} {place}", o.name), 0.0, 0.0, f64::INFINITY))
    };
    // Bought once, wherever it goes, so that a change of its price is one change.
    let bought: Vec<Col> = offers.iter().map(|o| p.column(&o.name, o.per_kg, 0.0, f64::INFINITY)).collect();
    let seed: Columns =
        offers.iter().map(|o| column(&mut p, o, "with the seed", some_seed && o.near_seed)).collect();
    let banded = |o: &Offer| land.band && !(land.no_gas && o.carrier == Carrier::Gas);
    let band: Columns = offers.iter().map(|o| column(&mut p, o, "in the band", banded(o))).collect();
    for (i, o) in offers.iter().enumerate() {
        let mut terms = vec![(bought[i], -1.0)];
        terms.extend([seed[i], band[i]].into_iter().flatten().map(|c| (c, 1.0)));
        p.equal(format!("{} bought", o.name), 0.0, &terms);
    }
    let of = |cols: &Columns, f: &dyn Fn(&Offer) -> f64| -> Vec<(Col, f64)> {
        let terms = cols.iter().zip(offers).filter_map(|(c, o)| Some(((*c)?, f(o))));
        terms.filter(|(_, k)| *k != 0.0).collect()
    };
    let mut rows = Vec::new();
    for n in Nutrient::ALL {
        if land.need_kg_ha[n] <= NOTHING {
            rows.push(None);
            continue;
        }
        let mut terms = of(&seed, &|o| o.of_kg()[n]);
        terms.extend(of(&band, &|o| o.of_kg()[n]));
        let high = if n == Nutrient::N { land.need_kg_ha.n + settings.n_over_kg_ha } else { f64::INFINITY };
        rows.push(Some(p.row(format!("{} needed", n.name()), land.need_kg_ha[n], high, &terms)));
    }
    if land.need_kg_ha.n <= NOTHING {
        let mut terms = of(&seed, &|o| o.of_kg().n);
        terms.extend(of(&band, &|o| o.of_kg().n));
        p.at_most("N beyond the need", land.need_kg_ha.n + settings.n_over_kg_ha, &terms);
    }
    if some_seed {
        let l = &land.limits;
        let p2o5_most = l.p2o5_kg_ha.unwrap_or(0.0);
        for n in Nutrient::ALL.into_iter().filter(|n| wanted[*n] > NOTHING && land.band) {
            // More than the seed bears is not asked of the seed row but of the band.
            let bears = if n == Nutrient::P2O5 { wanted[n].min(p2o5_most) } else { wanted[n] };
            // No more than wanted either: the rest belongs to the band, and a mix for it must be found.
            p.row(format!("{} with the seed", n.name()), bears, bears, &of(&seed, &|o| o.of_kg()[n]));
        }
        let urea = |o: &Offer| if o.key == "urea" { o.of_kg().n } else { 0.0 };
        p.at_most("urea N with the seed", l.urea_n_kg_ha, &of(&seed, &urea));
        // No table covers ammonium sulphate with the seed: the salt rule of nitrogen and potash stands in for one.
        p.at_most("N of ammonium with the seed", l.n_k_kg_ha, &of(&seed, &|o| o.of_kg().n - urea(o)));
        p.at_most("phosphate with the seed", p2o5_most, &of(&seed, &|o| o.of_kg().p2o5));
        if !land.band && land.need_kg_ha.k2o > NOTHING {
            p.at_most(
                "N and potash with the seed",
                l.n_k_kg_ha,
                &of(&seed, &|o| o.of_kg().n + o.of_kg().k2o),
            );
        } else {
            p.at_most("potash with the seed", 0.0, &of(&seed, &|o| o.of_kg().k2o));
        }
    }
    (p, bought, seed, band, rows)
}

/// The quarrel in a sentence.
fn say(land: &Land, offers: &[Offer], conflict: Option<&Conflict>) -> String {
    for n in Nutrient::ALL {
        if land.need_kg_ha[n] > NOTHING && !offers.iter().any(|o| o.grade_pct[n] > 0.0) {
            return format!(
                "{} needs {} and no priced product holds any; enter the price of one that does.",
                land.name,
                n.name()
            );
        }
    }
    let limits: Vec<String> = conflict
        .map(|c| {
            c.limits
                .iter()
                .map(|l| {
                    let side = if l.side == Side::AtLeast { "at least" } else { "at most" };
                    format!("{} {side} {:.0} kg/ha", l.name, l.limit)
                })
                .collect()
        })
        .unwrap_or_default();
    let where_else = if land.band { "" } else { " Put the rest in a band or broadcast it." };
    format!("{}: these do not go together: {}.{where_else}", land.name, limits.join("; "))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::blend::{Meter, RowLimits};

    pub fn offers() -> Vec<Offer> {
        ["urea", "map", "potash", "ams"]
            .iter()
            .zip([0.62, 0.84, 0.56, 0.48])
            .map(|(key, per_kg)| {
                let p = stook_fertility::product::Product::of(key).unwrap();
                Offer {
                    key: p.key.clone(),
                    name: p.name.clone(),
                    grade_pct: p.grade_pct(),
                    per_kg,
                    near_seed: true,
                    least_kg: 0.0,
                    least_kg_ha: 0.0,
                    carrier: Carrier::Dry,
                }
            })
            .collect()
    }

    pub fn settings() -> Settings {
        Settings {
            most_blends: 3,
            rate_step_kg_ha: 1.0,
            part_step_kg_t: 10.0,
            rate_max_kg_ha: 600.0,
            short_kg_ha: 0.5,
            n_over_kg_ha: 20.0,
            blend_least_kg: 0.0,
            seed_meter: Meter::default(),
            band_meter: Meter::default(),
        }
    }

    pub fn land(name: &str, need: [f64; 4], p_with_seed: f64) -> Land {
        Land {
            key: name.to_lowercase(),
            name: name.into(),
            area_ha: 60.0,
            need_kg_ha: Nutrients::new(need[0], need[1], need[2], need[3]),
            with_seed_kg_ha: Nutrients::new(0.0, p_with_seed, 0.0, 0.0),
            limits: RowLimits { urea_n_kg_ha: 20.0, p2o5_kg_ha: Some(56.0), n_k_kg_ha: 33.0 },
            band: true,
            no_gas: false,
        }
    }

    /// The blend by hand of the fertility crate is the least-cost one when each nutrient has one cheapest source.
    #[test]
    fn it_is_the_blend_by_hand_where_that_is_cheapest() {
        let l = land("Creek", [90.0, 30.0, 15.0, 10.0], 0.0);
        let o = own(&l, &offers(), &settings()).unwrap();
        let by_hand =
            stook_fertility::blend::by_hand(l.need_kg_ha, &stook_fertility::blend::usual()).unwrap();
        let hand = [by_hand.n_product, by_hand.p2o5_product, by_hand.k2o_product, by_hand.s_product];
        for (ours, hand) in o.band.iter().zip(hand) {
            assert!((ours - hand).abs() < 1e-6, "{:?} {hand}", o.band);
        }
        // A kg of N costs what urea asks; phosphate what MAP asks less its N.
        assert!((o.worth_per_kg.n - 0.62 / 0.46).abs() < 1e-9);
        assert!((o.worth_per_kg.p2o5 - (0.84 - 0.11 * 0.62 / 0.46) / 0.52).abs() < 1e-9);
        assert!(o.price_stays[0].holds(0.62) && o.price_stays[0].low.is_some());
    }

    #[test]
    fn what_the_seed_does_not_bear_goes_in_the_band() {
        let l = land("Creek", [90.0, 80.0, 0.0, 0.0], 70.0);
        let o = own(&l, &offers(), &settings()).unwrap();
        assert!(
            (o.with_seed[1] * 0.52 - 56.0).abs() < 1e-6 && (o.band[1] * 0.52 - 24.0).abs() < 1e-6,
            "{o:?}"
        );
    }

    #[test]
    fn what_is_not_wanted_with_the_seed_stays_in_the_band() {
        let l = land("Creek", [80.0, 30.0, 15.0, 0.0], 25.0);
        let o = own(&l, &offers(), &settings()).unwrap();
        assert!(
            (o.with_seed[1] * 0.52 - 25.0).abs() < 1e-6 && (o.band[1] * 0.52 - 5.0).abs() < 1e-6,
            "{o:?}"
        );
        // So there is a mix for the band, and an order.
        let job = crate::blend::Job { lands: vec![l], offers: offers(), settings: settings() };
        assert!(crate::blend::plan(&job).is_ok());
    }

    #[test]
    fn what_cannot_be_is_said_in_a_sentence() {
        let no_sulphur: Vec<_> = offers().into_iter().filter(|o| o.key != "ams").collect();
        let l = land("Creek", [90.0, 30.0, 0.0, 10.0], 0.0);
        let e = own(&l, &no_sulphur, &settings()).unwrap_err().to_string();
        assert_eq!(e, "Creek needs S and no priced product holds any; enter the price of one that does.");
        let mut l = land("Creek", [90.0, 30.0, 0.0, 0.0], 0.0);
        l.band = false;
        let e = own(&l, &offers(), &settings()).unwrap_err().to_string();
        assert!(
            e.contains("urea N with the seed at most 20 kg/ha") && e.contains("N needed at least 90"),
            "{e}"
        );
    }
}
