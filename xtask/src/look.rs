//! `cargo xtask look [FOLDER]`: every drawing and paper of every example on one page, to be looked at by a person.

use crate::{Faults, run};
use serde_json::Value;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a drawing can be for, in the command's words.
const USES: [&str; 3] = ["page", "phone", "print"];
/// Drawings of a state besides: name of the file, and what is asked.
const STATES: [(&str, &[&str]); 2] =
    [("worst", &["corner", "--worst", "any", "--forces"]), ("bent", &["side", "--worst", "any", "--moved"])];
/// Papers besides: name of the file, and what is asked; `FILE` stands for it.
const PAPERS: [(&str, &[&str]); 2] = [("sheet", &["--out", "FILE"]), ("card", &["--pdf", "FILE"])];

const STYLE: &str = "body{font:16px/1.4 sans-serif;margin:1rem;color:#111;background:#fff}\
nav a{margin-right:1rem}section{border-top:2px solid #111;margin-top:2rem}\
.row{display:flex;flex-wrap:wrap;gap:1rem;align-items:flex-start}figure{margin:0;border:1px solid #999;padding:.5rem}\
figcaption{font-size:.85rem;max-width:46rem}.page img{width:46rem}.print img{width:30rem}.phone img{width:390px}\
iframe{width:46rem;height:62rem;border:0}img{max-width:94vw;display:block}\
#grey:checked~main img{filter:grayscale(1)}#grey:checked~main iframe{filter:grayscale(1)}";

/// Draws everything into `folder` and writes its `index.html`; what could not be made stands on the page and in the faults.
pub(crate) fn write(root: &Path, folder: Option<&str>) -> Faults {
    match all(root, folder) {
        Ok(faults) => faults,
        Err(fault) => vec![fault],
    }
}

fn all(root: &Path, folder: Option<&str>) -> Result<Faults, String> {
    run::finish(&mut run::cargo_command(root, &["build", "--release", "--package", "clingfish"]))?;
    let json = run::output(root, &["metadata", "--no-deps", "--format-version", "1"])?;
    let target = serde_json::from_str::<Value>(&json).map_err(|e| e.to_string())?["target_directory"]
        .as_str()
        .map(PathBuf::from)
        .ok_or("cargo does not say where it builds")?;
    let binary = target.join("release").join(format!("clingfish{}", std::env::consts::EXE_SUFFIX));
    let folder = folder.map_or_else(|| target.join("look"), PathBuf::from);
    std::fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut page = Page { binary, folder, body: String::new(), faults: Faults::new() };
    let rigs = rigs(&root.join("examples"))?;
    let subjects = page.subjects()?;
    for rig in &rigs {
        page.rig(rig, &subjects);
    }
    page.save(&rigs)
}

