//! What a board between two points of the grid may add to the extreme on the grid.
//!
//! **Between points.** A function of several variables is at most Σ h²/2·M above its greatest value at the corners of a box,
//! where h is half the width of the box in one variable and −M the least second derivative by it (the error of linear
//! interpolation, one variable after the other). The variables are the logarithms of what stays as it is on a board.
//!
//! **Second derivatives.** Every product of the chain has each resistance once at most and no minus sign but that of a
//! voltage. So the pin is a sum of terms v = e·P/Q, one for each voltage, with P and Q sums of such products, and with
//! u = ln R, s_P and s_Q shares between 0 and 1: ∂ln v/∂u = s_P − s_Q, and ∂s/∂u = s·(1 − s) ≤ 1/4. That gives
//! |v′| ≤ |v| and |v″| ≤ 1.25·|v|. For a factor of q parts that track, shares go up to q and squares of it take the place of 1.
//!
//! - *What drift does.* A part that moves by a factor c moves the pin by ∫ Σ v·(s_P − s_Q) du ≤ V·ln c, with V the sum of all
//!   |v|; its derivatives are at most 1.5 and 2.45 times that. One that changes Q by a share Δ moves it by no more than
//!   Δ·(V + E), with E the highest voltage that a bridge leads to, where the pin would be without it or with it alone; its
//!   derivatives are at most 2 and 5 times that.
//! - *The span* S between the two points is (y2 − y1)·(a sum of products)/(Q(y1)·Q(y2)): −2 ≤ (ln S)′ ≤ 2 and
//!   −1/2 ≤ (ln S)″ ≤ 1. So what drift does over S is at most α with derivatives of at most 3.5·α and 13·α. Where a voltage
//!   or a current is measured the span has one Q below, and it is 2.5·α and 7·α.
//! - *The curve* of an undrifted board, ρ = (y − y1)/(y2 − y1)·Q(y2)/Q(y) with Q(y) = d0 + d1·y and κ = d1/d0, has shares that
//!   differ between y2 and y by at most ℓ = κ·|y2 − y|/((1 + κ·y2)·(1 + κ·y)): |ρ′| ≤ ℓ·|ρ| and |ρ″| ≤ ℓ·|ρ|, or four times
//!   that with parts that track.
//! - *Together* the corrected count is, between the two nominal ones, ρ + (w − v1 − ρ·(v2 − v1))/(1 + v2 − v1), with w for life and
//!   v1, v2 for the bench: the bounds above put into the derivatives of a quotient.
//!
//! With one point and a factor S is the voltage at that point, and v1 is 0. With a constant nothing is divided, and twice the
//! 1.25·V will do.

use super::{Errors, FarEnd, Grid, Rule};
use crate::board::Input;
use crate::circuit::{Far, Name, Of, Situation, Steady, Workbench};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::{Corner, Ends, greatest, visit_corners};

/// Points of a grid, at most.
const MOST_POINTS: u32 = 400;

/// The share of the span between the points that the margin may be before the grid is made finer.
const FINE: f64 = 1e-4;

/// What may move the pin of a board that is otherwise as it was, in volts.
#[derive(Clone, Copy, Debug)]
struct Amplitude {
    /// By parts, which do nothing without a voltage.
    parts: f64,
    /// By voltages, leakage and the converter.
    others: f64,
    /// The sum of all that the voltages contribute to the pin.
    volts: f64,
}

impl Amplitude {
    fn whole(self) -> f64 {
        self.parts + self.others
    }

    fn over(self, span: f64) -> Self {
        Self { parts: self.parts / span, others: self.others / span, volts: self.volts / span }
    }
}

/// The weights h²/2 of everything that stays, summed.
#[derive(Clone, Copy, Debug, Default)]
struct Weights {
    parts: f64,
    /// Those of parts once more, as they count for the curve.
    curve: f64,
    rails: f64,
}

