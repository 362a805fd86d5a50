//! `identify FILE`: what is already on the board?

use std::path::{Path, PathBuf};
use std::str::FromStr;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::outcome::Outcome;
use crate::answer::Assumed;
use crate::brief::{Fault, Faults};
use crate::identify::{Pairs, Reading, Setup, Verdict, identify, read_file};
use crate::quantity::{Counts, Fraction, Ohms, Quantity, Volts};
use crate::report::{Format, IdentifyAnswer, identify_text, json};
use crate::series::Series;

pub(super) const NAME: &str = "identify";

const ABOUT: &str = "Find out what is on a board from readings: its pull-up or divider, gain and offset";

const COLUMNS: &str =
    "The file is a table with a head row; commas, semicolons or tabs part its cells, # begins a
remark line. Columns:
  resistance | voltage | expected   what is known: a resistance in place of the
                                    sender, a voltage at the input, or the count
                                    that should be read
  count | pin voltage               what was read: by the converter, or by a
                                    voltmeter at the pin
  count accuracy | pin accuracy     how far the reading may be off [none;
                                    for a voltmeter --pin-accuracy and 2 mV]
  note | remark                     anything; it is not read
A unit stands in the cell, or in the head: `resistance (ohm), count`.

Exit status: 0 the pairs agree on one explanation; 1 they contradict each other,
or come from another circuit; 2 the file cannot be used.

Examples:
  ohmwright identify readings.csv
  ohmwright identify readings.csv --bits 12 --excitation 12V --series E96";

/// What is known in the pairs.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Known {
    Resistances,
    Voltages,
    Expected,
}

/// What reads.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Reader {
    Converter,
    Voltmeter,
}

/// The pairs for which a flag matters.
#[derive(Clone, Copy)]
struct Matters {
    known: &'static [Known],
    reader: &'static [Reader],
}

const ALL: &[Known] = &[Known::Resistances, Known::Voltages, Known::Expected];
const MEASURED: &[Known] = &[Known::Resistances, Known::Voltages];
const BOTH: &[Reader] = &[Reader::Converter, Reader::Voltmeter];
const ONLY_RESISTANCES: Matters = Matters { known: &[Known::Resistances], reader: BOTH };
const CONVERTER: Matters = Matters { known: ALL, reader: &[Reader::Converter] };
const EITHER: Matters = Matters { known: MEASURED, reader: BOTH };
const VOLTMETER: Matters = Matters { known: ALL, reader: &[Reader::Voltmeter] };

/// A flag: its name, its value, what it says, what it matters for.
struct Flag {
    name: &'static str,
    value: &'static str,
    help: &'static str,
    matters: Matters,
}

const fn flag(name: &'static str, value: &'static str, help: &'static str, matters: Matters) -> Flag {
    Flag { name, value, help, matters }
}

const FLAGS: [Flag; 11] = [
    flag("bits", "BITS", "Resolution of the converter [10]", CONVERTER),
    flag("reference", "VOLTS", "Reference of the converter [5 V]", EITHER),
    flag("excitation", "VOLTS", "What the pull-up hangs on [the reference]", ONLY_RESISTANCES),
    flag("existing", "OHMS", "What is known to hang from the node to ground [nothing]", ONLY_RESISTANCES),
    flag("series", "SERIES", "Series of the part, such as E24 or E24,E96 [E24]", ONLY_RESISTANCES),
    flag("tolerance", "SHARE", "Tolerance of the part [1 %]", ONLY_RESISTANCES),
    flag("offset", "COUNTS", "Offset of the converter, either sign [2 counts]", CONVERTER),
    flag("gain", "SHARE", "Gain error of the converter, either sign [0.5 %]", CONVERTER),
    flag("inl", "COUNTS", "Integral nonlinearity of the converter, either sign [1 count]", CONVERTER),
    flag("known-accuracy", "SHARE", "Accuracy of the known resistance or voltage [0.1 %]", EITHER),
    flag(
        "pin-accuracy",
        "SHARE",
        "Accuracy of the voltmeter at the pin, besides its last 2 mV [0.5 %]",
        VOLTMETER,
    ),
];

pub(super) fn command() -> Command {
    let flags = FLAGS.iter().map(|flag| {
        let arg = Arg::new(flag.name).long(flag.name).value_name(flag.value).help(flag.help);
        // A minus is refused with its reason and not as an unknown flag.
        let arg = arg.allow_hyphen_values(true);
        match flag.name {
            "bits" => arg.value_parser(value_parser!(u8).range(1..=24)),
            "reference" | "excitation" => arg.value_parser(voltage),
            "existing" => arg.value_parser(existing),
            "series" => arg.value_parser(Series::from_str).value_delimiter(','),
            "offset" | "inl" => arg.value_parser(counts),
            _ => arg.value_parser(share),
        }
    });
    Command::new(NAME)
        .about(ABOUT)
        .arg(
            Arg::new("file")
                .value_name("FILE")
                .required(true)
                .value_parser(value_parser!(PathBuf))
                .help("Table of readings"),
        )
        .args(flags)
        .after_help(COLUMNS)
}

/// A quantity within bounds, or what would be right.
fn bounded<Q: Quantity>(text: &str, holds: impl Fn(Q) -> bool, expected: &str) -> Result<Q, String> {
    let value = Q::parse(text).map_err(|error| error.to_string())?;
    if holds(value) { Ok(value) } else { Err(format!("found `{text}`, expected {expected}")) }
}

fn voltage(text: &str) -> Result<Volts, String> {
    bounded(text, |v: Volts| v.0 > 0.0 && v.0 <= 1e4, "a voltage above 0 V, up to 10 kV")
}

