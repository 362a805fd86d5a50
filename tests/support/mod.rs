//! Boards and inputs for tests, built directly, and boards that nobody would build.
#![allow(dead_code, reason = "every test file uses its own share")]

pub(crate) mod dice;
pub(crate) mod drawing;
pub(crate) mod network;
pub(crate) mod program;

use ohmwright::board::{
    Accuracy, Aim, Bench, Board, Capacitor, Choice, Circuit, Converter, Drive, Excitation, Grade, Input,
    Limits, Part, Rail, RailId, Reference, Role, Sampling, Sender, Setting, Signal, Supply,
};
use ohmwright::case::Case;
use ohmwright::circuit::{Far, Outlook, Place, Situation, Values, situations_of};
use ohmwright::curve::Curve;
use ohmwright::quantity::{
    Amperes, Band, Celsius, Counts, Farads, Fraction, Ohms, PerKelvin, Seconds, Volts, Watts,
};

/// A rail of the board.
pub(crate) fn rail(name: &str, voltage: f64, tolerance: f64) -> Rail {
    Rail {
        name: name.to_owned(),
        voltage: Volts(voltage),
        tolerance: Fraction(tolerance),
        sink_current: Amperes(0.0),
        least_load: Amperes(0.0),
        on_when_reversed: false,
    }
}

/// A board without any error: 5 V rail, 10 bits, nothing leaks, nothing drifts; a vehicle supply of 9 V to 16 V.
pub(crate) fn ideal_board(input: Input) -> Board {
    Board {
        name: "ideal".to_owned(),
        supply: Supply {
            swing: Band { lowest: Volts(9.0), highest: Volts(16.0) },
            usual: Volts(13.2),
            contact: Volts(32.0),
            surges: Vec::new(),
            reversed: None,
            jump_start: None,
            cranking: None,
            change_between_samples: Volts(0.0),
        },
        ambient: Band { lowest: Celsius(25.0), highest: Celsius(25.0) },
        rails: vec![rail("logic", 5.0, 0.0)],
        converter: Converter {
            bits: 10,
            reference: Reference::Rail(RailId(0)),
            usable: None,
            headroom: Fraction(0.0),
            offset: Counts(0.0),
            gain: Fraction(0.0),
            inl: Counts(0.0),
            noise: Counts(0.0),
            leakage: Amperes(0.0),
            clamp: Volts(0.5),
            clamp_rail: RailId(0),
            pin_current: Amperes(1e-3),
            sampling: Sampling {
                capacitor: Farads(14e-12),
                resistance: Ohms(10e3),
                time: Seconds(12e-6),
                period: Seconds(10e-3),
                settles_to: Counts(0.5),
            },
        },
        bench: Bench {
            temperature: Band { lowest: Celsius(20.0), highest: Celsius(30.0) },
            decade_box: Fraction(0.0),
        },
        inputs: vec![input],
        grades: Vec::new(),
        assumed: Vec::new(),
        remarks: Vec::new(),
        doubts: Vec::new(),
    }
}

/// A grade with this tolerance and nothing else; 125 mW, 150 V.
pub(crate) fn grade(tolerance: f64) -> Grade {
    Grade {
        tolerance: Fraction(tolerance),
        tempco: PerKelvin(0.0),
        ageing: Fraction(0.0),
        rating: Watts(0.125),
        working_voltage: Volts(150.0),
        derated_from: Celsius(70.0),
        derated_to_zero: Celsius(155.0),
        derate_to: Fraction(0.6),
        momentary: None,
    }
}

/// A fitted part with this tolerance and no other error.
pub(crate) fn part(role: Role, ohms: f64, tolerance: f64) -> Part {
    Part {
        role,
        choice: Choice::Fixed(Ohms(ohms)),
        grade: grade(tolerance),
        has_own_grade: false,
        tracks: None,
        stock: None,
    }
}

/// A sender that reads 0 to 100 and has no error.
pub(crate) fn sender(first: f64, last: f64) -> Drive {
    let points = vec![(0.0, Ohms(first)), (100.0, Ohms(last))];
    Drive::Sender(Sender {
        curve: Curve::new("%", points).expect("two different ends"),
        tolerance: Fraction(0.0),
        accuracy: Accuracy::NONE,
        self_heating: None,
    })
}

