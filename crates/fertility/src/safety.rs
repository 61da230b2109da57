//! What can kill: sentences and levels that stand beside the figures, never behind them.

use serde::Serialize;

/// A level of hydrogen sulphide and what it does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GasLevel {
    /// From this much, ppm.
    pub from_ppm: f64,
    /// Effect.
    pub effect: &'static str,
}

/// Hydrogen sulphide over a manure pit. Source: Doss, McLeod and Person, Beware of Manure Pit Hazards, NASD d001097
/// (Michigan); 100 ppm immediately dangerous: NIOSH, from a summary. Another sheet allows 10 ppm where this has 5.
pub const HYDROGEN_SULPHIDE: [GasLevel; 8] = [
    GasLevel { from_ppm: 5.0, effect: "above what is recommended as the most" },
    GasLevel { from_ppm: 10.0, effect: "eyes smart" },
    GasLevel { from_ppm: 20.0, effect: "eyes, nose and throat smart within 20 minutes" },
    GasLevel { from_ppm: 50.0, effect: "vomiting" },
    GasLevel { from_ppm: 100.0, effect: "immediately dangerous to life" },
    GasLevel { from_ppm: 200.0, effect: "dizziness, nerves fail" },
    GasLevel { from_ppm: 500.0, effect: "unconscious within 30 minutes" },
    GasLevel { from_ppm: 600.0, effect: "rapid death" },
];

/// The worst effect to expect of a level of hydrogen sulphide, ppm; `None` below the recommended most.
pub fn hydrogen_sulphide_effect(ppm: f64) -> Option<&'static str> {
    HYDROGEN_SULPHIDE.iter().rev().find(|l| ppm >= l.from_ppm).map(|l| l.effect)
}

/// Shown with every plan that moves manure. Substance of the sources above and of Prairie Swine Centre 2020, where all
/// six barns passed the limits while plugs were pulled.
pub const MANURE_GAS: &str = "Pit gas kills, and stops being smelled first. Nobody is in the barn while the pit is stirred, \
    pumped or a plug is pulled. Run the fans full and wear a monitor. Never go into a pit after someone without an air \
    supply.";

/// Shown with every plan that uses anhydrous ammonia. Substance of Iowa State Univ. Extension advice.
pub const ANHYDROUS: &str = "Anhydrous ammonia burns eyes and lungs. Ventless goggles and ammonia gloves, no contact lenses, \
    clean water on the tank and on you; flush burns at least 15 minutes, then get care. Treat every hose as full and stand \
    upwind. Never in the seed row.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_rise_and_the_worst_is_told() {
        assert!(HYDROGEN_SULPHIDE.windows(2).all(|w| w[0].from_ppm < w[1].from_ppm));
        assert_eq!(hydrogen_sulphide_effect(4.0), None);
        assert_eq!(hydrogen_sulphide_effect(300.0), Some("dizziness, nerves fail"));
        assert_eq!(hydrogen_sulphide_effect(9000.0), Some("rapid death"));
    }
}
