//! The workbench: a page in a browser on this machine, on which a set is seen, turned, changed and handed out.
//!
//! Takes the path of a set file; serves until the program ends. The file on disk stays the truth: every change is
//! written to it at once, and every answer is computed by the functions that the commands call. The page itself
//! draws and asks, and computes nothing about a scale.

mod answers;
mod assets;
mod documents;
mod edits;
mod fields;
mod http;
mod open_set;
mod replies;
mod slow;
mod state;
mod worker;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::time::Duration;

use crate::set::Faults;

/// How often the files on disk are looked at.
const LOOK: Duration = Duration::from_secs(1);

/// Why the page cannot be served.
#[derive(Debug)]
pub enum PageError {
    /// The set file cannot be read at all.
    Unreadable(Faults),
    /// The port is taken, or the system refuses.
    System(io::Error),
}

impl From<io::Error> for PageError {
    fn from(error: io::Error) -> Self {
        PageError::System(error)
    }
}

/// Serves the page of the set at `path` on this machine's own address, on `port` or, where it is 0, on one that is free;
/// `ready` is told the address. Returns only with an error.
///
/// # Errors
/// A set file that is not there or no text, a port that is taken.
pub fn serve(path: &Path, port: u16, ready: impl FnOnce(SocketAddr)) -> Result<(), PageError> {
    let open = open_set::OpenSet::open(path).map_err(PageError::Unreadable)?;
    let runtime = tokio::runtime::Builder::new_current_thread().enable_io().enable_time().build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await?;
        let address = listener.local_addr()?;
        let worker = worker::Worker::start(open)?;
        let looking = worker.clone();
        tokio::spawn(async move {
            let mut every = tokio::time::interval(LOOK);
            loop {
                every.tick().await;
                looking.look();
            }
        });
        ready(address);
        axum::serve(listener, http::doors(worker, address)).await?;
        Ok(())
    })
}
