//! What a combination is worth, and what a box of them can be worth at best.
//!
//! Larger is better: of what should be small the aim is the negative.

use super::bound::Ruling;
use super::space::{Bands, Box, MOST, Probe, Root, Vertices};
use crate::board::Aim;
use crate::circuit::{Far, Situation};
use crate::limits::Check;
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms, Volts};
use crate::reading::{Edge, Nominal, Reader, Shared, greatest_error_of};
use crate::worst::{Corner, Ends, FarEnd, SpanCorner, Transfer, count_band, greatest, least};

impl Root<'_> {
    /// The aim of one combination.
    pub(super) fn aim_of(&self, places: &[u16; MOST]) -> f64 {
        let zone = self.input.zone();
        match self.input.aim {
            Aim::Span => (self.assured(places).span.0 * self.sign).max(0.0),
            Aim::Resolution => self.nominal_board(places, |nominal| nominal.least_slope(zone).value),
            Aim::Error => -self.error_of(places),
            Aim::Straight => -self.nominal_board(places, |nominal| nominal.bend(middle_of(zone))),
        }
    }

    /// Whether the bound of a single combination is its aim already. An error is bounded by what it is at a few places
    /// first: to find it in full takes a look at every count.
    pub(super) fn is_bound_exact(&self) -> bool {
        self.input.aim != Aim::Error
    }

    /// A bound that no aim in the box exceeds. `witness` is a board at which a combination nearby has its least span.
    pub(super) fn best_aim(&self, b: &Box, witness: &SpanCorner) -> f64 {
        match self.input.aim {
            Aim::Error => -self.least_error(b),
            _ if b.is_single() => self.aim_of(&b.first),
            Aim::Span => self.best_span(b, witness),
            Aim::Resolution => self.best_resolution(b),
            Aim::Straight => -self.least_bend(b),
        }
    }

    /// A bound that no assured span in the box exceeds; exact for a single combination.
    pub(super) fn most_assured(&self, b: &Box) -> f64 {
        self.best_span(b, &self.witness(&b.middle()))
    }

    /// The greatest error of one combination over the zone.
    fn error_of(&self, places: &[u16; MOST]) -> f64 {
        let life = &self.scene.situations[crate::circuit::Scene::NORMAL];
        let fitted = self.fitted(life, places);
        let nominal = self.nominally(&self.scene.nominal, places);
        greatest_error_of(self.input, &self.scene, [&nominal, &fitted]).map_or(0.0, |found| found.value)
    }

    /// What the limit of error says of a box.
    pub(super) fn ruling_on_error(&self, check: &Check, b: &Box) -> Ruling {
        if !check.holds(self.least_error(b)) {
            Ruling::Excludes
        } else if !b.is_single() {
            Ruling::Open([0.0; MOST])
        } else if check.holds(self.error_of(&b.first)) {
            Ruling::Holds
        } else {
            Ruling::Excludes
        }
    }

    /// A bound that no greatest error in a box is below; exact for a single combination.
    pub(super) fn best_error(&self, b: &Box) -> f64 {
        if b.is_single() { self.error_of(&b.first) } else { self.least_error(b) }
    }

    fn nominal_board<T>(&self, places: &[u16; MOST], of: impl FnOnce(&Nominal<'_>) -> T) -> T {
        let situation = &self.scene.nominal;
        of(&Nominal::new(self.input, situation, &self.nominally(situation, places)))
    }

    /// The pin of one nominal board as a function of the far end.
    fn transfer(&self, situation: &Situation, bands: &Bands) -> Transfer {
        Corner::at(situation, bands, Ends::default()).transfer(self.has_sender)
    }

    /// The least counts per unit are at most those at an end of the zone or at a knot.
    fn best_resolution(&self, b: &Box) -> f64 {
        let situation = without_adverse_shift(&self.scene.nominal);
        let transfers: Vertices<Transfer> = self
            .vertices(b)
            .map(|places| self.transfer(&situation, &self.nominally(&situation, &places)))
            .collect();
        #[expect(
            clippy::redundant_closure_for_method_calls,
            reason = "the method is tied to one lifetime of its board"
        )]
        let places = self.nominal_board(&b.first, |nominal| nominal.fixed_slopes());
        let volts = if self.has_sender {
            self.least_of_sender(b, &situation, &transfers, &places)
        } else {
            let most = transfers.iter().map(|transfer| transfer.slope(FarEnd(0.0))).fold(0.0, f64::max);
            places.iter().map(|(_, slope)| most * slope).fold(f64::INFINITY, f64::min)
        };
        let reference = Corner::at(&situation, &situation.resistances, Ends::default()).reference();
        situation.converter.count(Volts(volts), reference.unwrap_or(Volts(f64::NAN)), Fraction(0.0)).0
    }

    /// With a sender the pin moves by Δ/d² for each ohm. Δ, but for its sign, and d are sums of products of part values without a minus
    /// sign, so that ln Δ − 2·ln d is at most ln Δ less twice the tangent of ln d, which is convex in the logarithms of
    /// the values: its greatest is at a vertex.
    fn least_of_sender(
        &self,
        b: &Box,
        situation: &Situation,
        transfers: &[Transfer],
        places: &[(FarEnd, f64)],
    ) -> f64 {
        let follows = self.input.circuit.sign();
        let middle = b.middle();
        let bands = self.nominally(situation, &middle);
        let d = |transfer: &Transfer, far: FarEnd| {
            let [d0, d1] = transfer.divisor();
            d0 + d1 * far.0
        };
        let at_middle = self.transfer(situation, &bands);
        let open: Vec<usize> = (0..self.slots.len()).filter(|&k| b.first[k] != b.last[k]).collect();
        let without: Vec<Transfer> = open
            .iter()
            .map(|&k| {
                let mut bands = bands;
                bands.put(self.slots[k].element, Ohms(0.0));
                self.transfer(situation, &bands)
            })
            .collect();
        // How far each vertex is from the middle in the logarithm of each value.
        let steps: Vec<Vec<f64>> = self
            .vertices(b)
            .map(|places| {
                open.iter().map(|&k| self.ohms(k, places[k]).ln() - self.ohms(k, middle[k]).ln()).collect()
            })
            .collect();
        let most = |&(far, slope): &(FarEnd, f64)| {
            let whole = d(&at_middle, far);
            let slopes: Vec<f64> = without.iter().map(|transfer| 1.0 - d(transfer, far) / whole).collect();
            let values = transfers.iter().zip(&steps).map(|(transfer, steps)| {
                let rise: f64 = steps.iter().zip(&slopes).map(|(step, slope)| step * slope).sum();
                (follows * transfer.determinant(Amperes(0.0))).max(0.0) * (-2.0 * (whole.ln() + rise)).exp()
            });
            slope * values.fold(0.0, f64::max)
        };
        places.iter().map(most).fold(f64::INFINITY, f64::min)
    }

    fn ohms(&self, slot: usize, place: u16) -> f64 {
        self.slots[slot].candidates[usize::from(place)].ohms.0
    }

    /// The bend is that of the curve less 2·far'·d1/(d0 + d1·far), which is monotone in each value: between its ends at
    /// the vertices it passes through everything, 0 too if they have different signs.
    fn least_bend(&self, b: &Box) -> f64 {
        let middle = middle_of(self.input.zone());
        let bends: Vertices<f64> = self
            .vertices(b)
            .map(|places| self.nominal_board(&places, |nominal| nominal.signed_bend(middle)))
            .collect();
        let (least, most) = (
            bends.iter().copied().fold(f64::INFINITY, f64::min),
            bends.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        if least <= 0.0 && most >= 0.0 { 0.0 } else { least.abs().min(most.abs()) }
    }

    /// A bound that no greatest error in the box is below: at a few places, how far the worst board of a combination in
    /// the middle of the box is off.
    ///
    /// The count of that board is monotone in each value, and so is the reading that a nominal board gives for a fixed
    /// count: both have their least and greatest at vertices.
    fn least_error(&self, b: &Box) -> f64 {
        let rises = self.sign > 0.0;
        let mut bound: f64 = 0.0;
        for Probe { value, life, edges } in &self.probes {
            if self.input.corrected_by.is_some() {
                let off = edges.iter().map(|edge| self.least_off(*value, life, edge, b));
                bound = off.fold(bound, f64::max);
                continue;
            }
            let Some(counts) = self.surely_reached(life, b) else { continue };
            let counts = life.converter.truncated_band(counts);
            let readings = |count: Counts| {
                let of = |places: [u16; MOST]| self.nominal_board(&places, |nominal| nominal.reading(count));
                let all: Vertices<f64> = self.vertices(b).map(of).collect();
                Band {
                    lowest: all.iter().copied().fold(f64::INFINITY, f64::min),
                    highest: all.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                }
            };
            let (low, high) = (readings(counts.lowest), readings(counts.highest));
            let (least, most) = if rises { (low, high) } else { (high, low) };
            bound = bound.max(most.lowest - value).max(value - least.highest);
        }
        bound
    }

    /// By how much a reading at a value that is corrected by the supply is off at an edge for every combination in the box.
    /// With everything that both inputs share at one value the supply is taken for the same whatever the combination, and
    /// the rest is as above.
    fn least_off(&self, value: f64, life: &Situation, edge: &Edge, b: &Box) -> f64 {
        let direction = self.input.direction();
        let of = |shared: &Shared| {
            let counts = self.surely_reached(&shared.sender, b)?;
            let count = if edge.up > 0.0 { counts.highest } else { counts.lowest };
            let middle = edge.held(count.0 * shared.gain + edge.off(&life.converter));
            let supply = edge.supply(shared);
            let off = |places: [u16; MOST]| {
                let nominal = self.nominally(&self.scene.nominal, &places);
                let reader = Reader::new(self.input, &self.scene.nominal, &nominal, supply);
                edge.up * direction * (reader.reading(middle) - value)
            };
            self.vertices(b).map(off).reduce(f64::min)
        };
        edge.shared.iter().filter_map(of).fold(0.0, f64::max)
    }

    /// Counts before truncation that the worst boards of every combination in the box are not above and not below.
    fn surely_reached(&self, life: &Situation, b: &Box) -> Option<Band<Counts>> {
        let converter = &life.converter;
        if b.is_single() {
            return count_band(life, &self.fitted(life, &b.first));
        }
        let middle = self.surely(life, &b.middle());
        let share = |corner: &Corner<'_>, leakage: Amperes| {
            corner.pin_voltage(leakage) / corner.reference().unwrap_or(Volts(f64::NAN))
        };
        let ends = [
            least(life, &middle, |corner| share(corner, -life.leakage))?.ends,
            greatest(life, &middle, |corner| share(corner, life.leakage))?.ends,
        ];
        let at = |places: [u16; MOST], ends: Ends, leakage: Amperes| {
            share(&Corner::at(life, &self.surely(life, &places), ends), leakage)
        };
        let lowest = self
            .vertices(b)
            .map(|places| at(places, ends[0], -life.leakage))
            .fold(f64::NEG_INFINITY, f64::max);
        let highest =
            self.vertices(b).map(|places| at(places, ends[1], life.leakage)).fold(f64::INFINITY, f64::min);
        let full = converter.full_scale();
        let gained =
            |share: f64, sign: f64| full * (share * (1.0 + sign * converter.gain.0 * share.signum()));
        Some(Band {
            lowest: gained(lowest, -1.0) - converter.added(),
            highest: gained(highest, 1.0) + converter.added(),
        })
    }
}

fn middle_of(zone: Band<f64>) -> f64 {
    f64::midpoint(zone.lowest, zone.highest)
}

/// The situation without a remote ground that lies high: it takes away from the slope, and what only takes away may be
/// left out of a bound.
fn without_adverse_shift(nominal: &Situation) -> Situation {
    let mut situation = nominal.clone();
    if let Far::Stands { shift, .. } = situation.far {
        let volts = situation.sources[shift].lowest.min(Volts(0.0));
        situation.sources[shift] = Band::exactly(volts);
    }
    situation
}
