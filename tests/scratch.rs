#![allow(missing_docs, clippy::all, clippy::pedantic, clippy::unwrap_used, clippy::print_stdout)]
use ohmwright::board::*;
use ohmwright::case::Case;
use ohmwright::curve::Curve;
use ohmwright::quantity::*;
use ohmwright::series::{Series, candidates};

fn grade() -> Grade {
    Grade { tolerance: Fraction(0.01), tempco: PerKelvin(1e-4), ageing: Fraction(0.01), rating: Watts(0.125), working_voltage: Volts(150.0),
        derated_from: Celsius(70.0), derated_to_zero: Celsius(155.0), derate_to: Fraction(0.6) }
}
fn part(role: Role, choice: Choice) -> Part { Part { role, choice, grade: grade() } }
fn ch(s: &[Series]) -> Choice { Choice::Choose { candidates: candidates(s, Band::between(Ohms(10.0), Ohms(1e6))), or_none: false } }
fn ch6(s: &[Series]) -> Choice { Choice::Choose { candidates: candidates(s, Band::between(Ohms(1.0), Ohms(1e6))), or_none: false } }
fn lims() -> Limits { Limits { converter_range: Setting::Usual, pin_current: Setting::Usual, dissipation: Setting::Usual, part_voltage: Setting::Usual, settling: Setting::Usual,
  source_resistance: Setting::Off, leakage_error: Setting::Off, sender_current: Setting::Off, wetting_current: Setting::Off, supply_current: Setting::Off, input_resistance: Setting::Off } }
fn board(inputs: Vec<Input>) -> Board {
    Board { name: "b".into(), supply: Supply { swing: Band::between(Volts(9.0), Volts(25.0)), usual: Volts(13.2), contact: Volts(25.0), surge: None, reversed: None },
      ambient: Band::between(Celsius(-20.0), Celsius(70.0)),
      rails: vec![Rail { name: "logic".into(), voltage: Volts(5.0), tolerance: Fraction(0.02), sink_current: Amperes(0.0), least_load: Amperes(0.0), on_when_reversed: false }],
      converter: Converter { bits: 10, reference: Reference::Rail(RailId(0)), usable: None, headroom: Fraction(0.0), offset: Counts(2.0), gain: Fraction(0.005), inl: Counts(1.0), noise: Counts(0.0), leakage: Amperes(1e-6), clamp: Volts(0.5), clamp_rail: RailId(0), pin_current: Amperes(1e-3),
        sampling: Sampling { capacitor: Farads(14e-12), resistance: Ohms(1e4), time: Seconds(12e-6), period: Seconds(10e-3), settles_to: Counts(0.5) } },
      bench: Bench { temperature: Band::between(Celsius(20.0), Celsius(30.0)), decade_box: Fraction(0.001) }, inputs, assumed: vec![], remarks: vec![] }
}
fn pull_up(a: f64, b: f64, parts: Vec<Part>) -> Input {
    Input { name: "in".into(), circuit: Circuit::PullUp, drive: Drive::Sender(Sender { curve: Curve::new("%", vec![(0.0, Ohms(a)), (100.0, Ohms(b))]).unwrap(), tolerance: Fraction(0.0), accuracy: 0.0 }),
      excitation: Some(Excitation::Rail(RailId(0))), existing: None, wire: Band::exactly(Ohms(0.0)), ground_shift: Band::exactly(Volts(0.0)), fluid: None, parts, capacitor: Some(Farads(1e-7)), zone: None,
      checkpoints: vec![0.0, 25.0, 50.0, 75.0, 100.0], survive: vec![Case::WireOpen, Case::WireToGround], limits: lims(), alarms: vec![] }
}
#[test]
fn bare() {
    for s in [vec![Series::E24], vec![Series::E192]] {
        let i = pull_up(240.0, 33.0, vec![part(Role::PullUp, ch(&s)), part(Role::Protection, ch(&s))]);
        let b = board(vec![i]);
        let t = std::time::Instant::now();
        let o = ohmwright::search::choose(&b, &b.inputs[0]);
        println!("{:?} {:?}", t.elapsed(), o);
    }
    let b = board(vec![pull_up(240.0, 33.0, vec![part(Role::PullUp, ch(&[Series::E24])), part(Role::Protection, ch(&[Series::E24]))])]);
    let t = std::time::Instant::now();
    let a = ohmwright::examine::answer(&b, "x");
    println!("{:?}", t.elapsed());
    println!("{}", serde_json::to_string_pretty(&a).unwrap());
}
#[test]
fn three() {
    for (name, roles) in [("pu shunt prot", vec![Role::PullUp, Role::Shunt, Role::Protection]), ("line pu prot", vec![Role::Line, Role::PullUp, Role::Protection])] {
        let s = [Series::E192];
        let i = pull_up(240.0, 33.0, roles.iter().map(|&r| part(r, ch6(&s))).collect());
        let b = board(vec![i]);
        let t = std::time::Instant::now();
        let o = ohmwright::search::choose(&b, &b.inputs[0]);
        println!("{name} {:?} {} of {} {:?}", t.elapsed(), o.examined, o.combinations, o.best);
    }
    let s = [Series::E96];
    let i = pull_up(240.0, 33.0, [Role::PullUp, Role::Top, Role::Bottom, Role::Protection].iter().map(|&r| part(r, ch6(&s))).collect());
    let b = board(vec![i]);
    let t = std::time::Instant::now();
    let o = ohmwright::search::choose(&b, &b.inputs[0]);
    if true {println!("4 {:?} {} of {} {:?}", t.elapsed(), o.examined, o.combinations, o.best);}
}
