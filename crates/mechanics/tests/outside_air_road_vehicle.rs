//! Air, road, vehicle, load restraint and tube sections against figures from outside.
//!
//! Each folder of `tests/sources/` has one source's figures in `cases.toml`: `id`, `source`, `quantity` (a name of the table
//! below), `inputs` (numbers by name, unit in the name), `published`, `unit`, `tolerance` (relative, or in `unit` with
//! `absolute = true`) and `marker` (how well the figure is known). [`QUANTITIES`] says how each quantity is computed.

#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::f64::consts::PI;

use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::air::atmosphere::Air;
use mechanics::air::drag;
use mechanics::frame::section::{RoundTube, SectionForces, Stress};
use mechanics::restraint;
use mechanics::restraint::coefficients::{COEFFICIENT_SETS, Coefficients};
use mechanics::road::profile::{Road, RoadClass};
use mechanics::road::quarter_car::{Corner, GOLDEN_CAR, QuarterCar};
use mechanics::road::transition::Transition;
use mechanics::vehicle::loads::{self, Chassis, GroundLoads, Motion, PointMass};
use mechanics::vehicle::sets::{SETS, VehicleSet};
use mechanics::vehicle::stability::{self, AxleRoll, Rollover};
use serde::Deserialize;
use validation::Row;

type Answer<T = f64> = Result<T, Box<dyn Error>>;
type Quantity = fn(&Inputs) -> Answer;

const SOURCES: [(&str, &str); 12] = [
    ("cfr-393-102", include_str!("sources/cfr-393-102/cases.toml")),
    ("commonroad-vehicles-2020", include_str!("sources/commonroad-vehicles-2020/cases.toml")),
    ("cowper-1966", include_str!("sources/cowper-1966/cases.toml")),
    ("en-10219-2-2006", include_str!("sources/en-10219-2-2006/cases.toml")),
    ("en-12195-1-2010", include_str!("sources/en-12195-1-2010/cases.toml")),
    ("gillespie-1992", include_str!("sources/gillespie-1992/cases.toml")),
    ("hoerner-1965", include_str!("sources/hoerner-1965/cases.toml")),
    ("iso-8608-2016", include_str!("sources/iso-8608-2016/cases.toml")),
    ("sayers-1986", include_str!("sources/sayers-1986/cases.toml")),
    ("tube-von-mises", include_str!("sources/tube-von-mises/cases.toml")),
    ("turkay-2005", include_str!("sources/turkay-2005/cases.toml")),
    ("us-standard-atmosphere-1976", include_str!("sources/us-standard-atmosphere-1976/cases.toml")),
];

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    source: String,
    quantity: String,
    inputs: Inputs,
    published: f64,
    unit: String,
    tolerance: f64,
    #[serde(default)]
    absolute: bool,
    marker: String,
}

#[derive(Deserialize)]
struct Inputs(BTreeMap<String, f64>);

impl Inputs {
    fn get(&self, name: &str) -> Answer {
        self.0.get(name).copied().ok_or_else(|| format!("no input {name}").into())
    }

    fn index(&self, name: &str) -> Answer<usize> {
        let value = self.get(name)?;
        (0_u8..20)
            .position(|k| (f64::from(k) - value).abs() < 0.1)
            .ok_or_else(|| format!("bad {name}").into())
    }

    /// The member of a list that the input `name` counts to, from 0.
    fn pick<T: Copy>(&self, name: &str, list: &[T]) -> Answer<T> {
        list.get(self.index(name)?).copied().ok_or_else(|| format!("{name} is past the end").into())
    }

    fn speed(&self) -> Answer {
        Ok(self.get("speed_kmh")? / 3.6)
    }

    fn air(&self) -> Answer<Air> {
        Ok(Air::standard(self.get("altitude_m")?)?)
    }

    fn road(&self) -> Answer<Road> {
        Ok(self.class()?.road())
    }

    fn class(&self) -> Answer<RoadClass> {
        self.pick("class", &RoadClass::ALL)
    }

    fn car(&self) -> Answer<QuarterCar> {
        Ok(QuarterCar::new(Corner {
            sprung_kg: self.get("sprung_kg")?,
            unsprung_kg: self.get("unsprung_kg")?,
            spring_n_m: self.get("spring_n_m")?,
            damper_n_s_m: self.get("damper_n_s_m")?,
            tyre_n_m: self.get("tyre_n_m")?,
        })?)
    }

    fn velocity_psd(&self) -> Answer {
        Ok(self.road()?.velocity_psd(self.get("speed_m_s")?)?)
    }

