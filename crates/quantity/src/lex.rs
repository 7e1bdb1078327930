//! Splits a written quantity into marks, each with its bytes in the text.

use core::ops::Range;

use winnow::ascii::digit1;
use winnow::combinator::{alt, eof, not, opt, peek, repeat};
use winnow::error::ContextError;
use winnow::prelude::*;
use winnow::stream::LocatingSlice;
use winnow::token::{any, one_of, take_while};

type Text<'a> = LocatingSlice<&'a str>;
type Lexed<T> = Result<T, ContextError>;

/// What a mark is.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Mark {
    /// Digits with points and commas, and a power of ten if one follows.
    Number {
        /// The digits, points and commas.
        digits: String,
        /// The power of ten: `e-6`, `×10⁻⁶`.
        exponent: String,
    },
    /// `½`: numerator and denominator.
    Vulgar(f64, f64),
    /// A unit word in its plain spelling (`µ` as `u`, `²` as `2`), or a foot or inch mark.
    Word(String),
    /// A hyphen or en dash.
    Hyphen,
    /// A true minus sign.
    Minus,
    /// `+`.
    Plus,
    /// `/`.
    Slash,
    /// `·`, `*`, `×`.
    Times,
    /// `.` that belongs to no number.
    Period,
    /// `(`.
    Open,
    /// `)`.
    Close,
    /// White space.
    Space,
    /// Anything else.
    Other,
}

/// A mark and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Token {
    /// What it is.
    pub(crate) mark: Mark,
    /// Its bytes in the text.
    pub(crate) span: Range<usize>,
}

/// All marks of the text, in order and without gaps.
pub(crate) fn lex(text: &str) -> Vec<Token> {
    let mut input = LocatingSlice::new(text);
    let token = mark.with_span().map(|(mark, span)| Token { mark, span });
    // `mark` takes any character, so the repeat ends only at the end of the text.
    repeat(0.., token).parse_next(&mut input).unwrap_or_else(|_: ContextError| Vec::new())
}

fn mark(input: &mut Text<'_>) -> Lexed<Mark> {
    alt((
        space.value(Mark::Space),
        alt((number, vulgar, foot_or_inch, word)),
        one_of(['-', '\u{2010}', '\u{2011}', '\u{2013}']).value(Mark::Hyphen),
        '\u{2212}'.value(Mark::Minus),
        '+'.value(Mark::Plus),
        one_of(['/', '\u{2044}', '\u{2215}']).value(Mark::Slash),
        one_of(['·', '⋅', '∙', '•', '*', '×']).value(Mark::Times),
        alt(('.'.value(Mark::Period), '('.value(Mark::Open), ')'.value(Mark::Close))),
        any.value(Mark::Other),
    ))
    .parse_next(input)
}

fn space<'a>(input: &mut Text<'a>) -> Lexed<&'a str> {
    take_while(1.., char::is_whitespace).parse_next(input)
}

fn number(input: &mut Text<'_>) -> Lexed<Mark> {
    let digits = alt((
        (digit1, repeat::<_, _, (), _, _>(0.., (one_of(['.', ',']), digit1)), opt(one_of(['.', ',']))).take(),
        (one_of(['.', ',']), digit1, repeat::<_, _, (), _, _>(0.., (one_of(['.', ',']), digit1))).take(),
    ))
    .parse_next(input)?
    .to_owned();
    let exponent = opt(alt((e_power, ten_power))).parse_next(input)?.unwrap_or_default();
    Ok(Mark::Number { digits, exponent })
}

/// `e-6`, `E3`; not the start of a word.
fn e_power(input: &mut Text<'_>) -> Lexed<String> {
    let (_, sign, digits, ()) =
        (one_of(['e', 'E']), opt(one_of(['+', '-', '\u{2212}'])), digit1, not(one_of(char::is_alphanumeric)))
            .parse_next(input)?;
    Ok(signed(sign, digits))
}

