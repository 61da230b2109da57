//! The batch sheet: a ration at the mixer's size, with the lots and bags it is made of; and what was really weighed.

use serde::Serialize;
use stook_book::payload::{AcceptedRation, BatchLine, FeedBatch};
use stook_book::{BinId, Fact, RationId};
use stook_feed::need::{self, Choices};
use stook_feed::ration::{Binding, Offer, Part, Ration, Scale, round_batch};
use stook_feed::{Composition, Nutrient, Phase, diet, mixer};

use crate::offers::{self, Bought, OwnLot};
use crate::rations::{mill_params, mixer_kg};
use crate::{BarnError, Facts};

/// One line of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetLine {
    /// Place in the order of adding, from 1.
    pub place: usize,
    /// Name.
    pub name: String,
    /// A bought ingredient's key, or the crop.
    pub of: String,
    /// Bin of own grain.
    pub bin: Option<BinId>,
    /// Lot number of what is on hand.
    pub lot: Option<String>,
    /// To weigh, kg.
    pub kg: f64,
    /// The mixer's scale shows so much then, kg.
    pub runs_to_kg: f64,
    /// On which scale.
    pub scale: Scale,
    /// With a carrier first.
    pub with_carrier: bool,
    /// Let pass to either side, kg: 2 % in bulk, 1 % by hand; the premix gets none.
    pub within_kg: f64,
}

/// A batch sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// The ration.
    pub ration: RationId,
    /// Its name.
    pub name: String,
    /// Phase.
    pub phase: Option<Phase>,
    /// Mixer.
    pub mixer: Option<String>,
    /// Key of the mixer.
    pub mixer_id: Option<String>,
    /// Number proposed for the batch.
    pub number: String,
    /// Lines in the order of adding.
    pub lines: Vec<SheetLine>,
    /// All of it, kg.
    pub total_kg: f64,
    /// Money a tonne as rounded.
    pub cost_t: f64,
    /// Digestible lysine, %.
    pub lysine_pct: f64,
    /// Protein, %.
    pub protein_pct: f64,
    /// Minutes to mix after the last thing is in.
    pub mix_min: f64,
    /// Grain to flush with before sow or starter feed after another, kg.
    pub flush_kg: f64,
    /// What is wrong with it, in sentences; a sheet with any of these is not milled.
    pub stop: Vec<String>,
    /// What to look at.
    pub notes: Vec<String>,
    /// Whether a nutritionist has looked at the ration.
    pub reviewed_by: Option<String>,
}

/// The sheet of an accepted ration.
///
/// # Errors
/// When there is no such ration.
pub fn sheet(f: &Facts<'_>, id: &RationId) -> Result<Sheet, BarnError> {
    let accepted = f.farm.barn.ration(id).ok_or_else(|| {
        BarnError::Missing(format!("there is no accepted ration \"{id}\"; accept one on the Barn page first"))
    })?;
    let (lots, bought) = (offers::own_lots(f), offers::bought(f));
    Ok(of_accepted(f, accepted, &lots, &bought))
}

