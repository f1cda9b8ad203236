//! A folder with drawings and job files, in inches, in which the program is run.

use std::path::Path;
use std::process::Command;

/// A folder with drawings and job files, in which the program is run.
pub struct Folder(tempfile::TempDir);

/// What came of a run.
pub struct Answer {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Folder {
    pub fn with(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).expect("written");
        }
        Folder(folder)
    }
    pub fn path(&self) -> &Path {
        self.0.path()
    }
    pub fn run(&self, args: &[&str]) -> Answer {
        let output = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(args)
            .current_dir(self.path())
            .output()
            .expect("the program starts");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Answer { code: output.status.code(), out: text(&output.stdout), err: text(&output.stderr) }
    }
    /// A quick nest with more arguments.
    pub fn nest(&self, args: &[&str]) -> Answer {
        let quick = ["--moves", "50", "--threads", "1", "-q", "-o", "out"];
        self.run(&[&["nest"], args, &quick].concat())
    }
}

impl Answer {
    #[track_caller]
    pub fn code(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{}{}", self.out, self.err);
        self
    }
    /// A refusal with these words, which does not mention `never`.
    #[track_caller]
    pub fn refused(self, words: &[&str], never: &[&str]) -> Self {
        let answer = self.code(2);
        words.iter().for_each(|w| assert!(answer.err.contains(w), "'{w}': {}", answer.err));
        never.iter().for_each(|w| assert!(!answer.err.contains(w), "'{w}': {}", answer.err));
        answer
    }
    #[track_caller]
    pub fn says(self, words: &[&str]) -> Self {
        let all = [self.out.as_str(), &self.err].concat();
        words.iter().for_each(|w| assert!(all.contains(w), "'{w}': {all}"));
        self
    }
}

/// A page of 4 x 3 in (or mm, or px) with what is drawn in its coordinates.
pub fn page(unit: &str, inside: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='4{unit}' height='3{unit}' viewBox='0 0 4 3'>\
         <g fill='none' stroke='#000000' stroke-width='.01'>{inside}</g></svg>"
    )
}

pub const PLATE: &str = "<rect id='plate' x='.5' y='.5' width='3' height='1.5'/>";
