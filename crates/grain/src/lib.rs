//! Grain in lots and bins: moisture, air, drying, storage life, blending, grade and settlement.
