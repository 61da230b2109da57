//! Prices a bin is reckoned with.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::farm::Farm;
use stook_book::payload::Crop;
use stook_measure::Reference;
use stook_season::params::SeasonParams;

use crate::money::Prices;
use crate::params::KeepParams;

pub(super) fn prices(farm: &Farm, r: &Reference, p: &KeepParams, on: Date) -> BTreeMap<&'static str, f64> {
    let s = SeasonParams::new(r, farm, on);
    let own = |key: &str, per: &str| farm.price(key, on).filter(|x| x.unit == per).map(|x| x.value);
    let per_bu = stook_measure::units::bushels_per_tonne(60.0);
    let tough =
        own("tough_discount", "t_point").or_else(|| own("tough_discount", "bu_point").map(|x| x * per_bu));
    BTreeMap::from([
        ("wheat", s.wheat_per_t),
        ("feed_wheat", s.feed_wheat_per_t),
        ("drying", s.drying_per_t_point),
        ("kwh", own("electricity", "kWh").unwrap_or(p.kwh)),
        ("tough", tough.unwrap_or(p.tough_t_point)),
    ])
}

/// Prices for a crop: wheat's own; another crop's by its price in the book, spoiled as feed wheat.
pub(super) fn prices_of(
    farm: &Farm,
    all: &BTreeMap<&'static str, f64>,
    crop: Option<&Crop>,
    on: Date,
    assumed: &mut Vec<String>,
) -> Prices {
    let wheat = matches!(crop, None | Some(Crop::SpringWheat | Crop::Durum));
    let sound_t = match crop {
        Some(c) if !wheat => {
            let own = farm.price(c.key(), on).and_then(|x| match x.unit.as_str() {
                "t" => Some(x.value),
                _ => None,
            });
            if own.is_none() {
                assumed.push(format!("No price a tonne of {} is in the book: feed wheat's stands in, so spoiling shows no money.", c.words()));
            }
            own.unwrap_or(all["feed_wheat"])
        }
        _ => all["wheat"],
    };
    let buyer =
        farm.buyers.iter().rev().map(|b| (b.on(), &b.is)).find(|(day, b)| {
            *day <= on && crop.is_none_or(|c| *c == b.crop) && b.until.is_none_or(|u| on <= u)
        });
    Prices {
        tough_t: buyer.and_then(|b| b.1.tough_off_per_t),
        damp_t: buyer.and_then(|b| b.1.damp_off_per_t),
        sound_t,
        spoiled_t: all["feed_wheat"].min(sound_t),
        drying_t_point: all["drying"],
        kwh: all["kwh"],
        tough_t_point: all["tough"],
    }
}
