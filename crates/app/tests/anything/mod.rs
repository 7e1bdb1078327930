//! Requests of any kind out of any bytes, and what must hold whatever is asked. Shared by the tests and the fuzz target.

use arbitrary::{Result, Unstructured};
use clingfish::within::{Asked, Told, Within};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const RIG: &str = include_str!("../../../../examples/bonnet-camera.toml");
const KIT: &str = include_str!("../../../../examples/kit.toml");

/// Stands in files that nobody may reach.
const SECRET: &str = "a word that stands outside the folder alone";
/// Would run if it were markup.
const MARKUP: &str = "<script>alert(1)</script>";

/// Who asks; each may do what those before may.
const ROLES: [&str; 4] = ["", "viewer", "crew", "lead"];
const METHODS: [&str; 12] =
    ["GET", "GET", "GET", "POST", "POST", "POST", "POST", "POST", "POST", "HEAD", "PUT", "x"];
const ADDRESSES: &[&str] = &[
    "/",
    "/job",
    "/open/{}",
    "/join",
    "/people",
    "/people/codes",
    "/people/off",
    "/me",
    "/me/leave",
    "/news",
    "/alerts/away",
    "/assets/{}",
    "/rig/{}/{}",
    "/rig/bonnet-camera/{}",
    "/rig/bonnet-camera/layout",
    "/rig/bonnet-camera/margins",
    "/rig/bonnet-camera/envelope",
    "/rig/bonnet-camera/power",
    "/rig/bonnet-camera/arm",
    "/rig/bonnet-camera/settle",
    "/rig/bonnet-camera/sheet",
    "/rig/bonnet-camera/sheet.pdf",
    "/rig/bonnet-camera/card.pdf",
    "/rig/bonnet-camera/parts.csv",
    "/rig/bonnet-camera/check.json",
    "/rig/bonnet-camera/file",
    "/rig/bonnet-camera/try",
    "/rig/bonnet-camera/place",
    "/rig/bonnet-camera/undo",
    "/rig/bonnet-camera/redo",
    "/rig/bonnet-camera/set",
    "/rig/bonnet-camera/nudge",
    "/rig/bonnet-camera/mirror",
    "/rig/bonnet-camera/remove",
    "/rig/bonnet-camera/add",
    "/job/{}/{}",
    "/job/JOB/{}",
    "/job/JOB/rounds",
    "/job/JOB/build",
    "/job/JOB/photo",
];
/// Forms that would be taken from who may send them.
const FORMS: &[(&str, &str)] = &[
    ("/job", "rig=bonnet-camera"),
    ("/join", "code=WRONGONE&name=x"),
    ("/me", "name=Ada"),
    ("/job/JOB/rounds", "cup=FL&vacuum=23.5+inHg&token=TOKEN"),
    ("/job/JOB/rounds", "cup=FR&vacuum=10+kPa&pumped=yes&waited=3600000&token=TOKEN"),
    ("/job/JOB/build", "act=write&step=car:+look+over&record=0&value=a+scratch&token=TOKEN"),
    ("/job/JOB/build", "act=done&step=car:+look+over&token=TOKEN"),
    ("/job/JOB/build", "act=undo&step=car:+look+over&why=not+all+of+it&token=TOKEN"),
    ("/job/JOB/build", "act=leave&step=car:+look+over&why=no+time&token=TOKEN"),
    ("/job/JOB/build", "act=refuse&step=car:+look+over&why=loose&token=TOKEN"),
    ("/alerts/away", "id=x"),
    ("/rig/bonnet-camera/set", "revision=1&back=&key=cup.FL.left&value=300+mm"),
    ("/rig/bonnet-camera/nudge", "revision=1&back=&part=cup-FL&way=left"),
    ("/rig/bonnet-camera/mirror", "revision=1&back=&part=cup-FL"),
    ("/rig/bonnet-camera/remove", "revision=1&back=&part=strap-S1"),
    ("/rig/bonnet-camera/undo", "back="),
    ("/rig/bonnet-camera/redo", "back="),
    ("/rig/bonnet-camera/sheet", "date=2026-11-28&revision=1&job=x&by=&paper=letter"),
    ("/rig/bonnet-camera/file", "revision=1&text=version+%3D+1%0A%5Bvehicle%5D%0A"),
    ("/rig/..%2Foutside/set", "revision=1&back=&key=cup.FL.left&value=300+mm"),
    ("/rig/..%2Foutside/file", "revision=1&text=version+%3D+1%0A%5Bvehicle%5D%0A"),
    ("/job/JOB/photo", PHOTO),
];
/// What a form with a picture sends.
const PHOTO: &str = "--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\nTOKEN\r\n\
--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"p\"\r\n\r\nRIFF\x10\0\0\0WEBPVP8 \r\n--b--\r\n";
const FORM: &str = "application/x-www-form-urlencoded";
const PARTS: &str = "multipart/form-data; boundary=b";
const SEGMENTS: &[&str] = &[
    "bonnet-camera",
    "kit",
    "..",
    "..%2Foutside",
    "..%2F..%2Fetc%2Fpasswd",
    "%2e%2e",
    "%00",
    "%ff",
    "layout",
    "file",
    "%3Cscript%3Ealert(1)%3C%2Fscript%3E",
    "clingfish.record",
    "%2Fetc%2Fpasswd",
    "sheet.pdf",
    "-1",
    "\u{e9}",
    "%",
];
const FIELDS: &[&str] = &[
    "act", "by", "caption", "code", "cup", "date", "from", "id", "job", "key", "kind", "lost", "name",
    "over", "paper", "part", "pose", "pumped", "record", "revision", "rig", "saw", "size", "step", "text",
    "to", "token", "vacuum", "value", "view", "waited", "way", "why", "with", "work", "worst", "back", "at",
];
const VALUES: &[&str] = &[
    "",
    "1",
    "0",
    "-1",
    "1e999",
    "NaN",
    "18446744073709551616",
    "23.5 inHg",
    "79 kPa",
    "21 lb",
    "FL",
    "cup-FL",
    "cup.FL.left",
    "cup.FL",
    "vehicle.mass",
    "\"",
    "[[",
    "a.b.c.d",
    MARKUP,
    "\0",
    "done",
    "undo",
    "leave",
    "sign",
    "refuse",
    "write",
    "car: look over",
    "car: survey",
    "cup FL: stand",
    "limits",
    "advice",
    "yes",
    "left",
    "right",
    "bonnet-camera",
    "../outside",
    "2026-11-28",
    "letter",
    "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
    "99999999999999",
    "/rig/bonnet-camera/layout",
    "//elsewhere.example/",
    "https://elsewhere.example/",
    "450 mm",
    "\u{202e}\u{e9}",
];
const HEAD: &[(&str, &str)] = &[
    ("accept", "text/html"),
    ("accept-encoding", "gzip"),
    ("origin", "null"),
    ("origin", "http://elsewhere.example"),
    ("sec-fetch-site", "cross-site"),
    ("host", "elsewhere.example"),
    ("host", "127.0.0.1:8640"),
    ("cookie", "clingfish="),
    ("cookie", "clingfish=00; small=1"),
    ("range", "bytes=0-1"),
    ("referer", "http://elsewhere.example/x"),
    ("referer", "http://127.0.0.1:8640//elsewhere.example"),
    ("content-length", "5"),
    ("transfer-encoding", "chunked"),
    ("expect", "100-continue"),
    ("x-forwarded-host", "elsewhere.example"),
];

