//! The series of IEC 60063 against its construction rule, and lists joined from them.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test ends in a panic")]

use itertools::Itertools;
use ohmwright::quantity::{Band, Fraction, Ohms, Quantity};
use ohmwright::series::{Preferred, Series, candidates, deviation, list, neighbours};
use proptest::prelude::*;

/// IEC 60063: the values of an n-step series are 10^(i/n), rounded to its digits.
fn rule(steps: u32, scale: f64) -> Vec<u16> {
    (0..steps).map(|i| (scale * 10_f64.powf(f64::from(i) / f64::from(steps))).round() as u16).collect()
}

/// Where the listed values differ from the rule: index, listed, rule; in units of the last digit.
fn exceptions(series: Series, digit: u16) -> Vec<(usize, u16, u16)> {
    let rule = rule(series.values_per_decade(), f64::from(100 / digit));
    list(series)
        .iter()
        .map(|value| value / digit)
        .zip(rule)
        .enumerate()
        .filter(|(_, (listed, by_rule))| listed != by_rule)
        .map(|(index, (listed, by_rule))| (index, listed, by_rule))
        .collect()
}

#[test]
fn every_series_has_as_many_values_as_its_name_says() {
    assert_eq!(Series::ALL.map(|series| list(series).len()), [3, 6, 12, 24, 48, 96, 192]);
    for series in Series::ALL {
        assert_eq!(series.name(), format!("E{}", series.values_per_decade()));
        assert!(list(series).iter().all(|value| (100..1000).contains(value)), "{series}");
        assert!(list(series).iter().tuple_windows().all(|(a, b)| a < b), "{series} ascends");
    }
}

/// Source: IEC 60063:2015 as discussed in electronics.stackexchange.com question 492084: one value of E192, the 9.20 at
/// index 185, is not the rounded 9.1948.
#[test]
fn fine_series_follow_the_rule_but_for_one_value() {
    assert_eq!(exceptions(Series::E48, 1), []);
    assert_eq!(exceptions(Series::E96, 1), []);
    assert_eq!(exceptions(Series::E192, 1), [(185, 920, 919)]);
}

/// Source: electronics.stackexchange.com question 381446 for the five of E12; E24 adds 3.0, 3.6 and 4.3.
#[test]
fn coarse_series_keep_their_historical_values() {
    let e24 = [
        (10, 27, 26),
        (11, 30, 29),
        (12, 33, 32),
        (13, 36, 35),
        (14, 39, 38),
        (15, 43, 42),
        (16, 47, 46),
        (22, 82, 83),
    ];
    assert_eq!(exceptions(Series::E24, 10), e24);
    let values = |series| exceptions(series, 10).iter().map(|(_, listed, _)| *listed).collect_vec();
    assert_eq!(values(Series::E12), [27, 33, 39, 47, 82]);
    assert_eq!(values(Series::E6), [33, 47]);
    assert_eq!(values(Series::E3), [47]);
    for series in [Series::E3, Series::E6, Series::E12, Series::E24] {
        assert!(list(series).iter().all(|value| value % 10 == 0), "{series} has two digits");
        assert_eq!(series.counting_digits(), 2);
    }
    assert_eq!([Series::E48, Series::E96, Series::E192].map(Series::counting_digits), [3, 3, 3]);
}

/// Source: IEC 60063: within each family the coarser series is every second value of the finer one.
#[test]
fn series_nest_within_their_family() {
    let every_second = |series| list(series).iter().copied().step_by(2).collect_vec();
    for (fine, coarse) in [
        (Series::E6, Series::E3),
        (Series::E12, Series::E6),
        (Series::E24, Series::E12),
        (Series::E96, Series::E48),
        (Series::E192, Series::E96),
    ] {
        assert_eq!(every_second(fine), list(coarse), "{coarse} in {fine}");
    }
}

/// By hand from the tables of IEC 60063.
#[test]
fn the_two_families_share_few_values() {
    let missing =
        |from| list(Series::E24).iter().copied().filter(|value| !list(from).contains(value)).collect_vec();
    assert_eq!(missing(Series::E192), [220, 270, 300, 330, 360, 390, 430, 510, 560, 620, 680, 820, 910]);
    let shared =
        list(Series::E24).iter().copied().filter(|value| list(Series::E96).contains(value)).collect_vec();
    assert_eq!(shared, [100, 110, 130, 150, 200, 750]);
}

