//! A whole column of temperatures on another scale than its head says.

use super::data::Data;
use super::fit::{Fit, USUAL, fit};
use super::kind::Kind;
use super::readings::Scale;
use super::trial::Trial;
use crate::curve::Law;
use crate::quantity::Band;

/// How far the local beta of a thermistor drifts at most, as a share: over 150 K and less, and for each kelvin of a wider
/// range. A curve of 10 kΩ with 1.129e-3, 2.341e-4, 8.77e-8 drifts by 14 % from −40 to 125 °C.
const DRIFT: f64 = 0.15;
const DRIFT_PER_KELVIN: f64 = 0.001;

/// The local beta at both ends of the readings, in kelvin: −T²·d ln R/dT, which is 1/(b + 3c·(ln R)²) for Steinhart-Hart.
#[derive(Clone, Copy, Debug)]
struct Betas {
    first: f64,
    last: f64,
    /// The drift that is usual over so wide a range.
    usual_drift: f64,
}

impl Betas {
    fn of(data: &Data, scale: Scale, fit: &Fit) -> Option<Self> {
        let at = |ohms: f64| match fit.law? {
            Law::Beta(law) => Some(law.beta),
            Law::SteinhartHart(law) => Some(1.0 / (law.b + 3.0 * law.c * ohms.ln().powi(2))),
            Law::Platinum(_) => None,
        };
        let kelvin = scale.kelvin(data.highest()) - scale.kelvin(data.lowest());
        Some(Self {
            first: at(data.all.first()?.ohms)?,
            last: at(data.all.last()?.ohms)?,
            usual_drift: DRIFT.max(DRIFT_PER_KELVIN * kelvin),
        })
    }

    fn drift(self) -> f64 {
        (self.last / self.first - 1.0).abs()
    }

    fn are_usual(self) -> bool {
        USUAL.holds(self.first) && USUAL.holds(self.last) && self.drift() <= self.usual_drift
    }

    fn told(self) -> String {
        let [first, last] = [self.first, self.last].map(|beta| format!("{beta:.0}"));
        if first == last {
            format!("{first} K")
        } else {
            format!("{first} K at one end and {last} K at the other")
        }
    }
}

/// A thermistor of a beta that hardly any has, or readings that rise as platinum does on the other scale.
pub(super) fn doubt(data: &Data, fit: &Fit) -> Option<String> {
    let scale = data.scale?;
    if !data.falls() {
        return of_platinum(data, scale, fit);
    }
    let betas = Betas::of(data, scale, fit).filter(|betas| !betas.are_usual())?;
    let found = if USUAL.holds(betas.first) && USUAL.holds(betas.last) {
        format!(
            "a beta of {} drifts by {:.0} %, more than that of a thermistor",
            betas.told(),
            betas.drift() * 100.0
        )
    } else {
        let Band { lowest, highest } = USUAL;
        format!("a beta of {} is unusual (thermistors have {lowest:.0} to {highest:.0} K)", betas.told())
    };
    let settled = match on_other_scale(data, scale, fit.kind) {
        Some((betas, other)) => format!(
            "taken as {sign}, the values give a usual one ({}): if the thermometer was in {sign}, write {sign} in the head",
            betas.told(),
            sign = other.sign()
        ),
        None => "check the unit of the values, and that no row has a slip in kΩ and Ω. A reading in ice water (0 °C) and \
                 one in boiling water settle it"
            .to_owned(),
    };
    Some(format!("{found}: {settled}"))
}

fn on_other_scale(data: &Data, scale: Scale, kind: Kind) -> Option<(Betas, Scale)> {
    let (other, data) = converted(data, scale)?;
    let range = Band { lowest: data.lowest(), highest: data.highest() };
    let fit = fit(kind, &data, range).ok()?;
    let betas = Betas::of(&data, other, &fit).filter(|betas| betas.are_usual())?;
    Some((betas, other))
}

fn of_platinum(data: &Data, scale: Scale, fit: &Fit) -> Option<String> {
    let (other, converted) = converted(data, scale).filter(|_| fit.kind != Kind::Platinum)?;
    let range = Band { lowest: converted.lowest(), highest: converted.highest() };
    Trial::of(Kind::Platinum, &converted, range).ok()?;
    Some(format!(
        "the readings do not rise as platinum does, but would if the values were in {sign}: if the thermometer was in \
         {sign}, write {sign} in the head",
        sign = other.sign()
    ))
}

/// The same numbers on the other scale.
fn converted(data: &Data, scale: Scale) -> Option<(Scale, Data)> {
    let (_, other) = scale.unmarked(0.0)?;
    let is_possible = other.kelvin(data.lowest()) > 0.0;
    is_possible.then(|| (other, Data { unit: other.sign().to_owned(), scale: Some(other), ..data.clone() }))
}
