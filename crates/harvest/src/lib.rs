//! Field capacity and combine hours.