/// The examples that are rigs: a parts file has no car.
fn rigs(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let list = std::fs::read_dir(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut out: Vec<PathBuf> = list.filter_map(|f| Some(f.ok()?.path())).collect();
    out.retain(|f| {
        let is_toml = f.extension().is_some_and(|e| e == "toml");
        is_toml && std::fs::read_to_string(f).is_ok_and(|t| t.contains("\n[vehicle]"))
    });
    out.sort();
    Ok(out)
}

struct Page {
    binary: PathBuf,
    folder: PathBuf,
    body: String,
    faults: Faults,
}

/// The name of a rig file without its suffix.
fn stem(rig: &Path) -> String {
    rig.file_stem().map_or(String::new(), |s| s.to_string_lossy().into_owned())
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

impl Page {
    /// What a run printed, or what it says is wrong.
    fn run(&self, words: &[&str], rig: Option<&Path>, more: &[&str]) -> Result<String, String> {
        let mut command = Command::new(&self.binary);
        command.args(words).args(rig).args(more).args(["--color", "never"]);
        let out = command.output().map_err(|e| e.to_string())?;
        // HOLD and NO-GO are answers.
        if matches!(out.status.code(), Some(0 | 10 | 20)) {
            Ok(String::from_utf8_lossy(&out.stdout).into_owned())
        } else {
            Err(String::from_utf8_lossy(&out.stderr).trim().to_owned())
        }
    }

    /// Names of the drawings, and what each shows.
    fn subjects(&self) -> Result<Vec<(String, String)>, String> {
        let listed = self.run(&["draw", "--list"], None, &[])?;
        let mut out: Vec<(String, String)> = Vec::new();
        for line in listed.lines() {
            match line.strip_prefix("  ").filter(|l| !l.starts_with(' ')).and_then(|l| l.split_once(' ')) {
                Some((name, says)) => out.push((name.to_owned(), says.trim().to_owned())),
                None => {
                    if let Some((_, says)) = out.last_mut() {
                        let _ = write!(says, " {}", line.trim());
                    }
                }
            }
        }
        Ok(out)
    }

    fn fault(&mut self, text: String) {
        let _ = writeln!(self.body, "<p><strong>Not made:</strong> {}</p>", escaped(&text));
        self.faults.push(text);
    }

    fn picture(&mut self, file: &str, caption: &str) {
        let (file, caption) = (escaped(file), escaped(caption));
        let _ = writeln!(
            self.body,
            "<figure><img src=\"{file}\" alt=\"{caption}\"><figcaption>{caption}</figcaption></figure>"
        );
    }

    fn rig(&mut self, rig: &Path, subjects: &[(String, String)]) {
        let name = stem(rig);
        println!("{name}");
        let _ = writeln!(self.body, "<section id=\"{0}\"><h2>{0}</h2>", escaped(&name));
        for medium in USES {
            let into = self.folder.join(medium);
            let _ = writeln!(self.body, "<h3>{medium}</h3><div class=\"row {medium}\">");
            // Drawings of an earlier run must not stand for those of this one.
            for (subject, _) in subjects {
                let _ = std::fs::remove_file(into.join(format!("{name}-{subject}.svg")));
            }
            let words = into.to_string_lossy().into_owned();
            match self.run(&["draw"], Some(rig), &["--for", medium, "--into", &words]) {
                Ok(said) => {
                    for left in said.lines().filter(|l| l.starts_with("Left out: ")) {
                        self.fault(format!("{name}, {medium}: {left}"));
                    }
                }
                Err(fault) => self.fault(format!("{name}, {medium}: {fault}")),
            }
            for (subject, says) in subjects {
                let file = format!("{name}-{subject}.svg");
                if into.join(&file).is_file() {
                    self.picture(&format!("{medium}/{file}"), &format!("{name}, {subject}: {says}"));
                }
            }
            self.body.push_str("</div>\n");
        }
        self.body.push_str("<h3>states</h3><div class=\"row page\">\n");
        for (state, asked) in STATES {
            let file = format!("{name}-{state}.svg");
            let to = self.folder.join(&file).to_string_lossy().into_owned();
            match self.run(&["draw"], Some(rig), &[asked, &["--out", &to]].concat()) {
                Ok(_) => self.picture(&file, &format!("{name}: clingfish draw RIG {}", asked.join(" "))),
                Err(fault) => self.fault(format!("{name}, {state}: {fault}")),
            }
        }
        self.body.push_str("</div>\n<h3>papers</h3><div class=\"row\">\n");
        for (paper, asked) in PAPERS {
            // Not every command writes paper.
            let option = asked.first().copied().unwrap_or_default();
            if !self.run(&[paper], None, &["--help"]).is_ok_and(|help| help.contains(option)) {
                continue;
            }
            let file = format!("{name}-{paper}.pdf");
            let to = self.folder.join(&file);
            let _ = std::fs::remove_file(&to);
            let words = to.to_string_lossy().into_owned();
            let asked: Vec<&str> =
                asked.iter().map(|w| if *w == "FILE" { words.as_str() } else { w }).collect();
            match self.run(&[paper], Some(rig), &asked) {
                Ok(_) if to.is_file() => {
                    let _ = writeln!(
                        self.body,
                        "<figure><iframe src=\"{0}\" title=\"{0}\"></iframe><figcaption><a href=\"{0}\">{0}</a></figcaption></figure>",
                        escaped(&file)
                    );
                }
                // No card is made for a HOLD or a NO-GO.
                Ok(_) => {}
                Err(fault) => self.fault(format!("{name}, {paper}: {fault}")),
            }
        }
        self.body.push_str("</div></section>\n");
    }

    fn save(self, rigs: &[PathBuf]) -> Result<Faults, String> {
        let mut nav = String::new();
        for rig in rigs {
            let name = escaped(&stem(rig));
            let _ = write!(nav, "<a href=\"#{name}\">{name}</a>");
        }
        let html = format!(
            "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Drawings of the examples</title>\
             <meta name=\"viewport\" content=\"width=device-width\"><style>{STYLE}</style></head><body>\n\
             <h1>Drawings of the examples</h1><nav>{nav}</nav>\n\
             <input type=\"checkbox\" id=\"grey\"><label for=\"grey\"> as a grey printer would</label>\n\
             <main>\n{}</main></body></html>\n",
            self.body
        );
        let file = self.folder.join("index.html");
        std::fs::write(&file, html).map_err(|e| format!("{}: {e}", file.display()))?;
        println!("open {}", file.display());
        Ok(self.faults)
    }
}
