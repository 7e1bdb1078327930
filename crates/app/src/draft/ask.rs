//! Asks one question at a time, and asks again until the answer can stand in a rig file.

use super::question::{QUESTIONS, Question, Sort};
use super::{Answers, file};
use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::print::style::{self, paint};
use crate::print::text::hang;
use rig::Severity;
use std::io::Write;

/// Asks every question that applies; answers come from the input, questions go to the error output.
pub(crate) fn ask_all(io: &mut Io<'_>) -> Result<Answers, Stop> {
    let mut answers = Answers::default();
    let mut number = 0;
    for question in QUESTIONS {
        if !question.applies(&answers) {
            continue;
        }
        number += 1;
        put(io, number, question)?;
        loop {
            let line = line(io, number, question)?;
            match take(question, line.trim(), &answers) {
                Ok((next, echo)) => {
                    answers = next;
                    if !echo.is_empty() {
                        hang(&mut io.err, "     ", &echo)?;
                    }
                    break;
                }
                Err(why) => {
                    hang(&mut io.err, "     ", &why)?;
                    hang(&mut io.err, "     ", &format!("Again, for example {}", question.example))?;
                }
            }
        }
    }
    Ok(answers)
}

fn put(io: &mut Io<'_>, number: usize, question: &Question) -> Result<(), Stop> {
    writeln!(io.err)?;
    let first = format!("{number:>3}. ");
    hang(&mut io.err, &first, question.ask)?;
    hang(&mut io.err, "     ", question.measure)?;
    if let Some(choices) = choices(question) {
        hang(&mut io.err, "     One of: ", &choices.join(", "))?;
    }
    let unknown = if question.may_be_unknown { "; ? when not known yet" } else { "" };
    writeln!(io.err, "     {}", paint(style::FAINT, &format!("For example: {}{unknown}", question.example)))?;
    Ok(())
}

/// One line of the input.
fn line(io: &mut Io<'_>, number: usize, question: &Question) -> Result<String, Stop> {
    write!(io.err, "   > ")?;
    io.err.flush()?;
    let mut line = String::new();
    let bad =
        |e: std::io::Error| Stop::bad(format!("the answer cannot be read: {e}; nothing is written"), "");
    if io.input.read_line(&mut line).map_err(bad)? == 0 {
        writeln!(io.err)?;
        return Err(Stop::bad(
            format!("the answers end at question {number} ({}); nothing is written", question.ask),
            "answer all questions, or start from an example file",
        ));
    }
    if !io.typed {
        // Nobody's Enter key has ended the line.
        writeln!(io.err, "{}", line.trim_end())?;
    }
    Ok(line)
}

/// The words or parts that may be chosen.
fn choices(question: &Question) -> Option<Vec<String>> {
    match question.sort {
        Sort::Word(words) => Some(words.iter().map(|w| (*w).to_owned()).collect()),
        Sort::Part(kind) => {
            Some(rig::catalogue().into_iter().filter(|l| l.kind == kind).map(|l| l.name).collect())
        }
        _ => None,
    }
}

/// The answers with this one, and the answer in both systems; or why it cannot stand.
fn take(question: &Question, text: &str, answers: &Answers) -> Result<(Answers, String), String> {
    let mut next = answers.clone();
    if text == "?" && question.may_be_unknown {
        next.set(question.key, None);
        return Ok((next, "Not known yet: the check will ask for it or take a range.".to_owned()));
    }
    if text.is_empty() {
        return Err("An answer is needed.".to_owned());
    }
    let (value, echo) = read(question, text)?;
    next.set(question.key, Some(value));
    // The reader of rig files has the last word: the file so far, with examples for what is not answered yet.
    let reading = rig::read(&file(&next), "the new file", &|_| Err(String::new()));
    match reading.diagnostics.iter().find(|d| d.severity == Severity::Error) {
        None => Ok((next, echo)),
        Some(d) => {
            let said = [&d.message, &d.why, &d.mend].map(|s| s.trim_end_matches('.'));
            let said: Vec<&str> = said.into_iter().filter(|s| !s.is_empty()).collect();
            Err(format!("{}.", said.join("; ")))
        }
    }
}

fn read(question: &Question, text: &str) -> Result<(String, String), String> {
    match question.sort {
        Sort::Text => {
            let clean: String = text.chars().filter(|c| !c.is_control()).collect();
            Ok((clean, String::new()))
        }
        Sort::Amount(kind) => match quantity::parse_kind(text, kind) {
            Ok(si) => Ok((text.to_owned(), quantity::both_kind(si, kind))),
            Err(f) => Err(format!("{}: {}; {}.", f.what, f.why, f.mend)),
        },
        Sort::Count(from, to) => match text.parse::<u32>() {
            Ok(n) if (from..=to).contains(&n) => Ok((n.to_string(), String::new())),
            _ => Err(format!("\"{text}\" is not a whole number from {from} to {to}.")),
        },
        Sort::Word(_) | Sort::Part(_) => {
            let words = choices(question).unwrap_or_default();
            match words.iter().find(|w| w.eq_ignore_ascii_case(text)) {
                Some(word) => Ok((word.clone(), String::new())),
                None => Err(match nearest(text, &words) {
                    Some(near) => format!("\"{text}\" is none of them; did you mean {near}?"),
                    None => format!("\"{text}\" is none of {}.", words.join(", ")),
                }),
            }
        }
    }
}
