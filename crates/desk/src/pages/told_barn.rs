//! Barn entries in a sentence.

use stook_book::Payload;
use stook_book::payload::UnitChoice;
use stook_measure::figure;

/// The parts of the sentence; none for an entry that is not of the barn.
pub fn parts(p: &Payload, u: &UnitChoice) -> Option<Vec<Option<String>>> {
    let kg = |x: f64| format!("{} kg", figure(x, 0));
    let money = |x: f64| format!("{}{}", u.money, figure(x, 2));
    Some(match p {
        Payload::Ingredient(x) => vec![
            Some(x.name.clone()),
            Some(format!(
                "like {}",
                stook_feed::ingredient::find(&x.like).map_or(x.like.as_str(), |i| i.name.as_str())
            )),
            x.lot.as_ref().map(|l| format!("lot {l}")),
            x.on_hand_kg.map(|k| format!("{} on hand", kg(k))),
        ],
        Payload::HerdGroup(x) => {
            vec![Some(x.name.clone()), Some(format!("{} {}", x.head, x.kind.words())), x.mean_kg.map(kg)]
        }
        Payload::HerdMove(x) => vec![
            Some(format!("{} head", x.head)),
            Some(x.why.words().into()),
            Some(format!("from {}", x.group)),
            x.to.as_ref().map(|t| format!("to {t}")),
            x.mean_kg.map(kg),
            x.last.then(|| "the group is done".into()),
        ],
        Payload::Deaths(x) => vec![Some(format!("{} in {}", x.head, x.group)), x.cause.clone()],
        Payload::Ration(x) => vec![
            Some(x.name.clone()),
            x.cost_t.map(|c| format!("{} a tonne", money(c))),
            Some(format!("{} parts", x.items.len())),
            Some(x.reviewed_by.as_ref().map_or_else(
                || "not yet looked at by a nutritionist".into(),
                |n| format!("looked at by {n}"),
            )),
        ],
        Payload::Batch(x) => vec![
            Some(format!("batch {}", x.number)),
            Some(kg(x.total_kg())),
            Some(format!("of {}", x.ration)),
            x.into.as_ref().map(|b| format!("into {b}")),
        ],
        Payload::FeedBin(x) => vec![Some(x.name.clone()), Some(format!("holds {}", kg(x.holds_kg)))],
        Payload::FeedLevel(x) => vec![Some(kg(x.kg)), Some(format!("in {}", x.feed_bin))],
        Payload::Mixer(x) => vec![Some(x.name.clone()), Some(format!("{} a batch", kg(x.batch_kg)))],
        Payload::MixerTest(x) => vec![
            Some(format!("{} samples of {}", x.samples.len(), x.tracer)),
            stook_feed::mixer::uniformity(stook_feed::FeedParams::shipped(), &x.samples)
                .map(|t| format!("{} % variation", figure(t.cv_pct, 1))),
        ],
        Payload::ScaleCheck(x) => vec![
            Some(x.scale.words().into()),
            Some(format!("{} kg put on", figure(x.put_kg, 2))),
            Some(format!("read {} kg", figure(x.read_kg, 2))),
        ],
        Payload::SieveTest(x) => vec![
            Some(x.of.clone()),
            x.screen.clone(),
            stook_feed::particle::geometric(
                &x.catches.iter().map(|c| (c.opening_um, c.g)).collect::<Vec<_>>(),
                x.pan_g,
            )
            .map(|p| format!("{} um", figure(p.mean_um, 0))),
        ],
        Payload::StrawOnHand(x) => vec![Some(format!("{} bales of {}", x.bales, kg(x.bale_kg)))],
        Payload::Breeding(x) => vec![
            Some(x.group.to_string()),
            Some(format!("buck in {}", super::long_day(x.buck_in))),
            x.buck_out.map(|d| format!("out {}", super::long_day(d))),
        ],
        Payload::Bid(x) => vec![
            Some(x.buyer.clone()),
            Some(x.crop.words().into()),
            x.grade.clone(),
            Some(format!("{} a tonne", money(x.price_per_t))),
            x.committed_t.map(|t| format!("{} t sold already", figure(t, 0))),
        ],
        Payload::PaymentDue(x) => {
            vec![Some(x.what.clone()), Some(money(x.amount)), Some(format!("due {}", super::long_day(x.due)))]
        }
        _ => return None,
    })
}
