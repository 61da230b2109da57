//! What the barn reads: the farm, the yard on the day, the coefficients with the farm's own.

use jiff::civil::Date;
use stook_book::Farm;
use stook_feed::FeedParams;
use stook_measure::Reference;
use stook_yard::Yard;

/// Everything asked of, on one day.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    /// The farm.
    pub farm: &'a Farm,
    /// The bins on the evening of the day.
    pub yard: Yard,
    /// The day.
    pub on: Date,
    /// Feed coefficients with the farm's own numbers.
    pub params: FeedParams,
    /// All coefficients with the farm's own numbers.
    pub reference: Reference,
}

impl<'a> Facts<'a> {
    /// Of a farm on a day.
    pub fn new(farm: &'a Farm, on: Date) -> Self {
        let (reference, _) = farm.reference(&Reference::shipped());
        let yard = Yard::fold_until(farm, &reference, Some(on.at(23, 59, 59, 0)));
        let params = FeedParams::from_reference(&reference);
        Self { farm, yard, on, params, reference }
    }
}
