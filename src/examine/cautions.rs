//! What may hurt somebody or something.

use crate::board::{Board, Drive, Excursion, Fluid, Input, Rail, RailId, Role};
use crate::case::Case;
use crate::circuit::{
    Element, FedBy, Of, Outlook, Place, Scene, Situation, Values, is_tied_to_supply, situations_of,
};
use crate::quantity::{Amperes, Seconds, Volts, Watts};
use crate::worst::{Measure, Sense, greatest, least, worst};

/// Load dump levels of ISO 16750-2 that a steady surge is compared with: 12 V systems with central suppression,
/// 24 V systems with a typical suppression, 12 V systems without.
const STANDARD_SURGES: [Volts; 3] = [Volts(35.0), Volts(58.0), Volts(101.0)];

/// Cautions at the head of the answer, from the inputs that have all their parts.
pub(super) fn of_board(board: &Board, fitted: &[(&Input, Values)]) -> Vec<String> {
    let mut cautions: Vec<String> = fitted
        .iter()
        .flat_map(|(input, values)| {
            let all = feed_back(board, input, values);
            all.into_iter().map(move |caution| format!("{}: {caution}", input.name))
        })
        .collect();
    if board.supply.surges.is_empty() {
        cautions.push(surge_not_examined(board, fitted));
    }
    cautions.extend(shock(board));
    cautions
}

/// A wire on the supply that pushes more through a part or the sender into a rail than the rail can sink.
fn feed_back(board: &Board, input: &Input, values: &Values) -> Vec<String> {
    let Some(chafed) = situation(board, input, values, Case::WireToSupply) else { return Vec::new() };
    let fed = chafed.elements.iter().enumerate().filter_map(|(place, element)| match element {
        &Element { of: Of::Part(role), bridge_to: Some(_), fed_by: FedBy::Rail(id) } => {
            Some((place, role, id))
        }
        _ => None,
    });
    let by_parts = fed.filter_map(|(place, role, id)| fed_back(board, &chafed, place, role, id));
    by_parts.chain(fed_back_by_sender(board, input, values, &chafed)).collect()
}

fn fed_back(board: &Board, chafed: &Situation, element: usize, role: Role, id: RailId) -> Option<String> {
    let rail = &board.rails[id.0];
    let found = least(chafed, &chafed.resistances, |corner| corner.current(element, -chafed.leakage))?;
    let current = -found.value;
    let sinks = rail.sink_current + rail.least_load;
    (current > sinks).then(|| {
        let lifted = lifted(chafed, element, rail, sinks);
        feeds_back(board, role.key(), current, rail, lifted)
    })
}

/// The same through a sender that hangs on a rail: its wire lies on the supply at the end away from the rail.
fn fed_back_by_sender(board: &Board, input: &Input, values: &Values, chafed: &Situation) -> Option<String> {
    let normal = situation(board, input, values, Case::Normal)?;
    let FedBy::Rail(id) = normal.elements[0].fed_by else { return None };
    let rail = &board.rails[id.0];
    let reached = greatest(chafed, &chafed.resistances, |corner| corner.seen_behind(0).emf())?.value;
    let least = normal.resistances[0].lowest;
    let (current, sinks) = ((reached - rail.band().lowest) / least, rail.sink_current + rail.least_load);
    (current > sinks).then(|| {
        let lifted = (reached - sinks * least).max(rail.voltage);
        feeds_back(board, "the sender", current, rail, lifted)
    })
}

fn feeds_back(board: &Board, what: &str, current: Amperes, rail: &Rail, lifted: Volts) -> String {
    format!(
        "with its wire on the supply ({}) {what} feeds {current} back into rail `{}`, which takes {}; the rail may be \
         lifted to {lifted} and take the board with it",
        board.supply.contact,
        rail.name,
        rail.sink_current + rail.least_load,
    )
}

/// The voltage to which the rail may rise if it takes no more than `sinks`: what drives the node, less the drop of
/// that current on its way.
fn lifted(chafed: &Situation, element: usize, rail: &Rail, sinks: Amperes) -> Volts {
    let highest = greatest(chafed, &chafed.resistances, |corner| {
        let source = corner.seen_behind(element);
        source.emf() - sinks * (source.resistance() + corner.resistance(element))
    });
    highest.map_or(rail.voltage, |extreme| extreme.value.max(rail.voltage))
}

fn situation(board: &Board, input: &Input, values: &Values, case: Case) -> Option<Situation> {
    situations_of(board, input, values, case, Outlook::Life, Place::Range).into_iter().next()
}

