//! States of wiring and supply.

use itertools::Itertools;

use super::page::{Flush, Page};
use super::words::{counts, plain};
use crate::answer::{CaseRow, CountBand, InputAnswer};
use crate::quantity::{Amperes, Joules, Watts};

use Flush::{Left, Right};

/// Every case with its counts and loads, normal use first.
pub(super) fn table(page: &mut Page, input: &InputAnswer) {
    if input.cases.is_empty() {
        return;
    }
    let columns = [
        ("case", Left),
        ("counts", Right),
        ("told apart", Left),
        ("pin current", Right),
        ("hottest part", Left),
    ];
    let normal = input.working_band.map(|band| {
        let texts = ["normal use".to_owned(), counts(band), String::new(), String::new(), String::new()];
        texts.to_vec()
    });
    let rows = normal.into_iter().chain(input.cases.iter().map(|case| case_row(case, input)));
    page.table(&columns, rows.collect());
    let alike = alike(input);
    let energies: Vec<String> = input.cases.iter().filter_map(energy).collect();
    for sentences in [alike, energies] {
        if !sentences.is_empty() {
            page.gap();
            page.items("", &sentences);
        }
    }
}

/// One sentence for each set of faults that may show the same counts.
fn alike(input: &InputAnswer) -> Vec<String> {
    let sets = input.cases.iter().filter(|row| !row.alike.is_empty()).map(|row| {
        let mut names = row.alike.clone();
        names.push(row.case);
        names.sort_by_key(|name| input.cases.iter().position(|row| row.case == *name));
        names
    });
    let sets = sets.unique().map(|names| match names.split_last() {
        Some((last, rest)) => {
            format!("No count tells these from each other: {} and {last}.", rest.join(", "))
        }
        None => String::new(),
    });
    sets.collect()
}

/// The part that takes up most while a case lasts that is known to end.
fn energy(row: &CaseRow) -> Option<String> {
    let energies = row.parts.0.iter().filter_map(|(role, load)| Some((role, load.energy_j?)));
    let (role, energy) = energies.max_by(|a, b| a.1.total_cmp(&b.1))?;
    (energy > 0.0).then(|| format!("While it lasts, {} leaves up to {} in {role}.", row.case, Joules(energy)))
}

fn case_row(row: &CaseRow, input: &InputAnswer) -> Vec<String> {
    let band = match row.count {
        Some(band) => counts(band),
        None if row.floating => "any: floats".to_owned(),
        None => "converter off".to_owned(),
    };
    vec![
        row.case.to_owned(),
        band,
        told_apart(row, input),
        Amperes(row.pin_current_a).to_string(),
        hottest(row),
    ]
}

/// Whether the firmware can tell the case from normal use, and by which count.
fn told_apart(row: &CaseRow, input: &InputAnswer) -> String {
    match (row.distinguishable, row.threshold, row.count, input.working_band) {
        (None, ..) if row.floating => "NO".to_owned(),
        (None, ..) => "-".to_owned(),
        (Some(false), _, Some(case), Some(normal)) if is_normal_use(row, case, normal, input) => {
            "as normal use".to_owned()
        }
        (Some(false), ..) => "NO".to_owned(),
        (Some(true), Some(threshold), Some(case), Some(normal)) => {
            // Counts are whole numbers: above 747.5 and above 747 are the same.
            let is_below = case.highest < normal.lowest;
            let (side, count) =
                if is_below { ("below", threshold.ceil()) } else { ("above", threshold.floor()) };
            format!("yes, {side} {}", plain(count))
        }
        (Some(true), ..) => "yes".to_owned(),
    }
}

/// Cases in which the wire of a measured supply is on a supply.
const SUPPLIES: [&str; 4] = ["wire to supply", "surge", "jump start", "cranking"];

/// Whatever a supply does that is measured is no fault of the input as long as it reads what is there.
fn is_normal_use(row: &CaseRow, case: CountBand, normal: CountBand, input: &InputAnswer) -> bool {
    let is_inside = normal.lowest <= case.lowest && case.highest <= normal.highest;
    SUPPLIES.contains(&row.case) && is_inside && measures_supply(input)
}

/// A voltage that draws from the vehicle's supply with the board off is that supply.
fn measures_supply(input: &InputAnswer) -> bool {
    let is_voltage = input.checkpoints.iter().any(|point| point.source_volt.is_some());
    is_voltage && input.supply_current_board_off_a.is_some()
}

/// Watts below which no part gets warm.
const COOL: f64 = 1e-6;

