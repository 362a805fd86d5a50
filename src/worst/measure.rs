//! What limits look at.

use super::corner::{Corner, Extreme, greatest, least};
use super::onset::worst_at_onset;
use super::tracking::{self, Groups};
use crate::board::RailId;
use crate::circuit::{FedBy, Of, Situation};
use crate::quantity::{Amperes, Band, Counts, Farads, Fraction, Ohms, Volts};

/// A quantity of one board in one situation, monotone in each parameter but for [`Measure::Power`] and
/// [`Measure::SenderPower`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// The highest count before truncation, in counts. As for all of the pin's range, no clamp conducts: a range that needs
    /// one is not in the range.
    TopCount,
    /// Pin voltage over reference with the leakage of the least, a share.
    LowestShare,
    /// Pin voltage over reference with the leakage of the greatest, a share.
    HighestShare,
    /// The lowest pin voltage, in volts.
    LowestPin,
    /// The highest pin voltage, in volts.
    HighestPin,
    /// The current into the upper clamp, in amperes.
    UpperClamp,
    /// The current out of the lower clamp, in amperes.
    LowerClamp,
    /// The current into the pin's own upper clamp behind an external one, in amperes.
    OwnClamp,
    /// The highest voltage of the node that is clamped, in volts.
    HighestClamped,
    /// The dissipation of an element, in watts.
    Power(usize),
    /// The dissipation of the sender without its wire, in watts.
    SenderPower,
    /// The voltage across an element, in volts.
    Voltage(usize),
    /// The source resistance at the pin, in ohms.
    SourceResistance,
    /// The time that a sample needs to settle, in seconds.
    SettlingTime {
        /// What may be missing.
        settles_to: Counts,
    },
    /// What is missing in a sample with a capacitor at the pin, in counts.
    Missing {
        /// The capacitor.
        capacitor: Farads,
    },
    /// The source resistance times a capacitor at the pin, in seconds.
    TimeConstant {
        /// The capacitor.
        capacitor: Farads,
    },
    /// What the leakage does to the count, in counts.
    LeakageError,
    /// The magnitude of the current through the sender or out of the source, in amperes.
    FarCurrent,
    /// What the input draws from the vehicle's supply and the rails, in amperes.
    SupplyCurrent,
    /// What the input draws from the vehicle's supply alone, in amperes.
    SupplyDrain,
    /// The resistance that the far end sees, in ohms.
    InputResistance,
    /// The voltage against which a transmitter drives its current, in volts.
    FarVoltage,
    /// What flows back into a rail, through the parts that it feeds and through the clamp, in amperes.
    FedBack(RailId),
}

/// Which side of its bound a quantity has to stay on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// It may be as large as its bound.
    AtMost,
    /// It may be as small as its bound.
    AtLeast,
}

impl Sense {
    /// Whether a value respects the bound; equality is granted to a part in 1e9.
    pub fn holds(self, value: f64, bound: f64) -> bool {
        let slack = 1e-9 * bound.abs();
        match self {
            Self::AtMost => value <= bound + slack,
            Self::AtLeast => value >= bound - slack,
        }
    }

    /// How much is left, negative if the bound is broken.
    pub fn margin(self, value: f64, bound: f64) -> f64 {
        match self {
            Self::AtMost => bound - value,
            Self::AtLeast => value - bound,
        }
    }

    /// Whether `a` is worse than `b`.
    pub fn is_worse(self, a: f64, b: f64) -> bool {
        match self {
            Self::AtMost => a > b,
            Self::AtLeast => a < b,
        }
    }
}

/// The leakages with which a measure may be worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaks {
    /// Out of the pin.
    Down,
    /// Into the pin, or it plays no part.
    Up,
    /// Either way.
    Both,
}

impl Measure {
    /// The quantity at one corner, with the worst leakage, in its SI unit.
    pub fn at(self, corner: &Corner, sense: Sense) -> f64 {
        let leakage = corner.situation().leakage;
        match self.leaks() {
            Leaks::Down => self.with(corner, -leakage),
            Leaks::Up => self.with(corner, leakage),
            Leaks::Both => worst_leakage(leakage, sense, |leakage| self.with(corner, leakage)),
        }
    }

