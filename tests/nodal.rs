//! Every circuit in every case against a general solution of the same circuit as drawn.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use ohmwright::board::{Accuracy, Board, Drive, Feed, RailId, Reference};
use ohmwright::case::Case;
use ohmwright::circuit::{
    Far, Of, Outlook, Place, Situation, SoftFault, Values, cases_of, situations_of, with_soft_fault,
};
use ohmwright::quantity::{Amperes, Band, Celsius, Fraction};
use ohmwright::worst::{Corner, Ends, Measure, Sense, greatest};
use support::dice::Dice;
use support::drawing::{self, Drawing, circumstances, draw};
use support::network::{GROUND, Network, Solution};

/// Both ways calculate with 53 bits in some twenty steps of 1.1e-16 each, and neither takes the difference of what is
/// almost equal, measured by the largest voltage: that makes some 2e-15. Fifty times that is granted.
const CLOSE: f64 = 1e-13;

/// One corner of a situation and its drawing, solved with one leakage.
struct Pair<'a> {
    corner: &'a Corner<'a>,
    drawing: &'a Drawing,
    leakage: f64,
    solution: Solution,
    /// What flows into the upper clamp, negative out of the lower.
    clamp_current: f64,
}

impl<'a> Pair<'a> {
    /// Solves with the pin open; where that leaves the window, the clamp holds the pin instead. `None`: the clamp would
    /// have to hold a stiff voltage.
    /// With the leakage of the pin and of an external clamp in this direction.
    fn new(corner: &'a Corner<'a>, drawing: &'a Drawing, own: f64, direction: f64) -> Option<Self> {
        let leakage = direction * (own + drawing.clamp_leakage);
        let mut leaking = drawing.network.clone();
        leaking.push(drawing.clamped, direction * drawing.clamp_leakage);
        let open = leaking.solve(drawing.pin, direction * own);
        let (lowest, highest) = drawing.window;
        let volts = open.volts[drawing.clamped];
        let held = volts.clamp(lowest, highest);
        if held == volts {
            return Some(Self { corner, drawing, leakage, solution: open, clamp_current: 0.0 });
        }
        if source_resistance(&drawing.network, drawing.clamped) == 0.0 {
            return None;
        }
        let mut network = drawing.network.clone();
        let clamp = network.voltage(GROUND, drawing.clamped, held);
        // Nothing leaks into the node that is held; into a pin behind it the pin's own leakage still flows.
        let solution =
            network.solve(drawing.pin, if drawing.clamped == drawing.pin { 0.0 } else { direction * own });
        let clamp_current = -solution.amperes[clamp];
        Some(Self { corner, drawing, leakage, solution, clamp_current })
    }

    fn largest_voltage(&self) -> f64 {
        largest(&self.solution.volts)
    }

    /// The current of an element and the resistance of its branches. An open wire carries nothing.
    fn element(&self, of: Of) -> (f64, f64) {
        let (_, branches) = self.drawing.elements.iter().find(|(known, _)| *known == of).expect("drawn");
        let ohms = branches
            .iter()
            .map(|&branch| self.drawing.network.branches[branch].ohms)
            .fold(0.0, |sum, r| sum + r);
        (branches.first().map_or(0.0, |&branch| self.solution.amperes[branch]), ohms)
    }

    /// How far apart two currents in a resistance may be: what the uncertainty of a voltage drives through it, but
    /// never much against the largest current.
    fn current_slack(&self, ohms: f64) -> f64 {
        let currents = largest(&self.solution.amperes).max(self.leakage.abs());
        let driven = (CLOSE * self.largest_voltage() / ohms).min(10.0 * CLOSE * currents);
        // A gauge may be fed by the same voltage as the pull-up: what flows is small, but the voltages are not.
        let driven = driven.max(4.0 * f64::EPSILON * self.largest_voltage() / ohms.max(1.0));
        // The current of a transmitter is rounded by itself, whatever the voltage.
        driven.max(4.0 * f64::EPSILON * currents.max(self.balanced()))
    }

