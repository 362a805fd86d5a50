//! `ambient` and `bench`: temperatures of life and of the test bench.

use super::place::At;
use super::reader::Keys;
use super::rule;
use crate::board::Bench;
use crate::quantity::{Band, Celsius, Fraction};

const AMBIENT: Band<Celsius> = Band { lowest: Celsius(-20.0), highest: Celsius(70.0) };
const BENCH: Band<Celsius> = Band { lowest: Celsius(20.0), highest: Celsius(30.0) };

/// Temperatures in which the board lives.
pub(super) fn read(board: &mut Keys<'_>) -> Band<Celsius> {
    let Some(mut keys) = board.section("ambient", "a map such as { lowest: -20 °C, highest: 70 °C }")
    else {
        return AMBIENT;
    };
    let lowest = keys.quantity_or("lowest", &rule::TEMPERATURE, AMBIENT.lowest);
    let highest = keys.quantity_or("highest", &rule::TEMPERATURE, AMBIENT.highest);
    let (log, path) = (keys.log, keys.path.clone());
    keys.finish();
    let (Some(lowest), Some(highest)) = (lowest, highest) else { return AMBIENT };
    if lowest <= highest {
        return Band { lowest, highest };
    }
    let found = format!("lowest {lowest:#}, highest {highest:#}");
    log.mistake(&path, At::Key, found, "the lowest temperature not above the highest");
    AMBIENT
}

/// The test bench.
pub(super) fn read_bench(board: &mut Keys<'_>) -> Bench {
    let usual = Bench { temperature: BENCH, decade_box: Fraction(0.001) };
    let expected = "a map such as { temperature: 20 °C .. 30 °C, decade_box: 0.1 % }";
    let Some(mut keys) = board.section("bench", expected) else { return usual };
    let temperature = keys.band_or("temperature", &rule::TEMPERATURE, BENCH);
    let decade_box = keys.quantity_or("decade_box", &rule::SHARE_BELOW_ONE, usual.decade_box);
    keys.finish();
    Bench { temperature: temperature.unwrap_or(BENCH), decade_box: decade_box.unwrap_or(usual.decade_box) }
}
