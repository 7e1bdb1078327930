//! The unit table. Everything that knows units is made from it: the types with their constructors, the reader,
//! the suggestions and the lists in documents.
//!
//! A row is `[constructor accessor] "symbol" (num, den, offset?) SYSTEM CASE SOURCE ["other spellings"]`.
//! A product is spelt with `·` (the reader turns `*`, `×`, `-`, `.` and spaces between unit words into it) and powers are
//! plain digits. `ANY` takes any mix of capitals; `EXACT` does not, because m/M, n/N, k/K, g/G, s/S mean different things.
//! Within one kind and system the first row is the everyday unit.
//!
//! Sources: SI = SI Brochure, 9th edition; YARD = international yard and pound agreement of 1959 (1 yd = 0.9144 m,
//! 1 lb = 0.453 592 37 kg, exact); SP811 = NIST SP 811 (2008), appendix B. Standard gravity is 9.806 65 m/s2, exact
//! (3rd CGPM, 1901). inHg, mmHg: a column of 13 595.1 kg/m3 under standard gravity; inH2O, mmH2O: 1000 kg/m3 (the
//! "conventional" columns of SP 811).

use crate::unit::{Quantity, System, Unit};

const METRIC: Option<System> = Some(System::Metric);
const US: Option<System> = Some(System::Us);
const BOTH: Option<System> = None;
const ANY: bool = true;
const EXACT: bool = false;
const SI: &str = "SI Brochure, 9th edition";
const YARD: &str = "international yard and pound, 1959 (exact)";
const SP811: &str = "NIST SP 811 (2008), appendix B";
const CGPM: &str = "standard gravity, 3rd CGPM 1901 (exact)";

/// Standard gravity, m/s2.
const G: f64 = 9.806_65;
const PI: f64 = core::f64::consts::PI;
/// Kilograms in a pound.
const LB: f64 = 0.453_592_37;
/// Newtons in a pound-force, exact: `LB * G`.
const LBF: f64 = 4.448_221_615_260_5;
const IN: f64 = 0.0254;
const FT: f64 = 0.3048;
/// Pascals in a millimetre of mercury: 13 595.1 kg/m3 x `G` x 1 mm.
const MMHG: f64 = 133.322_387_415;

macro_rules! accessors {
    ([] $($row:tt)*) => {};
    ([$new:ident $to:ident] $symbol:literal, $num:expr, $den:expr, $offset:expr) => {
        #[doc = concat!("From a value in `", $symbol, "`.")]
        pub const fn $new(value: f64) -> Self {
            Self(value * ($num) / ($den) + ($offset))
        }

        #[doc = concat!("The value in `", $symbol, "`.")]
        pub const fn $to(self) -> f64 {
            (self.0 - ($offset)) * ($den) / ($num)
        }
    };
}

macro_rules! quantities {
    ($( $name:ident, $plain:literal, $about:literal, [$($example:literal),*] { $(
        $([$new:ident $to:ident])? $symbol:literal ($num:expr, $den:expr $(, $offset:expr)?)
        $system:ident $case:ident $(% $slope:literal)? $source:ident [$($also:literal),*];
    )* } )*) => {
        /// What an amount is an amount of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $( #[doc = $about] $name, )* }

        impl Kind {
            /// Every kind, in table order.
            pub const ALL: &[Self] = &[$( Self::$name, )*];

            /// The plain word: `length`, `line mass`.
            pub const fn name(self) -> &'static str {
                match self { $( Self::$name => $plain, )* }
            }

            /// Texts that read as this kind.
            pub const fn examples(self) -> &'static [&'static str] {
                match self { $( Self::$name => &[$($example),*], )* }
            }

            /// The units of this kind.
            pub const fn units(self) -> &'static [Unit] {
                match self { $( Self::$name => const { &[$( Unit {
                    symbol: $symbol,
                    also: &[$($also),*],
                    system: $system,
                    source: $source,
                    num: $num,
                    den: $den,
                    offset: 0.0 $(+ $offset)?,
                    any_case: $case,
                    slope: false $(|| $slope)?,
                } ),*] }, )* }
            }
        }

        $(
            #[doc = $about]
            #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
            pub struct $name(f64);

            impl Quantity for $name {
                const KIND: Kind = Kind::$name;
                fn from_si(value: f64) -> Self { Self(value) }
                fn si(self) -> f64 { self.0 }
            }

            impl $name {
                $( accessors! { [$($new $to)?] $symbol, $num, $den, 0.0 $(+ $offset)? } )*
            }
        )*
    };
}

