//! When a spray may go on. The label always overrides.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

use crate::phase::Phase;

/// Coefficients `crop.window.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WindowParams {
    /// Weeds: opens at this leaf.
    pub herbicide_from_leaf: f64,
    /// Weeds: best up to this leaf.
    pub herbicide_best_to_leaf: f64,
    /// Weeds: closes at this leaf.
    pub herbicide_to_leaf: f64,
    /// Heads: opens, days from flowering.
    pub fungicide_from_d: f64,
    /// Heads: best until.
    pub fungicide_ideal_d: f64,
    /// Heads: acceptable until.
    pub fungicide_acceptable_d: f64,
    /// Heads: closed after.
    pub fungicide_closed_d: f64,
    /// Share of the response on the opening day.
    pub fungicide_early_share: f64,
    /// Share of the response at the end of the acceptable span.
    pub fungicide_acceptable_share: f64,
    /// Pre-harvest: greenest part at or below, % wet basis.
    pub preharvest_max_moisture_pct: f64,
    /// Pre-harvest: days to cutting.
    pub preharvest_interval_d: f64,
}

impl WindowParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.window.{what}"));
        Self {
            herbicide_from_leaf: get("herbicide_from_leaf"),
            herbicide_best_to_leaf: get("herbicide_best_to_leaf"),
            herbicide_to_leaf: get("herbicide_to_leaf"),
            fungicide_from_d: get("fungicide_from_d"),
            fungicide_ideal_d: get("fungicide_ideal_d"),
            fungicide_acceptable_d: get("fungicide_acceptable_d"),
            fungicide_closed_d: get("fungicide_closed_d"),
            fungicide_early_share: get("fungicide_early_share"),
            fungicide_acceptable_share: get("fungicide_acceptable_share"),
            preharvest_max_moisture_pct: get("preharvest_max_moisture_pct"),
            preharvest_interval_d: get("preharvest_interval_d"),
        }
    }
}

/// Where in a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Window {
    /// Not open yet.
    TooEarly,
    /// Open, not yet at its best.
    Early,
    /// At its best.
    Best,
    /// Still worth doing.
    Acceptable,
    /// Closing: last resort.
    Late,
    /// Closed.
    Closed,
}

impl Window {
    /// Whether the spray may go on.
    pub fn is_open(self) -> bool {
        !matches!(self, Self::TooEarly | Self::Closed)
    }
}

/// Kinds of weed spray with windows of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WeedSpray {
    /// Not one of the growth regulators, or not known: the farm's default window.
    General,
    /// Dicamba: 2 leaves to before jointing.
    Dicamba,
    /// 2,4-D: tillered (4 to 5 leaves) to before boot, safest before jointing.
    TwoFourD,
    /// MCPA: safer, including before tillering, to before boot.
    Mcpa,
}

/// Where the crop is in the window for a weed spray (Kansas State Univ. e-updates; the label overrides).
pub fn herbicide(leaves: f64, phase: Phase, spray: WeedSpray, p: &WindowParams) -> Window {
    if phase < Phase::Seedling {
        return Window::TooEarly;
    }
    match spray {
        WeedSpray::General => match leaves {
            _ if phase >= Phase::Jointing => Window::Closed,
            h if h < p.herbicide_from_leaf => Window::TooEarly,
            h if h <= p.herbicide_best_to_leaf => Window::Best,
            h if h <= p.herbicide_to_leaf => Window::Acceptable,
            _ => Window::Closed,
        },
        WeedSpray::Dicamba => match leaves {
            _ if phase >= Phase::Jointing => Window::Closed,
            h if h < 2.0 => Window::TooEarly,
            h if h <= p.herbicide_best_to_leaf => Window::Best,
            _ => Window::Acceptable,
        },
        WeedSpray::TwoFourD => match leaves {
            _ if phase >= Phase::Boot => Window::Closed,
            _ if phase >= Phase::Jointing => Window::Late,
            h if h < 4.0 || phase < Phase::Tillering => Window::TooEarly,
            _ => Window::Best,
        },
        WeedSpray::Mcpa => match leaves {
            _ if phase >= Phase::Boot => Window::Closed,
            _ if phase >= Phase::Jointing => Window::Late,
            h if h < p.herbicide_from_leaf => Window::Early,
            _ => Window::Best,
        },
    }
}

