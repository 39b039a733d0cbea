//! Entry of the command line; everything it does stands in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    fairlead::commands::main()
}
