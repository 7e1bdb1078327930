//! Keys and parts taken out.

use super::document::{Document, Line, Node, Splice, dotted, steps};
use super::fault::EditFault;
use super::needs::dependents_of;
use super::set::leaves;
use std::ops::Range;

/// Takes parts out, if nothing that stays names them.
pub(crate) fn remove(document: &Document<'_>, parts: &[&str]) -> Result<Vec<Splice>, EditFault> {
    let paths: Vec<Vec<String>> = parts.iter().map(|p| steps(p)).collect::<Result<_, _>>()?;
    for (path, part) in paths.iter().zip(parts) {
        if !document.find(path).is_some_and(Node::is_table) {
            return Err(EditFault::absent(part));
        }
    }
    let staying = |d: &String| !paths.iter().any(|p| dotted(p) == *d);
    for path in &paths {
        let needed: Vec<String> = dependents_of(document, path).into_iter().filter(staying).collect();
        if !needed.is_empty() {
            return Err(EditFault::new(
                format!("`{}` cannot go alone", dotted(path)),
                format!("it is named by {}", needed.join(", ")),
                "take those out as well, or let them name another first",
            ));
        }
    }
    let mut all = Vec::new();
    for path in &paths {
        all.extend(take(document, path)?);
    }
    Ok(merged(all))
}

/// Takes a key out, or all that stands under a heading.
pub(crate) fn clear(document: &Document<'_>, path: &[String]) -> Result<Vec<Splice>, EditFault> {
    Ok(merged(take(document, path)?))
}

fn merged(mut spans: Vec<Range<usize>>) -> Vec<Splice> {
    spans.sort_by_key(|s| s.start);
    let mut out: Vec<Splice> = Vec::new();
    for span in spans {
        match out.last_mut() {
            Some((last, _)) if span.start < last.end => last.end = last.end.max(span.end),
            _ => out.push((span, String::new())),
        }
    }
    out
}

fn take(document: &Document<'_>, path: &[String]) -> Result<Vec<Range<usize>>, EditFault> {
    let absent = || EditFault::absent(&dotted(path));
    let node = document.find(path).ok_or_else(absent)?;
    if let Some(span) = node.span() {
        let line = document.lines.iter().find(|l| l.value == span && l.path == path);
        return Ok(vec![match line {
            Some(line) => whole_line(document, line),
            None => from_list(document, path, &span).ok_or_else(absent)?,
        }]);
    }
    if let Node::Inline(_) = node {
        // Dotted keys between braces, from the last.
        let spans =
            leaves(node).into_iter().map(|(_, v)| from_list(document, path, &v)).collect::<Option<Vec<_>>>();
        return spans.ok_or_else(absent);
    }
    let mine = |p: &[String]| p.starts_with(path);
    let mut out: Vec<Range<usize>> = Vec::new();
    for (i, heading) in document.headings.iter().enumerate() {
        if mine(&heading.path) {
            out.push(section(document, i));
        }
    }
    for line in document.lines.iter().filter(|l| mine(&l.path)) {
        let under = document.heading_of(line.key.start).and_then(|i| document.headings.get(i));
        if !under.is_some_and(|h| mine(&h.path)) {
            out.push(whole_line(document, line));
        }
    }
    Ok(out)
}

/// The lines of a key and its value, with the remark behind it.
fn whole_line(document: &Document<'_>, line: &Line) -> Range<usize> {
    let (start, end) = (document.line_start(line.key.start), document.line_end(line.value.end));
    // The last line of a file that does not end in a line break takes the one before it along.
    if end == document.text.len() && !document.text.ends_with('\n') {
        let before = document.slice(0..start).trim_end_matches(['\n', '\r']).len();
        return if document.slice(before..start).matches('\n').count() == 1 {
            before..end
        } else {
            start..end
        };
    }
    start..end
}

/// A heading with its lines, the remark lines directly above it and directly below its last line, and the blank lines behind.
fn section(document: &Document<'_>, index: usize) -> Range<usize> {
    let Some(heading) = document.headings.get(index) else { return 0..0 };
    let start = with_remarks(document, document.line_start(heading.span.start));
    let mut end = document.under(Some(index)).last().map_or(heading.span.end, |l| l.value.end);
    end = document.line_end(end);
    let next = document.headings.get(index + 1).map(|h| document.line_start(h.span.start));
    let limit = next.map_or(document.text.len(), |n| with_remarks(document, n)).max(end);
    let line = |at: usize| document.slice(at..document.line_end(at));
    while end < limit && line(end).trim_start().starts_with('#') {
        end = document.line_end(end);
    }
    while end < limit && line(end).trim().is_empty() {
        end = document.line_end(end);
    }
    if end == document.text.len() {
        // Nothing follows: the blank lines before it go, and the line before ends as the file did.
        let before = document.slice(0..start).trim_end_matches(['\n', '\r', ' ', '\t']).len();
        let closed = document.text.ends_with('\n');
        let kept = if closed && before > 0 { document.line_end(before) } else { before };
        return kept.min(start)..end;
    }
    start..end
}

/// Start of the remark lines directly above a line.
fn with_remarks(document: &Document<'_>, start: usize) -> usize {
    let mut at = start;
    while at > 0 {
        let above = document.line_start(at - 1);
        if above == at || !document.slice(above..at).trim_start().starts_with('#') {
            break;
        }
        at = above;
    }
    // The remark lines on top of a file are about the file.
    if at == document.line_start(0) && at < start { start } else { at }
}

/// A key between braces, or a value of a list, with the comma that goes with it.
fn from_list(document: &Document<'_>, path: &[String], span: &Range<usize>) -> Option<Range<usize>> {
    let mut outer = path.len().checked_sub(1)?;
    // The braces or brackets round it.
    while document.find(path.get(..outer)?)?.span().is_none() {
        outer = outer.checked_sub(1)?;
    }
    let around = document.find(path.get(..outer)?)?;
    let all = leaves(around);
    let index = all.iter().position(|(_, v)| v == span)?;
    let open = around.span()?.start + 1;
    let before = index.checked_sub(1).and_then(|i| all.get(i)).map(|(_, v)| v.end);
    let from = begins(document, before.unwrap_or(open), span.start);
    match (before, all.get(index + 1)) {
        (_, Some((_, next))) => Some(from..begins(document, span.end, next.start)),
        (Some(before), None) => Some(before..span.end),
        (None, None) => Some(from..span.end),
    }
}

/// Where a key or value begins behind `at`: blanks, commas and remarks passed over.
fn begins(document: &Document<'_>, mut at: usize, end: usize) -> usize {
    while at < end {
        let rest = document.slice(at..end);
        match rest.chars().next() {
            Some('#') => at = document.line_end(at),
            Some(c) if c == ',' || c.is_whitespace() => at += c.len_utf8(),
            _ => break,
        }
    }
    at.min(end)
}