/// Where a day is in the window for a head spray, `days` from the start of flowering (negative before).
pub fn fungicide(days: f64, p: &WindowParams) -> Window {
    match days {
        d if d < p.fungicide_from_d => Window::TooEarly,
        d if d < 0.0 => Window::Early,
        d if d <= p.fungicide_ideal_d => Window::Best,
        d if d <= p.fungicide_acceptable_d => Window::Acceptable,
        d if d <= p.fungicide_closed_d => Window::Late,
        _ => Window::Closed,
    }
}

/// Share of the head spray's response that is left when it goes on `days` from the start of flowering.
///
/// Rises from the opening day to flowering, is full through the best span, falls to the acceptable share, and is
/// nothing after the window closes. The shares are a judgement bounded by trials: 7 to 10 days late still worked.
pub fn fungicide_response_share(days: f64, p: &WindowParams) -> f64 {
    let along = |from: f64, to: f64| (days - from) / (to - from);
    match fungicide(days, p) {
        Window::TooEarly | Window::Closed => 0.0,
        Window::Early => {
            p.fungicide_early_share + (1.0 - p.fungicide_early_share) * along(p.fungicide_from_d, 0.0)
        }
        Window::Best => 1.0,
        Window::Acceptable => {
            1.0 + (p.fungicide_acceptable_share - 1.0) * along(p.fungicide_ideal_d, p.fungicide_acceptable_d)
        }
        Window::Late => {
            // Half of what was left is gone by the closing day.
            p.fungicide_acceptable_share * (1.0 - 0.5 * along(p.fungicide_acceptable_d, p.fungicide_closed_d))
        }
    }
}

/// First day on which a sprayed crop may be cut. Day numbers count days, such as days since a fixed date.
pub fn earliest_cut_day(spray_day: i64, interval_d: u16) -> i64 {
    spray_day + i64::from(interval_d)
}

/// Whether cutting on `cut_day` breaks any interval of `sprays` (day sprayed, interval). The worst one is given.
pub fn blocked_until(cut_day: i64, sprays: &[(i64, u16)]) -> Option<i64> {
    sprays.iter().map(|&(day, d)| earliest_cut_day(day, d)).max().filter(|&first| first > cut_day)
}

/// Whether a pre-harvest spray may go on: the greenest part at or below the limit (30 % in label language).
pub fn preharvest_allowed(greenest_moisture_pct: f64, p: &WindowParams) -> bool {
    greenest_moisture_pct <= p.preharvest_max_moisture_pct
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> WindowParams {
        crate::CropParams::shipped().window
    }

    #[test]
    fn weed_windows() {
        let at = |h, phase, s| herbicide(h, phase, s, &p());
        assert_eq!(at(1.5, Phase::Seedling, WeedSpray::General), Window::TooEarly);
        assert_eq!(at(3.0, Phase::Seedling, WeedSpray::General), Window::Best);
        assert_eq!(at(4.6, Phase::Tillering, WeedSpray::General), Window::Acceptable);
        assert_eq!(at(5.5, Phase::Tillering, WeedSpray::General), Window::Closed);
        assert_eq!(at(3.0, Phase::Seedling, WeedSpray::TwoFourD), Window::TooEarly);
        assert_eq!(at(4.5, Phase::Tillering, WeedSpray::TwoFourD), Window::Best);
        assert_eq!(at(8.0, Phase::Boot, WeedSpray::TwoFourD), Window::Closed);
        assert_eq!(at(7.0, Phase::Jointing, WeedSpray::Dicamba), Window::Closed);
        assert_eq!(at(1.2, Phase::Seedling, WeedSpray::Mcpa), Window::Early);
    }

    #[test]
    fn head_window() {
        let at = |d: f64| fungicide(d, &p());
        assert_eq!([at(-2.0), at(-0.5), at(0.0)], [Window::TooEarly, Window::Early, Window::Best]);
        assert_eq!([at(6.0), at(9.0), at(11.0)], [Window::Acceptable, Window::Late, Window::Closed]);
    }

    #[test]
    fn intervals_are_kept() {
        assert_eq!(blocked_until(100, &[(80, 30), (95, 3)]), Some(110));
        assert_eq!(blocked_until(110, &[(80, 30), (95, 3)]), None);
        assert_eq!(blocked_until(100, &[]), None);
        assert!(preharvest_allowed(30.0, &p()) && !preharvest_allowed(30.5, &p()));
    }

    proptest! {
        #[test]
        fn after_the_best_it_only_falls(d in 0.0..14.0f64, more in 0.0..4.0f64) {
            let (a, b) = (fungicide_response_share(d, &p()), fungicide_response_share(d + more, &p()));
            prop_assert!((0.0..=1.0).contains(&a) && b <= a + 1e-12);
        }
    }
}
