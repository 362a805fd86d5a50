//! Which kind describes the sender, and why.

use itertools::Itertools;

use super::data::Data;
use super::fit::{Fit, Refusal, fit};
use super::kind::Kind;
use super::trial::{LeftOut, Trial, root_mean_square};
use super::words::rounded;
use crate::quantity::Band;

/// A kind with more coefficients has to come nearer by this factor, or the simpler one is kept: with a handful of
/// readings less is no difference.
const SIGNIFICANT: f64 = 1.5;
/// Deviations that are so small a share of the span of the readings are all alike.
const ALIKE: f64 = 1e-4;
/// How many standard deviations, root mean square, still count as what the accuracy lets expect.
const EXPECTED: f64 = 1.5;
/// Without known accuracy, a reading stands out if the others agree so many times better without it.
const STANDS_OUT: f64 = 5.0;
/// And if it lies off by this share of the span.
const FAR_OFF: f64 = 0.01;

/// A kind that was looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The kind.
    pub kind: Kind,
    /// By how much inner readings, each left out in turn, are missed: root mean square, in the unit.
    pub missed_by: Option<f64>,
    /// Why the kind is out of the question.
    pub refused: Option<String>,
}

/// The kind that is taken.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub(super) trial: Trial,
    pub(super) reason: String,
    pub(super) candidates: Vec<Candidate>,
    /// Readings of which one is wrong, if all others are right.
    pub(super) suspects: Vec<usize>,
    /// The richer law, where a simpler one is taken and both can be meant.
    pub(super) rival: Option<Fit>,
}

/// Chooses by what fits.
pub(super) fn choose(data: &Data, range: Band<f64>, forced: Option<Kind>) -> Result<Choice, Refusal> {
    if let Some(kind) = forced {
        let trial = Trial::of(kind, data, range)?;
        let suspects = suspects(&trial, data);
        let reason = format!("{}, as asked for.", sentence(kind.name()));
        let candidates = vec![candidate(kind, &Ok(trial.clone()))];
        let rival = rival(&trial, data, range);
        return Ok(Choice { trial, reason, candidates, suspects, rival });
    }
    let trials: Vec<(Kind, Result<Trial, Refusal>)> =
        in_question(data).into_iter().map(|kind| (kind, Trial::of(kind, data, range))).collect();
    let candidates = trials.iter().map(|(kind, trial)| candidate(*kind, trial)).collect_vec();
    let (trial, reason, suspects) = match data.all.len() {
        2 => of_two(&trials, data)?,
        _ => of_more(&trials, data)?,
    };
    let reason = format!("{reason}{}", refusals(&trials));
    let rival = rival(&trial, data, range);
    Ok(Choice { trial, reason, candidates, suspects, rival })
}

/// Beta leaves out what Steinhart-Hart adds.
fn rival(trial: &Trial, data: &Data, range: Band<f64>) -> Option<Fit> {
    (trial.kind == Kind::Beta).then(|| fit(Kind::SteinhartHart, data, range).ok()).flatten()
}

/// Kinds that can be meant at all.
fn in_question(data: &Data) -> Vec<Kind> {
    let laws = match (data.scale, data.falls()) {
        (None, _) => vec![],
        (Some(_), false) => vec![Kind::Platinum],
        (Some(_), true) if data.all.len() == 2 => vec![Kind::Beta],
        (Some(_), true) => vec![Kind::Beta, Kind::SteinhartHart],
    };
    let points = if data.all.len() == 2 { vec![Kind::Linear] } else { vec![Kind::Linear, Kind::Monotone] };
    laws.into_iter().chain(points).collect()
}

fn candidate(kind: Kind, trial: &Result<Trial, Refusal>) -> Candidate {
    match trial {
        Ok(trial) => Candidate { kind, missed_by: trial.typical(), refused: None },
        Err(refusal) => Candidate { kind, missed_by: None, refused: Some(refusal.clone()) },
    }
}

