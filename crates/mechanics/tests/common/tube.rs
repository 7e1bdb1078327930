//! The steel tube of the published tables, 48.3 x 4.0, without shear flexibility.

use mechanics::frame::Beam;

const OUTER_M: f64 = 0.048_3;
const INNER_M: f64 = 0.040_3;
pub(crate) const AREA_M2: f64 = core::f64::consts::PI * (OUTER_M * OUTER_M - INNER_M * INNER_M) / 4.0;
pub(crate) const I_M4: f64 = core::f64::consts::PI
    * (OUTER_M * OUTER_M * OUTER_M * OUTER_M - INNER_M * INNER_M * INNER_M * INNER_M)
    / 64.0;
pub(crate) const TUBE: Beam = Beam {
    e_pa: 210e9,
    g_pa: 81e9,
    area_m2: AREA_M2,
    iy_m4: I_M4,
    iz_m4: I_M4,
    j_m4: 2.0 * I_M4,
    shear_area_m2: None,
    density_kg_m3: 7850.0,
};
pub(crate) const SHEAR: Beam = Beam { shear_area_m2: Some(AREA_M2 / 2.0), ..TUBE };
