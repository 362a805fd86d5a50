//! Numbers and names as people read them.

use itertools::Itertools;

use crate::answer::{CountBand, PartAnswer, ReadingBand};
use crate::quantity::{Amperes, Counts, Farads, Ohms, Seconds, Volts, Watts};

/// A value with the unit of a limit.
pub(super) fn quantity(value: f64, unit: &str) -> String {
    match unit {
        "V" => Volts(value).to_string(),
        "A" => Amperes(value).to_string(),
        "W" => Watts(value).to_string(),
        "Ω" => Ohms(value).to_string(),
        "s" => Seconds(value).to_string(),
        "counts" => Counts(value).to_string(),
        "of the reference" => percent(value),
        _ => format!("{} {unit}", digits(value)),
    }
}

/// A number without unit: at most six significant digits and no trailing zeros.
pub(super) fn plain(value: f64) -> String {
    if !value.is_finite() {
        return if value > 0.0 { "unlimited" } else { "none" }.to_owned();
    }
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    // Adding 0 turns -0 into 0.
    (rounded + 0.0).to_string()
}

/// Four significant digits are enough for what is not a part.
pub(super) fn rounded(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}

/// A number with four significant digits.
pub(super) fn digits(value: f64) -> String {
    plain(rounded(value))
}

/// A number with so many decimals; what rounds to 0 has no sign.
pub(super) fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// How many decimals show a thousandth of a range.
pub(super) fn places_for(range: f64) -> usize {
    if range > 0.0 { (3.0 - range.log10().floor()).clamp(0.0, 6.0) as usize } else { 3 }
}

/// A value of what is measured with its unit.
pub(super) fn value(value: f64, unit: &str) -> String {
    format!("{} {unit}", plain(value)).trim_end().to_owned()
}

/// Truncated counts from end to end.
pub(super) fn counts(band: CountBand) -> String {
    if band.lowest == band.highest {
        decimals(band.lowest, 0)
    } else {
        format!("{}..{}", decimals(band.lowest, 0), decimals(band.highest, 0))
    }
}

/// Readings from end to end.
pub(super) fn readings(band: ReadingBand, places: usize) -> String {
    format!("{}..{}", decimals(band.lowest, places), decimals(band.highest, places))
}

/// `1 part`, `2 parts`; large numbers in groups of three.
pub(super) fn count_of(number: u64, one: &str, many: &str) -> String {
    format!("{} {}", grouped(number), if number == 1 { one } else { many })
}

/// A large number in groups of three with no-break spaces between them.
pub(super) fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let groups = digits.as_bytes().rchunks(3).rev();
    groups.map(String::from_utf8_lossy).join("\u{a0}")
}

/// A share with few digits, for comparisons; what is not nothing never looks like nothing.
pub(super) fn percent(share: f64) -> String {
    let percent = share * 100.0;
    let places = match percent.abs() {
        0.0 => 0,
        small if small < 0.095 => (-small.log10().floor()).clamp(1.0, 9.0) as usize,
        some if some < 9.95 => 1,
        _ => 0,
    };
    format!("{} %", decimals(percent, places))
}

/// The value of a part with every digit.
pub(super) fn part_value(part: &PartAnswer) -> String {
    match part {
        PartAnswer::Resistor { ohm, .. } => format!("{:#}", Ohms(*ohm)),
        PartAnswer::Capacitor { farad, .. } => format!("{:#}", Farads(*farad)),
    }
}

/// What a part is for, in plain words.
pub(super) fn purpose(circuit: &str, part: &str) -> &'static str {
    match (circuit, part) {
        (_, "line") => "in the wire, before the node",
        (_, "pull_up") => "feeds the sender from its excitation",
        (_, "pull_down") => "pulls the node to ground",
        ("pull-up", "shunt") => "beside the sender, to ground",
        ("pull-up", "top") => "divider behind the sender, upper part",
        ("pull-up", "bottom") => "divider behind the sender, lower part",
        ("level-shift", "top") => "from the source to the node",
        (_, "bias") => "lifts the node towards its rail",
        ("level-shift", "bottom") => "from the node to ground",
        (_, "burden") => "turns the current into a voltage",
        (_, "extension") => "in front, for a higher voltage",
        (_, "top") => "divider, upper part",
        (_, "bottom") => "divider, lower part, to ground",
        (_, "protection") => "limits the current into the pin",
        (_, "capacitor") => "from the pin to ground",
        _ => "",
    }
}

