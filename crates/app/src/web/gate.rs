//! Who may come in: codes to join by, sessions, and how often a wrong code may be tried.

use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::net::IpAddr;
use std::time::{Duration, Instant};

/// Letters of a code: none that is read or heard as another.
const LETTERS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
/// Letters in a code: a billion billion tries would be needed where a few a minute are let through.
const CODE: usize = 8;
/// A session that nobody uses ends after this.
const IDLE: Duration = Duration::from_hours(12);
/// And any after this.
const LIFE: Duration = Duration::from_hours(36);
/// Wrong codes count for this long.
const WINDOW: Duration = Duration::from_mins(5);
/// Wrong codes from one address in that time.
const FROM_ONE: usize = 6;
/// Wrong codes from all of them.
const FROM_ALL: usize = 60;
/// Sessions at most: the oldest unused one makes room.
const SESSIONS: usize = 500;
/// Letters of a name.
const NAME: usize = 60;

/// What one may do; each may do what those before may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Role {
    /// Looks on.
    Viewer,
    /// Reads gauges, does and signs steps.
    Crew,
    /// Changes the rig and lets others in.
    Lead,
}

impl Role {
    /// In words.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Viewer => "viewer",
            Self::Crew => "crew",
            Self::Lead => "lead",
        }
    }
}

/// Someone with a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Person {
    /// As they call themselves; what they write carries it.
    pub(crate) name: String,
    /// What they may do.
    pub(crate) role: Role,
    /// Number of the session, to tell devices apart.
    pub(crate) device: u32,
}

struct Session {
    person: Person,
    made: Instant,
    used: Instant,
}

/// Why someone is not let in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Refused {
    /// No code like that.
    Wrong,
    /// Too many wrong ones: after this long again.
    Wait(Duration),
    /// The machine gives no random numbers.
    NoChance,
}

/// Codes and sessions; nothing of it is written anywhere.
pub(crate) struct Gate {
    key: String,
    crew: String,
    viewer: String,
    sessions: HashMap<[u8; 32], Session>,
    wrong: Vec<(IpAddr, Instant)>,
    devices: u32,
}

fn random<const N: usize>() -> Result<[u8; N], Refused> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| Refused::NoChance)?;
    Ok(bytes)
}

fn code() -> Result<String, Refused> {
    Ok(random::<CODE>()?.iter().map(|b| char::from(LETTERS[usize::from(b % 32)])).collect())
}

fn token() -> Result<String, Refused> {
    Ok(random::<32>()?.iter().fold(String::new(), |out, b| out + &format!("{b:02x}")))
}

fn hash(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// As it is compared: people leave out the dash, write small letters, and O for 0.
fn tidy(typed: &str) -> String {
    typed.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).take(2 * CODE).collect()
}

/// Compared by their hashes, so that the time it takes says nothing of the letters.
fn same(a: &str, b: &str) -> bool {
    hash(a) == hash(b)
}

impl Gate {
    /// New codes, nobody in.
    pub(crate) fn new() -> Result<Self, Refused> {
        Ok(Self {
            key: token()?,
            crew: code()?,
            viewer: code()?,
            sessions: HashMap::new(),
            wrong: Vec::new(),
            devices: 0,
        })
    }

    /// What opens the lead's page at the laptop.
    pub(crate) fn key(&self) -> &str {
        &self.key
    }

    /// The code for a role, as it is shown: `ABCD-EFGH`.
    pub(crate) fn code(&self, role: Role) -> Option<String> {
        let code = match role {
            Role::Crew => &self.crew,
            Role::Viewer => &self.viewer,
            Role::Lead => return None,
        };
        let (a, b) = code.split_at_checked(CODE / 2)?;
        Some(format!("{a}-{b}"))
    }

    /// Other codes from now on; who is in stays in.
    pub(crate) fn change_codes(&mut self) -> Result<(), Refused> {
        (self.crew, self.viewer) = (code()?, code()?);
        Ok(())
    }

