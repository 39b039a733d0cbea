//! Entry of the command line; everything it does stands in the library.
fn main() {}
