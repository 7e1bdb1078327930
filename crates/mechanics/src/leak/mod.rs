//! A vacuum cup's leak: the law of the flow, the fit to gauge readings, the time that is left, and which cup leaks more than the others
//! (`docs/mechanics.md` §17.4 to §17.8).
//!
//! Pascal, seconds, kelvin. A vacuum is gauge vacuum: ambient pressure less the absolute pressure inside, positive.

mod error;
mod fit;
mod flow;
mod law;
mod peers;
mod reading;
mod time;

pub use error::LeakError;
pub use fit::{Estimate, Fit, Leak, Regime, fit};
pub use flow::{
    AIR_GAMMA, AIR_R, choked_flow, choked_ratio, flow_function, orifice_kg_per_s, rate_of_hole_per_s,
};
pub use law::Law;
pub use peers::{PeerRule, Peers, peers};
pub use reading::{Ambient, Reading};
pub use time::TimeLeft;

fn positive(what: &'static str, value: f64) -> Result<f64, LeakError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(LeakError::OutOfRange { what, value, needs: "more than 0" })
    }
}

fn not_negative(what: &'static str, value: f64) -> Result<f64, LeakError> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(LeakError::OutOfRange { what, value, needs: "0 or more" })
    }
}
