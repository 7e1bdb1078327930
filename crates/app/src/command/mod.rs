//! The commands: one file each, and one line each in the list below.

use crate::io::{Io, Stop};

macro_rules! commands {
    ($($name:ident => $module:ident,)+) => {
        $(pub(crate) mod $module;)+

        /// What is asked.
        #[derive(Debug, clap::Subcommand)]
        #[allow(clippy::large_enum_variant, reason = "there is one, read once")]
        pub(crate) enum Command {
            $(#[allow(missing_docs, reason = "the help text stands on the command's arguments")] $name($module::Args),)+
        }

        impl Command {
            /// Does it.
            pub(crate) fn run(self, io: &mut Io<'_>) -> Result<(), Stop> {
                match self {
                    $(Self::$name(args) => $module::run(&args, io),)+
                }
            }
        }
    };
}

commands! {
    Check => check,
    Envelope => envelope,
    Card => card,
    Draw => draw,
    Sheet => sheet,
    Explain => explain,
    Advise => advise,
    Respond => respond,
    Power => power,
    Torque => torque,
    Lift => lift,
    Pack => pack,
    Balance => balance,
    Boom => boom,
    Isolator => isolator,
    Picture => picture,
    Settle => settle,
    Parts => parts,
    List => list,
    Build => build,
    Strip => strip,
    Job => job,
    Round => round,
    Go => go,
    Serve => serve,
    Schema => schema,
    New => new,
}
