//! Ways to run the fan from tonight on, to be compared.

use stook_grain::bed::{Air, Bed};
use stook_grain::control::{Control, FanRule, Hour, Why};

use crate::bin_case::Case;
use crate::params::KeepParams;

/// A way to run the fan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Plan {
    /// Not at all.
    Off,
    /// Day and night until the top is dry, stopping for frost, then cooling by fronts.
    DryThenCool,
    /// Day and night, whatever.
    DayAndNight,
    /// Ten at night to eight in the morning.
    Nights,
    /// Ten in the morning to eight at night.
    Days,
    /// When the grain would land well colder, each front finished.
    CoolByFronts,
}

impl Plan {
    /// Those worth comparing for grain too wet to keep.
    pub const WET: [Self; 6] =
        [Self::Off, Self::DryThenCool, Self::DayAndNight, Self::Nights, Self::Days, Self::CoolByFronts];
    /// Those for grain dry enough.
    pub const DRY: [Self; 3] = [Self::Off, Self::CoolByFronts, Self::Nights];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Off => "fan off",
            Self::DryThenCool => "day and night until the top is dry, then cool by fronts",
            Self::DayAndNight => "day and night, whatever the weather",
            Self::Nights => "nights only, 22:00 to 8:00",
            Self::Days => "days only, 10:00 to 20:00",
            Self::CoolByFronts => "only when it cools, each front finished",
        }
    }
}

/// A plan at work.
pub struct Runner<'a> {
    plan: Plan,
    dry: Control<'a>,
    cool: Control<'a>,
    winter_c: f64,
    dried: bool,
}

impl<'a> Runner<'a> {
    /// About to start.
    pub fn new(plan: Plan, p: &'a KeepParams, case: &'a Case) -> Self {
        let rule = |r| Control::new(r, p.control, &case.emc);
        let clocked = match plan {
            Plan::Nights => FanRule::Hours { from: 22, to: 8 },
            Plan::Days => FanRule::Hours { from: 10, to: 20 },
            Plan::DayAndNight => FanRule::Always,
            _ => FanRule::Dry { target_pct: case.keep_pct },
        };
        Self {
            plan,
            dry: rule(clocked),
            cool: rule(FanRule::Landing { below_k: p.control.start_below_k }),
            winter_c: p.control.winter_c,
            dried: false,
        }
    }

    /// Whether the fan runs in this hour; `inlet` is the air after the fan.
    pub fn on(&mut self, bed: &Bed, hour: &Hour, inlet: Air) -> bool {
        match self.plan {
            Plan::Off => false,
            Plan::DayAndNight => true,
            // A clock in a person's hand: nobody blows winter air into grain that is cold enough.
            Plan::Nights | Plan::Days => {
                bed.warmest_c() > self.winter_c && self.dry.decide(bed, hour, inlet).0
            }
            Plan::CoolByFronts => self.cool.decide(bed, hour, inlet).0,
            Plan::DryThenCool => {
                if !self.dried {
                    let (on, why) = self.dry.decide(bed, hour, inlet);
                    if on {
                        return true;
                    }
                    self.dried = why == Why::Done;
                    if why == Why::WetAir {
                        return false;
                    }
                }
                self.cool.decide(bed, hour, inlet).0
            }
        }
    }
}
