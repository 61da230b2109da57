//! Task data by the public names of ISO 11783-10 (version 4 schema files) and the public data dictionary of part 11.
//!
//! Covered: writing a prescription (customer, farm, part field with its outline, product, planned task, treatment zones,
//! a type 1 grid); reading part fields, products, tasks with their zones and grids, and time logs in XML and binary form;
//! cleaning yield points; rates put on; folders loose or packed. Not covered: devices and their descriptions (DVC, DET,
//! DPD) beyond the references in logs, type 2 grids, guidance, workers, comments, coded names, allocation stamps. The
//! layout of the binary log (milliseconds of the day, days since 1980, positions of 1e-7 degrees) and the device element
//! of a product (PAN) are from memory of the standard, whose text is sold; prove a file on your own terminal before
//! relying on it.

pub mod applied;
pub mod calculators;
pub mod cells;
pub mod clean;
pub mod folder;
pub mod log;
pub mod place;
pub mod prescription;
pub mod read;
pub mod shapes;
pub mod units;

pub use applied::Applied;
pub use calculators::calculators;
pub use clean::{Cleaned, Rules, YieldPoint, clean};
pub use folder::{Done, Folder};
pub use log::{LogRecord, TimeLog, read_log};
pub use prescription::{Files, Outline, Prescription, Zone, prescription};
pub use read::{TaskData, read};

/// Data dictionary entries used here (decimal).
pub mod ddi {
    /// Setpoint mass per area, mg/m2.
    pub const SETPOINT_MASS_PER_AREA: u16 = 6;
    /// Actual mass per area, mg/m2.
    pub const ACTUAL_MASS_PER_AREA: u16 = 7;
    /// Actual working width, mm.
    pub const ACTUAL_WIDTH: u16 = 67;
    /// Yield mass per area at field moisture, mg/m2.
    pub const YIELD_PER_AREA: u16 = 84;
    /// Crop moisture, ppm.
    pub const MOISTURE: u16 = 99;
    /// Work state: 1 working.
    pub const WORK_STATE: u16 = 141;
}

/// What is wrong with task data.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TaskDataError {
    /// The XML cannot be read.
    #[error("TASKDATA.XML cannot be read: {0}")]
    Xml(String),
    /// Another kind of file.
    #[error("this is not task data: its first element should be ISO11783_TaskData, not {0}")]
    Root(String),
    /// An attribute that must be there.
    #[error("{element} lacks its attribute {attribute}")]
    Missing {
        /// Element.
        element: String,
        /// Attribute.
        attribute: &'static str,
    },
    /// A value that cannot be.
    #[error("{element} {attribute}=\"{value}\" is not what it should be: {wanted}")]
    Value {
        /// Element.
        element: String,
        /// Attribute.
        attribute: &'static str,
        /// As read.
        value: String,
        /// In words.
        wanted: &'static str,
    },
    /// A grid whose file does not fit.
    #[error("grid {file} should hold {wanted} bytes, one a cell, and holds {found}")]
    GridLength {
        /// File.
        file: String,
        /// Expected.
        wanted: usize,
        /// Found.
        found: usize,
    },
    /// A log cut short.
    #[error("log {file} ends in the middle of a record, after {records} whole ones")]
    LogShort {
        /// File.
        file: String,
        /// Whole records.
        records: usize,
    },
    /// What cannot be written.
    #[error("{0}")]
    Cannot(String),
}
