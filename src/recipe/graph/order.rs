//! The order of making: what is used before what uses it, and circles found.

use crate::notebook::Notes;
use crate::problem::{Problem, code};
use crate::recipe::graph::Node;
use crate::recipe::names::Target;
use crate::source::Span;

/// Orders the recipes, what is used before what uses it; reports each cycle once with its path.
pub(super) fn order(notes: &Notes, nodes: &mut [Node], problems: &mut Vec<Problem>) -> Vec<usize> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        Open,
        Done,
    }
    let mut marks = vec![Mark::New; nodes.len()];
    let mut order = Vec::with_capacity(nodes.len());
    for start in 0..nodes.len() {
        if marks[start] != Mark::New {
            continue;
        }
        // A stack of (recipe, the recipes it uses that are still to be seen): no recursion, however deep a notebook goes.
        let mut stack: Vec<(usize, Vec<usize>)> = vec![(start, nodes[start].uses.iter().rev().copied().collect())];
        marks[start] = Mark::Open;
        while let Some((current, left)) = stack.last_mut() {
            let current = *current;
            let Some(next) = left.pop() else {
                marks[current] = Mark::Done;
                order.push(current);
                stack.pop();
                continue;
            };
            match marks[next] {
                Mark::Done => {}
                Mark::New => {
                    marks[next] = Mark::Open;
                    let uses = nodes[next].uses.iter().rev().copied().collect();
                    stack.push((next, uses));
                }
                Mark::Open => {
                    let from = stack.iter().position(|(i, _)| *i == next).unwrap_or(0);
                    let path: Vec<usize> = stack[from..].iter().map(|(i, _)| *i).collect();
                    problems.push(cycle(notes, nodes, &path));
                    for i in path {
                        nodes[i].cyclic = true;
                    }
                }
            }
        }
    }
    order
}

fn cycle(notes: &Notes, nodes: &[Node], path: &[usize]) -> Problem {
    let name = |i: usize| notes.recipes[i].name.value.as_str();
    let first = path[0];
    let last = path[path.len() - 1];
    let at = place_of_use(&nodes[last], first).unwrap_or(notes.recipes[last].name.span);
    let mut shown: Vec<String> = path.iter().map(|i| format!("`{}`", name(*i))).collect();
    shown.push(format!("`{}`", name(first)));
    let message = if path.len() == 1 {
        format!("`{}` needs itself", name(first))
    } else {
        format!("this recipe needs itself: {}", shown.join(" needs "))
    };
    let mut problem = Problem::new(code::CYCLE, at, message).label("the circle closes here");
    for pair in path.windows(2) {
        if let Some(span) = place_of_use(&nodes[pair[0]], pair[1]) {
            problem = problem.also(span, format!("`{}` is needed here", name(pair[1])));
        }
    }
    problem.help("take one of these pours out; something bought in must be named differently from what is made of it")
}

fn place_of_use(node: &Node, used: usize) -> Option<Span> {
    let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
    node.mix
        .iter()
        .chain(&node.finish)
        .flatten()
        .chain(steps)
        .find(|p| p.target == Target::Recipe(used))
        .map(|p| p.line.name.span)
}