/// A stiff voltage that is what is measured.
pub(crate) fn signal(first: f64, last: f64) -> Signal {
    Signal {
        curve: Curve::new("V", vec![(first, Volts(first)), (last, Volts(last))]).expect("two different ends"),
        from_supply: false,
        scales_with: None,
        resistance: Ohms(0.0),
    }
}

/// An input without wire resistance, ground shift, capacitor and alarms.
pub(crate) fn input(circuit: Circuit, drive: Drive, parts: Vec<Part>) -> Input {
    let excited = matches!(circuit, Circuit::PullUp | Circuit::PullDown);
    Input {
        name: "input".to_owned(),
        circuit,
        drive,
        senders: Vec::new(),
        variants: 1,
        assemblies: Vec::new(),
        excitation: excited.then_some(Excitation::Rail(RailId(0))),
        corrected_by: None,
        bias_to: (circuit == Circuit::LevelShift).then_some(RailId(0)),
        existing: None,
        gauge: None,
        wet: None,
        clamp: None,
        wire: Band::exactly(Ohms(0.0)),
        ground_shift: Band::exactly(Volts(0.0)),
        fluid: None,
        parts,
        capacitor: Capacitor::Absent,
        zone: None,
        aim: Aim::Span,
        checkpoints: Vec::new(),
        calibration: None,
        survive: vec![Case::WireOpen, Case::WireToGround],
        limits: usual_limits(),
        alarms: Vec::new(),
    }
}

fn usual_limits() -> Limits {
    Limits {
        converter_range: Setting::Usual,
        pin_current: Setting::Usual,
        dissipation: Setting::Usual,
        part_voltage: Setting::Usual,
        settling: Setting::Usual,
        source_resistance: Setting::Usual,
        leakage_error: Setting::Usual,
        sender_current: Setting::Usual,
        wetting_current: Setting::Usual,
        sender_power: Setting::Usual,
        supply_current: Setting::Usual,
        input_resistance: Setting::Usual,
        compliance: Setting::Usual,
        error: Setting::Usual,
        rail_backfeed: Setting::Off,
        filter_time: Setting::Off,
        fault_gap: Setting::Off,
    }
}

/// The situations of the first input over its life, with the values that it has.
pub(crate) fn life(board: &Board, case: Case, place: Place) -> Vec<Situation> {
    let input = &board.inputs[0];
    situations_of(board, input, &Values::given(input), case, Outlook::Life, place)
}

/// Normal use over the whole range, over the life of the first input.
pub(crate) fn normal_use(board: &Board) -> Situation {
    life(board, Case::Normal, Place::Range).swap_remove(0)
}

/// The same board and sender at the first and at the last value of the range.
pub(crate) fn both_ends(board: &Board) -> [Situation; 2] {
    let (first, last) = board.inputs[0].range();
    [first, last].map(|value| life(board, Case::Normal, Place::Exactly(value)).swap_remove(0))
}

/// One board out of the box: every voltage and every resistance at a share (0 to 1) of its band.
pub(crate) fn at_shares(situation: &Situation, voltages: &[f64], resistances: &[f64]) -> Situation {
    let mut one = situation.clone();
    for (band, &share) in one.sources.iter_mut().zip(voltages) {
        *band = Band::exactly(Volts(between(band.lowest.0, band.highest.0, share)));
    }
    if let Far::Flows(band) = &mut one.far {
        // A current takes the place of the first voltage, remote ground, which means nothing beside it.
        *band = Band::exactly(Amperes(between(band.lowest.0, band.highest.0, voltages[0])));
    }
    for (band, &share) in one.resistances.iter_mut().zip(resistances) {
        *band = Band::exactly(Ohms(if band.highest.0.is_infinite() {
            // Up to open: by its conductance.
            band.lowest.0 / (1.0 - share)
        } else {
            between(band.lowest.0, band.highest.0, share)
        }));
    }
    one
}

/// Exactly the ends at 0 and at 1, never outside in between.
fn between(lowest: f64, highest: f64, share: f64) -> f64 {
    let inside = if share <= 0.5 {
        lowest + (highest - lowest) * share
    } else {
        highest - (highest - lowest) * (1.0 - share)
    };
    inside.clamp(lowest, highest)
}