    fn tube(&self) -> Answer<RoundTube> {
        Ok(RoundTube::new(self.get("outer_mm")? / 1e3, self.get("wall_mm")? / 1e3)?)
    }

    fn stress(&self) -> Answer<Stress> {
        let forces = SectionForces {
            n_n: self.get("n_n")?,
            vy_n: 0.0,
            vz_n: self.get("v_n")?,
            t_n_m: self.get("t_n_m")?,
            my_n_m: self.get("my_n_m")?,
            mz_n_m: self.get("mz_n_m")?,
        };
        Ok(Stress::of(&self.tube()?, &forces)?)
    }

    fn load(&self) -> Answer<restraint::Load> {
        Ok(restraint::Load {
            mass_kg: self.get("mass_kg")?,
            gravity_m_s2: 9.81,
            horizontal: self.get("c")?,
            down: 1.0,
            mu: self.get("mu")?,
        })
    }

    fn blocking(&self) -> Answer {
        Ok(restraint::blocking_force_n(&self.load()?, self.get("f_s")?)?)
    }

    fn over(&self) -> Answer<restraint::OverStrap> {
        Ok(restraint::OverStrap {
            angle_rad: self.get("angle_deg")?.to_radians(),
            tension_n: self.get("tension_n")?,
        })
    }

    fn top_over(&self) -> Answer {
        Ok(restraint::straps_over_against_sliding(&self.load()?, self.get("f_s")?, &self.over()?)?)
    }

    fn tipping(&self) -> Answer {
        let footprint = restraint::Footprint {
            to_edge_m: self.get("to_edge_m")?,
            height_m: self.get("height_m")?,
            width_m: self.get("width_m")?,
        };
        let f_s = self.get("f_s")?;
        Ok(restraint::straps_over_against_tipping(&self.load()?, &footprint, f_s, &self.over()?)?)
    }

    fn direct(&self, count: u32) -> Answer<restraint::DirectStraps> {
        let (up, plan) = (self.get("up_deg")?, self.get("plan_deg")?);
        Ok(restraint::DirectStraps { count, up_rad: up.to_radians(), plan_rad: plan.to_radians() })
    }

    fn direct_tension(&self) -> Answer {
        let count = u32::try_from(self.index("count")?)?;
        Ok(restraint::direct_tension_n(&self.load()?, &self.direct(count)?)?)
    }

    fn set(&self) -> Answer<VehicleSet> {
        self.pick("set", &SETS)
    }

    /// Vehicle of the set with the load on its centreline; over the mass centre when no place is given.
    fn laden(&self) -> Answer<PointMass> {
        let empty = self.set()?.empty();
        let x = self.get("load_behind_front_m").map_or(empty.at_m.x, |behind| -behind);
        let at_m = DVec3::new(x, 0.0, self.get("load_height_m")?);
        Ok(loads::laden(&[empty, PointMass { mass_kg: self.get("load_kg")?, at_m }])?)
    }

    fn at_rest(&self, centre: &PointMass) -> Answer<GroundLoads> {
        Ok(loads::ground_loads(centre, &self.chassis()?, &Motion::default())?)
    }

    fn chassis(&self) -> Answer<Chassis> {
        Ok(self.set()?.chassis()?)
    }

    fn compliant(&self) -> Answer {
        let set = self.set()?;
        Ok(stability::compliant_threshold_g(&Rollover {
            track_m: set.chassis()?.mean_track_m(),
            height_m: set.height_m,
            roll_centre_m: 0.0,
            roll_rate_rad_g: set.roll_rate_rad_g(&[])?,
        })?)
    }

    fn coefficients(&self) -> Answer<Coefficients> {
        self.pick("set", &COEFFICIENT_SETS)
    }
}

fn golden() -> Answer<QuarterCar> {
    Ok(QuarterCar::new(GOLDEN_CAR)?)
}

/// One step of 250 mm at 80 km/h.
fn golden_step() -> Answer<Transition> {
    Ok(Transition::new(&golden()?, 0.25 / (80.0 / 3.6))?)
}

/// Suspension travel over profile height at 80 km/h.
fn golden_gain(wavelength_m: f64) -> Answer {
    let f = 80.0 / 3.6 / wavelength_m;
    Ok(golden()?.gains(f)?.travel_s * 2.0 * PI * f)
}

