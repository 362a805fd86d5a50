//! `capacitor`: the capacitor at the pin, given, left out, or to be chosen.

use super::place::At;
use super::reader::{Keys, Value, band_text};
use super::resistors;
use super::rule;
use super::words::near;
use crate::board::{Capacitor, Limits, Setting};
use crate::quantity::{Band, Farads, Ohms};
use crate::series::{Series, candidates};

const USUAL: Farads = Farads(100e-9);

/// From what a capacitor is chosen unless the brief says otherwise: ceramic ones, in the series in which they are sold.
const BETWEEN: Band<Farads> = Band { lowest: Farads(1e-9), highest: Farads(10e-6) };
const SERIES: [Series; 1] = [Series::E6];

/// Reads the key. A mistake reads as the usual capacitor.
pub(super) fn read(keys: &mut Keys<'_>) -> Capacitor {
    let Some(value) = keys.get("capacitor") else {
        return Capacitor::Fixed(keys.assume("capacitor", USUAL, format!("{USUAL:#}")));
    };
    let expected =
        "choose, none, a capacitance such as 100 nF, or a map such as { choose: 1 nF .. 1 µF, series: E6 }";
    match value.as_text() {
        Some("none") => Capacitor::Absent,
        Some("choose") => {
            keys.log.assume(&value.path.key("choose"), band_text(&BETWEEN));
            keys.log.assume(&value.path.key("series"), "E6");
            chosen(&value, &SERIES, BETWEEN)
        }
        Some(text) => {
            if let Some(word) =
                near(text, &["choose", "none"]).filter(|_| text.starts_with(char::is_alphabetic))
            {
                value.unlike(format!("{expected}; did you mean `{word}`?"));
                return Capacitor::Fixed(USUAL);
            }
            Capacitor::Fixed(value.quantity(&rule::CAPACITANCE_ABOVE_ZERO).unwrap_or(USUAL))
        }
        None => value.keys(expected).map_or(Capacitor::Fixed(USUAL), described),
    }
}

fn described(mut keys: Keys<'_>) -> Capacitor {
    let range = keys.required("choose", "the values to choose from, such as choose: 1 nF .. 1 µF");
    let series = match keys.get("series") {
        Some(value) => resistors::series(&value),
        None => Some(keys.assume("series", SERIES.to_vec(), "E6")),
    };
    keys.finish();
    let read = || {
        let range = range?;
        let between = range.band(&rule::CAPACITANCE_ABOVE_ZERO)?;
        Some(chosen(&range, &series?, between))
    };
    read().unwrap_or(Capacitor::Fixed(USUAL))
}

/// The standard values of a band: the series of resistors serve for capacitors, too (IEC 60063), here in picofarads.
fn chosen(value: &Value<'_>, series: &[Series], between: Band<Farads>) -> Capacitor {
    const PICO: f64 = 1e12;
    // Room for the rounding of the ends.
    let picofarads = Band {
        lowest: Ohms(between.lowest.0 * PICO * (1.0 - 1e-12)),
        highest: Ohms(between.highest.0 * PICO * (1.0 + 1e-12)),
    };
    let found: Vec<Farads> = candidates(series, picofarads).iter().map(|p| Farads(p.ohms.0 / PICO)).collect();
    if found.is_empty() {
        value.wrong(
            format!("{} with no standard value in it", band_text(&between)),
            "a range with a value of the series in it, such as 1 nF .. 1 µF",
        );
        return Capacitor::Fixed(USUAL);
    }
    Capacitor::Choose(found)
}

/// A capacitor that nothing asks for cannot be chosen.
pub(super) fn is_asked_for(keys: &Keys<'_>, capacitor: &Capacitor, limits: &Limits) {
    let is_free = limits.settling == Setting::Off && limits.filter_time == Setting::Off;
    if matches!(capacitor, Capacitor::Choose(_)) && is_free {
        let path = keys.path.key("capacitor");
        let expected = "a value, or a limit to choose it by: settling, or filter_time";
        keys.log.mistake(&path, At::Value, "a choice with settling off", expected);
    }
}
