//! Tidy checks and generated docs.
fn main() {}