fn of_accepted(f: &Facts<'_>, accepted: &Fact<AcceptedRation>, lots: &[OwnLot], bought: &[Bought]) -> Sheet {
    let a = &accepted.is;
    let phase = Phase::from_key(&a.phase);
    let p = mill_params(f);
    let (mut stop, mut notes) = (Vec::new(), Vec::new());
    let mut offers_: Vec<Offer> = Vec::new();
    let mut parts = Vec::new();
    for item in &a.items {
        let offer = match &item.bin {
            Some(bin) => {
                let lot = lots.iter().find(|l| l.bin == *bin);
                match lot {
                    None => {
                        stop.push(format!("{bin} is empty or holds nothing that can be fed; make the ration again from what is there."));
                        None
                    }
                    Some(l) => {
                        stop.extend(l.never.clone());
                        Some(l.offer.clone())
                    }
                }
            }
            None => {
                bought.iter().find(|b| b.key == item.of).map(|b| b.offer(f, phase.unwrap_or(Phase::Grower1)))
            }
        };
        let Some(o) = offer else {
            if item.bin.is_none() {
                stop.push(format!("{} is no longer among the ingredients.", item.of));
            }
            continue;
        };
        parts.push(Part {
            key: o.key.clone(),
            name: o.name.clone(),
            share: item.share_pct / 100.0,
            price_t: o.price_t,
            stays: None,
        });
        offers_.push(o);
    }
    let premix = bought.iter().find(|b| b.phytase_p_pct.is_some());
    let need = need::need(
        &f.params,
        phase.unwrap_or(Phase::Grower1),
        Choices { phytase_p_pct: premix.and_then(|b| b.phytase_p_pct), ..Choices::default() },
    );
    let holds = Composition::mix(
        parts.iter().filter_map(|x| Some((x.share, &offers_.iter().find(|o| o.key == x.key)?.holds))),
    );
    let ration = Ration {
        phase: need.phase,
        cost_t: parts.iter().map(|x| x.share * x.price_t).sum(),
        parts,
        left_out: Vec::new(),
        binding: Vec::<Binding>::new(),
        standing: diet::stand(&need, &holds, 0.0),
        holds,
        don_ppm: 0.0,
        rounds: 0,
    };
    let size = mixer_kg(f);
    let batch = round_batch(&p, &need, &offers_, &ration, size);
    if !batch.missed.is_empty() {
        notes.push(format!("By today's tests {}: make the ration again.", batch.missed.join("; ")));
    }
    if a.reviewed_by.is_none() {
        notes.push("No nutritionist has looked at this ration yet.".into());
    }
    let mixer = f.farm.barn.mixers.values().next();
    let lines = batch
        .items
        .iter()
        .enumerate()
        .map(|(n, i)| {
            let lot = lots.iter().find(|l| l.bin.as_str() == i.key);
            let thing = bought.iter().find(|b| b.key == i.key);
            let within = match i.scale {
                _ if offers_.iter().any(|o| o.key == i.key && o.class == "premix") => 0.0,
                Scale::Mixer => p.miss_bulk,
                _ => p.miss_hand,
            };
            SheetLine {
                place: n + 1,
                name: i.name.clone(),
                of: lot.map_or_else(|| i.key.clone(), |l| l.crop.clone()),
                bin: lot.map(|l| l.bin.clone()),
                lot: thing.and_then(|b| b.lot.clone()),
                kg: i.kg,
                runs_to_kg: i.runs_to_kg,
                scale: i.scale,
                with_carrier: i.with_carrier,
                within_kg: within * i.kg,
            }
        })
        .collect();
    Sheet {
        ration: a.id.clone(),
        name: a.name.clone(),
        phase,
        mixer: mixer.map(|m| m.is.name.clone()),
        mixer_id: mixer.map(|m| m.is.id.to_string()),
        number: next_number(f),
        lines,
        total_kg: batch.total_kg,
        cost_t: batch.cost_t,
        lysine_pct: ration.holds.of(Nutrient::Lys),
        protein_pct: ration.holds.of(Nutrient::Protein),
        mix_min: mixer.and_then(|m| m.is.mix_min).unwrap_or(5.0),
        flush_kg: mixer::flush_kg(&f.params, size),
        stop,
        notes,
        reviewed_by: a.reviewed_by.clone(),
    }
}

/// The number after the year's last: `26-014`.
pub fn next_number(f: &Facts<'_>) -> String {
    let year = f.on.year();
    let n = f
        .farm
        .barn
        .batches
        .iter()
        .filter(|b| b.on().year() == year)
        .filter_map(|b| b.is.number.rsplit('-').next()?.parse::<u32>().ok())
        .max()
        .unwrap_or(0);
    format!("{:02}-{:03}", year % 100, n + 1)
}

