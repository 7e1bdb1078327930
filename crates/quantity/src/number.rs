//! Reads the amount: `13`, `13.625`, `13-5/8`, `13 5/8`, `5/8`, `13½`, `1,5`, `16e-6`.

use core::ops::Range;

use crate::Fault;
use crate::lex::{Mark, Token};

/// A place among the marks of a text.
pub(crate) struct Cursor<'a> {
    /// The person's own text.
    pub(crate) text: &'a str,
    /// Its marks, blanks at both ends left out.
    pub(crate) tokens: &'a [Token],
    /// The next mark.
    pub(crate) at: usize,
}

impl Cursor<'_> {
    /// The mark `n` places on.
    pub(crate) fn mark(&self, n: usize) -> Option<&Mark> {
        self.tokens.get(self.at + n).map(|t| &t.mark)
    }

    /// The bytes of the mark `n` places on; past the end, the empty span there.
    pub(crate) fn span(&self, n: usize) -> Range<usize> {
        let end = self.tokens.last().map_or(0, |t| t.span.end);
        self.tokens.get(self.at + n).map_or(end..end, |t| t.span.clone())
    }

    /// Where the mark before the next one ends.
    pub(crate) fn end(&self) -> usize {
        self.at.checked_sub(1).and_then(|i| self.tokens.get(i)).map_or(0, |t| t.span.end)
    }

    /// The text of a span.
    pub(crate) fn slice(&self, span: &Range<usize>) -> &str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// The offset of the first mark at or after offset `n` that is no blank.
    pub(crate) fn skip(&self, n: usize) -> usize {
        if self.mark(n) == Some(&Mark::Space) { n + 1 } else { n }
    }

    /// Whether a number or a `½` stands at offset `n`.
    pub(crate) fn number_at(&self, n: usize) -> bool {
        matches!(self.mark(n), Some(Mark::Number { .. } | Mark::Vulgar(..)))
    }

    /// How many marks the fraction at offset `n` takes, if one is there.
    fn fraction_at(&self, n: usize) -> Option<usize> {
        match self.mark(n)? {
            Mark::Vulgar(..) => Some(1),
            Mark::Number { .. } => {
                let slash = self.skip(n + 1);
                let below = self.skip(slash + 1);
                let found = self.mark(slash) == Some(&Mark::Slash)
                    && matches!(self.mark(below), Some(Mark::Number { .. }));
                found.then_some(below + 1 - n)
            }
            _ => None,
        }
    }

    fn is_sign(&self, n: usize) -> bool {
        matches!(self.mark(n), Some(Mark::Hyphen | Mark::Minus | Mark::Plus))
    }
}

/// A number as written.
pub(crate) struct Amount {
    /// Its value, never negative.
    pub(crate) value: f64,
    /// Its bytes.
    pub(crate) span: Range<usize>,
    /// Written without a fraction or decimals.
    pub(crate) whole: bool,
}

/// Reads the amount at the cursor and moves behind it.
pub(crate) fn amount(c: &mut Cursor<'_>) -> Result<Amount, Fault> {
    let start = c.span(0).start;
    if let Some(len) = c.fraction_at(0) {
        let (num, den) = fraction(c, 0)?;
        c.at += len;
        single(c, start)?;
        return Ok(Amount { value: num / den, span: start..c.end(), whole: false });
    }
    let Some(Mark::Number { digits, exponent }) = c.mark(0) else { return Err(no_number(c)) };
    let value = decimal(digits, exponent, c.span(0))?;
    let whole = exponent.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    c.at += 1;
    if let Some((lead, len)) = mixed(c, start)? {
        let (num, den) = fraction(c, lead)?;
        c.at += lead + len;
        let span = start..c.end();
        if !whole {
            return Err(Fault::new(
                span,
                "decimals and a fraction together",
                "the number before a fraction is a whole one",
                "write either the decimals or the fraction: `13.625` or `13-5/8`",
            ));
        }
        if num >= den {
            return Err(Fault::new(
                span,
                "the fraction is not less than one",
                "a whole number and a fraction of one or more is likely a slip",
                "write the whole number and a fraction below one: `13-5/8`",
            ));
        }
        single(c, start)?;
        return Ok(Amount { value: value + num / den, span, whole: false });
    }
    single(c, start)?;
    Ok(Amount { value, span: start..c.end(), whole })
}

