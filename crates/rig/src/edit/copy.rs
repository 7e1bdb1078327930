//! A new table behind the last of its kind, and a part's keys to be written again.

use super::document::{Document, Node, Splice, dotted};
use super::fault::EditFault;
use super::set::at_end;
use std::ops::Range;

/// A key of a part: its steps from the part, and the bytes of its value.
pub(crate) type Leaf = (Vec<String>, Range<usize>);

/// The keys of a part in the order of the file, however it is written.
pub(crate) fn leaves(document: &Document<'_>, part: &[String]) -> Result<Vec<Leaf>, EditFault> {
    let node =
        document.find(part).filter(|n| n.is_table()).ok_or_else(|| EditFault::absent(&dotted(part)))?;
    let mut out = Vec::new();
    gather(node, &[], &mut out).ok_or_else(|| {
        EditFault::new(
            format!("`{}` cannot be written again", dotted(part)),
            "it has tables under `[[ ]]`",
            "write them between brackets: `path = [ ... ]`",
        )
    })?;
    out.sort_by_key(|(_, span)| span.start);
    Ok(out)
}

fn gather(node: Node<'_>, path: &[String], out: &mut Vec<Leaf>) -> Option<()> {
    for (name, _, child) in node.entries() {
        let deeper: Vec<String> = path.iter().cloned().chain([name]).collect();
        match (child, child.span()) {
            (Node::Tables(_), _) => return None,
            (_, Some(span)) => out.push((deeper, span)),
            _ => gather(child, &deeper, out)?,
        }
    }
    Some(())
}

/// A table with its heading, behind the last of its kind.
pub(crate) fn behind_last(
    document: &Document<'_>,
    part: &[String],
    lines: &[(Vec<String>, String)],
) -> Splice {
    behind(document, part.get(..1).unwrap_or(part), part, lines)
}

/// A table with its heading, behind the last heading under `kind`; at the end where there is none.
pub(crate) fn behind(
    document: &Document<'_>,
    kind: &[String],
    part: &[String],
    lines: &[(Vec<String>, String)],
) -> Splice {
    let eol = document.eol();
    let mut text = format!("[{}]{eol}", dotted(part));
    for (key, value) in lines {
        text.extend([dotted(key).as_str(), " = ", value, eol]);
    }
    let Some(last) = document.headings.iter().rposition(|h| h.path.starts_with(kind)) else {
        return at_end(document, &text);
    };
    let heading = document.headings.get(last).map_or(0, |h| h.span.end);
    let mut end = document.line_end(document.under(Some(last)).last().map_or(heading, |l| l.value.end));
    // Remarks directly below are about it, those directly above the next heading about that.
    let mut below = end;
    while below < document.text.len() {
        let next = document.line_end(below);
        if !document.slice(below..next).trim_start().starts_with('#') {
            break;
        }
        below = next;
    }
    if below == document.text.len() || document.slice(below..document.line_end(below)).trim().is_empty() {
        end = below;
    }
    if document.slice(0..end).ends_with('\n') {
        (end..end, format!("{eol}{text}"))
    } else {
        (end..end, format!("{eol}{eol}{}", text.trim_end_matches(['\n', '\r'])))
    }
}
