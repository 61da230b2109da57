//! Protein and nitrogen of wheat grain.

use serde::Serialize;
use stook_measure::Reference;

/// Coefficients `fertility.protein.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ProteinParams {
    /// Protein for a part of nitrogen.
    pub n_factor: f64,
    /// Below this, nitrogen limited yield, % at the basis of the region.
    pub signal_pct: f64,
}

impl ProteinParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            n_factor: r.get("fertility.protein.n_factor"),
            signal_pct: r.get("fertility.protein.signal_pct"),
        }
    }
}

/// Protein at another moisture basis, both % of wet weight: `p x (100 - m2) / (100 - m1)`.
///
/// Canada quotes at 13.5 % and the United States at 12 % (from memory).
pub fn at_moisture_pct(protein_pct: f64, from_moisture_pct: f64, to_moisture_pct: f64) -> f64 {
    protein_pct * (100.0 - to_moisture_pct) / (100.0 - from_moisture_pct)
}

/// Nitrogen in grain, kg/kg, at the basis the protein is quoted on.
pub fn grain_n_kg_per_kg(protein_pct: f64, p: &ProteinParams) -> f64 {
    protein_pct / 100.0 / p.n_factor
}

/// The same a bushel of 60 lb, lb/bu.
pub fn grain_n_lb_per_bu(protein_pct: f64, p: &ProteinParams) -> f64 {
    60.0 * grain_n_kg_per_kg(protein_pct, p)
}

/// Whether the protein says nitrogen held the yield back. It does not say how much was lost (Goos et al. 1982).
pub fn nitrogen_limited(protein_pct: f64, p: &ProteinParams) -> bool {
    protein_pct < p.signal_pct
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn basis_goes_there_and_back() {
        let us = at_moisture_pct(13.5, 13.5, 12.0);
        assert!(us > 13.5 && (at_moisture_pct(us, 12.0, 13.5) - 13.5).abs() < 1e-12);
        let p = crate::FertilityParams::shipped().protein;
        assert!(nitrogen_limited(13.4, &p) && !nitrogen_limited(13.5, &p));
    }
}