/// Index of a sine: mean suspension speed over vehicle speed, after a moving average over 250 mm, in m/km.
fn sine_index(wavelength_m: f64, amplitude_m: f64) -> Answer {
    let x = PI * 0.25 / wavelength_m;
    let slope = golden_gain(wavelength_m)? * amplitude_m * 2.0 * PI / wavelength_m;
    Ok(slope * (2.0 / PI) * (x.sin() / x) * 1e3)
}

fn whole(number: f64) -> Answer {
    Ok(f64::from(restraint::whole_straps(number)?))
}

/// Drag on a body of one face, wind from ahead.
fn ahead(i: &Inputs) -> Answer<DVec3> {
    Ok(drag::relative_wind(DVec3::ZERO, DVec3::new(i.speed()?, 0.0, 0.0), 1.0)?)
}

const INCH: f64 = 0.0254;

const QUANTITIES: &[(&str, Quantity)] = &[
    ("air.temperature", |i| Ok(i.air()?.temperature_k())),
    ("air.pressure", |i| Ok(i.air()?.pressure_pa())),
    ("air.pressure_inhg", |i| Ok(i.air()?.pressure_inhg())),
    ("air.density", |i| Ok(i.air()?.density_kg_m3())),
    ("air.viscosity", |i| Ok(i.air()?.kinematic_viscosity_m2_s())),
    ("drag.pressure", |i| Ok(drag::dynamic_pressure(i.get("density_kg_m3")?, i.speed()?)?)),
    ("drag.pressure_at_altitude", |i| Ok(drag::dynamic_pressure(i.air()?.density_kg_m3(), i.speed()?)?)),
    ("drag.tube", |i| {
        let (cd, d) = (i.get("cd")?, i.get("diameter_m")?);
        Ok(-drag::tube_force_per_length(1.225, cd, d, DVec3::Y, ahead(i)?)?.x)
    }),
    ("drag.body", |i| {
        let area = i.get("cd")? * i.get("width_m")? * i.get("height_m")?;
        Ok(-drag::bluff_force(1.225, area, ahead(i)?)?.x)
    }),
    ("drag.box", |i| {
        let sides = DVec3::new(0.5, i.get("width_m")?, i.get("height_m")?);
        Ok(-drag::BoxBody::new(sides, i.get("cd")?)?.force(1.225, ahead(i)?)?.x)
    }),
    ("drag.reynolds", |i| {
        let nu = Air::standard(0.0)?.kinematic_viscosity_m2_s();
        Ok(drag::reynolds(i.speed()?, i.get("diameter_m")?, nu)?)
    }),
    ("road.class_mean", |i| Ok(i.class()?.mean_m3())),
    ("road.class_lower", |i| i.class()?.lower_m3().ok_or_else(|| "no lower limit".into())),
    ("road.class_upper", |i| i.class()?.upper_m3().ok_or_else(|| "no upper limit".into())),
    ("road.rms", |i| {
        Ok(i.road()?.displacement_rms(i.get("low_cycles_per_m")?, i.get("high_cycles_per_m")?)?)
    }),
    ("road.velocity_psd", Inputs::velocity_psd),
    ("quarter_car.body", |i| Ok(i.car()?.ride(i.velocity_psd()?)?.body_m_s2)),
    ("quarter_car.travel", |i| Ok(i.car()?.ride(i.velocity_psd()?)?.travel_m)),
    ("quarter_car.tyre", |i| Ok(i.car()?.ride(i.velocity_psd()?)?.tyre_m)),
    ("quarter_car.body_by_integration", |i| {
        Ok(i.car()?.ride_in_band(i.velocity_psd()?, 1e-4, 1e5)?.body_m_s2)
    }),
    ("quarter_car.body_hz", |i| Ok(i.car()?.natural_frequencies_hz().0)),
    ("quarter_car.wheel_hz", |i| Ok(i.car()?.natural_frequencies_hz().1)),
    ("golden_car.transition", |i| {
        let row = i.pick("row", &golden_step()?.state)?;
        i.pick("column", &row)
    }),
    ("golden_car.input", |i| i.pick("row", &golden_step()?.input)),
    ("golden_car.gain", |i| golden_gain(i.get("wavelength_m")?)),
    ("golden_car.sine_index", |i| sine_index(i.get("wavelength_m")?, i.get("amplitude_m")?)),
    ("vehicle.ssf", |i| Ok(stability::static_stability_factor(i.get("track_m")?, i.get("height_m")?)?)),
    ("vehicle.compliant", |i| {
        Ok(stability::compliant_threshold_g(&Rollover {
            track_m: i.get("track_m")?,
            height_m: i.get("height_m")?,
            roll_centre_m: i.get("roll_centre_m")?,
            roll_rate_rad_g: i.get("roll_rate_rad_g")?,
        })?)
    }),
    ("vehicle.transfer", |i| {
        let a = i.get("side_g")? * STANDARD_GRAVITY;
        Ok(loads::load_transfer(i.get("mass_kg")?, a, i.get("height_m")?, i.get("base_m")?)?)
    }),
    ("vehicle.cornering", |i| Ok(stability::cornering_g(i.speed()?, i.get("radius_m")?)?)),
    ("set.ssf", |i| {
        let track = i.chassis()?.mean_track_m();
        Ok(stability::static_stability_factor(track, i.laden()?.at_m.z)?)
    }),
    ("set.front_share", |i| i.at_rest(&i.set()?.empty())?.front_share().ok_or_else(|| "no load".into())),
    ("set.wheelbase", |i| Ok(i.chassis()?.wheelbase_m())),
    ("set.roll_stiffness_springs", |i| {
        let (front, rear) = i.set()?.axles();
        let bare = |axle: AxleRoll| AxleRoll { bar_n_m_rad: 0.0, ..axle };
        Ok(stability::roll_stiffness(&bare(front), &bare(rear))?)
    }),
    ("set.roll_stiffness", |i| {
        let (front, rear) = i.set()?.axles();
        Ok(stability::roll_stiffness(&front, &rear)?)
    }),
    ("set.roll_rate_deg", |i| Ok(i.set()?.roll_rate_rad_g(&[])?.to_degrees())),
    ("set.compliant", Inputs::compliant),
    ("set.laden_height", |i| Ok(i.laden()?.at_m.z)),
    ("set.laden_behind_front", |i| Ok(-i.laden()?.at_m.x)),
    ("set.laden_front", |i| Ok(i.at_rest(&i.laden()?)?.front_n)),
    ("set.laden_rear", |i| Ok(i.at_rest(&i.laden()?)?.rear_n)),
    ("restraint.blocking", Inputs::blocking),
    ("restraint.blocking_per_end", |i| Ok(i.blocking()? / i.get("ends")?)),
    ("restraint.bar_moment", |i| {
        Ok(restraint::blocking_bar_moment_n_m(i.blocking()? / i.get("bars")?, i.get("span_m")?)?)
    }),
    ("restraint.top_over", Inputs::top_over),
    ("restraint.top_over_whole", |i| whole(i.top_over()?)),
    ("restraint.tipping", Inputs::tipping),
    ("restraint.tipping_whole", |i| whole(i.tipping()?)),
    ("restraint.direct_factor", |i| Ok(i.direct(1)?.hold_factor(i.get("mu")?)?)),
    ("restraint.direct_tension", Inputs::direct_tension),
    ("restraint.direct_demand", |i| {
        Ok(i.direct_tension()? * i.get("count")? * i.direct(1)?.hold_factor(i.get("mu")?)?)
    }),
    ("coefficients.forward", |i| Ok(i.coefficients()?.forward)),
    ("coefficients.rearward", |i| Ok(i.coefficients()?.rearward)),
    ("coefficients.sideways", |i| Ok(i.coefficients()?.sideways)),
    ("coefficients.hold_down", |i| Ok(i.coefficients()?.hold_down)),
    ("tube.area_cm2", |i| Ok(i.tube()?.area_m2() * 1e4)),
    ("tube.inertia_cm4", |i| Ok(i.tube()?.inertia_m4() * 1e8)),
    ("tube.modulus_cm3", |i| Ok(i.tube()?.modulus_m3() * 1e6)),
    ("tube.plastic_cm3", |i| Ok(i.tube()?.plastic_modulus_m3() * 1e6)),
    ("tube.torsion_cm4", |i| Ok(i.tube()?.torsion_m4() * 1e8)),
    ("tube.gyration_cm", |i| Ok(i.tube()?.gyration_m() * 1e2)),
    ("tube.mass", |i| Ok(i.tube()?.mass_per_metre_kg_m(i.get("density_kg_m3")?)?)),
    ("tube.area_in2", |i| Ok(i.tube()?.area_m2() / INCH.powi(2))),
    ("tube.inertia_in4", |i| Ok(i.tube()?.inertia_m4() / INCH.powi(4))),
    ("tube.modulus_in3", |i| Ok(i.tube()?.modulus_m3() / INCH.powi(3))),
    ("tube.plastic_in3", |i| Ok(i.tube()?.plastic_modulus_m3() / INCH.powi(3))),
    ("tube.mass_lb_ft", |i| {
        Ok(i.tube()?.mass_per_metre_kg_m(i.get("density_kg_m3")?)? * 12.0 * INCH / 0.453_592_37)
    }),
    ("tube.shear_coefficient", |i| Ok(i.tube()?.shear_coefficient(i.get("nu")?)?)),
    ("stress.axial", |i| Ok(i.stress()?.axial_pa / 1e6)),
    ("stress.bending", |i| Ok(i.stress()?.bending_pa / 1e6)),
    ("stress.torsion", |i| Ok(i.stress()?.torsion_pa / 1e6)),
    ("stress.shear", |i| Ok(i.stress()?.shear_pa / 1e6)),
    ("stress.fibre", |i| Ok(i.stress()?.von_mises_fibre_pa() / 1e6)),
    ("stress.sum", |i| Ok(i.stress()?.von_mises_sum_pa() / 1e6)),
    ("stress.neutral_axis", |i| Ok(i.stress()?.von_mises_neutral_axis_pa() / 1e6)),
];

