//! A value as it is written: in the kind and the quotes of the value that stands there.

use super::document::{Node, defined};
use super::fault::EditFault;
use crate::pass::{printable, quoted};
use crate::spec::Shape;
use quantity::Kind;
use toml_edit::{Document, Value};

/// What was typed, in the place of `old`, which is written as `raw`.
pub(crate) fn like(old: &Value, raw: &str, typed: &str) -> String {
    match old {
        Value::String(_) => text_like(raw, typed),
        Value::Integer(_) | Value::Float(_) if is_number(typed) => typed.trim().to_owned(),
        Value::Boolean(_) if is_flag(typed) => typed.trim().to_owned(),
        _ => quoted(typed),
    }
}

/// A text in the quotes of the one that stands there, where it goes between them.
pub(crate) fn text_like(raw: &str, text: &str) -> String {
    let single = raw.starts_with('\'') && !raw.starts_with("'''");
    let goes = !text.contains('\'') && !text.chars().any(char::is_control);
    if single && goes { format!("'{text}'") } else { quoted(text) }
}

/// What was typed for a key that is new, by what the format says of it.
pub(crate) fn fresh<S: AsRef<str>>(path: &[S], typed: &str) -> Result<String, EditFault> {
    let row = defined(path).map(|(row, _)| row.shape);
    Ok(match row {
        Some(Shape::List(_)) => list(path, typed)?,
        Some(Shape::Table(_) | Shape::Tagged(_)) => braces(typed).ok_or_else(|| table(path))?,
        Some(Shape::Quantity(Kind::Number) | Shape::Measure(Kind::Number) | Shape::Count(..))
            if is_number(typed) =>
        {
            typed.trim().to_owned()
        }
        Some(Shape::Quantity(_)) => braces(typed).unwrap_or_else(|| quoted(typed)),
        Some(Shape::Flag) if is_flag(typed) => typed.trim().to_owned(),
        None if is_number(typed) || is_flag(typed) => typed.trim().to_owned(),
        _ => quoted(typed),
    })
}

/// What was typed in the place of a node.
pub(crate) fn instead<S: AsRef<str>>(
    path: &[S],
    old: Node<'_>,
    raw: &str,
    typed: &str,
) -> Result<String, EditFault> {
    match old {
        Node::Plain(value) => {
            let shape = defined(path).map(|(row, _)| row.shape);
            // A text that is no number stood there by mistake, or with a unit: `5 %`.
            let odd = value.as_str().is_none_or(|t| !is_number(t));
            Ok(match shape {
                Some(Shape::Quantity(_) | Shape::Radius) if braces(typed).is_some() => {
                    braces(typed).unwrap_or_default()
                }
                Some(Shape::Quantity(Kind::Number) | Shape::Measure(Kind::Number))
                    if odd && is_number(typed) =>
                {
                    typed.trim().to_owned()
                }
                Some(Shape::Count(..)) if is_number(typed) => typed.trim().to_owned(),
                Some(Shape::Flag) if is_flag(typed) => typed.trim().to_owned(),
                _ => like(value, raw, typed),
            })
        }
        Node::List(_) => list(path, typed),
        Node::Inline(_) => braces(typed).ok_or_else(|| table(path)),
        Node::Table(_) | Node::Tables(_) => Err(table(path)),
    }
}

fn table<S: AsRef<str>>(path: &[S]) -> EditFault {
    let key = super::document::dotted(path);
    EditFault::new(
        format!("`{key}` is a table, not one value"),
        "it has keys of its own",
        format!("set one of its keys, such as `{key}.` and the key's name"),
    )
}

fn list<S: AsRef<str>>(path: &[S], typed: &str) -> Result<String, EditFault> {
    let read = raw_value(typed).filter(|(value, _)| value.is_array()).map(|(_, raw)| raw);
    read.ok_or_else(|| {
        let example = defined(path).map_or("[\"5 kg\", \"2.5 kg\"]", |(row, _)| row.example);
        EditFault::new(
            format!("`{}` is a list", super::document::dotted(path)),
            format!("\"{}\" is not one", printable(typed)),
            format!("write it between brackets: {example}"),
        )
    })
}

/// A table between braces.
pub(crate) fn braces(typed: &str) -> Option<String> {
    raw_value(typed).filter(|(value, _)| value.is_inline_table()).map(|(_, raw)| raw)
}

/// A whole value of TOML, and its text without blanks and remarks around it.
fn raw_value(typed: &str) -> Option<(Value, String)> {
    let text = format!("x = {typed}\n");
    let document = Document::parse(text.as_str()).ok()?;
    if document.as_table().len() != 1 {
        return None;
    }
    let value = document.get("x")?.as_value()?;
    Some((value.clone(), text.get(value.span()?)?.to_owned()))
}

fn is_number(typed: &str) -> bool {
    typed.trim().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+'))
        && raw_value(typed).is_some_and(|(v, raw)| (v.is_integer() || v.is_float()) && raw == typed.trim())
}

fn is_flag(typed: &str) -> bool {
    matches!(typed.trim(), "true" | "false")
}
