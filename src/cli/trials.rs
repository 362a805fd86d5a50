//! How many random boards a command draws.

use clap::{Arg, ArgMatches, value_parser};

use crate::stackup::Trials;

/// The most boards that are drawn in one go.
const MOST: u64 = 1_000_000_000;

/// The flags.
pub(super) fn arguments(boards: &'static str) -> [Arg; 2] {
    let arg = |name: &'static str, default: &'static str| {
        Arg::new(name).long(name).value_name("N").default_value(default)
    };
    [
        arg("boards", boards)
            .value_parser(value_parser!(u64).range(0..=MOST))
            .help("How many random boards are drawn for each input; 0: none"),
        arg("seed", "1")
            .value_parser(value_parser!(u64))
            .help("What random boards start from: the same seed, the same boards"),
    ]
}

/// What the flags ask for.
pub(super) fn of(matches: &ArgMatches) -> Trials<'static> {
    let number = |name: &str| matches.get_one::<u64>(name).copied().unwrap_or_default();
    Trials::new(number("boards"), number("seed"))
}