    /// Where the wire lies on the rail that a part leads to, too, or moisture leads to where the source stands at 0,
    /// nothing is left of two currents but their rounding: what that voltage drives through the smallest resistance
    /// there is.
    fn balanced(&self) -> f64 {
        let situation = self.corner.situation();
        if situation.case != Case::WireToRail && situation.place_of(Of::Fault).is_none() {
            return 0.0;
        }
        let ohms = self.drawing.network.branches.iter().map(|branch| branch.ohms);
        self.largest_voltage() / ohms.filter(|ohms| *ohms > 0.0).fold(f64::INFINITY, f64::min)
    }

    fn compare(&self) {
        let leakage = Amperes(self.leakage);
        close(
            "pin",
            self.corner.pin_voltage(leakage).0,
            self.solution.volts[self.drawing.pin],
            CLOSE * self.largest_voltage(),
        );
        for (place, element) in self.corner.situation().elements.iter().enumerate() {
            let (amperes, ohms) = self.element(element.of);
            if self.corner.resistance(place).0.is_infinite() {
                // Nothing is drawn there.
                assert_eq!((self.corner.current(place, leakage).0, amperes), (0.0, 0.0));
                assert_eq!(self.corner.power(place, leakage).0, 0.0);
                continue;
            }
            let slack = self.current_slack(ohms);
            close(
                &format!("resistance of {:?}", element.of),
                self.corner.resistance(place).0,
                ohms,
                CLOSE * ohms,
            );
            close(
                &format!("current of {:?}", element.of),
                self.corner.current(place, leakage).0,
                amperes,
                slack,
            );
            let watts = amperes * ohms * amperes;
            let slack = 2.0 * slack * (amperes.abs() + slack) * ohms + CLOSE * watts;
            close(
                &format!("dissipation of {:?}", element.of),
                self.corner.power(place, leakage).0,
                watts,
                slack,
            );
        }
        if self.leakage == 0.0 {
            let slack = self.current_slack(source_resistance(&self.drawing.network, self.drawing.clamped));
            close("upper clamp", self.corner.upper_clamp_current().0, self.clamp_current.max(0.0), slack);
            close("lower clamp", self.corner.lower_clamp_current().0, (-self.clamp_current).max(0.0), slack);
        }
    }
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |most, value| value.abs().max(most))
}

fn source_resistance(network: &Network, pin: usize) -> f64 {
    network.without_voltages().solve(pin, 1.0).volts[pin]
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, slack: f64) {
    assert!(
        (found - expected).abs() <= slack,
        "{what}: chain {found:e}, nodes {expected:e}, slack {slack:e}"
    );
}

/// How often each state of the pin came up: a comparison that never happens proves nothing.
#[derive(Debug, Default)]
struct Seen {
    floating: usize,
    stiff: usize,
    open: usize,
    upper: usize,
    lower: usize,
    own: usize,
}

/// Compares one corner with its drawing.
fn compare(corner: &Corner, drawing: &Drawing, seen: &mut Seen) {
    if !drawing.network.holds(drawing.pin) {
        seen.floating += 1;
        assert!(corner.pin().is_floating());
        assert!(corner.pin_voltage(Amperes(0.0)).0.is_nan());
        for element in 0..corner.situation().elements.len() {
            assert_eq!(corner.current(element, Amperes(0.0)).0, 0.0);
        }
        return;
    }
    assert!(!corner.pin().is_floating());
    let rs = source_resistance(&drawing.network, drawing.pin);
    close("source resistance", corner.pin().resistance().0, rs, CLOSE * rs);
    close("window, lower end", corner.window().lowest.0, drawing.window.0, 0.0);
    close("window, upper end", corner.window().highest.0, drawing.window.1, CLOSE * drawing.window.1);
    match (corner.reference(), drawing.reference) {
        (None, None) => {}
        (Some(found), Some(expected)) => close("reference", found.0, expected, CLOSE * expected),
        other => panic!("reference: {other:?}"),
    }
    let own = corner.situation().converter.leakage.0;
    let both = corner.situation().leakage.0;
    close("leakage", both, own + drawing.clamp_leakage, CLOSE * both);
    let pairs: Vec<_> = [0.0, -1.0, 1.0]
        .into_iter()
        .filter_map(|direction| Pair::new(corner, drawing, own, direction))
        .collect();
    own_clamp(corner, drawing, seen);
    for pair in &pairs {
        pair.compare();
    }
    if let [open, down, up] = &pairs[..] {
        compare_measures(corner, open, down, up);
        match open.clamp_current {
            0.0 => seen.open += 1,
            current if current > 0.0 => seen.upper += 1,
            _ => seen.lower += 1,
        }
    } else {
        seen.stiff += 1;
        let stiff = corner.upper_clamp_current().0 + corner.lower_clamp_current().0;
        assert_eq!(stiff, f64::INFINITY, "nothing limits the current into the pin");
    }
}

