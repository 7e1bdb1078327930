//! `--chart FILE.svg`: a chart written beside what is printed.

use crate::io::Stop;
use draw::chart::Chart;
use std::path::Path;

/// Writes a chart, over an older one of that name. Nothing else than a name that ends in `.svg` is written over.
pub(crate) fn save(path: &Path, chart: &Chart) -> Result<(), Stop> {
    let svg = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg"));
    if !svg {
        return Err(Stop::bad(
            format!("{} is not the name of a drawing", path.display()),
            "a chart is written as SVG: end the name in .svg",
        ));
    }
    std::fs::write(path, chart.svg()).map_err(|e| {
        Stop::bad(format!("cannot write {}: {e}", path.display()), "name another folder or file")
    })
}
