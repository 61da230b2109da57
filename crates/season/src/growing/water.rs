//! Water in the root zone against what the crop will ask, and what has held it back so far.

use stook_crop::Phase;
use stook_measure::{Range, figure};

use super::{Line, WaterNow};
use crate::carry::Carried;
use crate::field::soil;
use crate::outlook::middle_state;
use crate::words;

/// Days looked ahead.
const AHEAD: usize = 7;

pub(super) fn now(c: &Carried, f: usize) -> WaterNow {
    let field = &c.model.fields[f];
    let s = middle_state(c, f);
    let soil_ = soil(field, s.variant);
    let root_m = s.wheat.map_or(crate::field::CROP_DEPTH_M, |w| {
        stook_crop::cover::cover(&w, &field.params).root_depth_m.max(0.3)
    });
    let held = soil_.capacity_to(root_m);
    let (mut need, mut rain, mut short) = (Vec::new(), Vec::new(), 0_usize);
    for (start, air) in c.starts.iter().zip(&c.air) {
        let mut x = start[f];
        let before = x.et_mm();
        let mut fell = 0.0;
        for a in air.iter().take(AHEAD) {
            x.step(&c.model, field, a);
            fell += a.water.rain_mm + a.water.melt_mm;
        }
        let after = x.et_mm();
        let (got, wanted) = (after.0 - before.0, after.1 - before.1);
        need.push(wanted);
        rain.push(fell);
        // A tenth less than it could use is felt.
        short += usize::from(wanted > 1.0 && got < 0.9 * wanted);
    }
    let none = Range { p10: 0.0, p50: 0.0, p90: 0.0 };
    WaterNow {
        root_m,
        have_mm: s.water.available_mm(soil_, root_m),
        hold_mm: held.fc_mm - held.wp_mm,
        need_7d_mm: Range::of(&need).unwrap_or(none),
        rain_7d_mm: Range::of(&rain).unwrap_or(none),
        short_in: short as f64 / c.members().max(1) as f64,
    }
}

pub(super) fn stress(c: &Carried, f: usize) -> Vec<Line> {
    let s = middle_state(c, f);
    let units = &c.model.units;
    let mut out = Vec::new();
    let names = ["Water it went short of, up to heading", "at heading and flowering", "while filling"];
    for (i, (got, wanted)) in s.et_by_phase().into_iter().enumerate() {
        if wanted > 5.0 {
            out.push(Line {
                label: names[i].into(),
                figure: format!(
                    "{} of {}, {} %",
                    words::water(units, wanted - got),
                    words::water(units, wanted),
                    figure(100.0 * (1.0 - got / wanted), 0)
                ),
            });
        }
    }
    if s.frost_kept() < 0.995 {
        out.push(Line {
            label: "Lost to frost, as reckoned".into(),
            figure: format!("{} %", figure(100.0 * (1.0 - s.frost_kept()), 0)),
        });
    }
    if s.phase >= Phase::Heading {
        out.push(Line {
            label: "Warm wet hours in the worst seven days since heading".into(),
            figure: format!("{} h", figure(s.blight_h(), 0)),
        });
    }
    if s.phase >= Phase::FlagLeaf {
        out.push(Line {
            label: "Days fit for tan spot since the flag leaf".into(),
            figure: figure(s.leaf_days(), 0),
        });
    }
    out
}