/// The margin of one input.
#[derive(Debug)]
pub(super) struct Margin {
    /// Steps of the grid for everything that stays.
    pub(super) steps: Vec<u32>,
    /// Whether the counts at the points are always apart.
    pub(super) is_reliable: bool,
    weights: Weights,
    /// Counts between the points, or for each volt where nothing is divided.
    counts: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    Divided {
        life: Amplitude,
        /// At the two points together, and at the first.
        bench: [Amplitude; 2],
        /// The far ends at the points; the first is 0 for a factor.
        points: [f64; 2],
        /// Between the least and the greatest.
        curvature: Band<f64>,
        /// Whether one rail alone drives the pin, so that parts do the same whatever its voltage.
        is_alone: bool,
        /// How many times as much as what drift does over the span its two derivatives may be.
        derivatives: [f64; 2],
    },
    Added(f64),
}

impl Margin {
    /// `None`: a pin floats.
    pub(super) fn new(
        input: &Input,
        varied: &Situation,
        bench: &Workbench,
        rule: &Rule,
        points: &[f64],
    ) -> Option<Self> {
        let of_life = amplitude(varied, bench, input)?;
        let mut of_bench = amplitude(&bench.varied, bench, input)?;
        let accuracy = bench.calibration.accuracy.0;
        of_bench.parts += of_bench.volts * ((1.0 + accuracy) / (1.0 - accuracy)).ln();
        let far: Vec<f64> = points.iter().map(|&point| bench.far_at(input, point).0).collect();
        let kind_of = |first: f64, second: f64, is_line: bool| {
            let (span, curvature) = undrifted(input, bench, is_line.then_some(first), second);
            let at_one = of_bench.over(span);
            let both = if is_line {
                Amplitude { parts: 2.0 * at_one.parts, others: 2.0 * at_one.others, volts: at_one.volts }
            } else {
                at_one
            };
            let at_first = if is_line { at_one } else { Amplitude { parts: 0.0, others: 0.0, volts: 0.0 } };
            Kind::Divided {
                life: of_life.over(span),
                bench: [both, at_first],
                points: [first, second],
                curvature,
                is_alone: is_alone(varied),
                derivatives: if input.drive.is_sender() { [3.5, 13.0] } else { [2.5, 7.0] },
            }
        };
        let (kind, counts) = match (rule, far.as_slice()) {
            (Rule::Line { nominal: [low, high] }, &[first, second]) => {
                (kind_of(first, second, true), (high - low).abs())
            }
            (Rule::Factor { nominal }, &[point]) => (kind_of(0.0, point, false), *nominal),
            _ => (Kind::Added(1.25 * (of_life.volts + of_bench.volts)), per_volt(&bench.varied)),
        };
        let mut margin = Self {
            steps: vec![1; bench.steady.len()],
            is_reliable: true,
            weights: Weights::default(),
            counts,
            kind,
        };
        margin.is_reliable = margin.least_divisor() > 0.0 && margin.counts.is_finite();
        let (start, end) = input.range();
        let ends = [start, end].map(|value| bench.far_at(input, value).0);
        margin.refine(&bench.steady, Band::between(ends[0], ends[1]));
        Some(margin)
    }

    /// Makes the grid finer where that helps most, until the margin is small or there are many points.
    fn refine(&mut self, steady: &[Steady], range: Band<f64>) {
        loop {
            self.weights = Weights::of(steady, &self.steps);
            let all = self.share(range);
            let points = |steps: &[u32]| steps.iter().map(|&steps| steps + 1).product::<u32>();
            // Most helps what has most of the margin for each further point.
            let gain = |place: usize| {
                let mut steps = self.steps.clone();
                steps[place] += 1;
                let finer = Self { weights: Weights::of(steady, &steps), ..self.like() };
                let gain = (all - finer.share(range)) / f64::from(points(&steps) - points(&self.steps));
                (points(&steps) <= MOST_POINTS).then_some((gain, steps))
            };
            let best = (0..steady.len()).filter_map(gain).max_by(|a, b| a.0.total_cmp(&b.0));
            match best {
                Some((gain, steps)) if all > FINE && gain > 0.0 => self.steps = steps,
                _ => return,
            }
        }
    }

