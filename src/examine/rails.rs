//! What all inputs together feed back into the rails.
//!
//! One event reaches at once whatever the supply feeds or excites, and of the wires that may chafe one.

use crate::answer::{FedInput, RailRow};
use crate::board::{Board, Input, Rail, RailId, Setting};
use crate::case::Case;
use crate::circuit::{Far, Name, Outlook, Place, Situation, Values, cases_of, situations_of};
use crate::quantity::{Amperes, Band, Volts};
use crate::worst::{Measure, Sense, greatest, worst};

/// What may lift a rail: the case that all inputs are in, and, if a wire chafes in addition, the case of its input.
const EVENTS: [(&str, Case, Option<Case>); 7] = [
    ("normal", Case::Normal, None),
    ("wire to supply", Case::Normal, Some(Case::WireToSupply)),
    ("wire to rail", Case::Normal, Some(Case::WireToRail)),
    ("transmitter short", Case::Normal, Some(Case::TransmitterShort)),
    ("surge", Case::Surge, None),
    ("jump start", Case::JumpStart, None),
    ("board off", Case::BoardOff, Some(Case::BoardOff)),
];

/// Currents below which nothing is lifted: less than what leaks anyway.
const NOTHING: Amperes = Amperes(1e-6);

/// One row for each rail and event that feeds something back. Each input comes once for every sender that it may have: it
/// counts with the one that feeds most.
pub(super) fn of(board: &Board, fitted: &[Vec<(Input, Values)>]) -> Vec<RailRow> {
    let rails = (0..board.rails.len()).map(RailId);
    rails.flat_map(|rail| EVENTS.map(|event| row(board, fitted, rail, event))).flatten().collect()
}

/// One input in an event, and what it feeds back.
#[derive(Debug)]
struct Fed<'a> {
    input: &'a Input,
    situation: Situation,
    current: Amperes,
}

fn row(
    board: &Board,
    fitted: &[Vec<(Input, Values)>],
    id: RailId,
    (event, case, chafes): (&'static str, Case, Option<Case>),
) -> Option<RailRow> {
    let exists = |(input, _): &(Input, Values)| cases_of(board, input).contains(&case);
    if !fitted.iter().flatten().any(exists) {
        return None;
    }
    let of = |case, wire| {
        let here = fitted.iter().map(move |senders| {
            let fed = senders.iter().filter_map(|(input, values)| fed(board, input, values, id, case, wire));
            fed.reduce(|most, other| if other.current > most.current { other } else { most })
        });
        here.collect::<Vec<Option<Fed<'_>>>>()
    };
    let mut all: Vec<Option<Fed<'_>>> = of(case, false);
    let mut wire = None;
    if let Some(chafes) = chafes {
        let chafed = of(chafes, true);
        wire = replace_worst(&mut all, chafed);
        if wire.is_none() && case == Case::Normal {
            return None;
        }
    }
    let all: Vec<Fed<'_>> = all.into_iter().flatten().filter(|fed| fed.current > NOTHING).collect();
    let current = all.iter().fold(Amperes(0.0), |sum, fed| sum + fed.current);
    if all.is_empty() {
        return None;
    }
    let rail = &board.rails[id.0];
    let bound = bound(rail, &all);
    let holds = bound.is_none_or(|bound| Sense::AtMost.holds(current.0, bound.0));
    let by = all.iter().map(|fed| FedInput { input: fed.input.name.clone(), fed_back_a: fed.current.0 });
    Some(RailRow {
        rail: rail.name.clone(),
        event,
        wire: wire.map(|input: &Input| input.name.clone()),
        by: by.collect(),
        fed_back_a: current.0,
        takes_a: rail.takes().0,
        allowed_a: bound.map(|bound| bound.0),
        lifted_to_v: (!Sense::AtMost.holds(current.0, rail.takes().0))
            .then(|| lifted(rail, id, &all, case == Case::BoardOff).0),
        holds,
    })
}

/// What one input feeds back; where it has no such case, what it feeds back in normal use.
fn fed<'a>(
    board: &Board,
    input: &'a Input,
    values: &Values,
    id: RailId,
    case: Case,
    wire: bool,
) -> Option<Fed<'a>> {
    let of = |case| situations_of(board, input, values, case, Outlook::Life, Place::Range);
    let mut situations = of(case);
    if situations.is_empty() {
        situations = of(Case::Normal);
    }
    let fed =
        situations.into_iter().filter(|situation| situation.is_chafed() == wire).filter_map(|situation| {
            let current = fed_back(&situation, id)?;
            Some(Fed { input, situation, current })
        });
    fed.max_by(|a, b| a.current.0.total_cmp(&b.current.0))
}

fn fed_back(situation: &Situation, id: RailId) -> Option<Amperes> {
    situation.source_of(id)?;
    let found = worst(Measure::FedBack(id), Sense::AtMost, situation, &situation.resistances)?;
    Some(Amperes(found.value))
}

