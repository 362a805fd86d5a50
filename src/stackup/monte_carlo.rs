//! Random boards (JCGM 101): what share of them keeps an allowed error, and how their readings are spread.

use super::channel::{LANES, Lanes, each};
use super::source::{Cause, Source, Spread, at_an_end};
use super::stack::{Pair, Spot, Stack};
use super::trials::{Generator, Trials};
use crate::board::Converter;
use crate::quantity::{Band, Counts, Fraction};

/// The most steps into which counts or readings at one place are sorted.
const STEPS: f64 = 65_536.0;

/// The steps into which the worst error of a board is sorted.
const ERROR_STEPS: usize = 4096;

/// How random boards differ from the nominal one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Draws {
    /// As their sources are spread.
    #[default]
    AsSpread,
    /// Every source at one of its ends: the boards among which the worst case must be.
    AtEnds,
}

/// Random boards of one input.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// How many.
    pub boards: u64,
    /// Boards whose error stays within what is allowed at every place in the zone; `None`: nothing is said to be allowed.
    pub good: Option<u64>,
    /// What they showed at each place.
    pub places: Vec<DrawnPlace>,
    /// How many boards had their worst error in each equal step from 0 to `greatest`.
    pub errors: Vec<u64>,
    /// The end of the last of these steps, in the unit.
    pub greatest: f64,
}

/// What random boards showed at one value.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnPlace {
    /// The value, in the unit.
    pub value: f64,
    /// The least and the greatest count before truncation.
    pub counts: Band<Counts>,
    /// The readings between which 95 % of the boards lie, as many below as above.
    pub coverage: Band<f64>,
}

/// What is drawn, and against what it is judged.
#[derive(Clone, Copy, Debug)]
pub struct Drawn<'a> {
    /// The values at which readings are taken, in the unit.
    pub values: &'a [f64],
    /// The values that count for the error of a board.
    pub zone: Band<f64>,
    /// The error that is allowed.
    pub allowed: Option<f64>,
    /// No error is beyond this one.
    pub greatest: f64,
    /// How boards differ.
    pub draws: Draws,
}

/// The share of random boards between whose lower and upper readings lies this much.
const COVERED: f64 = 0.95;

impl Batch {
    /// Draws boards and takes their readings.
    pub fn draw(stack: &Stack<'_>, drawn: &Drawn<'_>, trials: &Trials<'_>) -> Self {
        let sheet: Vec<Place> = drawn.values.iter().map(|&value| Place::new(stack, drawn, value)).collect();
        let start = || Tally::new(&sheet);
        let found = trials.in_chunks(start, |random, boards, tally| {
            let mut deviations = vec![[0.0; LANES]; stack.sources().len()];
            let mut left = boards;
            while left > 0 {
                draw(&mut deviations, stack.sources(), drawn.draws, random);
                let used = LANES.min(usize::try_from(left).unwrap_or(LANES));
                tally.take(stack, drawn, &sheet, &stack.boards(&deviations), used);
                left -= used as u64;
            }
        });
        let mut tallies = found.into_iter();
        let first = tallies.next().unwrap_or_else(start);
        let tally = tallies.fold(first, Tally::joined);
        Self {
            boards: trials.boards,
            good: drawn.allowed.map(|_| tally.good),
            places: sheet.iter().zip(&tally.places).map(|(place, seen)| place.summary(seen)).collect(),
            errors: tally.errors,
            greatest: drawn.greatest,
        }
    }

    /// The error within which a share of the boards stays.
    pub fn error_of(&self, share: f64) -> f64 {
        let most = share * self.boards as f64;
        let mut sum = 0.0;
        for (step, &boards) in self.errors.iter().enumerate() {
            sum += boards as f64;
            if sum >= most {
                return self.greatest * (step + 1) as f64 / self.errors.len() as f64;
            }
        }
        self.greatest
    }
}

/// The values of all sources on some boards. What is truncated is truncated as it comes.
fn draw(deviations: &mut [Lanes], sources: &[Source], draws: Draws, random: &mut Generator) {
    for (lanes, source) in deviations.iter_mut().zip(sources) {
        if source.cause == Cause::Truncation {
            continue;
        }
        let Spread { middle, standard, distribution } = source.spread;
        let drawn: Lanes = match draws {
            Draws::AsSpread => distribution.draw_each(random),
            Draws::AtEnds => std::array::from_fn(|_| at_an_end(random) * distribution.reach()),
        };
        *lanes = each(|i| middle + standard * drawn[i]);
    }
}

