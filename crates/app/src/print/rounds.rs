//! What the gauges say, cup by cup.

use super::style::{self, paint};
use super::text::hang;
use crate::notebook::Clock;
use crate::{GO, HOLD, NO_GO};
use mechanics::leak::LeakError;
use quantity::{Kind, System, both_kind, show_kind};
use rig::Rig;
use std::io::{self, Write};
use watch::rounds::CupRounds;

/// What is shown.
pub(crate) struct View<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) rounds: &'a [CupRounds],
    pub(crate) due_ms: Option<i64>,
    pub(crate) now_ms: i64,
    pub(crate) clock: &'a Clock,
}

/// What a cup wants done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Word {
    Holds,
    Read,
    Look,
    Pump,
}

impl Word {
    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Read => "READ",
            Self::Look => "LOOK",
            Self::Pump => "PUMP",
        }
    }
}

impl View<'_> {
    /// What a cup wants, the most urgent.
    pub(crate) fn word(&self, c: &CupRounds) -> Word {
        if c.last().is_none() {
            return Word::Read;
        }
        let age = c.age_s(self.now_ms).unwrap_or(0.0);
        if c.limit_pa.is_none() || c.is_under() || c.left.is_some_and(|l| l.earliest_s <= age) {
            return Word::Pump;
        }
        let odd = matches!(&c.leak, Err(why) if !matches!(why, LeakError::TooFew { .. }));
        if c.leaks_more || odd || !c.unread.is_empty() {
            return Word::Look;
        }
        if age > self.rig.policy.rounds_s { Word::Read } else { Word::Holds }
    }

    /// Exit status: 20 under the limit, 10 where something is to be done.
    pub(crate) fn status(&self) -> u8 {
        let under = |c: &CupRounds| c.is_under() || (c.last().is_some() && c.limit_pa.is_none());
        if self.rounds.iter().any(under) {
            NO_GO
        } else if self.rounds.iter().any(|c| self.word(c) != Word::Holds)
            || self.due_ms.is_none_or(|d| d < self.now_ms)
        {
            HOLD
        } else {
            GO
        }
    }
}

/// A span in the words of a watch: `45 min`, `2 h 10 min`, `over a day`.
pub(crate) fn span(seconds: f64) -> String {
    if !seconds.is_finite() || seconds > 86_400.0 {
        "over a day".to_owned()
    } else if seconds < 90.0 {
        format!("{:.0} s", seconds.max(0.0))
    } else {
        super::steps::minutes((seconds / 60.0).floor())
    }
}

/// Pressure an hour, in both systems.
pub(crate) fn fall(pa_per_s: f64) -> String {
    format!("{} an hour", both_kind(pa_per_s * 3600.0, Kind::Pressure))
}

/// All cups, then when to walk next.
pub(crate) fn write(out: &mut dyn Write, view: &View<'_>) -> io::Result<()> {
    hang(out, "", &format!("Rounds: {}", view.rig.name))?;
    for c in view.rounds {
        let tag = view.rig.cups.get(c.cup).map_or("?", |c| c.tag.as_str());
        let word = view.word(c);
        let style = match word {
            Word::Holds => style::HOLDS,
            Word::Read | Word::Look => style::CLOSE,
            Word::Pump => style::FAIL,
        };
        writeln!(out, "\n{} {}", paint(style::HEAD, &format!("cup {tag}")), paint(style, word.text()))?;
        for line in lines(view, c) {
            hang(out, "  ", &line)?;
        }
    }
    writeln!(out)?;
    match view.due_ms {
        Some(due) if due < view.now_ms => {
            hang(out, "", &format!("The next round was due at {}. Walk it now.", view.clock.shown(due)))
        }
        Some(due) => hang(
            out,
            "",
            &format!(
                "Next round by {}: half the earliest time to a limit, and within {} of the last.",
                view.clock.shown(due),
                span(view.rig.policy.rounds_s)
            ),
        ),
        None => hang(out, "", "No round yet: not every cup was read."),
    }
}

/// What its readings say, a sentence each.
pub(crate) fn lines(view: &View<'_>, c: &CupRounds) -> Vec<String> {
    let mut out = Vec::new();
    let needs = c.limit_pa.map_or_else(
        || "no vacuum that the pump can make is enough for the plan".to_owned(),
        |l| format!("needs {}", both_kind(l, Kind::Pressure)),
    );
    match c.last() {
        None => out.push(format!("never read; {needs}")),
        Some(last) => {
            let pumped = c.reads.iter().rev().take_while(|r| !r.pumped).count();
            let n = c.reads.len().min(pumped + 1);
            let since = if n == 1 { "1 reading".to_owned() } else { format!("{n} readings") };
            out.push(format!(
                "{} at {}; {needs}; {since} since it was pumped",
                both_kind(last.reading.vacuum_pa, Kind::Pressure),
                view.clock.shown(last.at_ms)
            ));
        }
    }
    match &c.leak {
        Ok(leak) => {
            let f = leak.fall_pa_per_s();
            out.push(if leak.seen {
                format!(
                    "loses {}, between {} and {}",
                    fall(f.value),
                    show_kind(f.low * 3600.0, Kind::Pressure, System::Metric),
                    show_kind(f.high * 3600.0, Kind::Pressure, System::Metric)
                )
            } else {
                format!("no leak seen; it is at most {}", fall(f.high))
            });
        }
        Err(LeakError::TooFew { .. }) => {
            out.push("no leak can be told yet: read it again without pumping".to_owned());
        }
        Err(why) => out.push(format!("the readings tell no leak: {why}; {}", why.mend())),
    }
    if let Some(left) = &c.left {
        let likely = left.likely_s.map_or(String::new(), |s| format!(", likely {}", span(s)));
        out.push(format!(
            "to its limit: {} at the earliest{likely}, from that reading",
            span(left.earliest_s)
        ));
    }
    if c.leaks_more {
        out.push("leaks more than the others: take it off, look at lip, valve and seat".to_owned());
    }
    for (number, why) in &c.unread {
        out.push(format!("entry {number} cannot be read: {why}"));
    }
    out
}
