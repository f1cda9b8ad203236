//! The list of stock in a folder of remnants: a file that its owner may edit, so that it is brought up to date row by row.

/// The list brought up to date: `known` as it is, the rows of `used` marked, those of `found` added, each with its name; a row of
/// the same name is replaced.
pub fn up_to_date(known: &str, found: &[(String, String)], used: &[String]) -> String {
    let mut blocks = blocks(known);
    if blocks.is_empty() {
        blocks.push("# Remnants on hand. A job uses them by its key stock-from; nest --remnants adds to them, and marks those that are used up.\n".into());
    }
    for block in &mut blocks {
        let is_used = |name: &&String| block.lines().any(|l| is_name(l, name));
        if used.iter().any(|name| is_used(&name)) && !block.contains("\nused = true") {
            let line = block.lines().find(|l| l.trim_start().starts_with("name"));
            if let Some(line) = line.map(String::from) {
                *block = block.replacen(&line, &format!("{line}\nused = true"), 1);
            }
        }
    }
    for (name, row) in found {
        match blocks.iter_mut().find(|b| b.lines().any(|l| is_name(l, name))) {
            Some(block) => block.clone_from(row),
            None => blocks.push(row.clone()),
        }
    }
    let blocks: Vec<String> = blocks.iter().map(|b| b.trim_end().to_string() + "\n").collect();
    blocks.join("\n")
}

/// A text cut before each `[[stock]]`.
fn blocks(text: &str) -> Vec<String> {
    let mut blocks: Vec<String> = vec![];
    for line in text.lines() {
        if blocks.is_empty() || line.trim() == "[[stock]]" {
            blocks.push(String::new());
        }
        if let Some(block) = blocks.last_mut() {
            block.push_str(line);
            block.push('\n');
        }
    }
    blocks
}

fn is_name(line: &str, name: &str) -> bool {
    let value = line.trim().strip_prefix("name").map(str::trim_start);
    let Some(value) = value.and_then(|v| v.strip_prefix('=')).map(str::trim_start) else {
        return false;
    };
    let mut chars = value.chars();
    let Some(quote) = chars.next().filter(|c| "\"'".contains(*c)) else { return false };
    chars.as_str().split(quote).next() == Some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_keeps_what_it_has_marks_what_is_used_and_adds_what_is_found() {
        let known = "# mine\n[[stock]]\nname = \"old\" # by the door\nmaterial = \"walnut\"\n\n[[stock]]\nname = \"older\"\nused = true\n";
        let found = [("new".to_string(), "[[stock]]\nname = \"new\"\n".to_string())];
        let list = up_to_date(known, &found, &["older".into(), "old".into()]);
        let expected = "# mine\n\n[[stock]]\nname = \"old\" # by the door\nused = true\nmaterial = \"walnut\"\n\n\
                        [[stock]]\nname = \"older\"\nused = true\n\n[[stock]]\nname = \"new\"\n";
        assert_eq!(list, expected);
        // Once more: nothing twice, and a row of that name is replaced.
        assert_eq!(up_to_date(&list, &found, &["old".into()]), list);
        let marked = up_to_date(&list, &[], &["new".into()]);
        assert!(marked.ends_with("name = \"new\"\nused = true\n"), "{marked}");
        assert_eq!(up_to_date(&marked, &found, &[]), list);
        assert!(up_to_date("", &found, &[]).starts_with("# Remnants on hand."));
    }
}
