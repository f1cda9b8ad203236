//! Every key of the job file, told once: what `tabwright keys`, the man page, `samples/reference.toml` and the README say of
//! keys is made here, from `keys.csv`. A test holds the list against the parser's own.

use super::columns::wrap;
use std::fmt::Write;
use std::sync::LazyLock;

/// A key of the job file.
#[derive(Debug, Clone, PartialEq)]
pub struct JobKey {
    /// The table that it stands in, as written: `[[bit]]`; empty for the job's own keys; `a mark`, `an area`, `a place` for the
    /// keys of tables in braces.
    pub table: String,
    /// Its name.
    pub name: String,
    /// The kind of value that it takes.
    pub takes: String,
    /// Its default; `needed` if it must be given.
    pub default: String,
    /// A value as it stands in a file.
    pub example: String,
    /// What it does.
    pub means: String,
}

/// Every key, in the order of a job file.
pub static KEYS: LazyLock<Vec<JobKey>> = LazyLock::new(|| read(include_str!("keys.csv")));

/// The tables of a job file, with what each is.
const TABLES: &[(&str, &str)] = &[
    ("", "The job's own keys, at the head of the file"),
    ("[reading]", "How drawings are read"),
    ("[marks]", "How lines that are not cut edges are recognised; all other lines are cut edges"),
    (
        "a mark",
        "What such lines have in common; any one of stroke, group, class, layer and dash is enough",
    ),
    ("[holding]", "How tabs are planned"),
    ("[[material]]", "Materials of your own, one table each; known materials need none"),
    ("[[cutting-force]]", "Cutting forces that you know better than the table of materials"),
    ("[[bit]]", "Bits on hand, one table each"),
    ("[[stock]]", "Stock on hand or for sale, one table each"),
    ("an area", "Areas to keep clear: a rectangle or a circle"),
    ("[[drawing]]", "Drawings, one table each"),
    ("[[part]]", "Settings for one part, one table each"),
    ("a place", "Places of copies, as in layout.json"),
];

/// Keys that exclude the key before them: the reference has them as comments.
const INSTEAD: &[(&str, &str)] = &[("[[stock]]", "outline")];

fn read(text: &str) -> Vec<JobKey> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let records = reader.records().filter_map(Result::ok);
    records
        .map(|record| {
            let cell = |i: usize| record.get(i).unwrap_or("").to_string();
            let [table, name, takes, default, example, means] = [0, 1, 2, 3, 4, 5].map(cell);
            JobKey { table, name, takes, default, example, means }
        })
        .collect()
}

fn of(table: &str) -> impl Iterator<Item = &'static JobKey> {
    KEYS.iter().filter(move |k| k.table == table)
}

/// The keys for a terminal; those that have `word` in the name of their table, in their own, or at the
/// start of a word of their meaning; all without a word.
pub fn keys_text(word: Option<&str>) -> String {
    let wanted = word.map(|w| w.trim_matches(['[', ']']).to_lowercase());
    let mut out = String::new();
    for (table, about) in TABLES {
        let fits = |text: &str| wanted.as_ref().is_none_or(|w| text.contains(w.as_str()));
        let tells = |k: &JobKey| {
            let means = k.means.to_lowercase();
            let mut words = means.split(|c: char| !c.is_alphanumeric() && c != '-');
            wanted.as_ref().is_some_and(|w| words.any(|word| word.starts_with(w.as_str())))
        };
        let fitting = |k: &&JobKey| fits(table) || fits(&k.name) || tells(k);
        let own: Vec<&JobKey> = of(table).filter(fitting).collect();
        if own.is_empty() {
            continue;
        }
        let head = if table.is_empty() { String::new() } else { format!("{table}: ") };
        let _ = write!(out, "{}{head}{about}\n\n", if out.is_empty() { "" } else { "\n" });
        for key in own {
            let _ = writeln!(out, "  {} = {}", key.name, key.example);
            for line in wrap(&told(key), 100, [6, 6]) {
                let _ = writeln!(out, "{line}");
            }
        }
    }
    out
}

/// Whether a key must be given, alone or in place of another.
fn is_needed(key: &JobKey) -> bool {
    key.default.as_bytes().first_chunk() == Some(b"needed")
}

/// What a key does, what it takes, and its default.
fn told(key: &JobKey) -> String {
    let default = match is_needed(key) {
        true => key.default.clone(),
        false => format!("default: {}", key.default),
    };
    format!("{} ({}; {default})", key.means, key.takes)
}

/// A job file with every key in it, each explained.
pub fn reference_toml() -> String {
    let mut out = String::from(
        "# Every key of a job file, each with a sample value. Made from Tabwright's own list (`tabwright keys`).\n\
         # A job needs a [[bit]], a [[stock]] and a [[drawing]]; of their keys it needs only those marked as needed.\n",
    );
    for (table, about) in TABLES {
        let inline = table.starts_with('a');
        let head = if table.is_empty() || inline { String::new() } else { format!("{table}\n") };
        let _ = write!(out, "\n# {about}.\n{head}");
        for key in of(table) {
            let text = if inline { format!("{}: {}", key.name, told(key)) } else { told(key) };
            for line in wrap(&text, 118, [0, if inline { 2 } else { 0 }]) {
                let _ = writeln!(out, "# {line}");
            }
            let off = INSTEAD.contains(&(table, key.name.as_str()));
            if !inline {
                let lead = if off { "# " } else { "" };
                let _ = writeln!(out, "{lead}{} = {}", key.name, key.example);
            }
        }
    }
    out
}

/// The keys in the form of the README: one row a table.
pub fn keys_markdown() -> String {
    let mut out =
        String::from("| table | what it is | keys (needed ones in bold) |\n|---|---|---|\n");
    for (table, about) in TABLES {
        let name = |k: &JobKey| match is_needed(k) {
            true => format!("**`{}`**", k.name),
            false => format!("`{}`", k.name),
        };
        let names: Vec<String> = of(table).map(name).collect();
        let head = match *table {
            "" => "(head)".to_string(),
            braces if braces.starts_with('a') => format!("{{ {braces} }}"),
            table => format!("`{table}`"),
        };
        let _ = writeln!(out, "| {head} | {about} | {} |", names.join(", "));
    }
    out
}

/// The keys for the man page, in roff.
pub fn keys_roff() -> String {
    let plain = |text: &str| -> String {
        let letter = |c: char| match c {
            '\\' => "\\e".to_string(),
            '-' => "\\-".to_string(),
            c => c.to_string(),
        };
        text.chars().map(letter).collect()
    };
    let mut out = String::from(".SH \"KEYS OF THE JOB FILE\"\n");
    for (table, about) in TABLES {
        let head = if table.is_empty() { "head of the file" } else { table };
        let _ = writeln!(out, ".SS \"{}\"\n{}.", plain(head), plain(about));
        for key in of(table) {
            let value = format!("{} = {}", key.name, key.example);
            let _ = writeln!(out, ".TP\n\\&{}\n\\&{}", plain(&value), plain(&told(key)));
        }
    }
    out
}
