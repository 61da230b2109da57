//! What a laboratory reports: units, basis and depth, how good the sample is, and the class it falls in.

pub mod bins;
pub mod figure;
pub mod form;
pub mod layer;
pub mod quality;

pub use figure::{Figure, FigureError, SoilUnit, Standard};
pub use form::Form;
pub use layer::Layer;