    /// The lead's session, for whoever has the key.
    pub(crate) fn open(&mut self, key: &str, from: IpAddr, now: Instant) -> Result<String, Refused> {
        self.may_try(from, now)?;
        if !same(key, &self.key) {
            self.wrong.push((from, now));
            return Err(Refused::Wrong);
        }
        self.let_in("Lead", Role::Lead, now)
    }

    /// A session for whoever has a code.
    pub(crate) fn join(
        &mut self,
        typed: &str,
        name: &str,
        from: IpAddr,
        now: Instant,
    ) -> Result<String, Refused> {
        self.may_try(from, now)?;
        let typed = tidy(typed);
        // Both are compared, whichever it is.
        let (crew, viewer) = (same(&typed, &self.crew), same(&typed, &self.viewer));
        let role = match (crew, viewer) {
            (true, _) => Role::Crew,
            (_, true) => Role::Viewer,
            _ => {
                self.wrong.push((from, now));
                return Err(Refused::Wrong);
            }
        };
        self.let_in(name, role, now)
    }

    fn may_try(&mut self, from: IpAddr, now: Instant) -> Result<(), Refused> {
        self.wrong.retain(|(_, at)| now.duration_since(*at) < WINDOW);
        let oldest = |list: &mut dyn Iterator<Item = &(IpAddr, Instant)>| list.map(|(_, at)| *at).min();
        let wait = |at: Option<Instant>| {
            Refused::Wait(at.map_or(WINDOW, |at| WINDOW.saturating_sub(now.duration_since(at))))
        };
        if self.wrong.iter().filter(|(ip, _)| *ip == from).count() >= FROM_ONE {
            return Err(wait(oldest(&mut self.wrong.iter().filter(|(ip, _)| *ip == from))));
        }
        if self.wrong.len() >= FROM_ALL {
            return Err(wait(oldest(&mut self.wrong.iter())));
        }
        Ok(())
    }

    fn let_in(&mut self, name: &str, role: Role, now: Instant) -> Result<String, Refused> {
        let token = token()?;
        self.sweep(now);
        if self.sessions.len() >= SESSIONS {
            let oldest = self.sessions.iter().min_by_key(|(_, s)| s.used).map(|(k, _)| *k);
            oldest.map(|k| self.sessions.remove(&k));
        }
        self.devices += 1;
        let person = Person { name: called(name), role, device: self.devices };
        self.sessions.insert(hash(&token), Session { person, made: now, used: now });
        Ok(token)
    }

    fn sweep(&mut self, now: Instant) {
        self.sessions.retain(|_, s| now.duration_since(s.used) < IDLE && now.duration_since(s.made) < LIFE);
    }

    /// Who has this session.
    pub(crate) fn person(&mut self, token: &str, now: Instant) -> Option<Person> {
        self.sweep(now);
        let session = self.sessions.get_mut(&hash(token))?;
        session.used = now;
        Some(session.person.clone())
    }

    /// Another name for a session.
    pub(crate) fn rename(&mut self, token: &str, name: &str) {
        if let Some(session) = self.sessions.get_mut(&hash(token)) {
            session.person.name = called(name);
        }
    }

    /// Ends a session.
    pub(crate) fn leave(&mut self, token: &str) {
        self.sessions.remove(&hash(token));
    }

    /// Ends everybody's session but the lead's.
    pub(crate) fn send_off(&mut self) {
        self.sessions.retain(|_, s| s.person.role == Role::Lead);
    }

    /// Who is in, in the order they came.
    pub(crate) fn people(&mut self, now: Instant) -> Vec<Person> {
        self.sweep(now);
        let mut all: Vec<Person> = self.sessions.values().map(|s| s.person.clone()).collect();
        all.sort_by_key(|p| p.device);
        all
    }
}

