//! The JSON Schema of the rig file, written from the definition: for editors that complete and check while typing.

use crate::spec::root::RIG;
use crate::spec::{Need, Row, Shape, Table};
use quantity::Kind;
use serde_json::{Map, Value, json};

/// JSON Schema (draft 2020-12) of the rig file.
pub fn json_schema() -> Value {
    let mut schema = table(&RIG);
    if let Some(map) = schema.as_object_mut() {
        map.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
        map.insert("title".into(), json!("Rig file"));
        if let Some(required) = map.get_mut("required").and_then(Value::as_array_mut) {
            required.insert(0, json!("version"));
        }
    }
    schema
}

fn table(t: &'static Table) -> Value {
    let mut properties = Map::new();
    for row in t.rows() {
        properties.insert(row.key.to_owned(), row_schema(row));
    }
    let required: Vec<&str> = t.rows().filter(|r| matches!(r.need, Need::Required)).map(|r| r.key).collect();
    json!({
        "type": "object",
        "description": t.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn row_schema(row: &Row) -> Value {
    let mut schema = shape(&row.shape);
    if row.key == "version" {
        schema = json!({ "const": crate::spec::root::VERSION });
    }
    if let Some(map) = schema.as_object_mut() {
        map.insert("description".into(), json!(row.doc));
        if let Some(example) = example(row) {
            map.insert("examples".into(), json!([example]));
        }
        if let Need::Default(word) = row.need {
            let value = match row.shape {
                Shape::Flag => json!(word == "true"),
                _ => json!(word),
            };
            map.insert("default".into(), value);
        }
    }
    schema
}

/// The row's example as JSON, where it is a value and not a heading.
fn example(row: &Row) -> Option<Value> {
    if matches!(row.shape, Shape::Table(_) | Shape::Tagged(_)) {
        return None;
    }
    let text = format!("x = {}", row.example);
    let table = text.parse::<toml::Table>().ok()?;
    to_json(table.get("x")?)
}

fn to_json(value: &toml::Value) -> Option<Value> {
    Some(match value {
        toml::Value::String(s) => json!(s),
        toml::Value::Integer(i) => json!(i),
        toml::Value::Float(f) => json!(f),
        toml::Value::Boolean(b) => json!(b),
        toml::Value::Datetime(_) => return None,
        toml::Value::Array(list) => Value::Array(list.iter().filter_map(to_json).collect()),
        toml::Value::Table(t) => {
            Value::Object(t.iter().filter_map(|(k, v)| Some((k.clone(), to_json(v)?))).collect())
        }
    })
}

/// A number, then a unit: what every quantity's text has, and a bare number has not.
const PATTERN: &str = "[0-9\u{bd}\u{bc}\u{be}].*[A-Za-z\u{b5}\u{b0}%\u{3a9}'\"]";

/// A quantity as one text (or number, where it has no unit).
fn measure(kind: Kind) -> Value {
    if kind == Kind::Number {
        return json!({ "type": ["string", "number"] });
    }
    if kind == Kind::Conductor {
        // A gauge has its number behind its letters.
        return json!({ "type": "string", "pattern": "[0-9]", "examples": kind.examples() });
    }
    json!({ "type": "string", "pattern": PATTERN, "examples": kind.examples() })
}

fn quantity(kind: Kind) -> Value {
    json!({ "anyOf": [measure(kind), {
        "type": "object",
        "description": "A value that is not known well, with its range.",
        "properties": {
            "value": measure(kind), "low": measure(kind), "high": measure(kind),
            "source": { "type": "string" }, "settle": { "type": "string" },
        },
        "required": ["value", "low", "high"],
        "additionalProperties": false,
    }] })
}

fn shape(s: &Shape) -> Value {
    match s {
        Shape::Quantity(kind) => quantity(*kind),
        Shape::Measure(kind) => measure(*kind),
        Shape::Radius => {
            let mut schema = quantity(Kind::Length);
            if let Some(list) = schema.get_mut("anyOf").and_then(Value::as_array_mut) {
                list.push(json!({ "const": "flat" }));
            }
            schema
        }
        Shape::Text => json!({ "type": "string" }),
        Shape::Tag(_) | Shape::Part(_) => json!({ "type": "string", "minLength": 1 }),
        Shape::Word(words) => json!({ "enum": words }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Count(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Shape::List(inner) => json!({ "type": "array", "items": shape(inner) }),
        Shape::Table(t) => table(t),
        Shape::Tagged(t) => json!({ "type": "object", "additionalProperties": table(t) }),
    }
}
