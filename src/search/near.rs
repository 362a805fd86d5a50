//! All choices that are nearly as good as the best: what an input may take part in sharing values with.

use std::collections::BinaryHeap;

use super::best_first::{Node, Search, Settled};
use super::joint::loss;
use super::key::Key;
use super::{Chosen, MOST_EXAMINED, ties_with};
use crate::board::{Board, Input};

/// The choices of an input that lose little against its best one.
#[derive(Clone, Debug)]
pub struct NearBest {
    /// The choices, the least loss first.
    pub choices: Vec<Near>,
    /// Whether all are there up to the loss that was asked for; otherwise only the best of them.
    pub complete: bool,
}

/// A choice that loses little.
#[derive(Clone, Debug)]
pub struct Near {
    /// The choice.
    pub chosen: Chosen,
    /// What it loses against the best one, as a share of that.
    pub loss: f64,
    /// Its place among all that were found in the order in which ties are decided: 0 comes first.
    pub rank: u64,
}

/// The choices that keep all limits and lose at most `most_loss` of `best`, the best aim of the input, as [`loss`] counts
/// it; at most `most` of them.
pub fn near_best(board: &Board, input: &Input, best: f64, most_loss: f64, most: usize) -> NearBest {
    let mut search = Search::new(board, input, MOST_EXAMINED);
    let is_near = |aim: f64| ties_with(best, aim) || loss(best, aim) <= most_loss * (1.0 + 1e-9);
    let mut heap: BinaryHeap<Node> = BinaryHeap::new();
    for root in 0..search.roots.len() {
        let range = search.roots[root].whole();
        let witness = search.roots[root].witness(&range.middle());
        heap.push(search.node(root, range, Settled::default(), &witness));
    }
    let mut found = Vec::new();
    while let Some(mut node) = heap.pop() {
        if !is_near(node.bound) {
            return ranked(found, true);
        }
        if found.len() >= most || search.examined >= MOST_EXAMINED {
            return ranked(found, false);
        }
        if node.is_sure {
            let lost = if ties_with(best, node.bound) { 0.0 } else { loss(best, node.bound) };
            let key = Key::of(&search.roots[node.root], &node.range);
            found.push((search.chosen(node.root, &node.range.first), lost, key));
            continue;
        }
        let Some(moved_by) = search.survives(&mut node) else { continue };
        if node.range.is_single() {
            // Only now is its aim exact: it waits for its turn.
            node.bound = search.roots[node.root].aim_of(&node.range.first);
            node.is_sure = true;
            heap.push(node);
            continue;
        }
        let (root, witness) = (node.root, search.roots[node.root].witness(&node.range.middle()));
        let split = search.roots[root].split(&node.range, moved_by, witness.ends);
        for half in node.range.halves(split) {
            heap.push(search.node(root, half, node.settled, &witness));
        }
    }
    ranked(found, true)
}

/// The choices with their ranks.
fn ranked(found: Vec<(Chosen, f64, Key)>, complete: bool) -> NearBest {
    let mut order: Vec<usize> = (0..found.len()).collect();
    order.sort_by(|&a, &b| found[a].2.order(&found[b].2));
    let mut ranks = vec![0; found.len()];
    for (rank, &place) in order.iter().enumerate() {
        ranks[place] = rank as u64;
    }
    let near = |((chosen, loss, _), rank)| Near { chosen, loss, rank };
    NearBest { choices: found.into_iter().zip(ranks).map(near).collect(), complete }
}
