//! One value set, or a new key put at the end of its table.

use super::document::{Document, Node, Splice, defined, dotted};
use super::fault::EditFault;
use super::literal::{fresh, instead};
use crate::measured::opposite;
use crate::pass::key_text;
use crate::spec::root::RIG;
use crate::spec::{Need, Shape};

/// Sets `path` to what was typed.
pub(crate) fn set(document: &Document<'_>, path: &[String], typed: &str) -> Result<Vec<Splice>, EditFault> {
    let Some((last, parent)) = path.split_last() else { return Err(EditFault::absent("")) };
    if let Some(node) = document.find(path) {
        // A range: what was typed is its middle.
        if node.is_table() && node.child("value").is_some() && super::literal::braces(typed).is_none() {
            let middle: Vec<String> = path.iter().cloned().chain(["value".to_owned()]).collect();
            return set(document, &middle, typed);
        }
        let Some(span) = node.span() else { return Err(instead_of_table(path, typed)) };
        let new = instead(path, node, document.slice(span.clone()), typed)?;
        return Ok(vec![(span, new)]);
    }
    if let Some(other) = opposite(last).filter(|o| two_ways(parent, last, o))
        && let Some((Some(key), node)) = document.find(parent).and_then(|t| t.child(other))
        && let Some(value) = node.span()
    {
        let new = instead(path, node, document.slice(value.clone()), typed)?;
        return Ok(vec![(key, key_text(last)), (value, new)]);
    }
    let new = fresh(path, typed)?;
    insert(document, path, &new)
}

fn instead_of_table(path: &[String], typed: &str) -> EditFault {
    instead(path, Node::Inline(&toml_edit::InlineTable::new()), "", typed).err().unwrap_or_else(|| {
        EditFault::new(
            format!("`{}` stands under a heading of its own", dotted(path)),
            "a table between braces does not go in its place",
            "set its keys one by one",
        )
    })
}

/// Whether two keys are the two ways of one measure here: the travel of an isolator has both `up` and `down`.
fn two_ways(parent: &[String], key: &str, other: &str) -> bool {
    let Some((_, Some(table))) = defined(parent) else { return true };
    [key, other].iter().all(|k| table.row(k).is_some_and(|r| !matches!(r.need, Need::Required)))
}

/// Puts a new key, written `value`, at the end of its table.
pub(crate) fn insert(
    document: &Document<'_>,
    path: &[String],
    value: &str,
) -> Result<Vec<Splice>, EditFault> {
    // The deepest table that is there; what is missing between it and the key goes between braces.
    let depth =
        (0..path.len()).rev().find(|n| path.get(..*n).and_then(|p| document.find(p)).is_some()).unwrap_or(0);
    let (there, rest) = path.split_at_checked(depth).unwrap_or((&[], path));
    let Some(node) = document.find(there) else { return Err(EditFault::absent(&dotted(there))) };
    let Some((first, deeper)) = rest.split_first() else { return Err(EditFault::absent(&dotted(path))) };
    let shape = |n: usize| path.get(..n).and_then(|p| defined(p)).map(|(row, _)| row.shape);
    let part = RIG.row(path.first().map_or("", String::as_str)).map(|r| r.shape);
    if matches!(part, Some(Shape::Tagged(_))) && depth < 2 {
        let tag = path.get(..2).map_or_else(|| dotted(path), dotted);
        return Err(EditFault::new(
            format!("the file has no `{tag}`"),
            "a value goes into a part that is there",
            "add the part first, or check its tag",
        ));
    }
    if !node.is_table() {
        return Err(EditFault::new(
            format!("`{}` does not go into `{}`", dotted(rest), dotted(there)),
            "that is a value or a list, not a table",
            "check the key; the places of a list count from 1",
        ));
    }
    if (depth..path.len()).any(|n| matches!(shape(n), Some(Shape::List(_)))) {
        return Err(EditFault::absent(&dotted(path)));
    }
    if depth == 0 && !deeper.is_empty() {
        let eol = document.eol();
        let text = deeper_text(deeper, value);
        return Ok(vec![at_end(document, &format!("[{}]{eol}{text}{eol}", key_text(first)))]);
    }
    let written =
        if deeper.is_empty() { value.to_owned() } else { format!("{{ {} }}", deeper_text(deeper, value)) };
    Ok(vec![match node {
        Node::Inline(_) => in_braces(document, there, first, &written)?,
        _ => in_lines(document, there, first, &written),
    }])
}

/// `a = { b = value }` of the steps `a`, `b`.
fn deeper_text(steps: &[String], value: &str) -> String {
    match steps.split_first() {
        Some((only, [])) => format!("{} = {value}", key_text(only)),
        Some((first, rest)) => format!("{} = {{ {} }}", key_text(first), deeper_text(rest, value)),
        None => String::new(),
    }
}

