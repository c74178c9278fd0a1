//! The `paperweight` program.

fn main() {}