/// The fraction of a mixed number behind a whole one: marks before it, and its own marks.
fn mixed(c: &Cursor<'_>, start: usize) -> Result<Option<(usize, usize)>, Fault> {
    for lead in 0..=3 {
        let Some(len) = c.fraction_at(lead) else { continue };
        let joined = match lead {
            0 => true,
            1 => matches!(c.mark(0), Some(Mark::Space | Mark::Hyphen)),
            _ => false,
        };
        if joined {
            return Ok(Some((lead, len)));
        }
        // `13 -5/8`, `13- 5/8`, `13 - 5/8`, `13−5/8`: a sign, a dash or a joint?
        let blank_or_sign = |n: usize| c.mark(n) == Some(&Mark::Space) || c.is_sign(n);
        if (0..lead).all(blank_or_sign) && (0..lead).any(|n| c.is_sign(n)) {
            let whole = c.slice(&(start..c.end()));
            let part = c.slice(&(c.span(lead).start..c.span(lead + len - 1).end));
            return Err(Fault::new(
                start..c.span(lead + len - 1).end,
                format!("`{}` can be read two ways", c.slice(&(start..c.span(lead + len - 1).end))),
                "the dash may join the fraction or take it away",
                format!("write `{whole}-{part}` without blanks"),
            ));
        }
        return Ok(None);
    }
    Ok(None)
}

fn fraction(c: &Cursor<'_>, n: usize) -> Result<(f64, f64), Fault> {
    if let Some(Mark::Vulgar(num, den)) = c.mark(n) {
        return Ok((*num, *den));
    }
    let below = c.skip(c.skip(n + 1) + 1);
    let part = |at: usize| match c.mark(at) {
        Some(Mark::Number { digits, exponent })
            if exponent.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()) =>
        {
            decimal(digits, exponent, c.span(at))
        }
        _ => Err(Fault::new(
            c.span(n).start..c.span(below).end,
            "a fraction of decimals",
            "both numbers of a fraction are whole",
            "write the fraction as `5/8`, or the amount in decimals",
        )),
    };
    let (num, den) = (part(n)?, part(below)?);
    if den == 0.0 {
        return Err(Fault::new(
            c.span(below),
            "division by zero",
            "the lower number of a fraction cannot be 0",
            "write the fraction as `5/8`",
        ));
    }
    Ok((num, den))
}

/// Refuses a second number behind the first with no unit between them.
fn single(c: &Cursor<'_>, start: usize) -> Result<(), Fault> {
    let next = c.skip(0);
    let between = match c.mark(next) {
        Some(Mark::Word(w)) => matches!(w.as_str(), "x" | "X" | "by" | "to"),
        Some(Mark::Hyphen | Mark::Minus | Mark::Plus | Mark::Times | Mark::Slash | Mark::Period) => true,
        _ => false,
    };
    let second = if between { c.skip(next + 1) } else { next };
    if !c.number_at(second) {
        return Ok(());
    }
    let first = c.slice(&(start..c.end())).to_owned();
    let span = start..c.span(second).end;
    let (why, mend) = match c.mark(next) {
        Some(Mark::Number { digits, .. }) if digits.len() == 3 && next == 1 => (
            "a blank does not part thousands here, and two numbers give no one amount",
            format!("write `{first}{digits}` if that is meant"),
        ),
        Some(Mark::Hyphen) => (
            "a dash joins only a whole number and a fraction, as in `13-5/8`; a range is not one amount",
            "write one amount".to_owned(),
        ),
        _ => ("one amount is wanted here", "write one amount".to_owned()),
    };
    Err(Fault::new(span, "two numbers", why, mend))
}

