//! The program on a folder of its own with copies of the examples.

use crate::served::Program;
use std::path::{Path, PathBuf};

/// Ends when it is dropped.
pub(crate) struct Server {
    program: Program,
    /// Opened, it makes a browser the lead: `http://127.0.0.1:PORT/open/KEY`.
    pub(crate) lead: String,
    /// Where its rigs and records are.
    pub(crate) folder: PathBuf,
}

impl Server {
    /// A server of a test, known by a name of its own.
    pub(crate) fn start(test: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("serve-{test}"));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        for file in std::fs::read_dir(examples).unwrap() {
            let file = file.unwrap();
            if file.path().is_file() {
                std::fs::copy(file.path(), folder.join(file.file_name())).unwrap();
            }
        }
        let program = Program::over(&folder);
        let lead = format!("http://{}{}", program.at, program.key);
        Self { program, lead, folder }
    }

    /// `http://127.0.0.1:PORT`
    pub(crate) fn origin(&self) -> String {
        format!("http://{}", self.program.at)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}
