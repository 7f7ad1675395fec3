//! The command line: arguments to one of the commands. The only place that exits.

fn main() {}
