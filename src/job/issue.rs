//! What is wrong, or worth knowing, in a job.

/// Something wrong, or worth knowing, in a job: where and what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issue {
    /// `line 3, column 7`, `stock 'walnut'`, `part 'minute-hand'`.
    pub place: String,
    /// What, and what to try.
    pub message: String,
}

impl std::fmt::Display for Issue {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self.place.as_str() {
            "" => f.write_str(&self.message),
            place => write!(f, "{place}: {}", self.message),
        }
    }
}

/// Everything wrong with a job, at once.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(Issue::to_string).collect::<Vec<_>>().join("\n"))]
pub struct Issues(pub Vec<Issue>);
