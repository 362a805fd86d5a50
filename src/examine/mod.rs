//! From a board to the answer: chooses what is to be chosen, and examines every input with its parts.

mod advice;
mod alarms;
mod beside;
mod calibration;
mod capacitor;
mod cases;
mod cautions;
mod checkpoints;
mod family;
mod grades;
mod purchase;
mod rails;
mod reasons;
mod remarks;
mod rows;
mod several;
mod sharing;
mod size;
mod soft_faults;
mod stack_up;
mod worth;

pub use family::{alone, bought};
pub use grades::answer_with_grades;
pub use purchase::{add_purchase, purchase, shortages};
pub use sharing::{Sharing, answer_shared};

use crate::answer::{
    Answer, Assumed, CountBand, Excluded, InputAnswer, Ordered, PartAnswer, PartValue, ReadingBand, RunnerUp,
    Search, Span, Verdict,
};
use crate::board::{Aim, Board, Capacitor, Choice, Input, Part, Role};
use crate::circuit::{Outlook, Place, Scene, Values};
use crate::limits::{LIMITS, checks_of};
use crate::quantity::{Band, Counts};
use crate::reading::{Firmware, at};
use crate::search::{self, Chosen, Outcome};
use crate::stackup::Trials;
use crate::worst::{count_band, least_span, nominal_span};
use several::Several;

/// Chooses everything that is to be chosen, and examines the result. On a board with nothing left to choose it only
/// examines.
pub fn answer(board: &Board, command: &str) -> Answer {
    answer_with(board, command, None)
}

/// The same with the stack-up of each input: its sources of error and, if `trials` has any, random boards.
pub fn answer_with(board: &Board, command: &str, trials: Option<&Trials<'_>>) -> Answer {
    let choices = choices(board);
    let fitted = fitted(board, &choices);
    let answers = board.inputs.iter().zip(&choices);
    let answers = answers.map(|(input, choice)| choice.examined(&fitted, input, trials)).collect();
    whole(board, command, answers, &choices)
}

/// The answer for a board from those for its inputs.
fn whole(board: &Board, command: &str, answers: Vec<InputAnswer>, choices: &[Choices]) -> Answer {
    let with_choices = || board.inputs.iter().zip(choices);
    let fitted: Vec<Vec<_>> = with_choices().map(|(input, choice)| choice.fitted(input)).collect();
    let variants = with_choices().flat_map(|(input, choice)| several::rows(board, input, choice)).collect();
    let named = board.inputs.iter().zip(answers).map(|(input, answer)| (input.name.clone(), answer));
    let inputs: Vec<_> = named.collect();
    let rails = rails::of(board, &fitted);
    let of_inputs = inputs.iter().map(|(_, input)| input.verdict).max().unwrap_or(Verdict::Holds);
    let of_rails = if rails.iter().all(|row| row.holds) { Verdict::Holds } else { Verdict::Fails };
    let of_board = rails::cautions(board, &rails).into_iter().chain(cautions::of_board(board, &fitted));
    let assumed =
        board.assumed.iter().map(|a| Assumed { key: a.key.clone(), value: a.value.clone() }).collect();
    Answer {
        ohmwright: env!("CARGO_PKG_VERSION"),
        command: command.into(),
        board: board.name.clone(),
        verdict: of_inputs.max(of_rails),
        assumed,
        cautions: board.doubts.iter().cloned().chain(of_board).collect(),
        remarks: board.remarks.clone(),
        rails,
        inputs: Ordered(inputs),
        variants,
        grades: None,
        share: None,
        purchase: None,
    }
}

/// What was chosen for one input.
#[derive(Clone, Debug)]
enum Choices {
    /// Nothing was to be chosen.
    Given(Chosen),
    /// What the search found.
    Searched(Outcome),
    /// For several senders.
    Several(Box<Several>),
}