/// The pin's own clamp behind an external one, without leakage: it holds the pin, and the external clamp the node in front
/// if that still goes beyond it.
fn own_clamp(corner: &Corner, drawing: &Drawing, seen: &mut Seen) {
    let found = corner.own_clamp_current().0;
    let Some((bound, protection)) = drawing.own else {
        assert_eq!(found, 0.0);
        return;
    };
    let open = drawing.network.solve(GROUND, 0.0);
    let (_, branches) = drawing.elements.iter().find(|(of, _)| *of == protection).expect("drawn");
    let ohms = drawing.network.branches[branches[0]].ohms;
    // A link of 0 Ω is no protection: both clamps would hold one node.
    if open.volts[drawing.pin] <= bound || drawing.window.1 <= bound || ohms == 0.0 {
        assert!(found == 0.0 || ohms == 0.0);
        return;
    }
    let mut network = drawing.network.clone();
    network.voltage(GROUND, drawing.pin, bound);
    let alone = network.solve(GROUND, 0.0);
    let solution = if alone.volts[drawing.clamped] > drawing.window.1
        && source_resistance(&drawing.network, drawing.clamped) > 0.0
    {
        network.voltage(GROUND, drawing.clamped, drawing.window.1);
        network.solve(GROUND, 0.0)
    } else {
        alone
    };
    let expected = solution.amperes[branches[0]];
    let stiff = source_resistance(&drawing.network, drawing.clamped) == 0.0;
    seen.own += 1;
    if stiff {
        // What holds the node passes the external clamp by; the bound is that of the external clamp all the same.
        assert!(found <= expected * (1.0 + CLOSE));
    } else {
        close("own clamp", found, expected, CLOSE * largest(&solution.volts) / ohms);
    }
}

