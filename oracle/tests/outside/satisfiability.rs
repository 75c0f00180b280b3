//! A second opinion on plans too large to be walked: the same questions as clauses for a general solver (batsat).
//!
//! "Can X be joined to pole P" becomes: choose positions and a set of closed edges so that X has exactly one of them,
//! every other conductor none or two, and P any number. Whatever the other ends of the lines from X, the number of odd
//! ends is even (the handshake lemma), so that one of them is P; circles beside it do no harm.

use crate::enumeration::require;
use crate::walker::Walker;
use batsat::{BasicSolver, Lit, SolverInterface, Var, lbool};
use circuit::{NodeId, PoleId};
use libtest_mimic::{Failed, Trial};
use oracle::Demo;
use oracle::generator::{PlantedFault, sample};
use oracle::ladders::{LadderShape, plan};
use plan::Pole;
use proof::Conditions;
use std::collections::BTreeMap;

/// Places of a plan that are asked about.
const PLACES: usize = 12;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("satisfiability::long_plans", long_plans),
        Trial::test("satisfiability::random_plans_of_many_turnouts", random_plans),
    ]
}

/// How often both said yes, and how often both said no.
#[derive(Default)]
struct Asked {
    yes: usize,
    no: usize,
}

impl Asked {
    fn agree(&mut self, solver: bool, proof: bool, words: impl Fn() -> String) -> Result<(), Failed> {
        require(solver == proof, || format!("{}: the solver says {solver}, the proof {proof}", words()))?;
        if solver {
            self.yes += 1
        } else {
            self.no += 1
        }
        Ok(())
    }
}

fn long_plans() -> Result<(), Failed> {
    let mut asked = Asked::default();
    for (shape, turnouts) in [
        (LadderShape::Ladder, 20),
        (LadderShape::Ladder, 200),
        (LadderShape::LadderWithTree, 60),
        (LadderShape::LadderWithTree, 200),
        (LadderShape::Yards, 100),
    ] {
        let text = plan(shape, turnouts);
        compare(&oracle::demo(&format!("{shape:?} {turnouts}"), text.clone())?, &mut asked)?;
        // The gap behind a frog in the middle left out: a short that both must see.
        let gap = "gaps = [{ at = \"40 mm\", rail = \"left\" }]\n";
        let places: Vec<usize> = text.match_indices(gap).map(|(at, _)| at).collect();
        let at = places[places.len() / 2];
        let broken = format!("{}{}", &text[..at], &text[at + gap.len()..]);
        let demo = oracle::demo(&format!("{shape:?} {turnouts}, a gap missing"), broken)?;
        compare(&demo, &mut asked)?;
        let proof = proof::prove(&demo.circuit, None).map_err(|e| format!("{e:?}"))?;
        require(!proof.shorts.is_empty(), || format!("{}: no short found", demo.name))?;
        require(Clauses::new(&Walker::new(&demo.circuit)).meet(0), || format!("{}: none by clauses", demo.name))?;
    }
    println!("{} questions answered yes by both, {} no", asked.yes, asked.no);
    require(asked.yes > 40 && asked.no > 40, || "too one-sided".to_owned())
}

fn random_plans() -> Result<(), Failed> {
    let mut asked = Asked::default();
    let (mut plans, mut shorts) = (0, 0);
    for fault in [
        PlantedFault::None,
        PlantedFault::MissingGap,
        PlantedFault::ReversedContact,
        PlantedFault::WrongWiring,
        PlantedFault::StorageFromBus,
    ] {
        for seed in 0..8 {
            let controls = [20, 30, 45, 60][seed as usize % 4];
            let sample = sample(1000 + seed, controls, fault);
            let demo = oracle::demo(&format!("random plan {seed} {fault:?}"), sample.text.clone())?;
            if demo.circuit.sources.len() > 1 || Walker::new(&demo.circuit).poles_merged() {
                continue;
            }
            shorts += usize::from(compare(&demo, &mut asked)?);
            plans += 1;
        }
    }
    println!("{plans} plans, {shorts} with a short; {} questions answered yes by both, {} no", asked.yes, asked.no);
    require(plans >= 20 && shorts >= 5 && asked.yes > 50 && asked.no > 50, || "too one-sided".to_owned())
}

