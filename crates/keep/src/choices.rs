//! What else can be done with wet grain than blowing air: heat, sell it as it is, feed it, or wait.

use serde::Serialize;
use stook_grain::drier::{Use, max_air_c};
use stook_measure::{Op, Working};

use crate::bin_case::Case;
use crate::money::Prices;
use crate::params::KeepParams;
use crate::stack::Stack;

/// The wet part of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WetPart {
    /// Weight, t.
    pub wet_t: f64,
    /// Mean moisture, % wet basis.
    pub m_pct: f64,
    /// Points over straight grade.
    pub points: f64,
    /// Days of life left, shortest of its layers, likely.
    pub days: f64,
}

/// One thing to do with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// Key: `heat`, `sell`, `feed`.
    pub key: &'static str,
    /// In words.
    pub words: String,
    /// Money it costs against having it dry and sound.
    pub money: f64,
    /// Line by line.
    pub working: Working,
    /// The usual caution.
    pub caution: Option<String>,
}

impl WetPart {
    /// The layers over straight grade, if any.
    pub fn of(p: &KeepParams, case: &Case, stack: &Stack) -> Option<Self> {
        let (mut dry, mut water, mut days) = (0.0, 0.0, f64::INFINITY);
        for (l, s) in stack.bed.layers.iter().zip(&stack.spent) {
            if l.m_wb_pct() > case.market_pct + 0.05 {
                dry += l.dry_kg_m2;
                water += l.dry_kg_m2 * l.m_dd;
                if let Some(left) = s.left(&p.life, case.grain, l.m_wb_pct(), l.t_c) {
                    days = days.min(left[1]);
                }
            }
        }
        let m_pct = 100.0 * water / (dry + water);
        (dry > 0.0).then(|| Self {
            wet_t: (dry + water) * case.area_m2 / 1000.0,
            m_pct,
            points: m_pct - case.market_pct,
            days,
        })
    }
}

/// The choices beside air, cheapest first.
pub fn choices(p: &KeepParams, case: &Case, prices: &Prices, wet: &WetPart) -> Vec<Choice> {
    let mut out = vec![heat(p, case, prices, wet), sell(case, prices, wet)];
    if let Some(f) = feed(p, prices, wet) {
        out.push(f);
    }
    out.sort_by(|a, b| a.money.total_cmp(&b.money));
    out
}

fn heat(p: &KeepParams, case: &Case, prices: &Prices, wet: &WetPart) -> Choice {
    let fuel = wet.wet_t * wet.points * prices.drying_t_point;
    let moving = wet.wet_t * p.handling_t;
    let limit = max_air_c(&p.reference, case.grain, Use::Commercial);
    let hottest = limit.map_or(String::new(), |c| format!(" Air no hotter than {c:.0} C for milling."));
    Choice {
        key: "heat",
        words: format!("Through the drier: {:.1} points off {:.0} t.{hottest}", wet.points, wet.wet_t),
        money: fuel + moving,
        working: Working::new("Through the drier")
            .line(Op::Start, "Wet grain", wet.wet_t, "t", 1)
            .line(Op::Times, "Points over straight grade", wet.points, "points", 2)
            .line(Op::Times, "Fuel and power for a tonne and a point", prices.drying_t_point, "", 2)
            .line(Op::Plus, "Out of the bin and back", moving, "", 0)
            .sum("Drying it", fuel + moving, "", 0)
            .source("your price of drying; moving grain is our assumption until you enter your own"),
        caution: Some("Most drier fires start in plugged grain and trash: clean it, watch it, know how to shut off fuel and power, and keep burner fumes out of closed places.".into()),
    }
}