/// What this crate gives for a case.
fn computed(case: &Case) -> Answer {
    let (_, quantity) = QUANTITIES
        .iter()
        .find(|(name, _)| *name == case.quantity)
        .ok_or_else(|| format!("no quantity {}", case.quantity))?;
    quantity(&case.inputs)
}

fn allowed(case: &Case) -> f64 {
    if case.absolute { case.tolerance } else { case.tolerance * case.published.abs() }
}

fn all_cases() -> Vec<(&'static str, Case)> {
    let read = |(folder, text)| match toml::from_str::<Cases>(text) {
        Ok(cases) => cases.case.into_iter().map(|case| (folder, case)).collect::<Vec<_>>(),
        Err(_) => Vec::new(),
    };
    SOURCES.into_iter().flat_map(read).collect()
}

#[test]
fn every_published_figure_is_met() {
    let mut misses = Vec::new();
    let cases = all_cases();
    let mut tables: BTreeMap<&str, Vec<Row<'_>>> = BTreeMap::new();
    for (folder, case) in &cases {
        let ours = computed(case).unwrap_or(f64::NAN);
        tables.entry(folder).or_default().push(Row {
            source: &case.source,
            id: &case.id,
            quantity: &case.quantity,
            published: case.published,
            ours,
            unit: &case.unit,
            allowed: allowed(case),
            marker: &case.marker,
        });
    }
    for (folder, rows) in &tables {
        validation::record(folder, rows);
    }
    for (folder, case) in all_cases() {
        let name = format!("{folder} {} {}", case.id, case.quantity);
        match computed(&case) {
            Ok(got) if (got - case.published).abs() <= allowed(&case) => {}
            Ok(got) => misses.push(format!("{name}: {got} {u}, published {}", case.published, u = case.unit)),
            Err(error) => misses.push(format!("{name}: {error}")),
        }
    }
    assert!(misses.is_empty(), "{} misses:\n{}", misses.len(), misses.join("\n"));
}

