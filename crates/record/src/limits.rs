//! How long, how large, how many. A text over its limit is refused, never cut.

/// Names of people, devices, jobs, files, tools; in characters.
pub const NAME_CHARS: usize = 200;
/// What an entry is about: a rig key, a step's or a cup's name; in characters.
pub const ABOUT_CHARS: usize = 200;
/// A value with its unit as written, e.g. `23.6 inHg`; in characters.
pub const WRITTEN_CHARS: usize = 80;
/// A writer's token; in characters.
pub const TOKEN_CHARS: usize = 100;
/// A reason, a caption; in characters.
pub const REASON_CHARS: usize = 500;
/// A note or the words on damage; in characters.
pub const NOTE_CHARS: usize = 10_000;
/// One rig file or parts file; in bytes.
pub const FILE_BYTES: usize = 1_000_000;
/// Parts files that go with a rig file.
pub const PARTS_FILES: usize = 20;
/// Reasons of a verdict.
pub const REASONS: usize = 50;
/// A whole value as JSON; in bytes.
pub const VALUE_BYTES: usize = 8_000_000;
/// One photo; in bytes.
pub const BLOB_BYTES: usize = 20_000_000;
/// Entries of one job.
pub const ENTRIES: u32 = 1_000_000;
/// The last moment that an entry may carry: the end of the year 9999, in milliseconds since 1970 UTC.
pub const LAST_MS: i64 = 253_402_300_799_999;
/// One line of a job file; in bytes. A photo of [`BLOB_BYTES`] as base64 fits.
pub const LINE_BYTES: usize = 28_000_000;
/// A whole job file; in bytes.
pub const JOB_FILE_BYTES: u64 = 4_000_000_000;
/// How long a call waits for another program's lock, in milliseconds.
pub const WAIT_MS: u32 = 5_000;
