//! Why a trace, or a number about swings, gives no answer.

use std::error::Error;
use std::fmt;

/// Why a release test has no answer. Each is its own word; none has a number in place of the answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// A value is not a number, or time does not run on.
    NotNumbers {
        /// Number of the sample, from 0.
        sample: usize,
    },
    /// The swing is larger than anything of that unit on a rig.
    WrongUnit {
        /// Largest departure from rest, SI.
        swing: f64,
        /// Largest believed, SI.
        most: f64,
    },
    /// Too few samples, or the trace ends before the payload came back once.
    TooShort {
        /// Samples that there are.
        samples: usize,
        /// From first to last, s.
        seconds: f64,
    },
    /// The trace ends, or is disturbed, before enough swings for a ratio.
    TooFewSwings {
        /// Swings to either side that stand out of the noise.
        swings: usize,
    },
    /// Swings as large at the end as at the start, as far as can be told.
    NoDecay {
        /// Swings to either side looked at.
        swings: usize,
    },
    /// The swing grows.
    Growing {
        /// Last swing over first.
        times: f64,
    },
    /// The tops are flat: the instrument ran into its limit, or the isolator into its stop.
    Clipped {
        /// The value at which it stays, SI, as recorded.
        at: f64,
        /// Time of the first flat top, s from the trace's start.
        time_s: f64,
    },
    /// Two swings of different frequency at once.
    TwoModes {
        /// The one fitted, Hz.
        first_hz: f64,
        /// The other, Hz.
        second_hz: f64,
    },
    /// Too few samples for so quick a swing.
    TooSlow {
        /// Samples a second.
        rate_hz: f64,
        /// Samples in one cycle, where a cycle was seen.
        per_cycle: Option<f64>,
    },
    /// Nothing stands out of the noise.
    NoiseOnly,
    /// It does not come to rest at the level about which it swung.
    NotLevel {
        /// Change of level as a share of the first swing.
        share: f64,
    },
    /// One damped swing does not describe what was recorded.
    NotOneSwing {
        /// Share of the movement that the fit explains.
        explained: f64,
    },
}