impl Choices {
    fn of(board: &Board, input: &Input) -> Self {
        if !input.senders.is_empty() {
            return Self::Several(Box::new(Several::of(board, input)));
        }
        if input.is_open() {
            return Self::Searched(search::choose(board, input));
        }
        let values = Values::given(input);
        Self::Given(Chosen { values, series: Vec::new(), assured: Counts(0.0), aim: 0.0 })
    }

    /// The values, if there are any.
    fn best(&self) -> Option<&Chosen> {
        match self {
            Self::Given(given) => Some(given),
            Self::Searched(outcome) => outcome.best.as_ref(),
            Self::Several(several) => several.first(),
        }
    }

    /// The values of every set of parts.
    fn sets(&self) -> impl Iterator<Item = Values> {
        let sets = match self {
            Self::Several(several) => several.sets(),
            Self::Given(_) | Self::Searched(_) => {
                self.best().map(|chosen| chosen.values).into_iter().collect()
            }
        };
        sets.into_iter()
    }

    /// Puts the values into an input, if there are any.
    fn fit(&self, input: &mut Input) {
        match self {
            Self::Several(several) => several.fit(input),
            Self::Given(_) | Self::Searched(_) => {
                if let Some(chosen) = self.best() {
                    fit_parts(&mut input.parts, &chosen.values);
                }
            }
        }
    }

    /// The input with its values, for each of its senders; nothing where no choice exists.
    fn fitted(&self, input: &Input) -> Vec<(Input, Values)> {
        match self {
            Self::Several(several) => several.fitted(input),
            Self::Given(_) | Self::Searched(_) => {
                self.best().map(|chosen| (input.clone(), chosen.values)).into_iter().collect()
            }
        }
    }

    fn outcome(&self) -> Option<&Outcome> {
        match self {
            Self::Given(_) | Self::Several(_) => None,
            Self::Searched(outcome) => Some(outcome),
        }
    }

    /// The answer for the input, on a board on which what corrects it has its values.
    fn examined(&self, board: &Board, input: &Input, trials: Option<&Trials<'_>>) -> InputAnswer {
        match (self.best(), self) {
            (_, Self::Several(several)) => several::examined(board, input, several, trials),
            (None, Self::Searched(outcome)) => impossible(board, input, outcome),
            (None, Self::Given(given)) | (Some(given), _) => {
                examined(board, input, given, self.outcome(), trials)
            }
        }
    }
}

/// What is chosen for each input. What corrects another input is chosen before it.
fn choices(board: &Board) -> Vec<Choices> {
    let first = |input: &Input| input.corrected_by.is_none().then(|| Choices::of(board, input));
    let mut choices: Vec<_> = board.inputs.iter().map(first).collect();
    let fitted = with_values(board, choices.iter().map(Option::as_ref));
    for (input, choice) in board.inputs.iter().zip(&mut choices) {
        choice.get_or_insert_with(|| Choices::of(&fitted, input));
    }
    choices.into_iter().flatten().collect()
}

/// The board with its values where there are any. An input that is corrected keeps its choice, since nothing depends on it.
fn fitted(board: &Board, choices: &[Choices]) -> Board {
    let of_board = board.inputs.iter().zip(choices);
    with_values(board, of_board.map(|(input, choice)| input.corrected_by.is_none().then_some(choice)))
}

fn with_values<'a>(board: &Board, choices: impl Iterator<Item = Option<&'a Choices>>) -> Board {
    let mut board = board.clone();
    for (input, choice) in board.inputs.iter_mut().zip(choices) {
        if let Some(choice) = choice {
            choice.fit(input);
        }
    }
    board
}

/// Gives every part its value.
fn fit_parts(parts: &mut [Part], values: &Values) {
    for part in parts {
        part.choice = values.get(part.role).map_or(Choice::Absent, Choice::Fixed);
    }
}

