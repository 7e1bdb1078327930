//! The generated pages: `docs/file-format.md` and `docs/validation.md`.

use crate::{Faults, run, validation};
use std::path::Path;

fn pages(root: &Path) -> Result<[(&'static str, String); 2], String> {
    Ok([
        ("docs/file-format.md", rig::file_format_markdown()),
        ("docs/validation.md", validation::page(&validation::read(&validation::folder(root))?)),
    ])
}

/// Writes both pages from the definition of the file and from the outside checks that ran last; names those that changed.
fn rewrite(root: &Path) -> Result<Vec<&'static str>, String> {
    let mut changed = Vec::new();
    for (name, text) in pages(root)? {
        let path = root.join(name);
        if std::fs::read_to_string(&path).ok().as_deref() != Some(&text) {
            std::fs::write(&path, text).map_err(|error| format!("{name}: {error}"))?;
            changed.push(name);
        }
    }
    Ok(changed)
}

/// Writes both pages.
pub(crate) fn write(root: &Path) -> Faults {
    match rewrite(root) {
        Ok(changed) => {
            for name in changed {
                println!("{name} is new");
            }
            Faults::new()
        }
        Err(fault) => vec![fault],
    }
}

/// Writes both pages and fails if that changed one; on a clean checkout (`CI` set) the whole tree must stay clean as well.
pub(crate) fn must_be_current(root: &Path) -> Faults {
    let mut faults: Faults = match rewrite(root) {
        Ok(changed) => changed
            .iter()
            .map(|name| format!("{name} was out of date and has been written anew; look at it and commit it"))
            .collect(),
        Err(fault) => vec![fault],
    };
    if faults.is_empty() && std::env::var_os("CI").is_some() {
        faults = run::tree_is_clean(root);
    }
    faults
}
