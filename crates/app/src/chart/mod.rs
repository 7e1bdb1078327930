//! Charts of a rig: what is in them. Some are written beside what is printed: `--chart FILE.svg`.

pub(crate) mod around;
pub(crate) mod balance;
pub(crate) mod charge;
pub(crate) mod loads;
pub(crate) mod places;
pub(crate) mod rounds;
pub(crate) mod sectors;
pub(crate) mod settling;
pub(crate) mod shaking;
pub(crate) mod speeds;
#[cfg(test)]
mod tests;
pub(crate) mod transmissibility;
pub(crate) mod vacuum;

use crate::io::Stop;
use draw::chart::{Chart, Width};
use draw::view::Medium;
use std::path::Path;

/// How wide a chart is for a medium; print has a page's width.
pub(crate) fn width(medium: Medium) -> Width {
    if medium == Medium::Phone { Width::Phone } else { Width::Page }
}

/// Refuses a name that is not a drawing's: nothing else than a name that ends in `.svg` is written over.
pub(crate) fn named(path: &Path) -> Result<(), Stop> {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg")) {
        return Ok(());
    }
    Err(Stop::bad(
        format!("{} is not the name of a drawing", path.display()),
        "drawings are written as SVG: end the name in .svg",
    ))
}

/// Writes a chart, over an older one of that name.
pub(crate) fn save(path: &Path, chart: &Chart) -> Result<(), Stop> {
    save_svg(path, &chart.svg())
}

/// Writes a drawing, over an older one of that name.
pub(crate) fn save_svg(path: &Path, svg: &str) -> Result<(), Stop> {
    named(path)?;
    std::fs::write(path, svg).map_err(|e| {
        Stop::bad(format!("cannot write {}: {e}", path.display()), "name another folder or file")
    })
}
