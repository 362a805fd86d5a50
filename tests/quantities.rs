//! Quantities: reading, refusing, printing, and the way there and back.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test ends in a panic")]

use std::fmt::Debug;

use ohmwright::quantity::{
    Amperes, Celsius, Counts, Farads, Fraction, Joules, Ohms, Pascals, PerKelvin, Quantity, Seconds, Volts,
    Watts, WattsPerKelvin, parse_range,
};
use proptest::prelude::*;

#[track_caller]
fn reads<Q: Quantity + Debug>(expected: Q, texts: &[&str]) {
    for text in texts {
        assert_eq!(Q::parse(text), Ok(expected), "{text}");
    }
}

#[track_caller]
fn refuses<Q: Quantity + Debug>(text: &str, message: &str) {
    assert_eq!(Q::parse(text).unwrap_err().to_string(), message);
}

#[track_caller]
fn refuses_range<Q: Quantity + Debug>(text: &str, message: &str) {
    assert_eq!(parse_range::<Q>(text).unwrap_err().to_string(), message);
}

/// Source: IEC 60062 as quoted in the encyclopedia article "RKM code".
#[test]
fn letter_codes_of_the_standard() {
    reads(Ohms(0.47), &["R47"]);
    reads(Ohms(4.7), &["4R7"]);
    reads(Ohms(470.0), &["470R"]);
    reads(Ohms(4_700.0), &["4K7"]);
    reads(Ohms(47_000.0), &["47K"]);
    reads(Ohms(47_300.0), &["47K3"]);
    reads(Ohms(470_000.0), &["470K"]);
    reads(Ohms(4_700_000.0), &["4M7"]);
}

/// Source: ordering rules of chip resistor data sheets (RC_L series, 2018; TNPW, document 31006; a current-sense series).
#[test]
fn letter_codes_of_data_sheets() {
    reads(Ohms(97.6), &["97R6"]);
    reads(Ohms(9_760.0), &["9K76"]);
    reads(Ohms(1e6), &["1M", "1M0"]);
    reads(Ohms(0.1), &["R10"]);
    reads(Ohms(0.047), &["R047"]);
    reads(Ohms(10.0), &["10R"]);
    reads(Ohms(3_010_000.0), &["3M01"]);
    reads(Ohms(8_870_000.0), &["8M87"]);
    reads(Ohms(1.0), &["1R0"]);
    reads(Ohms(82.5), &["82R5"]);
}

#[test]
fn resistances() {
    reads(
        Ohms(150.0),
        &["150", "150 Ω", "150 \u{2126}", "150Ω", "150 ohm", "150 ohms", "150 Ohm", "150R", " 150 R "],
    );
    reads(
        Ohms(4_700.0),
        &["4.7 kΩ", "4.7kΩ", "4.7 KΩ", "4.7 kohm", "4.7 k ohm", "4.7k", "4k7", "4k7 Ω", "4.7e3", "47E2 Ω"],
    );
    reads(Ohms(11_300.0), &["11.3 kΩ", "11k3", "0.0113 MΩ", "+11300"]);
    reads(Ohms(2.2e9), &["2.2 GΩ", "2G2", "2200 Mohm"]);
    reads(Ohms(0.0), &["0", "0R", "0 Ω", "-0", "0.000"]);
    reads(Ohms(0.5), &[".5", "0.5", "0R5", "500e-3 Ω", "0.5\u{A0}Ω"]);
    assert_eq!("4k7".parse(), Ok(Ohms(4_700.0)));
}

#[test]
fn milliohms_only_where_they_belong() {
    for text in ["50 mΩ", "50mohm", "50 mOhm", "0.05", "0.05 Ω", "R05"] {
        assert_eq!(Ohms::parse_small(text), Ok(Ohms(0.05)), "{text}");
    }
    assert_eq!(Ohms::parse_small("1 MΩ"), Ok(Ohms(1e6)));
    assert_eq!(Ohms::parse_small_range("0 .. 50 mΩ"), Ok((Ohms(0.0), Ohms(0.05))));
    assert_eq!(Ohms::parse_small_range("0 Ω .. 2 Ω"), Ok((Ohms(0.0), Ohms(2.0))));
    for text in ["5 mΩ", "5 mohm"] {
        let message =
            "(m is milli, M is mega), expected `5 MΩ` for mega or `0.005 Ω` for milli, whichever is meant";
        refuses::<Ohms>(text, &format!("found `{text}` {message}"));
    }
    let message = "found `4m7` (m is milli, M is mega), expected `4.7 MΩ` for mega or `0.0047 Ω` for milli, whichever is meant";
    refuses::<Ohms>("4m7", message);
    let message = "found `5m` (m is milli, M is mega), expected `5 MΩ` for mega or `0.005 Ω` for milli, whichever is meant";
    refuses::<Ohms>("5m", message);
    assert_eq!(Ohms::parse_small("5m").unwrap_err().to_string(), message);
}