    pub(super) const fn leaks(self) -> Leaks {
        match self {
            Self::LowestShare | Self::LowestPin => Leaks::Down,
            Self::Power(_)
            | Self::SenderPower
            | Self::Voltage(_)
            | Self::FarCurrent
            | Self::SupplyCurrent
            | Self::SupplyDrain
            | Self::FarVoltage
            | Self::FedBack(_) => Leaks::Both,
            Self::TopCount
            | Self::HighestShare
            | Self::HighestPin
            | Self::UpperClamp
            | Self::LowerClamp
            | Self::OwnClamp
            | Self::HighestClamped
            | Self::SourceResistance
            | Self::SettlingTime { .. }
            | Self::Missing { .. }
            | Self::TimeConstant { .. }
            | Self::LeakageError
            | Self::InputResistance => Leaks::Up,
        }
    }

    /// The quantity at one corner with one leakage.
    pub(super) fn with(self, corner: &Corner, leakage: Amperes) -> f64 {
        let converter = &corner.situation().converter;
        let rs = || corner.pin().resistance();
        match self {
            Self::TopCount => {
                let highest = corner.open_pin(leakage);
                let gain = Fraction(converter.gain.0 * highest.0.signum());
                (converter.count(highest, reference(corner), gain) + converter.offset + converter.inl).0
            }
            Self::LowestShare | Self::HighestShare => corner.open_pin(leakage) / reference(corner),
            Self::LowestPin | Self::HighestPin => corner.open_pin(leakage).0,
            Self::UpperClamp => corner.upper_clamp_current().0,
            Self::LowerClamp => corner.lower_clamp_current().0,
            Self::OwnClamp => corner.own_clamp_current().0,
            Self::HighestClamped => corner.clamped_node().pushed_by(leakage).0,
            Self::Power(element) => corner.power(element, leakage).0,
            Self::SenderPower => corner.sender_power(leakage).0,
            Self::Voltage(element) => corner.voltage(element, leakage).0.abs(),
            Self::SourceResistance => rs().0,
            Self::SettlingTime { settles_to } => {
                converter.sampling.settling_time(rs(), converter.full_scale(), settles_to).0
            }
            Self::Missing { capacitor } => {
                converter.sampling.missing(rs(), converter.full_scale(), capacitor).0
            }
            Self::TimeConstant { capacitor } => rs().0 * capacitor.0,
            Self::LeakageError => {
                let moved = leakage * corner.leaking().resistance();
                converter.count(moved, reference(corner), converter.gain).0
            }
            Self::FarCurrent => corner.current(0, leakage).0.abs(),
            Self::SupplyCurrent => drawn(corner, leakage, true).0,
            Self::SupplyDrain => drawn(corner, leakage, false).0,
            Self::InputResistance => seen_from_far(corner).0,
            Self::FarVoltage => corner.far_voltage(leakage).0,
            Self::FedBack(rail) => fed_back(corner, leakage, rail).0,
        }
    }
}

fn reference(corner: &Corner) -> Volts {
    corner.reference().unwrap_or(Volts(f64::NAN))
}

fn worst_leakage(leakage: Amperes, sense: Sense, of: impl Fn(Amperes) -> f64) -> f64 {
    if leakage.0 == 0.0 {
        return of(leakage);
    }
    let (down, up) = (of(-leakage), of(leakage));
    if sense.is_worse(down, up) { down } else { up }
}

/// What flows out of the vehicle's supply, and out of the rails too if they count.
///
/// What several branches feed is greatest at a corner: with one parameter all currents of a linear network move on a
/// line (one conductance changes the network by a matrix of rank one), so that each is affine in one and the same
/// monotone function of the parameter, and a sum of their positive parts bends upward in it. A clamp that takes hold of the
/// node keeps that, but for a lower one between two nodes that are fed: see [`most_drawn`].
///
/// Among part values it is least at one, too, as long as all branches feed one node (not so between a wet connector and
/// the node, where the bounds of the search take each by itself). What rises or falls there takes all
/// currents along but that of the branch whose own part it is; that branch does not turn its own current round, and as
/// long as it flows in, what the branches feed in together is what the others and the rest of the circuit take, which
/// follows the node.
fn drawn(corner: &Corner, leakage: Amperes, rails_count: bool) -> Amperes {
    let counts = |fed_by: FedBy| match fed_by {
        FedBy::Nothing => false,
        FedBy::Rail(_) => rails_count,
        FedBy::Supply => true,
    };
    let elements = corner.situation().elements.iter().enumerate();
    elements
        .filter(|(_, element)| counts(element.fed_by))
        .map(|(place, _)| corner.current(place, leakage).max(Amperes(0.0)))
        .fold(Amperes(0.0), |sum, current| sum + current)
}