/// What helps where a limit excludes every choice; common practice. About settling the remarks say more.
pub(super) fn remedy(limit: &str) -> Option<&'static str> {
    let remedy = match limit {
        "settling" => return None,
        "converter_range" => "a wider choice of values (series, between), or less to be measured",
        "pin_current" => "more protection (between), or a lower contact or surge voltage",
        "dissipation" => {
            "parts that stand more (size, rating, in a short case momentary), or a lower excitation"
        }
        "part_voltage" => "parts that stand more (size, working_voltage)",
        "source_resistance" => "smaller values (between), or a capacitor at the pin",
        "leakage_error" | "wetting_current" => "smaller values (between)",
        "sender_current" | "sender_power" | "supply_current" => {
            "larger values (between), or a lower excitation"
        }
        "input_resistance" => "larger values (between)",
        "compliance" => "smaller values (between), less wire, or a transmitter that drives more",
        "error" => "better parts (tolerance, tempco, ageing), a better reference, or a zone that is narrower",
        "rail_backfeed" => {
            "larger values (between), a rail that sinks more (sink_current, least_load), or a lower contact"
        }
        "filter_time" => "larger values in front of the pin (between), or a larger capacitor",
        "fault_gap" => "a sender that stays away from the ends, more headroom, or another pull_up (between)",
        _ => "a limit that is wider than it has to be",
    };
    Some(remedy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::{CIRCUITS, Of};
    use crate::limits::LIMITS;

    #[test]
    fn numbers_have_the_digits_that_matter() {
        assert_eq!(plain(33.333_333_333_333_336), "33.3333");
        assert_eq!(plain(-0.0), "0");
        assert_eq!(decimals(-0.04, 1), "0.0");
        assert_eq!(decimals(-0.06, 1), "-0.1");
        assert_eq!([100.0, 32.0, 10.0, 1.0, 5000.0, 0.0].map(places_for), [1, 2, 2, 3, 0, 3]);
        assert_eq!(grouped(48_400), "48\u{a0}400");
        assert_eq!(grouped(1_000_007), "1\u{a0}000\u{a0}007");
        assert_eq!(grouped(7), "7");
        assert_eq!(percent(0.0123), "1.2 %");
        assert_eq!(percent(0.5), "50 %");
        assert_eq!(percent(0.0), "0 %");
        assert_eq!([9.5e-4, 9.4e-4, 2.1e-4, 3e-6].map(percent), ["0.1 %", "0.09 %", "0.02 %", "0.0003 %"]);
        assert_eq!(count_of(1, "value", "values"), "1 value");
    }

    #[test]
    fn values_carry_their_unit() {
        assert_eq!(quantity(0.012_345, "A"), "12.35 mA");
        assert_eq!(quantity(f64::INFINITY, "A"), "unlimited");
        assert_eq!(quantity(0.976, "of the reference"), "98 %");
        assert_eq!(quantity(2.5, "bar"), "2.5 bar");
    }

    #[test]
    fn bands_show_one_count_where_there_is_one() {
        assert_eq!(counts(CountBand { lowest: 7.0, highest: 7.0 }), "7");
        assert_eq!(counts(CountBand { lowest: 7.0, highest: 1023.0 }), "7..1023");
    }

    #[test]
    fn every_limit_and_every_part_has_its_words() {
        for limit in LIMITS {
            assert_eq!(remedy(limit.name).is_none(), limit.name == "settling");
            assert_ne!(remedy(limit.name), remedy("else"), "{}", limit.name);
        }
        for plan in CIRCUITS {
            assert_ne!(purpose(plan.name, "capacitor"), "");
            for (of, _) in plan.elements {
                if let Of::Part(role) = of {
                    assert_ne!(purpose(plan.name, role.key()), "", "{} {}", plan.name, role.key());
                }
            }
        }
    }
}
