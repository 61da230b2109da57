//! Soil tests, fertilizer need, manure, blends, seed-row safety and drill calibration.
