//! A load into cases, bundles and single pieces.

use crate::pack::{LONG_M, Line, Load, count};
use mechanics::lift::{Duration, Grip, LiftError, Place, Task, lift};

/// Most that a case may weigh where nothing else is asked, kg: what the lifting equation allows one person at best.
pub const CASE_KG: f64 = 23.0;

/// How pieces travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// In a case.
    Case,
    /// Tied with others as long.
    Bundle,
    /// By itself: heavier than a case may be.
    Alone,
    /// With other things of which no mass is stated.
    Unweighed,
}

/// Something that is carried to the van in one go.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// How.
    pub way: Way,
    /// Which lines of the load, and how many of each.
    pub pieces: Vec<(usize, usize)>,
    /// kg; 0 for what has none stated.
    pub mass_kg: f64,
    /// Fewest people at whom the lifting index from the ground to a van's floor is 1 or less; `None`: more than three, or a barrow.
    pub people: Option<usize>,
}

/// One piece.
#[derive(Clone, Copy)]
struct Piece {
    line: usize,
    kg: f64,
}

/// Puts every piece of a load into exactly one case: heaviest first into the first case that still takes it.
///
/// First-fit decreasing: at most `11/9 OPT + 6/9` cases (Dosa 2007 \[from memory\]). Pieces longer than [`LONG_M`] go in bundles by length;
/// what weighs more than the limit travels alone.
///
/// # Errors
///
/// [`LiftError`] if a mass or the limit is no number, or negative.
pub fn cases(load: &Load, most_kg: f64) -> Result<Vec<Case>, LiftError> {
    people(most_kg)?;
    let mut out: Vec<Case> = Vec::new();
    let mut shelves: Vec<(Option<i64>, Vec<Piece>)> = Vec::new();
    let mut unweighed = Vec::new();
    for (i, line) in load.lines.iter().enumerate() {
        let Some(kg) = line.each_kg else {
            unweighed.push((i, line.count));
            continue;
        };
        people(kg)?;
        if kg > most_kg {
            for _ in 0..line.count {
                out.push(Case { way: Way::Alone, pieces: vec![(i, 1)], mass_kg: kg, people: people(kg)? });
            }
            continue;
        }
        let shelf = bundle_mm(line);
        let pieces = std::iter::repeat_n(Piece { line: i, kg }, line.count);
        match shelves.iter_mut().find(|s| s.0 == shelf) {
            Some((_, list)) => list.extend(pieces),
            None => shelves.push((shelf, pieces.collect())),
        }
    }
    // Cases first, then bundles from the longest.
    shelves.sort_by_key(|s| s.0.map_or(i64::MIN, |mm| -mm));
    for (shelf, pieces) in shelves {
        let way = if shelf.is_some() { Way::Bundle } else { Way::Case };
        for (kg, pieces) in fit(pieces, most_kg) {
            out.push(Case { way, pieces, mass_kg: kg, people: people(kg)? });
        }
    }
    if !unweighed.is_empty() {
        out.push(Case { way: Way::Unweighed, pieces: unweighed, mass_kg: 0.0, people: Some(1) });
    }
    out.sort_by_key(|c| match c.way {
        Way::Case => 0,
        Way::Bundle => 1,
        Way::Alone => 2,
        Way::Unweighed => 3,
    });
    Ok(out)
}

/// Which bundle a piece goes into: its length in mm, where it is long.
fn bundle_mm(line: &Line) -> Option<i64> {
    let mm = (line.length_m? * 1e3).round();
    // A length that is out of all measure is bundled as the longest.
    #[allow(clippy::cast_possible_truncation, reason = "clamped")]
    (mm > LONG_M * 1e3).then_some(mm.clamp(0.0, 1e9) as i64)
}

/// First-fit decreasing; each case with its mass and how many of each line.
fn fit(mut pieces: Vec<Piece>, most_kg: f64) -> Vec<(f64, Vec<(usize, usize)>)> {
    pieces.sort_by(|a, b| b.kg.total_cmp(&a.kg).then(a.line.cmp(&b.line)));
    let mut out: Vec<(f64, Vec<(usize, usize)>)> = Vec::new();
    for piece in pieces {
        // Ten times 2.3 kg are 23 kg, whatever the last digit says.
        let takes = |c: &&mut (f64, _)| c.0 + piece.kg <= most_kg + 1e-9;
        match out.iter_mut().find(takes) {
            Some((kg, inside)) => {
                *kg += piece.kg;
                match inside.iter_mut().find(|(line, _)| *line == piece.line) {
                    Some((_, n)) => *n += 1,
                    None => inside.push((piece.line, 1)),
                }
            }
            None => out.push((piece.kg, vec![(piece.line, 1)])),
        }
    }
    out
}

/// Fewest people who lift it from the ground to a van's floor at 0.75 m with good handles, close to the body.
///
/// # Errors
///
/// [`LiftError`] if the mass is no number, or negative.
pub fn people(kg: f64) -> Result<Option<usize>, LiftError> {
    let at = |height_m| Place { reach_m: 0.25, height_m, twist_rad: 0.0 };
    let task = Task {
        from: at(0.2),
        to: at(0.75),
        rate_hz: 0.0,
        duration: Duration::UpTo1h,
        grip: Grip::Good,
        control_at_end: true,
    };
    Ok(lift(kg, &task, 1)?.least)
}

impl Load {
    /// How many pieces there are.
    pub fn pieces(&self) -> usize {
        self.lines.iter().map(|l| l.count).sum()
    }

    /// Mass of a case's own pieces by the load's lines, kg.
    pub fn mass_of(&self, case: &Case) -> f64 {
        let of = |(line, n): &(usize, usize)| {
            self.lines.get(*line).and_then(|l| l.each_kg).map_or(0.0, |kg| kg * count(*n))
        };
        case.pieces.iter().map(of).sum()
    }
}
