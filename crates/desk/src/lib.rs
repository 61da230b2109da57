//! The desk: the local web pages.
//!
//! Server-rendered, on this machine's loopback address only. Each page is a file in `pages`, each drawing one in
//! `draw`; every entry form is described in `forms` and rendered by one function.

mod assets;
mod config;
mod draw;
mod forms;
mod pages;
mod server;
mod state;

pub use config::{DeskConfig, DeskError, serve};
pub use pages::task_data::yield_map;