/// Source: common practice, the tolerance at which neighbouring values just meet.
#[test]
fn usual_tolerances() {
    let percent = |series: Series| series.usual_tolerance().map(|tolerance| tolerance.to_string());
    assert_eq!(percent(Series::E3), None);
    let others = Series::ALL.into_iter().filter_map(percent).collect_vec();
    assert_eq!(others, ["20 %", "10 %", "5 %", "2 %", "1 %", "0.5 %"]);
}

#[test]
fn names() {
    for series in Series::ALL {
        assert_eq!(series.to_string().parse(), Ok(series));
        assert_eq!(series.name().to_lowercase().parse(), Ok(series));
    }
    assert_eq!(format!("{:>5}|", Series::E24), "  E24|");
    let message = |text: &str| text.parse::<Series>().unwrap_err().to_string();
    assert_eq!(message(""), "found nothing, expected E3, E6, E12, E24, E48, E96 or E192");
    assert_eq!(message("choose"), "found `choose`, expected E3, E6, E12, E24, E48, E96 or E192");
    for text in ["24", "E-24", "E 24", "E25", "E024", "24E"] {
        let expected = "expected E3, E6, E12, E24, E48, E96 or E192; E24 is the nearest";
        assert_eq!(message(text), format!("found `{text}`, {expected}"));
    }
    assert!(message("E100").ends_with("; E96 is the nearest"));
}

fn band(lowest: &str, highest: &str) -> Band<Ohms> {
    Band::between(Ohms::parse(lowest).unwrap(), Ohms::parse(highest).unwrap())
}

fn ohms(values: &[Preferred]) -> Vec<f64> {
    values.iter().map(|preferred| preferred.ohms.0).collect()
}

/// By hand from the tables of IEC 60063.
#[test]
fn candidates_between_two_ends() {
    assert_eq!(
        ohms(&candidates(&[Series::E3], band("10", "1k"))),
        [10.0, 22.0, 47.0, 100.0, 220.0, 470.0, 1000.0]
    );
    assert_eq!(ohms(&candidates(&[Series::E6], band("R47", "2R2"))), [0.47, 0.68, 1.0, 1.5, 2.2]);
    assert_eq!(ohms(&candidates(&[Series::E96], band("11.3k", "11.3k"))), [11_300.0]);
    assert!(candidates(&[Series::E24], band("301", "329")).is_empty());
    assert!(candidates(&[], band("1", "1M")).is_empty());
    assert_eq!(candidates(&[Series::E24], band("10", "1M")).len(), 5 * 24 + 1);
    assert_eq!(candidates(&[Series::E192], band("1", "1M")).len(), 6 * 192 + 1);
    // From 1 µΩ to below 10 TΩ are 19 decades.
    assert_eq!(
        candidates(&[Series::E3], Band { lowest: Ohms(0.0), highest: Ohms(f64::INFINITY) }).len(),
        19 * 3
    );
}

#[test]
fn joined_lists_have_no_doubles_and_name_the_coarsest_series() {
    let joined = candidates(&[Series::E96, Series::E24], band("100", "999"));
    assert_eq!(joined.len(), 96 + 24 - 6);
    assert!(joined.iter().tuple_windows().all(|(a, b)| a.ohms < b.ohms));
    let series_of =
        |value| joined.iter().find(|preferred| preferred.ohms == Ohms(value)).and_then(|p| p.series);
    assert_eq!(series_of(220.0), Some(Series::E24));
    assert_eq!(series_of(221.0), Some(Series::E96));
    assert_eq!(series_of(150.0), Some(Series::E24), "in both");
    let all = candidates(&Series::ALL, band("100", "999"));
    assert_eq!(all.len(), 192 + 13);
    assert_eq!(all[0], Preferred { ohms: Ohms(100.0), series: Some(Series::E3) });
}