/// A recorded batch against its sheet: bias by ingredient, and what was missed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bias {
    /// What.
    pub of: String,
    /// Batches it was weighed in.
    pub batches: usize,
    /// Asked, kg.
    pub asked_kg: f64,
    /// Weighed, kg.
    pub weighed_kg: f64,
    /// Weighed over asked, less one.
    pub bias: f64,
    /// Batches in which it missed by more than is let pass.
    pub missed: usize,
}

/// Weighed against asked over the last `n` batches.
pub fn bias(f: &Facts<'_>, n: usize) -> Vec<Bias> {
    let mut all: Vec<Bias> = Vec::new();
    let recent: Vec<&Fact<FeedBatch>> =
        f.farm.barn.batches.iter().filter(|b| b.on() <= f.on).rev().take(n).collect();
    for b in recent {
        for line in b.is.lines.iter().filter(|l| l.asked_kg > 0.0) {
            let of = line.bin.as_ref().map_or_else(|| line.of.clone(), ToString::to_string);
            let entry = match all.iter_mut().position(|x| x.of == of) {
                Some(i) => &mut all[i],
                None => {
                    all.push(Bias { of, batches: 0, asked_kg: 0.0, weighed_kg: 0.0, bias: 0.0, missed: 0 });
                    all.last_mut().expect("just pushed")
                }
            };
            entry.batches += 1;
            entry.asked_kg += line.asked_kg;
            entry.weighed_kg += line.weighed_kg;
            entry.missed += usize::from(missed(f, line));
        }
    }
    for b in &mut all {
        b.bias = b.weighed_kg / b.asked_kg - 1.0;
    }
    all
}

/// Whether a weighing missed by more than is let pass.
pub fn missed(f: &Facts<'_>, line: &BatchLine) -> bool {
    if line.asked_kg <= 0.0 {
        return line.weighed_kg > 0.0;
    }
    let by = (line.weighed_kg / line.asked_kg - 1.0).abs();
    let class = f
        .farm
        .barn
        .ingredients
        .values()
        .find(|i| i.is.id.as_str() == line.of)
        .map_or(line.of.as_str(), |i| i.is.like.as_str());
    let group = stook_feed::ingredient::find(class).map_or("grain", |i| i.group.as_str());
    match group {
        "premix" => by > 1e-6,
        "amino acid" | "mineral" => by > f.params.miss_hand,
        _ => by > f.params.miss_bulk,
    }
}

/// The mixer's last test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixerToday {
    /// Name.
    pub name: String,
    /// Day of the last test.
    pub tested: Option<jiff::civil::Date>,
    /// Its coefficient of variation, %.
    pub cv_pct: Option<f64>,
    /// What was traced.
    pub tracer: Option<String>,
    /// What to make of it, in a sentence.
    pub words: String,
}

/// Every mixer with its last test.
pub fn mixers(f: &Facts<'_>) -> Vec<MixerToday> {
    f.farm
        .barn
        .mixers
        .values()
        .map(|m| {
            let test = f.farm.barn.mixer_tests.iter().rev().find(|t| t.is.mixer == m.is.id && t.on() <= f.on);
            let u = test.and_then(|t| mixer::uniformity(&f.params, &t.is.samples));
            let days = test.map(|t| (f.on - t.on()).get_days());
            let words = match (&u, days) {
                (Some(u), Some(d)) if d > 100 => format!(
                    "{} when last tested; test it again, three months have passed.",
                    capital(u.verdict.words())
                ),
                (Some(u), _) => format!("{}.", capital(u.verdict.words())),
                _ => "Never tested here: ten samples of one batch, salt as the tracer.".into(),
            };
            MixerToday {
                name: m.is.name.clone(),
                tested: test.map(Fact::on),
                cv_pct: u.map(|u| u.cv_pct),
                tracer: test.map(|t| t.is.tracer.clone()),
                words,
            }
        })
        .collect()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
