//! Distances over a field, where the earth is flat enough.

/// Metres a degree of latitude, from the mean radius; good to a part in 200.
pub const M_PER_DEG: f64 = 111_195.0;

/// Metres between two places, longitude and latitude.
pub fn metres(a: (f64, f64), b: (f64, f64)) -> f64 {
    let dx = (b.0 - a.0) * M_PER_DEG * a.1.to_radians().cos();
    dx.hypot((b.1 - a.1) * M_PER_DEG)
}