/// Puts the chafed wire in that feeds most in addition to what its input feeds anyway; the input, if there is one.
fn replace_worst<'a>(all: &mut [Option<Fed<'a>>], chafed: Vec<Option<Fed<'a>>>) -> Option<&'a Input> {
    let current = |fed: &Option<Fed<'_>>| fed.as_ref().map_or(0.0, |fed| fed.current.0);
    let more: Vec<f64> =
        all.iter().zip(&chafed).map(|(own, chafed)| current(chafed) - current(own)).collect();
    let worst = (0..more.len()).max_by(|&a, &b| more[a].total_cmp(&more[b]));
    let worst = worst.filter(|&worst| more[worst] > 0.0)?;
    all[worst] = chafed.into_iter().nth(worst)?;
    all[worst].as_ref().map(|fed| fed.input)
}

/// The tightest bound that an input that takes part sets.
fn bound(rail: &Rail, all: &[Fed<'_>]) -> Option<Amperes> {
    let bounds = all.iter().filter_map(|fed| match fed.input.limits.rail_backfeed {
        Setting::Off => None,
        Setting::Usual => Some(rail.takes()),
        Setting::At(bound) => Some(bound),
    });
    bounds.reduce(Amperes::min)
}

/// The voltage to which the rail may rise, to the millivolt: the one at which no more is fed back than it takes. What is fed
/// back falls as the rail rises, at every board alike, so that the greatest of all boards does, too. With the board off
/// nothing holds the other rails either: they rise with it.
fn lifted(rail: &Rail, id: RailId, all: &[Fed<'_>], is_off: bool) -> Volts {
    /// Enough for microvolts.
    const HALVINGS: usize = 26;
    let at = |volts: Volts| -> Amperes {
        let raised = |situation: &Situation| {
            let mut raised = situation.clone();
            for (name, band) in raised.names.iter().zip(&mut raised.sources) {
                if *name == Name::Rail(id.0) || is_off && matches!(name, Name::Rail(_)) {
                    *band = Band::exactly(volts);
                }
            }
            fed_back(&raised, id)
        };
        all.iter().filter_map(|fed| raised(&fed.situation)).fold(Amperes(0.0), |sum, current| sum + current)
    };
    let mut low = if is_off { Volts(0.0) } else { rail.voltage };
    let mut high = all.iter().map(|fed| highest(&fed.situation)).fold(low, Volts::max);
    for _ in 0..HALVINGS {
        let middle = (low + high) * 0.5;
        if at(middle) > rail.takes() { low = middle } else { high = middle }
    }
    Volts((high.0 * 1e3).round() / 1e3)
}

/// No node lies above the highest voltage that is connected, or above what a current drives its open node to.
fn highest(situation: &Situation) -> Volts {
    let pin = greatest(situation, &situation.resistances, |corner| {
        let open = corner.open_pin(situation.leakage);
        // A current has no voltage of its own.
        if matches!(situation.far, Far::Stands { .. }) { corner.seen_behind(0).emf().max(open) } else { open }
    });
    let sources = situation.sources.iter().map(|band| band.highest);
    sources.chain(pin.map(|found| found.value)).fold(Volts(0.0), Volts::max)
}

/// Cautions for each rail that may be lifted: in normal use, where nothing that is said of the board holds any more, and with
/// the event that lifts it most.
pub(super) fn cautions(board: &Board, rows: &[RailRow]) -> Vec<String> {
    let of_rail = |rail: &Rail| {
        let lifted: Vec<&RailRow> =
            rows.iter().filter(|row| row.rail == rail.name && row.lifted_to_v.is_some()).collect();
        let volts = |row: &RailRow| row.lifted_to_v.unwrap_or(0.0);
        // Of equals the first: what happens with the board on.
        let worst = lifted.iter().rev().copied().max_by(|a, b| volts(a).total_cmp(&volts(b)));
        let normal = lifted.iter().copied().find(|row| row.event == "normal");
        let worst = worst.filter(|worst| normal.is_none_or(|normal| normal != *worst));
        let normal = normal.map(|row| format!("{}; no count here holds then", caution(board, rail, row)));
        normal.into_iter().chain(worst.map(|row| caution(board, rail, row))).collect::<Vec<_>>()
    };
    board.rails.iter().flat_map(of_rail).collect()
}

fn caution(board: &Board, rail: &Rail, row: &RailRow) -> String {
    let contact = board.supply.contact;
    let lies_on =
        if row.event == "wire to rail" { "a rail".to_owned() } else { format!("the supply ({contact})") };
    let wire = row.wire.as_ref().map(|name| match row.event {
        "transmitter short" => format!("the transmitter of `{name}` shorted to its loop supply"),
        _ => format!("the wire of `{name}` on {lies_on}"),
    });
    let event = match (row.event, wire) {
        ("board off", Some(wire)) => format!("with the board off and {wire}"),
        ("board off", None) => "with the board off".to_owned(),
        (_, Some(wire)) => format!("with {wire}"),
        ("surge", None) => "in a surge".to_owned(),
        ("jump start", None) => "at a jump start".to_owned(),
        (_, None) => "in normal use".to_owned(),
    };
    let hint = if rail.takes() == Amperes(0.0) { " (`sink_current` and `least_load` are 0)" } else { "" };
    format!(
        "{event} {} flow back into rail `{}`, which takes {}{hint}; the rail may be lifted to {} and take the board with \
         it",
        Amperes(row.fed_back_a),
        rail.name,
        rail.takes(),
        Volts(row.lifted_to_v.unwrap_or(0.0)),
    )
}
