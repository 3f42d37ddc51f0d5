//! `page`: the workbench in a browser, on this machine only.

use std::io::{self, Write};

use super::arguments::PageArguments;
use super::{Failure, plainly, say};
use crate::page::{self, PageError};

pub(super) fn page(arguments: &PageArguments) -> Result<(), Failure> {
    let served = page::serve(&arguments.set, arguments.port, |address| {
        let address = format!("http://{address}/");
        let mut out = io::stdout().lock();
        // the caller reads the address here; a closed stream is no error
        let _ = writeln!(out, "{address}").and_then(|()| out.flush());
        say(format_args!(
            "the page of {} is open on this machine only; every change is saved at once; end it with Ctrl-C",
            arguments.set.display()
        ));
        if !arguments.no_open && open::that_detached(&address).is_err() {
            say("no browser could be opened: open the address above in one");
        }
    });
    match served {
        Ok(()) => Ok(()),
        Err(PageError::Unreadable(faults)) => Err(Failure::Input(faults)),
        Err(PageError::System(error)) => {
            let taken = matches!(error.kind(), io::ErrorKind::AddrInUse | io::ErrorKind::PermissionDenied);
            let way_out = if taken { "choose another port, --port, or none for one that is free" } else { "try again" };
            let message = format!("the page cannot be served: {}", plainly(&error));
            Err(Failure::Other(message, Some(way_out.to_string())))
        }
    }
}