/// What limits look at, with the worse of the two signs of the leakage.
fn compare_measures(corner: &Corner, open: &Pair, down: &Pair, up: &Pair) {
    let pairs = [down, up];
    let greatest = |of: &dyn Fn(&Pair) -> f64| pairs.map(of).into_iter().fold(f64::MIN, f64::max);
    let least = |of: &dyn Fn(&Pair) -> f64| pairs.map(of).into_iter().fold(f64::MAX, f64::min);
    let at_most = |measure: Measure| measure.at(corner, Sense::AtMost);
    let slack_of = |ohms: f64| pairs.map(|pair| pair.current_slack(ohms)).into_iter().fold(0.0, f64::max);

    let far = |pair: &Pair| pair.element(Of::Far).0.abs();
    let slack = slack_of(up.element(Of::Far).1);
    close("far current, greatest", at_most(Measure::FarCurrent), greatest(&far), slack);
    close("far current, least", Measure::FarCurrent.at(corner, Sense::AtLeast), least(&far), slack);

    for (place, element) in corner.situation().elements.iter().enumerate() {
        if corner.resistance(place).0.is_infinite() {
            continue;
        }
        let volts = |pair: &Pair| {
            let (amperes, ohms) = pair.element(element.of);
            (amperes * ohms).abs()
        };
        let ohms = up.element(element.of).1;
        close("voltage of a part", at_most(Measure::Voltage(place)), greatest(&volts), slack_of(ohms) * ohms);
    }

    let drawing = up.drawing;
    let out = |pair: &Pair, of: Of| pair.element(of).0.max(0.0);
    let sum = |pair: &Pair, fed: &[Of]| fed.iter().map(|&of| out(pair, of)).sum::<f64>();
    let drain = |pair: &Pair| sum(pair, &drawing.from_supply);
    let drawn = |pair: &Pair| drain(pair) + sum(pair, &drawing.from_rails);
    let slack = slack_of(0.0);
    close("supply drain", at_most(Measure::SupplyDrain), greatest(&drain), slack);
    close("supply current", at_most(Measure::SupplyCurrent), greatest(&drawn), slack);

    for rail in [RailId(0), RailId(1)] {
        let back = |pair: &Pair| {
            let parts = drawing.fed.iter().filter(|(known, _)| *known == rail);
            let parts = parts.map(|&(_, of)| (-pair.element(of).0).max(0.0)).sum::<f64>();
            let situation = corner.situation();
            let clamp = if situation.clamp_leads_to(rail) {
                open.clamp_current.max(0.0)
            } else if situation.own_clamp_leads_to(rail) {
                // What the pin's own clamp takes behind an external one is compared by itself.
                corner.own_clamp_current().0
            } else {
                0.0
            };
            let sender = drawing.chafed.iter().filter(|(known, _)| *known == rail);
            parts + clamp + sender.map(|(_, amperes)| amperes).sum::<f64>()
        };
        let (found, expected) = (at_most(Measure::FedBack(rail)), greatest(&back));
        // A sender of 0 Ω feeds back without limit.
        let slack = if expected.is_infinite() { 0.0 } else { slack_of(0.0).max(CLOSE * expected) };
        assert!(found == expected || (found - expected).abs() <= slack, "fed back: {found:e}, {expected:e}");
    }

    if let Far::Flows(_) = corner.situation().far {
        // The other end of the wire.
        let plug = |pair: &Pair| {
            let (_, branches) = drawing.elements.iter().find(|(of, _)| *of == Of::Far).expect("drawn");
            pair.solution.volts[drawing.network.branches[branches[0]].from]
        };
        let slack = CLOSE * up.largest_voltage().max(down.largest_voltage());
        close("voltage of the transmitter", at_most(Measure::FarVoltage), greatest(&plug), slack);
    }
    if corner.situation().case == Case::Normal && corner.situation().place_of(Of::Fault).is_none() {
        let (network, plug) = drawing.seen_from_far.as_ref().expect("the wire is sound");
        let seen = if network.holds(*plug) { source_resistance(network, *plug) } else { f64::INFINITY };
        let found = at_most(Measure::InputResistance);
        assert!(
            found == seen || (found - seen).abs() <= CLOSE * seen,
            "input resistance: {found:e}, {seen:e}"
        );
    }
}

/// Every situation of a board at some random corners.
fn every_case(board: &Board, dice: &mut Dice, seen: &mut Seen) {
    let input = &board.inputs[0];
    let values = Values::given(input);
    let mut existing = Vec::new();
    for case in Case::ALL {
        let states = circumstances(board, case);
        let situations = situations_of(board, input, &values, case, Outlook::Life, Place::Range);
        assert_eq!(situations.len(), states.len(), "{case:?}");
        if !states.is_empty() {
            existing.push(case);
        }
        for (situation, state) in situations.iter().zip(states) {
            for ends in [Ends::default(), Ends::ALL_HIGH, random_ends(situation, dice)] {
                let corner = Corner::at(situation, &situation.resistances, ends);
                compare(&corner, &draw(board, state, situation, ends), seen);
            }
        }
    }
    assert_eq!(cases_of(board, input), existing);
}