/// Why laws are out of the question, as further sentences.
fn refusals(trials: &[(Kind, Result<Trial, Refusal>)]) -> String {
    let refused =
        trials.iter().filter(|(kind, _)| kind.is_law()).filter_map(|(_, trial)| trial.as_ref().err());
    refused.unique().flat_map(|refusal| [" ".to_owned(), sentence(refusal), ".".to_owned()]).collect()
}

/// With a capital at its beginning.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

type Taken = (Trial, String, Vec<usize>);

/// Two readings have exactly one curve of each kind.
fn of_two(trials: &[(Kind, Result<Trial, Refusal>)], data: &Data) -> Result<Taken, Refusal> {
    if let (Some(_), true) = (data.scale, data.falls())
        && let Some((_, Err(refusal))) = trials.first()
    {
        return Err(refusal.clone());
    }
    let first = trials.iter().find_map(|(_, trial)| trial.as_ref().ok());
    let trial = first.cloned().ok_or_else(|| "no curve goes through the readings".to_owned())?;
    let reason = match trial.kind {
        Kind::Beta => "Beta: two temperatures fix its two coefficients exactly.".to_owned(),
        Kind::Platinum => "Platinum: both readings rise as IEC 60751 says.".to_owned(),
        _ => "A straight line: two readings tell no more.".to_owned(),
    };
    Ok((trial, reason, Vec::new()))
}

fn of_more(trials: &[(Kind, Result<Trial, Refusal>)], data: &Data) -> Result<Taken, Refusal> {
    let sound = trials.iter().filter_map(|(_, trial)| trial.as_ref().ok()).collect_vec();
    if data.all.len() == 3
        && let Some(exact) = sound.iter().find(|trial| trial.kind == Kind::SteinhartHart)
    {
        let reason = "Steinhart-Hart: three temperatures fix its three coefficients exactly; a fourth reading would \
                      check them.";
        return Ok(((*exact).clone(), reason.to_owned(), Vec::new()));
    }
    if data.has_accuracy() {
        let fits = |trial: &&Trial| {
            let expected = trial.normalised().is_some_and(|rate| rate <= EXPECTED);
            expected && (!trial.kind.is_law() || trial.strays().is_empty())
        };
        if let Some(i) = sound.iter().position(fits) {
            let (trial, simpler) = (sound[i], &sound[..i]);
            return Ok((trial.clone(), explained(trial, simpler, data), Vec::new()));
        }
    }
    for trial in sound.iter().filter(|trial| trial.kind.is_law()) {
        let suspects = suspects(trial, data);
        if !suspects.is_empty() {
            return Ok(((*trial).clone(), but_for(trial, &suspects), suspects));
        }
    }
    nearest(&sound, data)
}

/// What is missed by less of the span than this is no more than rounding of the calculation.
const NOTHING: f64 = 1e-9;

fn missed_by(trial: &Trial, data: &Data) -> String {
    match trial.typical() {
        None => "an unknown amount".to_owned(),
        Some(typical) if typical <= NOTHING * data.span() => "nothing".to_owned(),
        Some(typical) => format!("{} {}", rounded(typical), data.unit),
    }
}

/// How near a kind comes to what it has not seen.
fn missing(trial: &Trial, data: &Data) -> String {
    if trial.typical().is_some_and(|typical| typical <= NOTHING * data.span()) {
        return "it gives inner readings, each left out in turn, exactly".to_owned();
    }
    let missed = missed_by(trial, data);
    format!("it misses inner readings, each left out in turn, by {missed} (root mean square)")
}

