//! What the browser tests need beside Rust: Chromium, chromedriver and axe-core. Installed where that can be done,
//! else said.

use crate::run;
use sha2::{Digest, Sha256};
use std::ffi::OsString;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The rules for pages that everyone can use. The sum is that of `package/axe.min.js` in the registry's file.
const AXE: &str = "axe-core@4.14.1";
const AXE_SHA256: &str = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c";

/// Programs: the variable that says where one is, the names it goes by, what Debian calls it.
const CHROMIUM: (&str, &[&str], &str) = (
    "CLINGFISH_CHROMIUM",
    &["chromium", "chromium-browser", "google-chrome-stable", "google-chrome"],
    "chromium",
);
const DRIVER: (&str, &[&str], &str) = ("CLINGFISH_CHROMEDRIVER", &["chromedriver"], "chromium-driver");
const NPM: (&str, &[&str], &str) = ("CLINGFISH_NPM", &["npm"], "npm");

/// Makes everything ready. What is there already is not touched, and no network is used then.
pub(crate) fn ready(root: &Path) -> Result<(), String> {
    for (variable, ..) in [CHROMIUM, DRIVER, NPM] {
        named(variable, std::env::var_os(variable))?;
    }
    let missing: Vec<&str> = [CHROMIUM, DRIVER].iter().filter(|p| found(p).is_none()).map(|p| p.2).collect();
    if !missing.is_empty() {
        install(&missing)?;
    }
    for program in [CHROMIUM, DRIVER] {
        found(&program).ok_or_else(|| by_hand(program.2, program.0))?;
    }
    axe(&run::target(root).join("browser"))
}

/// A variable that is set names a file: who set it wants that one, not another.
fn named(variable: &str, value: Option<OsString>) -> Result<(), String> {
    match value.map(PathBuf::from).filter(|p| !p.is_file()) {
        Some(path) => {
            Err(format!("{variable}: {} is no file; name one that is, or unset {variable}", path.display()))
        }
        None => Ok(()),
    }
}

/// Where a program is: what its variable names, or else the first of its names on the search path.
fn found((variable, names, _): &(&str, &[&str], &str)) -> Option<PathBuf> {
    if let Some(path) = std::env::var_os(variable) {
        return Some(PathBuf::from(path)).filter(|p| p.is_file());
    }
    let path = std::env::var_os("PATH")?;
    let file = |name: &str| format!("{name}{}", std::env::consts::EXE_SUFFIX);
    let places = |name: &&str| std::env::split_paths(&path).map(|f| f.join(file(name))).collect::<Vec<_>>();
    names.iter().flat_map(places).find(|p| p.is_file())
}

fn by_hand(package: &str, variable: &str) -> String {
    format!(
        "the browser tests need {package}, which is not here. Install it (on Debian as root: `apt-get install {package}`), or \
         say in {variable} which file it is"
    )
}

/// Debian's packages, where this is Debian and may install.
fn install(packages: &[&str]) -> Result<(), String> {
    let names = packages.join(", ");
    let why = |reason: &str| {
        format!(
            "the browser tests need {names}: {reason}. Install them by hand, or name the files that are there in \
             CLINGFISH_CHROMIUM, CLINGFISH_CHROMEDRIVER and CLINGFISH_NPM"
        )
    };
    if !Path::new("/etc/debian_version").exists() {
        return Err(why("only on Debian are they installed for you"));
    }
    if !is_root() {
        return Err(why("they are installed for you only as root"));
    }
    println!("installing {names}");
    run::finish(Command::new("apt-get").args(["update", "-qq"])).map_err(|e| why(&e))?;
    let mut apt = Command::new("apt-get");
    apt.args(["install", "-y", "-qq", "--no-install-recommends"]).args(packages);
    run::finish(apt.env("DEBIAN_FRONTEND", "noninteractive").stdout(Stdio::null())).map_err(|e| why(&e))
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|out| out.stdout.trim_ascii() == b"0")
}

/// `axe.min.js` in this folder, of the pinned version and unchanged.
fn axe(folder: &Path) -> Result<(), String> {
    let path = std::env::var_os("CLINGFISH_AXE").map_or_else(|| folder.join("axe.min.js"), PathBuf::from);
    if std::fs::read(&path).is_ok_and(|bytes| is_axe(&bytes)) {
        return Ok(());
    }
    if std::env::var_os("CLINGFISH_AXE").is_some() {
        return Err(format!("CLINGFISH_AXE: {} is not axe.min.js of {AXE}", path.display()));
    }
    let why = |error: String| {
        let place = path.display();
        format!(
            "the browser tests need axe.min.js of {AXE}: {error}. Put that file at {place} by hand, or name it in CLINGFISH_AXE"
        )
    };
    if found(&NPM).is_none() {
        install(&[NPM.2])?;
    }
    let npm = found(&NPM).ok_or_else(|| by_hand(NPM.2, NPM.0))?;
    let fetched = folder.join("npm");
    std::fs::create_dir_all(&fetched).map_err(|e| format!("{}: {e}", fetched.display()))?;
    let mut command = Command::new(npm);
    command.args([
        "install",
        "--no-save",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--silent",
        "--prefix",
    ]);
    run::finish(command.arg(&fetched).arg(AXE)).map_err(&why)?;
    let file = fetched.join("node_modules/axe-core/axe.min.js");
    let bytes = std::fs::read(&file).map_err(|e| why(format!("{}: {e}", file.display())))?;
    if !is_axe(&bytes) {
        return Err(why(format!("what the registry gave has the SHA-256 {}, not {AXE_SHA256}", sum(&bytes))));
    }
    std::fs::write(&path, bytes).map_err(|e| format!("{}: {e}", path.display()))?;
    let _ = std::fs::remove_dir_all(&fetched);
    Ok(())
}

fn is_axe(bytes: &[u8]) -> bool {
    sum(bytes) == AXE_SHA256
}

/// SHA-256 as 64 hexadecimal digits.
fn sum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1 (from memory): the sum of "abc".
    #[test]
    fn a_changed_file_is_not_axe() {
        assert_eq!(sum(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert!(!is_axe(b"abc"));
    }

    #[test]
    fn what_cannot_be_had_is_said_with_the_way_to_mend_it() {
        assert!(found(&("CLINGFISH_NOTHING", &["no-such-program"], "no-such-package")).is_none());
        let said = by_hand("chromium", "CLINGFISH_CHROMIUM");
        assert!(said.contains("apt-get install chromium") && said.contains("CLINGFISH_CHROMIUM"), "{said}");
        assert!(named("CLINGFISH_NPM", None).is_ok());
        let said = named("CLINGFISH_NPM", Some("no/such/npm".into())).unwrap_err();
        assert!(said.contains("no/such/npm is no file") && said.contains("unset CLINGFISH_NPM"), "{said}");
    }
}
