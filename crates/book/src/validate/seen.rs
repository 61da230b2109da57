//! Things seen or measured, at the door.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{CropStage, KernelMoisture, Rain, SoilTest, StageSeen};

impl Door<'_> {
    pub(super) fn rain(&mut self, x: &Rain) {
        if let Some(field) = &x.field {
            self.known_field(field);
        }
        self.within("rain_mm", x.rain_mm, 0.0, 400.0, "mm", &rain_hint(x.rain_mm));
    }

    pub(super) fn kernel_moisture(&mut self, x: &KernelMoisture) {
        self.known_field(&x.field);
        let hint =
            if x.moisture_wb_pct > 0.0 && x.moisture_wb_pct < 1.0 { "Write 14.5 %, not 0.145." } else { "" };
        self.within("moisture_wb_pct", x.moisture_wb_pct, 4.0, 85.0, "%", hint);
    }

    pub(super) fn stage_seen(&mut self, x: &StageSeen) {
        self.known_field(&x.field);
        match &x.stage {
            CropStage::Leaves(n) => {
                let hint = if *n > 14.0 { "Did you mean a Zadoks stage?" } else { "" };
                self.within("stage", *n, 0.0, 14.0, "leaves", hint);
            }
            CropStage::Zadoks(z) => self.within("stage", *z, 0.0, 99.0, "on the Zadoks scale", ""),
            CropStage::Words(words) => self.text("stage", words, "Say which stage."),
        }
    }

    pub(super) fn soil_test(&mut self, x: &SoilTest) {
        self.known_field(&x.field);
        if x.sampled > self.latest.date() {
            self.stop("sampled", "The day of sampling is in the future; check the date.");
        }
        if x.layers.is_empty() && x.text.trim().is_empty() {
            self.stop("layers", "Give at least one depth with a value, or paste the sheet's text.");
        }
        for (i, layer) in x.layers.iter().enumerate() {
            let at = |name: &str| format!("layers.{i}.{name}");
            self.within(&at("top_cm"), layer.top_cm, 0.0, 180.0, "cm", "");
            let hint = "Depths run down from the surface: 0 to 15 cm, 15 to 60 cm.";
            self.within(&at("bottom_cm"), layer.bottom_cm, layer.top_cm.max(0.0) + 1.0, 240.0, "cm", hint);
            if layer.values.is_empty() {
                self.stop(at("values"), "Give at least one value for this depth.");
            }
            for (k, v) in layer.values.iter().enumerate() {
                let at = |name: &str| format!("layers.{i}.values.{k}.{name}");
                self.text(&at("what"), &v.what, "Say what was measured.");
                self.text(
                    &at("unit"),
                    &v.unit,
                    "Write the unit as on the sheet: ppm, lb/ac, %, or 1 for pH.",
                );
                match v.what.as_str() {
                    "ph" => self.within(&at("value"), v.value, 3.0, 11.0, "pH", ""),
                    _ if v.unit == "%" => self.within(&at("value"), v.value, 0.0, 100.0, "%", ""),
                    _ => self.within(&at("value"), v.value, 0.0, 50_000.0, &v.unit, ""),
                }
            }
        }
    }
}

/// More than any gauge holds is most often tenths of a millimetre, or a missing decimal point.
fn rain_hint(mm: f64) -> String {
    if !mm.is_finite() || mm <= 400.0 {
        return String::new();
    }
    format!("Is a decimal point missing? {} mm would be {} in.", plain(mm), figure(units::mm_to_in(mm), 1))
}