    fn like(&self) -> Self {
        Self { steps: Vec::new(), ..*self }
    }

    /// The margin in counts while the far end is in a band.
    pub(super) fn counts(&self, far: Band<f64>) -> f64 {
        self.counts * self.share(far)
    }

    /// The same as a share of the counts between the points.
    fn share(&self, far: Band<f64>) -> f64 {
        [far.lowest, far.highest].map(|far| self.share_at(far)).into_iter().fold(0.0, f64::max)
    }

    /// How small what is divided by may get, as a share of what it is nominally.
    fn least_divisor(&self) -> f64 {
        match self.kind {
            Kind::Divided { bench: [both, _], .. } => 1.0 - both.whole(),
            Kind::Added(_) => 1.0,
        }
    }

    fn share_at(&self, far: f64) -> f64 {
        let Kind::Divided { life, bench: [both, first], points: [a, b], curvature, is_alone, derivatives } =
            self.kind
        else {
            let Kind::Added(volts) = self.kind else { return 0.0 };
            return volts * (self.weights.parts + self.weights.rails);
        };
        let ends = [curvature.lowest, curvature.highest];
        let bend = |kappa: f64| (1.0 + kappa * b) / (1.0 + kappa * far);
        let rho = ((far - a) / (b - a)).abs() * ends.map(bend).into_iter().fold(0.0, f64::max);
        let apart = curvature.highest * (b - far).abs()
            / ((1.0 + curvature.lowest * b) * (1.0 + curvature.lowest * far));
        let together = |of: fn(&Amplitude) -> f64| of(&life) + of(&first) + rho * of(&both);
        let (whole, bench) = (together(|a| a.whole()), both.whole());
        let (moved, moved_bench) =
            if is_alone { (together(|a| a.others), both.others) } else { (whole, bench) };
        let divisor = self.least_divisor();
        let [first_of, second_of] = derivatives;
        let apart = apart.min(1.0);
        let drift = |moved: f64, bench: f64| {
            // Both derivatives of what is divided, and of what it is divided by.
            let (of_it, twice) =
                (first_of * moved + apart * rho * bench, second_of * moved + 11.0 * apart * rho * bench);
            let (by, by_twice) = (first_of * bench, second_of * bench);
            twice / divisor
                + 2.0 * of_it * by / divisor.powi(2)
                + whole * (by_twice / divisor.powi(2) + 2.0 * by * by / divisor.powi(3))
        };
        self.weights.curve * apart * rho
            + self.weights.parts * drift(whole, bench)
            + self.weights.rails * drift(moved, moved_bench)
    }
}

impl Weights {
    fn of(steady: &[Steady], steps: &[u32]) -> Self {
        let mut weights = Self::default();
        for (steady, &steps) in steady.iter().zip(steps) {
            let weight = (steady.half_width() / f64::from(steps)).powi(2) / 2.0;
            match steady {
                Steady::Parts { elements, .. } => {
                    let squared = (elements.len() as f64).powi(2);
                    weights.parts += weight * squared;
                    weights.curve += weight * squared * if elements.len() > 1 { 4.0 } else { 1.0 };
                }
                Steady::Rail { .. } => weights.rails += weight,
            }
        }
        weights
    }
}

