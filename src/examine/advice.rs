//! What may help where resistors alone do not do, each piece with its cause in the numbers. Common practice.

use super::size::size_for;
use crate::answer::{CaseRow, InputAnswer, LimitRow, PartAnswer};
use crate::board::{Board, Capacitor, Choice, Drive, Excitation, Input, Reference, Role, Signal};
use crate::case::Case;
use crate::circuit::{Name, Scene, Values};
use crate::limits::Unit;
use crate::quantity::{Counts, Ohms, Volts, Watts};
use crate::reading::greatest_error_of;
use crate::worst::least_span;

/// Counts below which a dial moves in visible steps.
const FEW: f64 = 40.0;

/// Finer converters than that are rare on such boards.
const FINEST_BITS: u32 = 16;

/// The share of an error from which one source of it is worth advice.
const DOMINATES: f64 = 0.5;

/// The advice for an input, from what was found about it.
pub(super) fn of(board: &Board, input: &Input, answer: &InputAnswer) -> Vec<String> {
    let single = [
        few_counts(board, answer),
        excitation(board, input, answer),
        settling(input, answer),
        self_heating(input, answer),
        protection_on_the_wire(board, input, answer),
        open_or_supply(input, answer),
    ];
    // Where the range itself is cut off, a case that reads full scale is no trouble of its own.
    let is_cut = answer.limits.iter().any(|row| row.limit == "converter_range" && !row.holds);
    let cases = answer.cases.iter().filter(|_| !is_cut).filter_map(|case| told_apart(input, case));
    single.into_iter().flatten().chain(sizes(board, input, answer)).chain(cases).collect()
}

/// A span of a few counts.
fn few_counts(board: &Board, answer: &InputAnswer) -> Option<String> {
    let span = answer.span?.assured_counts;
    if span <= 0.0 || span >= FEW {
        return None;
    }
    let gain = FEW / span;
    let bits = board.converter.bits + gain.log2().ceil() as u32;
    let finer =
        if bits <= FINEST_BITS { format!(", or take a converter of {bits} bits") } else { String::new() };
    Some(format!(
        "the assured span is {}, so that a reading moves in steps of {:.1} % of the range: amplify the voltage at the \
         pin {:.1} times or more{finer}",
        Counts(span),
        100.0 / span,
        (gain * 10.0).ceil() / 10.0,
    ))
}

/// Whether a limit keeps a better choice away, does not hold, or takes part in a conflict.
fn is_in_the_way(answer: &InputAnswer, limit: &str) -> bool {
    let of_rows =
        answer.limits.iter().any(|row| row.limit == limit && (!row.holds || row.binds == Some(true)));
    of_rows || answer.conflict.iter().any(|row| row.limit == limit)
}

/// An excitation above the reference whose upper part the converter cannot see.
fn excitation(board: &Board, input: &Input, answer: &InputAnswer) -> Option<String> {
    let (source, voltage) = match input.excitation? {
        Excitation::Rail(id) => (format!("rail `{}`", board.rails[id.0].name), board.rails[id.0].voltage),
        Excitation::Supply => ("the supply".to_owned(), board.supply.swing.highest),
    };
    let (reference, instead) = match board.converter.reference {
        Reference::Rail(id) => {
            let rail = &board.rails[id.0];
            (rail.voltage, format!("excite from the reference (`excitation: {}`)", rail.name))
        }
        Reference::Own { voltage, .. } => (voltage, "measure against the rail that excites it".to_owned()),
    };
    (voltage > reference && is_in_the_way(answer, "converter_range")).then(|| {
        format!(
            "{source} ({voltage}) excites the sender, and the converter sees nothing above its reference of {reference}: \
             {instead}, or divide behind the sender (`top`, `bottom`)"
        )
    })
}

/// A sample that does not settle.
fn settling(input: &Input, answer: &InputAnswer) -> Option<String> {
    // Without a capacitor there is a bound of its own for what drives the pin.
    let limits = if input.capacitor == Capacitor::Absent {
        ["settling", "source_resistance"]
    } else {
        ["settling"; 2]
    };
    if !limits.iter().any(|limit| is_in_the_way(answer, limit)) {
        return None;
    }
    Some(if input.capacitor == Capacitor::Absent {
        "without a capacitor the sample does not settle through more resistance: put one at the pin (`capacitor: 100 \
         nF`)"
            .to_owned()
    } else {
        "what a sample takes out of the capacitor does not come back in time through more resistance: sample less \
         often (`converter: sampling: period`), or put an amplifier in front of the pin"
            .to_owned()
    })
}

