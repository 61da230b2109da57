//! What an entry can say: one typed payload per kind.
//!
//! A kind's key and its field names are the file format: they may gain optional fields and new kinds, and are never
//! renamed. Data that a kind here cannot read in full (a field from a newer version, say) is kept as unknown, so
//! nothing is lost in passing through an older program.

mod barn;
mod bids;
mod bins;
mod care;
mod drill;
mod emergency;
mod fertility;
mod harvest;
mod id;
mod keeping;
mod loads;
mod manure;
mod maps;
mod money;
mod sale;
mod scouting;
mod seen;
mod setup;
mod spraying;
mod work;

pub use barn::{
    AcceptedRation, BatchLine, BoughtIngredient, Deaths, FeedBatch, FeedBin, FeedLevel, GroupKind, GroupSex,
    HerdGroup, HerdMove, Mixer, MixerTest, MoveWhy, RationItem,
};
pub use bids::{Bid, PaymentDue};
pub use bins::{
    AirFloor, Bin, BinFan, BinFloor, BinJob, BinMeasured, FanPoint, FansStand, GrainSample, SampledAt,
};
pub use care::{Breeding, ScaleCheck, ScaleOf, SieveCatch, SieveTest, StrawOnHand};
pub use drill::{DrillCatch, DrillSetUp, DrillTank, ProductLeast, TankLeft};
pub use emergency::{Contact, Entrance};
pub use fertility::{
    FertilizerApplied, FertilizerPlacement, FertilizerPlan, Grade, LabLayout, NutrientRates, PlantBack,
    ProductRate, ProductUsed, ProteinPremium, RateTable,
};
pub use harvest::{LossMeasure, PanTest, StrawBaled};
pub use id::{BinId, FieldId, MachineId, ManureStoreId, SeedLotId, SprayProductId};
pub use id::{FeedBinId, GroupId, IngredientId, MixerId, RationId};
pub use keeping::{BinPart, BinReading, FanRun, ReadBy, ReadingPoint, Smell};
pub use loads::{FieldPart, Load, LoadFrom, LoadTo, Weighed};
pub use manure::{
    BarnCount, BarnKind, ManureHauled, ManureLevel, ManureMethod, ManurePlan, ManureRules, ManureStore,
    ManureTest,
};
pub use maps::{FieldZones, KeptFile, LeftOut, YieldMap, YieldSquare, Zone};
pub use money::{Cost, CostKind, MachineValue, MoneyIn};
pub use sale::{Buyer, DonStep, GradePrice, MoistureSettled, Settlement, TheirFigures};
pub use scouting::{CountUnit, DamageCause, DamageSeen, Insect, InsectsSeen, YieldCount};
pub use seen::{
    Answer, CropStage, DecisionAnswer, EmergenceSeen, KernelMoisture, MoistureMethod, Note, Rain, SampleKind,
    SamplePoint, SoilTest, SoilTestLayer, SoilTestValue, StageSeen, ThumbResult, ThumbTest,
};
pub use setup::{
    AreaUnit, BlightRating, Cover, Crop, CropPlan, CultivarClass, DepthUnit, Drainage, FarmSetUp, Field,
    LengthUnit, Lie, LocalNumber, Machine, MachineKind, Place, Price, RainUnit, RateUnit, ScaleUnit,
    SoilDescription, SoilLayer, SpeedUnit, TemperatureUnit, TextureClass, UnitChoice, VolumeUnit, YieldUnit,
};
pub use spraying::{
    AirBy, EnteredEarly, MixStep, SprayAir, SprayPass, SprayProduct, SprayPurpose, SprayRateUnit, TankPart,
    WindFrom,
};
pub use work::{Cut, GoNoGo, Harrowed, Operation, SeedLot, Seeding, Withdrawn};

