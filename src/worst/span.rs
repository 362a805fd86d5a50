//! The span: the difference of two counts of the same board.

use super::corner::{Corner, Ends, visit};
use super::count::{held, held_at};
use super::tracking::{self, Groups};
use crate::circuit::Situation;
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms};

/// One board at the two ends of the range, and its signed span.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpanCorner {
    /// Last end minus first end, before truncation.
    pub span: Counts,
    /// The ends of the bands that the board sits at.
    pub ends: Ends,
    /// The leakage of its pin.
    pub leakage: Amperes,
    /// The gain error of its converter.
    pub gain: Fraction,
}

/// The span of one board, last end minus first end.
pub fn span_at(first: &Corner, last: &Corner, leakage: Amperes, gain: Fraction) -> Counts {
    held(last, leakage, gain) - held(first, leakage, gain)
}

/// The span with everything at its nominal value.
pub fn nominal_span(first: &Situation, last: &Situation) -> Counts {
    let corner = |s| Corner::at(s, &s.resistances, Ends::default());
    span_at(&corner(first), &corner(last), Amperes(0.0), Fraction(0.0))
}

/// The board with the least span in the direction of `sign` (1 or −1): the same board at `first` and at `last`.
///
/// The least span is at a corner. In a resistance p both counts are Möbius functions; at p = 0 or at p → ∞ the two
/// ends of the range become one (the resistance shorts the node or cuts the path), so the span starts or ends at 0
/// and the one stationary point in between is a maximum. In a voltage the span is affine, in the reference it is
/// proportional to 1/Vref; holding the counts in the range of the converter only cuts a span off. A span that changes
/// its sign has least 0, which the corners show as a span that is not positive.
///
/// The resistance r of a bridge (a gauge, say) may go on to r → ∞, where the span need not end at 0. Still it is
/// (α·r² + β·r)/(q₂·r² + q₁·r + q₀) with no q negative, 0 at r = 0, and its slope has the sign of
/// (α·q₁ − β·q₂)·r² + 2·α·q₀·r + β·q₀. A span that starts upward has β > 0. Two stationary points at positive r would need
/// α < 0 and α·q₁ > β·q₂ ≥ 0, which exclude each other: there is at most one, and as the span comes up from 0 it is a
/// maximum. With β < 0 the span is negative up to and beyond its one minimum, and the corners show that.
///
/// `resistances` are those of the two situations, alike but for the far end.
pub fn least_span(
    first: &Situation,
    last: &Situation,
    resistances: [&[Band<Ohms>]; 2],
    sign: f64,
) -> SpanCorner {
    if let (Some(a), Some(b)) = (Groups::of(first, resistances[0]), Groups::of(last, resistances[1]))
        && let Some(found) = tracking::least_span(&a, &b, sign)
    {
        return found;
    }
    let converter = &first.converter;
    let mut worst: Option<SpanCorner> = None;
    visit([first, last], resistances, |[a, b]| {
        for leakage in both(first.leakage.0) {
            let leakage = Amperes(leakage);
            let [va, vb] = [a, b].map(|corner| corner.pin_voltage(leakage));
            for gain in both(converter.gain.0) {
                let gain = Fraction(gain);
                let span = held_at(b, vb, gain) - held_at(a, va, gain);
                if worst.is_none_or(|w| span.0 * sign < w.span.0 * sign) {
                    worst = Some(SpanCorner { span, ends: a.ends(), leakage, gain });
                }
            }
        }
    });
    worst.unwrap_or(SpanCorner {
        span: Counts(f64::NAN),
        ends: Ends::default(),
        leakage: Amperes(0.0),
        gain: Fraction(0.0),
    })
}

/// Both signs of an error, or nothing where there is none.
pub(super) fn both(error: f64) -> impl Iterator<Item = f64> {
    [-error, error].into_iter().take(if error == 0.0 { 1 } else { 2 })
}