fn sell(case: &Case, prices: &Prices, wet: &WetPart) -> Choice {
    let tough = if wet.m_pct > 17.0 && case.grain.is_wheat() { "damp" } else { "tough" };
    // A buyer's own figure is by the tonne, whatever the points.
    let own = if tough == "damp" { prices.damp_t } else { prices.tough_t };
    let discount = wet.wet_t * own.unwrap_or(wet.points * prices.tough_t_point);
    // The water is weighed and paid with the rest.
    let extra_t = wet.wet_t * (1.0 - (100.0 - wet.m_pct) / (100.0 - case.market_pct));
    let paid = extra_t * prices.sound_t;
    let working = Working::new(format!("Sold {tough}")).line(Op::Start, "Wet grain", wet.wet_t, "t", 1);
    let working = match own {
        Some(off) => {
            working.line(Op::Times, format!("The buyer's discount for {tough}, a tonne"), off, "", 2)
        }
        None => working.line(Op::Times, "Points over straight grade", wet.points, "points", 2).line(
            Op::Times,
            "Discount for a tonne and a point",
            prices.tough_t_point,
            "",
            2,
        ),
    };
    Choice {
        key: "sell",
        words: format!("Sell the wet {:.0} t {tough}, at the buyer's discount.", wet.wet_t),
        money: discount - paid,
        working: working
            .line(Op::Minus, "Water paid as grain", paid, "", 0)
            .sum("Selling it as it is", discount - paid, "", 0)
            .note("Ask the buyer first whether the discount is taken on the shrunk weight: then nothing is paid for water.")
            .source("your buyer's discount where entered, else our assumption"),
        caution: None,
    }
}

/// What the barn can eat before the life is out; none where its pace is not known.
fn feed(p: &KeepParams, prices: &Prices, wet: &WetPart) -> Option<Choice> {
    if p.feed_kg_week <= 0.0 || !wet.days.is_finite() {
        return None;
    }
    let eaten = (p.feed_kg_week / 1000.0 * wet.days / 7.0).min(wet.wet_t);
    let lost = (prices.sound_t - prices.spoiled_t).max(0.0);
    let money = wet.wet_t * lost;
    let all = eaten >= wet.wet_t - 1e-9;
    Some(Choice {
        key: "feed",
        words: if all {
            format!("Feed it: the barn eats {:.0} t in its {:.0} days.", eaten, wet.days)
        } else {
            format!(
                "Feed it: the barn eats only {:.0} of {:.0} t in its {:.0} days.",
                eaten, wet.wet_t, wet.days
            )
        },
        money,
        working: Working::new("Fed")
            .line(Op::Start, "Wet grain", wet.wet_t, "t", 1)
            .line(Op::Times, "Milling wheat over feed wheat, a tonne", lost, "", 2)
            .sum("Feeding it", money, "", 0)
            .note("Mouldy grain is not fed; have toxins tested before sows and young pigs get any.")
            .source("your prices"),
        caution: Some("Mouldy or heated grain can carry toxins: test before feeding.".into()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::tests::{case, params};

    #[test]
    fn heat_sell_and_feed_are_priced_and_add_up() {
        let mut p = params();
        let c = case(None);
        let mut s = Stack::empty(c.bed_grain, 30, 3000.0);
        s.put(2000.0, 0.16, 18.0);
        s.put(500.0, 18.5 / 81.5, 26.0);
        let wet = WetPart::of(&p, &c, &s).unwrap();
        assert!((wet.m_pct - 18.5).abs() < 1e-6 && (wet.points - 4.0).abs() < 1e-6);
        assert!((8.0..10.0).contains(&wet.days), "{wet:?}");
        let prices = Prices {
            sound_t: 276.0,
            spoiled_t: 230.0,
            drying_t_point: 1.6,
            kwh: 0.12,
            tough_t_point: 3.7,
            tough_t: None,
            damp_t: None,
        };
        assert_eq!(choices(&p, &c, &prices, &wet).len(), 2);
        p.feed_kg_week = 7_756.0;
        let all = choices(&p, &c, &prices, &wet);
        assert_eq!(all.len(), 3);
        for x in &all {
            assert!(x.working.adds_up(0.005 * x.money.abs() + 1.0), "{:?}", x.working);
        }
        // Dearer fuel makes heat dearer; a dearer discount makes selling dearer.
        let heat =
            |pr: &Prices| choices(&p, &c, pr, &wet).into_iter().find(|x| x.key == "heat").unwrap().money;
        assert!(heat(&Prices { drying_t_point: 3.0, ..prices }) > heat(&prices));
        let dry = {
            let mut s = Stack::empty(c.bed_grain, 30, 3000.0);
            s.put(2000.0, 0.15, 18.0);
            s
        };
        assert_eq!(WetPart::of(&p, &c, &dry), None);
    }
}
