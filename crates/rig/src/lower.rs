//! From the tables of the file to the model: one file per kind of table.

mod arm;
mod camera;
pub(crate) mod clamp;
mod context;
pub(crate) mod cup;
pub(crate) mod geometry;
mod isolator;
mod manoeuvre;
pub(crate) mod panel;
mod place;
pub(crate) mod platform;
mod policy;
mod power;
mod strap;
pub(crate) mod tube;
mod vehicle;
mod wiring;

pub(crate) use context::{Context, View};

use crate::diagnostic::{Diagnostic, Severity};
use crate::house::House;
use crate::model::Rig;
use crate::parts::Library;
use crate::record::Record;
use glam::DVec3;

/// The model, if the file has no fault that stops it.
pub(crate) fn lower(root: &Record, parts: &Library, faults: &mut Vec<Diagnostic>) -> Option<Rig> {
    let mut cx = Context { root, parts, faults, datum: DVec3::ZERO };
    let site = vehicle::site(&mut cx);
    let vehicle = vehicle::vehicle(&mut cx);
    if let Some(vehicle) = &vehicle {
        cx.datum = vehicle.datum;
    } else if let Some(datum) = vehicle::datum(&mut cx) {
        cx.datum = datum;
    }
    let panels = panel::panels(&mut cx);
    let tubes = tube::tubes(&mut cx, &panels);
    let platforms = platform::platforms(&mut cx);
    let cups = cup::cups(&mut cx, &panels, &tubes, &platforms);
    let clamps = clamp::clamps(&mut cx, &tubes);
    let legs = platform::legs(&mut cx, &tubes, &platforms);
    let straps = strap::straps(&mut cx, &tubes, &cups, &platforms);
    let items = platform::items(&mut cx, &tubes);
    let arm = arm::arm(&mut cx, &platforms);
    let power = power::power(&mut cx, site.as_ref());
    let camera = camera::camera(&mut cx);
    let manoeuvres = manoeuvre::manoeuvres(&mut cx);
    let policy = policy::policy(&mut cx);
    if faults.iter().any(|f| f.severity == Severity::Error) {
        return None;
    }
    Some(Rig {
        name: root.text("name").unwrap_or_default().to_owned(),
        note: root.text("note").unwrap_or_default().to_owned(),
        site: site?,
        vehicle: vehicle?,
        panels: all(panels)?,
        cups: all(cups)?,
        tubes: all(tubes)?,
        clamps: all(clamps)?,
        platforms: all(platforms)?,
        legs: all(legs)?,
        straps: all(straps)?,
        items: all(items)?,
        arm: arm.ok()?,
        power: power.ok()?,
        camera: camera.ok()?,
        manoeuvres: all(manoeuvres)?,
        policy: policy?,
        house: House::default(),
    })
}

fn all<T>(list: Vec<Option<T>>) -> Option<Vec<T>> {
    list.into_iter().collect()
}
