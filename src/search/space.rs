//! The space of a search: which values stand where.

use crate::board::{Aim, Board, Choice, Input, Role, Setting};
use crate::case::Case;
use crate::circuit::{Of, Outlook, Place, Scene, Situation, SupplyMeter, Values, limits_of, situations_of};
use crate::limits::{Check, Watched, checks_of};
use crate::quantity::{Band, Counts, Ohms, Volts};
use crate::reading::Edge;
use crate::series::Preferred;
use crate::worst::{self, Corner, Ends, Measure, worst};

/// The most parts that an input can have to be chosen.
pub(super) const MOST: usize = 6;

/// A part to be chosen.
#[derive(Debug)]
pub(super) struct Slot {
    pub(super) role: Role,
    /// Its place in the chain.
    pub(super) element: usize,
    /// Standard values, ascending.
    pub(super) candidates: Vec<Preferred>,
    /// The limits of each over its life.
    pub(super) limits: Vec<Band<Ohms>>,
    /// The limits of each on the boards that bound a box: of a part that tracks others its value alone.
    sure: Vec<Band<Ohms>>,
    /// Whether its values make groups for the runners-up: all but the resistor in front of the pin, which moves the
    /// aim by leakage alone, if at all.
    pub(super) moves_aim: bool,
}

impl Slot {
    /// The value of a candidate at the end of its limits that `ends` says; of a part that tracks others its nominal value.
    pub(super) fn value_at(&self, place: u16, ends: Ends) -> Ohms {
        let limits = self.sure[usize::from(place)];
        if ends.resistance_is_high(self.element) { limits.highest } else { limits.lowest }
    }
}

/// The input with a certain set of parts in place.
#[derive(Debug)]
pub(super) struct Root<'a> {
    pub(super) input: &'a Input,
    /// Given values; parts to be chosen are at their smallest candidate.
    pub(super) values: Values,
    pub(super) scene: Scene,
    /// The places at which errors are bounded.
    pub(super) probes: Vec<Probe>,
    /// Only what is limited.
    pub(super) checks: Vec<Check>,
    pub(super) slots: Vec<Slot>,
    /// Whether a resistance moves at the far end; otherwise a voltage does.
    pub(super) has_sender: bool,
    /// A board on which the top of the range bounds what the pin may show, where that helps the search.
    pub(super) ceiling: Option<Ceiling>,
    /// 1 where the pin rises from the first to the last value of the range, else −1.
    pub(super) sign: f64,
    /// Parts that may be left out and are.
    pub(super) left_out: Vec<Role>,
}

/// A box of candidates: for each slot the first and the last, by place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Box {
    pub(super) first: [u16; MOST],
    pub(super) last: [u16; MOST],
}

/// A board on which the range of the converter bounds the open voltage of the pin at the upper end of the range.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ceiling {
    /// The board.
    pub(super) ends: Ends,
    /// The highest pin voltage that keeps its count in the range, the leakage included.
    pub(super) pin: Volts,
}

