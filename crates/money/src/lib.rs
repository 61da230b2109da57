//! Money by field: what each field costs and leaves, from the book's own entries.
//!
//! A cost comes from a bill in the book, else from what was done and the farm's prices, else from a price of ours that is
//! named as such. What none of these can say is asked for and left out, never guessed; a sum with something missing is
//! called a sum of what is known.

pub mod answer;
pub mod bills;
pub mod field;
pub mod inputs;
pub mod machines;
pub mod prices;
pub mod said;
pub mod uses;

pub use answer::{Asked, Money, answer};
pub use said::{FieldMoney, How, Line, Made};
