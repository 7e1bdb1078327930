//! `clingfish serve` on a folder and a port that the system picks, ended with the test.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

/// Ends when it is dropped.
pub(crate) struct Program {
    /// What runs.
    pub(crate) child: Child,
    // Held open: a program whose output nobody can take may stop.
    _out: BufReader<ChildStdout>,
    /// `127.0.0.1:PORT`
    pub(crate) at: String,
    /// What makes a browser the lead: `/open/KEY`.
    pub(crate) key: String,
}

impl Program {
    /// Begins it and waits until it listens.
    pub(crate) fn over(folder: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_clingfish"))
            .arg("serve")
            .arg(folder)
            .args(["--port", "0", "--zone", "UTC"])
            .env_remove("CLINGFISH_RECORD")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut line = String::new();
        out.read_line(&mut line).unwrap();
        let Some((at, key)) = line.trim().strip_prefix("Open http://").and_then(|a| a.split_once('/')) else {
            let _ = child.kill();
            let _ = child.wait();
            panic!("clingfish serve ended without saying where it listens; what it said is above");
        };
        let (at, key) = (at.to_owned(), format!("/{key}"));
        Self { child, _out: out, at, key }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
