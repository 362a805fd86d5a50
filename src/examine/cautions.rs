//! What may hurt somebody or something.

use crate::board::{Board, Drive, Excursion, Fluid, Input, LoopSupply, Role};
use crate::case::Case;
use crate::circuit::{Of, Outlook, Place, Scene, Situation, Values, is_tied_to_supply, situations_of};
use crate::quantity::{Amperes, Seconds, Volts, Watts};
use crate::worst::{Measure, Sense, worst};

/// Load dump levels of ISO 16750-2 that a steady surge is compared with: 12 V systems with central suppression,
/// 24 V systems with a typical suppression, 12 V systems without.
const STANDARD_SURGES: [Volts; 3] = [Volts(35.0), Volts(58.0), Volts(101.0)];

/// Cautions at the head of the answer, from the inputs that have all their parts.
pub(super) fn of_board(board: &Board, fitted: &[Vec<(Input, Values)>]) -> Vec<String> {
    let mut cautions = Vec::new();
    if board.supply.surges.is_empty() {
        cautions.push(surge_not_examined(board, fitted));
    }
    cautions.extend(shock(board));
    cautions
}

fn situation(board: &Board, input: &Input, values: &Values, case: Case) -> Option<Situation> {
    situations_of(board, input, values, case, Outlook::Life, Place::Range).into_iter().next()
}

fn surge_not_examined(board: &Board, fitted: &[Vec<(Input, Values)>]) -> String {
    let currents = |senders: &Vec<(Input, Values)>| {
        let greatest = |surge: &Volts| {
            let of = senders.iter().filter_map(|(input, values)| surge_current(board, input, values, *surge));
            let current = of.map(|current| current.0).reduce(f64::max)?;
            Some(format!("{} at {surge}", Amperes(current)))
        };
        let currents: Vec<_> = STANDARD_SURGES.iter().filter_map(greatest).collect();
        let (input, _) = senders.first()?;
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

fn surge_current(board: &Board, input: &Input, values: &Values, surge: Volts) -> Option<Amperes> {
    let mut surged = board.clone();
    surged.supply.surges = vec![Excursion { voltage: surge, time: None }];
    let case = situation(&surged, input, values, Case::Surge)?;
    let current = worst(Measure::UpperClamp, Sense::AtMost, &case, &case.resistances)?.value;
    Some(Amperes(current))
}

/// Shock: 60 V DC, or 30 V DC in wet places (IEC 61140, IEC 60364-4-41; figures from memory), by the highest of what
/// is measured, what a chafed wire meets, the surges and the jump start. Shorter than 10 ms a pulse has limits of its own (IEC 60479-2,
/// from memory).
fn shock(board: &Board) -> Option<String> {
    const DRY: Volts = Volts(60.0);
    const WET: Volts = Volts(30.0);
    const CRAFT: Volts = Volts(50.0);
    const SHORT: Seconds = Seconds(10e-3);
    let measured = board.inputs.iter().map(|input| match &input.drive {
        Drive::Signal(signal) => signal.curve.first().1.abs().max(signal.curve.last().1.abs()),
        Drive::Current(transmitter) => match transmitter.loop_supply {
            LoopSupply::Own(band) => band.highest,
            LoopSupply::Supply | LoopSupply::Rail(_) => Volts(0.0),
        },
        Drive::Sender(_) => Volts(0.0),
    });
    let is_long = |excursion: &&Excursion| excursion.time.is_none_or(|time| time >= SHORT);
    let excursions = board.supply.surges.iter().chain(&board.supply.jump_start);
    let excursions = excursions.filter(is_long).map(|excursion| excursion.voltage.abs());
    let highest = measured.chain(excursions).fold(board.supply.contact, Volts::max);
    // ISO 10133 and ISO 13297: extra-low-voltage d.c. installations of 50 V d.c. or less.
    let craft = if highest > CRAFT { "; rules for small craft end at 50 V DC" } else { "" };
    if highest > DRY {
        Some(format!(
            "up to {highest} on this board: above 60 V DC there is a shock hazard; leave it to licensed people \
             and follow local codes{craft}"
        ))
    } else if highest > WET {
        Some(format!(
            "up to {highest} on this board: above 30 V DC there is a shock hazard in wet places such as bilges and \
             engine rooms{craft}"
        ))
    } else {
        None
    }
}

/// Cautions that stand beside one input.
pub(super) fn of_input(board: &Board, input: &Input, scene: &Scene) -> Vec<String> {
    petrol(input, scene)
        .into_iter()
        .chain(tank(board, input))
        .chain(charged(board, input, scene))
        .chain(bent(&scene.situations[Scene::NORMAL]))
        .collect()
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

/// Whether a sender sits in what burns.
fn is_in_fuel(input: &Input) -> bool {
    matches!(input.fluid, Some(Fluid::Petrol | Fluid::Diesel)) && input.drive.is_sender()
}

/// What a chafed wire puts into a sender in a tank: no resistor on the board limits that.
fn tank(board: &Board, input: &Input) -> Option<String> {
    let Drive::Sender(sender) = &input.drive else { return None };
    if !is_in_fuel(input) {
        return None;
    }
    let contact = board.supply.contact;
    let least = sender.curve.first().1.min(sender.curve.last().1);
    let power = Watts(contact.0 * contact.0 / least.0);
    let into = if least.0 > 0.0 {
        format!("puts {power} into the sender in its tank ({contact} on {least})")
    } else {
        "feeds its short-circuit current into the sender in its tank, which comes down to 0 Ω".to_owned()
    };
    let rules = if input.fluid == Some(Fluid::Petrol) {
        "; on petrol boats the rules for ignition protection apply"
    } else {
        ""
    };
    Some(format!(
        "a wire that chafes through to the supply {into}, whatever is chosen here: fuse every wire at its source{rules}"
    ))
}

/// A capacitor that discharges into a sender in fuel through no resistor.
fn charged(board: &Board, input: &Input, scene: &Scene) -> Option<String> {
    let capacitor = input.capacitor.largest()?;
    let normal = &scene.situations[Scene::NORMAL];
    let is_apart = [Role::Top, Role::Protection, Role::Line].into_iter().any(|role| {
        normal.place_of(Of::Part(role)).is_some_and(|place| normal.resistances[place].lowest.0 > 0.0)
    });
    if !is_in_fuel(input) || is_apart {
        return None;
    }
    // E = C·V²/2.
    let energy = 0.5 * capacitor.0 * board.supply.contact.0.powi(2) * 1e6;
    Some(format!(
        "no resistor stands between {capacitor} at the pin and the sender in fuel: at {} it would discharge {energy:.1} \
         µJ into it; put one there (`protection`)",
        board.supply.contact
    ))
}
