//! Each case: counts, the pin, and what the parts have to bear.

use super::counts;
use crate::answer::{CaseRow, Load, Ordered};
use crate::board::{Board, Input};
use crate::case::Case;
use crate::circuit::{FedBy, Of, Scene, Situation};
use crate::quantity::{Band, Counts, Joules, Watts};
use crate::worst::{Gap, Measure, Sense, count_band, gap, worst};
use itertools::Itertools;

/// One row for each case that exists, normal use left out.
pub(super) fn of(board: &Board, input: &Input, scene: &Scene, working: Option<Band<Counts>>) -> Vec<CaseRow> {
    let cases = scene.situations[1..scene.bottom()].iter().chunk_by(|situation| situation.case);
    let rows = cases
        .into_iter()
        .map(|(case, situations)| row(board, input, case, &situations.collect::<Vec<_>>(), working));
    let mut rows: Vec<CaseRow> = rows.collect();
    find_alike(&mut rows);
    rows
}

/// What the wire alone may do.
const WIRING: [Case; 5] =
    [Case::WireOpen, Case::WireToGround, Case::WireToSupply, Case::TransmitterShort, Case::WireToRail];

/// Which faults of the wire may show the same counts: a pin that floats may show any.
fn find_alike(rows: &mut [CaseRow]) {
    let is_wiring = |row: &CaseRow| WIRING.iter().any(|case| case.name() == row.case);
    let overlap = |a: &CaseRow, b: &CaseRow| match (a.count, b.count) {
        (Some(a), Some(b)) => a.lowest <= b.highest && b.lowest <= a.highest,
        _ => a.floating || b.floating,
    };
    let of = |row: &CaseRow| {
        let others = rows.iter().filter(|other| other.case != row.case && is_wiring(other));
        others.filter(|other| is_wiring(row) && overlap(row, other)).map(|other| other.case).collect()
    };
    let alike: Vec<Vec<&'static str>> = rows.iter().map(of).collect();
    for (row, alike) in rows.iter_mut().zip(alike) {
        row.alike = alike;
    }
}

fn row(
    board: &Board,
    input: &Input,
    case: Case,
    situations: &[&Situation],
    working: Option<Band<Counts>>,
) -> CaseRow {
    let greatest = |measure| {
        let values = situations.iter().filter_map(|s| worst(measure, Sense::AtMost, s, &s.resistances));
        values.map(|extreme| extreme.value).fold(0.0, f64::max)
    };
    let converting: Vec<_> = situations.iter().filter(|s| s.reference.is_some()).collect();
    let bands: Vec<_> = converting.iter().map(|s| count_band(s, &s.resistances)).collect();
    let floating = bands.iter().any(Option::is_none);
    let band = bands.into_iter().collect::<Option<Vec<_>>>().and_then(|bands| {
        let truncated = bands.into_iter().map(|band| board.converter.truncated_band(band));
        truncated.reduce(Band::joined)
    });
    let working = working.map(|band| board.converter.truncated_band(band));
    let gap = band.zip(working).map(|(case, work)| gap(case, work));
    let is_apart = |gap: &Gap| gap.counts > Counts(0.0);
    // Of several surges each has its own time; where one is not known, nobody knows the most.
    let energy = |element| {
        let energies = situations.iter().map(|s| {
            let power = worst(Measure::Power(element), Sense::AtMost, s, &s.resistances)?.value;
            Some(Watts(power) * s.lasts?)
        });
        energies.collect::<Option<Vec<Joules>>>().map(|all| all.into_iter().fold(Joules(0.0), Joules::max).0)
    };
    let load = |element| Load {
        dissipation_w: greatest(Measure::Power(element)),
        energy_j: energy(element),
        voltage_v: greatest(Measure::Voltage(element)),
    };
    let parts = input.parts.iter().filter_map(|part| {
        let element = situations[0].place_of(Of::Part(part.role))?;
        Some((part.role.key().to_string(), load(element)))
    });
    CaseRow {
        case: case.name(),
        count: band.map(counts),
        floating,
        distinguishable: if floating { Some(false) } else { gap.as_ref().map(is_apart) },
        gap_counts: gap.map(|gap| gap.counts.0),
        threshold: gap.filter(is_apart).map(|gap| gap.middle.0),
        alike: Vec::new(),
        pin_current_a: greatest(Measure::UpperClamp).max(greatest(Measure::LowerClamp)),
        survive: input.survive.contains(&case),
        parts: Ordered(parts.collect()),
    }
}

/// What the input draws from the vehicle's supply with the board off, in amperes; `None` where nothing is tied to it.
pub(super) fn drain(scene: &Scene) -> Option<f64> {
    let off = scene.situations.iter().find(|s| s.case == Case::BoardOff)?;
    off.elements
        .iter()
        .any(|element| element.fed_by == FedBy::Supply)
        .then(|| worst(Measure::SupplyDrain, Sense::AtMost, off, &off.resistances))?
        .map(|extreme| extreme.value)
}