fn examined(
    board: &Board,
    input: &Input,
    chosen: &Chosen,
    outcome: Option<&Outcome>,
    trials: Option<&Trials<'_>>,
) -> InputAnswer {
    let values = &chosen.values;
    let is_capacitor_chosen = matches!(input.capacitor, Capacitor::Choose(_));
    let input = &*capacitor::chosen(board, input, values);
    let scene = Scene::new(board, input, values);
    let mut limits = rows::of(input, &scene, &checks_of(board, input, &scene));
    if let Some(outcome) = outcome {
        reasons::bind(board, input, outcome, &mut limits);
    }
    let firmware = Firmware::new(board, input, values);
    let normal = &scene.situations[Scene::NORMAL];
    let working = count_band(normal, &normal.resistances);
    let cases = cases::of(board, input, &scene, working);
    let alarms = alarms::of(board, input, &firmware);
    let holds = limits.iter().all(|row| row.holds) && alarms.iter().all(|row| row.holds != Some(false));
    let cautions = cautions::of_input(board, input, &scene)
        .into_iter()
        .chain(beside::leaky(input, &scene))
        .chain(beside::own_clamp_first(board, input, values));
    let span = span(board, input, values, &scene);
    let remarks = beside::of(board, input)
        .into_iter()
        .chain(beside::pulsing(input, &scene))
        .chain(remarks::corrected(board, input, firmware.has_readings()))
        .chain(calibration::remarks(input, &firmware))
        .chain(alarms::remarks(board, input, &firmware))
        .chain(remarks::vague(input, worth::error(&limits)))
        .chain(remarks::warmth(input, &limits))
        .chain(remarks::hidden(board, input, &firmware, working))
        .chain(remarks::capacitor(board, input))
        .chain(remarks::not_there(board, input))
        .chain(remarks::overloads(board, input, &scene))
        .collect();
    let mut answer = InputAnswer {
        circuit: input.circuit.plan().name,
        unit: input.unit().into(),
        aim: input.aim.name(),
        verdict: if holds { Verdict::Holds } else { Verdict::Fails },
        parts: parts(input, chosen, is_capacitor_chosen),
        span: Some(span),
        resolution: Some(worth::resolution(input, firmware.nominal())),
        error: worth::error(&limits),
        straight_line: Some(worth::straight_line(input, firmware.nominal())),
        stack_up: None,
        calibration: calibration::of(board, input, values, &firmware),
        limits,
        working_band: working.map(|band| counts(board.converter.truncated_band(band))),
        checkpoints: checkpoints::of(board, input, values, &firmware),
        cautions: cautions.collect(),
        cases,
        soft_faults: soft_faults::of(board, input, values, &firmware),
        alarms,
        ranking: Vec::new(),
        monte_carlo: None,
        about: None,
        senders: Ordered::default(),
        supply_current_board_off_a: cases::drain(&scene),
        trade: outcome.map_or_else(Vec::new, |_| reasons::trade(board, input, chosen)),
        advice: Vec::new(),
        remarks,
        conflict: Vec::new(),
        search: outcome.map(searched),
        runners_up: outcome.map(|outcome| outcome.runners_up.iter().map(|c| runner_up(input, c)).collect()),
    };
    answer.advice = advice::of(board, input, &answer);
    answer.advice.extend(advice::measure_the_supply(board, input, &scene, &answer));
    if let Some(trials) = trials {
        stack_up::add(board, input, values, &firmware, trials, &mut answer);
    }
    answer
}

/// Nothing fits: only the search has something to say.
fn impossible(board: &Board, input: &Input, outcome: &Outcome) -> InputAnswer {
    let conflict = reasons::conflict(board, input, outcome);
    let mut answer = InputAnswer {
        remarks: beside::of(board, input)
            .into_iter()
            .chain(remarks::capacitor(board, input))
            .chain(remarks::stopped(outcome))
            .chain(remarks::conflict_stopped(outcome, &conflict))
            .collect(),
        conflict: reasons::conflict_rows(input, &conflict),
        search: Some(searched(outcome)),
        runners_up: Some(Vec::new()),
        ..hollow(input)
    };
    answer.advice = advice::of(board, input, &answer);
    answer
}

