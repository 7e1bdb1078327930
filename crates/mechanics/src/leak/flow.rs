//! Air through a small hole.

use super::{LeakError, not_negative, positive};

/// Ratio of the specific heats of air.
pub const AIR_GAMMA: f64 = 1.4;
/// Specific gas constant of dry air, J/(kg K) (US Standard Atmosphere 1976: 8314.32 / 28.9644).
pub const AIR_R: f64 = 287.053;

/// Pressure ratio inside over outside at and below which the flow is choked: `(2 / (g + 1))^(g / (g - 1))`, 0.5283.
///
/// # Source
///
/// One-dimensional isentropic flow; `docs/mechanics.md` §17.4. Checked by LK-CHOKED in `tests/sources/vacuum-leak`.
pub fn choked_ratio() -> f64 {
    (2.0 / (AIR_GAMMA + 1.0)).powf(AIR_GAMMA / (AIR_GAMMA - 1.0))
}

/// Flow function where the flow is choked: `sqrt(g) (2 / (g + 1))^((g + 1) / (2 (g - 1)))`, 0.6847.
pub fn choked_flow() -> f64 {
    AIR_GAMMA.sqrt() * (2.0 / (AIR_GAMMA + 1.0)).powf((AIR_GAMMA + 1.0) / (2.0 * (AIR_GAMMA - 1.0)))
}

/// Flow function `psi` of the pressure ratio `r` inside over outside: `m' sqrt(R T) / (C_d A p_outside)`.
///
/// ```text
/// psi = sqrt(2 g / (g - 1) (r^(2/g) - r^((g + 1)/g)))     r above the choked ratio, else its value there
/// ```
///
/// 0 where the pressure inside is not below the one outside.
pub fn flow_function(ratio: f64) -> f64 {
    let r = ratio.max(choked_ratio());
    if r >= 1.0 {
        return 0.0;
    }
    let g = AIR_GAMMA;
    (2.0 * g / (g - 1.0) * (r.powf(2.0 / g) - r.powf((g + 1.0) / g))).max(0.0).sqrt()
}

/// Mass flow of air through a hole, kg/s; 0 where the pressure behind it is not the smaller one.
///
/// ```text
/// m' = C_d A p / sqrt(R T) psi(r)
/// ```
///
/// # Symbols
///
/// | here | in the source | unit | meaning |
/// |---|---|---|---|
/// | `area_m2` | `A` | m² | hole |
/// | `discharge` | `C_d` | | 1 for a nozzle, about 0.6 to 0.85 for a sharp hole |
/// | `before_pa`, `behind_pa` | `p`, `r p` | Pa | absolute |
/// | `temperature_k` | `T` | K | of the air before the hole |
///
/// # Source
///
/// Saint-Venant and Wantzel; any text on compressible flow. `docs/mechanics.md` §17.4. Checked by LK-HOLE in `tests/sources/vacuum-leak` and
/// by AIR-* in `tests/sources/air-through-orifice`.
///
/// # Errors
///
/// [`LeakError`] if a value is out of range.
pub fn orifice_kg_per_s(
    area_m2: f64,
    discharge: f64,
    before_pa: f64,
    behind_pa: f64,
    temperature_k: f64,
) -> Result<f64, LeakError> {
    let hole = positive("area of the hole", area_m2)? * positive("discharge coefficient", discharge)?;
    let p = positive("pressure before the hole", before_pa)?;
    let ratio = not_negative("pressure behind the hole", behind_pa)? / p;
    let heat = (AIR_R * positive("temperature", temperature_k)?).sqrt();
    Ok(hole * p / heat * flow_function(ratio))
}

/// Rate of the orifice law, 1/s, from hole over volume: `C_d A sqrt(R T) / V`.
///
/// # Errors
///
/// [`LeakError`] if a value is out of range.
pub fn rate_of_hole_per_s(
    area_m2: f64,
    discharge: f64,
    volume_m3: f64,
    temperature_k: f64,
) -> Result<f64, LeakError> {
    let hole = positive("area of the hole", area_m2)? * positive("discharge coefficient", discharge)?;
    Ok(hole * (AIR_R * positive("temperature", temperature_k)?).sqrt() / positive("volume", volume_m3)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_flow_function_is_level_up_to_the_choked_ratio_and_falls_from_there() {
        let mut last = f64::INFINITY;
        for step in 0..=1000 {
            let r = f64::from(step) / 1000.0;
            let psi = flow_function(r);
            assert!(psi <= last, "{r}");
            if r < choked_ratio() {
                assert!((psi - choked_flow()).abs() < 1e-12, "{r}");
            }
            last = psi;
        }
        assert!(flow_function(1.0).abs() < 1e-12 && flow_function(1.2).abs() < 1e-12);
    }

    #[test]
    fn bad_values_are_refused() {
        assert!(orifice_kg_per_s(0.0, 1.0, 1e5, 0.0, 290.0).is_err());
        assert!(orifice_kg_per_s(1e-8, f64::NAN, 1e5, 0.0, 290.0).is_err());
        assert!(orifice_kg_per_s(1e-8, 1.0, 1e5, -1.0, 290.0).is_err());
        assert!(rate_of_hole_per_s(1e-8, 1.0, 0.0, 290.0).is_err());
    }
}
