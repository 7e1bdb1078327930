//! "Did you mean": the nearest of the words that would have been right.

/// The candidate nearest to `word`, if it is near enough to be a slip of the finger.
///
/// Optimal string alignment distance (a swap of neighbours counts one), capitals aside; at most a third of the length.
pub(crate) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = fold(word);
    if word.len() > 80 {
        return None;
    }
    candidates
        .into_iter()
        .map(|c| {
            let folded = fold(c);
            (distance(&word, &folded), c, folded.len().max(word.len()))
        })
        .filter(|(d, c, length)| *d <= *length / 3 || starts(c, &word))
        .min_by_key(|(d, _, _)| *d)
        .map(|(_, c, _)| c)
}

/// Whether a candidate goes on from what was written (`estate` for `estate car`).
fn starts(candidate: &str, word: &[char]) -> bool {
    word.len() >= 3 && fold(candidate).starts_with(word)
}

fn fold(word: &str) -> Vec<char> {
    word.chars().flat_map(char::to_lowercase).map(|c| if c == '-' || c == ' ' { '_' } else { c }).collect()
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let at = |v: &[usize], k: usize| v.get(k).copied().unwrap_or(usize::MAX / 2);
            let mut best =
                (at(&last, j) + usize::from(x != y)).min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            let swapped = i > 0 && j > 0 && a.get(i - 1) == Some(y) && b.get(j - 1) == Some(x);
            if swapped {
                best = best.min(at(&before, j - 1) + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_finger_are_found_and_strangers_are_not() {
        let keys = ["mass", "length", "width", "thickness", "crown_along"];
        assert_eq!(nearest("lenght", keys), Some("length"));
        assert_eq!(nearest("Mass", keys), Some("mass"));
        assert_eq!(nearest("crown-along", keys), Some("crown_along"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("K", ["A", "B"]), None, "one letter is no slip of another");
        assert_eq!(nearest("estate", ["van", "estate car"]), Some("estate car"));
        assert_eq!(nearest("", keys), None);
    }
}
