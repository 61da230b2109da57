//! What is on offer to a ration: own lots in their bins, and bought ingredients at their prices.

use serde::Serialize;
use stook_book::BinId;
use stook_book::payload::{BinJob, Crop};
use stook_feed::own_grain::{self, Tested};
use stook_feed::ration::Offer;
use stook_feed::{Nutrient, Phase, ingredient, limits, toxin};
use stook_grain::moisture_class::ClassLimits;
use stook_measure::units::KG_PER_LB;
use stook_yard::ticket;

use crate::Facts;
use crate::buyers::{self, Sample};

/// A lot of own grain.
#[derive(Debug, Clone, Serialize)]
pub struct OwnLot {
    /// Bin.
    pub bin: BinId,
    /// Name of the bin.
    pub name: String,
    /// Crop.
    pub crop: String,
    /// Tonnes in it.
    pub tonnes: f64,
    /// Protein at the buyer's basis, %.
    pub protein_pct: Option<f64>,
    /// Moisture, %.
    pub moisture_pct: Option<f64>,
    /// DON taken, ppm: its upper bound.
    pub don_ppm: f64,
    /// Whether DON was ever tested.
    pub don_tested: bool,
    /// Net price at the yard by the best bid, money a tonne; none when nobody bids.
    pub mill_t: Option<f64>,
    /// Whose bid.
    pub buyer: Option<String>,
    /// Why it may not be fed, in a sentence; none when it may.
    pub never: Option<String>,
    /// How its content was come by.
    pub said: Vec<String>,
    /// As an offer, its price what it brings at the mill.
    #[serde(skip)]
    pub offer: Offer,
    /// As buyers see it.
    #[serde(skip)]
    pub sample: Sample,
}

/// Protein basis of grain buyers here, % moisture.
const BUYER_BASIS: f64 = 13.5;
/// Grain taken at this when nobody bids for it, as a share of the feed wheat price.
const NOBODY_BIDS: f64 = 0.85;

/// Every bin with grain the table knows, kept for seed or not.
pub fn own_lots(f: &Facts<'_>) -> Vec<OwnLot> {
    own_lots_if(f, 0.0)
}