/// The text of a value, read by the standard library, is the nearest `f64`: 11.3 kΩ is 11300 Ω and 0.113 Ω is 0.113 Ω.
#[test]
fn every_value_is_exact() {
    for preferred in candidates(&[Series::E192, Series::E24], band("0.000001", "1000G")) {
        let digits = format!("{:.2e}", preferred.ohms.0);
        assert_eq!(digits.parse(), Ok(preferred.ohms.0), "{digits}");
    }
}

#[test]
fn neighbours_of_a_value() {
    let around = |value: &str, series: &[Series]| {
        let found = neighbours(series, Ohms::parse(value).unwrap());
        [found.below, found.exact, found.above].map(|preferred| preferred.map(|preferred| preferred.ohms.0))
    };
    assert_eq!(around("11.3k", &[Series::E24]), [Some(11_000.0), None, Some(12_000.0)]);
    assert_eq!(around("11.3k", &[Series::E96]), [Some(11_000.0), Some(11_300.0), Some(11_500.0)]);
    assert_eq!(around("100", &[Series::E3]), [Some(47.0), Some(100.0), Some(220.0)]);
    assert_eq!(around("99", &[Series::E24]), [Some(91.0), None, Some(100.0)]);
    assert_eq!(around("222", &[Series::E24, Series::E96]), [Some(221.0), None, Some(226.0)]);
    assert_eq!(
        around("0.000001", &[Series::E24]),
        [None, Some(1e-6), Some(1.1e-6)],
        "the least value offered"
    );
    assert_eq!(around("0", &[Series::E24]), [None; 3]);
    assert_eq!(around("5", &[]), [None; 3]);
    for odd in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(neighbours(&[Series::E24], Ohms(odd)), neighbours(&[], Ohms(1.0)));
    }
    // By hand: 12 kΩ is 0.7 kΩ above 11.3 kΩ, 6.195 %.
    let off = deviation(Ohms(12_000.0), Ohms(11_300.0));
    assert_eq!(off.to_string(), "6.195 %");
    assert_eq!(deviation(Ohms(90.0), Ohms(100.0)), Fraction(-0.1));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2048))]

    /// Referee: all values of twelve decades, filtered one by one.
    #[test]
    fn neighbours_are_the_nearest_of_all(exponent in -2.0..8.0_f64, which in 1_usize..128) {
        let value = Ohms(10_f64.powf(exponent));
        let series = Series::ALL.into_iter().filter(|&series| which >> (series as usize) & 1 == 1).collect_vec();
        let all = candidates(&series, band("0.001", "1G"));
        let found = neighbours(&series, value);
        let below = all.iter().copied().rfind(|preferred| preferred.ohms < value);
        let above = all.iter().copied().find(|preferred| preferred.ohms > value);
        prop_assert_eq!((found.below, found.above), (below, above));
        prop_assert_eq!(found.exact, all.iter().copied().find(|preferred| preferred.ohms == value));
    }

    /// Referee: every value of every series asked, from its text.
    #[test]
    fn candidates_are_exactly_the_values_in_the_band(a in -1.0..7.0_f64, b in -1.0..7.0_f64, which in 1_usize..128) {
        let between = Band::between(Ohms(10_f64.powf(a)), Ohms(10_f64.powf(b)));
        let series = Series::ALL.into_iter().filter(|&series| which >> (series as usize) & 1 == 1).collect_vec();
        let texts = series.iter().flat_map(|&series| list(series)).unique().cartesian_product(-4..6);
        let values = texts.map(|(digits, power)| format!("{digits}e{power}").parse::<f64>().expect("a number"));
        let expected = values.filter(|&value| between.holds(Ohms(value))).sorted_by(f64::total_cmp).collect_vec();
        let found = candidates(&series, between);
        prop_assert_eq!(ohms(&found), expected);
        for preferred in found {
            let digits = (preferred.ohms.0 / 10_f64.powf(preferred.ohms.0.log10().floor() - 2.0)).round() as u16;
            let coarsest = series.iter().copied().filter(|&series| list(series).contains(&digits)).min();
            prop_assert_eq!(preferred.series, coarsest);
        }
    }
}