/// A random corner: the one at which a random mixture of the parameters is greatest.
fn random_ends(situation: &Situation, dice: &mut Dice) -> Ends {
    let weights: Vec<f64> = (0..32).map(|_| dice.uniform(-1.0, 1.0)).collect();
    let mixture = |corner: &Corner| {
        let high = |is_high: bool, weight: usize| if is_high { weights[weight] } else { 0.0 };
        let ohms = (0..situation.elements.len()).map(|k| high(corner.ends().resistance_is_high(k), k));
        let volts = (0..situation.sources.len()).map(|k| high(corner.ends().source_is_high(k), 16 + k));
        let current = high(corner.ends().current_is_high(), 31);
        ohms.chain(volts).sum::<f64>() + current
    };
    greatest(situation, &situation.resistances, mixture).expect("a mixture is a number").ends
}

#[test]
fn random_circuits_in_every_case() {
    let mut dice = Dice::new(0x6f68_6d73);
    let mut seen = Seen::default();
    for _ in 0..6_000 {
        let board = dice.board();
        every_case(&board, &mut dice, &mut seen);
    }
    let Seen { floating, stiff, open, upper, lower, own } = seen;
    assert!(own > 1_000, "{seen:?}");
    assert!([floating, stiff].into_iter().all(|count| count > 1_000), "{seen:?}");
    assert!([open, upper, lower].into_iter().all(|count| count > 10_000), "{seen:?}");
}

/// The same board without any error: its life is its nominal self.
fn exact(mut board: Board) -> Board {
    board.supply.swing = Band::exactly(board.supply.usual);
    board.ambient = Band::exactly(Celsius(25.0));
    board.converter.leakage = Amperes(0.0);
    if let Reference::Own { tolerance, .. } = &mut board.converter.reference {
        *tolerance = Fraction(0.0);
    }
    for rail in &mut board.rails {
        rail.tolerance = Fraction(0.0);
    }
    let input = &mut board.inputs[0];
    input.wire = Band::exactly(input.wire.highest);
    input.ground_shift = Band::exactly(input.ground_shift.highest);
    input.wet = None;
    if let Some(clamp) = &mut input.clamp {
        (clamp.tolerance, clamp.leakage) = (Fraction(0.0), Amperes(0.0));
    }
    if let Some(gauge) = &mut input.gauge {
        gauge.tolerance = Fraction(0.0);
        if let Feed::Stabiliser { tolerance, pulsed, .. } = &mut gauge.from {
            (*tolerance, *pulsed) = (Fraction(0.0), false);
        }
    }
    if let Some(existing) = &mut input.existing {
        existing.tolerance = Fraction(0.0);
    }
    for part in &mut input.parts {
        (part.grade.tolerance, part.grade.ageing) = (Fraction(0.0), Fraction(0.0));
    }
    if let Drive::Sender(sender) = &mut input.drive {
        (sender.tolerance, sender.accuracy) = (Fraction(0.0), Accuracy::NONE);
    }
    board
}

#[test]
fn random_circuits_with_soft_faults() {
    let mut dice = Dice::new(0x736f_6674);
    let mut seen = Seen::default();
    let mut longest = 0;
    for _ in 0..3_000 {
        let board = exact(dice.board());
        let input = &board.inputs[0];
        let values = Values::given(input);
        for &fault in SoftFault::of(input) {
            let situation = with_soft_fault(&board, input, &values, fault, Place::Range);
            longest = longest.max(situation.elements.len());
            for ends in [Ends::default(), Ends::ALL_HIGH] {
                let corner = Corner::at(&situation, &situation.resistances, ends);
                compare(&corner, &draw(&board, drawing::with_soft_fault(fault), &situation, ends), &mut seen);
            }
        }
    }
    assert!(longest >= 10, "the longest chains there are: {longest}");
    assert!(seen.open > 3_000 && seen.upper > 1_000 && seen.lower > 100, "{seen:?}");
}
