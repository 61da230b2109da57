//! What the money of a season is made of.

/// The parts, in the order a working lists them. Gains are positive, losses negative; they add up to the margin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Worth of what the water can make.
    Crop,
    /// Lost by seeding after the best day.
    LateSeeding,
    /// Lost to weeds.
    Weeds,
    /// Lost to frost before ripe.
    Frost,
    /// Lost to heat at flowering and in early fill.
    Heat,
    /// Lost to head blight and leaf spots where nothing is sprayed.
    Disease,
    /// Saved by a fungicide in its window.
    Fungicide,
    /// Discounted for DON.
    Don,
    /// Shattered and broken down by standing ripe.
    Standing,
    /// Lost in grade by weathering.
    Grade,
    /// Paid for drying.
    Drying,
    /// Paid for passes: harrow, sprays, combining.
    Passes,
    /// Lost because the season ended first.
    Uncut,
}

/// How many parts there are.
pub const PARTS: usize = 13;

impl Part {
    /// All, in order.
    pub const ALL: [Self; PARTS] = [
        Self::Crop,
        Self::LateSeeding,
        Self::Weeds,
        Self::Frost,
        Self::Heat,
        Self::Disease,
        Self::Fungicide,
        Self::Don,
        Self::Standing,
        Self::Grade,
        Self::Drying,
        Self::Passes,
        Self::Uncut,
    ];

    /// What waiting does through this part, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Crop => "Water and rain for the crop",
            Self::LateSeeding => "Yield lost by later seeding",
            Self::Weeds => "Yield lost to weeds",
            Self::Frost => "Frost before ripe",
            Self::Heat => "Heat at flowering and in early fill",
            Self::Disease => "Head blight and leaf spots",
            Self::Don => "Discount for DON",
            Self::Fungicide => "Yield saved by the fungicide in its window",
            Self::Standing => "Shatter and breakdown while it stands",
            Self::Grade => "Grade lost to weathering",
            Self::Drying => "Drying",
            Self::Passes => "Passes: harrow, sprays, combining",
            Self::Uncut => "Chance that it is not cut at all",
        }
    }
}

/// Money by part, for one field in one weather.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Purse(pub [f64; PARTS]);

impl Purse {
    /// Adds to a part.
    pub fn add(&mut self, part: Part, money: f64) {
        self.0[part as usize] += money;
    }

    /// The margin.
    pub fn total(&self) -> f64 {
        self.0.iter().sum()
    }
}

impl std::ops::AddAssign for Purse {
    fn add_assign(&mut self, other: Self) {
        for (a, b) in self.0.iter_mut().zip(other.0) {
            *a += b;
        }
    }
}

impl std::ops::Sub for Purse {
    type Output = Self;
    fn sub(mut self, other: Self) -> Self {
        for (a, b) in self.0.iter_mut().zip(other.0) {
            *a -= b;
        }
        self
    }
}