/// Asks the solver and the proof the same; gives whether the poles can meet.
fn compare(demo: &Demo, asked: &mut Asked) -> Result<bool, Failed> {
    let circuit = &demo.circuit;
    let conditions = Conditions::from_circuit(circuit).map_err(|e| format!("{}: {e:?}", demo.name))?;
    let walker = Walker::new(circuit);
    let clauses = Clauses::new(&walker);
    let short = clauses.meet(0);
    asked.agree(short, conditions.shorted_settings(0).unwrap() > 0.0, || format!("{}: do A and B meet", demo.name))?;
    let step = circuit.tracks.div_ceil(PLACES).max(1);
    for track in (0..circuit.tracks).step_by(step).chain([circuit.tracks - 1]) {
        for line in &circuit.segments[track].rails {
            let stops = &line.stops;
            let nodes = [stops[0].after, stops[stops.len() / 2].after, stops[stops.len() - 1].before];
            let places: BTreeMap<usize, NodeId> = nodes.iter().map(|&node| (walker.of[node], node)).collect();
            for (&conductor, &node) in places.iter().filter(|(c, _)| !walker.poles[0].contains(c)) {
                for pole in 0..2 {
                    let id = PoleId { source: 0, pole: Pole::ALL[pole] };
                    let words =
                        |what: &str| format!("{}: {} on pole {pole} {what}", demo.name, circuit.nodes[node].name);
                    let found = clauses.joined(node, pole, None);
                    asked.agree(found.is_some(), conditions.can_be_live(node, id), || words("at all"))?;
                    let found = clauses.joined(node, pole, Some(track));
                    let told = conditions.can_be_live_shut(node, id, track).unwrap();
                    asked.agree(found.is_some(), told.is_some(), || words("with its neck shut"))?;
                    // Each one's example must hold by the other's reckoning, or by a walk.
                    if let Some(setting) = found {
                        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
                        let set = walker.neck_is_set(track, &positions);
                        let holds = conditions.live(node, id, &setting) && !set;
                        require(holds, || words("in the solver's setting"))?;
                    }
                    if let Some(told) = told {
                        let mut setting = vec![0; circuit.controls.len()];
                        told.iter().for_each(|l| setting[l.control] = l.position);
                        let walked = walker.walk(&setting);
                        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
                        let set = walker.neck_is_set(track, &positions);
                        let holds = walked.live[0][pole][conductor] && !set;
                        require(holds, || words("in the proof's setting"))?;
                    }
                }
            }
        }
    }
    Ok(short)
}

struct Clauses<'w, 'c> {
    walker: &'w Walker<'c>,
}

/// Clauses as they are gathered, with a variable for each control.
struct Problem {
    solver: BasicSolver,
    controls: Vec<Var>,
}

impl Problem {
    fn new_literal(&mut self) -> Lit {
        Lit::new(self.solver.new_var_default(), true)
    }

    fn add(&mut self, clause: &[Lit]) {
        self.solver.add_clause_reuse(&mut clause.to_vec());
    }

    fn position(&self, literal: &circuit::Literal) -> Lit {
        Lit::new(self.controls[literal.control], literal.position == 1)
    }

    /// No two of these, by counting along them.
    fn at_most_one(&mut self, literals: &[Lit]) {
        let mut before: Option<Lit> = None;
        for &literal in literals {
            let so_far = self.new_literal();
            self.add(&[!literal, so_far]);
            if let Some(before) = before {
                self.add(&[!before, so_far]);
                self.add(&[!before, !literal]);
            }
            before = Some(so_far);
        }
    }

    /// None of these, or exactly two.
    fn none_or_two(&mut self, literals: &[Lit]) {
        let (mut one, mut two): (Option<Lit>, Option<Lit>) = (None, None);
        for &literal in literals {
            let (next_one, next_two) = (self.new_literal(), self.new_literal());
            self.add(&[!literal, next_one]);
            if let Some(one) = one {
                self.add(&[!one, next_one]);
                self.add(&[!one, !literal, next_two]);
            }
            if let Some(two) = two {
                self.add(&[!two, next_two]);
                self.add(&[!two, !literal]);
            }
            (one, two) = (Some(next_one), Some(next_two));
        }
        // One used needs another used.
        for (at, &literal) in literals.iter().enumerate() {
            let others = literals.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, &l)| l);
            let clause: Vec<Lit> = others.chain([!literal]).collect();
            self.add(&clause);
        }
    }
}

impl<'w, 'c> Clauses<'w, 'c> {
    fn new(walker: &'w Walker<'c>) -> Self {
        Clauses { walker }
    }

    /// Whether the poles of a source can meet over no other pole.
    fn meet(&self, source: usize) -> bool {
        let [a, b] = self.walker.poles[source];
        a == b || self.solve(a, b, None).is_some()
    }

    /// A setting in which a node is joined to a pole of the first source, over no other pole; where a track is given,
    /// such that some trackwork of its necks stands against it.
    fn joined(&self, node: NodeId, pole: usize, shut: Option<usize>) -> Option<Vec<u8>> {
        self.solve(self.walker.poles[0][pole], self.walker.of[node], shut)
    }

    fn solve(&self, pole: usize, node: usize, shut: Option<usize>) -> Option<Vec<u8>> {
        let walker = self.walker;
        let mut solver = BasicSolver::default();
        let controls = walker.circuit.controls.iter().map(|_| solver.new_var_default()).collect();
        let mut problem = Problem { solver, controls };
        let mut used: Vec<Vec<Lit>> = vec![Vec::new(); walker.of.len()];
        for (a, b, guard) in walker.switches.iter().filter(|s| s.0 != s.1) {
            let edge = problem.new_literal();
            for literal in guard {
                let position = problem.position(literal);
                problem.add(&[!edge, position]);
            }
            used[*a].push(edge);
            used[*b].push(edge);
        }
        for (conductor, used) in used.iter().enumerate() {
            if conductor == pole {
                continue;
            }
            if conductor == node {
                problem.at_most_one(used);
                problem.add(used);
            } else if walker.poles.iter().flatten().any(|&p| p == conductor) {
                used.iter().for_each(|&edge| problem.add(&[!edge]));
            } else {
                problem.none_or_two(used);
            }
        }
        if let Some(track) = shut {
            let neck = walker.neck(track);
            let against: Vec<Lit> = neck.iter().flatten().flatten().map(|l| !problem.position(l)).collect();
            problem.add(&against);
        }
        if problem.solver.solve_limited(&[]) != lbool::TRUE {
            return None;
        }
        let value = |v: &Var| u8::from(problem.solver.value_var(*v) == lbool::TRUE);
        Some(problem.controls.iter().map(value).collect())
    }
}