#[test]
fn the_tables_are_whole() {
    let mut ids = BTreeSet::new();
    let mut used = BTreeSet::new();
    for (folder, text) in SOURCES {
        let cases: Cases = toml::from_str(text).unwrap_or_else(|error| panic!("{folder}: {error}"));
        assert!(!cases.case.is_empty(), "{folder} has no case");
        for case in cases.case {
            assert!(case.tolerance > 0.0 && case.published.is_finite(), "{} {}", folder, case.id);
            let known = !case.source.is_empty() && !case.unit.is_empty();
            let marked = ["looked up", "computed", "from memory"].iter().any(|m| case.marker.contains(m));
            assert!(known && marked, "{folder} {} lacks a source, a unit or a marker", case.id);
            used.insert(case.quantity.clone());
            assert!(ids.insert(case.id.clone()), "{} stands twice", case.id);
        }
    }
    for (name, _) in QUANTITIES {
        assert!(used.contains(*name), "no case asks for {name}");
    }
}

#[test]
fn a_wrong_figure_would_be_seen() {
    for (folder, case) in all_cases() {
        let Ok(got) = computed(&case) else { panic!("{folder} {} has no answer", case.id) };
        // 1.5 % more, or one tenth where the figure is zero, must fall outside every stated tolerance.
        let off = if case.published.abs() > 0.0 { case.published * 1.015 } else { 0.1 };
        assert!((got - off).abs() > allowed(&case), "{folder} {} would let 1.5 % pass", case.id);
    }
}