/// `×10^-6`, `·10⁻⁶`, ` x 10^-6`.
fn ten_power(input: &mut Text<'_>) -> Lexed<String> {
    let _ = (opt(space), one_of(['×', '·', '⋅', '*', 'x']), opt(space), "10").parse_next(input)?;
    alt((
        ('^', opt(one_of(['+', '-', '\u{2212}'])), digit1).map(|(_, sign, digits)| signed(sign, digits)),
        (opt(one_of(['⁺', '⁻'])), take_while(1.., |c| superscript(c).is_some())).map(
            |(sign, digits): (_, &str)| {
                let digits: String = digits.chars().filter_map(superscript).collect();
                signed(sign, &digits)
            },
        ),
    ))
    .parse_next(input)
}

fn signed(sign: Option<char>, digits: &str) -> String {
    if matches!(sign, Some('-' | '\u{2212}' | '⁻')) { format!("-{digits}") } else { digits.to_owned() }
}

fn superscript(c: char) -> Option<char> {
    "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|s| s == c).and_then(|n| char::from_digit(u32::try_from(n).ok()?, 10))
}

fn vulgar(input: &mut Text<'_>) -> Lexed<Mark> {
    any.verify_map(|c| {
        let (num, den) = match c {
            '½' => (1.0, 2.0),
            '⅓' => (1.0, 3.0),
            '⅔' => (2.0, 3.0),
            '¼' => (1.0, 4.0),
            '¾' => (3.0, 4.0),
            '⅛' => (1.0, 8.0),
            '⅜' => (3.0, 8.0),
            '⅝' => (5.0, 8.0),
            '⅞' => (7.0, 8.0),
            _ => return None,
        };
        Some(Mark::Vulgar(num, den))
    })
    .parse_next(input)
}

fn foot_or_inch(input: &mut Text<'_>) -> Lexed<Mark> {
    let foot = || one_of(['\'', '′', '’', '‘']);
    alt(((foot(), foot()).value("\""), one_of(['"', '″', '”', '“']).value("\""), foot().value("'")))
        .map(|mark| Mark::Word(mark.to_owned()))
        .parse_next(input)
}

fn letter(c: char) -> bool {
    (c.is_alphabetic() || matches!(c, '°' | '%' | '℃' | '℉')) && superscript(c).is_none()
}

/// Letters and their power: `mm`, `s2`, `m^2`, `m³`, `inH2O`.
fn word(input: &mut Text<'_>) -> Lexed<Mark> {
    let letters = take_while(1.., letter).parse_next(input)?;
    let mut plain = String::with_capacity(letters.len());
    for c in letters.chars() {
        match c {
            'µ' | 'μ' => plain.push('u'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            '\u{2126}' => plain.push('Ω'),
            _ => plain.push(c),
        }
    }
    if letters.ends_with(['H', 'h'])
        && let Some(rest) = opt(("2", one_of(['O', 'o'])).take()).parse_next(input)?
    {
        plain.push_str(rest);
        return Ok(Mark::Word(plain));
    }
    if let Some(power) = opt(power).parse_next(input)? {
        plain.push_str(&power);
    }
    Ok(Mark::Word(plain))
}

/// Positive powers as plain digits (`s2`), negative ones marked (`s^-2`), so that `ft-2` stays feet and a dash.
fn power(input: &mut Text<'_>) -> Lexed<String> {
    let ends = || {
        alt((
            eof.void(),
            one_of(char::is_whitespace).void(),
            one_of(['/', '·', '⋅', '∙', '*', '×', '(', ')']).void(),
        ))
    };
    let marked = |minus: Option<char>, digits: &str| {
        if minus.is_some() { format!("^-{digits}") } else { digits.to_owned() }
    };
    alt((
        (opt('⁻'), one_of(['¹', '²', '³', '⁴'])).map(move |(minus, c)| {
            let digit: String = superscript(c).into_iter().collect();
            marked(minus, &digit)
        }),
        (alt(("^", "**")), opt(one_of(['-', '\u{2212}'])), digit1).map(move |(_, minus, n)| marked(minus, n)),
        (one_of(['2', '3', '4']), peek(ends())).map(|(c, ())| String::from(c)),
    ))
    .parse_next(input)
}
