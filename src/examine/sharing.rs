//! The parts of all inputs of a board, or of a family of boards, chosen together.
//!
//! First every input is answered alone. Then each may give up a little of what it reaches alone, so that all together need
//! fewer different values. What is chosen is examined as any choice is.

use super::{Choices, alarms, choices, family, fitted, rails, searched, whole, with_values};
use itertools::Itertools;

use crate::answer::{
    Answer, FamilyAnswer, InputAnswer, Ordered, PartValue, ShareAnswer, ShareTradeRow, SharedInput,
    SharedValue,
};
use crate::board::{Board, Choice, Input, InputId, Price};
use crate::circuit::Values;
use crate::reading::Firmware;
use crate::search::Chosen;
use crate::share::values::{Effort, Found, Pick, share};
use crate::share::{Family, Kind, Open, Seat, holds, kinds_of};
use crate::stackup::Trials;

/// Losses of the trade.
const LOSSES: [f64; 5] = [0.0, 0.01, 0.02, 0.05, 0.1];

/// How often a choice is looked for again that keeps what only all inputs together can break.
const MOST_REPAIRS: usize = 30;

/// What is asked of a choice for all inputs together.
#[derive(Clone, Copy, Debug)]
pub struct Sharing {
    /// What each input may lose at most against its own best, as a share of that.
    pub most_loss: f64,
    /// How long to look for a proof.
    pub effort: Effort,
    /// Boards in the batch.
    pub batch: u64,
}

/// Chooses everything that is to be chosen on some boards, so that all of them together need few different values.
pub fn answer_shared(
    boards: &[Board],
    command: &str,
    trials: Option<&Trials<'_>>,
    asked: Sharing,
) -> FamilyAnswer {
    let alone: Vec<Vec<Choices>> = boards.iter().map(choices).collect();
    let family = sharing(boards, &alone, asked);
    let levels = LOSSES.iter().copied().filter(|loss| *loss != asked.most_loss).chain([asked.most_loss]);
    let mut trade: Vec<(f64, Option<Settled>)> =
        levels.map(|loss| (loss, settled(&family, &alone, loss, asked.effort))).collect();
    let chosen = trade.last().and_then(|(_, settled)| settled.clone());
    trade.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    let choices = chosen.as_ref().map_or(&[][..], |settled| &settled.choices);
    let together = together(&family, &alone, choices);
    let answer =
        |(place, board): (usize, &Board)| answer(board, command, trials, [&alone[place], &together[place]]);
    let answers: Vec<Answer> = boards.iter().enumerate().map(answer).collect();
    let share = told(&family, [&alone, &together], asked, chosen.as_ref(), &trade);
    FamilyAnswer { share: Some(share), ..family::alone(command, answers) }
}

/// What is open, with all that is nearly as good as its best, and what is settled. Parts for several senders are a
/// compromise already, and are taken as they are.
fn sharing<'a>(boards: &'a [Board], alone: &[Vec<Choices>], asked: Sharing) -> Family<'a> {
    let most_loss = LOSSES.iter().copied().fold(asked.most_loss, f64::max);
    let mut family = Family { boards, open: Vec::new(), settled: Vec::new(), batch: asked.batch };
    for (place, (board, choices)) in boards.iter().zip(alone).enumerate() {
        let fitted = fitted(board, choices);
        for (i, (input, choice)) in board.inputs.iter().zip(choices).enumerate() {
            let seat = Seat { board: place, input: InputId(i) };
            match (choice, choice.best()) {
                (_, None) => {}
                (Choices::Searched(_), Some(best)) => {
                    let mut open = Open::new(&fitted, input, seat, best.aim, most_loss);
                    keep_alarms(&fitted, input, &best.values, &mut open);
                    family.open.push(open);
                }
                (_, Some(_)) => family.settled.extend(choice.sets().map(|values| (seat, values))),
            }
        }
    }
    family
}

/// Leaves out what breaks an alarm that the best choice keeps.
fn keep_alarms(board: &Board, input: &Input, best: &Values, open: &mut Open) {
    let keeps = |values: &Values| {
        let firmware = Firmware::new(board, input, values);
        alarms::of(board, input, &firmware).iter().all(|row| row.holds != Some(false))
    };
    if !input.alarms.is_empty() && keeps(best) {
        open.near.choices.retain(|near| keeps(&near.chosen.values));
    }
}

/// What was found with a certain loss.
#[derive(Clone, Debug)]
struct Settled {
    found: Found,
    /// The choice of each open input.
    choices: Vec<usize>,
    /// Whether all ways of all inputs were looked at.
    has_all: bool,
    /// Whether what only all inputs together can break is kept.
    holds: bool,
}

