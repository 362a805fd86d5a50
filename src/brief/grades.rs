//! `resistors: grades`: the tolerance grades that can be had, and their prices.

use super::place::At;
use super::reader::{Keys, Value};
use super::resistors::leaves_something;
use super::rule;
use crate::board::{Assumed, Board, Grade, Offer, Price};
use crate::quantity::{Band, Celsius, Fraction, PerKelvin};

/// More than any catalogue has.
const MOST: usize = 50;

/// The greatest price: what costs more is a slip.
const DEAREST: u64 = 1000;

const LIST: &str = "a list such as [{ tolerance: 1 %, tempco: 100 ppm/K, ageing: 1 %, price: 0.01 }]";
pub(super) const PRICE: &str =
    "a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency";

/// Where the brief has no list. The figures are what data sheets of thick film (5 %, 1 %) and thin film (the others) chip
/// resistors have; the prices are invented.
const INVENTED: [Offer; 5] = [
    offer(0.05, 200e-6, 0.03, 50),
    offer(0.01, 100e-6, 0.01, 100),
    offer(0.005, 50e-6, 0.005, 400),
    offer(0.001, 25e-6, 0.003, 1200),
    offer(0.0005, 10e-6, 0.001, 5000),
];

const fn offer(tolerance: f64, tempco: f64, ageing: f64, price: u64) -> Offer {
    Offer {
        tolerance: Fraction(tolerance),
        tempco: PerKelvin(tempco),
        ageing: Fraction(ageing),
        price: Price(price),
    }
}

/// Reads the list. What an entry leaves out is as for all parts.
pub(super) fn read(value: &Value<'_>, of_all: &Grade, ambient: &Band<Celsius>) -> Option<Vec<Offer>> {
    let values = value.list(LIST)?;
    if values.is_empty() || values.len() > MOST {
        let found = if values.is_empty() { "an empty list" } else { "a list of more than 50" };
        value.wrong(found, LIST);
        return None;
    }
    let read: Vec<Option<Offer>> = values.iter().map(|value| one(value, of_all, ambient)).collect();
    for (i, value) in values.iter().enumerate() {
        let same = |earlier: &Option<Offer>| earlier.zip(read[i]).is_some_and(|(a, b)| is_same(&a, &b));
        if let Some(earlier) = read[..i].iter().position(same) {
            value.log.mistake(
                &value.path,
                At::Value,
                format!("the grade of entry {} once more", earlier + 1),
                "each grade once, with one price",
            );
        }
    }
    read.into_iter().collect()
}

fn is_same(a: &Offer, b: &Offer) -> bool {
    (a.tolerance, a.tempco, a.ageing) == (b.tolerance, b.tempco, b.ageing)
}

fn one(value: &Value<'_>, of_all: &Grade, ambient: &Band<Celsius>) -> Option<Offer> {
    let mut keys: Keys<'_> = value.keys("a map such as { tolerance: 1 %, price: 0.01 }")?;
    let tolerance = keys.required("tolerance", "the tolerance of the grade, such as tolerance: 1 %");
    let tolerance = tolerance.map(|value| value.quantity(&rule::SHARE_BELOW_ONE));
    let tempco = keys.get("tempco").map_or(Some(of_all.tempco), |value| value.quantity(&rule::TEMPCO));
    let ageing =
        keys.get("ageing").map_or(Some(of_all.ageing), |value| value.quantity(&rule::SHARE_BELOW_ONE));
    let price = keys.required("price", format!("what one part costs: {PRICE}"));
    let price = price.map(|value| price_of(&value));
    let is_sound = tempco.is_some_and(|tempco| leaves_something(&keys, tempco, ambient));
    keys.finish();
    let offer = Offer { tolerance: tolerance??, tempco: tempco?, ageing: ageing?, price: price?? };
    is_sound.then_some(offer)
}

fn price_of(value: &Value<'_>) -> Option<Price> {
    let price = price(value.text(PRICE)?);
    if price.is_none() {
        value.unlike(PRICE);
    }
    price
}

/// Whole ten-thousandths, from the digits as they stand.
pub(super) fn price(text: &str) -> Option<Price> {
    const PLACES: usize = 4;
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let is_plain = !whole.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let decimals = decimals.trim_end_matches('0');
    let digits = format!("{whole}{decimals:0<PLACES$}");
    let price = digits.parse::<u64>().ok().filter(|_| is_plain && decimals.len() <= PLACES);
    price.filter(|&price| price <= DEAREST * Price::UNITS).map(Price)
}

/// Puts the invented list where there is none, and says so.
pub(super) fn complete(board: &mut Board) {
    if !board.grades.is_empty() {
        return;
    }
    board.grades = INVENTED.to_vec();
    let one = |offer: &Offer| {
        let Offer { tolerance, tempco, ageing, price } = offer;
        format!("{tolerance:#} with {tempco:#} and ageing {ageing:#} at {}", price.in_currency())
    };
    let list: Vec<String> = INVENTED.iter().map(one).collect();
    let value = format!("an invented price list: {}", list.join("; "));
    let behind = board.assumed.iter().rposition(|assumed| assumed.key.starts_with("resistors."));
    let place = behind.map_or(0, |place| place + 1);
    board.assumed.insert(place, Assumed { key: "resistors.grades".to_owned(), value });
    board.remarks.push(
        "the prices of the grades are invented, since `resistors: grades` is not given: give the grades that you can have \
         and what they cost"
            .to_owned(),
    );
}
