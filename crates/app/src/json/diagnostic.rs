//! Faults of a rig file.

use rig::{Diagnostic, Reading, Severity, line_column};
use serde::Serialize;

/// A file that was not checked.
#[derive(Debug, Serialize)]
pub(crate) struct Faults {
    exit_status: u8,
    diagnostics: Vec<Fault>,
}

/// One fault.
#[derive(Debug, Serialize)]
pub(crate) struct Fault {
    code: &'static str,
    severity: &'static str,
    #[serde(flatten)]
    place: Place,
    message: String,
    why: String,
    mend: String,
    related: Vec<Related>,
}

/// Where: lines and columns from 1, columns in characters.
#[derive(Debug, Serialize)]
struct Place {
    file: String,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Debug, Serialize)]
struct Related {
    #[serde(flatten)]
    place: Place,
    label: String,
}

impl Faults {
    pub(crate) fn of(reading: &Reading) -> Self {
        Self {
            exit_status: crate::BAD_INPUT,
            diagnostics: reading.diagnostics.iter().map(|d| Fault::of(reading, d)).collect(),
        }
    }
}

impl Fault {
    pub(crate) fn of(reading: &Reading, d: &Diagnostic) -> Self {
        let place = |source: usize, span: &std::ops::Range<usize>| {
            let (file, text) =
                reading.sources.get(source).map_or(("", ""), |s| (s.name.as_str(), s.text.as_str()));
            let ((line, column), (end_line, end_column)) =
                (line_column(text, span.start), line_column(text, span.end));
            Place { file: file.to_owned(), line, column, end_line, end_column }
        };
        Self {
            code: d.code,
            severity: match d.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            place: place(d.source, &d.span),
            message: d.message.clone(),
            why: d.why.clone(),
            mend: d.mend.clone(),
            related: d
                .related
                .iter()
                .map(|(source, span, label)| Related { place: place(*source, span), label: label.clone() })
                .collect(),
        }
    }
}