#[test]
fn other_quantities() {
    reads(Volts(3.3), &["3.3 V", "3.3", "3300 mV", "3.3e6 µV", "3.3e6 uV", "0.0033 kV"]);
    reads(Volts(-0.05), &["-50 mV", "\u{2212}50 mV", "-0.05"]);
    reads(Amperes(0.02), &["20 mA", "0.02", "20000 µA", "20000 \u{3BC}A", "20000uA", "2e7 nA"]);
    reads(Amperes(-0.004), &["-4 mA"]);
    reads(Watts(0.125), &["125 mW", "0.125", "0.125W", "125000 µW", "0.000125 kW"]);
    reads(Farads(33e-9), &["33 nF", "33n", "0.033 µF", "0.033u", "33000 pF", "33e-9", "33n0"]);
    reads(Farads(4.7e-9), &["4n7", "4n7F", "4.7 nF", "4700p"]);
    reads(Farads(4.7e-6), &["4u7", "4µ7", "4\u{3BC}7", "4.7 uF"]);
    reads(Seconds(2.5), &["2.5 s", "2.5", "2500 ms"]);
    reads(Seconds(12e-6), &["12 µs", "12 \u{3BC}s", "12 us", "12000 ns"]);
    reads(Fraction(0.01), &["1 %", "1%", "1.0 %"]);
    reads(Fraction(0.0), &["0", "0 %"]);
    reads(PerKelvin(1e-4), &["100 ppm/K", "100", "100 ppm/°C", "0.01 %/K"]);
    reads(PerKelvin(-4e-4), &["-400 ppm/K"]);
    reads(WattsPerKelvin(2e-3), &["2 mW/K", "0.002 W/K", "2 mW/°C", "0.002", "2000 uW/K"]);
    reads(Counts(2.0), &["2 counts", "2", "2 count"]);
    reads(Counts(1.0), &["1 count"]);
}

/// By hand: the scales are exact by definition, so the values have to be.
#[test]
fn temperatures() {
    reads(Celsius(80.0), &["80 °C", "80°C", "80 \u{BA}C", "80 C", "80 degC", "176 °F", "176 F", "353.15 K"]);
    reads(Celsius(0.0), &["0 °C", "32 °F", "273.15 K"]);
    reads(Celsius(-40.0), &["-40 °C", "-40 °F", "233.15 K"]);
    reads(Celsius(-273.15), &["0 K", "-459.67 °F"]);
    reads(Celsius(37.0), &["98.6 °F", "310.15 K"]);
}

/// 1 psi = 0.45359237 kg · 9.80665 m/s² / (0.0254 m)² = 6894.757293168361 Pa by definition of pound, gravity and inch.
#[test]
fn pressures() {
    reads(Pascals(2e5), &["2 bar", "200 kPa", "0.2 MPa", "2000 mbar", "2000 hPa", "200000", "200000 Pa"]);
    reads(Pascals(6_894.757_293_168_361), &["1 psi"]);
    let by_hand = 199_947.961_501_882_5;
    assert!((Pascals::parse("29 psi").unwrap().0 - by_hand).abs() < 1e-9);
}

