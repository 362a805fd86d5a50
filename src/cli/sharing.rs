//! How all inputs are chosen together.

use std::time::{Duration, Instant};

use clap::{Arg, ArgAction, ArgMatches, value_parser};

use crate::examine::Sharing;
use crate::quantity::{Fraction, Quantity};
use crate::share::values::Effort;

pub(super) const FLAG: &str = "share";

/// Nodes beyond which nobody waits.
const MOST_NODES: u64 = 100_000_000;

/// The flags.
pub(super) fn arguments() -> [Arg; 4] {
    [
        Arg::new(FLAG)
            .long(FLAG)
            .action(ArgAction::SetTrue)
            .help("Choose the parts of all inputs together, so that they need few different values"),
        Arg::new("loss")
            .long("loss")
            .value_name("SHARE")
            .default_value("5 %")
            .requires(FLAG)
            .value_parser(share_of_one)
            .help("What each input may lose at most of its own best"),
        Arg::new("effort")
            .long("effort")
            .value_name("NODES")
            .default_value("500")
            .requires(FLAG)
            .value_parser(value_parser!(u64).range(1..=MOST_NODES))
            .help("How long to look for a proof: nodes of each integer programme"),
        Arg::new("time-limit")
            .long("time-limit")
            .value_name("SECONDS")
            .requires(FLAG)
            .value_parser(value_parser!(u32).range(1..))
            .help(
                "Look for a proof no longer than this; the answer then depends on the machine, and says so",
            ),
    ]
}

/// A share from 0 to less than 1.
fn share_of_one(text: &str) -> Result<Fraction, String> {
    let expected = "a share such as 5 %, from 0 % to less than 100 %";
    match Fraction::parse(text) {
        Ok(share) if (0.0..1.0).contains(&share.0) => Ok(share),
        Ok(_) => Err(format!("expected {expected}")),
        Err(error) => Err(format!("{error}; {expected}")),
    }
}

/// What is asked of all inputs together; `None`: each is chosen alone.
pub(super) fn asked(matches: &ArgMatches, batch: u64) -> Option<Sharing> {
    let limit = matches.get_one::<u32>("time-limit").map(|&seconds| Duration::from_secs(seconds.into()));
    matches.get_flag(FLAG).then(|| Sharing {
        most_loss: matches.get_one::<Fraction>("loss").map_or(0.05, |share| share.0),
        effort: Effort {
            nodes: matches.get_one::<u64>("effort").copied().unwrap_or(1),
            until: limit.map(|limit| Instant::now() + limit),
        },
        batch,
    })
}