fn existing(text: &str) -> Result<Ohms, String> {
    bounded(text, |r: Ohms| r.0 > 0.0 && r.0 <= 1e9, "a resistance above 0 Ω, up to 1 GΩ")
}

fn counts(text: &str) -> Result<Counts, String> {
    bounded(
        text,
        |n: Counts| n.0 >= 0.0 && n.0 <= 1e6,
        "counts from 0 up to 1000000, meant in either direction",
    )
}

fn share(text: &str) -> Result<Fraction, String> {
    bounded(text, |x: Fraction| x.0 >= 0.0 && x.0 < 0.5, "a share from 0 % to less than 50 %")
}

/// Answers the command.
///
/// # Errors
/// When the file cannot be used, or a flag does not belong to its kind of pairs.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let path = matches.get_one::<PathBuf>("file").cloned().unwrap_or_default();
    let setup = setup(matches);
    let pairs = read_file(&path, &setup)?;
    strangers(matches, &pairs)?;
    let findings = identify(&pairs, &setup);
    if !findings.usable() {
        return Err(held(&path).into());
    }
    let status = u8::from(findings.verdict != Verdict::Agree);
    let answer = IdentifyAnswer {
        ohmwright: env!("CARGO_PKG_VERSION"),
        command: NAME,
        file: path.display().to_string(),
        assumed: assumed(matches, &pairs, &setup),
        findings,
    };
    let results = match format {
        Format::Text => identify_text(&answer),
        Format::Json => json(&answer),
    };
    Ok(Outcome { results, messages: String::new(), status })
}

fn setup(matches: &ArgMatches) -> Setup {
    let usual = Setup::default();
    let volts = |name: &str| matches.get_one::<Volts>(name).copied();
    let share = |name: &str| matches.get_one::<Fraction>(name).copied();
    let counts = |name: &str| matches.get_one::<Counts>(name).copied();
    let reference = volts("reference").unwrap_or(usual.reference);
    let series: Vec<Series> = matches.get_many("series").into_iter().flatten().copied().collect();
    Setup {
        bits: matches.get_one::<u8>("bits").copied().unwrap_or(usual.bits),
        reference,
        excitation: volts("excitation").unwrap_or(reference),
        existing: matches.get_one::<Ohms>("existing").copied(),
        offset: counts("offset").unwrap_or(usual.offset),
        gain: share("gain").unwrap_or(usual.gain),
        inl: counts("inl").unwrap_or(usual.inl),
        known_accuracy: share("known-accuracy").unwrap_or(usual.known_accuracy),
        pin_accuracy: share("pin-accuracy").unwrap_or(usual.pin_accuracy),
        series: if series.is_empty() { usual.series } else { series },
        tolerance: share("tolerance").unwrap_or(usual.tolerance),
    }
}

impl Matters {
    fn for_pairs(self, pairs: &Pairs) -> bool {
        let (known, read) = match pairs {
            Pairs::Resistances(pairs) => (Known::Resistances, pairs.first().map(|pair| pair.read)),
            Pairs::Voltages(pairs) => (Known::Voltages, pairs.first().map(|pair| pair.read)),
            Pairs::Expected(pairs) => (Known::Expected, pairs.first().map(|pair| pair.read)),
        };
        let is_pin = matches!(read, Some(Reading::Pin { .. }));
        let reader = if is_pin { Reader::Voltmeter } else { Reader::Converter };
        self.known.contains(&known) && self.reader.contains(&reader)
    }
}

/// Flags that say nothing about such pairs would be ignored in silence.
fn strangers(matches: &ArgMatches, pairs: &Pairs) -> Result<(), Faults> {
    let given = |flag: &&Flag| matches.contains_id(flag.name) && !flag.matters.for_pairs(pairs);
    let fault = |flag: &Flag| Fault {
        file: None,
        line: None,
        column: None,
        key: format!("--{}", flag.name),
        found: "a flag that says nothing about such pairs".to_owned(),
        expected: "the question without it".to_owned(),
        source_line: None,
    };
    let faults: Vec<Fault> = FLAGS.iter().filter(given).map(fault).collect();
    if faults.is_empty() { Ok(()) } else { Err(Faults(faults)) }
}

/// What matters and was not given.
fn assumed(matches: &ArgMatches, pairs: &Pairs, setup: &Setup) -> Vec<Assumed> {
    let value = |name: &str| match name {
        "bits" => setup.bits.to_string(),
        "reference" => setup.reference.to_string(),
        "excitation" => format!("the reference, {}", setup.excitation),
        "existing" => "nothing".to_owned(),
        "series" => setup.series.iter().map(|series| series.name()).collect::<Vec<_>>().join(", "),
        "tolerance" => setup.tolerance.to_string(),
        "offset" => format!("±{}", setup.offset),
        "gain" => format!("±{}", setup.gain),
        "inl" => format!("±{}", setup.inl),
        "known-accuracy" => format!("±{}", setup.known_accuracy),
        _ => format!("±{}, and 2 mV", setup.pin_accuracy),
    };
    let left = FLAGS.iter().filter(|flag| !matches.contains_id(flag.name) && flag.matters.for_pairs(pairs));
    left.map(|flag| Assumed { key: format!("--{}", flag.name), value: value(flag.name) }).collect()
}

fn held(path: &Path) -> Fault {
    let found = "fewer than two pairs whose count is inside the range of the converter";
    let expected = "two or more; a count of 0 or of full scale is held there and tells nothing";
    Fault::of_file(&path.display().to_string(), found, expected)
}
