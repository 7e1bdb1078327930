//! What a rig file states in one of its tables.

use crate::measured::said;
use crate::pass::key_text;
use crate::tree::{self, Data, Entry};

/// A value under its dotted key, as the file has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stated {
    /// Its key below the table: `vacuum`, `from.aft`.
    pub key: String,
    /// As written; a list or a table in a list on one line.
    pub value: String,
    /// Whether it is one value, not a list.
    pub single: bool,
}

/// The values of a table (`cup.FL`), tables within it opened, in the order of the file; none where there is no such table.
pub fn stated(text: &str, table: &str) -> Vec<Stated> {
    let mut path = tree::parse(&format!("{table} = 0\n"), 0, &mut Vec::new());
    let mut entries = tree::parse(text, 0, &mut Vec::new());
    loop {
        let Some(step) = path.pop() else { return Vec::new() };
        let Some(at) = entries.iter().position(|e| e.key == step.key) else { return Vec::new() };
        let Data::Table(inner) = entries.swap_remove(at).value.data else { return Vec::new() };
        entries = inner;
        match step.value.data {
            Data::Table(rest) => path = rest,
            _ => break,
        }
    }
    let mut out = Vec::new();
    open(&entries, "", &mut out);
    out
}

fn open(entries: &[Entry], before: &str, out: &mut Vec<Stated>) {
    for entry in entries {
        let key = format!("{before}{}", key_text(&entry.key));
        if let Data::Table(inner) = &entry.value.data {
            open(inner, &format!("{key}."), out);
        } else {
            let value = said(&entry.value.data);
            let single = !matches!(entry.value.data, Data::List(_));
            out.push(Stated { key, value, single });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_values_of_a_table_in_order() {
        let text = "[tube.\"a b\"]\npart = \"x\"\nfrom = { aft = \"1 m\", left = \"2 m\" }\npath = [{ aft = 1 }]\n[tube.\"a b\".keep]\nlength = 3\n";
        let got: Vec<(String, String, bool)> =
            stated(text, "tube.\"a b\"").into_iter().map(|s| (s.key, s.value, s.single)).collect();
        let want = [
            ("part", "x", true),
            ("from.aft", "1 m", true),
            ("from.left", "2 m", true),
            ("path", "[{ aft = 1 }]", false),
            ("keep.length", "3", true),
        ];
        assert_eq!(got, want.map(|(k, v, s)| (k.to_owned(), v.to_owned(), s)));
        assert!(stated(text, "tube.c").is_empty() && stated(text, "tube.\"a b\".part").is_empty());
        assert!(stated("not [ toml", "tube.c").is_empty() && stated(text, "\"").is_empty());
    }
}
