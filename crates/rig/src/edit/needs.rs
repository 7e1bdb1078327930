//! Who names whom.

use super::document::{Document, Node, dotted, steps};
use crate::describe::inner;
use crate::spec::root::RIG;
use crate::spec::{Shape, Table};

/// Parts that name `part`, and parts that name those, in file order (`clamp.K1`, `strap.SF`, `arm`); empty where none does, or
/// where the text or the key cannot be read.
///
/// A cable's `to` and a camera's `item` count as any: what they name must be there.
pub fn dependents(text: &str, part: &str) -> Vec<String> {
    match (Document::read(text), steps(part)) {
        (Ok(document), Ok(path)) => dependents_of(&document, &path),
        _ => Vec::new(),
    }
}

/// One place that names a part.
pub(crate) struct Naming {
    /// The part or table that names it.
    pub(crate) by: Vec<String>,
    /// Tables in which the name is looked for.
    pub(crate) kinds: &'static [&'static str],
    /// The name.
    pub(crate) tag: String,
    /// The bytes of the name, quotes and all.
    pub(crate) at: std::ops::Range<usize>,
}

pub(crate) fn dependents_of(document: &Document<'_>, part: &[String]) -> Vec<String> {
    let all = namings(document);
    let mut gone: Vec<Vec<String>> = vec![part.to_vec()];
    let mut next = 0;
    while let Some(one) = gone.get(next).cloned() {
        next += 1;
        let [kind, tag] = one.as_slice() else { continue };
        for naming in &all {
            let names = naming.tag == *tag && naming.kinds.contains(&kind.as_str());
            if names && !gone.contains(&naming.by) {
                gone.push(naming.by.clone());
            }
        }
    }
    let mut out: Vec<String> = Vec::new();
    for naming in &all {
        let name = dotted(&naming.by);
        if naming.by != part && gone.contains(&naming.by) && !out.contains(&name) {
            out.push(name);
        }
    }
    out
}

/// Every name of a part in a file, in file order.
pub(crate) fn namings(document: &Document<'_>) -> Vec<Naming> {
    let mut out = Vec::new();
    in_table(document.root(), &RIG, &[], &mut out);
    out.sort_by_key(|n| n.at.start);
    out
}

fn in_table(node: Node<'_>, table: &'static Table, path: &[String], out: &mut Vec<Naming>) {
    for (name, _, child) in node.entries() {
        let Some(row) = table.row(&name) else { continue };
        let deeper = with(path, &name);
        if matches!(row.shape, Shape::Tagged(_)) {
            for (tag, _, one) in child.entries() {
                in_shape(one, &Shape::Table(inner(&row.shape).unwrap_or(table)), &with(&deeper, &tag), out);
            }
        } else {
            in_shape(child, &row.shape, &deeper, out);
        }
    }
}

fn in_shape(node: Node<'_>, shape: &Shape, path: &[String], out: &mut Vec<Naming>) {
    match shape {
        Shape::Tag(kinds) => {
            if let (Some(tag), Some(at)) = (node.text(), node.span()) {
                let tagged = path.first().and_then(|k| RIG.row(k)).map(|r| r.shape);
                let depth = if matches!(tagged, Some(Shape::Tagged(_))) { 2 } else { 1 };
                let by = path.get(..depth).unwrap_or(path).to_vec();
                out.push(Naming { by, kinds, tag: tag.to_owned(), at });
            }
        }
        Shape::Table(table) => in_table(node, table, path, out),
        Shape::List(of) => {
            for (place, _, child) in node.entries() {
                in_shape(child, of, &with(path, &place), out);
            }
        }
        _ => {}
    }
}

fn with(path: &[String], step: &str) -> Vec<String> {
    path.iter().cloned().chain([step.to_owned()]).collect()
}
