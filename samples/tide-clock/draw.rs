//! Written with its stage.
fn main() {}
