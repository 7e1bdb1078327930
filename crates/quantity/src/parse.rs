//! Reads a whole quantity: sign, amount, unit, and smaller units after it (`5 ft 6-1/2 in`, `1 h 30 min`).

use core::ops::Range;

use crate::lex::{Mark, lex};
use crate::lookup::{self, Miss};
use crate::number::{Amount, Cursor, amount, too_big};
use crate::{Fault, Kind, Quantity, Unit};

/// Units that may follow one another, largest first.
const CHAINS: &[(Kind, &[&str])] = &[
    (Kind::Length, &["ft", "in"]),
    (Kind::Mass, &["lb", "oz"]),
    (Kind::Time, &["h", "min", "s"]),
    (Kind::Angle, &["deg", "arcmin", "arcsec"]),
];

/// Reads a quantity of the type asked for.
///
/// # Errors
///
/// A [`Fault`] that points into the text when it is not one certain amount of this kind.
///
/// # Examples
///
/// ```
/// use quantity::{Length, parse};
///
/// let wide: Length = parse("-13-5/8 in")?;
/// assert!((wide.to_inch() + 13.625).abs() < 1e-12);
/// assert_eq!(parse::<Length>("1,500 mm").unwrap_err().span, 0..5);
/// # Ok::<(), quantity::Fault>(())
/// ```
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, Fault> {
    parse_kind(text, Q::KIND).map(Q::from_si)
}

/// Reads a quantity of the kind asked for; gives the value in SI units.
///
/// # Errors
///
/// As [`parse`].
pub fn parse_kind(text: &str, kind: Kind) -> Result<f64, Fault> {
    read(text, kind).map(|reading| reading.si)
}

/// A quantity that was read, with the first unit it was written in.
pub(crate) struct Reading {
    /// In SI units, finite.
    pub(crate) si: f64,
    /// The first unit.
    pub(crate) unit: &'static Unit,
}

struct Part {
    amount: Amount,
    unit: &'static Unit,
}

pub(crate) fn read(text: &str, kind: Kind) -> Result<Reading, Fault> {
    // A gauge is a number of a list, not so many of a unit.
    if kind == Kind::Conductor
        && let Some(area) = crate::gauge::read(text)
        && let Some(unit) = kind.units().iter().find(|u| u.system == Some(crate::System::Us))
    {
        return area.map(|si| Reading { si, unit });
    }
    let all = lex(text);
    let blank = |t: &crate::lex::Token| t.mark == Mark::Space;
    let first = all.iter().position(|t| !blank(t)).unwrap_or(all.len());
    let last = all.iter().rposition(|t| !blank(t)).map_or(first, |i| i + 1);
    let mut c = Cursor { text, tokens: all.get(first..last).unwrap_or_default(), at: 0 };
    if c.tokens.is_empty() {
        return Err(Fault::new(
            0..text.len(),
            format!("no {} is given", kind.name()),
            "the text is empty",
            format!("write {} such as {}", kind.with_article(), lookup::examples(kind)),
        ));
    }
    let sign = sign(&mut c)?;
    let mut parts = vec![part(&mut c, kind, None)?];
    while let Some(lead) = next_part(&c)? {
        c.at += lead;
        let next = part(&mut c, kind, parts.last())?;
        check_chain(&c, kind, parts.last(), &next)?;
        parts.push(next);
    }
    trailing(&c)?;
    let written = c.span(0).start.min(first_byte(&c))..c.end();
    let si: f64 = parts.iter().map(|p| p.unit.si(sign * p.amount.value)).sum();
    let Some(unit) = parts.first().map(|p| p.unit) else { return Err(too_big(written)) };
    check_range(si, &parts, kind, &written)?;
    Ok(Reading { si, unit })
}

fn first_byte(c: &Cursor<'_>) -> usize {
    c.tokens.first().map_or(0, |t| t.span.start)
}

fn check_range(si: f64, parts: &[Part], kind: Kind, written: &Range<usize>) -> Result<(), Fault> {
    if !si.is_finite() {
        return Err(too_big(written.clone()));
    }
    if si == 0.0 && parts.iter().any(|p| p.amount.value != 0.0 && p.unit.offset == 0.0) {
        return Err(Fault::new(
            written.clone(),
            "the number is too small",
            "it is nearer to zero than a number can be held",
            "write 0, or check the power of ten",
        ));
    }
    if kind == Kind::Temperature && si < 0.0 {
        return Err(Fault::new(
            written.clone(),
            "the temperature is below absolute zero",
            "nothing is colder than -273.15 °C (-459.67 °F, 0 K)",
            "check the number and the unit",
        ));
    }
    Ok(())
}

fn sign(c: &mut Cursor<'_>) -> Result<f64, Fault> {
    let sign = match c.mark(0) {
        Some(Mark::Hyphen | Mark::Minus) => -1.0,
        Some(Mark::Plus) => 1.0,
        _ => return Ok(1.0),
    };
    let next = c.skip(1);
    if matches!(c.mark(next), Some(Mark::Hyphen | Mark::Minus | Mark::Plus)) {
        return Err(Fault::new(
            c.span(0).start..c.span(next).end,
            "two signs",
            "an amount has one sign at most",
            "write one `-`, or none",
        ));
    }
    c.at += next;
    Ok(sign)
}