macro_rules! kinds {
    ($($(#[$about:meta])* $variant:ident($of:ty) = $key:literal, $title:literal;)+) => {
        /// A payload of a kind this version knows.
        #[derive(Debug, Clone, PartialEq)]
        #[allow(clippy::large_enum_variant)] // few are large, and they are set-up entries
        pub enum Payload { $($(#[$about])* $variant($of),)+ }

        impl Payload {
            /// Every kind known here with its title.
            pub const KINDS: &[(&str, &str)] = &[$(($key, $title),)+];

            /// The kind's key.
            pub const fn kind(&self) -> &'static str {
                match self { $(Self::$variant(_) => $key,)+ }
            }

            /// The kind in words.
            pub const fn title(&self) -> &'static str {
                match self { $(Self::$variant(_) => $title,)+ }
            }

            /// The data as JSON.
            ///
            /// # Errors
            /// When a value has no JSON form.
            pub fn data(&self) -> serde_json::Result<serde_json::Value> {
                match self { $(Self::$variant(x) => serde_json::to_value(x),)+ }
            }

            /// The data as JSON text.
            ///
            /// # Errors
            /// When a value has no JSON form.
            pub fn data_text(&self) -> serde_json::Result<String> {
                match self { $(Self::$variant(x) => serde_json::to_string(x),)+ }
            }

            /// Reads the data of `kind`; `None` for a kind not known here.
            pub fn read<'de, D: serde::Deserializer<'de>>(kind: &str, data: D) -> Option<Result<Self, D::Error>> {
                Some(match kind {
                    $($key => <$of as serde::Deserialize>::deserialize(data).map(Self::$variant),)+
                    _ => return None,
                })
            }
        }

        $(impl From<$of> for Payload {
            fn from(x: $of) -> Self { Self::$variant(x) }
        })+
    };
}

kinds! {
    /// The farm and its place.
    Farm(FarmSetUp) = "farm", "Farm and place";
    /// Units to show and ask in.
    Units(UnitChoice) = "units", "Units";
    /// A drill, sprayer, combine or harrow.
    Machine(Machine) = "machine", "Machine";
    /// A field.
    Field(Field) = "field", "Field";
    /// What a field grows in a year.
    CropPlan(CropPlan) = "crop_plan", "Crop plan";
    /// A price.
    Price(Price) = "price", "Price";
    /// The farm's own number in place of a coefficient.
    LocalNumber(LocalNumber) = "local_number", "Your own number";
    /// A soil test.
    SoilTest(SoilTest) = "soil_test", "Soil test";
    /// A seed lot.
    SeedLot(SeedLot) = "seed_lot", "Seed lot";
    /// Seeding, started or done.
    Seeding(Seeding) = "seeding", "Seeding";
    /// A field harrowed.
    Harrowed(Harrowed) = "harrowed", "Harrowed";
    /// Emergence seen.
    EmergenceSeen(EmergenceSeen) = "emergence_seen", "Emergence seen";
    /// Crop stage seen.
    StageSeen(StageSeen) = "stage_seen", "Stage seen";
    /// Insects counted.
    InsectsSeen(InsectsSeen) = "insects_seen", "Insects counted";
    /// Damage seen.
    DamageSeen(DamageSeen) = "damage_seen", "Damage seen";
    /// Heads and kernels counted.
    YieldCount(YieldCount) = "yield_count", "Heads and kernels";
    /// Rain in the gauge.
    Rain(Rain) = "rain", "Rain gauge";
    /// Go or no at the gate.
    GoNoGo(GoNoGo) = "go_no_go", "Go or no";
    /// The label facts of a spray product.
    SprayProduct(SprayProduct) = "spray_product", "Spray product";
    /// A sprayer pass.
    SprayPass(SprayPass) = "spray_pass", "Spray pass";
    /// A field entered inside a re-entry interval.
    EnteredEarly(EnteredEarly) = "entered_early", "Entered early";
    /// Kernel moisture by meter or oven.
    KernelMoisture(KernelMoisture) = "kernel_moisture", "Kernel moisture";
    /// Thumb or teeth test of the kernel.
    ThumbTest(ThumbTest) = "thumb_test", "Thumb test";
    /// Cutting, started or done.
    Cut(Cut) = "cut", "Cut";
    /// What a field is to get in fertilizer.
    FertilizerPlan(FertilizerPlan) = "fertilizer_plan", "Fertilizer plan";
    /// What a field got in fertilizer.
    FertilizerApplied(FertilizerApplied) = "fertilizer_applied", "Fertilizer applied";
    /// How the drill stands and what it carries.
    DrillSetUp(DrillSetUp) = "drill_set_up", "Drill: rows and tanks";
    /// What was left in a tank of the drill.
    TankLeft(TankLeft) = "tank_left", "Left in a tank";
    /// The least of a product.
    ProductLeast(ProductLeast) = "product_least", "Least of a product";
    /// A catch under the drill's meter.
    DrillCatch(DrillCatch) = "drill_catch", "Drill catch";
    /// A layout of a laboratory's file.
    LabLayout(LabLayout) = "lab_layout", "Layout of a lab file";
    /// A rate table.
    RateTable(RateTable) = "rate_table", "Rate table";
    /// A label's limit on the next crop.
    PlantBack(PlantBack) = "plant_back", "Plant-back limit";
    /// Protein paid for.
    ProteinPremium(ProteinPremium) = "protein_premium", "Protein premium";
    /// Grain found behind the combine.
    PanTest(PanTest) = "pan_test", "Loss behind the combine";
    /// Straw baled and taken off.
    StrawBaled(StrawBaled) = "straw_baled", "Straw baled";
    /// A yield map.
    YieldMap(YieldMap) = "yield_map", "Yield map";
    /// The zones of a field.
    FieldZones(FieldZones) = "field_zones", "Zones of a field";
    /// A manure pit.
    ManureStore(ManureStore) = "manure_store", "Manure pit";
    /// How full a pit is.
    ManureLevel(ManureLevel) = "manure_level", "How full the pit is";
    /// An analysis of a pit.
    ManureTest(ManureTest) = "manure_test", "Manure analysis";
    /// Head over a pit.
    BarnCount(BarnCount) = "barn_count", "Head over the pit";
    /// Manure hauled to a field.
    ManureHauled(ManureHauled) = "manure_hauled", "Manure hauled";
    /// Manure meant for a field.
    ManurePlan(ManurePlan) = "manure_plan", "Manure planned";
    /// The law's limits on manure.
    ManureRules(ManureRules) = "manure_rules", "Manure rules of your place";
    /// A note.
    Note(Note) = "note", "Note";
    /// The answer given to a decision the desk put forward.
    DecisionAnswer(DecisionAnswer) = "decision_answer", "Your answer";
    /// A bin.
    Bin(Bin) = "bin", "Bin";
    /// A load.
    Load(Load) = "load", "Load";
    /// What a sample of a bin showed.
    GrainSample(GrainSample) = "grain_sample", "Grain sample";
    /// How full a bin was seen to be.
    BinMeasured(BinMeasured) = "bin_measured", "Bin measured";
    /// Temperatures, moisture, gas and smell of a bin.
    BinReading(BinReading) = "bin_reading", "Bin reading";
    /// A bin's fan switched on or off.
    FanRun(FanRun) = "fan_run", "Fan on or off";
    /// A bought ingredient.
    Ingredient(BoughtIngredient) = "ingredient", "Bought ingredient";
    /// A group of animals.
    HerdGroup(HerdGroup) = "herd_group", "Group of animals";
    /// Animals moved or sold.
    HerdMove(HerdMove) = "herd_move", "Moved, weaned or sold";
    /// Deaths.
    Deaths(Deaths) = "deaths", "Deaths";
    /// A ration accepted.
    Ration(AcceptedRation) = "ration", "Ration accepted";
    /// A batch of feed made.
    Batch(FeedBatch) = "batch", "Batch of feed";
    /// A feed bin.
    FeedBin(FeedBin) = "feed_bin", "Feed bin";
    /// Feed seen in a feed bin.
    FeedLevel(FeedLevel) = "feed_level", "Feed bin looked at";
    /// A mixer with its scales.
    Mixer(Mixer) = "mixer", "Mixer and scales";
    /// A mixer test.
    MixerTest(MixerTest) = "mixer_test", "Mixer test";
    /// A scale checked with known weights.
    ScaleCheck(ScaleCheck) = "scale_check", "Scale checked";
    /// Ground grain shaken through sieves.
    SieveTest(SieveTest) = "sieve_test", "Ground grain sieved";
    /// Straw counted.
    StrawOnHand(StrawOnHand) = "straw_on_hand", "Straw on hand";
    /// The buck with the does.
    Breeding(Breeding) = "breeding", "Buck in with the does";
    /// A bid for grain: superseded by a buyer's offer, and read as one.
    Bid(Bid) = "bid", "Bid for grain (before offers)";
    /// Money that falls due.
    PaymentDue(PaymentDue) = "payment_due", "Payment due";
    /// What something cost or will cost.
    Cost(Cost) = "cost", "Cost";
    /// What a machine is worth and burns.
    MachineValue(MachineValue) = "machine_value", "Machine: worth and fuel";
    /// Money to come in.
    MoneyIn(MoneyIn) = "money_in", "Money to come in";
    /// A buyer's offer.
    Buyer(Buyer) = "buyer", "Buyer's offer";
    /// A ticket settled by a buyer.
    Settlement(Settlement) = "settlement", "Buyer's ticket";
    /// Somebody to ring.
    Contact(Contact) = "contact", "Number to ring";
    /// Where a field is entered.
    Entrance(Entrance) = "entrance", "Entrance of a field";
    /// Takes back the entry it replaces.
    Withdrawn(Withdrawn) = "withdrawn", "Taken back";
}

impl Payload {
    /// The field the payload is about, if it is about one.
    pub fn field(&self) -> Option<&FieldId> {
        match self {
            Self::Field(x) => Some(&x.id),
            Self::CropPlan(x) => Some(&x.field),
            Self::SoilTest(x) => Some(&x.field),
            Self::Seeding(x) => Some(&x.field),
            Self::Harrowed(x) => Some(&x.field),
            Self::EmergenceSeen(x) => Some(&x.field),
            Self::StageSeen(x) => Some(&x.field),
            Self::InsectsSeen(x) => Some(&x.field),
            Self::DamageSeen(x) => Some(&x.field),
            Self::YieldCount(x) => Some(&x.field),
            Self::Rain(x) => x.field.as_ref(),
            Self::GoNoGo(x) => Some(&x.field),
            Self::SprayPass(x) => Some(&x.field),
            Self::EnteredEarly(x) => Some(&x.field),
            Self::KernelMoisture(x) => Some(&x.field),
            Self::ThumbTest(x) => Some(&x.field),
            Self::Cut(x) => Some(&x.field),
            Self::FertilizerPlan(x) => Some(&x.field),
            Self::FertilizerApplied(x) => Some(&x.field),
            Self::PlantBack(x) => Some(&x.field),
            Self::PanTest(x) => Some(&x.field),
            Self::StrawBaled(x) => Some(&x.field),
            Self::YieldMap(x) => Some(&x.field),
            Self::FieldZones(x) => Some(&x.field),
            Self::ManureHauled(x) => Some(&x.field),
            Self::ManurePlan(x) => Some(&x.field),
            Self::TankLeft(x) => Some(&x.field),
            Self::Note(x) => x.field.as_ref(),
            Self::DecisionAnswer(x) => x.field.as_ref(),
            Self::Entrance(x) => Some(&x.field),
            Self::Cost(x) => x.field.as_ref(),
            Self::Load(x) => x.fields().first().map(|(f, _)| *f),
            Self::Farm(_)
            | Self::Units(_)
            | Self::Machine(_)
            | Self::Price(_)
            | Self::LocalNumber(_)
            | Self::ManureStore(_)
            | Self::ManureLevel(_)
            | Self::ManureTest(_)
            | Self::BarnCount(_)
            | Self::ManureRules(_)
            | Self::SeedLot(_)
            | Self::DrillSetUp(_)
            | Self::DrillCatch(_)
            | Self::ProductLeast(_)
            | Self::LabLayout(_)
            | Self::RateTable(_)
            | Self::ProteinPremium(_)
            | Self::Bin(_)
            | Self::GrainSample(_)
            | Self::BinMeasured(_)
            | Self::SprayProduct(_)
            | Self::BinReading(_)
            | Self::FanRun(_)
            | Self::Ingredient(_)
            | Self::HerdGroup(_)
            | Self::HerdMove(_)
            | Self::Deaths(_)
            | Self::Ration(_)
            | Self::Batch(_)
            | Self::FeedBin(_)
            | Self::FeedLevel(_)
            | Self::Mixer(_)
            | Self::MixerTest(_)
            | Self::Bid(_)
            | Self::PaymentDue(_)
            | Self::MachineValue(_)
            | Self::ScaleCheck(_)
            | Self::SieveTest(_)
            | Self::StrawOnHand(_)
            | Self::Breeding(_)
            | Self::MoneyIn(_)
            | Self::Buyer(_)
            | Self::Settlement(_)
            | Self::Contact(_)
            | Self::Withdrawn(_) => None,
        }
    }
}