/// The simplest kind that the accuracy explains.
fn explained(trial: &Trial, simpler: &[&Trial], data: &Data) -> String {
    let others = simpler
        .iter()
        .map(|other| format!("{} misses them by {}", other.kind.name(), missed_by(other, data)));
    let others = others.collect_vec();
    let more = if others.is_empty() {
        "; what a richer kind might gain cannot be told from their errors".to_owned()
    } else {
        format!(", while {}, more than their accuracy explains", others.join(", "))
    };
    format!(
        "{} is the simplest kind that fits: {}, as their accuracy lets expect{more}.",
        sentence(trial.kind.name()),
        missing(trial, data)
    )
}

fn but_for(trial: &Trial, suspects: &[usize]) -> String {
    let rows = suspects.iter().map(|i| format!("row {}", i + 1)).join(" or ");
    format!(
        "{}: all readings lie on one curve of this kind if {rows} is left out.",
        sentence(trial.kind.name())
    )
}

/// The kind that comes nearest to readings that it has not seen, or a simpler one that is as good.
fn nearest(sound: &[&Trial], data: &Data) -> Result<Taken, Refusal> {
    let score = |trial: &Trial| trial.typical().unwrap_or(f64::INFINITY).max(ALIKE * data.span());
    let best = sound.iter().map(|trial| score(trial)).fold(f64::INFINITY, f64::min);
    let taken = sound.iter().find(|trial| score(trial) <= best * SIGNIFICANT);
    let taken = *taken.ok_or_else(|| "no curve goes through the readings".to_owned())?;
    let others = sound.iter().filter(|trial| trial.kind != taken.kind);
    let others =
        others.map(|trial| format!("{} by {}", trial.kind.name(), missed_by(trial, data))).join(", ");
    let nearer = sound.iter().any(|trial| trial.kind > taken.kind && score(trial) <= score(taken));
    let (name, missing) = (sentence(taken.kind.name()), missing(taken, data));
    let equal = sound.iter().all(|trial| score(trial) == score(taken));
    let reason = if others.is_empty() {
        format!("{name}: {missing}.")
    } else if equal {
        format!("{name}: {missing}, {others}: equal; the simpler is taken.")
    } else if nearer {
        format!("{name} is kept as the simpler kind: {missing}, {others}, which is no significant gain.")
    } else {
        format!("{name} comes nearest: {missing}, {others}.")
    };
    Ok((taken.clone(), reason, Vec::new()))
}

/// Readings of which any one, if it alone is wrong, explains what does not fit; the likeliest first.
fn suspects(trial: &Trial, data: &Data) -> Vec<usize> {
    let Some(terms) = trial.kind.coefficients().filter(|terms| data.all.len() >= terms + 2) else {
        return Vec::new();
    };
    if data.has_accuracy() {
        let clears = |i: &usize| without(trial, data, *i).is_some_and(|rest| rest.strays().is_empty());
        return trial.strays().into_iter().take(3).filter(clears).collect();
    }
    // One degree of freedom more, since the scatter of the others has to be learned, too.
    if data.all.len() < terms + 3 {
        return Vec::new();
    }
    let deviation = |l: &Option<LeftOut>| l.map_or(0.0, |l| l.deviation.abs());
    let rate = |trial: &Trial| root_mean_square(trial.left_out.iter().map(deviation)).unwrap_or(0.0);
    let stands_out = |i: &usize| {
        let off = deviation(&trial.left_out[*i]) > FAR_OFF * data.span();
        off && without(trial, data, *i).is_some_and(|rest| rate(&rest) * STANDS_OUT < rate(trial))
    };
    let by_deviation = |i: &usize| std::cmp::Reverse(ordered(deviation(&trial.left_out[*i])));
    (0..data.all.len()).sorted_by_key(by_deviation).take(2).filter(stands_out).collect()
}

/// A number above or equal to 0 as one that sorts.
fn ordered(number: f64) -> u64 {
    number.abs().to_bits()
}

fn without(trial: &Trial, data: &Data, i: usize) -> Option<Trial> {
    let range = Band { lowest: data.lowest(), highest: data.highest() };
    Trial::of(trial.kind, &data.without(i), range).ok()
}