/// The same with so many points of protein more in the wheat than its tests say, for buyers and pigs alike.
pub fn own_lots_if(f: &Facts<'_>, points: f64) -> Vec<OwnLot> {
    let offers = buyers::in_force(f.farm, f.on);
    let feed_wheat =
        price_t(f, "feed_wheat").unwrap_or_else(|| f.reference.get("season.price.feed_wheat_per_t"));
    let mut all = Vec::new();
    for state in f.yard.bins.values().filter(|b| b.mass_kg() > 500.0) {
        let Some(crop) = state.crop.clone() else { continue };
        let Some(like) = own_grain::like_crop(crop.key()) else { continue };
        let lot = state.lot();
        let moisture = lot.moisture_pct();
        let tested = Tested {
            // Feed tables are as-fed: at the lot's own moisture. N x 6.25 for feed, 5.7 for a grain buyer's wheat.
            protein_pct: moisture
                .and_then(|m| lot.protein_pct(m))
                .map(|p| if is_wheat(&crop) { (p + points) * 6.25 / 5.7 } else { p }),
            moisture_pct: moisture,
            test_weight_kg_m3: lot.test_weight_kg_hl().map(|t| 10.0 * t),
            sprouted_pct: None,
        };
        let (holds, mut said) = own_grain::holds(&f.params, like, &tested);
        if crop.key().contains("wheat") && tested.protein_pct.is_some() {
            said.insert(0, "wheat protein by the grain trade (N x 5.7) brought to feed's N x 6.25".into());
        }
        let results: Vec<f64> = f
            .farm
            .bins
            .get(state.id())
            .into_iter()
            .flat_map(|b| &b.samples)
            .filter(|s| s.on() <= f.on && state.empty_since.is_none_or(|e| s.happened > e))
            .filter_map(|s| s.is.don_ppm)
            .collect();
        let wheat_like = matches!(like.key.as_str(), "wheat_hrs" | "barley" | "corn" | "oats");
        let don =
            if results.is_empty() && !wheat_like { 0.0 } else { toxin::upper_bound(&f.params, &results) };
        // A blend of loads carries its own mean where the bin itself was not sampled.
        let don =
            if results.is_empty() { lot.don_ppm().map_or(don, |d| d * f.params.don_one_sample) } else { don };
        let protein = lot.protein_pct(BUYER_BASIS).map(|p| if is_wheat(&crop) { p + points } else { p });
        let limits =
            state.facts.class_key.and_then(|key| ClassLimits::shipped().into_iter().find(|c| c.grain == key));
        let sample = Sample {
            crop: crop.clone(),
            protein_pct: protein,
            don_ppm: results.last().copied().or_else(|| lot.don_ppm()).unwrap_or(0.0),
            over_straight: moisture.zip(limits.as_ref()).map_or(0.0, |(m, l)| m - l.straight_to),
            damp: moisture.zip(limits.as_ref()).is_some_and(|(m, l)| m > l.tough_to),
            falling_number_s: lot.falling_number_s(),
            grade: ticket::grade_of(&crop, &lot, &state.factors, f.on),
        };
        let best = buyers::best(&offers, &sample);
        let never = f
            .farm
            .treated_seed_in(state.id(), f.on.at(23, 59, 59, 0))
            .map(|lot| format!("{} holds treated seed ({lot}): never feed.", state.bin.name))
            .or_else(|| {
                (state.bin.job == BinJob::Seed).then(|| format!("{} is kept for seed.", state.bin.name))
            });
        let price = best.map_or(NOBODY_BIDS * feed_wheat, |b| b.0);
        let lys_cv = f.params.lysine_cv;
        let name = label(&state.bin.name, crop.words(), protein, like.group == "grain");
        all.push(OwnLot {
            bin: state.id().clone(),
            name: state.bin.name.clone(),
            crop: crop.key().into(),
            tonnes: state.mass_kg() / 1000.0,
            protein_pct: protein,
            moisture_pct: moisture,
            don_ppm: don,
            don_tested: !results.is_empty(),
            mill_t: best.map(|b| b.0),
            buyer: best.map(|b| b.1.name.clone()),
            never,
            said,
            offer: Offer {
                key: state.id().to_string(),
                name,
                class: like.key.clone(),
                price_t: price,
                lys_sd: lys_cv * holds.of(Nutrient::Lys),
                holds,
                don_ppm: don,
                max: 1.0,
                min: 0.0,
            },
            sample,
        });
    }
    all
}

fn is_wheat(crop: &Crop) -> bool {
    matches!(crop, Crop::SpringWheat | Crop::Durum) || crop.key().contains("wheat")
}

fn label(bin: &str, crop: &str, protein: Option<f64>, grain: bool) -> String {
    let crop = crop.strip_prefix("spring ").unwrap_or(crop);
    match protein.filter(|_| grain) {
        Some(p) => format!("{bin}, {crop} {p:.1} %"),
        None => format!("{bin}, {crop}"),
    }
}

/// A bought ingredient as it stands.
#[derive(Debug, Clone, Serialize)]
pub struct Bought {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Money a tonne.
    pub price_t: f64,
    /// Whether the price is ours because the farm has entered none.
    pub assumed: bool,
    /// Whether it is in the book, or of the table.
    pub written: bool,
    /// Lot number of what is on hand.
    pub lot: Option<String>,
    /// On hand, kg.
    pub on_hand_kg: Option<f64>,
    /// Copper above need.
    pub copper: bool,
    /// Rate by the label, share, for a premix.
    pub rate: Option<f64>,
    /// Phosphorus released by its phytase, %.
    pub phytase_p_pct: Option<f64>,
    #[serde(skip)]
    class: String,
    #[serde(skip)]
    holds: stook_feed::Composition,
    #[serde(skip)]
    most: Option<f64>,
    #[serde(skip)]
    don_ppm: f64,
}

