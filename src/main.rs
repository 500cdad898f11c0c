//! The program `underpin`.

fn main() {}
