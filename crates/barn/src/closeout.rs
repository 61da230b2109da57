//! How a group did: feed, gain, cost, and the factors for the next budget.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::MoveWhy;
use stook_book::{FeedBinId, GroupId};
use stook_feed::growth;
use stook_measure::{Op, Working};

use crate::{BarnError, Facts, herd};

/// A group closed out, or so far.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CloseoutAnswer {
    /// Group.
    pub group: GroupId,
    /// Name.
    pub name: String,
    /// Head in.
    pub head_in: u32,
    /// Sold or moved on.
    pub head_out: u32,
    /// Died.
    pub died: u32,
    /// Weight in, kg.
    pub kg_in: f64,
    /// Weight out, kg.
    pub kg_out: f64,
    /// Days.
    pub days: f64,
    /// Feed by the batches into its feed bin, kg.
    pub feed_kg: f64,
    /// What the feed cost, money.
    pub feed_cost: f64,
    /// Feed for gain.
    pub feed_per_gain: f64,
    /// The table's.
    pub table_feed_per_gain: f64,
    /// Own over table.
    pub feed_factor: f64,
    /// Gain a day, kg.
    pub gain_kg_d: f64,
    /// Own over table.
    pub gain_factor: f64,
    /// Feed money a kg of gain.
    pub cost_per_kg: f64,
    /// Whether other groups ate from the same feed bin meanwhile.
    pub shared_bin: bool,
    /// Its part of what was eaten from that bin, by head and the intake curve, day by day.
    pub own_share: f64,
    /// How reckoned.
    pub working: Working,
}

/// For a group that has sold or moved at least one animal with a weight.
///
/// # Errors
/// When there is not enough in the book to close it out.
pub fn answer(f: &Facts<'_>, id: &GroupId) -> Result<CloseoutAnswer, BarnError> {
    let barn = &f.farm.barn;
    let missing = |what: &str| BarnError::Missing(what.to_string());
    let first = barn
        .groups
        .get(id)
        .and_then(|g| g.first())
        .ok_or_else(|| missing("There is no such group in the book."))?;
    let kg_in =
        first.is.mean_kg.ok_or_else(|| missing("The group's weight when it came in is not in the book."))?;
    let out: Vec<_> = barn
        .moves
        .iter()
        .filter(|m| m.is.group == *id && m.on() <= f.on && matches!(m.is.why, MoveWhy::Sold | MoveWhy::Moved))
        .collect();
    let weighed: Vec<_> =
        out.iter().filter_map(|m| Some((f64::from(m.is.head), m.is.mean_kg?, m.happened))).collect();
    if weighed.is_empty() {
        return Err(missing(
            "Nothing of this group is sold or moved with a weight yet; close it out when it is.",
        ));
    }
    let head_out_w: f64 = weighed.iter().map(|w| w.0).sum();
    let kg_out = weighed.iter().map(|w| w.0 * w.1).sum::<f64>() / head_out_w;
    let last = weighed.iter().map(|w| w.2).max().unwrap_or(first.happened);
    let mean_days =
        weighed.iter().map(|w| w.0 * f64::from((w.2.date() - first.on()).get_days())).sum::<f64>()
            / head_out_w;
    let died: u32 =
        barn.deaths.iter().filter(|d| d.is.group == *id && d.happened <= last).map(|d| d.is.head).sum();
    let head_out: u32 = out.iter().map(|m| m.is.head).sum();
    let bin = first
        .is
        .feed_bin
        .clone()
        .ok_or_else(|| missing("The group has no feed bin, so its feed is not known."))?;
    let eaten: Vec<_> =
        barn.batches_into(&bin).filter(|b| b.happened >= first.happened && b.happened <= last).collect();
    let in_bin: f64 = eaten.iter().map(|b| b.is.total_kg()).sum();
    if in_bin <= 0.0 {
        return Err(missing("No batch went into its feed bin in that time."));
    }
    let own_share = share(f, id, &bin, first.on(), last.date());
    let feed_kg = in_bin * own_share;
    let cost_of =
        |b: &stook_book::payload::FeedBatch| barn.ration(&b.ration).and_then(|r| r.is.cost_t).unwrap_or(0.0);
    let feed_cost = own_share * eaten.iter().map(|b| b.is.total_kg() / 1000.0 * cost_of(&b.is)).sum::<f64>();
    let shared_bin = barn.groups.iter().any(|(other, g)| {
        other != id && g.iter().any(|x| x.is.feed_bin.as_ref() == Some(&bin) && x.happened <= last)
    });
    let head_in = first.is.head;
    let c = growth::closeout(
        &f.params,
        f64::from(head_in),
        kg_in,
        f64::from(head_out),
        kg_out,
        mean_days.max(1.0),
        feed_kg,
    );
    let gain = f64::from(head_out) * (kg_out - kg_in);
    let working = Working::new("Feed for gain")
        .line(Op::Note, "Gain of those that left", gain, "kg", 0)
        .line(Op::Start, "Feed put in its bin", in_bin, "kg", 0)
        .line(Op::Times, "Its part of what was eaten there, by the curve", own_share, "", 3)
        .line(Op::Over, "Gain, half for the dead", feed_kg / c.feed_per_gain, "kg", 0)
        .sum("Feed for gain", c.feed_per_gain, "", 2)
        .source("the book's batches, moves and deaths; table: NRC 2012");
    Ok(CloseoutAnswer {
        group: id.clone(),
        name: first.is.name.clone(),
        head_in,
        head_out,
        died,
        kg_in,
        kg_out,
        days: mean_days,
        feed_kg,
        feed_cost,
        feed_per_gain: c.feed_per_gain,
        table_feed_per_gain: c.table_feed_per_gain,
        feed_factor: c.feed_factor,
        gain_kg_d: c.gain_kg_d,
        gain_factor: c.gain_factor,
        cost_per_kg: feed_cost / gain.max(1.0),
        shared_bin,
        own_share,
        working,
    })
}

/// A group's part of what is eaten from a feed bin between two days: head by the intake curve, summed over the days.
fn share(f: &Facts<'_>, id: &GroupId, bin: &FeedBinId, from: Date, to: Date) -> f64 {
    let (mut own, mut all) = (0.0, 0.0);
    let mut day = from;
    while day <= to {
        for g in herd::on(f, day).iter().filter(|g| g.feed_bin.as_ref() == Some(bin)) {
            let ate = f64::from(g.head) * g.feed_kg_d;
            all += ate;
            if g.id == *id {
                own += ate;
            }
        }
        let Ok(next) = day.tomorrow() else { break };
        day = next;
    }
    if all > 0.0 { own / all } else { 1.0 }
}
