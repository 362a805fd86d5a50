//! The few corners among which the extreme of a count is to be found, wherever the far end stands.

use super::corner::{Ends, visit};
use crate::circuit::{Far, Situation};
use crate::quantity::{Band, Ohms, Volts};

/// The corners at which the count may be least, and those at which it may be greatest, wherever in its range the far
/// end stands.
///
/// In which direction a parameter moves the pin is the sign of what drives the branch that it stands in, which is affine
/// in every other parameter. So a direction that is the same at all corners, both ends of the range among them, is the
/// same in between, and the parameter stays at one end. Only a parameter whose direction turns keeps both.
pub fn extreme_corners(situation: &Situation, resistances: &[Band<Ohms>]) -> [Vec<Ends>; 2] {
    let varying = varying(situation, resistances);
    let mut shares = vec![[[f64::NAN; 2]; 2]; 1 << varying.len()];
    visit([situation], [resistances], |[corner]| {
        let of = |leakage| {
            let reference = corner.reference().unwrap_or(Volts(f64::NAN));
            // A clamp hides which way a parameter moves the pin before it conducts, and moves with its rail itself.
            [corner.open_pin(leakage) / reference, corner.pin_voltage(leakage) / reference]
        };
        shares[index(corner.ends(), &varying)] = [of(-situation.leakage), of(situation.leakage)];
    });
    [false, true].map(|greatest| {
        let mut corners = vec![Ends::default()];
        for (place, &bit) in varying.iter().enumerate() {
            let [falls, rises] = directions(&shares, place, usize::from(greatest));
            let (high, low) = if greatest { (rises, falls) } else { (falls, rises) };
            let kept = [(false, low || !high), (true, high)];
            corners = kept
                .into_iter()
                .filter(|(_, is_kept)| *is_kept)
                .flat_map(|(end, _)| {
                    corners.iter().map(move |&corner| {
                        let mut corner = corner;
                        corner.set(bit, end);
                        corner
                    })
                })
                .collect();
        }
        corners
    })
}

/// The bits of the parameters that vary.
fn varying(situation: &Situation, resistances: &[Band<Ohms>]) -> Vec<usize> {
    let elements = (0..resistances.len()).filter(|&k| !resistances[k].is_single());
    let sources = (0..situation.sources.len()).filter(|&i| !situation.sources[i].is_single());
    let current = matches!(situation.far, Far::Flows(band) if !band.is_single());
    elements.chain(sources.map(|i| Ends::SOURCES + i)).chain(current.then_some(Ends::CURRENT)).collect()
}

fn index(ends: Ends, varying: &[usize]) -> usize {
    varying.iter().enumerate().map(|(place, &bit)| usize::from(ends.is_high(bit)) << place).sum()
}

/// Whether the count falls anywhere, and whether it rises anywhere, with the parameter in this place. What moves it by
/// less than rounding does not move it.
fn directions(shares: &[[[f64; 2]; 2]], place: usize, side: usize) -> [bool; 2] {
    const ROUNDING: f64 = 1e-13;
    let mut found = [false; 2];
    for low in (0..shares.len()).filter(|low| low >> place & 1 == 0) {
        for (a, b) in shares[low][side].into_iter().zip(shares[low | 1 << place][side]) {
            let slack = ROUNDING * a.abs().max(b.abs()).max(1e-3);
            found[0] |= b < a - slack;
            found[1] |= b > a + slack;
        }
    }
    found
}
