//! How the desk is started.

use std::net::SocketAddr;
use std::path::PathBuf;

use jiff::civil::Date;

use crate::{server, state};

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
    #[error("cannot listen on {address}: {why}; is another desk open? Choose another port with --address")]
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
    let address = config.address;
    if !address.ip().is_loopback() {
        return Err(DeskError::NotLoopback(address));
    }
    // A file that cannot be opened is said now, not on the first page.
    stook_book::Store::open(&config.book)?;
    let runtime = tokio::runtime::Runtime::new().map_err(DeskError::Stopped)?;
    runtime.block_on(async move {
        let listener = tokio::net::TcpListener::bind(address)
            .await
            .map_err(|why| DeskError::Address { address, why })?;
        let bound = listener.local_addr().map_err(DeskError::Stopped)?;
        println!("The desk is open at http://{bound}/   (stop it with Ctrl-C)");
        let app = server::router(state::Desk::new(config, bound));
        axum::serve(listener, app)
            .with_graceful_shutdown(async {
                let _ = tokio::signal::ctrl_c().await;
            })
            .await
            .map_err(DeskError::Stopped)
    })
}
