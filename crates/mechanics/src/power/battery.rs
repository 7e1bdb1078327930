//! Batteries: what they give at a current, and what flows when two are joined.

use super::{PowerError, not_negative, positive};

/// A battery's plate: its charge at a current that empties it in a stated time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Charge, C.
    pub charge_c: f64,
    /// Time in which that is taken out evenly, s (20 h for most lead-acid).
    pub rated_s: f64,
    /// Peukert's exponent: 1 where the charge does not depend on the current.
    pub exponent: f64,
}

impl Plate {
    /// A plate.
    ///
    /// # Errors
    ///
    /// [`PowerError`] where charge or time is not positive, or the exponent under 1.
    pub fn new(charge_c: f64, rated_s: f64, exponent: f64) -> Result<Self, PowerError> {
        positive("charge", charge_c)?;
        positive("rated time", rated_s)?;
        not_negative("Peukert exponent over 1", exponent - 1.0)?;
        Ok(Self { charge_c, rated_s, exponent })
    }

    /// How fast its charge goes down at a current, in A of the plate's charge.
    ///
    /// ```text
    /// I' = I (I H / C)^(k - 1)   above the rated current C / H;   I' = I   up to it
    /// ```
    ///
    /// An even current empties it in `t = C / I' = H (C / (I H))^k`, which is Peukert's law. Below the rated current the law would give
    /// more than the plate says: not counted on.
    ///
    /// # Source
    ///
    /// W. Peukert, 1897, in the form of today's textbooks [from memory]; `docs/mechanics.md` §16.6.
    ///
    /// # Errors
    ///
    /// [`PowerError`] for a negative current.
    pub fn drain_a(&self, current_a: f64) -> Result<f64, PowerError> {
        let current = not_negative("current", current_a)?;
        let over = current * self.rated_s / self.charge_c;
        Ok(if over > 1.0 { current * over.powf(self.exponent - 1.0) } else { current })
    }
}

/// Current that flows when two batteries at rest are joined in parallel, A.
///
/// ```text
/// I = |E1 - E2| / (R1 + R2 + R lead)
/// ```
///
/// # Assumes
///
/// The first moment: as they equalise it falls.
///
/// # Source
///
/// Ohm's law round the loop; `docs/mechanics.md` §16.7.
///
/// # Errors
///
/// [`PowerError`] for a resistance that is not positive, or a voltage that is lost.
pub fn equalising_a(first_v: f64, second_v: f64, loop_ohm: f64) -> Result<f64, PowerError> {
    let apart = not_negative("difference in voltage", (first_v - second_v).abs())?;
    Ok(apart / positive("resistance of the loop", loop_ohm)?)
}

/// Greatest difference in voltage at which the current of [`equalising_a`] stays within a limit, V.
///
/// # Errors
///
/// [`PowerError`] for a resistance or limit that is not positive.
pub fn greatest_difference_v(limit_a: f64, loop_ohm: f64) -> Result<f64, PowerError> {
    Ok(positive("greatest current", limit_a)? * positive("resistance of the loop", loop_ohm)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// t = H (C / (I H))^k worked out apart from the code: 100 Ah at 20 h, k = 1.2, 20 A: 20 (100 / 400)^1.2 = 3.789 h.
    #[test]
    fn an_even_current_empties_it_by_peukerts_law() {
        let plate = Plate::new(100.0 * 3600.0, 20.0 * 3600.0, 1.2).unwrap();
        let hours = plate.charge_c / plate.drain_a(20.0).unwrap() / 3600.0;
        assert!((hours - 20.0 * 0.25_f64.powf(1.2)).abs() < 1e-9, "{hours}");
        assert!((hours - 3.789).abs() < 5e-4);
        // At the rated current the plate holds; below it no more than the plate.
        assert!((plate.drain_a(5.0).unwrap() - 5.0).abs() < 1e-12);
        assert!((plate.drain_a(1.0).unwrap() - 1.0).abs() < 1e-12);
        let lithium = Plate::new(36e4, 3600.0, 1.0).unwrap();
        assert!((lithium.drain_a(500.0).unwrap() - 500.0).abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(Plate::new(0.0, 1.0, 1.0).is_err() && Plate::new(1.0, 1.0, 0.9).is_err());
        assert!(Plate::new(1.0, f64::NAN, 1.0).is_err());
        assert!(Plate::new(1.0, 1.0, 1.0).unwrap().drain_a(-1.0).is_err());
        assert!(equalising_a(f64::NAN, 1.0, 1.0).is_err() && equalising_a(1.0, 2.0, 0.0).is_err());
    }

    #[test]
    fn two_tenths_of_a_volt_over_ten_milliohms_are_twenty_amperes() {
        assert!((equalising_a(26.3, 26.5, 0.010).unwrap() - 20.0).abs() < 1e-9);
        assert!((greatest_difference_v(20.0, 0.010).unwrap() - 0.2).abs() < 1e-12);
    }
}
