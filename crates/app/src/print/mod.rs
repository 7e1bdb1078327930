//! What the terminal shows: 80 columns, and words that say everything without colour.

pub(crate) mod advice;
pub(crate) mod around;
pub(crate) mod balance;
pub(crate) mod boom;
pub(crate) mod card;
pub(crate) mod diagnostics;
pub(crate) mod envelope;
pub(crate) mod group;
pub(crate) mod hand;
pub(crate) mod isolator;
pub(crate) mod lift;
pub(crate) mod list;
pub(crate) mod pack;
pub(crate) mod picture;
pub(crate) mod power;
pub(crate) mod report;
pub(crate) mod responses;
pub(crate) mod settle;

pub(crate) mod startup;
pub(crate) mod style;
pub(crate) mod text;
pub(crate) mod torque;
pub(crate) mod verdict;
