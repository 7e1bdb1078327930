//! Chromium and the program that drives it: found, started on a free port, ended with the test.

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Mutex, MutexGuard};
use std::time::{Duration, Instant};
use tokio::runtime::{Builder, Runtime};

/// No single command of a browser takes this long, not even on a slow machine that does other things.
const COMMAND: Duration = Duration::from_mins(1);

/// A browser wants the machine for itself: one test at a time.
static TURN: Mutex<()> = Mutex::new(());
static PROFILES: AtomicU32 = AtomicU32::new(0);

/// The folder of what these tests were given and leave: `browser` beside what cargo builds.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().join("browser")
}

/// A file that must be there: where the variable says, or the default place.
pub(crate) fn installed(variable: &str, default: impl FnOnce() -> Option<PathBuf>) -> PathBuf {
    let place = std::env::var_os(variable).map(PathBuf::from).or_else(default);
    place.filter(|p| p.is_file()).unwrap_or_else(|| {
        panic!(
            "{variable} names no file, or is not set and what it would name is not in its usual place. \
             Run `cargo xtask browser` once: it installs Chromium, chromedriver and axe-core, or says what to \
             install by hand"
        )
    })
}

/// The first of these programs on the search path.
fn program(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    let file = |name: &&str| format!("{name}{}", std::env::consts::EXE_SUFFIX);
    names.iter().flat_map(|n| folders.iter().map(move |f| f.join(file(n)))).find(|p| p.is_file())
}

/// Chromium does not start as root with its sandbox.
#[cfg(unix)]
fn is_root() -> bool {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0)
}

#[cfg(not(unix))]
fn is_root() -> bool {
    false
}

/// A chromedriver of one test. Screens borrow it, so they are closed before it ends.
pub(crate) struct Chrome {
    runtime: Runtime,
    driver: Child,
    // Held open: a program whose output nobody can take may stop.
    _out: BufReader<ChildStdout>,
    pub(crate) port: u16,
    _turn: MutexGuard<'static, ()>,
}

impl Chrome {
    /// Waits for its turn, then starts chromedriver on a port that the system picks.
    pub(crate) fn start() -> Self {
        let turn = TURN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let path = installed("CLINGFISH_CHROMEDRIVER", || program(&["chromedriver"]));
        let mut driver = Command::new(&path)
            .arg("--port=0")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|error| panic!("cannot start {}: {error}", path.display()));
        let mut out = BufReader::new(driver.stdout.take().unwrap());
        let Some(port) = port(&mut out) else {
            let _ = driver.kill();
            let _ = driver.wait();
            panic!("{} ended before it named its port", path.display());
        };
        let runtime = Builder::new_current_thread().enable_all().build().unwrap();
        Self { runtime, driver, _out: out, port, _turn: turn }
    }

    /// Runs one command of a browser to its end.
    pub(crate) fn run<T, E: std::fmt::Display>(
        &self,
        what: &str,
        command: impl Future<Output = Result<T, E>>,
    ) -> T {
        let answer = self.runtime.block_on(async { tokio::time::timeout(COMMAND, command).await });
        let answer = answer.unwrap_or_else(|slow| panic!("{what}: no answer from the browser, {slow}"));
        answer.unwrap_or_else(|error| panic!("{what}: {error}"))
    }

    /// As [`Self::run`], for tidying up after a test that may have failed already: a fault is passed over.
    pub(crate) fn try_run<T, E>(&self, command: impl Future<Output = Result<T, E>>) -> Option<T> {
        self.runtime.block_on(async { tokio::time::timeout(COMMAND, command).await }).ok()?.ok()
    }

    /// A new browser with a fresh profile in the folder that is given back.
    pub(crate) fn session(&self) -> (Client, PathBuf) {
        let number = PROFILES.fetch_add(1, Ordering::Relaxed);
        let name = format!("browser-profile-{}-{number}", std::process::id());
        let profile = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let client = self.run("cannot start Chromium", async {
            ClientBuilder::new(HttpConnector::new())
                .capabilities(wishes(&profile))
                .connect(&format!("http://127.0.0.1:{}", self.port))
                .await
        });
        (client, profile)
    }
}

impl Drop for Chrome {
    fn drop(&mut self) {
        // Asked first: a chromedriver that is killed leaves its browsers behind.
        if let Ok(mut stream) = TcpStream::connect(("127.0.0.1", self.port)) {
            let _ =
                stream.write_all(b"GET /shutdown HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n");
            let _ = stream.set_read_timeout(Some(Duration::from_secs(5)));
            let _ = stream.read(&mut [0; 64]);
        }
        let asked = Instant::now();
        while asked.elapsed() < Duration::from_secs(5) {
            if !matches!(self.driver.try_wait(), Ok(None)) {
                return;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// The port in `... was started successfully on port 41234.`
fn port(out: &mut impl BufRead) -> Option<u16> {
    out.lines().map_while(Result::ok).find_map(|line| {
        let (_, rest) = line.split_once("started successfully on port ")?;
        rest.trim_end_matches('.').parse().ok()
    })
}

/// What Chromium is started with. Nothing but this machine can be reached; what is asked of others is in the log.
fn wishes(profile: &Path) -> serde_json::Map<String, Value> {
    let chromium = installed("CLINGFISH_CHROMIUM", || {
        program(&["chromium", "chromium-browser", "google-chrome-stable", "google-chrome"])
    });
    let mut folder = std::ffi::OsString::from("--user-data-dir=");
    folder.push(profile);
    let mut words: Vec<&OsStr> = [
        "--headless=new",
        "--no-first-run",
        "--no-default-browser-check",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-default-apps",
        "--disable-dev-shm-usage",
        "--disable-extensions",
        "--disable-gpu",
        "--disable-sync",
        "--no-proxy-server",
        "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
    ]
    .map(OsStr::new)
    .to_vec();
    words.push(&folder);
    if is_root() {
        words.push(OsStr::new("--no-sandbox"));
    }
    let words: Vec<_> = words.iter().map(|w| w.to_string_lossy()).collect();
    let wishes = json!({
        "browserName": "chrome",
        "goog:chromeOptions": { "binary": chromium, "args": words },
        "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" },
        "goog:perfLoggingPrefs": { "enableNetwork": true, "enablePage": false },
    });
    wishes.as_object().unwrap().clone()
}