/// A folder with a rig and a job, and what lies around it.
pub(crate) struct Ground {
    outer: PathBuf,
    within: Within,
    sessions: [String; 4],
    job: String,
}

/// All files under a folder with what is in them.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut out = BTreeMap::new();
    let mut left = vec![folder.to_owned()];
    while let Some(next) = left.pop() {
        for entry in std::fs::read_dir(&next).unwrap().flatten() {
            let path = entry.path();
            // What the database keeps beside its file is its own: it says nothing of what was written.
            let own = path.extension().is_some_and(|e| e == "record-shm" || e == "record-wal");
            if path.is_dir() {
                left.push(path);
            } else if !own {
                out.insert(path.clone(), std::fs::read(&path).unwrap_or_default());
            }
        }
    }
    out
}

fn words(told: &Told) -> String {
    String::from_utf8_lossy(&told.body).into_owned()
}

impl Ground {
    /// A fresh one in an empty folder.
    pub(crate) fn new(outer: &Path) -> Self {
        let inner = outer.join("inside");
        std::fs::create_dir_all(&inner).unwrap();
        std::fs::write(inner.join("bonnet-camera.toml"), RIG).unwrap();
        std::fs::write(inner.join("kit.toml"), KIT).unwrap();
        std::fs::write(outer.join("outside.toml"), RIG.replacen("name =", &format!("# {SECRET}\nname ="), 1))
            .unwrap();
        std::fs::write(outer.join("kit.toml"), KIT).unwrap();
        let within = Within::over(&inner).unwrap();
        let mut ground =
            Self { outer: outer.to_owned(), within, sessions: Default::default(), job: String::new() };
        ground.let_in();
        let begun = ground.honest("lead", "POST", "/job", "rig=bonnet-camera");
        let there = begun.line("location").unwrap_or_else(|| panic!("no job: {}", words(&begun)));
        there.split('/').nth(2).unwrap().clone_into(&mut ground.job);
        ground
    }

