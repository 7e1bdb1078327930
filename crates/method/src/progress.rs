//! How far the work is: what is done, what may be done next, what stands in the way.

use crate::graph::Method;
use std::collections::BTreeSet;

/// Steps done and signed, as places in the order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Done, or left out with a reason.
    pub done: BTreeSet<usize>,
    /// Of those: left out with a reason.
    pub left_out: BTreeSet<usize>,
    /// Signed.
    pub signed: BTreeSet<usize>,
    /// What has been written down: step, and the record's place in it.
    pub written: BTreeSet<(usize, usize)>,
}

/// Why a step cannot be called done now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// These come first and are not done.
    NotYet(Vec<usize>),
    /// These hold points come first and are not signed.
    NotSigned(Vec<usize>),
    /// This is to be written down first: places in the step's records.
    NotWritten(Vec<usize>),
}

impl Progress {
    /// Whether a step is done, written down and signed: what comes after it may begin.
    pub fn is_clear(&self, method: &Method, step: usize) -> bool {
        self.done.contains(&step) && (method.steps[step].hold.is_none() || self.signed.contains(&step))
    }

    /// Why a step may not be called done, if it may not.
    pub fn refuses(&self, method: &Method, step: usize) -> Option<Refusal> {
        let before = &method.before[step];
        let undone: Vec<usize> = before.iter().copied().filter(|b| !self.done.contains(b)).collect();
        if !undone.is_empty() {
            return Some(Refusal::NotYet(undone));
        }
        // One that was taken back later, or never signed, stops all that was to follow.
        let all = method.all_before(step);
        let undone: Vec<usize> = all.iter().copied().filter(|b| !self.done.contains(b)).collect();
        if !undone.is_empty() {
            return Some(Refusal::NotYet(undone));
        }
        let open: Vec<usize> = all.into_iter().filter(|b| !self.is_clear(method, *b)).collect();
        if !open.is_empty() {
            return Some(Refusal::NotSigned(open));
        }
        let unwritten = self.unwritten(method, step);
        (!unwritten.is_empty()).then_some(Refusal::NotWritten(unwritten))
    }

    /// What a step asks to be written down and is not.
    pub fn unwritten(&self, method: &Method, step: usize) -> Vec<usize> {
        (0..method.steps[step].records.len()).filter(|r| !self.written.contains(&(step, *r))).collect()
    }

    /// Steps called done for which something was to be written down, and is not.
    pub fn owing(&self, method: &Method) -> Vec<usize> {
        let owes = |s: &usize| !self.left_out.contains(s) && !self.unwritten(method, *s).is_empty();
        self.done.iter().copied().filter(owes).collect()
    }

    /// Steps that may be done now.
    pub fn next(&self, method: &Method) -> Vec<usize> {
        let free = |s: &usize| {
            !self.done.contains(s) && method.all_before(*s).iter().all(|b| self.is_clear(method, *b))
        };
        (0..method.steps.len()).filter(free).collect()
    }

    /// Hold points whose step is done and that nobody has signed.
    pub fn unsigned(&self, method: &Method) -> Vec<usize> {
        let open =
            |s: &usize| method.steps[*s].hold.is_some() && self.done.contains(s) && !self.signed.contains(s);
        (0..method.steps.len()).filter(open).collect()
    }

    /// Whether all is done and signed.
    pub fn is_complete(&self, method: &Method) -> bool {
        (0..method.steps.len()).all(|s| self.is_clear(method, s))
    }
}
