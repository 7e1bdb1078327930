//! What the app's pages do in a real browser, and that these tests would see a fault.
//!
//! One chromedriver a test and one test at a time; every screen has a fresh profile. A screen that saw an error on
//! the console or a request to another host fails its test when it is put away, whatever else the test asked.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod chrome;
mod day;
mod drive;
mod hand;
mod harness;
mod limits_and_sheet;
mod log;
mod net;
mod pages;
mod people;
mod phone;
mod screen;
#[path = "../served/mod.rs"]
mod served;
mod server;
mod stand_in;
mod survey;
mod wcag;
