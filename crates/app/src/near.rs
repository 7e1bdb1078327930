//! "Did you mean": the nearest of the words that would have been right.

/// The choice nearest to `word`, if near enough to be a slip of the finger or its beginning.
pub(crate) fn nearest<'a>(word: &str, choices: &'a [String]) -> Option<&'a str> {
    let word: Vec<char> = word.to_lowercase().chars().take(60).collect();
    let scored = choices.iter().filter_map(|c| {
        let folded: Vec<char> = c.to_lowercase().chars().collect();
        let steps = distance(&word, &folded);
        let starts = word.len() >= 3
            && (folded.starts_with(&word)
                || c.to_lowercase().split('-').any(|p| p.chars().eq(word.iter().copied())));
        (starts || steps <= word.len().max(folded.len()) / 3).then_some((steps, c))
    });
    scored.min_by_key(|(steps, _)| *steps).map(|(_, c)| c.as_str())
}

/// Letters to change, add or leave out; a swap of neighbours counts one.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut older: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let get = |v: &[usize], k: usize| v.get(k).copied().unwrap_or(1000);
            let mut best =
                (get(&above, j) + usize::from(x != y)).min(get(&above, j + 1) + 1).min(get(&row, j) + 1);
            if i > 0 && j > 0 && a.get(i - 1) == Some(y) && b.get(j - 1) == Some(x) {
                best = best.min(get(&older, j - 1) + 1);
            }
            row.push(best);
        }
        older = std::mem::replace(&mut above, row);
    }
    above.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_and_beginnings_are_found_and_strangers_are_not() {
        let names: Vec<String> = ["cup-seal", "cup-slip", "retention", "rollover"].map(String::from).into();
        assert_eq!(nearest("cup-slpi", &names), Some("cup-slip"));
        assert_eq!(nearest("CUP-SEAL", &names), Some("cup-seal"));
        assert_eq!(nearest("reten", &names), Some("retention"));
        assert_eq!(nearest("slip", &names), Some("cup-slip"));
        assert_eq!(nearest("weather", &names), None);
    }
}
