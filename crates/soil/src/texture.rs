//! Texture classes and the water a soil holds, from its texture.

use serde::{Deserialize, Serialize};

use crate::profile::SoilError;

/// A texture class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)] // the names say it
pub enum TextureClass {
    Sand,
    LoamySand,
    SandyLoam,
    Loam,
    SiltLoam,
    Silt,
    SandyClayLoam,
    ClayLoam,
    SiltyClayLoam,
    SandyClay,
    SiltyClay,
    Clay,
    HeavyClay,
}

impl TextureClass {
    /// All classes, coarse to fine.
    pub const ALL: [Self; 13] = [
        Self::Sand,
        Self::LoamySand,
        Self::SandyLoam,
        Self::Loam,
        Self::SiltLoam,
        Self::Silt,
        Self::SandyClayLoam,
        Self::ClayLoam,
        Self::SiltyClayLoam,
        Self::SandyClay,
        Self::SiltyClay,
        Self::Clay,
        Self::HeavyClay,
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::LoamySand => "loamy sand",
            Self::SandyLoam => "sandy loam",
            Self::Loam => "loam",
            Self::SiltLoam => "silt loam",
            Self::Silt => "silt",
            Self::SandyClayLoam => "sandy clay loam",
            Self::ClayLoam => "clay loam",
            Self::SiltyClayLoam => "silty clay loam",
            Self::SandyClay => "sandy clay",
            Self::SiltyClay => "silty clay",
            Self::Clay => "clay",
            Self::HeavyClay => "heavy clay",
        }
    }

    /// The class named by `text`, in any case, with spaces, hyphens or underscores.
    pub fn parse(text: &str) -> Option<Self> {
        let plain = text.trim().to_lowercase().replace(['-', '_'], " ");
        Self::ALL.into_iter().find(|c| c.words() == plain)
    }

    /// Sand and clay as fractions by weight at the middle of the class.
    ///
    /// Source: Saxton and Rawls (2006) Table 3 (its last four rows and the clay loams from memory; the equations
    /// give back that table's water contents). Heavy clay, over 60 % clay in the Canadian classes, is put at
    /// 60 %, the end of the equations' range: our judgement.
    pub const fn centre(self) -> (f64, f64) {
        match self {
            Self::Sand => (0.88, 0.05),
            Self::LoamySand => (0.80, 0.05),
            Self::SandyLoam => (0.65, 0.10),
            Self::Loam => (0.40, 0.20),
            Self::SiltLoam => (0.20, 0.15),
            Self::Silt => (0.10, 0.05),
            Self::SandyClayLoam => (0.60, 0.25),
            Self::ClayLoam => (0.30, 0.35),
            Self::SiltyClayLoam => (0.10, 0.35),
            Self::SandyClay => (0.50, 0.40),
            Self::SiltyClay => (0.10, 0.45),
            Self::Clay => (0.25, 0.50),
            Self::HeavyClay => (0.10, 0.60),
        }
    }

    /// The class of a soil by the texture triangle (USDA; heavy clay over 60 % clay as in the Canadian one).
    /// Fractions by weight.
    pub fn of(sand: f64, clay: f64) -> Self {
        let silt = 1.0 - sand - clay;
        if silt + 1.5 * clay < 0.15 {
            Self::Sand
        } else if silt + 2.0 * clay < 0.30 {
            Self::LoamySand
        } else if clay > 0.60 {
            Self::HeavyClay
        } else if clay >= 0.35 && sand > 0.45 {
            Self::SandyClay
        } else if clay >= 0.40 && silt >= 0.40 {
            Self::SiltyClay
        } else if clay >= 0.40 {
            Self::Clay
        } else if clay >= 0.27 && sand <= 0.20 {
            Self::SiltyClayLoam
        } else if clay >= 0.27 && sand <= 0.45 {
            Self::ClayLoam
        } else if clay >= 0.20 && silt < 0.28 {
            Self::SandyClayLoam
        } else if silt >= 0.80 && clay < 0.12 {
            Self::Silt
        } else if silt >= 0.50 {
            Self::SiltLoam
        } else if clay >= 0.07 && sand <= 0.52 {
            Self::Loam
        } else {
            Self::SandyLoam
        }
    }
}

/// What a soil holds at its limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WaterLimits {
    /// Wilting point (1500 kPa), m3/m3.
    pub theta_wp: f64,
    /// Field capacity (33 kPa), m3/m3.
    pub theta_fc: f64,
    /// Saturation, m3/m3.
    pub theta_sat: f64,
    /// Saturated conductivity, mm/h.
    pub ksat_mm_h: f64,
    /// Bulk density, Mg/m3.
    pub bulk_density: f64,
}

/// Density of soil minerals, Mg/m3 (Saxton and Rawls 2006).
pub const PARTICLE_DENSITY: f64 = 2.65;

