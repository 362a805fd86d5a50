//! What limits look at.

use super::count::look_at;
use super::vertices::{Quotient, Regime, Vertex, at_each_corner, products, sums};
use super::{Groups, Look, Refined, Slice, middle, refine};
use crate::chain::Drive;
use crate::quantity::{Amperes, Band, Ohms};
use crate::worst::corner::{Corner, Ends, Extreme, Hold};
use crate::worst::measure::{
    Leaks, Measure, Sense, feeds_two_nodes, may_be_pulled_down, with_least_wire, worst_apart,
};
use crate::worst::onset::worst_at_onset;

/// The worst value of a measure.
pub(in crate::worst) fn worst(measure: Measure, sense: Sense, groups: &Groups<'_>) -> Option<Extreme<f64>> {
    if (measure, sense) == (Measure::FarCurrent, Sense::AtLeast) {
        return least_current(groups);
    }
    let up = if sense == Sense::AtMost { 1.0 } else { -1.0 };
    let found = found(measure, sense, groups)?;
    Some(Extreme { value: up * found.bound, ends: found.ends })
}

/// The board on which the sender dissipates most: its resistances, the sender's own anywhere, and its ends.
pub(in crate::worst) fn hottest(groups: &Groups<'_>) -> Option<(Vec<Band<Ohms>>, Ends)> {
    let found = found(Measure::SenderPower, Sense::AtMost, groups)?;
    Some((groups.bands(&found.slice), found.ends))
}

fn found(measure: Measure, sense: Sense, groups: &Groups<'_>) -> Option<Refined> {
    let (situation, resistances) = (groups.situation, groups.resistances);
    let up = if sense == Sense::AtMost { 1.0 } else { -1.0 };
    let is_drawn = matches!(measure, Measure::SupplyCurrent | Measure::SupplyDrain) && sense == Sense::AtMost;
    if is_drawn && feeds_two_nodes(situation) && may_be_pulled_down(situation, resistances) {
        return refine(groups, |slice| apart(measure, sense, groups, slice));
    }
    // With every part by itself nothing is less bad.
    let most =
        worst_apart(measure, sense, situation, resistances).map_or(f64::INFINITY, |apart| up * apart.value);
    refine(groups, |slice| {
        let mut look = match (measure, sense) {
            (Measure::Power(element), Sense::AtMost) if !resistances[element].is_single() => {
                if groups.tracked.resistance_is_high(element) {
                    tracked_power(groups, slice, element)
                } else {
                    driven_power(groups, slice, measure, element, resistances[element], Ohms(0.0))
                }
            }
            (Measure::SenderPower, Sense::AtMost) => {
                let own = with_least_wire(situation, resistances);
                driven_power(groups, slice, measure, 0, own, situation.wire.lowest)
            }
            _ => of_leakages(groups, measure, |leakage| {
                look_at(groups, slice, |corner| quotient(measure, sense, corner, leakage, up))
            }),
        };
        add_onset(measure, sense, groups, slice, &mut look);
        Look { bound: look.bound.min(most), ..look }
    })
}

/// The worst of a look with each leakage that matters.
fn of_leakages(groups: &Groups<'_>, measure: Measure, look: impl Fn(Amperes) -> Look) -> Look {
    let leakage = groups.situation.leakage;
    let worse = |a: Look, b: Look| Look {
        bound: a.bound.max(b.bound),
        scale: a.scale.max(b.scale),
        ..if b.attained > a.attained { b } else { a }
    };
    match measure.leaks() {
        Leaks::Down => look(-leakage),
        Leaks::Both if leakage.0 != 0.0 => worse(look(-leakage), look(leakage)),
        Leaks::Up | Leaks::Both => look(leakage),
    }
}

