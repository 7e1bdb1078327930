//! The reading pass, continued: quantities, their limits and ranges.

use super::{Pass, article, choices, example, printable};
use crate::diagnostic::Diagnostic;
use crate::fact::{Fact, Origin};
use crate::record::Value;
use crate::source::Spot;
use crate::spec::Row;
use crate::suggest::nearest;
use crate::tree::{Data, Entry, Node};
use quantity::{Kind, System, parse_kind, show_kind};

impl Pass<'_> {
    /// A single quantity.
    pub(super) fn fact(&mut self, node: &Node, kind: Kind, row: &'static Row, path: &str) -> Value {
        let text = match &node.data {
            Data::Text(text) => text.clone(),
            Data::Number(raw) if kind == Kind::Number => raw.clone(),
            Data::Number(raw) => {
                let number = printable(raw);
                let one = |system| {
                    let unit =
                        kind.units().iter().find(|u| u.system.is_none() || u.system == Some(system))?;
                    Some(format!("\"{number} {0}\" if it is in {0}", unit.symbol))
                };
                let mut ways: Vec<String> =
                    [System::Metric, System::Us].into_iter().filter_map(one).collect();
                ways.dedup();
                self.faults.push(
                    Diagnostic::error("R004", &node.at, format!("`{}` is a bare number: {number}", row.key))
                        .why(format!("{} needs its unit, or it could be read two ways", article(kind.name())))
                        .mend(format!("write it between quotes with its unit: {}", ways.join(", "))),
                );
                return Value::Faulty;
            }
            Data::Table(_) => return self.sort(node, row, "one value: it is a place or a size"),
            _ => return self.sort(node, row, &format!("{} between double quotes", article(kind.name()))),
        };
        let value = match parse_kind(text.trim(), kind) {
            Ok(value) if value.is_finite() => value,
            Ok(_) => {
                self.faults.push(
                    Diagnostic::error("R012", &node.at, format!("`{}` is beyond any number", row.key))
                        .why("it cannot be computed with")
                        .mend(example(row)),
                );
                return Value::Faulty;
            }
            Err(fault) => {
                let skipped = text.len() - text.trim_start().len();
                let spot = self.inside(node, &text, skipped + fault.span.start..skipped + fault.span.end);
                self.faults.push(
                    Diagnostic::error("R005", &spot, format!("`{}`: {}", row.key, fault.what))
                        .why(fault.why)
                        .mend(fault.mend),
                );
                return Value::Faulty;
            }
        };
        if !self.limits(node, &text, value, kind, row) {
            return Value::Faulty;
        }
        let mut fact = Fact::stated(value, kind, path);
        fact.text = Some(text);
        row.settle.clone_into(&mut fact.settle);
        Value::Fact(fact)
    }

    /// Place of a part of a text, where the text stands in the file letter by letter.
    fn inside(&self, node: &Node, text: &str, part: std::ops::Range<usize>) -> Spot {
        let raw =
            self.sources.get(node.at.source).and_then(|s| s.text.get(node.at.span.clone())).unwrap_or("");
        if raw.len() == text.len() + 2 && raw.get(1..raw.len() - 1) == Some(text) && part.end <= text.len() {
            let start = node.at.span.start + 1;
            return Spot::new(node.at.source, start + part.start..start + part.end);
        }
        node.at.clone()
    }

    fn limits(&mut self, node: &Node, text: &str, value: f64, kind: Kind, row: &Row) -> bool {
        let outside = |limits: Option<(&'static str, &'static str)>| {
            let (least, most) = limits?;
            let (low, high) = (parse_kind(least, kind).ok()?, parse_kind(most, kind).ok()?);
            // The limits themselves are allowed, whatever unit they were written in.
            let slack = 1e-9 * (high - low).abs();
            if value < low - slack {
                Some(format!("at least {least}"))
            } else if value > high + slack {
                Some(format!("at most {most}"))
            } else {
                None
            }
        };
        if let Some(limit) = outside(row.within) {
            self.faults.push(
                Diagnostic::error("R012", &node.at, format!("`{}` cannot be {}", row.key, printable(text)))
                    .why(format!("it must be {limit}"))
                    .mend("check the unit and the decimal point"),
            );
            return false;
        }
        if let Some(limit) = outside(row.usual) {
            self.faults.push(
                Diagnostic::warning(
                    "R013",
                    &node.at,
                    format!("`{}` is unusual: {}", row.key, printable(text)),
                )
                .why(format!("it is usually {limit}"))
                .mend("check the unit and the decimal point; leave it if it is right"),
            );
        }
        true
    }

    /// `{ value, low, high }`: a value that is not known well.
    pub(super) fn range(
        &mut self,
        entries: &[Entry],
        kind: Kind,
        row: &'static Row,
        path: &str,
        at: &Spot,
    ) -> Value {
        let mut numbers = [None, None, None];
        let (mut source, mut settle) = (None, None);
        let mut sound = true;
        for entry in entries {
            let slot = match entry.key.as_str() {
                "value" => numbers.get_mut(0),
                "low" => numbers.get_mut(1),
                "high" => numbers.get_mut(2),
                "source" | "settle" => {
                    let Data::Text(text) = &entry.value.data else {
                        self.sort(&entry.value, row, "text between double quotes");
                        sound = false;
                        continue;
                    };
                    if entry.key == "source" {
                        source = Some(text.clone());
                    } else {
                        settle = Some(text.clone());
                    }
                    continue;
                }
                other => {
                    let keys = ["value", "low", "high", "source", "settle"];
                    let mend = nearest(other, keys).map_or_else(
                        || format!("use {}", choices(&keys)),
                        |k| format!("did you mean `{k}`?"),
                    );
                    self.faults.push(
                        Diagnostic::error(
                            "R002",
                            &entry.key_at,
                            format!("a range has no key `{}`", printable(other)),
                        )
                        .why(format!("it has {}", choices(&keys)))
                        .mend(mend),
                    );
                    sound = false;
                    continue;
                }
            };
            match self.fact(&entry.value, kind, row, path) {
                Value::Fact(fact) => {
                    if let Some(slot) = slot {
                        *slot = Some(fact);
                    }
                }
                _ => sound = false,
            }
        }
        if !sound {
            return Value::Faulty;
        }
        let [Some(value), Some(low), Some(high)] = numbers else {
            self.faults.push(
                Diagnostic::error("R006", at, format!("the range of `{}` is not complete", row.key))
                    .why("a value that is not known well needs `value`, `low` and `high`")
                    .mend("write `{ value = \"...\", low = \"...\", high = \"...\" }`, or one value between quotes"),
            );
            return Value::Faulty;
        };
        if !(low.value <= value.value && value.value <= high.value) {
            let words = |f: &Fact| f.text.clone().unwrap_or_else(|| show_kind(f.value, kind, System::Metric));
            self.faults.push(
                Diagnostic::error("R027", at, format!("the range of `{}` is out of order", row.key))
                    .why(format!("{} is not between {} and {}", words(&value), words(&low), words(&high)))
                    .mend("put the least under `low`, the greatest under `high`"),
            );
            return Value::Faulty;
        }
        Value::Fact(Fact {
            low: low.value,
            high: high.value,
            origin: Origin::Assumed,
            source: source.unwrap_or_default(),
            settle: settle.unwrap_or_else(|| row.settle.to_owned()),
            ..value
        })
    }
}
