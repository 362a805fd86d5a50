//! What else there is to say of an input.

use crate::answer::{GreatestError, LimitRow};
use crate::board::{Board, Drive, Input, InputId, Part, Setting};
use crate::circuit::{Of, Scene, Situation, cases_of};
use crate::quantity::{Band, Counts, Farads, Watts};
use crate::reading::Firmware;
use crate::search::{Conflict, Outcome};
use crate::worst::{Measure, Sense, worst};
use itertools::Itertools;

/// What is hidden where the working band reaches below 0.
pub(super) fn hidden(
    board: &Board,
    input: &Input,
    firmware: &Firmware,
    working: Option<Band<Counts>>,
) -> Option<String> {
    let lowest = working?.lowest;
    if lowest >= Counts(0.0) {
        return None;
    }
    let (first, last) = input.range();
    let end = if firmware.rises() { first } else { last };
    let seen_from = firmware.crossing(Counts(0.0), |band| band.lowest);
    let (n, unit) = ((-lowest.0).ceil(), input.unit());
    let (a, b) = if end < seen_from { (end, seen_from) } else { (seen_from, end) };
    let one = n == 1.0;
    Some(format!(
        "the lowest {}{} read 0 on the worst board ({} down to {:.1}): {}..{} {unit} may not be seen",
        if one { String::new() } else { format!("{n} ") },
        if one { "count" } else { "counts" },
        board.converter.truncated(working?.highest).0,
        lowest.0,
        rounded(a),
        rounded(b),
    ))
}

/// What a reading is corrected by.
pub(super) fn corrected(board: &Board, input: &Input, has_readings: bool) -> Option<String> {
    let InputId(place) = input.corrected_by?;
    let name = &board.inputs.get(place)?.name;
    Some(if has_readings {
        format!(
            "readings, errors and alarms are those of a firmware that divides the supply out, corrected by {name}; \
             counts are those of the pin"
        )
    } else {
        format!("readings are corrected by {name}, for which no choice exists: none are given")
    })
}

/// Three digits are enough for a remark.
pub(super) fn rounded(x: f64) -> f64 {
    if x == 0.0 {
        return 0.0;
    }
    let digit = 10_f64.powi(2 - x.abs().log10().floor() as i32);
    (x * digit).round() / digit
}

/// A reading that may be off by a large share of what matters says little, whatever limits hold.
pub(super) fn vague(input: &Input, error: Option<GreatestError>) -> Option<String> {
    const LARGE: f64 = 1.0 / 3.0;
    let (zone, greatest) = (input.zone(), error?.greatest);
    let (width, unit) = (zone.highest - zone.lowest, input.unit());
    (greatest > LARGE * width).then(|| {
        format!(
            "a reading may be off by {} {unit} where {} {unit} are to be told apart: resistors alone will not do; a \
             sender that moves more, an amplifier, better parts or a narrower zone would help",
            rounded(greatest),
            rounded(width),
        )
    })
}

/// A sender of temperature whose own current warms it by nobody knows how much.
pub(super) fn warmth(input: &Input, limits: &[LimitRow]) -> Option<String> {
    /// 1 mW warms a bead in still air by about half a kelvin (common practice: 1 to 3 mW/K).
    const HARMLESS: f64 = 1e-3;
    let Drive::Sender(sender) = &input.drive else { return None };
    let is_temperature = ["°C", "°F", "K"].contains(&input.unit());
    let power = limits.iter().find(|row| row.limit == "sender_power")?.worst;
    (is_temperature && sender.self_heating.is_none() && power > HARMLESS).then(|| {
        format!(
            "{} in the sender warm it above what it measures; `self_heating` is not given, so that no reading here \
             counts it",
            Watts(power)
        )
    })
}

/// Parts that would not live through a case that they are not asked to survive, each with its worst in that case.
pub(super) fn overloads(board: &Board, input: &Input, scene: &Scene) -> Vec<String> {
    let others = scene.situations[1..scene.bottom()].iter().filter(|s| !input.survive.contains(&s.case));
    let cases = others.chunk_by(|situation| situation.case);
    let mut remarks = Vec::new();
    for (case, situations) in &cases {
        let situations: Vec<_> = situations.collect();
        for part in &input.parts {
            let worst = situations.iter().filter_map(|situation| overload(board, part, situation));
            let Some((power, stands)) = worst.max_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1))) else {
                continue;
            };
            remarks.push(format!(
                "{}: {} would dissipate {power} and stands {stands}; it is not asked to survive this case (`survive`)",
                case.name(),
                part.role.key(),
            ));
        }
    }
    remarks
}

/// What a part would dissipate and what it stands for as long as that lasts, if that is less.
fn overload(board: &Board, part: &Part, situation: &Situation) -> Option<(Watts, Watts)> {
    let element = situation.place_of(Of::Part(part.role))?;
    let power = worst(Measure::Power(element), Sense::AtMost, situation, &situation.resistances)?.value;
    let momentary = part.grade.momentary_for(situation.lasts).map(|momentary| momentary.power);
    let stands = momentary.unwrap_or(part.grade.rating) * part.grade.left(board.ambient.highest);
    (power > stands.0).then_some((Watts(power), stands))
}

/// A capacitor out of which one sample takes more than may be missing: no resistor can mend that.
pub(super) fn capacitor(board: &Board, input: &Input) -> Option<String> {
    let capacitor = input.capacitor.largest()?;
    let sampling = board.converter.sampling;
    let settles_to = match input.limits.settling {
        Setting::Off => return None,
        Setting::Usual => sampling.settles_to,
        Setting::At(counts) => counts,
    };
    let full_scale = board.converter.full_scale();
    let taken = full_scale * (sampling.capacitor / (capacitor + sampling.capacitor));
    // One sample takes 2^bits·Cs/(C + Cs) counts; that is what is allowed at this C.
    let least = sampling.capacitor * (full_scale / settles_to - 1.0);
    (taken > settles_to).then(|| {
        format!(
            "one sample takes {taken} out of {capacitor} and {settles_to} may be missing: `capacitor` has to be above \
             {}, or `none` with a source that settles in the sampling time",
            Farads(least.0)
        )
    })
}

/// A search that was stopped proves nothing.
pub(super) fn stopped(outcome: &Outcome) -> Option<String> {
    (!outcome.complete).then(|| {
        format!(
            "the search was stopped after {} boxes of values without a choice: one may exist; fewer parts to choose, or \
             shorter lists of values, let it finish",
            outcome.examined
        )
    })
}

/// A search for what excludes what that was stopped says nothing.
pub(super) fn conflict_stopped(outcome: &Outcome, conflict: &Conflict) -> Option<String> {
    (outcome.complete && !conflict.complete).then(|| {
        format!(
            "the search for the limits that exclude each other was stopped after {} boxes of values: what is said of \
             them is not all",
            conflict.examined
        )
    })
}

/// Cases to be survived that this input does not have.
pub(super) fn not_there(board: &Board, input: &Input) -> Vec<String> {
    let there = cases_of(board, input);
    let missing = input.survive.iter().filter(|case| !there.contains(case));
    missing
        .map(|case| format!("`survive` names `{}`, a case that this input does not have", case.name()))
        .collect()
}