impl<'a> Root<'a> {
    /// One root for each set of parts that may be left out.
    pub(super) fn all(board: &Board, input: &'a Input) -> Vec<Self> {
        let optional: Vec<Role> = input
            .parts
            .iter()
            .filter(|part| matches!(part.choice, Choice::Choose { or_none: true, .. }))
            .map(|part| part.role)
            .collect();
        (0..1_u32 << optional.len())
            .map(|set| {
                let out = optional.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1);
                Self::new(board, input, out.map(|(_, &role)| role).collect())
            })
            .collect()
    }

    fn new(board: &Board, input: &'a Input, left_out: Vec<Role>) -> Self {
        let mut values = Values::given(input);
        let open: Vec<_> = input
            .parts
            .iter()
            .filter(|part| !left_out.contains(&part.role))
            .filter_map(|part| match &part.choice {
                Choice::Choose { candidates, .. } if !candidates.is_empty() => Some((part, candidates)),
                _ => None,
            })
            .collect();
        for (part, candidates) in &open {
            values.set(part.role, Some(candidates[0].ohms));
        }
        let scene = Scene::new(board, input, &values);
        let mut checks = checks_of(board, input, &scene);
        checks.retain(|check| check.allowed.is_some());
        let has_sender = input.drive.is_sender();
        let slots = open
            .into_iter()
            .filter_map(|(part, candidates)| {
                let element = scene.nominal.place_of(Of::Part(part.role))?;
                let limits = |p: &Preferred| limits_of(p.ohms, &part.grade, board, Outlook::Life);
                let limits: Vec<_> = candidates.iter().map(limits).collect();
                let exactly = |p: &Preferred| Band::exactly(p.ohms);
                let tracks = scene.situations[Scene::NORMAL].tracking.iter().flatten().any(|&k| k == element);
                Some(Slot {
                    role: part.role,
                    element,
                    sure: if tracks { candidates.iter().map(exactly).collect() } else { limits.clone() },
                    limits,
                    candidates: candidates.clone(),
                    moves_aim: part.role != Role::Protection,
                })
            })
            .collect();
        let sign = input.direction();
        let probes = if input.aim == Aim::Error || input.limits.error != Setting::Off {
            probes(board, input, &values, scene.meter.as_ref())
        } else {
            Vec::new()
        };
        let ceiling = None;
        let mut root =
            Self { input, values, scene, probes, checks, slots, has_sender, ceiling, sign, left_out };
        root.ceiling = root.find_ceiling();
        root
    }

    /// For a signal with nothing but ground on its path: there the pin at one board is a bounded multiple of the pin at
    /// another, so that what the range allows at the one bounds the other.
    pub(super) fn find_ceiling(&self) -> Option<Ceiling> {
        let normal = &self.scene.situations[Scene::NORMAL];
        let is_ground = |place: usize| normal.sources[place] == Band::exactly(Volts(0.0));
        let plain = normal.elements.iter().all(|element| element.bridge_to.is_none_or(is_ground));
        let top = Measure::TopCount;
        let check = self.checks.iter().find(|check| check.watched == Watched::Measure(top))?;
        if self.has_sender || !plain {
            return None;
        }
        let middle = self.surely(normal, &self.whole().middle());
        let ends = worst(top, check.sense, normal, &middle)?.ends;
        let reference = Corner::at(normal, &middle, ends).reference()?;
        let converter = &normal.converter;
        // As `Measure::TopCount` counts, with the slack that a limit grants.
        let top = Counts(check.allowed? * (1.0 + 1e-9)) - converter.offset - converter.inl;
        let pin = reference * (top / converter.full_scale() / (1.0 + converter.gain.0));
        (pin > Volts(0.0)).then_some(Ceiling { ends, pin })
    }

    /// The box of all candidates.
    pub(super) fn whole(&self) -> Box {
        let mut whole = Box { first: [0; MOST], last: [0; MOST] };
        for (k, slot) in self.slots.iter().enumerate() {
            whole.last[k] = (slot.candidates.len() - 1) as u16;
        }
        whole
    }

    /// How many combinations a box holds.
    pub(super) fn size(&self, b: &Box) -> u64 {
        (0..self.slots.len()).map(|k| u64::from(b.last[k] - b.first[k]) + 1).product()
    }

    /// The resistances of a situation with everything from the smallest to the largest candidate of the box.
    pub(super) fn spread(&self, situation: &Situation, b: &Box) -> Bands {
        let mut bands = Bands::of(situation);
        for (k, slot) in self.slots.iter().enumerate() {
            bands.0[slot.element] = Band {
                lowest: slot.limits[usize::from(b.first[k])].lowest,
                highest: slot.limits[usize::from(b.last[k])].highest,
            };
        }
        bands
    }

    /// The resistances of a situation with the parts of one combination, each anywhere in its limits.
    pub(super) fn fitted(&self, situation: &Situation, places: &[u16; MOST]) -> Bands {
        let mut bands = Bands::of(situation);
        for (k, slot) in self.slots.iter().enumerate() {
            bands.0[slot.element] = slot.limits[usize::from(places[k])];
        }
        bands
    }

    /// The same with those parts that track each other at nominal values. All boards of these bands are boards that there
    /// are: what is true of one of them bounds what is true of all, from the side that a search may rely on.
    pub(super) fn surely(&self, situation: &Situation, places: &[u16; MOST]) -> Bands {
        let mut bands = Bands::of(situation);
        for &element in situation.tracking.iter().flatten() {
            bands.0[element] = self.scene.nominal.resistances[element];
        }
        for (k, slot) in self.slots.iter().enumerate() {
            bands.0[slot.element] = slot.sure[usize::from(places[k])];
        }
        bands
    }

    /// The same with nominal values.
    pub(super) fn nominally(&self, situation: &Situation, places: &[u16; MOST]) -> Bands {
        let mut bands = Bands::of(situation);
        for (k, slot) in self.slots.iter().enumerate() {
            bands.0[slot.element] = Band::exactly(slot.candidates[usize::from(places[k])].ohms);
        }
        bands
    }

    /// All values of one combination.
    pub(super) fn values_at(&self, places: &[u16; MOST]) -> Values {
        let mut values = self.values;
        for (k, slot) in self.slots.iter().enumerate() {
            values.set(slot.role, Some(slot.candidates[usize::from(places[k])].ohms));
        }
        values
    }

    /// The vertices of a box.
    pub(super) fn vertices<'b>(&'b self, b: &'b Box) -> impl Iterator<Item = [u16; MOST]> + use<'b> {
        let open: Vec<usize> = (0..self.slots.len()).filter(|&k| b.first[k] != b.last[k]).collect();
        (0..1_u32 << open.len()).map(move |set| {
            let mut places = b.first;
            for (bit, &k) in open.iter().enumerate() {
                if set >> bit & 1 == 1 {
                    places[k] = b.last[k];
                }
            }
            places
        })
    }
}