/// What is known of one place before boards are drawn.
#[derive(Debug)]
struct Place {
    spot: Spot,
    steps: Steps,
    /// The reading in the middle of each step, and how far it is off.
    readings: Vec<f64>,
    errors: Vec<f64>,
}

/// How readings at one place are sorted.
#[derive(Clone, Copy, Debug)]
enum Steps {
    /// By truncated counts, so many to a step.
    Counts { first: f64, last: f64, shift: u32 },
    /// By readings.
    Readings { lowest: f64, width: f64 },
}

impl Place {
    fn new(stack: &Stack<'_>, drawn: &Drawn<'_>, value: f64) -> Self {
        let spot = stack.spot(value);
        let (steps, readings) = if stack.is_adjusted() {
            let (start, end) = stack.input().range();
            let width = (end - start).abs() / STEPS;
            let lowest = start.min(end);
            let middle = |step: f64| lowest + (step + 0.5) * width;
            let all = (0..STEPS as u32).map(|step| middle(f64::from(step))).collect();
            (Steps::Readings { lowest, width }, all)
        } else {
            let converter = stack.converter();
            let band = stack
                .exact_counts(value)
                .unwrap_or(Band { lowest: Counts(0.0), highest: converter.highest_count() });
            let band = converter.truncated_band(band);
            let (first, last) = (band.lowest.0 as i64, band.highest.0 as i64);
            let mut shift = 0;
            while ((last - first) >> shift) as f64 >= STEPS {
                shift += 1;
            }
            let middle = |step: i64| {
                let (from, to) = (first + (step << shift), (first + ((step + 1) << shift) - 1).min(last));
                stack.nominal().reading(Counts(f64::midpoint(from as f64, to as f64)))
            };
            let all = (0..=(last - first) >> shift).map(middle).collect();
            (Steps::Counts { first: band.lowest.0, last: band.highest.0, shift }, all)
        };
        let readings: Vec<f64> = readings;
        // Outside the zone nothing is an error.
        let counts = f64::from(u8::from(drawn.zone.holds(value)));
        let errors = readings.iter().map(|reading| (reading - value).abs() * counts).collect();
        Self { spot, steps, readings, errors }
    }

    fn summary(&self, seen: &Seen) -> DrawnPlace {
        let all: u64 = seen.boards.iter().sum();
        let outside = (1.0 - COVERED) / 2.0 * all as f64;
        let passed = |limit: f64| {
            let mut sum = 0.0;
            let step = seen.boards.iter().position(|&boards| {
                sum += boards as f64;
                sum > limit
            });
            self.readings[step.unwrap_or(self.readings.len() - 1)]
        };
        DrawnPlace {
            value: self.spot.value,
            counts: Band {
                lowest: Counts(seen.lowest.into_iter().fold(f64::INFINITY, f64::min)),
                highest: Counts(seen.highest.into_iter().fold(f64::NEG_INFINITY, f64::max)),
            },
            coverage: Band::between(passed(outside), passed(all as f64 - outside - 0.5)),
        }
    }
}

/// What was seen at one place.
#[derive(Clone, Debug)]
struct Seen {
    lowest: Lanes,
    highest: Lanes,
    boards: Vec<u64>,
}

/// What one thread has seen. Sums of whole numbers and extremes: the order does not matter.
#[derive(Clone, Debug)]
struct Tally {
    good: u64,
    errors: Vec<u64>,
    places: Vec<Seen>,
}

impl Tally {
    fn new(sheet: &[Place]) -> Self {
        let seen = |place: &Place| Seen {
            lowest: [f64::INFINITY; LANES],
            highest: [f64::NEG_INFINITY; LANES],
            boards: vec![0; place.readings.len()],
        };
        Self { good: 0, errors: vec![0; ERROR_STEPS], places: sheet.iter().map(seen).collect() }
    }

    fn joined(mut self, other: Self) -> Self {
        let add = |to: &mut Vec<u64>, from: &[u64]| to.iter_mut().zip(from).for_each(|(a, b)| *a += b);
        self.good += other.good;
        add(&mut self.errors, &other.errors);
        for (seen, more) in self.places.iter_mut().zip(other.places) {
            seen.lowest = each(|i| seen.lowest[i].min(more.lowest[i]));
            seen.highest = each(|i| seen.highest[i].max(more.highest[i]));
            add(&mut seen.boards, &more.boards);
        }
        self
    }