/// By hand: the text with its exponent, read by the standard library, is the nearest `f64`; a factor would miss it.
#[test]
fn values_are_correctly_rounded() {
    for tenths in 1_u32..2000 {
        let text = format!("{}.{}", tenths / 10, tenths % 10);
        let nearest = |exponent: i32| format!("{text}e{exponent}").parse::<f64>().unwrap();
        assert_eq!(Farads::parse(&format!("{text} nF")), Ok(Farads(nearest(-9))));
        assert_eq!(Ohms::parse(&format!("{text} kΩ")), Ok(Ohms(nearest(3))));
        assert_eq!(Amperes::parse(&format!("{text} µA")), Ok(Amperes(nearest(-6))));
        assert_eq!(PerKelvin::parse(&text), Ok(PerKelvin(nearest(-6))));
        assert_eq!(Fraction::parse(&format!("{text} %")), Ok(Fraction(nearest(-2))));
    }
}

#[test]
fn texts_that_are_no_number() {
    refuses::<Ohms>("", "found nothing, expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Volts>("  ", "found nothing, expected a voltage such as 3.3 V");
    refuses::<Fraction>("%", "found `%` (no number), expected a share such as 1 %");
    refuses::<Ohms>("Ω", "found `Ω` (no number), expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Ohms>("choose", "found `choose` (no number), expected a resistance such as 4.7 kΩ or 4k7");
    for text in ["nan", "NaN", ".nan", "inf", ".inf", "-.inf", "-inf", "+inf", "infinity", ".Inf"] {
        let message = format!("found `{text}` (not a finite number), expected a voltage such as 3.3 V");
        refuses::<Volts>(text, &message);
    }
    refuses::<Ohms>(
        "0x10",
        "found `0x10` (a hexadecimal number), expected a resistance such as 4.7 kΩ or 4k7, in decimal digits",
    );
    refuses::<Ohms>(
        "a text that goes on and on and on, far beyond any resistance",
        "found `a text that goes on and on and on, far b…` (a comma), expected a resistance such as 4.7 kΩ or 4k7",
    );
    refuses::<Ohms>(
        "5\n6 \u{7}",
        r"found `5\n6 \u{7}` (a blank inside the number), expected the number in one piece: `56 \u{7}`",
    );
}

#[test]
fn numbers_that_are_not_in_one_piece() {
    refuses::<Ohms>("4,7 k", "found `4,7 k` (a decimal comma), expected a decimal point: `4.7 k`");
    refuses::<Ohms>("240,5 Ω", "found `240,5 Ω` (a decimal comma), expected a decimal point: `240.5 Ω`");
    refuses::<Ohms>("1,000", "found `1,000` (a comma), expected `1.000` or `1000`, whichever is meant");
    refuses::<Ohms>(
        "1,000,000 Ω",
        "found `1,000,000 Ω` (commas in the number), expected the number in one piece: `1000000 Ω`",
    );
    refuses::<Volts>("5, V", "found `5, V` (a comma), expected a voltage such as 3.3 V");
    refuses::<Ohms>(
        "1 000",
        "found `1 000` (a blank inside the number), expected the number in one piece: `1000`",
    );
    refuses::<Ohms>(
        "1 000 000 Ω",
        "found `1 000 000 Ω` (a blank inside the number), expected the number in one piece: `1000000 Ω`",
    );
    refuses::<Ohms>(
        "1_000",
        "found `1_000` (an underscore in the number), expected the number in one piece: `1000`",
    );
    refuses::<Ohms>(
        "240..33",
        "found `240..33` (a range), expected one value: a resistance such as 4.7 kΩ or 4k7",
    );
}

#[test]
fn letters_too_many() {
    for (text, letter, value) in [
        ("4k7k", 'k', "4k7"),
        ("47KK", 'K', "47K"),
        ("4K7J", 'J', "4K7"),
        ("47RF", 'F', "47R"),
        ("47kR", 'R', "47k"),
    ] {
        let message = format!(
            "found `{text}` (`{letter}` is a letter too many), \
             expected one letter, such as `{value}`; a tolerance stands on its own"
        );
        refuses::<Ohms>(text, &message);
    }
    refuses::<Ohms>("4k7 V", "found `4k7 V` (a voltage), expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Ohms>(
        "4k7 k",
        "found `4k7 k` (`k` is a letter too many), expected one letter, such as `4k7`; a tolerance stands on its own",
    );
    refuses::<Ohms>(
        "4.7k7",
        "found `4.7k7` (`k7` is no unit of a resistance), expected a resistance such as 4.7 kΩ or 4k7",
    );
    refuses::<Ohms>(
        "4k7.5",
        "found `4k7.5` (`.5` is no unit of a resistance), expected a resistance such as 4.7 kΩ or 4k7",
    );
    refuses::<Ohms>(
        "4 k 7",
        "found `4 k 7` (`k 7` is no unit of a resistance), expected a resistance such as 4.7 kΩ or 4k7",
    );
}

#[test]
fn wrong_and_missing_units() {
    refuses::<Ohms>("5 V", "found `5 V` (a voltage), expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Ohms>("5 F", "found `5 F` (a capacitance), expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Ohms>("5 %", "found `5 %` (a share), expected a resistance such as 4.7 kΩ or 4k7");
    refuses::<Volts>("5 kΩ", "found `5 kΩ` (a resistance), expected a voltage such as 3.3 V");
    refuses::<Volts>("5 K", "found `5 K` (a temperature), expected a voltage such as 3.3 V");
    refuses::<Volts>("5 k", "found `5 k` (`k` is no unit of a voltage), expected a voltage such as 3.3 V");
    refuses::<Seconds>("5 mA", "found `5 mA` (a current), expected a time such as 2.5 s or 12 µs");
    refuses::<Amperes>("20 mW", "found `20 mW` (a power), expected a current such as 20 mA");
    refuses::<Watts>("2 bar", "found `2 bar` (a pressure), expected a power such as 125 mW");
    refuses::<Celsius>("5 V", "found `5 V` (a voltage), expected a temperature such as 80 °C");
    refuses::<Pascals>(
        "2 counts",
        "found `2 counts` (a number of counts), expected a pressure such as 2 bar",
    );
    refuses::<Farads>("2 s", "found `2 s` (a time), expected a capacitance such as 33 nF or 4n7");
    refuses::<Fraction>(
        "100 ppm/K",
        "found `100 ppm/K` (a change with temperature), expected a share such as 1 %",
    );
    refuses::<PerKelvin>(
        "1 %",
        "found `1 %` (a share), expected a change with temperature such as 100 ppm/K",
    );
    refuses::<Counts>(
        "5 mm",
        "found `5 mm` (`mm` is no unit of a number of counts), expected a number of counts such as 2 counts",
    );
    refuses::<Amperes>("20 MA", "found `20 MA` (`MA` is not `mA`), expected `20 mA`, if that is meant");
    refuses::<Volts>("5v", "found `5v` (`v` is not `V`), expected `5 V`, if that is meant");
    refuses::<Farads>("33 nf", "found `33 nf` (`nf` is not `nF`), expected `33 nF`, if that is meant");
    refuses::<Celsius>(
        "80",
        "found `80` (a temperature needs its unit), expected `80 °C`, `80 °F` or `80 K`",
    );
    refuses::<Celsius>("0", "found `0` (a temperature needs its unit), expected `0 °C`, `0 °F` or `0 K`");
    refuses::<Fraction>(
        "0.02",
        "found `0.02` (a share needs its unit), expected `2 %` or `0.02 %`, whichever is meant",
    );
    refuses::<Fraction>(
        "5",
        "found `5` (a share needs its unit), expected `500 %` or `5 %`, whichever is meant",
    );
}

#[test]
fn values_that_do_not_exist() {
    refuses::<Volts>("1e400", "found `1e400` (too large a number), expected a voltage such as 3.3 V");
    refuses::<Volts>("-1e400", "found `-1e400` (too large a number), expected a voltage such as 3.3 V");
    refuses::<Ohms>(
        "1e306 kΩ",
        "found `1e306 kΩ` (too large a number), expected a resistance such as 4.7 kΩ or 4k7",
    );
    refuses::<Volts>(
        "1e99999999999",
        "found `1e99999999999` (too large a number), expected a voltage such as 3.3 V",
    );
    refuses::<Celsius>(
        "1e400 °F",
        "found `1e400 °F` (too large a number), expected a temperature such as 80 °C",
    );
    refuses::<Celsius>(
        "1e400 K",
        "found `1e400 K` (too large a number), expected a temperature such as 80 °C",
    );
    refuses::<Volts>("1e-400", "found `1e-400` (too small a number), expected a voltage such as 3.3 V");
    refuses::<Ohms>(
        "-5 Ω",
        "found `-5 Ω` (negative), expected a resistance such as 4.7 kΩ or 4k7, not below 0",
    );
    refuses::<Ohms>(
        "-4k7",
        "found `-4k7` (negative), expected a resistance such as 4.7 kΩ or 4k7, not below 0",
    );
    refuses::<Farads>(
        "-1 nF",
        "found `-1 nF` (negative), expected a capacitance such as 33 nF or 4n7, not below 0",
    );
    refuses::<Seconds>(
        "-1 s",
        "found `-1 s` (negative), expected a time such as 2.5 s or 12 µs, not below 0",
    );
    refuses::<Watts>("-1 W", "found `-1 W` (negative), expected a power such as 125 mW, not below 0");
}

#[track_caller]
fn reads_range<Q: Quantity + Debug>(first: Q, second: Q, texts: &[&str]) {
    for text in texts {
        assert_eq!(parse_range(text), Ok((first, second)), "{text}");
    }
}

#[test]
fn ranges() {
    reads_range(
        Ohms(240.0),
        Ohms(33.0),
        &["240 Ω .. 33 Ω", "240..33", "240 .. 33 Ω", "240R..33R", "240 Ω..33"],
    );
    reads_range(Ohms(1_000.0), Ohms(47_000.0), &["1k..47k", "1k .. 47 kΩ", "1 .. 47 kΩ", "1..47kohm"]);
    // A prefix alone belongs to its own number.
    reads_range(Ohms(1.0), Ohms(47_000.0), &["1..47k", "1..47K", "1 Ω .. 47 kΩ"]);
    reads_range(Ohms(240.0), Ohms(4_700.0), &["240..4k7"]);
    reads_range(Ohms(1.0), Ohms(0.47), &["1..R47", "1 .. .47"]);
    reads_range(Volts(0.0), Volts(32.0), &["0..32V", "0 V .. 32 V", "0..32"]);
    reads_range(Volts(-0.05), Volts(0.05), &["-50..50 mV", "-50 mV .. +50 mV"]);
    reads_range(Volts(0.15), Volts(2.45), &["0.15 V .. 2.45 V", "0.15..2.45V"]);
    reads_range(Amperes(0.004), Amperes(0.02), &["4..20 mA", "4 mA .. 20 mA", "4 mA..0.02"]);
    reads_range(Celsius(-20.0), Celsius(120.0), &["-20 °C .. 120 °C", "-20..120 °C"]);
    reads_range(Celsius(0.0), Celsius(10.0), &["273.15..283.15 K", "32 .. 50 °F", "0 °C .. 50 °F"]);
    reads_range(Fraction(0.0), Fraction(0.05), &["0..5 %", "0 % .. 5 %"]);
    reads_range(Farads(1e-9), Farads(47e-9), &["1..47 nF", "1n..47n"]);
    reads_range(Counts(1.0), Counts(3.0), &["1..3", "1 count .. 3 counts", "1..3 counts"]);
}

#[test]
fn ranges_that_are_none() {
    let ends = "expected two ends with .. between them, each a voltage such as 3.3 V";
    for (text, odd) in [
        ("", "empty"),
        ("5 V", "not a range"),
        ("0-32 V", "not a range"),
        ("..5", "an end is missing"),
        ("5 V ..", "an end is missing"),
        ("..", "an end is missing"),
        ("5...10", "dots too many"),
        ("1..2..3", "dots too many"),
    ] {
        refuses_range::<Volts>(text, &format!("found `{text}` ({odd}), {ends}"));
    }
    refuses_range::<Volts>("0,5..1", "found `0,5` (a decimal comma), expected a decimal point: `0.5`");
    refuses_range::<Volts>("0..5 Ω", "found `0 Ω` (a resistance), expected a voltage such as 3.3 V");
    refuses_range::<Celsius>(
        "-20..120",
        "found `-20` (a temperature needs its unit), expected `-20 °C`, `-20 °F` or `-20 K`",
    );
    refuses_range::<Celsius>(
        "10 °C .. 20",
        "found `20` (a temperature needs its unit), expected `20 °C`, `20 °F` or `20 K`",
    );
    refuses_range::<Ohms>(
        "-5..5",
        "found `-5` (negative), expected a resistance such as 4.7 kΩ or 4k7, not below 0",
    );
}

#[track_caller]
fn prints(short: &str, exact: &str, value: impl std::fmt::Display) {
    assert_eq!(format!("{value}"), short);
    assert_eq!(format!("{value:#}"), exact);
}

#[test]
fn printing() {
    prints("1.000 kΩ", "999.96 Ω", Ohms(999.96));
    prints("999.9 Ω", "999.94 Ω", Ohms(999.94));
    prints("1 kΩ", "1 kΩ", Ohms(1_000.0));
    prints("300 Ω", "300 Ω", Ohms(300.0));
    prints("27 kΩ", "27 kΩ", Ohms(27_000.0));
    prints("4.713 kΩ", "4.7126 kΩ", Ohms(4_712.6));
    prints("1.000 MΩ", "999.9999 kΩ", Ohms(999_999.9));
    prints("0.47 Ω", "0.47 Ω", Ohms(0.47));
    prints("0.005 Ω", "0.005 Ω", Ohms(0.005));
    prints("2.2 GΩ", "2.2 GΩ", Ohms(2.2e9));
    prints("0 Ω", "0 Ω", Ohms(0.0));
    prints("0 V", "0 V", Volts(-0.0));
    prints("71.77 mW", "71.7661 mW", Watts(0.071_766_1));
    prints("300.0 mV", "300.00000000000004 mV", Volts(0.1 + 0.2));
    prints("-50 mV", "-50 mV", Volts(-0.05));
    prints("-1.000 V", "-999.99 mV", Volts(-0.999_99));
    prints("20 mA", "20 mA", Amperes(0.02));
    prints("1 µA", "1 µA", Amperes(1e-6));
    prints("100 nF", "100 nF", Farads(1e-7));
    prints("14 pF", "14 pF", Farads(14e-12));
    prints("470 µF", "470 µF", Farads(4.7e-4));
    prints("0 F", "0 F", Farads(0.0));
    prints("12 µs", "12 µs", Seconds(12e-6));
    prints("1 %", "1 %", Fraction(0.01));
    prints("33.33 %", "33.33333333333333 %", Fraction(1.0 / 3.0));
    prints("0 %", "0 %", Fraction(0.0));
    prints("100 ppm/K", "100 ppm/K", PerKelvin(1e-4));
    prints("-400 ppm/K", "-400 ppm/K", PerKelvin(-4e-4));
    assert_eq!(
        [Joules(0.364_81), Joules(60.0), Joules(0.0)].map(|j| j.to_string()),
        ["364.8 mJ", "60 J", "0 J"]
    );
    prints("2 mW/K", "2 mW/K", WattsPerKelvin(2e-3));
    prints("80 °C", "80 °C", Celsius(80.0));
    prints("-40 °C", "-40 °C", Celsius(-40.0));
    prints("2 bar", "2 bar", Pascals(2e5));
    prints("0.5 bar", "0.5 bar", Pascals(5e4));
    prints("2 counts", "2 counts", Counts(2.0));
    prints("1 count", "1 count", Counts(1.0));
    prints("-1 count", "-1 count", Counts(-1.0));
    prints("1.000 counts", "1.00001 counts", Counts(1.000_01));
    // No digit of an integer is lost.
    prints("65535 counts", "65535 counts", Counts(65_535.0));
    prints("65536 counts", "65535.6 counts", Counts(65_535.6));
    prints("unlimited", "unlimited", Ohms(f64::INFINITY));
    prints("-unlimited", "-unlimited", Volts(f64::NEG_INFINITY));
    prints("undefined", "undefined", Volts(f64::NAN));
    assert_eq!(
        format!("{:>9}|{:<9}|{:^9}", Ohms(300.0), Ohms(300.0), Ohms(300.0)),
        "    300 Ω|300 Ω    |  300 Ω  "
    );
    assert_eq!(format!("{:.2}", Ohms(4_712.6)), "4.713 kΩ");
}

/// Every printed value reads back: exactly from `{:#}`, and from `{}` to half a unit of the fourth digit.
fn there_and_back<Q>(value: f64, wrap: fn(f64) -> Q, unwrap: fn(Q) -> f64) -> Result<(), TestCaseError>
where
    Q: Quantity + Debug + std::fmt::Display,
{
    let (exact, short) = (format!("{:#}", wrap(value)), format!("{}", wrap(value)));
    prop_assert_eq!(Q::parse(&exact).map(unwrap), Ok(value), "{}", exact);
    let back = Q::parse(&short).map(unwrap).map_err(|error| TestCaseError::fail(error.to_string()))?;
    // The error is at most half a unit of the fourth digit of the value, and a whisker for the division itself.
    let unit_of_fourth_digit = 10_f64.powf(value.abs().log10().floor() - 3.0);
    prop_assert!(
        (back - value).abs() <= 0.5 * unit_of_fourth_digit * (1.0 + 1e-9),
        "{} from {:e}",
        short,
        value
    );
    Ok(())
}

/// What has four digits or fewer is printed as it is.
fn unchanged<Q>(value: f64, wrap: fn(f64) -> Q) -> Result<(), TestCaseError>
where
    Q: Quantity + Debug + std::fmt::Display,
{
    let (exact, short) = (format!("{:#}", wrap(value)), format!("{}", wrap(value)));
    prop_assert_eq!(&exact, &short);
    prop_assert_eq!(Q::parse(&short), Ok(wrap(value)));
    Ok(())
}

/// Numbers of every length over many decades, from far below to far above what occurs at the bench.
fn positive() -> impl Strategy<Value = f64> {
    let any_digits = (1.0..10.0_f64, -30..30_i32).prop_map(|(digits, decade)| digits * 10_f64.powi(decade));
    prop_oneof![any_digits, 1e-12..1e12_f64, Just(999.95), Just(f64::MIN_POSITIVE), Just(1.234_567_89e299)]
}

fn four_digits() -> impl Strategy<Value = f64> {
    (1..10_000_u32, -30..30_i32)
        .prop_map(|(digits, decade)| format!("{digits}e{decade}").parse().expect("a number"))
}

macro_rules! round_trips {
    ($($test:ident $short:ident: $quantity:ident, $sign:expr;)*) => {
        proptest! {
            #![proptest_config(ProptestConfig::with_cases(4096))]
            $(
                #[test]
                fn $test(value in positive(), negative in any::<bool>()) {
                    let value = if negative && $sign { -value } else { value };
                    there_and_back(value, $quantity, |quantity| quantity.0)?;
                }

                #[test]
                fn $short(value in four_digits(), negative in any::<bool>()) {
                    unchanged(if negative && $sign { -value } else { value }, $quantity)?;
                }
            )*
        }
    };
}

round_trips! {
    ohms_there_and_back ohms_of_four_digits: Ohms, false;
    volts_there_and_back volts_of_four_digits: Volts, true;
    amperes_there_and_back amperes_of_four_digits: Amperes, true;
    watts_there_and_back watts_of_four_digits: Watts, false;
    farads_there_and_back farads_of_four_digits: Farads, false;
    seconds_there_and_back seconds_of_four_digits: Seconds, false;
    fraction_there_and_back fraction_of_four_digits: Fraction, true;
    per_kelvin_there_and_back per_kelvin_of_four_digits: PerKelvin, true;
    celsius_there_and_back celsius_of_four_digits: Celsius, true;
    pascals_there_and_back pascals_of_four_digits: Pascals, true;
    counts_there_and_back counts_of_four_digits: Counts, true;
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4096))]

    /// No text ends the program, and what is read is finite and has the right sign.
    #[test]
    fn any_text_is_read_or_refused(text in "[-+0-9.,_ eExkKMmRΩµunpFVA%°C]{0,10}|\\PC{0,8}") {
        if let Ok(Ohms(ohms)) = Ohms::parse(&text) {
            prop_assert!(ohms.is_finite() && ohms >= 0.0);
        }
        if let Ok(Farads(farads)) = Farads::parse(&text) {
            prop_assert!(farads.is_finite() && farads >= 0.0);
        }
        if let Ok(Celsius(degrees)) = Celsius::parse(&text) {
            prop_assert!(degrees.is_finite());
        }
        let _ = parse_range::<Volts>(&text);
        let _ = parse_range::<Ohms>(&text);
    }
}