impl Settled {
    fn is_proven(&self) -> bool {
        self.found.is_fewest_proven && self.has_all && self.holds
    }
}

/// The best choice with a loss. What a part of one input does to another, by what corrects it or by a rail, is seen on
/// the finished board alone: what breaks a limit there is forbidden, and chosen again.
fn settled(family: &Family<'_>, alone: &[Vec<Choices>], most_loss: f64, effort: Effort) -> Option<Settled> {
    let mut forbidden: Vec<Vec<Pick>> = Vec::new();
    let mut first = None;
    for _ in 0..MOST_REPAIRS {
        let posed = family.task(most_loss, &forbidden);
        let Some(found) = share(&posed.task, effort) else { break };
        let choices = posed.chosen(&found.picks);
        let broken = broken(family, alone, &choices);
        let holds = broken.is_empty();
        let has_all = posed.has_all && is_searched_to_the_end(alone);
        let settled = Settled { found, choices, has_all, holds };
        if holds {
            return Some(settled);
        }
        first.get_or_insert(settled);
        forbidden.extend(broken);
    }
    first
}

/// Whether what each input would choose alone is proven to be its best.
fn is_searched_to_the_end(alone: &[Vec<Choices>]) -> bool {
    alone.iter().flatten().filter_map(Choices::outcome).all(|outcome| outcome.complete)
}

/// Picks that break together what each of them keeps alone, unless the best of each alone breaks it, too.
fn broken(family: &Family<'_>, alone: &[Vec<Choices>], choices: &[usize]) -> Vec<Vec<Pick>> {
    let together = together(family, alone, choices);
    let pick = |seat: Seat| {
        let place = family.open.iter().position(|open| open.seat == seat)?;
        Some((place, choices[place]))
    };
    let mut broken = Vec::new();
    for (place, (board, chosen)) in family.boards.iter().zip(&together).enumerate() {
        let complete = with_values(board, chosen.iter().map(Some));
        let own = with_values(board, alone[place].iter().map(Some));
        for (i, input) in complete.inputs.iter().enumerate() {
            let Some(meter) = input.corrected_by else { continue };
            if chosen[i].best().is_some() && !holds(&complete, input) && holds(&own, &own.inputs[i]) {
                let pair = [InputId(i), meter].map(|input| pick(Seat { board: place, input }));
                broken.push(pair.into_iter().flatten().collect());
            }
        }
        if !rails_hold(board, chosen) && rails_hold(board, &alone[place]) {
            let inputs = (0..board.inputs.len()).map(InputId);
            broken.push(inputs.filter_map(|input| pick(Seat { board: place, input })).collect());
        }
    }
    broken.retain(|set: &Vec<Pick>| !set.is_empty());
    broken
}

/// Whether the rails take what all inputs with parts feed back.
fn rails_hold(board: &Board, choices: &[Choices]) -> bool {
    let fitted: Vec<_> =
        board.inputs.iter().zip(choices).map(|(input, choice)| choice.fitted(input)).collect();
    rails::of(board, &fitted).iter().all(|row| row.holds)
}

/// What every input of every board gets; without choices what is best for each alone.
fn together(family: &Family<'_>, alone: &[Vec<Choices>], choices: &[usize]) -> Vec<Vec<Choices>> {
    let mut all = alone.to_vec();
    for (open, &choice) in family.open.iter().zip(choices) {
        let chosen = open.near.choices[choice].chosen.clone();
        all[open.seat.board][open.seat.input.0] = Choices::Given(chosen);
    }
    all
}

/// The answer for one board. Reasons, trade and runners-up of an input are those of its own best choice: they would not
/// agree with what is chosen, and are left out.
fn answer(
    board: &Board,
    command: &str,
    trials: Option<&Trials<'_>>,
    [alone, together]: [&[Choices]; 2],
) -> Answer {
    let fitted = fitted(board, together);
    let inputs = board.inputs.iter().zip(alone.iter().zip(together));
    let answers = inputs.map(|(input, (alone, choice))| {
        let answer = choice.examined(&fitted, input, trials);
        InputAnswer { search: alone.outcome().map(searched).or(answer.search.clone()), ..answer }
    });
    whole(board, command, answers.collect(), together)
}