/// Marks to step over to the next part (`6 in` of `5 ft 6 in`), if there is one.
fn next_part(c: &Cursor<'_>) -> Result<Option<usize>, Fault> {
    let near = c.skip(0);
    if c.number_at(near) {
        return Ok(Some(near));
    }
    if !matches!(c.mark(near), Some(Mark::Hyphen | Mark::Minus | Mark::Plus)) {
        return Ok(None);
    }
    let far = c.skip(near + 1);
    if !c.number_at(far) {
        return Ok(None);
    }
    // `5'-6"` is the draughtsman's way to part feet and inches; with a blank it may be a sign.
    if near == 0 && far == 1 && c.mark(0) == Some(&Mark::Hyphen) {
        return Ok(Some(1));
    }
    let head = c.slice(&(first_byte(c)..c.end()));
    let tail = c.slice(&(c.span(far).start..c.text.len())).trim_end();
    Err(Fault::new(
        c.span(near),
        "a sign in the middle",
        "it may part the two amounts or take one from the other",
        format!("write `{head} {tail}` if both add up"),
    ))
}

fn part(c: &mut Cursor<'_>, kind: Kind, before: Option<&Part>) -> Result<Part, Fault> {
    let amount = amount(c)?;
    let unit = unit(c, kind, &amount, before)?;
    Ok(Part { amount, unit })
}

fn check_chain(c: &Cursor<'_>, kind: Kind, before: Option<&Part>, next: &Part) -> Result<(), Fault> {
    let Some(before) = before else { return Ok(()) };
    let place = |unit: &Unit| {
        CHAINS
            .iter()
            .filter(|(k, _)| *k == kind)
            .find_map(|(_, chain)| chain.iter().position(|s| *s == unit.symbol))
    };
    let span = next.amount.span.start..c.end();
    match (place(before.unit), place(next.unit)) {
        (Some(a), Some(b)) if a < b => {}
        _ => {
            return Err(Fault::new(
                span,
                "two amounts",
                format!(
                    "`{}` does not follow `{}` within one {}",
                    next.unit.symbol,
                    before.unit.symbol,
                    kind.name()
                ),
                "write one amount",
            ));
        }
    }
    if !before.amount.whole {
        return Err(Fault::new(
            before.amount.span.clone(),
            "a part amount before a smaller unit",
            format!("only the last amount may have decimals or a fraction, and `{}` follows", c.slice(&span)),
            "write the whole amount in one unit, or the first part as a whole number",
        ));
    }
    let whole = next.unit.value(before.unit.factor());
    // The ratio is a whole number (12, 16, 60); rounding noise must not let 12 in pass as less than 1 ft.
    if next.amount.value >= whole - 1e-9 {
        return Err(Fault::new(
            span,
            format!("`{}` is one {} or more", c.slice(&next.amount.span), before.unit.symbol),
            format!(
                "1 {} is {whole:.0} {}, so the second amount is likely a slip",
                before.unit.symbol, next.unit.symbol
            ),
            format!("carry it over to the {}", before.unit.symbol),
        ));
    }
    Ok(())
}

/// One way to read the words behind the number as a unit.
struct Candidate {
    key: String,
    end: usize,
}

fn unit(
    c: &mut Cursor<'_>,
    kind: Kind,
    amount: &Amount,
    before: Option<&Part>,
) -> Result<&'static Unit, Fault> {
    let number = c.slice(&amount.span).to_owned();
    let start = c.skip(0);
    if !matches!(c.mark(start), Some(Mark::Word(_))) {
        let bare = kind.units().iter().find(|u| u.symbol.is_empty());
        return bare.ok_or_else(|| match c.mark(start) {
            None | Some(Mark::Number { .. } | Mark::Vulgar(..)) => no_unit(c, kind, amount, before),
            _ => lookup::fault(&Miss::Unknown, c.slice(&c.span(start)), &number, kind, c.span(start)),
        });
    }
    c.at += start;
    let from = c.span(0).start;
    let candidates = candidates(c);
    let mut miss: Option<(Miss, usize)> = None;
    for candidate in candidates.iter().rev() {
        // `'` and `"` are minutes and seconds of arc behind degrees only; alone they are feet and inches.
        let tick = kind == Kind::Angle && before.is_none() && matches!(candidate.key.as_str(), "'" | "\"");
        let found = match lookup::find(&candidate.key, Kind::Length) {
            Ok(length) if tick => Err(Miss::Elsewhere(Kind::Length, length)),
            _ => lookup::find(&candidate.key, kind),
        };
        match found {
            Ok(found) => {
                c.at = candidate.end;
                return Ok(found);
            }
            Err(why) if miss.as_ref().is_none_or(|(m, _)| *m == Miss::Unknown && why != Miss::Unknown) => {
                miss = Some((why, candidate.end));
            }
            Err(_) => {}
        }
    }
    let (miss, end) = miss.unwrap_or((Miss::Unknown, c.at + 1));
    c.at = end;
    let span = from..c.end();
    Err(lookup::fault(&miss, c.slice(&span), &number, kind, span))
}

