//! `clingfish serve` on a folder of its own with copies of the examples, ended with the test.

use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

/// Ends when it is dropped.
pub(crate) struct Server {
    program: Child,
    // Held open: a program whose output nobody can take may stop.
    _out: BufReader<ChildStdout>,
    /// Opened, it makes a browser the lead: `http://127.0.0.1:PORT/open/KEY`.
    pub(crate) lead: String,
    /// Where its rigs and records are.
    pub(crate) folder: PathBuf,
}

impl Server {
    /// A server of a test, known by a name of its own, on a port that the system picks.
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
        let mut program = Command::new(env!("CARGO_BIN_EXE_clingfish"))
            .arg("serve")
            .arg(&folder)
            .args(["--port", "0", "--zone", "UTC"])
            .env_remove("CLINGFISH_RECORD")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(program.stdout.take().unwrap());
        let mut lines = out.by_ref().lines().map_while(Result::ok);
        let lead = lines.find_map(|l| l.strip_prefix("Open ").map(str::to_owned));
        let Some(lead) = lead else {
            let _ = program.kill();
            let _ = program.wait();
            panic!("clingfish serve ended without an Open line; what it said is above");
        };
        Self { program, _out: out, lead, folder }
    }

    /// `http://127.0.0.1:PORT`
    pub(crate) fn origin(&self) -> String {
        self.lead.split_once("/open/").unwrap().0.to_owned()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}