/// The least span between two points of a board that has not drifted, in volts, or its least voltage at one; and between
/// what its κ lies.
fn undrifted(input: &Input, bench: &Workbench, first: Option<f64>, second: f64) -> (f64, Band<f64>) {
    let is_sender = input.drive.is_sender();
    let (mut least, mut curvature) = (f64::INFINITY, Band { lowest: f64::INFINITY, highest: 0.0 });
    let steps = vec![1; bench.steady.len()];
    // The nominal board, spread as the parts are.
    let mut spread = bench.nominal.clone();
    for steady in &bench.steady {
        if let Steady::Parts { elements, tolerance } = steady {
            for &element in elements {
                spread.resistances[element] = Band::within(spread.resistances[element].lowest, *tolerance);
            }
        }
    }
    Grid::new(&bench.steady, &steps).visit(&spread, |board| {
        let transfer = Corner::at(board, &board.resistances, Ends::default()).transfer(is_sender);
        let pin = |far: f64| transfer.pin(FarEnd(far), Amperes(0.0)).0;
        least = least.min((pin(second) - first.map_or(0.0, pin)).abs());
        let [d0, d1] = transfer.divisor();
        curvature = Band { lowest: curvature.lowest.min(d1 / d0), highest: curvature.highest.max(d1 / d0) };
    });
    // Both are at corners but for a bit that the second derivatives bound.
    let weights = Weights::of(&bench.steady, &steps);
    let bit = (weights.parts + weights.rails).exp();
    (least / bit, Band { lowest: curvature.lowest / bit, highest: curvature.highest * bit })
}

/// The most counts for each volt.
fn per_volt(varied: &Situation) -> f64 {
    let reference = varied.reference.map_or(f64::NAN, |place| varied.sources[place].lowest.0);
    varied.converter.full_scale().0 * (1.0 + varied.converter.gain.0) / reference
}

/// What a board in a situation may differ by from itself as it is calibrated nominally.
fn amplitude(varied: &Situation, bench: &Workbench, input: &Input) -> Option<Amplitude> {
    let source_resistance =
        greatest(varied, &varied.resistances, |corner| corner.leaking().resistance())?.value;
    let leaking = varied.leakage.0 * source_resistance.0;
    let magnitudes = magnitudes(varied);
    let volts =
        greatest(&magnitudes, &magnitudes.resistances, |corner| corner.leaking().emf())?.value.0 + leaking;
    let parts = (0..varied.elements.len()).map(|element| moved(varied, bench, input, element, volts)).sum();
    let errors = Errors {
        each: varied.converter.inl.0 + varied.converter.noise.0 + super::HALF,
        offset: varied.converter.offset.0,
        top: 0.0,
        cancels: true,
    };
    let counted = (errors.each + errors.offset) / least_per_volt(varied);
    Some(Amplitude { parts, others: voltages(varied, bench, input) + leaking + counted, volts })
}

fn least_per_volt(varied: &Situation) -> f64 {
    let reference = varied.reference.map_or(f64::NAN, |place| varied.sources[place].highest.0);
    varied.converter.full_scale().0 * (1.0 - varied.converter.gain.0) / reference
}

/// The situation with every voltage at its greatest magnitude.
fn magnitudes(varied: &Situation) -> Situation {
    let mut situation = varied.clone();
    for band in &mut situation.sources {
        *band = Band::exactly(band.lowest.abs().max(band.highest.abs()));
    }
    if let Far::Flows(band) = situation.far {
        situation.far = Far::Flows(Band::exactly(band.lowest.abs().max(band.highest.abs())));
    }
    situation
}

/// What an element may move the pin by, in volts.
fn moved(varied: &Situation, bench: &Workbench, input: &Input, element: usize, volts: f64) -> f64 {
    // The resistance of a sender is what is measured; a current does not care.
    if element == 0 && !matches!(input.drive, crate::board::Drive::Signal(_)) {
        return 0.0;
    }
    let band = drifting(varied, &bench.steady, element);
    let is = bench.nominal.resistances[element].lowest;
    let (low, high) = (band.lowest.min(is), band.highest.max(is));
    if low == high {
        return 0.0;
    }
    let by_factor = (high.0 / is.0).max(is.0 / low.0).ln() * volts;
    // What is nearly open or nearly nothing moves little, whatever its factor.
    if by_factor < 0.02 * volts {
        return by_factor;
    }
    let led_to = varied.elements.iter().filter_map(|element| element.bridge_to);
    let led_to = led_to.map(|place| varied.sources[place]);
    let most = led_to.map(|band| band.lowest.abs().max(band.highest.abs()).0).fold(0.0, f64::max);
    by_factor.min(2.05 * (volts + most) * change_of(varied, element, low, high))
}

