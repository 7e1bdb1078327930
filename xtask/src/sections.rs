//! Code points at sections of `docs/mechanics.md`, the sections point at functions and tests: both ends must exist.

use crate::Faults;
use crate::sources::{Text, is_rust};
use std::collections::BTreeSet;

/// One heading with a number and what stands under it.
struct Section {
    page: String,
    number: String,
    title: String,
    text: String,
}

fn is_page(path: &str) -> bool {
    path == "docs/mechanics.md" || path.starts_with("docs/mechanics/")
}

/// `## 3.4 Arm` is `("3.4", "Arm")`; a letter after the first number (`4b`) is left out.
fn heading(line: &str) -> Option<(String, String)> {
    let rest = line.trim_start_matches('#');
    let (number, title) = rest.strip_prefix(' ').filter(|_| rest.len() < line.len())?.split_once(' ')?;
    let number = number.trim_end_matches('.');
    let digits = number.split('.').all(|p| !p.is_empty() && p.chars().all(|c| c.is_ascii_digit()));
    digits.then(|| (number.to_owned(), title.to_owned()))
}

fn sections(texts: &[Text]) -> Vec<Section> {
    let mut out: Vec<Section> = Vec::new();
    for page in texts.iter().filter(|t| is_page(&t.path)) {
        let mut open = false;
        for line in page.text.lines() {
            if let Some((number, title)) = heading(line) {
                out.push(Section { page: page.path.clone(), number, title, text: String::new() });
                open = true;
            } else if let Some(section) = out.last_mut().filter(|_| open) {
                section.text.push_str(line);
                section.text.push('\n');
            }
        }
    }
    out
}

/// Section numbers that a text refers to after `mechanics.md`, as in `mechanics.md` §2.1 and §2.6.
fn references(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    for after in text.split("mechanics.md").skip(1) {
        let mut rest = after;
        loop {
            rest = rest.trim_start_matches(|c: char| c.is_whitespace() || "`/!,".contains(c));
            rest = rest.strip_prefix("and ").unwrap_or(rest);
            let Some(number) = rest.strip_prefix('§') else { break };
            let end = number.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(number.len());
            out.push(number[..end].trim_end_matches('.').to_owned());
            rest = &number[end..];
        }
    }
    out
}

/// Everything that code defines: functions, types, constants, and file names.
fn defined(texts: &[Text]) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for text in texts.iter().filter(|t| t.is_rust()) {
        let parts: Vec<&str> = text.path.split('/').collect();
        for from in 0..parts.len() {
            out.insert(parts[from..].join("/"));
        }
        let mut words = text.text.split(|c: char| !c.is_alphanumeric() && c != '_').peekable();
        while let Some(word) = words.next() {
            if ["fn", "struct", "enum", "trait", "const", "mod", "type"].contains(&word)
                && let Some(name) = words.peek()
            {
                out.insert((*name).to_owned());
            }
        }
        // Variants of enums, for example `Lost::Support`.
        out.extend(text.text.lines().filter_map(variant));
    }
    out
}

fn variant(line: &str) -> Option<String> {
    let word = line.trim().trim_end_matches([',', '{', '(', ' ']);
    let name: String = word.chars().take_while(char::is_ascii_alphanumeric).collect();
    name.starts_with(|c: char| c.is_ascii_uppercase()).then_some(name)
}

/// Names in backticks in the paragraphs that begin with `Functions:`, `Tests:`, `Test:` or `Code:`.
fn named(text: &str) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for mark in ["Functions:", "Function:", "Tests:", "Test:", "Code:"] {
        for after in text.split(mark).skip(1) {
            let end = after.find("\n\n").or_else(|| after.find("\n- ")).unwrap_or(after.len());
            let end = after.find("\n- ").map_or(end, |e| e.min(end));
            out.extend(after[..end].split('`').skip(1).step_by(2).map(str::to_owned));
        }
    }
    out
}

fn known(name: &str, defined: &BTreeSet<String>, texts: &[Text]) -> bool {
    if name.ends_with('/') || name.starts_with("sources/") || name.contains("/sources/") {
        let folder = name.trim_end_matches('/');
        return texts.iter().any(|t| t.path.contains(folder));
    }
    if name.contains('/') || is_rust(name) {
        return defined.contains(name) || texts.iter().any(|t| t.path.ends_with(name));
    }
    let last = name.rsplit("::").next().unwrap_or(name);
    defined.contains(last.trim_end_matches("()"))
}

/// Sections that stand for themselves: what is left out, and sums by hand.
fn without_code(section: &Section) -> bool {
    section.title.to_lowercase().contains("not modelled") || section.number.split('.').next() == Some("12")
}

/// Both ends of every reference exist.
pub(crate) fn check(texts: &[Text]) -> Faults {
    let sections = sections(texts);
    let numbers: BTreeSet<&str> = sections.iter().map(|s| s.number.as_str()).collect();
    let defined = defined(texts);
    let mut faults = Faults::new();
    for text in texts.iter().filter(|t| t.is_rust() && t.path.starts_with("crates/")) {
        for number in references(&text.text).iter().filter(|n| !numbers.contains(n.as_str())) {
            faults.push(format!("{}: docs/mechanics.md has no §{number}", text.path));
        }
    }
    for section in &sections {
        let names = named(&section.text);
        for name in names.iter().filter(|n| !known(n, &defined, texts)) {
            faults.push(format!("{} §{}: nothing is called {name}", section.page, section.number));
        }
        let has_parts = sections.iter().any(|s| s.number.starts_with(&format!("{}.", section.number)));
        if names.is_empty() && !has_parts && !without_code(section) {
            faults.push(format!("{} §{}: names no function and no test", section.page, section.number));
        }
    }
    let mut seen = BTreeSet::new();
    for section in sections.iter().filter(|s| !seen.insert(s.number.clone())) {
        faults.push(format!("{} §{}: that number is there twice", section.page, section.number));
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(page: &str, code: &str) -> Vec<Text> {
        let text = |path: &str, text: &str| Text { path: path.to_owned(), text: text.to_owned() };
        vec![text("docs/mechanics.md", page), text("crates/mechanics/src/a.rs", code)]
    }

    const PAGE: &str =
        "# 5. Cups\n\n## 5.1 Vacuum\n\nForce is pressure times area.\n\nFunctions: `hold`. Tests: `holds`.\n";
    const CODE: &str = "/// See `docs/mechanics.md`\n/// §5.1.\nfn hold() {}\nfn holds() {}\n";

    #[test]
    fn both_ends_that_exist_pass() {
        assert_eq!(check(&texts(PAGE, CODE)), Faults::new());
        assert_eq!(
            references("mechanics.md` §2.1 and §2.6). mechanics.md §3.4.6, §4.18\""),
            ["2.1", "2.6", "3.4.6", "4.18"]
        );
    }

    #[test]
    fn each_missing_end_is_found() {
        let wrong_number = CODE.replace("§5.1", "§5.2");
        assert_eq!(check(&texts(PAGE, &wrong_number)).len(), 1);
        assert_eq!(check(&texts(PAGE, &CODE.replace("holds", "held"))).len(), 1);
        let bare = PAGE.replace("Functions: `hold`. Tests: `holds`.", "");
        assert_eq!(check(&texts(&bare, CODE)).len(), 1);
        assert_eq!(check(&texts(&format!("{PAGE}\n## 5.1 Again\n\nTest: `holds`\n"), CODE)).len(), 1);
    }
}