/// A place of the zone.
#[derive(Debug)]
pub(super) struct Probe {
    /// The value there.
    pub(super) value: f64,
    /// Normal use over life.
    pub(super) life: Situation,
    /// The edges of a reading that is corrected by the supply; none: it is not.
    pub(super) edges: Vec<Edge>,
}

/// A few places of the zone with normal use there.
fn probes(board: &Board, input: &Input, values: &Values, meter: Option<&SupplyMeter>) -> Vec<Probe> {
    const PROBES: u8 = 5;
    let zone = input.zone();
    (0..PROBES)
        .map(|i| {
            let share = f64::from(i) / f64::from(PROBES - 1);
            let value = zone.lowest * (1.0 - share) + zone.highest * share;
            let place = Place::At(value);
            let life = situations_of(board, input, values, Case::Normal, Outlook::Life, place).swap_remove(0);
            let edges = meter.iter().flat_map(|meter| [-1.0, 1.0].map(|up| Edge::new(up, &life, meter)));
            Probe { value, edges: edges.flatten().collect(), life }
        })
        .collect()
}

/// The resistances of a chain, without an allocation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bands([Band<Ohms>; worst::MOST], usize);

impl Bands {
    fn of(situation: &Situation) -> Self {
        let given = &situation.resistances;
        let mut bands = [Band::exactly(Ohms(0.0)); worst::MOST];
        bands[..given.len()].copy_from_slice(given);
        Self(bands, given.len())
    }

    /// Puts one value in a place.
    pub(super) fn put(&mut self, element: usize, ohms: Ohms) {
        self.0[element] = Band::exactly(ohms);
    }
}

impl std::ops::Deref for Bands {
    type Target = [Band<Ohms>];
    fn deref(&self) -> &[Band<Ohms>] {
        &self.0[..self.1]
    }
}

/// One thing for each vertex of a box, without an allocation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Vertices<T>([T; 1 << MOST], usize);

impl<T: Copy + Default> FromIterator<T> for Vertices<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        let mut vertices = Self([T::default(); 1 << MOST], 0);
        for (place, item) in items.into_iter().enumerate() {
            vertices.0[place] = item;
            vertices.1 = place + 1;
        }
        vertices
    }
}

impl<T> std::ops::Deref for Vertices<T> {
    type Target = [T];
    fn deref(&self) -> &[T] {
        &self.0[..self.1]
    }
}

impl Box {
    /// Whether it is a single combination.
    pub(super) fn is_single(&self) -> bool {
        self.first == self.last
    }

    /// The combination in the middle.
    pub(super) fn middle(&self) -> [u16; MOST] {
        std::array::from_fn(|k| self.first[k] + (self.last[k] - self.first[k]) / 2)
    }

    /// The two halves along one slot.
    pub(super) fn halves(&self, k: usize) -> [Self; 2] {
        let middle = self.middle()[k];
        let (mut low, mut high) = (*self, *self);
        low.last[k] = middle;
        high.first[k] = middle + 1;
        [low, high]
    }
}