/// The band of an element without the tolerance that stays as it is.
fn drifting(varied: &Situation, steady: &[Steady], element: usize) -> Band<Ohms> {
    let band = varied.resistances[element];
    let tolerance = steady.iter().find_map(|steady| match steady {
        Steady::Parts { elements, tolerance } if elements.contains(&element) => Some(tolerance.0),
        _ => None,
    });
    let tolerance = tolerance.unwrap_or(0.0);
    Band {
        lowest: band.lowest * (1.0 / (1.0 - tolerance)),
        highest: band.highest * (1.0 / (1.0 + tolerance)),
    }
}

/// By what share an element between two values changes what is below every voltage of the chain, at most: a Möbius function of
/// everything else, so that corners are enough.
fn change_of(varied: &Situation, element: usize, low: Ohms, high: Ohms) -> f64 {
    let is_bridge = varied.elements[element].bridge_to.is_some();
    let mut most = 0.0_f64;
    visit_corners(varied, &varied.resistances, |corner| {
        let [less, more] = [low, high].map(|ohms| {
            let [_, d, _] = corner.pin_with(element, ohms).numbers();
            if is_bridge && ohms.0.is_finite() { d / ohms.0 } else { d }
        });
        most = most.max(if is_bridge { 1.0 - more / less } else { 1.0 - less / more });
    });
    most
}

/// What voltages that change on one board move the pin by, at most.
fn voltages(varied: &Situation, bench: &Workbench, input: &Input) -> f64 {
    let is_far = |place: usize| {
        matches!(varied.far, Far::Stands { source, shift, .. }
            if shift == place || source == place && input.drive.is_sender())
    };
    let is_used = |place: usize| {
        is_far(place) || varied.elements.iter().any(|element| element.bridge_to == Some(place))
    };
    let stays = |name: Name| {
        bench.steady.iter().any(|steady| matches!(steady, Steady::Rail { name: known, .. } if *known == name))
    };
    // Through a bridge a voltage moves the pin by no more than its share of it, from all other places by all at most.
    let weight = |place: usize| {
        let bridges = (0..varied.elements.len()).filter(|&k| varied.elements[k].bridge_to == Some(place));
        let low = |element: usize| varied.resistances[element].lowest;
        let share: f64 = bridges.map(|k| change_of(varied, k, low(k), Ohms(f64::INFINITY))).sum();
        if is_far(place) { 1.0 } else { share.min(1.0) }
    };
    let moved = |place: usize| {
        let (band, is) = (varied.sources[place], bench.nominal.sources[place].lowest);
        let by = (band.highest - is).max(is - band.lowest).0;
        if by > 0.0 { by * weight(place) } else { 0.0 }
    };
    let places = (0..varied.sources.len()).filter(|&place| is_used(place) && !stays(varied.names[place]));
    places.map(moved).sum()
}

/// Whether a rail is the only voltage that drives the pin, but for a shift of ground.
fn is_alone(varied: &Situation) -> bool {
    let drives = |place: usize| {
        let feeds = varied.elements.iter().any(|element| element.bridge_to == Some(place));
        let is_far = matches!(varied.far, Far::Stands { source, .. } if source == place);
        let is_some = varied.sources[place] != Band::exactly(Volts(0.0));
        (feeds || is_far) && is_some && varied.names[place] != Name::Shift
    };
    let places: Vec<usize> = (0..varied.sources.len()).filter(|&place| drives(place)).collect();
    let flows = matches!(varied.far, Far::Flows(_)) || varied.place_of(Of::Wet).is_some();
    !flows && matches!(places[..], [place] if matches!(varied.names[place], Name::Rail(_)))
}
