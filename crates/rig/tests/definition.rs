//! What is made from the one definition: the format page and the schema, held against the files themselves.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/base.rs"]
mod common;

use common::base;
use serde_json::Value;

/// Whether a key path of the file is in the schema; tags pass through `additionalProperties`.
fn known(schema: &Value, file: &toml::Value, path: &str, missing: &mut Vec<String>) {
    let Some(table) = file.as_table() else { return };
    for (key, value) in table {
        let here = format!("{path}.{key}");
        let next = schema
            .get("properties")
            .and_then(|p| p.get(key))
            .or_else(|| schema.get("additionalProperties").filter(|a| a.is_object()));
        match next {
            Some(next) => known(next, value, &here, missing),
            None if schema.get("anyOf").is_some() => {}
            None => missing.push(here),
        }
    }
}

#[test]
fn the_schema_knows_every_key_of_the_base_and_nothing_made_up() {
    let schema = rig::json_schema();
    let file: toml::Value = toml::from_str(&base()).unwrap();
    let mut missing = Vec::new();
    known(&schema, &file, "", &mut missing);
    assert_eq!(missing, Vec::<String>::new());
    let odd: toml::Value = toml::from_str("[cup.FL]\ncolour = \"red\"").unwrap();
    known(&schema, &odd, "", &mut missing);
    assert_eq!(missing, [".cup.FL.colour"]);
    let required: Vec<&str> =
        schema["required"].as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect();
    assert_eq!(required, ["version", "name", "site", "vehicle", "panel", "cup"]);
    assert_eq!(schema["properties"]["site"]["properties"]["road"]["enum"][1], "B");
}

#[test]
fn the_page_has_every_check_and_code() {
    let page = rig::file_format_markdown();
    for check in rig::policy::CHECKS {
        assert!(page.contains(&format!("| `{}` |", check.name)), "{}", check.name);
    }
    for (code, _) in rig::CODES {
        assert!(page.contains(&format!("| {code} |")), "{code}");
    }
    for heading in ["## Rig file", "### Vehicle", "### Cup", "#### Bolts", "## Parts file", "### Finish"] {
        assert!(page.contains(&format!("{heading}\n")), "{heading}");
    }
    assert!(!page.contains("\n\n\n"), "no empty gaps");
}