/// A measure as a quotient, or as something convex in quotients with one number below; without a regime where it is
/// neither.
fn quotient(measure: Measure, sense: Sense, corner: &Corner<'_>, leakage: Amperes, up: f64) -> Quotient {
    let [_, d, _] = corner.clamped_node().numbers();
    let most = sense == Sense::AtMost;
    let any = |is_sound: bool, below: f64| (below, is_sound.then_some(Regime::Any));
    let held = |is_sound: bool| {
        let (hold, below) = corner.determinant(leakage);
        (below, is_sound.then_some(Regime::Held(hold)))
    };
    let (below, regime) = match measure {
        Measure::LowestShare
        | Measure::HighestShare
        | Measure::LowestPin
        | Measure::HighestPin
        | Measure::HighestClamped
        | Measure::SourceResistance
        | Measure::SettlingTime { .. }
        | Measure::TimeConstant { .. }
        | Measure::LeakageError => any(true, d),
        // The gain takes away from what is below 0 and adds to what is above; what is missing in a sample rises ever
        // steeper with the source resistance (as the heat of Einstein's oscillator does with its temperature).
        Measure::TopCount | Measure::Missing { .. } => any(most, d),
        Measure::UpperClamp | Measure::LowerClamp => {
            let [_, _, m] = corner.clamped_node().numbers();
            any(most, m)
        }
        Measure::InputResistance => any(true, corner.transfer(true).divisor()[1]),
        Measure::FarVoltage => held(true),
        Measure::Power(_)
        | Measure::Voltage(_)
        | Measure::FarCurrent
        | Measure::SupplyCurrent
        | Measure::SupplyDrain => held(most),
        Measure::FedBack(_) => {
            let clamped = corner.upper_clamp_current().0 > 0.0;
            let is_one = clamped == (corner.determinant(leakage).0 == Hold::Upper);
            held(most && is_one && corner.own_clamp_current().0 == 0.0)
        }
        Measure::OwnClamp | Measure::SenderPower => any(false, d),
    };
    Quotient { value: up * measure.with(corner, leakage), below, regime }
}

/// The least magnitude of the current of the far end, see [`crate::worst::measure`].
fn least_current(groups: &Groups<'_>) -> Option<Extreme<f64>> {
    let end = |up: f64| {
        refine(groups, |slice| {
            of_leakages(groups, Measure::FarCurrent, |leakage| {
                look_at(groups, slice, |corner| {
                    let (hold, below) = corner.determinant(leakage);
                    let value = up * corner.current(0, leakage).0;
                    Quotient { value, below, regime: Some(Regime::Held(hold)) }
                })
            })
        })
    };
    let (lowest, highest) = (end(-1.0)?, end(1.0)?);
    let (low, high) = (-lowest.bound, highest.bound);
    Some(if low > 0.0 {
        Extreme { value: low, ends: lowest.ends }
    } else if high < 0.0 {
        Extreme { value: -high, ends: highest.ends }
    } else {
        Extreme { value: 0.0, ends: lowest.ends }
    })
}

/// Voltage and current of an element at a vertex, and the number below both.
#[derive(Clone, Copy, Debug)]
struct Borne {
    voltage: f64,
    current: f64,
    below: f64,
    hold: Hold,
}

/// The dissipation of a part that tracks others: V·I, a product of two quotients.
fn tracked_power(groups: &Groups<'_>, slice: &Slice, element: usize) -> Look {
    let sizes = groups.sizes();
    of_leakages(groups, Measure::Power(element), |leakage| {
        let see = |corner: &Corner<'_>| {
            let (hold, below) = corner.determinant(leakage);
            let (voltage, current) = (corner.voltage(element, leakage).0, corner.current(element, leakage).0);
            Borne { voltage, current, below, hold }
        };
        let mut look = Look::NOTHING;
        for vertices in at_each_corner(groups, slice, see) {
            look.bind(most_borne(&vertices, &sizes));
            for vertex in &vertices {
                let power = vertex.seen.voltage * vertex.seen.current;
                if power.is_finite() {
                    look.scale = look.scale.max(power.abs());
                }
                if vertex.is_board {
                    look.attain(power, vertex.ends);
                }
            }
        }
        look
    })
}