/// The farm's price of a thing a tonne on the day.
pub fn price_t(f: &Facts<'_>, key: &str) -> Option<f64> {
    let p = f.farm.price(key, f.on)?;
    match p.unit.as_str() {
        "t" => Some(p.value),
        "kg" => Some(p.value * 1000.0),
        "lb" => Some(p.value / KG_PER_LB * 1000.0),
        "bu" => Some(p.value * stook_measure::units::bushels_per_tonne(60.0)),
        _ => None,
    }
}

/// Everything bought: what the farm has written down, or the whole table while it has written nothing.
pub fn bought(f: &Facts<'_>) -> Vec<Bought> {
    let assumed_t = |class: &str| f.reference.coefficient(&format!("barn.price.{class}_t")).map(|c| c.value);
    let written: Vec<Bought> = f
        .farm
        .barn
        .ingredients
        .values()
        .filter_map(|x| {
            let like = ingredient::find(&x.is.like)?;
            let own = price_t(f, x.is.id.as_str()).or_else(|| price_t(f, &x.is.like));
            let mut holds = like.holds;
            for (key, value) in &x.is.analysis {
                if let Some(n) = Nutrient::from_key(key) {
                    holds.set(n, *value);
                }
            }
            Some(Bought {
                key: x.is.id.to_string(),
                name: x.is.name.clone(),
                price_t: own.or_else(|| assumed_t(&like.key)).unwrap_or(1000.0),
                assumed: own.is_none(),
                written: true,
                lot: x.is.lot.clone(),
                on_hand_kg: x.is.on_hand_kg,
                copper: x.is.copper,
                rate: x.is.rate_pct.map(|r| r / 100.0),
                phytase_p_pct: x.is.phytase_p_pct,
                class: like.key.clone(),
                holds,
                most: x.is.most_pct.map(|m| m / 100.0),
                don_ppm: x.is.don_ppm.unwrap_or(0.0),
            })
        })
        .collect();
    if !written.is_empty() {
        return written;
    }
    ingredient::offered()
        .filter(|i| i.group != "grain")
        .map(|i| {
            let own = price_t(f, &i.key);
            Bought {
                key: i.key.clone(),
                name: i.name.clone(),
                price_t: own.or_else(|| assumed_t(&i.key)).unwrap_or(1000.0),
                assumed: own.is_none(),
                written: false,
                lot: None,
                on_hand_kg: None,
                copper: false,
                rate: None,
                phytase_p_pct: None,
                class: i.key.clone(),
                holds: i.holds,
                most: None,
                don_ppm: 0.0,
            }
        })
        .collect()
}

impl Bought {
    /// As an offer to a phase.
    pub fn offer(&self, f: &Facts<'_>, phase: Phase) -> Offer {
        let usual = limits::inclusion(&self.class, phase);
        let max = usual.as_ref().map_or(1.0, |l| l.max).min(self.most.unwrap_or(1.0));
        let meal = ingredient::find(&self.class)
            .is_some_and(|i| matches!(i.group.as_str(), "meal" | "pulse" | "by-product"));
        Offer {
            key: self.key.clone(),
            name: self.name.clone(),
            class: self.class.clone(),
            price_t: self.price_t,
            holds: self.holds,
            don_ppm: self.don_ppm,
            max,
            min: usual.as_ref().map_or(0.0, |l| l.min).min(max),
            lys_sd: if meal { f.params.meal_lysine_cv * self.holds.of(Nutrient::Lys) } else { 0.0 },
        }
    }
}

/// Most of a lot in a phase: the usual limit of its kind.
pub fn lot_max(lot: &OwnLot, phase: Phase) -> f64 {
    if lot.never.is_some() {
        return 0.0;
    }
    limits::inclusion(&lot.offer.class, phase).map_or(1.0, |l| l.max)
}
