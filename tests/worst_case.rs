//! The worst case is exact: no board leaves it, and some board reaches it.

mod support;

use ohmwright::board::{Board, Circuit, Drive, Role};
use ohmwright::case::Case;
use ohmwright::circuit::{Far, Of, Place, Situation, cases_of};
use ohmwright::quantity::{Amperes, Band, Celsius, Counts, Farads, Fraction, Ohms, Seconds, Volts};
use ohmwright::worst::{
    Corner, Ends, Measure, Sense, count_band, least_span, nominal_span, pin_band, span_at, worst,
};
use support::{
    Dice, at_shares, both_ends, grade, ideal_board, input, life, normal_use, part, sender, signal,
};

/// What the rounding of a few steps may carry a board beyond its worst case.
const ROUNDING: f64 = 1e-12;

/// Everything that limits look at in a situation, with the sense in which they do.
fn measures(situation: &Situation) -> Vec<(Measure, Sense)> {
    let settles_to = Counts(0.5);
    let mut found = vec![
        (Measure::UpperClamp, Sense::AtMost),
        (Measure::LowerClamp, Sense::AtMost),
        (Measure::SourceResistance, Sense::AtMost),
        (Measure::SettlingTime { settles_to }, Sense::AtMost),
        (Measure::Missing { capacitor: Farads(100e-9) }, Sense::AtMost),
        (Measure::LowestPin, Sense::AtLeast),
        (Measure::HighestPin, Sense::AtMost),
        (Measure::FarCurrent, Sense::AtMost),
        (Measure::FarCurrent, Sense::AtLeast),
        (Measure::SupplyCurrent, Sense::AtMost),
        (Measure::SupplyDrain, Sense::AtMost),
        (Measure::InputResistance, Sense::AtLeast),
    ];
    if situation.reference.is_some() {
        found.push((Measure::TopCount, Sense::AtMost));
        found.push((Measure::LowestShare, Sense::AtLeast));
        found.push((Measure::HighestShare, Sense::AtMost));
        found.push((Measure::LeakageError, Sense::AtMost));
    }
    for (place, element) in situation.elements.iter().enumerate() {
        if matches!(element.of, Of::Part(_) | Of::Existing) {
            found.push((Measure::Power(place), Sense::AtMost));
            found.push((Measure::Voltage(place), Sense::AtMost));
        }
    }
    found
}

/// The size of what a measure is a difference of: rounding is a share of that.
fn size(measure: Measure, situation: &Situation, value: f64) -> f64 {
    let volts = situation.sources.iter().map(|band| band.lowest.0.abs().max(band.highest.0.abs())).fold(1.0, f64::max);
    match measure {
        Measure::LowestPin | Measure::HighestPin => value.abs().max(volts),
        Measure::LowestShare | Measure::HighestShare => value.abs().max(volts),
        Measure::TopCount => value.abs().max(volts * situation.converter.full_scale().0),
        _ => value.abs(),
    }
}

fn value(measure: Measure, sense: Sense, one: &Situation) -> f64 {
    measure.at(&Corner::at(one, &one.resistances, Ends::default()), sense)
}

/// A few situations of the board, normal use among them.
fn some_situations(board: &Board, dice: &mut Dice) -> Vec<Situation> {
    let cases = cases_of(board, &board.inputs[0]);
    let other = cases[dice.below(cases.len())];
    let mut situations = life(board, Case::Normal, Place::Range);
    situations.extend(life(board, other, Place::Range));
    situations
}

#[track_caller]
fn stays_inside(measure: Measure, sense: Sense, one: &Situation, bound: f64, from: &Situation) {
    let value = value(measure, sense, one);
    let slack = ROUNDING * size(measure, from, bound);
    let inside = match sense {
        Sense::AtMost => value <= bound + slack,
        Sense::AtLeast => value >= bound - slack,
    };
    assert!(inside || value.is_nan(), "{measure:?} {sense:?}: {value:e} beyond {bound:e} in {one:#?} of {from:#?}");
}

#[test]
fn no_board_leaves_the_worst_case() {
    let mut dice = Dice::new(1);
    for _ in 0..300 {
        let board = dice.board();
        for situation in some_situations(&board, &mut dice) {
            let bounds: Vec<_> = measures(&situation)
                .into_iter()
                .filter_map(|(m, s)| Some((m, s, worst(m, s, &situation, &situation.resistances)?.value)))
                .collect();
            for _ in 0..1_000 {
                let (volts, ohms) = (dice.shares(situation.sources.len()), dice.shares(situation.elements.len()));
                let one = at_shares(&situation, &volts, &ohms);
                for &(measure, sense, bound) in &bounds {
                    stays_inside(measure, sense, &one, bound, &situation);
                }
            }
        }
    }
}