    /// Takes the readings of the first `used` of some boards.
    fn take(&mut self, stack: &Stack<'_>, drawn: &Drawn<'_>, sheet: &[Place], boards: &Pair, used: usize) {
        let mut worst = [0.0; LANES];
        let along = boards.own.along(stack.input().drive.is_sender());
        for (place, seen) in sheet.iter().zip(&mut self.places) {
            let counts = match &along {
                Some(along) if place.spot.is_exact() => along.counts(place.spot.far),
                _ => boards.own.counts(&stack.far(&place.spot, &boards.own.far)),
            };
            seen.stretch(&counts, used);
            let steps = place.steps_of(stack, boards, &counts);
            let last = place.errors.len().min(seen.boards.len()) - 1;
            let (sorted, errors) = (&mut seen.boards[..=last], &place.errors[..=last]);
            let mut sort = |lane: usize| {
                let step = steps[lane].min(last);
                sorted[step] += 1;
                worst[lane] = if errors[step] > worst[lane] { errors[step] } else { worst[lane] };
            };
            // A known number of lanes is a loop without tests.
            if used == LANES {
                (0..LANES).for_each(&mut sort);
            } else {
                (0..used).for_each(&mut sort);
            }
        }
        let steps_per_unit = ERROR_STEPS as f64 / drawn.greatest;
        let allowed = drawn.allowed.map_or(-1.0, |allowed| allowed * (1.0 + 1e-9));
        for &error in &worst[..used] {
            let step = (error * steps_per_unit) as usize;
            self.errors[step.min(ERROR_STEPS - 1)] += 1;
            self.good += u64::from(error <= allowed);
        }
    }
}

impl Seen {
    /// Keeps the least and the greatest of the first `used` counts, lane by lane.
    fn stretch(&mut self, counts: &Lanes, used: usize) {
        let seen = if used == LANES { *counts } else { each(|i| counts[i.min(used - 1)]) };
        self.lowest = each(|i| if seen[i] < self.lowest[i] { seen[i] } else { self.lowest[i] });
        self.highest = each(|i| if seen[i] > self.highest[i] { seen[i] } else { self.highest[i] });
    }
}

impl Place {
    /// The step of each board.
    #[inline]
    fn steps_of(&self, stack: &Stack<'_>, boards: &Pair, counts: &Lanes) -> [usize; LANES] {
        match self.steps {
            Steps::Counts { first, last, shift } => {
                // Truncated by rounding what is half a step less: the last bits of a number so large that its steps
                // are 1 are that whole number. There are fewer than 2^32 counts.
                const WHOLE: f64 = 6_755_399_441_055_744.0;
                let whole = each(|i| {
                    let held = if counts[i] > first { counts[i] } else { first };
                    let held = if held < last { held } else { last };
                    held - first - (0.5 - Converter::SLACK) + WHOLE
                });
                whole.map(|count| (count.to_bits() as u32 >> shift) as usize)
            }
            Steps::Readings { lowest, width } => {
                stack.readings(&self.spot, boards).map(|reading| ((reading - lowest) / width) as usize)
            }
        }
    }
}

/// The interval of Wilson for a share of which `good` of `all` were seen, with a coverage of 95 % (E. B. Wilson, Probable
/// inference, the law of succession, and statistical inference, Journal of the American Statistical Association 22
/// (1927), 209–212).
pub fn wilson(good: u64, all: u64) -> Band<Fraction> {
    const Z: f64 = 1.959_963_984_540_054;
    let (n, seen) = (all as f64, good as f64 / all as f64);
    let (z2, whole) = (Z * Z, 1.0 + Z * Z / n);
    let middle = (seen + z2 / (2.0 * n)) / whole;
    let half = Z / whole * (seen * (1.0 - seen) / n + z2 / (4.0 * n * n)).sqrt();
    // At the ends the interval is exact, but for rounding.
    let end = |share: f64| Fraction(share.clamp(0.0, 1.0));
    Band {
        lowest: if good == 0 { Fraction(0.0) } else { end(middle - half) },
        highest: if good == all { Fraction(1.0) } else { end(middle + half) },
    }
}

impl Stack<'_> {
    /// The places at which random boards are read: `points`, and as many more over the zone that no place is far from one.
    pub fn places(&self, points: &[f64]) -> Vec<f64> {
        const OVER_ZONE: u32 = 20;
        let zone = self.input().zone();
        let width = zone.highest - zone.lowest;
        let over = (0..=OVER_ZONE).map(|k| zone.lowest + width * f64::from(k) / f64::from(OVER_ZONE));
        let mut places: Vec<f64> = points.iter().copied().chain(over).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * width);
        places
    }
}