/// What flows back into a rail through the parts that it feeds, through the clamp that leads to it, and through a sender
/// that hangs on it.
///
/// All of these branches lead from the chain to the same voltage, so that what drives the node drives them alike: a
/// parameter elsewhere moves all of them in one direction. A smaller resistance of one of them takes from the others less
/// than it carries itself, since it pulls down the node that feeds the whole; and a higher rail pushes all of them back.
fn fed_back(corner: &Corner, leakage: Amperes, rail: RailId) -> Amperes {
    let situation = corner.situation();
    let fed =
        situation.elements.iter().enumerate().filter(|(_, element)| element.fed_by == FedBy::Rail(rail));
    let parts = fed.map(|(place, _)| (-corner.current(place, leakage)).max(Amperes(0.0)));
    let clamp = if situation.clamp_leads_to(rail) {
        corner.upper_clamp_current()
    } else if situation.own_clamp_leads_to(rail) {
        corner.own_clamp_current()
    } else {
        Amperes(0.0)
    };
    let sender = situation.chafed_sender.filter(|sender| sender.rail == rail);
    let sender = sender.map_or(Amperes(0.0), |sender| corner.current_of(sender).max(Amperes(0.0)));
    parts.fold(clamp + sender, |sum, current| sum + current)
}

/// Walks from the pin to the far end: what the sender or source sees, the wire included.
fn seen_from_far(corner: &Corner) -> Ohms {
    let situation = corner.situation();
    let mut seen = f64::INFINITY;
    for (element, link) in situation.elements.iter().enumerate().skip(1).rev() {
        let r = corner.resistance(element).0;
        seen = match link.bridge_to {
            None => seen + r,
            Some(_) if r.is_infinite() => seen,
            Some(_) if seen.is_infinite() => r,
            Some(_) => seen * r / (seen + r),
        };
    }
    Ohms(seen) + situation.wire.lowest
}

/// The worst value of a measure over the box, exactly, and where.
pub fn worst(
    measure: Measure,
    sense: Sense,
    situation: &Situation,
    resistances: &[Band<Ohms>],
) -> Option<Extreme<f64>> {
    match Groups::of(situation, resistances) {
        Some(groups) => tracking::worst(measure, sense, &groups),
        None => worst_apart(measure, sense, situation, resistances),
    }
}

/// The same with every element off by itself.
pub(crate) fn worst_apart(
    measure: Measure,
    sense: Sense,
    situation: &Situation,
    resistances: &[Band<Ohms>],
) -> Option<Extreme<f64>> {
    let at_corner = worst_at_corners(measure, sense, situation, resistances)?;
    let at_onset = worst_at_onset(measure, sense, situation, resistances);
    Some(at_onset.filter(|onset| sense.is_worse(onset.value, at_corner.value)).unwrap_or(at_corner))
}

fn worst_at_corners(
    measure: Measure,
    sense: Sense,
    situation: &Situation,
    resistances: &[Band<Ohms>],
) -> Option<Extreme<f64>> {
    match (measure, sense) {
        (Measure::Power(element), Sense::AtMost) if !resistances[element].is_single() => {
            greatest_power(element, resistances[element], Ohms(0.0), situation, resistances)
        }
        (Measure::SenderPower, Sense::AtMost) => greatest_power(
            0,
            with_least_wire(situation, resistances),
            situation.wire.lowest,
            situation,
            resistances,
        ),
        (Measure::FarCurrent, Sense::AtLeast) => least_current(situation, resistances),
        (Measure::SupplyCurrent | Measure::SupplyDrain, Sense::AtMost)
            if feeds_two_nodes(situation) && may_be_pulled_down(situation, resistances) =>
        {
            most_drawn(measure == Measure::SupplyCurrent, situation, resistances)
        }
        (_, Sense::AtMost) => greatest(situation, resistances, |corner| measure.at(corner, sense)),
        (_, Sense::AtLeast) => least(situation, resistances, |corner| measure.at(corner, sense)),
    }
}