/// The part that has to bear most, unless all stay cool.
fn hottest(row: &CaseRow) -> String {
    let loads = row.parts.0.iter().filter(|(_, load)| load.dissipation_w >= COOL);
    let most = loads.max_by(|(_, a), (_, b)| a.dissipation_w.total_cmp(&b.dissipation_w));
    most.map_or_else(|| "-".to_owned(), |(role, load)| format!("{role} {}", Watts(load.dissipation_w)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{
        Checkpoint, CheckpointCount, CheckpointReading, Load, Ordered, ReadingBand, Verdict,
    };

    fn input(lowest: f64, highest: f64) -> InputAnswer {
        InputAnswer {
            circuit: "pull-up",
            unit: "%".to_owned(),
            aim: "span",
            verdict: Verdict::Holds,
            parts: Ordered::default(),
            span: None,
            resolution: None,
            error: None,
            straight_line: None,
            stack_up: None,
            calibration: None,
            limits: Vec::new(),
            working_band: Some(CountBand { lowest, highest }),
            checkpoints: Vec::new(),
            cases: Vec::new(),
            soft_faults: Vec::new(),
            alarms: Vec::new(),
            ranking: Vec::new(),
            monte_carlo: None,
            about: None,
            senders: Ordered::default(),
            supply_current_board_off_a: None,
            trade: Vec::new(),
            advice: Vec::new(),
            conflict: Vec::new(),
            remarks: Vec::new(),
            cautions: Vec::new(),
            search: None,
            runners_up: None,
        }
    }

    fn case(count: Option<(f64, f64)>, distinguishable: Option<bool>, threshold: Option<f64>) -> CaseRow {
        CaseRow {
            case: "wire open",
            count: count.map(|(lowest, highest)| CountBand { lowest, highest }),
            floating: false,
            distinguishable,
            gap_counts: None,
            threshold,
            alike: Vec::new(),
            pin_current_a: 0.0,
            survive: true,
            parts: Ordered::default(),
        }
    }

    #[test]
    fn a_case_is_told_apart_by_a_whole_count() {
        let normal = input(90.0, 472.0);
        let above = case(Some((1010.0, 1023.0)), Some(true), Some(741.5));
        assert_eq!(told_apart(&above, &normal), "yes, above 741");
        let below = case(Some((0.0, 9.0)), Some(true), Some(49.5));
        assert_eq!(told_apart(&below, &normal), "yes, below 50");
        assert_eq!(told_apart(&case(Some((80.0, 100.0)), Some(false), None), &normal), "NO");
        assert_eq!(told_apart(&case(None, None, None), &normal), "-");
    }

    /// A supply that is measured: its voltage is known, and it delivers with the board off.
    fn measured_supply(lowest: f64, highest: f64) -> InputAnswer {
        let count = CountBand { lowest, highest };
        let reading = ReadingBand { lowest, highest };
        let checkpoint = Checkpoint {
            value: 32.0,
            sender_ohm: None,
            source_volt: Some(32.0),
            source_ampere: None,
            counts_per_unit: 30.0,
            count: CheckpointCount { nominal: highest, life: count, bench: count },
            reading: Some(CheckpointReading {
                nominal: highest,
                life: reading,
                bench: reading,
                ..CheckpointReading::default()
            }),
        };
        InputAnswer {
            checkpoints: vec![checkpoint],
            supply_current_board_off_a: Some(5e-4),
            ..input(lowest, highest)
        }
    }

    #[test]
    fn a_wire_on_the_measured_supply_is_normal_use() {
        let chafed = |lowest, highest| CaseRow {
            case: "wire to supply",
            ..case(Some((lowest, highest)), Some(false), None)
        };
        let supply = measured_supply(0.0, 1019.0);
        assert_eq!(told_apart(&chafed(882.0, 1019.0), &supply), "as normal use");
        assert_eq!(told_apart(&chafed(882.0, 1020.0), &supply), "NO");
        let started = CaseRow { case: "jump start", ..chafed(600.0, 700.0) };
        assert_eq!(told_apart(&started, &supply), "as normal use");
        assert_eq!(told_apart(&case(Some((0.0, 5.0)), Some(false), None), &supply), "NO");
        // A sensor whose wire lies on the supply reads wrong, and nobody sees it.
        let sensor = InputAnswer { supply_current_board_off_a: None, ..measured_supply(0.0, 1019.0) };
        assert_eq!(told_apart(&chafed(688.0, 797.0), &sensor), "NO");
        // So does a sender that the supply excites.
        let sender = InputAnswer { supply_current_board_off_a: Some(5e-4), ..input(0.0, 1019.0) };
        assert_eq!(told_apart(&chafed(688.0, 797.0), &sender), "NO");
    }

    #[test]
    fn what_ends_leaves_an_energy() {
        let with = |energy_j| {
            let load = |energy_j| Load { dissipation_w: 1.0, energy_j, voltage_v: 1.0 };
            let parts =
                Ordered(vec![("top".to_owned(), load(energy_j)), ("bottom".to_owned(), load(Some(0.0)))]);
            energy(&CaseRow { case: "surge", parts, ..case(None, None, None) })
        };
        let expected = "While it lasts, surge leaves up to 364.8 mJ in top.";
        assert_eq!(with(Some(0.364_81)).as_deref(), Some(expected));
        assert_eq!(with(None), None);
    }

    #[test]
    fn parts_that_stay_cool_are_not_named() {
        let with = |dissipation_w| {
            let load = Load { dissipation_w, energy_j: None, voltage_v: 1.0 };
            let parts = Ordered(vec![("top".to_owned(), load)]);
            hottest(&CaseRow { parts, ..case(None, None, None) })
        };
        assert_eq!(with(0.99e-6), "-");
        assert_eq!(with(1e-6), "top 1 µW");
    }

    #[test]
    fn a_floating_pin_and_a_converter_that_is_off_are_two_things() {
        let off = case_row(&case(None, None, None), &input(0.0, 1.0));
        assert_eq!(off[1], "converter off");
        let floats = CaseRow { floating: true, ..case(None, None, None) };
        assert_eq!(case_row(&floats, &input(0.0, 1.0))[1..3], ["any: floats".to_owned(), "NO".to_owned()]);
    }
}
