//! `clingfish serve`.

use crate::io::{Io, Stop};
use crate::notebook::Clock;
use crate::web;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;

/// Serve the pages: drawing, margins, build and rounds, at the laptop and on phones.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish serve                       the rigs of this folder, on this laptop alone\n  \
clingfish serve night --listen 0.0.0.0\n                                        and for phones on the same network\n\n\
It prints an address: open it in a browser, it makes you the lead. Phones join by\n\
the code that the page \"Phones\" shows. Everything goes over plain http: use a\n\
network of your own with a password, not the hotel's. Ctrl-C ends it.\n\n\
Exit status: 0 when it was ended; 2 when it cannot listen or read the folder.")]
pub(crate) struct Args {
    /// The folder with the rig files.
    #[arg(default_value = ".", hide_default_value = true)]
    folder: PathBuf,
    /// The address to listen on. Left out: this laptop alone; 0.0.0.0 is every network it is in.
    #[arg(long, value_name = "ADDRESS", default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST), hide_default_value = true)]
    listen: IpAddr,
    /// The port; 0 takes any that is free.
    #[arg(long, value_name = "PORT", default_value_t = 8640)]
    port: u16,
    /// The record's file. Left out: clingfish.record in the folder.
    #[arg(long, value_name = "FILE", env = "CLINGFISH_RECORD", hide_env = true)]
    record: Option<PathBuf>,
    /// The time zone of times: Europe/Berlin, UTC. Left out: this machine's.
    #[arg(long, value_name = "ZONE")]
    zone: Option<String>,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    if !args.folder.is_dir() {
        let what = format!("{} is no folder", args.folder.display());
        return Err(Stop::bad(what, "name the folder that has the rig files"));
    }
    let clock = Clock { at: None, zone: args.zone.clone() };
    clock.now()?;
    let folder = args.folder.canonicalize()?;
    let record = args.record.clone().unwrap_or_else(|| folder.join("clingfish.record"));
    web::serve(folder, record, clock, SocketAddr::new(args.listen, args.port), io)
}