fn surge_not_examined(board: &Board, fitted: &[(&Input, Values)]) -> String {
    let currents = |(input, values): &(&Input, Values)| {
        let currents: Vec<_> =
            STANDARD_SURGES.iter().filter_map(|&surge| surge_current(board, input, values, surge)).collect();
        (!currents.is_empty()).then(|| format!("{} {}", input.name, currents.join(", ")))
    };
    let found: Vec<_> = fitted.iter().filter_map(currents).collect();
    let head = "surge not examined (`supply: surge` is not given)";
    if !found.is_empty() {
        format!("{head}; for information, the current into the pin would be: {}", found.join("; "))
    } else if board.inputs.iter().any(is_tied_to_supply) {
        head.into()
    } else {
        format!("{head}; no wire here is tied to the supply, but the board itself sees every surge")
    }
}

fn surge_current(board: &Board, input: &Input, values: &Values, surge: Volts) -> Option<String> {
    let mut surged = board.clone();
    surged.supply.surges = vec![Excursion { voltage: surge, time: None }];
    let case = situation(&surged, input, values, Case::Surge)?;
    let current = worst(Measure::UpperClamp, Sense::AtMost, &case, &case.resistances)?.value;
    Some(format!("{} at {surge}", Amperes(current)))
}

/// Shock: 60 V DC, or 30 V DC in wet places (IEC 61140, IEC 60364-4-41; figures from memory), by the highest of what
/// is measured, what a chafed wire meets, the surges and the jump start. Shorter than 10 ms a pulse has limits of its own (IEC 60479-2,
/// from memory).
fn shock(board: &Board) -> Option<String> {
    const DRY: Volts = Volts(60.0);
    const WET: Volts = Volts(30.0);
    const SHORT: Seconds = Seconds(10e-3);
    let measured = board.inputs.iter().map(|input| match &input.drive {
        Drive::Signal(signal) => signal.curve.first().1.abs().max(signal.curve.last().1.abs()),
        Drive::Sender(_) | Drive::Current(_) => Volts(0.0),
    });
    let is_long = |excursion: &&Excursion| excursion.time.is_none_or(|time| time >= SHORT);
    let excursions = board.supply.surges.iter().chain(&board.supply.jump_start);
    let excursions = excursions.filter(is_long).map(|excursion| excursion.voltage.abs());
    let highest = measured.chain(excursions).fold(board.supply.contact, Volts::max);
    if highest > DRY {
        Some(format!(
            "up to {highest} on this board: above 60 V DC there is a shock hazard; leave it to licensed people \
             and follow local codes"
        ))
    } else if highest > WET {
        Some(format!(
            "up to {highest} on this board: above 30 V DC there is a shock hazard in wet places such as bilges and \
             engine rooms"
        ))
    } else {
        None
    }
}

/// Cautions that stand beside one input.
pub(super) fn of_input(input: &Input, scene: &Scene) -> Vec<String> {
    petrol(input, scene).into_iter().chain(bent(&scene.situations[Scene::NORMAL])).collect()
}

/// A clamp that conducts in normal use bends the reading; the range of the converter alone does not show it.
fn bent(normal: &Situation) -> Option<String> {
    let current = [Measure::UpperClamp, Measure::LowerClamp].into_iter().filter_map(|measure| {
        let greatest = worst(measure, Sense::AtMost, normal, &normal.resistances)?;
        Some(greatest.value)
    });
    let current = current.fold(0.0, f64::max);
    (current > 0.0).then(|| {
        let current = Amperes(current);
        format!("a clamp of the pin conducts in normal use (up to {current}): what the pin shows there is the clamp")
    })
}

/// Petrol: sender current above 10 mA or 25 mW in normal use (figures from memory, not limits of a standard).
fn petrol(input: &Input, scene: &Scene) -> Option<String> {
    const CURRENT: Amperes = Amperes(10e-3);
    const POWER: Watts = Watts(25e-3);
    if input.fluid != Some(Fluid::Petrol) {
        return None;
    }
    let normal = &scene.situations[Scene::NORMAL];
    let greatest = |measure| {
        worst(measure, Sense::AtMost, normal, &normal.resistances).map_or(0.0, |extreme| extreme.value)
    };
    let (current, power) = (Amperes(greatest(Measure::FarCurrent)), Watts(greatest(Measure::Power(0))));
    (current > CURRENT || power > POWER).then(|| {
        format!(
            "{current} and up to {power} in a petrol sender: keep below 10 mA and 25 mW; this is not an \
             intrinsic-safety assessment, and no resistor here limits what a chafed wire puts into the tank"
        )
    })
}
