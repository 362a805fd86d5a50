//! Bands of the pin voltage and of the count.

use super::corner::visit;
use super::tracking::{self, Groups};
use super::{Corner, Ends, greatest, least};
use crate::board::Converter;
use crate::circuit::{Outlook, Situation};
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms, Volts};

/// The band of the pin voltage; `None`: the pin may float.
#[expect(
    clippy::redundant_closure_for_method_calls,
    reason = "the method is tied to one lifetime of its corner, the closure to none"
)]
pub fn pin_band(situation: &Situation, resistances: &[Band<Ohms>]) -> Option<Band<Volts>> {
    if let Some(groups) = Groups::of(situation, resistances) {
        let band = tracking::ratio_band(&groups, |_| Volts(1.0), false)?;
        return Some(Band { lowest: Volts(band.lowest), highest: Volts(band.highest) });
    }
    band(situation, resistances, |corner, leakage| corner.pin_voltage(leakage))
}

/// The band of the count before truncation, everything of the outlook included; `None`: the pin may float, or the
/// converter is down.
pub fn count_band(situation: &Situation, resistances: &[Band<Ohms>]) -> Option<Band<Counts>> {
    situation.reference?;
    let reference = |corner: &Corner<'_>| corner.reference().unwrap_or(Volts(f64::NAN));
    let ratio = if let Some(groups) = Groups::of(situation, resistances) {
        tracking::ratio_band(&groups, reference, true)?
    } else {
        let ratio =
            band(situation, resistances, |corner, leakage| corner.pin_voltage(leakage) / reference(corner))?;
        let peak = peak_at_clamp(situation, resistances).unwrap_or(f64::NEG_INFINITY);
        Band { highest: ratio.highest.max(peak), ..ratio }
    };
    let edge = |ratio, up| edge(situation, ratio, up);
    Some(Band { lowest: edge(ratio.lowest, -1.0), highest: edge(ratio.highest, 1.0) })
}

/// The count of a share of the reference with the errors of the converter up (1) or down (−1).
fn edge(situation: &Situation, ratio: f64, up: f64) -> Counts {
    let converter: &Converter = &situation.converter;
    let full_scale = converter.full_scale();
    if situation.outlook == Outlook::Nominal {
        return full_scale * ratio;
    }
    full_scale * ratio * (1.0 + up * converter.gain.0 * ratio.signum()) + converter.added() * up
}

/// The count of one board before truncation, everything that is not a parameter of the circuit up (1) or down (−1); not a
/// number where the pin floats.
pub fn edge_at(corner: &Corner<'_>, up: f64) -> Counts {
    let situation = corner.situation();
    let reference = corner.reference().unwrap_or(Volts(f64::NAN));
    edge(situation, corner.pin_voltage(situation.leakage * up) / reference, up)
}

/// How far the counts of a case are from those of normal use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Counts between the nearest edges; zero or less: they cannot be told apart.
    pub counts: Counts,
    /// The middle between these edges.
    pub middle: Counts,
}

/// The gap between two bands of counts.
pub fn gap(case: Band<Counts>, work: Band<Counts>) -> Gap {
    let (above, below) = (case.lowest - work.highest, work.lowest - case.highest);
    if above > below {
        Gap { counts: above, middle: (case.lowest + work.highest) * 0.5 }
    } else {
        Gap { counts: below, middle: (work.lowest + case.highest) * 0.5 }
    }
}

/// The greatest share of the reference at a board whose upper clamp is about to conduct, where that is more than with the
/// reference at either end of its band.
///
/// A rail that is the reference and drives the pin, too, while the clamp leads to another one: as long as something pulls
/// the pin below what the rail alone would give, its share rises with the rail; from where the clamp holds the pin it
/// falls. The peak is at the onset, which is found in closed form, since the pin is affine in a voltage. The lower clamp
/// makes no such peak: a pin that is pulled there has a share that rises with the rail, held or not.
pub(crate) fn peak_at_clamp(situation: &Situation, resistances: &[Band<Ohms>]) -> Option<f64> {
    let place = situation.reference.filter(|&place| place != situation.clamp_rail)?;
    let band = situation.sources[place];
    if band.is_single() {
        return None;
    }
    let [low, high] = [band.lowest, band.highest].map(|volts| {
        let mut at = situation.clone();
        at.sources[place] = Band::exactly(volts);
        at
    });
    let mut peak: Option<f64> = None;
    visit([&low, &high], [resistances, resistances], |[a, b]| {
        let held = [a, b].map(|corner| corner.pin_voltage(situation.leakage));
        let open = [a, b].map(|corner| corner.open_pin(situation.leakage));
        let bound = a.held_pin(situation.leakage);
        if a.clamped_node().is_stiff() || (open[0] <= bound) == (open[1] <= bound) {
            return;
        }
        let reference =
            band.lowest + (band.highest - band.lowest) * ((bound - open[0]) / (open[1] - open[0]));
        let share = bound / reference;
        if share > (held[0] / band.lowest).max(held[1] / band.highest) && peak.is_none_or(|most| share > most)
        {
            peak = Some(share);
        }
    });
    peak
}

/// The band of something that rises with the leakage; `None`: on some board the pin floats. What holds the pin may be open
/// or not, so it floats on the board on which all of it is open, if on any.
fn band<Q: Copy + PartialOrd>(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of: impl Fn(&Corner<'_>, Amperes) -> Q,
) -> Option<Band<Q>> {
    if Corner::at(situation, resistances, Ends::ALL_HIGH).pin().is_floating() {
        return None;
    }
    let leakage = situation.leakage;
    let lowest = least(situation, resistances, |corner| of(corner, -leakage))?.value;
    let highest = greatest(situation, resistances, |corner| of(corner, leakage))?.value;
    Some(Band { lowest, highest })
}

/// The count of one board before truncation, without offset and nonlinearity, held in 0 .. 2^bits − 1.
pub fn held(corner: &Corner, leakage: Amperes, gain: Fraction) -> Counts {
    held_at(corner, corner.pin_voltage(leakage), gain)
}

/// The same with the pin at a known voltage.
pub(super) fn held_at(corner: &Corner, pin: Volts, gain: Fraction) -> Counts {
    let converter = &corner.situation().converter;
    let reference = corner.reference().unwrap_or(Volts(f64::NAN));
    converter.count(pin, reference, gain).max(Counts(0.0)).min(converter.highest_count())
}