/// What there is to say of the shared values.
fn told(
    family: &Family<'_>,
    [alone, together]: [&[Vec<Choices>]; 2],
    asked: Sharing,
    chosen: Option<&Settled>,
    trade: &[(f64, Option<Settled>)],
) -> ShareAnswer {
    let is_one = family.boards.len() == 1;
    let name = |board: &Board, input: &Input| {
        if is_one { input.name.clone() } else { format!("{}: {}", board.name, input.name) }
    };
    let input = |(open, way): (&Open, Option<usize>)| {
        let input = family.input(open.seat);
        let loss = way.and_then(|way| open.near.choices.get(way)).map_or(0.0, |near| near.loss);
        let best = alone[open.seat.board][open.seat.input.0].best()?;
        let row = SharedInput { own_best: parts(input, best), own_aim: best.aim.abs(), loss };
        Some((name(&family.boards[open.seat.board], input), row))
    };
    let ways = (0..family.open.len()).map(|place| chosen.map(|settled| settled.choices[place]));
    let inputs: Vec<_> = family.open.iter().zip(ways).filter_map(input).collect();
    let is_proven = chosen.is_some_and(Settled::is_proven);
    let values = used(family, together, &name);
    let (different, least) = (values.len() as u64, chosen.map_or(0, |settled| settled.found.least_values));
    ShareAnswer {
        different_values: different,
        alone: used(family, alone, &name).len() as u64,
        least_possible: least,
        price: chosen.and_then(|settled| price(family, &settled.found)),
        loss_allowed: asked.most_loss,
        proof: if is_proven { "complete" } else { "stopped" },
        has_all: chosen.is_some_and(|settled| settled.has_all),
        gap: if different == 0 { 0.0 } else { (different.saturating_sub(least)) as f64 / different as f64 },
        is_least_loss_proven: is_proven && chosen.is_some_and(|settled| settled.found.is_loss_proven),
        reproducible: asked.effort.until.is_none(),
        inputs: Ordered(inputs),
        trade: trade
            .iter()
            .filter_map(|(loss, settled)| Some(row(family, *loss, settled.as_ref()?, asked)))
            .collect(),
        values,
    }
}

/// What the batch costs, where that is what is to be least.
fn price(family: &Family<'_>, found: &Found) -> Option<f64> {
    family.is_priced().then(|| Price(found.score.price).in_currency())
}

/// One row of the trade.
fn row(family: &Family<'_>, loss_allowed: f64, settled: &Settled, asked: Sharing) -> ShareTradeRow {
    let found = &settled.found;
    let losses =
        family.open.iter().zip(&settled.choices).map(|(open, &choice)| open.near.choices[choice].loss);
    ShareTradeRow {
        loss_allowed,
        different_values: found.score.values,
        least_possible: found.least_values,
        price: price(family, found),
        greatest_loss: losses.clone().fold(0.0, f64::max),
        sum_of_losses: losses.fold(0.0, |sum, loss| sum + loss),
        proof: if settled.is_proven() { "complete" } else { "stopped" },
        chosen: loss_allowed == asked.most_loss,
    }
}

/// All values in rising order, each with the parts that use it.
fn used(
    family: &Family<'_>,
    choices: &[Vec<Choices>],
    name: &impl Fn(&Board, &Input) -> String,
) -> Vec<SharedValue> {
    let mut values: Vec<(Kind, Vec<String>)> = Vec::new();
    for (board, choices) in family.boards.iter().zip(choices) {
        for (input, choice) in board.inputs.iter().zip(choices) {
            let sets = choice
                .sets()
                .flat_map(|values| kinds_of(input, &values))
                .unique_by(|(role, kind)| (*role, kind.ohms().0.to_bits()));
            for (role, kind) in sets {
                let place = format!("{} {}", name(board, input), role.key());
                match values.iter_mut().find(|(known, _)| *known == kind) {
                    Some((_, places)) => places.push(place),
                    None => values.push((kind, vec![place])),
                }
            }
        }
    }
    values.sort_by(|(a, _), (b, _)| a.ohms().0.total_cmp(&b.ohms().0));
    let value = |(kind, places): (Kind, Vec<String>)| SharedValue {
        ohm: kind.ohms().0,
        count: places.len() as u64,
        used_by: places,
    };
    values.into_iter().map(value).collect()
}

fn parts(input: &Input, chosen: &Chosen) -> Ordered<Option<PartValue>> {
    let open = input.parts.iter().filter(|part| matches!(part.choice, Choice::Choose { .. }));
    let value = |role| chosen.values.get(role).map(|ohms| PartValue { ohm: ohms.0 });
    Ordered(open.map(|part| (part.role.key().to_string(), value(part.role))).collect())
}
