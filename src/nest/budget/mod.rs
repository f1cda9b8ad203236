//! How long a search may go on.

pub mod clock;
pub mod run;