/// Puts text behind everything, a blank line before it.
pub(crate) fn at_end(document: &Document<'_>, text: &str) -> Splice {
    let (end, eol) = (document.text.len(), document.eol());
    let trimmed = document.text.trim_end_matches(['\n', '\r', ' ', '\t']);
    let have = document.slice(trimmed.len()..end).matches('\n').count();
    let gap = if trimmed.is_empty() { 0 } else { 2_usize.saturating_sub(have) };
    (end..end, format!("{}{text}", eol.repeat(gap)))
}

/// Behind the last key of a table between braces, or of dotted keys there.
fn in_braces(document: &Document<'_>, there: &[String], key: &str, value: &str) -> Result<Splice, EditFault> {
    // The braces themselves stand round the dotted keys.
    let mut outer = there.len();
    while outer > 0 && there.get(..outer).and_then(|p| document.find(p)).and_then(Node::span).is_none() {
        outer -= 1;
    }
    let (braces, inside) = there.split_at_checked(outer).unwrap_or((there, &[]));
    let lost = || EditFault::absent(&dotted(there));
    let node = document.find(braces).ok_or_else(lost)?;
    let span = node.span().ok_or_else(lost)?;
    let prefix: String = inside.iter().flat_map(|s| [key_text(s), ".".to_owned()]).collect();
    let leaves = leaves(node);
    let new = format!("{prefix}{} = {value}", key_text(key));
    Ok(match leaves.last() {
        Some((_, last)) => (last.end..last.end, format!(", {new}")),
        None => (span, format!("{{ {new} }}")),
    })
}

/// Keys and values between the braces of a table, dotted ones too, or the values of a list, in order of place.
pub(crate) fn leaves(node: Node<'_>) -> Vec<(Option<std::ops::Range<usize>>, std::ops::Range<usize>)> {
    let mut out = Vec::new();
    for (_, key, child) in node.entries() {
        match child.span() {
            Some(span) => out.push((key, span)),
            None => out.extend(leaves(child)),
        }
    }
    out.sort_by_key(|(_, value)| value.start);
    out
}

/// On a line of its own behind the last line of its table, as the lines there are written.
fn in_lines(document: &Document<'_>, there: &[String], key: &str, value: &str) -> Splice {
    let eol = document.eol();
    let heading = document.headings.iter().position(|h| h.path == there);
    let mine = |l: &&super::document::Line| l.path.len() > there.len() && l.path.starts_with(there);
    let last = if heading.is_some() || there.is_empty() {
        document.under(heading).last()
    } else {
        document.lines.iter().rfind(mine)
    };
    if let Some(line) = last {
        let under = document.heading_of(line.key.start).and_then(|h| document.headings.get(h));
        let above = under.map_or(0, |h| h.path.len());
        let prefix: String = there.iter().skip(above).flat_map(|s| [key_text(s), ".".to_owned()]).collect();
        let start = document.line_start(line.key.start);
        let whole = document.slice(start..line.key.end);
        let indent: String = whole.chars().take_while(|c| matches!(c, ' ' | '\t')).collect();
        let name = format!("{indent}{prefix}{}", key_text(key));
        let between = document.slice(line.key.end..line.value.start);
        let equals = aligned(whole, between, &name);
        let end = document.line_end(line.value.end);
        let closed = document.slice(0..end).ends_with('\n');
        let text = format!("{name}{equals}{value}");
        return (end..end, if closed { format!("{text}{eol}") } else { format!("{eol}{text}") });
    }
    let name = key_text(key);
    if let Some(h) = heading.and_then(|i| document.headings.get(i)) {
        let end = document.line_end(h.span.end);
        let closed = document.slice(0..end).ends_with('\n');
        let text = format!("{name} = {value}");
        return (end..end, if closed { format!("{text}{eol}") } else { format!("{eol}{text}") });
    }
    if there.is_empty() {
        let start = document.line_start(0).max(if document.text.starts_with('\u{feff}') { 3 } else { 0 });
        return (start..start, format!("{name} = {value}{eol}"));
    }
    // Headings below it alone: its own goes before them.
    let below = document.headings.iter().find(|h| h.path.starts_with(there));
    let at = below.map_or(document.text.len(), |h| document.line_start(h.span.start));
    (at..at, format!("[{}]{eol}{name} = {value}{eol}{eol}", dotted(there)))
}

/// ` = ` as in the neighbouring line: its `=` under that one's where keys are filled up with blanks.
fn aligned(whole: &str, between: &str, name: &str) -> String {
    let before = between.chars().take_while(|c| matches!(c, ' ' | '\t')).count();
    let behind: String = between.chars().skip_while(|c| *c != '=').collect();
    if before < 2 {
        return between.to_owned();
    }
    let column = whole.chars().count() + before;
    let fill = column.saturating_sub(name.chars().count()).max(1);
    format!("{}{behind}", " ".repeat(fill))
}