    /// Sessions for all, also after somebody was sent off or left.
    fn let_in(&mut self) {
        for (role, session) in ROLES.iter().zip(&mut self.sessions).skip(1) {
            *session = self.within.session(role).unwrap();
        }
    }

    fn own(&self, role: usize) -> Vec<(String, String)> {
        let line = |name: &str, value: String| (name.to_owned(), value);
        let mut head = vec![line("host", self.within.host())];
        head.push(line("origin", format!("http://{}", self.within.host())));
        head.push(line("cookie", self.sessions[role].clone()));
        head
    }

    /// As a page of the program asks.
    pub(crate) fn honest(&self, role: &str, method: &str, path: &str, form: &str) -> Told {
        let at = ROLES.iter().position(|r| *r == role).unwrap();
        let mut head = self.own(at);
        head.push(("content-type".to_owned(), FORM.to_owned()));
        let (method, path) = (method.to_owned(), path.replace("JOB", &self.job));
        self.within.ask(&Asked { method, path, head, body: form.as_bytes().to_vec() }).unwrap()
    }

    /// What the record says, by its own words; whatever the database keeps where.
    fn record(&self) -> String {
        // The newest entry carries the hash of all before it.
        let store = record::Store::open_read_only(&self.outer.join("inside/clingfish.record")).unwrap();
        let jobs = store.jobs().unwrap();
        let heads: Vec<String> = jobs.iter().map(|j| store.head(&j.id).unwrap().hash).collect();
        heads.join(" ")
    }

    /// Asks what the bytes say, one request after the other, and looks at each answer. The statuses that came.
    pub(crate) fn feed(&mut self, bytes: &[u8]) -> Vec<u16> {
        let (mut u, mut all) = (Unstructured::new(bytes), Vec::new());
        while !u.is_empty() {
            let Ok((role, asked)) = self.asked(&mut u) else { break };
            // Wrong codes shut an address out after a few: nobody else comes in then.
            if self.within.session(ROLES[1]).is_none() {
                break;
            }
            self.let_in();
            all.extend(self.answered(role, &asked));
        }
        all
    }

    fn answered(&self, role: usize, asked: &Asked) -> Option<u16> {
        let asked = &Asked { head: [self.own(role), asked.head.clone()].concat(), ..asked.clone() };
        let inside = self.outer.join("inside");
        let (before, said) = (files(&self.outer), self.record());
        let told = self.within.ask(asked)?;
        let (after, says) = (files(&self.outer), self.record());
        let what = || {
            let (who, body) = (ROLES[role], String::from_utf8_lossy(&asked.body));
            format!(
                "{who:?} {} {} {:?}\n{body}\n{} {}",
                asked.method,
                asked.path,
                asked.head,
                told.status,
                words(&told)
            )
        };
        assert!(told.status < 500, "no fault of the program's own: {}", what());
        let outside = |all: &BTreeMap<PathBuf, Vec<u8>>| {
            all.iter()
                .filter(|(p, _)| !p.starts_with(&inside))
                .map(|(p, b)| (p.clone(), b.clone()))
                .collect::<Vec<_>>()
        };
        assert_eq!(outside(&before), outside(&after), "nothing outside the folder: {}", what());
        let plain = words(&told);
        assert!(!plain.contains(SECRET) && !plain.contains("root:x:"), "nothing from outside: {}", what());
        // A viewer, and who is not in, change nothing; the crew the record alone; the lead nothing that is not a rig file.
        let rigs = |all: &BTreeMap<PathBuf, Vec<u8>>| {
            all.iter()
                .filter(|(p, _)| p.extension().is_some_and(|e| e != "record"))
                .map(|(p, b)| (p.clone(), b.clone()))
                .collect::<Vec<_>>()
        };
        if role <= 1 {
            assert!(before == after && said == says, "changed something: {}", what());
        }
        if role <= 2 {
            assert_eq!(rigs(&before), rigs(&after), "changed a rig: {}", what());
        }
        let names = |all: &BTreeMap<PathBuf, Vec<u8>>| all.keys().cloned().collect::<Vec<_>>();
        assert_eq!(names(&before), names(&after), "a file came or went: {}", what());
        assert!(told.line("content-security-policy").is_some(), "{}", what());
        let html = told.line("content-type").is_some_and(|k| k.starts_with("text/html"));
        assert!(!html || !plain.contains(MARKUP), "what was sent is markup: {}", what());
        // Nobody is led to another place.
        let leads = told.line("location").is_none_or(|l| l.starts_with('/') && !l.starts_with("//"));
        assert!(leads, "{}", what());
        Some(told.status)
    }