quantities! {
    Length, "length", "A length, in m.", ["346 mm", "13-5/8 in", "5' 6-1/2\""] {
        [mm to_mm] "mm" (1.0, 1000.0) METRIC EXACT SI ["MM", "millimetre", "millimetres", "millimeter", "millimeters"];
        [m to_m] "m" (1.0, 1.0) METRIC EXACT SI ["metre", "metres", "meter", "meters"];
        [cm to_cm] "cm" (1.0, 100.0) METRIC ANY SI ["centimetre", "centimetres", "centimeter", "centimeters"];
        [km to_km] "km" (1000.0, 1.0) METRIC ANY SI ["kilometre", "kilometres", "kilometer", "kilometers"];
        [um to_um] "um" (1.0, 1e6) METRIC EXACT SI ["micron", "microns"];
        [inch to_inch] "in" (127.0, 5000.0) US ANY YARD ["\"", "inch", "inches", "ins"];
        [ft to_ft] "ft" (381.0, 1250.0) US ANY YARD ["'", "foot", "feet"];
        [yd to_yd] "yd" (1143.0, 1250.0) US ANY YARD ["yard", "yards"];
        [mi to_mi] "mi" (201_168.0, 125.0) US EXACT YARD ["mile", "miles"];
    }
    Area, "area", "An area, in m2.", ["1200 mm2", "0.25 m2", "1.5 ft2"] {
        [m2 to_m2] "m2" (1.0, 1.0) METRIC EXACT SI ["sq·m"];
        [cm2 to_cm2] "cm2" (1.0, 1e4) METRIC ANY SI ["sq·cm"];
        [mm2 to_mm2] "mm2" (1.0, 1e6) METRIC EXACT SI ["MM2", "sq·mm"];
        [ft2 to_ft2] "ft2" (FT * FT, 1.0) US ANY YARD ["sq·ft", "sqft"];
        [in2 to_in2] "in2" (IN * IN, 1.0) US ANY YARD ["sq·in", "sqin"];
    }
    Volume, "volume", "A volume, in m3.", ["0.02 m3", "12 L", "300 in3"] {
        [litre to_litre] "L" (1.0, 1000.0) METRIC ANY SI ["litre", "litres", "liter", "liters", "dm3"];
        [m3 to_m3] "m3" (1.0, 1.0) METRIC EXACT SI ["cu·m"];
        [cm3 to_cm3] "cm3" (1.0, 1e6) METRIC ANY SI ["cc", "cu·cm"];
        [ml to_ml] "mL" (1.0, 1e6) METRIC EXACT SI ["ml"];
        [mm3 to_mm3] "mm3" (1.0, 1e9) METRIC EXACT SI ["MM3"];
        [in3 to_in3] "in3" (IN * IN * IN, 1.0) US ANY YARD ["cu·in"];
        [ft3 to_ft3] "ft3" (FT * FT * FT, 1.0) US ANY YARD ["cu·ft"];
        [gal to_gal] "gal" (231.0 * IN * IN * IN, 1.0) US ANY SP811 ["gallon", "gallons"];
    }
    Mass, "mass", "A mass, in kg.", ["28 kg", "62 lb", "5 lb 3 oz"] {
        [kg to_kg] "kg" (1.0, 1.0) METRIC ANY SI ["kgs", "kilo", "kilos", "kilogram", "kilograms"];
        [g to_g] "g" (1.0, 1000.0) METRIC EXACT SI ["gram", "grams"];
        [mg to_mg] "mg" (1.0, 1e6) METRIC EXACT SI [];
        [t to_t] "t" (1000.0, 1.0) METRIC EXACT SI ["tonne", "tonnes"];
        [lb to_lb] "lb" (45_359_237.0, 1e8) US ANY YARD ["lbs", "lbm", "pound", "pounds"];
        [oz to_oz] "oz" (45_359_237.0, 16e8) US ANY YARD ["ounce", "ounces"];
    }
    LineMass, "line mass", "Mass per length, in kg/m.", ["3.56 kg/m", "2.4 lb/ft"] {
        [kg_m to_kg_m] "kg/m" (1.0, 1.0) METRIC ANY SI [];
        [g_m to_g_m] "g/m" (1.0, 1000.0) METRIC EXACT SI [];
        [lb_ft to_lb_ft] "lb/ft" (LB, FT) US ANY YARD ["lbs/ft"];
        [lb_in to_lb_in] "lb/in" (LB, IN) US ANY YARD ["lbs/in"];
    }
    Density, "density", "Mass per volume, in kg/m3.", ["7850 kg/m3", "2.7 g/cm3", "490 lb/ft3"] {
        [kg_m3 to_kg_m3] "kg/m3" (1.0, 1.0) METRIC ANY SI [];
        [g_cm3 to_g_cm3] "g/cm3" (1000.0, 1.0) METRIC EXACT SI ["g/cc", "kg/L", "kg/dm3"];
        [lb_ft3 to_lb_ft3] "lb/ft3" (LB, FT * FT * FT) US ANY YARD [];
        [lb_in3 to_lb_in3] "lb/in3" (LB, IN * IN * IN) US ANY YARD [];
    }
    Force, "force", "A force, in N.", ["450 N", "2.5 kN", "100 lbf"] {
        [n to_n] "N" (1.0, 1.0) METRIC EXACT SI ["newton", "newtons"];
        [kn to_kn] "kN" (1000.0, 1.0) METRIC EXACT SI ["kilonewton", "kilonewtons"];
        [dan to_dan] "daN" (10.0, 1.0) METRIC EXACT SI ["decanewton", "decanewtons"];
        [kgf to_kgf] "kgf" (G, 1.0) METRIC ANY CGPM ["kp"];
        [lbf to_lbf] "lbf" (LBF, 1.0) US ANY SP811 ["pound·force", "pounds·force"];
        [ozf to_ozf] "ozf" (LBF, 16.0) US ANY SP811 [];
        [kip to_kip] "kip" (1000.0 * LBF, 1.0) US ANY SP811 ["kips"];
    }
    Moment, "moment", "A moment or torque, in N·m.", ["47 N·m", "12 Nm", "35 ft·lb"] {
        [n_m to_n_m] "N·m" (1.0, 1.0) METRIC EXACT SI ["Nm", "newton·metre", "newton·metres", "newton·meter", "newton·meters"];
        [kn_m to_kn_m] "kN·m" (1000.0, 1.0) METRIC EXACT SI ["kNm"];
        [n_mm to_n_mm] "N·mm" (1.0, 1000.0) METRIC EXACT SI ["Nmm"];
        [kgf_m to_kgf_m] "kgf·m" (G, 1.0) METRIC ANY CGPM ["kgfm"];
        [ft_lbf to_ft_lbf] "ft·lbf" (LBF * FT, 1.0) US ANY SP811
            ["ft·lb", "ft·lbs", "ftlb", "ftlbs", "lb·ft", "lbs·ft", "lbf·ft", "lbft", "foot·pound", "foot·pounds", "pound·foot", "pound·feet"];
        [in_lbf to_in_lbf] "in·lbf" (LBF * IN, 1.0) US ANY SP811
            ["in·lb", "in·lbs", "inlb", "inlbs", "lb·in", "lbs·in", "lbf·in", "inch·pound", "inch·pounds"];
    }
    Pressure, "pressure", "A pressure, stress or vacuum, in Pa.", ["80 kPa", "24 inHg", "235 MPa", "34 ksi"] {
        [kpa to_kpa] "kPa" (1000.0, 1.0) METRIC ANY SI ["kilopascal", "kilopascals"];
        [pa to_pa] "Pa" (1.0, 1.0) METRIC EXACT SI ["pascal", "pascals", "N/m2"];
        [hpa to_hpa] "hPa" (100.0, 1.0) METRIC EXACT SI [];
        [mpa to_mpa] "MPa" (1e6, 1.0) METRIC EXACT SI ["N/mm2", "megapascal", "megapascals"];
        [gpa to_gpa] "GPa" (1e9, 1.0) METRIC EXACT SI ["kN/mm2", "gigapascal", "gigapascals"];
        [kn_m2 to_kn_m2] "kN/m2" (1000.0, 1.0) METRIC EXACT SI [];
        [bar to_bar] "bar" (1e5, 1.0) METRIC ANY SP811 ["bars"];
        [mbar to_mbar] "mbar" (100.0, 1.0) METRIC EXACT SP811 ["MBAR", "millibar", "millibars"];
        [mmhg to_mmhg] "mmHg" (MMHG, 1.0) METRIC EXACT SP811 ["mm·Hg", "mmhg", "MMHG"];
        [mmh2o to_mmh2o] "mmH2O" (G, 1.0) METRIC EXACT SP811 ["mm·H2O", "mmh2o"];
        [kgf_cm2 to_kgf_cm2] "kgf/cm2" (1e4 * G, 1.0) METRIC ANY SP811 [];
        [atm to_atm] "atm" (101_325.0, 1.0) METRIC ANY SP811 [];
        [inhg to_inhg] "inHg" (25.4 * MMHG, 1.0) US ANY SP811 ["in·Hg", "\"·Hg"];
        [inh2o to_inh2o] "inH2O" (25.4 * G, 1.0) US ANY SP811 ["in·H2O", "\"·H2O"];
        [psi to_psi] "psi" (LBF, IN * IN) US ANY SP811 ["lbf/in2", "lb/in2"];
        [ksi to_ksi] "ksi" (1000.0 * LBF, IN * IN) US ANY SP811 ["kip/in2"];
        [psf to_psf] "psf" (LBF, FT * FT) US ANY SP811 ["lbf/ft2", "lb/ft2"];
    }
    Angle, "angle", "An angle, in rad. A grade in percent is the angle whose tangent it is.", ["12 deg", "12.5°", "4 %"] {
        [deg to_deg] "deg" (PI, 180.0) BOTH ANY SI ["°", "degs", "degree", "degrees"];
        [rad to_rad] "rad" (1.0, 1.0) BOTH ANY SI ["rads", "radian", "radians"];
        [mrad to_mrad] "mrad" (1.0, 1000.0) BOTH EXACT SI [];
        "%" (1.0, 100.0) BOTH EXACT % true SI ["percent"];
        [arcmin to_arcmin] "arcmin" (PI, 10_800.0) BOTH ANY SI ["'"];
        [arcsec to_arcsec] "arcsec" (PI, 648_000.0) BOTH ANY SI ["\""];
        [rev to_rev] "rev" (2.0 * PI, 1.0) BOTH ANY SI ["turn", "turns"];
    }
    AngularSpeed, "angular speed", "An angular speed, in rad/s.", ["30 deg/s", "12 rpm"] {
        [deg_s to_deg_s] "deg/s" (PI, 180.0) BOTH ANY SI ["°/s", "degrees/second", "deg/sec"];
        [rad_s to_rad_s] "rad/s" (1.0, 1.0) BOTH ANY SI ["rad/sec"];
        [rpm to_rpm] "rpm" (PI, 30.0) BOTH ANY SP811 ["r/min", "rev/min"];
        [deg_min to_deg_min] "deg/min" (PI, 10_800.0) BOTH ANY SI ["°/min"];
    }
    AngularAcceleration, "angular acceleration", "An angular acceleration, in rad/s2.", ["60 deg/s2", "1.5 rad/s2"] {
        [deg_s2 to_deg_s2] "deg/s2" (PI, 180.0) BOTH ANY SI ["°/s2"];
        [rad_s2 to_rad_s2] "rad/s2" (1.0, 1.0) BOTH ANY SI [];
    }
    Speed, "speed", "A speed, in m/s.", ["50 km/h", "30 mph", "12 m/s"] {
        [km_h to_km_h] "km/h" (5.0, 18.0) METRIC ANY SI ["kph", "kmh", "kmph", "km/hr"];
        [m_s to_m_s] "m/s" (1.0, 1.0) METRIC EXACT SI ["mps", "m·s^-1", "m/sec", "metres/second", "meters/second"];
        [mm_s to_mm_s] "mm/s" (1.0, 1000.0) METRIC EXACT SI [];
        [mph to_mph] "mph" (1397.0, 3125.0) US ANY YARD ["mi/h", "miles/hour"];
        [ft_s to_ft_s] "ft/s" (FT, 1.0) US ANY YARD ["fps", "ft/sec", "feet/second"];
        [knot to_knot] "kn" (463.0, 900.0) BOTH EXACT SP811 ["kt", "kts", "knot", "knots"];
    }
    Acceleration, "acceleration", "An acceleration, in m/s2; `g` is standard gravity.", ["0.5 g", "4.9 m/s2"] {
        [m_s2 to_m_s2] "m/s2" (1.0, 1.0) METRIC EXACT SI ["m·s^-2", "m/s/s", "m/sec2"];
        [ft_s2 to_ft_s2] "ft/s2" (FT, 1.0) US ANY YARD ["ft/s/s", "ft/sec2"];
        [g to_g] "g" (G, 1.0) BOTH ANY CGPM ["gee", "gees"];
    }
    Time, "time", "A time, in s.", ["90 s", "2 min", "1 h 30 min"] {
        [s to_s] "s" (1.0, 1.0) BOTH EXACT SI ["sec", "secs", "second", "seconds"];
        [ms to_ms] "ms" (1.0, 1000.0) BOTH EXACT SI ["millisecond", "milliseconds"];
        [min to_min] "min" (60.0, 1.0) BOTH ANY SI ["mins", "minute", "minutes"];
        [h to_h] "h" (3600.0, 1.0) BOTH EXACT SI ["hr", "hrs", "hour", "hours"];
        [d to_d] "d" (86_400.0, 1.0) BOTH EXACT SI ["day", "days"];
    }
    Temperature, "temperature", "A temperature, in K.", ["12 C", "54 F", "285 K"] {
        [c to_c] "°C" (1.0, 1.0, 273.15) METRIC ANY SI ["C", "deg·C", "degC", "celsius"];
        [k to_k] "K" (1.0, 1.0) METRIC EXACT SI ["kelvin", "kelvins"];
        [f to_f] "°F" (5.0, 9.0, 459.67 * 5.0 / 9.0) US ANY SP811 ["F", "deg·F", "degF", "fahrenheit"];
    }
    Stiffness, "stiffness", "Force per length, in N/m.", ["25 N/mm", "4 kN/m", "140 lbf/in"] {
        [n_mm to_n_mm] "N/mm" (1000.0, 1.0) METRIC EXACT SI [];
        [n_m to_n_m] "N/m" (1.0, 1.0) METRIC EXACT SI [];
        [kn_m to_kn_m] "kN/m" (1000.0, 1.0) METRIC EXACT SI [];
        [kn_mm to_kn_mm] "kN/mm" (1e6, 1.0) METRIC EXACT SI ["MN/m"];
        [lbf_in to_lbf_in] "lbf/in" (LBF, IN) US ANY SP811 [];
        [lbf_ft to_lbf_ft] "lbf/ft" (LBF, FT) US ANY SP811 [];
    }
    RotationalStiffness, "rotational stiffness", "Moment per angle, in N·m/rad.", ["1500 N·m/rad", "26 N·m/deg", "19 ft·lbf/deg"] {
        [n_m_rad to_n_m_rad] "N·m/rad" (1.0, 1.0) METRIC EXACT SI ["Nm/rad"];
        [n_m_deg to_n_m_deg] "N·m/deg" (180.0, PI) METRIC EXACT SI ["Nm/deg", "N·m/°", "Nm/°"];
        [kn_m_rad to_kn_m_rad] "kN·m/rad" (1000.0, 1.0) METRIC EXACT SI ["kNm/rad"];
        [ft_lbf_deg to_ft_lbf_deg] "ft·lbf/deg" (LBF * FT * 180.0, PI) US ANY SP811 ["ft·lb/deg", "lbf·ft/deg", "lb·ft/deg"];
        [ft_lbf_rad to_ft_lbf_rad] "ft·lbf/rad" (LBF * FT, 1.0) US ANY SP811 ["ft·lb/rad", "lbf·ft/rad", "lb·ft/rad"];
        [in_lbf_rad to_in_lbf_rad] "in·lbf/rad" (LBF * IN, 1.0) US ANY SP811 ["in·lb/rad", "lbf·in/rad"];
    }
    Damping, "damping", "Force per speed, in N·s/m.", ["550 N·s/m", "3.1 lbf·s/in"] {
        [n_s_m to_n_s_m] "N·s/m" (1.0, 1.0) METRIC EXACT SI ["Ns/m", "N/(m/s)"];
        [n_s_mm to_n_s_mm] "N·s/mm" (1000.0, 1.0) METRIC EXACT SI ["kN·s/m", "kNs/m", "Ns/mm"];
        [lbf_s_in to_lbf_s_in] "lbf·s/in" (LBF, IN) US ANY SP811 ["lb·s/in"];
        [lbf_s_ft to_lbf_s_ft] "lbf·s/ft" (LBF, FT) US ANY SP811 ["lb·s/ft"];
    }
    Inertia, "moment of inertia", "A mass moment of inertia, in kg·m2.", ["3.2 kg·m2", "76 lb·ft2"] {
        [kg_m2 to_kg_m2] "kg·m2" (1.0, 1.0) METRIC ANY SI ["kgm2"];
        [kg_mm2 to_kg_mm2] "kg·mm2" (1.0, 1e6) METRIC EXACT SI [];
        [kg_cm2 to_kg_cm2] "kg·cm2" (1.0, 1e4) METRIC ANY SI [];
        [lb_ft2 to_lb_ft2] "lb·ft2" (LB * FT * FT, 1.0) US ANY SP811 [];
        [lb_in2 to_lb_in2] "lb·in2" (LB * IN * IN, 1.0) US ANY SP811 [];
    }
    Frequency, "frequency", "A frequency, in Hz.", ["3.5 Hz", "1.2 kHz"] {
        [hz to_hz] "Hz" (1.0, 1.0) BOTH ANY SI ["hertz", "cycles/second"];
        [khz to_khz] "kHz" (1000.0, 1.0) BOTH ANY SI [];
    }
    Number, "plain number", "A number without a unit.", ["0.65", "65 %", "2"] {
        [ratio to_ratio] "" (1.0, 1.0) BOTH EXACT SI [];
        [percent to_percent] "%" (1.0, 100.0) BOTH ANY SI ["percent"];
    }
    Roughness, "road roughness", "The displacement spectrum Gd(n0) of ISO 8608, in m3.", ["16e-6 m3", "64 cm3"] {
        [m3 to_m3] "m3" (1.0, 1.0) BOTH EXACT SI [];
        [cm3 to_cm3] "cm3" (1.0, 1e6) BOTH EXACT SI [];
    }
    Voltage, "voltage", "A voltage, in V.", ["24 V", "14.4 V"] {
        [v to_v] "V" (1.0, 1.0) BOTH ANY SI ["volt", "volts", "VDC"];
        [mv to_mv] "mV" (1.0, 1000.0) BOTH EXACT SI [];
        [kv to_kv] "kV" (1000.0, 1.0) BOTH ANY SI [];
    }
    Current, "current", "An electric current, in A.", ["8 A", "350 mA"] {
        [a to_a] "A" (1.0, 1.0) BOTH ANY SI ["amp", "amps", "ampere", "amperes"];
        [ma to_ma] "mA" (1.0, 1000.0) BOTH EXACT SI [];
        [ka to_ka] "kA" (1000.0, 1.0) BOTH EXACT SI [];
    }
    Resistance, "resistance", "An electric resistance, in ohm.", ["0.2 ohm", "4.7 kohm"] {
        [ohm to_ohm] "ohm" (1.0, 1.0) BOTH ANY SI ["Ω", "ohms"];
        [mohm to_mohm] "mohm" (1.0, 1000.0) BOTH EXACT SI ["mΩ"];
        [kohm to_kohm] "kohm" (1000.0, 1.0) BOTH ANY SI ["kΩ"];
    }
    Power, "power", "A power, in W.", ["250 W", "1.2 kW"] {
        [w to_w] "W" (1.0, 1.0) BOTH ANY SI ["watt", "watts"];
        [mw to_mw] "mW" (1.0, 1000.0) BOTH EXACT SI [];
        [kw to_kw] "kW" (1000.0, 1.0) BOTH ANY SI [];
        [hp to_hp] "hp" (550.0 * LBF * FT, 1.0) US ANY SP811 [];
    }
    Energy, "energy", "An energy, in J.", ["120 J", "98 Wh"] {
        [j to_j] "J" (1.0, 1.0) BOTH ANY SI ["joule", "joules"];
        [kj to_kj] "kJ" (1000.0, 1.0) BOTH ANY SI [];
        [wh to_wh] "Wh" (3600.0, 1.0) BOTH ANY SI ["W·h"];
        [kwh to_kwh] "kWh" (3.6e6, 1.0) BOTH ANY SI ["kW·h"];
    }
    Charge, "charge", "An electric charge, in C.", ["7 Ah", "2600 mAh"] {
        [ah to_ah] "Ah" (3600.0, 1.0) BOTH ANY SI ["A·h"];
        [mah to_mah] "mAh" (3.6, 1.0) BOTH EXACT SI ["mA·h"];
        [c to_c] "C" (1.0, 1.0) BOTH EXACT SI ["coulomb", "coulombs"];
    }
    Conductor, "conductor size", "A conductor's cross-section, in m2; a wire gauge is the area of its solid wire.", ["16 mm2", "AWG 10"] {
        [mm2 to_mm2] "mm2" (1.0, 1e6) METRIC EXACT SI ["MM2", "sq·mm"];
        [m2 to_m2] "m2" (1.0, 1.0) METRIC EXACT SI [];
        [kcmil to_kcmil] "kcmil" (PI * IN * IN, 4000.0) US ANY SP811 ["MCM"];
    }
    LineResistance, "line resistance", "Resistance per length, in ohm/m.", ["1.21 ohm/km", "0.33 ohm/kft"] {
        [ohm_km to_ohm_km] "ohm/km" (1.0, 1000.0) METRIC ANY SI ["Ω/km", "mohm/m", "mΩ/m"];
        [ohm_m to_ohm_m] "ohm/m" (1.0, 1.0) METRIC ANY SI ["Ω/m"];
        [ohm_kft to_ohm_kft] "ohm/kft" (1.0, 1000.0 * FT) US ANY YARD ["Ω/kft"];
        [ohm_ft to_ohm_ft] "ohm/ft" (1.0, FT) US ANY YARD ["Ω/ft"];
    }
}