/// Whether something is fed on both sides of a part: at a wet connector and at the node.
pub(crate) fn feeds_two_nodes(situation: &Situation) -> bool {
    let is_fed = |place: usize| situation.elements[place].fed_by != FedBy::Nothing;
    situation.place_of(Of::Wet).is_some_and(is_fed)
}

/// Whether the lower clamp conducts on some board.
pub(super) fn may_be_pulled_down(situation: &Situation, resistances: &[Band<Ohms>]) -> bool {
    worst_apart(Measure::LowerClamp, Sense::AtMost, situation, resistances)
        .is_some_and(|most| most.value > 0.0)
}

/// What the branches draw at most, each by itself. Of a part between two nodes that are fed the one branch draws more and
/// the other less, and where a lower clamp lets go of the node the sum may be greatest in between: this is on the safe side
/// of it.
fn most_drawn(rails_count: bool, situation: &Situation, resistances: &[Band<Ohms>]) -> Option<Extreme<f64>> {
    let leakage = situation.leakage;
    let of = |corner: &Corner, place: usize| {
        let current = |leakage| corner.current(place, leakage).0.max(0.0);
        current(-leakage).max(current(leakage))
    };
    let fed = (0..situation.elements.len()).filter(|&place| {
        let fed_by = situation.elements[place].fed_by;
        fed_by == FedBy::Supply || rails_count && fed_by != FedBy::Nothing
    });
    let greatest = fed.map(|place| greatest(situation, resistances, |corner| of(corner, place)));
    greatest.flatten().reduce(|a, b| Extreme { value: a.value + b.value, ..a })
}

/// The least magnitude of the current of the far end. The current itself is monotone, so it passes through 0 on its way
/// from a negative corner to a positive one.
fn least_current(situation: &Situation, resistances: &[Band<Ohms>]) -> Option<Extreme<f64>> {
    let leakage = situation.leakage;
    let current =
        |sense| move |corner: &Corner| worst_leakage(leakage, sense, |leakage| corner.current(0, leakage).0);
    let lowest = least(situation, resistances, current(Sense::AtLeast))?;
    let highest = greatest(situation, resistances, current(Sense::AtMost))?;
    if lowest.value <= 0.0 && highest.value >= 0.0 {
        return Some(Extreme { value: 0.0, ends: lowest.ends });
    }
    Some(if lowest.value > 0.0 { lowest } else { Extreme { value: -highest.value, ends: highest.ends } })
}

/// The sender with the least of its wire: wire takes away from the current, so that heats the sender most.
pub(super) fn with_least_wire(situation: &Situation, resistances: &[Band<Ohms>]) -> Band<Ohms> {
    let (far, wire) = (resistances[0], situation.wire);
    Band { lowest: far.lowest, highest: far.highest - wire.highest + wire.lowest }
}

/// The resistance, without wire, at which a sender dissipates most, on the board on which it does.
pub fn hottest_sender(situation: &Situation, resistances: &[Band<Ohms>]) -> Option<Ohms> {
    let (own, wire) = (with_least_wire(situation, resistances), situation.wire.lowest);
    let (bands, ends) = if let Some(groups) = Groups::of(situation, resistances) {
        tracking::hottest(&groups)?
    } else {
        let hottest = worst_apart(Measure::SenderPower, Sense::AtMost, situation, resistances)?;
        (resistances.to_vec(), hottest.ends)
    };
    let corner = Corner::at(situation, &bands, ends);
    let drive = corner.drive_of_far(situation.leakage).behind_also(wire);
    Some(drive.hottest(own.lowest - wire, own.highest - wire))
}

/// The dissipation is not monotone in the part's own value: that is taken at the limits of `own` and at the matching
/// point, at every corner of the rest. The share `lead` of the element stands in front of what is looked at.
fn greatest_power(
    element: usize,
    own: Band<Ohms>,
    lead: Ohms,
    situation: &Situation,
    resistances: &[Band<Ohms>],
) -> Option<Extreme<f64>> {
    let mut rest = resistances.to_vec();
    rest[element] = Band::exactly(own.lowest);
    let leakage = situation.leakage;
    greatest(situation, &rest, |corner| {
        worst_leakage(leakage, Sense::AtMost, |leakage| corner.greatest_power(element, own, lead, leakage).0)
    })
}
