//! Wheat from seed to ripe: stand, stage, yield, ripening.