impl Refusal {
    /// A short word for it, for machines.
    pub fn word(&self) -> &'static str {
        match self {
            Self::NotNumbers { .. } => "not-numbers",
            Self::WrongUnit { .. } => "wrong-unit",
            Self::TooShort { .. } => "too-short",
            Self::TooFewSwings { .. } => "too-few-swings",
            Self::NoDecay { .. } => "no-decay",
            Self::Growing { .. } => "growing",
            Self::Clipped { .. } => "clipped",
            Self::TwoModes { .. } => "two-modes",
            Self::TooSlow { .. } => "too-slow",
            Self::NoiseOnly => "noise-only",
            Self::NotLevel { .. } => "not-level",
            Self::NotOneSwing { .. } => "not-one-swing",
        }
    }

    /// How to get a trace that gives an answer.
    pub fn mend(&self) -> &'static str {
        match self {
            Self::NotNumbers { .. } => "look at that sample in the file",
            Self::WrongUnit { .. } => "check the unit of the column; --unit states it",
            Self::TooShort { .. } => "log again: start before the release and go on until it hangs still",
            Self::TooFewSwings { .. } => {
                "log until it hangs still and keep hands off; a stronger push, or less clamping of the lock, shows more swings"
            }
            Self::NoDecay { .. } => {
                "log longer; if it really never stops, look for a damper that is off, or for something that keeps it moving (wind, a motor)"
            }
            Self::Growing { .. } => {
                "switch off whatever drives it (stabiliser, motor, engine) and log a plain release"
            }
            Self::Clipped { .. } => {
                "push less, or set the logger to a wider range; if it knocks, the isolator hits its stop"
            }
            Self::TwoModes { .. } => {
                "press straight along one axis and lock the others, or choose the column of the other axis"
            }
            Self::TooSlow { .. } => "set the logger to more samples a second (100 is plenty)",
            Self::NoiseOnly => "push harder, or choose the column that moves (--signal)",
            Self::NotLevel { .. } => {
                "cut the trace off before it is touched again (--until), or log until it hangs still"
            }
            Self::NotOneSwing { .. } => {
                "look at the chart (--chart); press, hold, let go cleanly and keep hands off"
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotNumbers { sample } => {
                write!(
                    f,
                    "sample {} is not a number, or its time does not lie after the one before",
                    sample + 1
                )
            }
            Self::WrongUnit { .. } => {
                write!(f, "the unit cannot be right: no payload on an isolator moves that far")
            }
            Self::TooShort { samples, seconds } => {
                write!(f, "the trace is too short: {samples} samples in {seconds:.1} s")
            }
            Self::TooFewSwings { swings } => {
                write!(
                    f,
                    "too few swings: {swings} to either side stand out before the trace ends or is disturbed"
                )
            }
            Self::NoDecay { swings } => {
                write!(f, "no decay: {swings} swings to either side, and they do not shrink")
            }
            Self::Growing { times } => write!(f, "the swing grows: the last is {times:.1} times the first"),
            Self::Clipped { time_s, .. } => {
                write!(f, "clipped: the tops are flat from {time_s:.1} s on, the true swing was larger")
            }
            Self::TwoModes { first_hz, second_hz } => {
                write!(f, "two swings at once, at {first_hz:.2} Hz and {second_hz:.2} Hz")
            }
            Self::TooSlow { rate_hz, per_cycle: Some(n) } => {
                write!(f, "sampled too slowly: {rate_hz:.1} samples a second, {n:.1} a cycle; 8 are needed")
            }
            Self::TooSlow { rate_hz, per_cycle: None } => {
                write!(
                    f,
                    "sampled too slowly: with {rate_hz:.1} samples a second a quick swing would look like a slow one; \
                     10 a second are needed"
                )
            }
            Self::NoiseOnly => write!(f, "noise only: no swing stands out"),
            Self::NotLevel { share } => {
                write!(
                    f,
                    "not level at the end: the rest level moves by {:.0} % of the first swing",
                    100.0 * share
                )
            }
            Self::NotOneSwing { explained } => {
                write!(
                    f,
                    "this is no single damped swing: the best fit explains {:.0} % of it",
                    100.0 * explained
                )
            }
        }
    }
}

impl Error for Refusal {}

/// Why a number about swings or clicks was not accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SettleError {
    /// A number is out of range or not a number.
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// As given.
        value: f64,
        /// Lowest accepted.
        low: f64,
        /// Highest accepted.
        high: f64,
    },
    /// The last swing is not smaller than the first.
    DoesNotShrink {
        /// First size.
        first: f64,
        /// Last size.
        last: f64,
    },
    /// The sizes differ by no more than they may be misread.
    LostInReading {
        /// First size.
        first: f64,
        /// Last size.
        last: f64,
        /// Reading error.
        reading: f64,
    },
    /// Clicks need two tests at least.
    TooFewTests(usize),
    /// The same click was tested twice.
    SameClick(f64),
    /// The ratio does not go one way with the clicks.
    NotMonotone {
        /// Clicks between which it turns back.
        from: f64,
        /// See `from`.
        to: f64,
    },
}

impl fmt::Display for SettleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value, low, high } => {
                write!(f, "{what} is {value}; it must lie from {low} to {high}")
            }
            Self::DoesNotShrink { first, last } => {
                write!(f, "the swing does not shrink: first {first}, last {last}")
            }
            Self::LostInReading { first, last, reading } => write!(
                f,
                "with a reading error of {reading} the swing from {first} to {last} tells nothing; \
                 count fewer cycles or read more finely"
            ),
            Self::TooFewTests(n) => write!(f, "clicks need tests at two settings at least; there is {n}"),
            Self::SameClick(c) => write!(f, "click {c} was tested twice; give one of them"),
            Self::NotMonotone { from, to } => write!(
                f,
                "from click {from} to click {to} the ratio goes the other way than in the other tests; test these two again"
            ),
        }
    }
}

impl Error for SettleError {}

/// `value` if it lies from `low` to `high`; NaN never does.
pub(super) fn in_range(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, SettleError> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(SettleError::OutOfRange { what, value, low, high })
    }
}
