//! When to run a bin's fan: rules to be compared by simulation, each hour with its reason.

use stook_measure::Reference;

use crate::bed::{Air, Bed};
use crate::emc::EmcSet;

/// One hour of weather outside. A value that is not a number is a missing hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hour {
    /// Hour of the day, 0 to 23, local.
    pub hour: u8,
    /// Temperature, C.
    pub t_c: f64,
    /// Relative humidity, 0 to 1, over ice below freezing (a station's is over water: turn it first).
    pub rh: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Rain, snow or fog that the fan would draw in.
    pub wet: bool,
}

impl Hour {
    /// Whether it can be used.
    pub fn is_known(&self) -> bool {
        self.t_c.is_finite() && self.rh.is_finite() && self.pressure_pa.is_finite()
    }
}

/// A way to run the fan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FanRule {
    /// Never.
    Off,
    /// Day and night.
    Always,
    /// Between two hours of the day, over midnight if need be: 22 to 8.
    Hours {
        /// First hour on.
        from: u8,
        /// First hour off.
        to: u8,
    },
    /// When the air (after the fan) is this many degrees below the warmest layer.
    DryBulb {
        /// Degrees.
        below_k: f64,
    },
    /// When the temperature the grain would land on is this many degrees below the warmest layer; a cooling front once
    /// started is finished.
    Landing {
        /// Degrees.
        below_k: f64,
    },
    /// When the equilibrium moisture of the air (after the fan) lies between two moistures, percent wet basis.
    Window {
        /// Driest.
        low_pct: f64,
        /// Wettest.
        high_pct: f64,
    },
    /// Natural-air drying: day and night until the top is at the target, stopping for the winter.
    Dry {
        /// Moisture of the top at which it is done, percent wet basis.
        target_pct: f64,
    },
}

impl FanRule {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Off => "fan off".into(),
            Self::Always => "day and night".into(),
            Self::Hours { from, to } => format!("{from}:00 to {to}:00"),
            Self::DryBulb { below_k } => format!("when the air is {below_k} C colder than the grain"),
            Self::Landing { below_k } => {
                format!("when the grain would end {below_k} C colder, and until that front is through")
            }
            Self::Window { low_pct, high_pct } => {
                format!("when the air would bring the grain to {low_pct} to {high_pct} %")
            }
            Self::Dry { target_pct } => format!("day and night until the top is at {target_pct} %"),
        }
    }
}

/// Why the fan is on or off in an hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// The rule says on.
    Rule,
    /// The rule says off.
    NotNow,
    /// A front once started is being finished.
    Finishing,
    /// Rain, snow or fog.
    WetAir,
    /// The day's air would wet the grain.
    TooDamp,
    /// Nothing left to gain.
    Done,
    /// Too cold to go on.
    TooCold,
    /// The weather of the hour is not known.
    NoWeather,
}

/// Thresholds of fan control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlParams {
    /// Cooling starts when the landing temperature is this far below the warmest layer, K.
    pub start_below_k: f64,
    /// A cooling run ends when the exhaust is this close to where the grain lands, K.
    pub stop_within_k: f64,
    /// Points by which the day's mean equilibrium moisture may exceed the grain's.
    pub emc_margin_points: f64,
    /// Coldest to cool to, C.
    pub winter_c: f64,
    /// Daily mean below which drying stops, C.
    pub hold_below_c: f64,
}

impl ControlParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            start_below_k: r.get("grain.cool.start_below_k"),
            stop_within_k: r.get("grain.cool.stop_within_k"),
            emc_margin_points: r.get("grain.cool.emc_margin_points"),
            winter_c: r.get("grain.cool.winter_c"),
            hold_below_c: r.get("grain.dry.hold_below_c"),
        }
    }
}

/// A rule at work, with what it remembers from hour to hour.
#[derive(Debug, Clone)]
pub struct Control<'a> {
    rule: FanRule,
    params: ControlParams,
    emc: &'a EmcSet,
    finishing: bool,
    day_mean_c: Option<f64>,
    day_mean_emc: Option<f64>,
}

impl<'a> Control<'a> {
    /// A rule about to start.
    pub fn new(rule: FanRule, params: ControlParams, emc: &'a EmcSet) -> Self {
        Self { rule, params, emc, finishing: false, day_mean_c: None, day_mean_emc: None }
    }

    /// Whether the fan runs in this hour, and why. `inlet` is the air after the fan.
    ///
    /// Wet air is refused under every rule but `Always` and `Hours`, which do as they are told.
    pub fn decide(&mut self, bed: &Bed, outside: &Hour, inlet: Air) -> (bool, Why) {
        // A mean that forgets with a time constant of a day needs no buffer.
        let forget = |mean: Option<f64>, now: f64| Some(mean.map_or(now, |m| m + (now - m) / 24.0));
        self.day_mean_c = forget(self.day_mean_c, outside.t_c);
        let p = self.params;
        match self.rule {
            FanRule::Off => (false, Why::NotNow),
            FanRule::Always => (true, Why::Rule),
            FanRule::Hours { from, to } => {
                let h = outside.hour;
                let on = if from <= to { (from..to).contains(&h) } else { h >= from || h < to };
                (on, if on { Why::Rule } else { Why::NotNow })
            }
            _ if outside.wet => (false, Why::WetAir),
            FanRule::DryBulb { below_k } => {
                let warmest = bed.warmest_c();
                if warmest <= p.winter_c {
                    return (false, Why::Done);
                }
                let on = inlet.t_c <= warmest - below_k;
                (on, if on { Why::Rule } else { Why::NotNow })
            }
            FanRule::Window { low_pct, high_pct } => {
                let emc = self.emc_of(inlet, outside.pressure_pa);
                let on = (low_pct..=high_pct).contains(&emc);
                (on, if on { Why::Rule } else { Why::NotNow })
            }
            FanRule::Dry { target_pct } => {
                if bed.top().m_wb_pct() <= target_pct {
                    (false, Why::Done)
                } else if self.day_mean_c.is_some_and(|c| c < p.hold_below_c) {
                    (false, Why::TooCold)
                } else {
                    (true, Why::Rule)
                }
            }
            FanRule::Landing { below_k } => {
                let emc = self.emc_of(inlet, outside.pressure_pa);
                self.day_mean_emc = forget(self.day_mean_emc, emc);
                let warmest = bed.warmest_c();
                if warmest <= p.winter_c {
                    self.finishing = false;
                    return (false, Why::Done);
                }
                if self.day_mean_emc.is_some_and(|e| e > bed.mean_wb_pct() + p.emc_margin_points) {
                    return (false, Why::TooDamp);
                }
                let land = bed.grain.landing(bed.layers[0].m_dd, inlet, outside.pressure_pa).t_c;
                if self.finishing {
                    // The front is through when the top has come down to the bottom, as near as makes no odds.
                    let coldest = bed.layers[0].t_c.max(land);
                    if bed.top().t_c <= coldest + p.stop_within_k {
                        self.finishing = false;
                    } else if land <= warmest - p.stop_within_k {
                        return (true, Why::Finishing);
                    }
                }
                let on = land <= warmest - below_k;
                self.finishing |= on;
                (on, if on { Why::Rule } else { Why::NotNow })
            }
        }
    }

    fn emc_of(&self, inlet: Air, pressure_pa: f64) -> f64 {
        self.emc.emc(inlet.t_c, inlet.rh(pressure_pa)).m_wb_pct
    }
}
