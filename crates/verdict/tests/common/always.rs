//! Properties on the same random values in every run.

#![allow(unreachable_pub, clippy::unwrap_used, reason = "shared by test programs; a fault stops the test")]

use proptest::strategy::Strategy;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

/// Runs a property on `cases` values, always the same ones.
pub fn always<S: Strategy>(cases: u32, strategy: &S, test: impl Fn(S::Value) -> Result<(), TestCaseError>) {
    let config = Config { cases, failure_persistence: None, max_shrink_iters: 40, ..Config::default() };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    TestRunner::new_with_rng(config, rng).run(strategy, test).unwrap();
}
