//! What the unit between boom tip and payload is: its spring, dampers, stops and pivot.

use crate::fact::Fact;

/// The spring of an isolator.
#[derive(Clone, Debug)]
pub enum Spring {
    /// One or more coil springs.
    Coil(Coil),
    /// One or more air springs.
    Air(Air),
}

/// One coil spring.
#[derive(Clone, Debug)]
pub struct Coil {
    /// Rate of one, N/m.
    pub rate: Fact,
    /// Length without load, m.
    pub free_length: Option<Fact>,
    /// Length with all turns touching, m.
    pub solid_length: Option<Fact>,
    /// Length between its seats as set now, payload held in the middle of the travel, m.
    pub set_length: Option<Fact>,
}

/// One air spring.
#[derive(Clone, Debug)]
pub struct Air {
    /// Effective area, m².
    pub area: Fact,
    /// Air that it works on, with any tank behind it, at the middle of the travel, m³.
    pub volume: Fact,
    /// What its gauge reads now, Pa over the air outside.
    pub pressure: Option<Fact>,
    /// Most that its gauge may read, Pa over the air outside.
    pub greatest_pressure: Option<Fact>,
}

/// Everything about an isolator besides its mass and its stated frequency up and down.
#[derive(Clone, Debug, Default)]
pub struct Unit {
    /// Its spring.
    pub spring: Option<Spring>,
    /// How many springs share the payload; 0 stands for 1.
    pub springs: usize,
    /// Distance of spring and of payload from the pivot of the lever they act through, m.
    pub lever: Option<(Fact, Fact)>,
    /// Natural frequency fore and aft, and sideways, Hz.
    pub sideways: [Option<Fact>; 2],
    /// Damping ratio up and down, fore and aft, sideways.
    pub damping: [Option<Fact>; 3],
    /// Swing pivot under the boom's tip, m.
    pub pivot: Option<Fact>,
    /// Lightest and heaviest payload it is made for, kg.
    pub made_for: Option<(Fact, Fact)>,
    /// From where the payload floats up to the upper stop and down to the lower one, m.
    pub travel: Option<(Fact, Fact)>,
}

impl Unit {
    /// How many springs share the payload.
    pub fn spring_count(&self) -> usize {
        self.springs.max(1)
    }

    /// Every fact of it.
    pub(crate) fn facts_mut(&mut self) -> Vec<Option<&mut Fact>> {
        let mut out = Vec::new();
        match &mut self.spring {
            Some(Spring::Coil(c)) => out.extend([
                Some(&mut c.rate),
                c.free_length.as_mut(),
                c.solid_length.as_mut(),
                c.set_length.as_mut(),
            ]),
            Some(Spring::Air(a)) => out.extend([
                Some(&mut a.area),
                Some(&mut a.volume),
                a.pressure.as_mut(),
                a.greatest_pressure.as_mut(),
            ]),
            None => {}
        }
        for pair in [&mut self.lever, &mut self.made_for, &mut self.travel].into_iter().flatten() {
            out.extend([Some(&mut pair.0), Some(&mut pair.1)]);
        }
        out.extend(self.sideways.iter_mut().chain(&mut self.damping).map(Option::as_mut));
        out.push(self.pivot.as_mut());
        out
    }
}