fn no_unit(c: &Cursor<'_>, kind: Kind, amount: &Amount, before: Option<&Part>) -> Fault {
    let number = c.slice(&amount.span);
    let smaller = before.and_then(|before| {
        let (_, chain) = CHAINS.iter().find(|(k, _)| *k == kind)?;
        chain.get(chain.iter().position(|s| *s == before.unit.symbol)? + 1).copied()
    });
    let names = smaller.map_or_else(|| lookup::everyday(kind), |s| vec![s]);
    let ways: Vec<String> = names.iter().map(|unit| format!("`{number} {unit}`")).collect();
    Fault::new(
        amount.span.clone(),
        format!("`{number}` has no unit"),
        format!("{} is written with its unit, so that nobody has to guess", kind.with_article()),
        format!("write {}", ways.join(" or ")),
    )
}

/// All ways to read the words at the cursor as a unit, shortest first: `ft`, `ft·lb`, `ft·lb·abc`.
fn candidates(c: &Cursor<'_>) -> Vec<Candidate> {
    let word = |n: usize| match c.mark(n) {
        Some(Mark::Word(w)) => Some(w.as_str()),
        _ => None,
    };
    let mut found = Vec::new();
    let mut key = word(0).unwrap_or_default().to_owned();
    let mut n = 1;
    let mut open = 0_usize;
    loop {
        // `ft.-lb.`: the point before a joint.
        if c.mark(n) == Some(&Mark::Period)
            && matches!(c.mark(n + 1), Some(Mark::Hyphen | Mark::Times | Mark::Slash))
        {
            n += 1;
        }
        let tick = key.ends_with(['"', '\'']);
        let near = c.skip(n);
        let far = c.skip(near + 1);
        let joint = match c.mark(near) {
            Some(Mark::Word(w)) if key.ends_with('/') || key.ends_with('(') => Some((w, "", near + 1)),
            Some(Mark::Word(w)) if key == "°" => Some((w, "", near + 1)),
            Some(Mark::Word(w)) if tick && !w.starts_with(['H', 'h']) => {
                if near == n {
                    None
                } else {
                    Some((w, "·", near + 1))
                }
            }
            Some(Mark::Word(w)) if w == "\"" || w == "'" => None,
            Some(Mark::Word(w)) if w == "per" && word(far).is_some() => {
                key.push('/');
                n = near + 1;
                continue;
            }
            Some(Mark::Word(w)) => Some((w, "·", near + 1)),
            Some(Mark::Times) => match c.mark(far) {
                Some(Mark::Word(w)) => Some((w, "·", far + 1)),
                _ => None,
            },
            Some(Mark::Slash) if word(far).is_some() => {
                key.push('/');
                n = near + 1;
                continue;
            }
            Some(Mark::Slash) if c.mark(far) == Some(&Mark::Open) && open == 0 => {
                key.push_str("/(");
                open = 1;
                n = far + 1;
                continue;
            }
            Some(Mark::Close) if open == 1 => {
                key.push(')');
                open = 0;
                n = near + 1;
                continue;
            }
            Some(Mark::Hyphen) if near == n => match c.mark(n + 1) {
                Some(Mark::Word(w)) if !w.starts_with(['"', '\'']) => Some((w, "·", n + 2)),
                _ => None,
            },
            // `in. Hg`: the point of an abbreviation inside a unit.
            Some(Mark::Period) if near == n => match c.mark(far) {
                Some(Mark::Word(w)) if !tick => Some((w, "·", far + 1)),
                _ => None,
            },
            _ => None,
        };
        let Some((w, glue, next)) = joint else { break };
        if near > n {
            found.push(Candidate { key: key.clone(), end: c.at + n });
        } else if c.mark(n) == Some(&Mark::Period) {
            found.push(Candidate { key: key.clone(), end: c.at + n + 1 });
        }
        key.push_str(glue);
        key.push_str(w);
        n = next;
    }
    // `in.`, `ft.`, `lb.`: the point of an abbreviation.
    if c.mark(n) == Some(&Mark::Period) {
        n += 1;
    }
    found.push(Candidate { key, end: c.at + n });
    found
}

fn trailing(c: &Cursor<'_>) -> Result<(), Fault> {
    if c.mark(0).is_none() {
        return Ok(());
    }
    let end = c.tokens.last().map_or(0, |t| t.span.end);
    let span = c.span(c.skip(0)).start..end;
    let head = c.slice(&(first_byte(c)..c.end())).to_owned();
    let rest = c.slice(&span).to_owned();
    let more = c.tokens.iter().skip(c.at).any(|t| matches!(t.mark, Mark::Number { .. } | Mark::Vulgar(..)));
    let why = if more { "one amount is wanted here" } else { "the amount is complete before it" };
    Err(Fault::new(
        span,
        format!("`{rest}` does not belong here"),
        why,
        format!("write `{head}` and leave the rest out"),
    ))
}
