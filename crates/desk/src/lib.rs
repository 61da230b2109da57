//! The desk: the local web pages.
//!
//! Server-rendered, on this machine's loopback address only. Each page is a file in [`pages`], each drawing one in
//! [`draw`], each form one in [`forms`].

mod config;

pub use config::{DeskConfig, DeskError, serve};
