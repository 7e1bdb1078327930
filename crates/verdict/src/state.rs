//! States: one pose, one motion, one instant of a manoeuvre, one part lost or none.

use crate::context::Context;
use crate::parts::PartRef;
use mechanics::arm::Pose;
use rig::model::{Rig, StrapKind, Vertical};

/// A state by index into the context's lists, with its pose.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StateId {
    /// Index into [`Context::failures`].
    pub failure: usize,
    /// Index into the drives of [`Context::actions`].
    pub drive: usize,
    /// Index into the motions of the arm; 0 is still.
    pub motion: usize,
    /// Pose of the arm; zero where there is none.
    pub pose: Pose,
}

/// `35° L`, `120° R`, `straight ahead`, `straight back`.
pub fn bearing_words(pan_rad: f64) -> String {
    let deg = (pan_rad.to_degrees() * 2.0).round() / 2.0;
    let deg = (deg + 180.0).rem_euclid(360.0) - 180.0;
    if deg.abs() < 0.25 {
        "straight ahead".to_owned()
    } else if deg.abs() > 179.75 {
        "straight back".to_owned()
    } else {
        format!("{}° {}", trim(deg.abs()), if deg > 0.0 { "L" } else { "R" })
    }
}

/// `20° up`, `5° down`, `level`.
pub fn elevation_words(elevation_rad: f64) -> String {
    let deg = (elevation_rad.to_degrees() * 2.0).round() / 2.0;
    if deg.abs() < 0.25 {
        "level".to_owned()
    } else {
        format!("{}° {}", trim(deg.abs()), if deg > 0.0 { "up" } else { "down" })
    }
}

fn trim(deg: f64) -> String {
    if (deg - deg.round()).abs() < 0.01 { format!("{deg:.0}") } else { format!("{deg:.1}") }
}

impl StateId {
    /// The part that is lost in it, in the order of [`Context::failures`]: each cup, then each strap.
    pub fn lost(&self, rig: &Rig) -> Option<PartRef> {
        let cups = (0..rig.cups.len()).map(PartRef::Cup);
        let straps = rig.straps.iter().enumerate().filter(|(_, s)| s.kind == StrapKind::Strap);
        cups.chain(straps.map(|(i, _)| PartRef::Strap(i))).nth(self.failure.checked_sub(1)?)
    }

    /// The state in words: what the car does, where the boom points, what it does, what is lost.
    pub fn words(&self, ctx: &Context<'_>) -> String {
        let mut parts = Vec::new();
        if let Some(drive) = ctx.actions.drives.get(self.drive) {
            let m = &ctx.rig.manoeuvres[drive.manoeuvre];
            let kmh = m.speed.value * 3.6;
            parts.push(match (drive.slow, kmh > 0.5) {
                (true, _) => format!("{} near standstill", m.tag),
                (false, true) => format!("{} at {kmh:.0} km/h", m.tag),
                (false, false) => m.tag.clone(),
            });
            if drive.vertical != 0.0 {
                let word = match (&m.vertical, drive.vertical > 0.0) {
                    (Vertical::Kerb { .. }, true) => "kerb pushing up",
                    (Vertical::Kerb { .. }, false) => "dropping off the kerb",
                    (_, true) => "road pushing up",
                    (_, false) => "road dropping away",
                };
                parts.push(word.to_owned());
            }
            if !drive.gust.words().is_empty() {
                parts.push(drive.gust.words().to_owned());
            }
        }
        if let Some(arm) = &ctx.arm {
            parts.push(format!(
                "boom {}, {}",
                bearing_words(self.pose.pan_rad),
                elevation_words(self.pose.elevation_rad)
            ));
            if let Some(m) = arm.motions.get(self.motion).filter(|_| self.motion > 0) {
                parts.push(m.name.to_owned());
            }
        }
        if let Some(lost) = ctx.failures.get(self.failure).and_then(|f| f.lost) {
            parts.push(format!("{} lost", lost.name(ctx.rig)));
        }
        parts.join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_state_knows_what_is_lost_as_its_context_does() {
        let mut rig = crate::testing::rig();
        let mut tether = rig.straps[0].clone();
        tether.kind = StrapKind::Tether;
        rig.straps.insert(0, tether);
        let ctx = crate::testing::context(&rig);
        assert!(ctx.failures.len() > 5);
        for (failure, f) in ctx.failures.iter().enumerate() {
            assert_eq!(StateId { failure, ..StateId::default() }.lost(&rig), f.lost, "{failure}");
        }
        assert_eq!(StateId { failure: 99, ..StateId::default() }.lost(&rig), None);
    }

    #[test]
    fn directions_read_as_the_trade_says_them() {
        let b = |d: f64| bearing_words(d.to_radians());
        assert_eq!(b(0.0), "straight ahead");
        assert_eq!(b(90.0), "90° L");
        assert_eq!(b(-37.5), "37.5° R");
        assert_eq!(b(180.0), "straight back");
        assert_eq!(b(-180.0), "straight back");
        assert_eq!(b(270.0), "90° R");
        assert_eq!(elevation_words(0.0), "level");
        assert_eq!(elevation_words(-0.0873), "5° down");
    }
}
