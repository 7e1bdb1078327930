//! Steps as they are put together: by name, with the names that must come before.

use crate::step::{Hold, Kind, Record, Stage, Step};

/// A step with the names of those before it.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    pub(crate) step: Step,
    pub(crate) after: Vec<String>,
}

/// The name of a step, and the table of the rig file that it is about.
#[derive(Clone, Debug)]
pub(crate) struct Name {
    pub(crate) text: String,
    pub(crate) about: Option<String>,
}

impl From<&str> for Name {
    fn from(text: &str) -> Self {
        Self { text: text.to_owned(), about: None }
    }
}

impl From<String> for Name {
    fn from(text: String) -> Self {
        Self { text, about: None }
    }
}

impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.text
    }
}

/// The steps so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Draft {
    pub(crate) steps: Vec<Drawn>,
}

impl Draft {
    /// Adds a step after others. Names of parts that the rig lacks are left out by the caller.
    pub(crate) fn put(&mut self, name: impl Into<Name>, stage: Stage, does: impl Into<String>) -> &mut Drawn {
        let Name { text, about } = name.into();
        let step = Step {
            name: text,
            about,
            stage,
            does: does.into(),
            why: String::new(),
            people: 1,
            minutes: 2.0,
            tools: Vec::new(),
            torque_nm: None,
            records: Vec::new(),
            hold: None,
            kept: None,
            is_own: false,
        };
        self.steps.push(Drawn { step, after: Vec::new() });
        let last = self.steps.len() - 1;
        &mut self.steps[last]
    }

    /// Names of a stage so far.
    pub(crate) fn names(&self, which: impl Fn(&Step) -> bool) -> Vec<String> {
        self.steps.iter().filter(|d| which(&d.step)).map(|d| d.step.name.clone()).collect()
    }
}

/// Filling in the step that was put last.
impl Drawn {
    pub(crate) fn after<S: Into<String>>(&mut self, names: impl IntoIterator<Item = S>) -> &mut Self {
        for name in names.into_iter().map(Into::into) {
            if !self.after.contains(&name) {
                self.after.push(name);
            }
        }
        self
    }

    /// What of the rig file it is about, where its name does not say it.
    pub(crate) fn about(&mut self, table: &str) -> &mut Self {
        self.step.about = Some(table.to_owned());
        self
    }

    pub(crate) fn why(&mut self, why: &str) -> &mut Self {
        why.clone_into(&mut self.step.why);
        self
    }

    /// How many people, for how many minutes.
    pub(crate) fn takes(&mut self, people: usize, minutes: f64) -> &mut Self {
        (self.step.people, self.step.minutes) = (people, minutes);
        self
    }

    pub(crate) fn with<S: Into<String>>(&mut self, tools: impl IntoIterator<Item = S>) -> &mut Self {
        self.step.tools.extend(tools.into_iter().map(Into::into));
        self
    }

    pub(crate) fn torque(&mut self, torque_nm: f64) -> &mut Self {
        self.step.torque_nm = torque_nm.is_finite().then_some(torque_nm);
        self
    }

    pub(crate) fn record(
        &mut self,
        kind: Kind,
        key: impl Into<String>,
        what: impl Into<String>,
    ) -> &mut Self {
        self.step.records.push(Record { what: what.into(), kind, key: key.into() });
        self
    }

    pub(crate) fn hold(&mut self, role: &str, says: &str) -> &mut Self {
        self.step.hold = Some(Hold { role: role.to_owned(), says: says.to_owned() });
        self
    }

    /// It cannot be left out, and why.
    pub(crate) fn kept(&mut self, why: &'static str) -> &mut Self {
        self.step.kept = Some(why);
        self
    }
}