/// The answer for an input without a choice, of which nothing else is known.
fn hollow(input: &Input) -> InputAnswer {
    InputAnswer {
        circuit: input.circuit.plan().name,
        unit: input.unit().into(),
        aim: input.aim.name(),
        verdict: Verdict::Impossible,
        parts: Ordered::default(),
        span: None,
        resolution: None,
        error: None,
        straight_line: None,
        stack_up: None,
        calibration: None,
        limits: Vec::new(),
        working_band: None,
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
        remarks: Vec::new(),
        cautions: Vec::new(),
        conflict: Vec::new(),
        search: None,
        runners_up: None,
    }
}

fn span(board: &Board, input: &Input, values: &Values, scene: &Scene) -> Span {
    let [first, last] = &scene.range_ends;
    let sign = input.direction();
    let worst = least_span(first, last, [&first.resistances, &last.resistances], sign);
    let (start, end) = input.range();
    let nominal = |value| at(board, input, values, Outlook::Nominal, Place::Exactly(value));
    let nominal = nominal_span(&nominal(start), &nominal(end));
    Span { nominal_counts: nominal.0 * sign, assured_counts: (worst.span.0 * sign).max(0.0) }
}

fn parts(input: &Input, chosen: &Chosen, is_capacitor_chosen: bool) -> Ordered<Option<PartAnswer>> {
    let mut parts: Vec<_> = input
        .parts
        .iter()
        .map(|part| {
            let series = chosen.series.iter().find(|(role, _)| *role == part.role);
            let resistor = chosen.values.get(part.role).map(|ohms| PartAnswer::Resistor {
                ohm: ohms.0,
                tolerance: part.grade.tolerance.0,
                series: match &part.stock {
                    Some(_) => series.map(|_| "stock".to_owned()),
                    None => series.and_then(|(_, series)| *series).map(|series| series.to_string()),
                },
                chosen: matches!(part.choice, Choice::Choose { .. }),
                tracks: part.tracks.clone(),
            });
            (part.role.key().to_string(), resistor)
        })
        .collect();
    let capacitor = input
        .capacitor
        .largest()
        .map(|farads| PartAnswer::Capacitor { farad: farads.0, chosen: is_capacitor_chosen });
    parts.push(("capacitor".into(), capacitor));
    Ordered(parts)
}

fn runner_up(input: &Input, chosen: &Chosen) -> RunnerUp {
    let value = |role| chosen.values.get(role).map(|ohms| PartValue { ohm: ohms.0 });
    let open = input.parts.iter().filter(|part| matches!(part.choice, Choice::Choose { .. }));
    let of = |aim: Aim, value: f64| (input.aim == aim).then_some(value);
    RunnerUp {
        parts: Ordered(open.map(|part| (part.role.key().to_string(), value(part.role))).collect()),
        assured_counts: chosen.assured.0,
        least_counts_per_unit: of(Aim::Resolution, chosen.aim),
        greatest_error: of(Aim::Error, -chosen.aim),
        bend_per_unit: of(Aim::Straight, -chosen.aim),
    }
}

fn searched(outcome: &Outcome) -> Search {
    let excluded = outcome.excluded.iter().map(|e| Excluded {
        limit: LIMITS[e.limit].name,
        part: e.part.map(Role::key),
        case: e.case.name(),
        combinations: e.combinations,
    });
    Search {
        combinations: outcome.combinations,
        examined: outcome.examined,
        proof: if outcome.complete { "complete" } else { "stopped" },
        excluded: if outcome.best.is_none() { excluded.collect() } else { Vec::new() },
    }
}

fn counts(band: Band<Counts>) -> CountBand {
    CountBand { lowest: band.lowest.0, highest: band.highest.0 }
}

fn readings(band: Band<f64>) -> ReadingBand {
    ReadingBand { lowest: band.lowest, highest: band.highest }
}
