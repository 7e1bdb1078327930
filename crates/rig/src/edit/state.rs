//! A value stated as it was found, and a table of its own for something that was found.

use super::copy::behind;
use super::document::{Document, Splice, defined, dotted};
use super::fault::EditFault;
use super::literal::fresh;
use super::set::set;

/// Sets a value; a range with its low and high gives way to it.
pub(crate) fn state(document: &Document<'_>, path: &[String], typed: &str) -> Result<Vec<Splice>, EditFault> {
    match document.find(path) {
        Some(node) if node.is_table() && node.child("value").is_some() => {
            let span = node.span().ok_or_else(|| {
                EditFault::new(
                    format!("`{}` stands as a range on lines of its own", dotted(path)),
                    "one value does not go in its place",
                    "write the range between braces, or state it in the file by hand",
                )
            })?;
            Ok(vec![(span, fresh(path, typed)?)])
        }
        _ => set(document, path, typed),
    }
}

/// A new table under a heading, behind the last that belongs to the same part, else behind the part itself.
pub(crate) fn table(
    document: &Document<'_>,
    path: &[String],
    with: &[(&str, &str)],
) -> Result<Vec<Splice>, EditFault> {
    let Some(definition) = defined(path).and_then(|(_, table)| table) else {
        return Err(EditFault::new(
            format!("`{}` is no table of the format", dotted(path)),
            "only a table that the format knows can be added",
            "check the key",
        ));
    };
    if document.find(path).is_some() {
        return Err(EditFault::new(
            format!("the file has a `{}` already", dotted(path)),
            "two of one name cannot be told apart",
            "choose another name",
        ));
    }
    let of = path.len().checked_sub(2).and_then(|n| path.get(..n)).unwrap_or(&[]);
    if document.find(of).is_none() {
        return Err(EditFault::absent(&dotted(of)));
    }
    let mut lines = Vec::new();
    for (key, typed) in with {
        if definition.row(key).is_none() {
            return Err(EditFault::absent(&format!("{}.{key}", dotted(path))));
        }
        let whole: Vec<String> = path.iter().cloned().chain([(*key).to_owned()]).collect();
        lines.push((vec![(*key).to_owned()], fresh(&whole, typed)?));
    }
    Ok(vec![behind(document, of, path, &lines)])
}