/// A sender that its own current warms.
fn self_heating(input: &Input, answer: &InputAnswer) -> Option<String> {
    let Drive::Sender(sender) = &input.drive else { return None };
    let power = answer.limits.iter().find(|row| row.limit == "sender_power")?.worst;
    let warmth = sender.self_heating?.warmth(Watts(power));
    let error = answer.error?.greatest;
    let unit = input.unit();
    (warmth >= DOMINATES * error).then(|| {
        format!(
            "its own current warms the sender by up to {warmth:.2} {unit}, and a reading may be off by {error:.2} \
             {unit} in all: less current (`limits: sender_power`), or feed it only while it is read"
        )
    })
}

/// A sender that follows the supply, where most of what a reading may be off comes from there.
pub(super) fn measure_the_supply(
    board: &Board,
    input: &Input,
    scene: &Scene,
    answer: &InputAnswer,
) -> Option<String> {
    let life = &scene.situations[Scene::NORMAL];
    let follows = input.drive.is_sender() && life.place_named(Name::Supply).is_some();
    if !follows || input.corrected_by.is_some() {
        return None;
    }
    let (supply, error, unit) = (&board.supply, answer.error?.greatest, input.unit());
    let mut steady = scene.clone();
    steady.situations[Scene::NORMAL] = life.clone().with(Name::Supply, supply.usual);
    let left = greatest_error_of(input, &steady, [&steady.nominal.resistances, &life.resistances])?.value;
    let meter = board.inputs.iter().find(|input| input.drive.is_supply());
    let how = match meter {
        Some(meter) => format!("divide it out with what `{0}` measures (`corrected_by: {0}`)", meter.name),
        None => {
            "measure it at another input (`from: supply`) and divide it out (`corrected_by: NAME`)".to_owned()
        }
    };
    (left <= DOMINATES * error).then(|| {
        format!(
            "the sender follows the supply, which swings from {} to {}: a reading may be off by {error:.2} {unit}, on a \
             steady supply by {left:.2} {unit}: {how}",
            supply.swing.lowest, supply.swing.highest
        )
    })
}

/// A part that would be chosen better if it were larger.
fn sizes(board: &Board, input: &Input, answer: &InputAnswer) -> Vec<String> {
    let of_rows = answer.limits.iter().filter_map(larger);
    let of_conflict = answer.conflict.iter().filter_map(|row| {
        let part = input.parts.iter().find(|part| Some(part.role.key()) == row.part)?;
        let symbol = row.unit.as_deref()?;
        let size = size_for(board, part, row.limit, row.possible_from?)?;
        let needs = if symbol == Unit::Watts.symbol("") {
            Watts(row.possible_from?).to_string()
        } else {
            Volts(row.possible_from?).to_string()
        };
        Some(format!("a {} for {} would do: a choice exists from {needs}", size.name, part.role.key()))
    });
    of_rows.chain(of_conflict).collect()
}

fn larger(row: &LimitRow) -> Option<String> {
    let (part, size) = (row.part?, row.larger_size?);
    let value = row.without_it.as_ref()?.parts.0.iter().find(|(role, _)| role == part)?.1?;
    Some(format!("a {size} for {part} would let it be {:#}, which is better", Ohms(value.ohm)))
}

