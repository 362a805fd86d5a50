//! The worst case is exact: no board leaves it, and some board reaches it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use ohmwright::board::{Board, Circuit, Drive, RailId};
use ohmwright::case::Case;
use ohmwright::circuit::{Far, FedBy, Of, Place, Situation, cases_of};
use ohmwright::quantity::{Amperes, Band, Counts, Farads, Fraction, Ohms, Volts};
use ohmwright::worst::{Corner, Ends, Measure, Sense, count_band, least_span, pin_band, span_at, worst};
use support::dice::Dice;
use support::{at_shares, both_ends, life};

/// What the rounding of a few steps may carry a board beyond its worst case.
const ROUNDING: f64 = 1e-12;

/// Everything that limits look at in a situation, with the sense in which they do.
fn measures(situation: &Situation) -> Vec<(Measure, Sense)> {
    let settles_to = Counts(0.5);
    let mut found = vec![
        (Measure::UpperClamp, Sense::AtMost),
        (Measure::LowerClamp, Sense::AtMost),
        (Measure::OwnClamp, Sense::AtMost),
        (Measure::HighestClamped, Sense::AtMost),
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
        (Measure::FedBack(RailId(0)), Sense::AtMost),
        (Measure::FedBack(RailId(1)), Sense::AtMost),
    ];
    if matches!(situation.far, Far::Flows(_)) {
        found.push((Measure::FarVoltage, Sense::AtMost));
    }
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

/// The size of what a measure is calculated from: rounding is a share of that. Voltages are differences of the
/// voltages that there are; what they drive through a resistance may be as uncertain.
fn size(measure: Measure, situation: &Situation, value: f64) -> f64 {
    let end = |band: &Band<Volts>| band.lowest.0.abs().max(band.highest.0.abs());
    let volts = situation.sources.iter().map(end).fold(0.0, f64::max);
    let finite = |band: &Band<Ohms>| if band.highest.0.is_finite() { band.highest.0 } else { band.lowest.0 };
    let largest = situation.resistances.iter().map(finite).fold(0.0, f64::max);
    let volts = match situation.far {
        Far::Flows(current) => volts.max(current.highest.0 * largest),
        Far::Open | Far::Stands { .. } => volts,
    };
    let size = match measure {
        Measure::LowestPin | Measure::HighestPin | Measure::HighestClamped | Measure::Voltage(_) => volts,
        Measure::LowestShare | Measure::HighestShare => volts / lowest_reference(situation),
        Measure::TopCount => volts / lowest_reference(situation) * situation.converter.full_scale().0,
        Measure::UpperClamp | Measure::LowerClamp | Measure::FedBack(_) => {
            let rs = worst(Measure::SourceResistance, Sense::AtLeast, situation, &situation.resistances);
            rs.map_or(0.0, |rs| if rs.value > 0.0 { volts / rs.value } else { 0.0 })
        }
        // Between two voltages that are one and the same the difference is rounding, and the least resistance drives it.
        Measure::FarCurrent | Measure::SupplyCurrent | Measure::SupplyDrain => {
            let resistances = situation.resistances.iter().map(|band| band.lowest.0).filter(|&r| r > 0.0);
            volts / resistances.fold(f64::INFINITY, f64::min)
        }
        Measure::OwnClamp => {
            let protection = situation.resistances.last().map_or(0.0, |band| band.lowest.0);
            if protection > 0.0 { volts / protection } else { 0.0 }
        }
        // I²·R of an uncertain voltage: 2·I·δV and (δV)²/R.
        Measure::Power(element) => {
            let r = situation.resistances[element].lowest.0;
            2.0 * volts * (value / r).sqrt() + ROUNDING * volts * volts / r
        }
        _ => 0.0,
    };
    size.max(value.abs())
}

fn lowest_reference(situation: &Situation) -> f64 {
    situation.reference.map_or(f64::NAN, |place| situation.sources[place].lowest.0)
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

/// By how much a board lies beyond a bound, as a share of the size of what is measured; 0 if it does not.
fn beyond(measure: Measure, sense: Sense, one: &Situation, bound: f64, from: &Situation) -> f64 {
    let value = value(measure, sense, one);
    let over = match sense {
        Sense::AtMost => value - bound,
        Sense::AtLeast => bound - value,
    };
    // What is not a number is not measured, and what is unlimited cannot be left.
    if over > 0.0 { over / size(measure, from, bound).max(f64::MIN_POSITIVE) } else { 0.0 }
}

/// Throws boards out of the box of a situation, half of them anywhere, half along its edges, and describes the first
/// that leaves the worst case.
fn escape(situation: &Situation, dice: &mut Dice, boards: usize) -> Option<String> {
    let bounds: Vec<_> = measures(situation)
        .into_iter()
        .filter_map(|(m, s)| Some((m, s, worst(m, s, situation, &situation.resistances)?.value)))
        .collect();
    let (voltages, resistances) = (situation.sources.len(), situation.elements.len());
    for board in 0..boards {
        let shares = if board % 2 == 0 { Dice::shares } else { Dice::edge };
        let shares = shares(dice, voltages + resistances);
        let one = at_shares(situation, &shares[..voltages], &shares[voltages..]);
        for &(measure, sense, bound) in &bounds {
            let over = beyond(measure, sense, &one, bound, situation);
            if over > ROUNDING {
                return Some(format!(
                    "{measure:?} {sense:?} beyond {bound:e} by {over:e}: {}",
                    brief(&one, situation)
                ));
            }
        }
    }
    None
}

/// A situation in a few lines.
fn brief(one: &Situation, from: &Situation) -> String {
    let bands = |pairs: &mut dyn Iterator<Item = (f64, f64, f64)>| {
        pairs.map(|(at, low, high)| format!("{at} of {low}..{high}")).collect::<Vec<_>>().join(", ")
    };
    let volts = one.sources.iter().zip(&from.sources).map(|(at, b)| (at.lowest.0, b.lowest.0, b.highest.0));
    let ohms =
        one.resistances.iter().zip(&from.resistances).map(|(at, b)| (at.lowest.0, b.lowest.0, b.highest.0));
    format!(
        "{:?}\nvolts: {}\nohms: {}\n{:?}\nfar {:?}, clamp {:?} over {}, leakage {:?}",
        from.case,
        bands(&mut { volts }),
        bands(&mut { ohms }),
        from.elements,
        from.far,
        from.converter.clamp,
        from.clamp_rail,
        from.leakage
    )
}

#[test]
fn no_board_leaves_the_worst_case() {
    let mut dice = Dice::new(1);
    for _ in 0..300 {
        let board = dice.board();
        for situation in some_situations(&board, &mut dice) {
            assert_eq!(escape(&situation, &mut dice, 1_000), None);
        }
    }
}

/// A clamp that conducts keeps the directions: the far voltage is put so that the clamp starts to conduct somewhere
/// inside the box.
#[test]
fn no_board_leaves_the_worst_case_where_a_clamp_starts_to_conduct() {
    let mut dice = Dice::new(2);
    let mut tried = 0;
    for round in 0..3_000 {
        dice.decades = if round % 2 == 0 { (0.0, 6.0) } else { (2.0, 4.5) };
        let board = dice.board();
        for situation in some_situations(&board, &mut dice) {
            if let Some(situation) = at_onset(situation, &mut dice) {
                tried += 1;
                assert_eq!(escape(&situation, &mut dice, 300), None);
            }
        }
    }
    assert!(tried > 3_000, "{tried}");
}

/// The situation with the far voltage moved so that for some board in the box the pin just meets a clamp.
fn at_onset(mut situation: Situation, dice: &mut Dice) -> Option<Situation> {
    let Far::Stands { source, .. } = situation.far else { return None };
    if situation.reference == Some(source) || situation.clamp_rail == source {
        // The rail that a sender hangs on is what it is.
        return None;
    }
    let (volts, ohms) = (dice.shares(situation.sources.len()), dice.shares(situation.elements.len()));
    let mut one = at_shares(&situation, &volts, &ohms);
    let mut pin = |far: f64| {
        one.sources[source] = Band::exactly(Volts(far));
        let corner = Corner::at(&one, &one.resistances, Ends::default());
        (corner.pin().emf().0, corner.window())
    };
    let ((at_0, window), (at_1, _)) = (pin(0.0), pin(1.0));
    let bound = if dice.chance(0.7) { window.highest } else { window.lowest };
    let far = (bound.0 - at_0) / (at_1 - at_0);
    if !far.is_finite() || far.abs() > 1e3 {
        return None;
    }
    let width = dice.uniform(0.0, 0.2) * far.abs();
    // A sensor that a rail feeds stays between ground and that rail.
    if let Far::Stands { scaled_by: Some((_, nominal)), .. } = situation.far
        && !(far >= width && far + width <= nominal.0)
    {
        return None;
    }
    situation.sources[source] = Band { lowest: Volts(far - width), highest: Volts(far + width) };
    Some(situation)
}

/// Every corner one by one, with a loop of its own.
fn corners(situation: &Situation) -> Vec<Situation> {
    let voltages = situation.sources.len();
    let wide: Vec<usize> = (0..voltages + situation.elements.len())
        .filter(|&k| match k.checked_sub(voltages) {
            None => !situation.sources[k].is_single(),
            Some(k) => !situation.resistances[k].is_single(),
        })
        .collect();
    let is_wide = matches!(situation.far, Far::Flows(band) if !band.is_single());
    let wide = [wide, is_wide.then_some(0).into_iter().collect()].concat();
    let corner = |bits: usize| {
        let mut shares = vec![0.0; voltages + situation.elements.len()];
        for (bit, &k) in wide.iter().enumerate() {
            shares[k] = f64::from(u8::from(bits >> bit & 1 == 1));
        }
        at_shares(situation, &shares[..voltages], &shares[voltages..])
    };
    (0..1 << wide.len()).map(corner).collect()
}

fn is_scaled(situation: &Situation) -> bool {
    matches!(situation.far, Far::Stands { scaled_by: Some(_), .. })
}

/// A rail that feeds a sensor at the far end and drives the node as well moves a current from both sides: between its ends,
/// at every corner of the rest.
#[test]
fn no_board_leaves_the_worst_case_of_a_sensor_that_a_rail_scales() {
    const STEPS: usize = 8;
    let mut dice = Dice::new(101);
    let mut tried = 0;
    while tried < 150 {
        let board = dice.board();
        for situation in some_situations(&board, &mut dice) {
            let Far::Stands { scaled_by: Some((rail, _)), .. } = situation.far else { continue };
            let Some(situation) = at_onset(situation, &mut dice) else { continue };
            tried += 1;
            let bounds = measures(&situation).into_iter().filter_map(|(measure, sense)| {
                let bound = worst(measure, sense, &situation, &situation.resistances)?.value;
                Some((measure, sense, bound, size(measure, &situation, bound).max(f64::MIN_POSITIVE)))
            });
            let bounds: Vec<_> = bounds.collect();
            let band = situation.sources[rail];
            for mut one in
                corners(&situation).into_iter().filter(|one| one.sources[rail].lowest == band.lowest)
            {
                for step in 1..STEPS {
                    let share = step as f64 / STEPS as f64;
                    one.sources[rail] = Band::exactly(band.lowest + (band.highest - band.lowest) * share);
                    for &(measure, sense, bound, size) in &bounds {
                        let value = value(measure, sense, &one);
                        let over = if sense == Sense::AtMost { value - bound } else { bound - value };
                        let is_inside = over.is_nan() || over <= ROUNDING * size;
                        assert!(
                            is_inside,
                            "{measure:?}: {value:e} beyond {bound:e}: {}",
                            brief(&one, &situation)
                        );
                    }
                }
            }
        }
    }
}

fn lets_supply_in(situation: &Situation) -> bool {
    situation.place_of(Of::Wet).is_some_and(|place| situation.elements[place].fed_by == FedBy::Supply)
}

#[test]
fn some_board_reaches_the_worst_case() {
    let mut dice = Dice::new(3);
    for _ in 0..200 {
        let board = dice.board();
        for situation in some_situations(&board, &mut dice) {
            let corners = corners(&situation);
            for (measure, sense) in measures(&situation) {
                let found =
                    worst(measure, sense, &situation, &situation.resistances).map(|extreme| extreme.value);
                let all =
                    corners.iter().map(|one| value(measure, sense, one)).filter(|value| !value.is_nan());
                let reached = match sense {
                    Sense::AtMost => all.reduce(f64::max),
                    Sense::AtLeast => all.reduce(f64::min),
                };
                let inside = match (measure, sense) {
                    // The peak may be between the corners, and so may the place where a current turns round.
                    (Measure::Power(_), _) => reached <= found,
                    // Where supply comes in at two nodes, the sum of what each takes by itself may be given.
                    (Measure::SupplyCurrent | Measure::SupplyDrain, _) if lets_supply_in(&situation) => {
                        reached <= found
                    }
                    // A rail that scales a sensor may carry most where a clamp begins to conduct.
                    _ if is_scaled(&situation) => {
                        !found.zip(reached).is_some_and(|(a, b)| sense.is_worse(b, a))
                    }
                    (Measure::FarCurrent, Sense::AtLeast) => found == Some(0.0) || found == reached,
                    _ => found == reached,
                };
                assert!(inside, "{measure:?} {sense:?}: found {found:?}, reached {reached:?}");
            }
        }
    }
}

#[test]
fn no_board_leaves_its_bands() {
    let mut dice = Dice::new(4);
    let mut tried = 0;
    for _ in 0..300 {
        let board = dice.board();
        let converter = &board.converter;
        for situation in some_situations(&board, &mut dice) {
            let Some(volts) = pin_band(&situation, &situation.resistances) else { continue };
            let counts = count_band(&situation, &situation.resistances);
            assert_eq!(counts.is_some(), situation.reference.is_some());
            tried += 1;
            for _ in 0..1_000 {
                let one = at_shares(
                    &situation,
                    &dice.shares(situation.sources.len()),
                    &dice.shares(situation.elements.len()),
                );
                let corner = Corner::at(&one, &one.resistances, Ends::default());
                let mut either = |error: f64| error * (2.0 * dice.shares(1)[0] - 1.0);
                let pin = corner.pin_voltage(Amperes(either(situation.leakage.0)));
                let slack = ROUNDING * size(Measure::HighestPin, &situation, 0.0);
                assert!(
                    volts.lowest.0 - slack <= pin.0 && pin.0 <= volts.highest.0 + slack,
                    "{pin:?} {volts:?}"
                );
                if let (Some(counts), Some(reference)) = (counts, corner.reference()) {
                    let exact = converter.count(pin, reference, Fraction(either(converter.gain.0)));
                    let errors = [converter.offset, converter.inl, converter.noise];
                    let count = exact.0 + errors.into_iter().map(|error| either(error.0)).sum::<f64>();
                    let slack = ROUNDING * size(Measure::TopCount, &situation, 0.0);
                    let inside = counts.lowest.0 - slack <= count && count <= counts.highest.0 + slack;
                    assert!(inside, "{count} {counts:?}");
                }
            }
        }
    }
    assert!(tried > 500, "{tried}");
}

/// 1 where the counts rise from the first to the last end at nominal values, else −1.
fn direction(board: &Board) -> f64 {
    let input = &board.inputs[0];
    let ends = match &input.drive {
        Drive::Sender(sender) => (sender.curve.first().1.0, sender.curve.last().1.0),
        Drive::Signal(signal) => (signal.curve.first().1.0, signal.curve.last().1.0),
        Drive::Current(transmitter) => (transmitter.curve.first().1.0, transmitter.curve.last().1.0),
    };
    let falls = input.circuit == Circuit::PullDown;
    if (ends.1 > ends.0) == falls { -1.0 } else { 1.0 }
}

#[test]
fn no_board_has_less_than_the_least_span() {
    let mut dice = Dice::new(5);
    let (mut some, mut none) = (0, 0);
    for round in 0..1_000 {
        dice.decades = if round % 2 == 0 { (0.0, 6.0) } else { (2.0, 4.5) };
        let board = dice.board();
        let [first, last] = both_ends(&board);
        let sign = direction(&board);
        let least = least_span(&first, &last, [&first.resistances, &last.resistances], sign).span.0 * sign;
        if least > 0.0 {
            some += 1;
        } else {
            none += 1;
        }
        let full_scale = board.converter.full_scale().0;
        for _ in 0..1_000 {
            let volts = dice.shares(first.sources.len());
            let ohms = dice.shares(first.elements.len());
            let [a, b] = [&first, &last].map(|end| at_shares(end, &volts, &ohms));
            let [a, b] = [&a, &b].map(|end| Corner::at(end, &end.resistances, Ends::default()));
            let mut either = |error: f64| error * (2.0 * dice.shares(1)[0] - 1.0);
            let leakage = Amperes(either(first.leakage.0));
            let gain = Fraction(either(board.converter.gain.0));
            let span = span_at(&a, &b, leakage, gain).0 * sign;
            // Where the corners show no span at all, other boards may have less than none.
            assert!(span >= least - ROUNDING * full_scale || least <= 0.0, "{span} {least}");
        }
    }
    assert!(some > 300 && none > 50, "{some} with a span, {none} without");
}