/// Water limits from sand and clay (fractions by weight), organic matter (% by weight) and a density factor (1 for
/// the usual density, 0.9 loose to 1.3 packed).
///
/// Source: Saxton and Rawls (2006) Soil Sci. Soc. Am. J. 70:1569, equations 1-9 and 16-18. The authors' range:
/// organic matter to 8 %, clay to 60 %. Regressions give an average soil: a strongly structured or swelling clay
/// can be far off, and a measured field capacity is better.
///
/// # Errors
/// When the soil is outside the range the equations were fitted on.
pub fn saxton_rawls(
    sand: f64,
    clay: f64,
    om_pct: f64,
    density_factor: f64,
) -> Result<WaterLimits, SoilError> {
    let (s, c, om) = (sand, clay, om_pct);
    if !(s >= 0.0 && c >= 0.0 && s + c <= 1.0 + 1e-9) {
        return Err(SoilError::TextureSum { sand_pct: 100.0 * s, clay_pct: 100.0 * c });
    }
    for (what, value, low, high, unit) in [
        ("clay", 100.0 * c - 1e-9, -1.0, 60.0, "%"),
        ("organic matter", om, 0.0, 8.0, "%"),
        ("density factor", density_factor, 0.9, 1.3, ""),
    ] {
        if !(low..=high).contains(&value) {
            return Err(SoilError::OutOfRange { what, value, low: low.max(0.0), high, unit });
        }
    }
    let t1500 = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031;
    let theta_wp = t1500 + (0.14 * t1500 - 0.02);
    let t33 = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299;
    let fc_normal = t33 + (1.283 * t33 * t33 - 0.374 * t33 - 0.015);
    let ts33 = 0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078;
    let s33 = ts33 + (0.636 * ts33 - 0.107);
    let sat_normal = fc_normal + s33 - 0.097 * s + 0.043;

    let bulk_density = (1.0 - sat_normal) * PARTICLE_DENSITY * density_factor;
    let theta_sat = 1.0 - bulk_density / PARTICLE_DENSITY;
    let theta_fc = fc_normal - 0.2 * (sat_normal - theta_sat);
    if !(theta_wp > 0.0 && theta_fc > theta_wp + 0.005 && theta_sat > theta_fc + 0.005) {
        return Err(SoilError::NoPores {
            sand_pct: 100.0 * s,
            clay_pct: 100.0 * c,
            om_pct: om,
            density_factor,
        });
    }
    let b = (1500f64.ln() - 33f64.ln()) / (theta_fc.ln() - theta_wp.ln());
    let ksat_mm_h = 1930.0 * (theta_sat - theta_fc).powf(3.0 - 1.0 / b);
    Ok(WaterLimits { theta_wp, theta_fc, theta_sat, ksat_mm_h, bulk_density })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn centres_lie_in_their_class() {
        for class in TextureClass::ALL.into_iter().filter(|c| *c != TextureClass::HeavyClay) {
            let (s, c) = class.centre();
            assert_eq!(TextureClass::of(s, c), class);
            assert_eq!(TextureClass::parse(&class.words().to_uppercase().replace(' ', "-")), Some(class));
        }
        assert_eq!(TextureClass::of(0.1, 0.7), TextureClass::HeavyClay);
        assert_eq!(TextureClass::parse("gumbo"), None);
    }

    #[test]
    fn finer_soil_holds_more_at_wilting() {
        let wp = |c: TextureClass| saxton_rawls(c.centre().0, c.centre().1, 2.5, 1.0).unwrap().theta_wp;
        assert!(wp(TextureClass::Sand) < wp(TextureClass::Loam));
        assert!(wp(TextureClass::Loam) < wp(TextureClass::ClayLoam));
        assert!(wp(TextureClass::ClayLoam) < wp(TextureClass::HeavyClay));
    }

    #[test]
    fn refuses_what_the_equations_do_not_cover() {
        let e = |s, c, om, d| saxton_rawls(s, c, om, d).unwrap_err().to_string();
        assert!(e(0.7, 0.5, 2.0, 1.0).contains("more than 100 %"));
        assert!(e(0.1, 0.7, 2.0, 1.0).contains("clay"));
        assert!(e(0.3, 0.3, 12.0, 1.0).contains("organic matter"));
        assert!(e(0.3, 0.3, 3.0, 2.0).contains("density factor"));
    }

    #[test]
    fn packing_takes_pores() {
        let loose = saxton_rawls(0.3, 0.35, 3.0, 1.0).unwrap();
        let packed = saxton_rawls(0.3, 0.35, 3.0, 1.15).unwrap();
        assert!(packed.theta_sat < loose.theta_sat && packed.ksat_mm_h < loose.ksat_mm_h);
    }
}