    /// A form that is right, with one of some tokens.
    fn right(&self, at: usize, token: u8) -> Asked {
        let (path, form) = FORMS[at];
        let kind = if form == PHOTO { PARTS } else { FORM };
        Asked {
            method: "POST".to_owned(),
            path: path.replace("JOB", &self.job),
            head: vec![("content-type".to_owned(), kind.to_owned())],
            body: form.replace("TOKEN", &format!("{token:032x}")).into_bytes(),
        }
    }

    /// Each form that is right, and each address, once from everybody.
    pub(crate) fn all(&mut self) -> Vec<u16> {
        let mut all = Vec::new();
        for role in 0..ROLES.len() {
            for at in 0..FORMS.len() {
                self.let_in();
                let form = self.right(at, u8::try_from(FORMS.len() * role + at).unwrap_or_default());
                all.extend(self.answered(role, &form));
                let (method, head) = ("GET".to_owned(), Vec::new());
                all.extend(self.answered(role, &Asked { method, head, body: Vec::new(), ..form }));
            }
        }
        all
    }

    fn asked(&self, u: &mut Unstructured<'_>) -> Result<(usize, Asked)> {
        let role = u.choose_index(ROLES.len())?;
        if u.ratio(1, 3)? {
            let mut asked = self.right(u.choose_index(FORMS.len())?, u.int_in_range(0..=40_u8)?);
            if u.ratio(1, 4)? {
                asked.body.extend(format!("&{}", form(u)?).bytes());
            }
            return Ok((role, asked));
        }
        let method = (*u.choose(&METHODS)?).to_owned();
        let mut path = String::new();
        for (at, piece) in u.choose(ADDRESSES)?.replace("JOB", &self.job).split("{}").enumerate() {
            if at > 0 {
                path += u.choose(SEGMENTS)?;
            }
            path += piece;
        }
        if u.ratio(1, 3)? {
            path += "?";
            path += &form(u)?;
        }
        let mut head = Vec::new();
        for _ in 0..u.int_in_range(0_u8..=5)?.saturating_sub(3) {
            let (name, value) = *u.choose(HEAD)?;
            head.push((name.to_owned(), value.to_owned()));
        }
        let (kind, body) = match u.int_in_range(0..=9)? {
            0..=5 => (FORM, form(u)?.into_bytes()),
            6 | 7 => ("application/json", json(u)?.into_bytes()),
            8 => (PARTS, parts(u)?),
            _ => ("text/plain", u.arbitrary::<Vec<u8>>()?),
        };
        head.push(("content-type".to_owned(), kind.to_owned()));
        Ok((role, Asked { method, path, head, body }))
    }
}

fn value(u: &mut Unstructured<'_>) -> Result<String> {
    if u.ratio(1, 6)? {
        Ok(u.arbitrary::<&str>()?.chars().take(300).collect())
    } else {
        Ok((*u.choose(VALUES)?).to_owned())
    }
}

fn form(u: &mut Unstructured<'_>) -> Result<String> {
    let mut pairs = Vec::new();
    for _ in 0..u.int_in_range(0..=9)? {
        let value: Vec<String> = value(u)?.bytes().map(|b| format!("%{b:02X}")).collect();
        pairs.push(format!("{}={}", u.choose(FIELDS)?, value.concat()));
    }
    Ok(pairs.join("&"))
}

fn json(u: &mut Unstructured<'_>) -> Result<String> {
    let (part, revision) = (value(u)?, u.int_in_range(0..=3)?);
    let mut number = || Ok(u.choose(&["0", "1.5", "-300", "1e308", "1e999", "null", "\"x\""])?.to_owned());
    let [a, b, c, d] = [number()?, number()?, number()?, number()?];
    Ok(format!("{{\"part\":{part:?},\"revision\":{revision},\"from\":[{a},{b}],\"to\":[{c},{d}]}}"))
}

fn parts(u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut body = Vec::new();
    for _ in 0..u.int_in_range(0..=4)? {
        let name =
            *u.choose(&["photo", "token", "step", "caption", "log", "signal", "unit", "waited", "x"])?;
        let file = if u.ratio(1, 2)? { "; filename=\"..\\/a.csv\"" } else { "" };
        body.extend(format!("--b\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n").bytes());
        match u.int_in_range(0..=3)? {
            0 => body.extend(u.choose(&[&b"\xFF\xD8\xFF\xE0"[..], b"\x89PNG\r\n\x1a\n", b"GIF89a"])?.iter()),
            1 => body.extend(b"t [s],a [m/s2]\n0,1\n0.1,2\n0.2,1\n"),
            2 => body.extend(value(u)?.bytes()),
            _ => body.extend(u.arbitrary::<&[u8]>()?),
        }
        body.extend(b"\r\n");
    }
    body.extend(if u.ratio(9, 10)? { &b"--b--\r\n"[..] } else { b"" });
    Ok(body)
}