/// A case whose counts occur in normal use as well.
fn told_apart(input: &Input, row: &CaseRow) -> Option<String> {
    let case = Case::ALL.into_iter().find(|case| case.name() == row.case)?;
    if row.floating && case == Case::WireOpen {
        return Some("with its wire open the pin floats and may show any count: a large resistor from the wire to ground \
             or to a rail would give it a place"
            .to_owned());
    }
    if row.distinguishable != Some(false) {
        return None;
    }
    let gap = row.gap_counts.map(|gap| Counts(-gap)).filter(|overlap| overlap.0 > 0.0);
    let overlap = gap.map(|overlap| format!(" (they overlap by {overlap})")).unwrap_or_default();
    let pull_up = input.parts.iter().find(|part| part.role == Role::PullUp);
    let is_pulled_up = pull_up.is_some();
    let help = match (&input.drive, case) {
        (Drive::Sender(sender), Case::WireToGround) if is_pulled_up => {
            let least = sender.curve.first().1.min(sender.curve.last().1);
            format!(
                "its range comes down to {least}, so close to a short that the board cannot tell: a resistor at the \
                 sender's end of the wire would, or a sender that does not come down so far"
            )
        }
        (Drive::Sender(_), Case::WireOpen)
            if pull_up.is_some_and(|part| !matches!(part.choice, Choice::Absent)) =>
        {
            "the top of its range is close to no sender at all: a larger pull_up moves them apart".to_owned()
        }
        (Drive::Signal(signal), Case::WireOpen) if lowest(signal) > Volts(0.0) => {
            "the leakage of the pin lifts an open wire into the range: a smaller bottom keeps it down".to_owned()
        }
        (Drive::Signal(signal), Case::WireOpen | Case::WireToGround) if lowest(signal) < Volts(0.0) => {
            "such a wire reads like a value in the middle of the range: only a sensor that tells its own faults would"
                .to_owned()
        }
        (Drive::Signal(signal), Case::WireOpen | Case::WireToGround) if !signal.from_supply => {
            "what is measured comes down to where such a wire reads: a sensor whose output starts above 0 V (0.5 V .. \
             4.5 V) would tell"
                .to_owned()
        }
        (Drive::Signal(signal), Case::WireToSupply) if !signal.from_supply => {
            "the top of the range is as high: leave room above it (`converter: headroom`)".to_owned()
        }
        _ => return None,
    };
    Some(format!("{} cannot be told from normal use{overlap}: {help}", row.case))
}

/// The lowest voltage that is measured.
fn lowest(signal: &Signal) -> Volts {
    signal.curve.first().1.min(signal.curve.last().1)
}

/// The share of its span that a resistor on the wire side has to cost before it is worth a word.
const WORTH_MOVING: f64 = 0.1;

/// A resistor on the wire side of the node adds to the sender; on the pin side it protects as well and costs nothing.
fn protection_on_the_wire(board: &Board, input: &Input, answer: &InputAnswer) -> Option<String> {
    let ohms = |role: Role| match answer.parts.0.iter().find(|(key, _)| key == role.key()) {
        Some((_, Some(PartAnswer::Resistor { ohm, .. }))) => Some(Ohms(*ohm)),
        _ => None,
    };
    let (line, span) = (ohms(Role::Line).filter(|line| line.0 > 0.0)?, answer.span?.assured_counts);
    let mut values = Values::default();
    for part in &input.parts {
        values.set(part.role, ohms(part.role));
    }
    values.set(Role::Line, None);
    values.set(Role::Protection, Some(line + ohms(Role::Protection).unwrap_or(Ohms(0.0))));
    let [first, last] = Scene::new(board, input, &values).range_ends;
    let moved = least_span(&first, &last, [&first.resistances, &last.resistances], input.direction());
    let moved = moved.span.0 * input.direction();
    (moved > span * (1.0 + WORTH_MOVING)).then(|| {
        format!(
            "line adds to the sender: {line:#} in front of the pin (`protection`) instead of on the wire side would protect \
             it as well, and the assured span would be {} and not {}",
            Counts(moved),
            Counts(span),
        )
    })
}

/// An open wire and one on the supply that both read full scale: a divider behind the node keeps them apart.
fn open_or_supply(input: &Input, answer: &InputAnswer) -> Option<String> {
    let is_pulled_up = input.parts.iter().any(|part| part.role == Role::PullUp);
    let has_divider = answer.parts.0.iter().any(|(key, part)| key == Role::Top.key() && part.is_some());
    let open = answer.cases.iter().find(|row| row.case == Case::WireOpen.name())?;
    let is_alike = open.alike.contains(&Case::WireToSupply.name());
    (is_pulled_up && !has_divider && is_alike).then(|| {
        "an open wire and one on the supply both read full scale: behind a divider (`top`, `bottom`) an open wire reads less"
            .to_owned()
    })
}