/// A name on one line and not endless; nobody is nameless.
fn called(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let plain: String = plain.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(NAME).collect();
    if plain.is_empty() { "Somebody".to_owned() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::Ipv4Addr;

    fn ip(n: u8) -> IpAddr {
        IpAddr::V4(Ipv4Addr::new(192, 0, 2, n))
    }

    #[test]
    fn a_code_lets_in_however_it_is_typed_and_each_role_by_its_own() {
        let (mut gate, now) = (Gate::new().unwrap(), Instant::now());
        for (role, typed) in [
            (Role::Crew, gate.code(Role::Crew).unwrap()),
            (Role::Viewer, gate.code(Role::Viewer).unwrap().to_lowercase().replace('-', " ")),
        ] {
            let token = gate.join(&typed, " R.\tBerg\u{7} ", ip(1), now).unwrap();
            let person = gate.person(&token, now).unwrap();
            assert_eq!((person.name.as_str(), person.role), ("R. Berg", role));
        }
        let key = gate.key().to_owned();
        let lead = gate.open(&key, ip(1), now).unwrap();
        assert_eq!(gate.person(&lead, now).unwrap().role, Role::Lead);
        // The key is no code, and a code no key.
        assert_eq!(gate.join(&key, "", ip(2), now), Err(Refused::Wrong));
        let code = gate.code(Role::Crew).unwrap();
        assert_eq!(gate.open(&code, ip(2), now), Err(Refused::Wrong));
        assert_eq!(gate.person("", now), None);
        assert_eq!(gate.people(now).len(), 3);
        gate.send_off();
        assert_eq!(gate.people(now).len(), 1);
        gate.leave(&lead);
        assert_eq!(gate.person(&lead, now), None);
    }

    #[test]
    fn wrong_codes_are_slowed_down_by_address_and_altogether() {
        let (mut gate, now) = (Gate::new().unwrap(), Instant::now());
        for _ in 0..FROM_ONE {
            assert_eq!(gate.join("WRONGONE", "", ip(1), now), Err(Refused::Wrong));
        }
        let right = gate.code(Role::Crew).unwrap();
        // The right one too: or a machine could go on trying.
        assert!(matches!(gate.join(&right, "", ip(1), now), Err(Refused::Wait(w)) if w == WINDOW));
        // Others are not shut out by one.
        assert!(gate.join(&right, "", ip(2), now).is_ok());
        let later = now + WINDOW;
        assert!(gate.join(&right, "", ip(1), later).is_ok());
        for n in 0..FROM_ALL {
            let from = ip(u8::try_from(10 + n).unwrap());
            assert_eq!(gate.join("WRONGONE", "", from, later), Err(Refused::Wrong));
        }
        assert!(matches!(gate.join(&right, "", ip(2), later), Err(Refused::Wait(_))));
    }

    #[test]
    fn sessions_end_unused_and_old_ones_however_used() {
        let (mut gate, start) = (Gate::new().unwrap(), Instant::now());
        let code = gate.code(Role::Crew).unwrap();
        let idle = gate.join(&code, "", ip(1), start).unwrap();
        let busy = gate.join(&code, "", ip(1), start).unwrap();
        let hour = Duration::from_hours(1);
        for h in 1..=11 {
            assert!(gate.person(&busy, start + h * hour).is_some());
        }
        assert!(gate.person(&idle, start + 12 * hour).is_none());
        for h in 12..36 {
            assert!(gate.person(&busy, start + h * hour).is_some(), "{h}");
        }
        assert!(gate.person(&busy, start + 36 * hour).is_none());
    }

    #[test]
    fn new_codes_shut_the_old_ones_and_no_end_of_sessions_is_kept() {
        let (mut gate, now) = (Gate::new().unwrap(), Instant::now());
        let old = gate.code(Role::Crew).unwrap();
        let first = gate.join(&old, "first", ip(1), now).unwrap();
        gate.change_codes().unwrap();
        assert_eq!(gate.join(&old, "", ip(1), now), Err(Refused::Wrong));
        assert!(gate.person(&first, now).is_some());
        let code = gate.code(Role::Crew).unwrap();
        for n in 0..SESSIONS {
            let at = now + Duration::from_millis(u64::try_from(n).unwrap() + 1);
            gate.join(&code, "", ip(3), at).unwrap();
        }
        assert_eq!(gate.people(now + Duration::from_secs(2)).len(), SESSIONS);
        assert!(gate.person(&first, now + Duration::from_secs(2)).is_none(), "the oldest made room");
        assert_eq!(called(&"x".repeat(500)).len(), NAME);
    }
}
