//! `series`: standard values, or the neighbours of a value.

use std::str::FromStr;

use clap::{Arg, ArgMatches, Command};

use super::outcome::Outcome;
use crate::quantity::{Band, Ohms, parse_range};
use crate::report::{Content, Format, Neighbour, OneSeries, SeriesAnswer, json, series_text};
use crate::series::{Preferred, Series, candidates, deviation, list, neighbours};

pub(super) const NAME: &str = "series";

const EXAMPLES: &str = "Examples:
  ohmwright series E24
  ohmwright series --value 4.8k
  ohmwright series E12 E24 --between 1k..22k";

pub(super) fn command() -> Command {
    Command::new(NAME)
        .about("List standard series (IEC 60063), or the standard values next to a value")
        .arg(
            Arg::new("name")
                .value_name("NAME")
                .num_args(0..)
                .value_parser(Series::from_str)
                .help("E3, E6, E12, E24, E48, E96 or E192 [default: E24; with --value all]"),
        )
        .arg(
            Arg::new("value")
                .long("value")
                .value_name("OHMS")
                .value_parser(value)
                .conflicts_with("between")
                .help("Show the next smaller, the equal and the next larger standard value"),
        )
        .arg(
            Arg::new("between")
                .long("between")
                .value_name("OHMS..OHMS")
                .value_parser(between)
                .help("List all values between two ends instead of one decade"),
        )
        .after_help(EXAMPLES)
}

fn value(text: &str) -> Result<Ohms, String> {
    let value: Ohms = text.parse().map_err(|error| format!("{error}"))?;
    if value.0 > 0.0 { Ok(value) } else { Err(format!("found {value:#}, expected a resistance above 0 Ω")) }
}

fn between(text: &str) -> Result<Band<Ohms>, String> {
    let (lowest, highest) = parse_range::<Ohms>(text).map_err(|error| error.to_string())?;
    if lowest.0 > 0.0 && lowest <= highest {
        return Ok(Band { lowest, highest });
    }
    Err(format!("found {lowest:#} .. {highest:#}, expected two resistances above 0 Ω, the smaller one first"))
}

/// Answers the command.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Outcome {
    let value = matches.get_one::<Ohms>("value").copied();
    let between = matches.get_one::<Band<Ohms>>("between").copied();
    let named: Vec<Series> = matches.get_many("name").into_iter().flatten().copied().collect();
    let asked = match value {
        _ if !named.is_empty() => named,
        Some(_) => Series::ALL.to_vec(),
        None => vec![Series::E24],
    };
    let one = |series: Series| OneSeries {
        series: series.name(),
        usual_tolerance: series.usual_tolerance().map(|share| share.0),
        content: match (value, between) {
            (Some(value), _) => next_to(series, value),
            (None, Some(between)) => values(series, between),
            (None, None) => decade(series),
        },
    };
    let answer = SeriesAnswer {
        ohmwright: env!("CARGO_PKG_VERSION"),
        command: NAME,
        value_ohm: value.map(|value| value.0),
        series: asked.into_iter().map(one).collect(),
    };
    Outcome::of_results(match format {
        Format::Text => series_text(&answer),
        Format::Json => json(&answer),
    })
}

fn decade(series: Series) -> Content {
    let decade = list(series).iter().map(|digits| f64::from(*digits) / 100.0).collect();
    Content::Decade { decade, places: series.counting_digits() - 1 }
}

fn values(series: Series, between: Band<Ohms>) -> Content {
    Content::Values {
        values_ohm: candidates(&[series], between).iter().map(|preferred| preferred.ohms.0).collect(),
    }
}

fn next_to(series: Series, value: Ohms) -> Content {
    let found = neighbours(&[series], value);
    let shown = |preferred: Preferred| Neighbour {
        ohm: preferred.ohms.0,
        deviation: deviation(preferred.ohms, value).0,
    };
    Content::Neighbours {
        below: found.below.map(shown),
        equal: found.exact.map(shown),
        above: found.above.map(shown),
    }
}