fn most_borne(vertices: &[Vertex<Borne>], sizes: &[usize]) -> f64 {
    let Some(first) = vertices.first() else { return f64::NEG_INFINITY };
    let is_sound = |b: &Borne| {
        b.hold == first.seen.hold && b.below > 0.0 && b.below.is_finite() && b.current.is_finite()
    };
    let greatest = |of: fn(&Borne) -> f64| vertices.iter().map(|v| of(&v.seen).abs()).fold(0.0, f64::max);
    let apart = greatest(|b| b.voltage) * greatest(|b| b.current);
    if !vertices.iter().all(|vertex| is_sound(&vertex.seen)) {
        return apart;
    }
    let numbers = |b: Borne| [b.voltage * b.below, b.current * b.below, b.below];
    let sums = sums(vertices, sizes.iter().product(), numbers);
    let column = |k: usize| sums.iter().map(|sum| sum[k]).collect::<Vec<_>>();
    let above = products(&column(0), &column(1), sizes);
    let below = products(&column(2), &column(2), sizes);
    let quotients = above.iter().zip(&below).filter(|(_, below)| **below > 0.0);
    quotients.map(|(above, below)| above / below).fold(f64::NEG_INFINITY, f64::max).min(apart)
}

/// What drives an element at a vertex, and what it dissipates at most.
#[derive(Clone, Copy, Debug)]
struct Driven {
    drive: Option<(Hold, Drive)>,
    power: f64,
}

/// The dissipation of what is off by itself, its own value anywhere in `own`: what drives it is a quotient at every such
/// value, so that each level is a drive of its own, with a matching point of its own.
fn driven_power(
    groups: &Groups<'_>,
    slice: &Slice,
    measure: Measure,
    element: usize,
    own: Band<Ohms>,
    lead: Ohms,
) -> Look {
    let levels = groups.sizes().iter().product();
    let mut bands = groups.resistances.to_vec();
    bands[element] = Band::exactly(own.lowest);
    let rest = Groups { resistances: &bands, each: groups.each.clone(), ..*groups };
    of_leakages(groups, measure, |leakage| {
        let see = |corner: &Corner<'_>| Driven {
            drive: corner.drive_over(element, own, leakage),
            power: corner.greatest_power(element, own, lead, leakage).0,
        };
        let mut look = Look::NOTHING;
        for vertices in at_each_corner(&rest, slice, see) {
            look.bind(most_driven(&vertices, levels, own, lead));
            for vertex in vertices.iter().filter(|vertex| vertex.is_board) {
                look.scale = look.scale.max(vertex.seen.power);
                look.attain(vertex.seen.power, vertex.ends);
            }
        }
        look
    })
}

fn most_driven(vertices: &[Vertex<Driven>], levels: usize, own: Band<Ohms>, lead: Ohms) -> f64 {
    let hold = vertices.first().and_then(|vertex| vertex.seen.drive).map(|(hold, _)| hold);
    let mut drives: Vec<Option<Drive>> = vec![None; levels];
    for vertex in vertices {
        match vertex.seen.drive {
            Some((held, drive)) if Some(held) == hold => {
                let sum = &mut drives[vertex.level];
                *sum = Some(sum.map_or(drive, |sum| sum.plus(drive)));
            }
            _ => return vertices.iter().map(|vertex| vertex.seen.power).fold(f64::NEG_INFINITY, f64::max),
        }
    }
    let powers = drives
        .into_iter()
        .flatten()
        .map(|drive| drive.behind_also(lead).greatest_power(own.lowest - lead, own.highest - lead).0);
    powers.fold(f64::NEG_INFINITY, f64::max)
}

/// Boards on which a clamp is about to conduct, where a rail moves a measure from both sides.
fn add_onset(measure: Measure, sense: Sense, groups: &Groups<'_>, slice: &Slice, look: &mut Look) {
    let up = if sense == Sense::AtMost { 1.0 } else { -1.0 };
    let at = |slice: &Slice| worst_at_onset(measure, sense, groups.situation, &groups.bands(slice));
    if let Some(bound) = at(slice) {
        look.bind(up * bound.value);
        if let Some(found) = at(&middle(slice)) {
            look.attain(up * found.value, found.ends);
        }
    }
}

/// Every part of a slice by itself, against the board in the middle.
fn apart(measure: Measure, sense: Sense, groups: &Groups<'_>, slice: &Slice) -> Look {
    let up = if sense == Sense::AtMost { 1.0 } else { -1.0 };
    let at = |slice: &Slice| worst_apart(measure, sense, groups.situation, &groups.bands(slice));
    let mut look = Look::NOTHING;
    if let Some(bound) = at(slice) {
        look.bind(up * bound.value);
        look.scale = bound.value.abs();
    }
    if let Some(found) = at(&middle(slice)) {
        look.attain(up * found.value, found.ends);
    }
    look
}
