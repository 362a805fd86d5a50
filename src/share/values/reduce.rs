//! Ways that are never needed.

use std::collections::BTreeSet;

use super::{Task, Way};

/// The inputs that have a way with a value.
pub(super) fn users(task: &Task, value: usize) -> Vec<usize> {
    let uses = |way: &Way| way.uses.iter().any(|&(other, _)| other == value);
    (0..task.inputs.len()).filter(|&input| task.inputs[input].iter().any(uses)).collect()
}

/// The ways of each of these inputs that are left when those are gone that another one makes needless, by their place.
///
/// Where pieces are counted, a way is needless beside one that uses no more of anything and loses no more. Where only
/// different values count, it may bring in others, too, as long as it spares as many that nobody else can use:
/// |V(new) \ V(old)| ≤ |own(old) \ V(new)|. Of two that may stand for each other the first is kept. Where something is
/// forbidden nothing is left out, since what stands for it may be what is forbidden.
pub(super) fn needed(task: &Task, inputs: &[usize]) -> Vec<Vec<usize>> {
    let users: Vec<usize> = users_of_values(task);
    let counts_pieces = task.counts_pieces();
    let is_own = |value: usize| users[value] == 1 && task.values[value].given == 0;
    let of_input = |&input: &usize| {
        let ways = &task.inputs[input];
        if task.forbidden.iter().flatten().any(|&(other, _)| other == input) {
            return (0..ways.len()).collect();
        }
        let mut order: Vec<usize> = (0..ways.len()).collect();
        order.sort_by(|&a, &b| {
            ways[a]
                .loss
                .cmp(&ways[b].loss)
                .then(ways[a].rank.cmp(&ways[b].rank))
                .then(ways[a].uses.len().cmp(&ways[b].uses.len()))
                .then(a.cmp(&b))
        });
        let mut kept: Vec<usize> = Vec::new();
        for way in order {
            let is_needless = |&other: &usize| {
                if counts_pieces {
                    uses_no_more(&ways[other], &ways[way])
                } else {
                    brings(&ways[other], &ways[way], task) <= spares(&ways[other], &ways[way], &is_own)
                }
            };
            // Those that are kept lose no more.
            if !kept.iter().any(is_needless) {
                kept.push(way);
            }
        }
        kept.sort_unstable();
        kept
    };
    inputs.iter().map(of_input).collect()
}

fn users_of_values(task: &Task) -> Vec<usize> {
    let mut users = vec![0; task.values.len()];
    for ways in &task.inputs {
        let used: BTreeSet<usize> = ways.iter().flat_map(|way| &way.uses).map(|&(value, _)| value).collect();
        for value in used {
            users[value] += 1;
        }
    }
    users
}

/// Values that a way brings in which another one does not use, those left out that are there anyway.
fn brings(new: &Way, old: &Way, task: &Task) -> usize {
    let is_new = |&&(value, _): &&(usize, u64)| task.values[value].given == 0 && !has(old, value);
    new.uses.iter().filter(is_new).count()
}

/// Values of a way that nobody else can use and that another one does without.
fn spares(new: &Way, old: &Way, is_own: &impl Fn(usize) -> bool) -> usize {
    old.uses.iter().filter(|&&(value, _)| is_own(value) && !has(new, value)).count()
}

fn has(way: &Way, value: usize) -> bool {
    way.uses.iter().any(|&(other, _)| other == value)
}

fn uses_no_more(new: &Way, old: &Way) -> bool {
    new.uses
        .iter()
        .all(|&(value, count)| old.uses.iter().any(|&(other, there)| other == value && count <= there))
}
