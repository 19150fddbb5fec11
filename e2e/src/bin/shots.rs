//! Pictures of every screen.

fn main() {}