fn no_number(c: &Cursor<'_>) -> Fault {
    let span = c.span(0);
    let written = c.slice(&span);
    if let Some(Mark::Word(word)) = c.mark(0)
        && matches!(word.to_lowercase().as_str(), "nan" | "inf" | "infinity" | "∞")
    {
        return Fault::new(
            span.clone(),
            format!("`{written}` is not an amount"),
            "a rig is built from finite numbers",
            "write a number; leave the entry out if it is not known",
        );
    }
    if written.is_empty() {
        return Fault::new(span, "no number", "the text ends where a number is wanted", "write a number");
    }
    Fault::new(
        span.clone(),
        format!("`{written}` is not a number"),
        "an amount begins with its number",
        "write the number first, then the unit",
    )
}

/// A number with points, commas and a power of ten.
///
/// One kind of separator, once, is the decimal mark, unless it is a comma that could part thousands (`1,500`).
/// Commas that part groups of three, with or without a decimal point behind, part thousands. The rest is refused.
fn decimal(digits: &str, exponent: &str, span: Range<usize>) -> Result<f64, Fault> {
    let commas = digits.matches(',').count();
    let points = digits.matches('.').count();
    let plain = match (commas, points) {
        (0, 0 | 1) => digits.to_owned(),
        (0, _) => return Err(separators(digits, span)),
        (1, 0) => {
            let (before, after) = digits.split_once(',').unwrap_or((digits, ""));
            let thousands = after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0');
            if thousands {
                return Err(Fault::new(
                    span,
                    format!("`{digits}` can be read two ways"),
                    format!("the comma may part thousands ({before}{after}) or decimals ({before}.{after})"),
                    format!("write `{before}{after}` or `{before}.{after}`"),
                ));
            }
            if after.is_empty() {
                return Err(separators(digits, span));
            }
            format!("{before}.{after}")
        }
        (_, 0 | 1) if grouped(digits) => digits.replace(',', ""),
        _ => return Err(separators(digits, span)),
    };
    let value: f64 = format!("{plain}e{}", if exponent.is_empty() { "0" } else { exponent })
        .parse()
        .map_err(|_| separators(digits, span.clone()))?;
    if !value.is_finite() {
        return Err(too_big(span));
    }
    if value == 0.0 && plain.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        return Err(Fault::new(
            span,
            "the number is too small",
            "it is nearer to zero than a number can be held",
            "write 0, or check the power of ten",
        ));
    }
    Ok(value)
}

/// Commas only between groups of three, none behind the point.
fn grouped(digits: &str) -> bool {
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && groups.all(|g| g.len() == 3)
        && !decimals.contains(',')
}

fn separators(digits: &str, span: Range<usize>) -> Fault {
    // `1.500,5`: two kinds of mark, the last one once and the others between groups of three.
    let last = digits.rfind([',', '.']);
    let parts = last.and_then(|at| Some((digits.get(..at)?, digits.get(at..)?)));
    let guess = parts.and_then(|(whole, decimals)| {
        let mark = decimals.chars().next()?;
        let clear = !whole.contains(mark) && whole.split([',', '.']).skip(1).all(|group| group.len() == 3);
        let split = whole.contains([',', '.']) && decimals.len() > 1;
        (clear && split)
            .then(|| format!("{}.{}", whole.replace([',', '.'], ""), decimals.get(1..).unwrap_or("")))
    });
    let mend = match guess {
        Some(number) => format!("write `{number}` if that is meant"),
        None => "write at most one decimal point, and nothing between thousands".to_owned(),
    };
    Fault::new(
        span,
        format!("`{digits}` is not a number that can be trusted"),
        "its points and commas do not say which one marks the decimals",
        mend,
    )
}

/// The fault for an amount beyond what a number can hold.
pub(crate) fn too_big(span: Range<usize>) -> Fault {
    Fault::new(span, "the number is too big", "it is beyond what a number can hold", "check the power of ten")
}
