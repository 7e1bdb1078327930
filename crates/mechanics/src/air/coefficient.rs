//! Drag coefficients of plain shapes, each with where it comes from.

/// One shape's drag coefficient, on the area named with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficient {
    /// The shape and how it meets the wind.
    pub shape: &'static str,
    /// Value to reckon with.
    pub cd: f64,
    /// Lowest value met in practice; common practice, no source.
    pub low: f64,
    /// Highest value met in practice; common practice, no source.
    pub high: f64,
    /// Area that the coefficient multiplies.
    pub area: &'static str,
    /// Where the value comes from, and how well that is known.
    pub source: &'static str,
}

/// Long round tube across the flow, below the critical Reynolds number.
pub const ROUND_TUBE: Coefficient = Coefficient {
    shape: "round tube, wind across it",
    cd: 1.2,
    low: 1.0,
    high: 1.2,
    area: "diameter x length",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3; EN 1991-1-4 cl. 7.9 [from memory]",
};

/// Box such as a camera body or power box.
pub const BOX: Coefficient = Coefficient {
    shape: "box, face to the wind",
    cd: 1.2,
    low: 1.05,
    high: 1.2,
    area: "area seen along the wind",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3 (cube 1.05); upper value common practice, no source [from memory]",
};

/// Square plate facing the wind.
pub const SQUARE_PLATE: Coefficient = Coefficient {
    shape: "square plate, face to the wind",
    cd: 1.17,
    low: 1.1,
    high: 1.2,
    area: "plate area",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3 [from memory]",
};

/// Thin plate at whatever angle: a sheet works as a wing before it stalls, harder than face-on.
pub const PLATE_ANY_ANGLE: Coefficient = Coefficient {
    shape: "thin plate or sheet, any angle, greatest force",
    cd: 1.6,
    low: 1.2,
    high: 1.6,
    area: "full plate area, whatever the angle",
    source: "common practice, no source (a square plate near 40 deg is reported at about 1.5 on its area)",
};

/// Long square bar across the flow.
pub const SQUARE_BAR: Coefficient = Coefficient {
    shape: "long square bar, wind on a flat side",
    cd: 2.1,
    low: 2.0,
    high: 2.1,
    area: "width x length",
    source: "EN 1991-1-4 cl. 7.6, c_f,0 for d/b = 1 [from memory]",
};

/// Short cylinder end-on.
pub const CYLINDER_END_ON: Coefficient = Coefficient {
    shape: "short cylinder, end to the wind",
    cd: 0.9,
    low: 0.8,
    high: 1.15,
    area: "end disc",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3 (length = diameter) [from memory]",
};

/// Sphere below the critical Reynolds number.
pub const SPHERE: Coefficient = Coefficient {
    shape: "sphere",
    cd: 0.47,
    low: 0.41,
    high: 0.5,
    area: "disc",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3, at Re 1e5 [from memory]",
};

/// Bowl with its open side to the wind.
pub const OPEN_BOWL: Coefficient = Coefficient {
    shape: "hemisphere, open side to the wind",
    cd: 1.42,
    low: 1.3,
    high: 1.45,
    area: "disc",
    source: "Hoerner, Fluid-Dynamic Drag, 1965, ch. 3 [from memory]",
};

/// All shapes, for a list to choose from.
pub const SHAPES: [Coefficient; 8] =
    [ROUND_TUBE, BOX, SQUARE_PLATE, PLATE_ANY_ANGLE, SQUARE_BAR, CYLINDER_END_ON, SPHERE, OPEN_BOWL];

#[cfg(test)]
mod tests {
    use super::SHAPES;

    #[test]
    fn each_shape_has_an_ordered_range_and_says_how_well_it_is_known() {
        for shape in SHAPES {
            assert!(0.0 < shape.low && shape.low <= shape.cd && shape.cd <= shape.high, "{}", shape.shape);
            assert!(
                shape.source.contains("[from memory]") || shape.source.contains("no source"),
                "{} does not say how well its value is known",
                shape.shape
            );
        }
    }
}
