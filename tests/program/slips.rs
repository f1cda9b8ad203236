//! Slips of a first job: each is answered with what to write, and where.

use super::folder::{Folder, PLATE, page};

/// One bracket where there may be several tables, whichever comes first; a list of marks; a file of another name; a file that is no
/// layout; a part of another name.
#[test]
fn slips_of_a_first_job_are_answered_with_what_to_write() {
    let drawing = "[[drawing]]\nfile = 'mapel.svg'\nmaterial = 'walnut'\nthickness = '1/4'\n";
    let bit = "[[bit]]\nname = '1/8'\ndiameter = '1/8'\nspiral = 'down'\n";
    let stock = "material = 'walnut'\nthickness = '1/4'\nsize = '12x8'\n";
    let whole = |tables: &str| format!("units = 'in'\n{bit}{tables}{drawing}");
    let files = [
        ("mapel.svg", page("in", PLATE)),
        ("walnut.svg", page("in", PLATE)),
        ("good.toml", whole(&format!("[[stock]]\n{stock}"))),
        ("after.toml", whole(&format!("[[stock]]\n{stock}[stock]\n{stock}"))),
        ("before.toml", whole(&format!("[stock]\n{stock}[[stock]]\n{stock}"))),
        ("alone.toml", whole(&format!("[stock]\n{stock}"))),
        ("twice.toml", whole(&format!("[stock]\n{stock}[stock]\n{stock}"))),
        (
            "marks.toml",
            whole(&format!(
                "[[stock]]\n{stock}[marks]\npocket = [{{ stroke = 'red' }}, {{ group = 'a' }}]\n"
            )),
        ),
        ("texts.toml", whole(&format!("[[stock]]\n{stock}[marks]\npocket = ['red', 'blue']\n"))),
        ("name.toml", whole(&format!("[[stock]]\n{stock}")).replace("mapel", "maple")),
        ("empty.json", "{}".into()),
        ("list.json", "[1, 2".into()),
    ];
    let files: Vec<(&str, &str)> =
        files.iter().map(|(name, text)| (*name, text.as_str())).collect();
    let folder = Folder::with(&files);
    // The bit's table is lines 2 to 5, so the first stock's is line 6, with three keys; the second's is line 10.
    for (file, line) in
        [("after.toml", 10), ("before.toml", 6), ("alone.toml", 6), ("twice.toml", 10)]
    {
        let place = format!("{file}: line {line}, column 1: write [[stock]], with two brackets");
        folder.nest(&[file]).refused(&[&place], &["duplicate"]);
    }
    for file in ["marks.toml", "texts.toml"] {
        folder.nest(&[file]).refused(&["line 11", "a kind of line has one mark"], &["not a table"]);
    }
    // The drawing's table is line 10.
    let words = "name.toml: line 11: maple.svg: there is no such file; did you mean mapel.svg?";
    folder.nest(&["name.toml"]).refused(&[words], &["walnut.svg"]);
    for file in ["empty.json", "list.json"] {
        let words =
            [file, "this is not a Tabwright layout", "give the layout.json that `nest` made"];
        folder.run(&["check", file]).refused(&words, &["missing field"]);
    }
    folder
        .run(&["tabs", "good.toml", "--part", "nosuch"])
        .refused(&["'nosuch'; its parts: plate"], &[]);
}

/// An open line's advice names the key, in the table where it stands.
#[test]
fn an_open_line_is_told_of_the_key_that_joins_it() {
    let open =
        "<path id='o' d='M.5 .5h3v1.5h-2.9'/><rect id='p' x='.5' y='2.2' width='1' height='.5'/>";
    let folder = Folder::with(&[("o.svg", &page("in", open))]);
    folder.run(&["inspect", "o.svg"]).code(1).says(&["raise `join` under [reading] in a job file"]);
    let found = folder.run(&["keys", "remnant"]).code(0);
    assert!(found.out.contains("stock-from = "), "{}", found.out);
    folder.run(&["keys", "zzz"]).refused(&["in its name or meaning"], &[]);
}
