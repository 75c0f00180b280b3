//! Every hypothesis by how likely it is after what was read and seen.

use crate::evidence::{Evidence, Likelihood, log_sum};
use crate::fault::{Element, Fault};
use crate::gaussian::chi_square_exceeds;
use crate::hunt::Hunt;
use std::collections::BTreeSet;
use std::rc::Rc;

/// Hypotheses at one age beyond which only the best, by a quick estimate, are worked out in full.
const MOST_IN_FULL: usize = 4000;
/// The same on a long plan.
const MOST_IN_FULL_LONG: usize = 24;
/// By how much worse than the best, in logarithms, a quick estimate may be.
const SCREEN: f64 = 14.0;
/// Where the best hypothesis leaves the readings less likely than this, pairs of faults are asked.
const BADLY_EXPLAINED: f64 = 0.05;
/// Single faults that pairs are made with.
const FIRST_OF_PAIRS: usize = 8;
/// Pairs that are worked out in full.
const PAIRS_IN_FULL: usize = 300;
/// The same on a long plan.
const PAIRS_IN_FULL_LONG: usize = 16;
/// How many times likelier what warmth moves is at fault, where it shows only when warm. Our own default.
const WARM: f64 = 5.0;

/// What may be the case.
#[derive(Clone, Debug)]
pub struct Hypothesis {
    /// Which of the ages.
    pub age: usize,
    /// What is at fault: nothing, one thing or two.
    pub faults: Vec<Fault>,
    /// Whether nothing that was read or seen depends on it: it then stands for all faults of its element.
    pub untouched: bool,
    /// How well it fits.
    pub likelihood: Rc<Likelihood>,
    /// Its probability.
    pub probability: f64,
    log_weight: f64,
}

/// Things at fault together, with the probability that it is these.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// The things: none where all is well.
    pub elements: Vec<Element>,
    /// The probability.
    pub probability: f64,
    /// The likeliest of its hypotheses.
    pub best: usize,
}

/// The ranking.
#[derive(Clone, Debug, Default)]
pub struct Ranking {
    /// Every hypothesis that is worth naming, the likeliest first.
    pub hypotheses: Vec<Hypothesis>,
    /// By what is at fault, the likeliest first.
    pub ranked: Vec<Ranked>,
    /// For each reading the probability that it is wrong.
    pub wrong: Vec<f64>,
    /// For each age its probability.
    pub ages: Vec<f64>,
    /// Probability of readings no better explained than these by a layout without a fault.
    pub healthy_fit: f64,
    /// The same for the likeliest hypothesis.
    pub best_fit: f64,
}

impl Ranking {
    /// Probability that nothing is at fault.
    pub fn healthy(&self) -> f64 {
        self.ranked.iter().find(|r| r.elements.is_empty()).map_or(0.0, |r| r.probability)
    }

    /// What is likeliest, with its probability.
    pub fn first(&self) -> Option<&Ranked> {
        self.ranked.first()
    }
}

impl Hunt {
    /// Ranks what may be the case.
    pub fn rank(&self) -> Ranking {
        let mut all: Vec<Hypothesis> = Vec::new();
        let mut healthy = Vec::new();
        for age in 0..self.ages.len() {
            let (list, own) = self.single_faults(age);
            healthy.push(own);
            all.extend(list);
        }
        let mut ranking = ranked(all, self);
        let best = ranking.hypotheses.first();
        let fit = |l: &Likelihood| chi_square_exceeds(l.chi_square, l.degrees);
        let suspicious = best.is_some_and(|h| {
            !h.untouched && (fit(&h.likelihood) < BADLY_EXPLAINED || h.likelihood.wrong.iter().any(|w| *w > 0.2))
        });
        if suspicious && self.observations.len() > 1 {
            let pairs = self.pairs(&ranking);
            ranking.hypotheses.extend(pairs);
            ranking = ranked(ranking.hypotheses, self);
        }
        let healthy = healthy.iter().min_by(|a, b| (a.chi_square).total_cmp(&b.chi_square));
        ranking.healthy_fit = healthy.map_or(1.0, fit);
        ranking.best_fit = ranking.hypotheses.first().map_or(1.0, |h| fit(&h.likelihood));
        ranking
    }

    /// How often each thing is at fault at an age, against one with none, by its number.
    pub fn priors(&self, age: usize) -> Vec<f64> {
        let years = self.ages[age].0;
        let rate = |s: &crate::wiring::Suspect| {
            s.rate.after(years) * if self.warm && s.moves_with_warmth { WARM } else { 1.0 }
        };
        let sum: f64 = self.wiring.suspects.iter().map(rate).sum();
        let scale = self.options.expected_faults / sum.max(1e-12);
        self.wiring.suspects.iter().map(|s| scale * rate(s)).collect()
    }

    /// No fault, and every single one, at one age.
    fn single_faults(&self, age: usize) -> (Vec<Hypothesis>, Likelihood) {
        let (evidence, parts, age_weight) = (&self.evidence[age], &self.parts[age], self.ages[age].1);
        let healthy = Rc::new(evidence.likelihood(&self.wiring, parts, &[]));
        let variances = evidence.sound_variances();
        let deviations: Vec<f64> = variances.iter().map(|v| v.sqrt()).collect();
        let hypothesis = |faults: Vec<Fault>, untouched: bool, prior: f64, likelihood: Rc<Likelihood>| Hypothesis {
            age,
            faults,
            untouched,
            log_weight: age_weight + prior.ln() + likelihood.log,
            likelihood,
            probability: 0.0,
        };
        let mut found = vec![hypothesis(Vec::new(), false, 1.0, healthy.clone())];
        let mut touched: Vec<(Fault, f64)> = Vec::new();
        for (suspect, prior) in self.wiring.suspects.iter().zip(self.priors(age)) {
            let Some(&(first, _)) = suspect.faults.first() else { continue };
            if evidence.is_touched(&self.wiring, first, &deviations) {
                touched.extend(suspect.faults.iter().map(|(fault, share)| (*fault, prior * share)));
            } else {
                found.push(hypothesis(vec![first], true, prior, healthy.clone()));
            }
        }
        let long = self.wiring.circuit.edges.len() > crate::hunt::LONG;
        let in_full = if long { MOST_IN_FULL_LONG } else { MOST_IN_FULL };
        for (rank, (fault, prior, log)) in self.screened(evidence, &variances, touched).into_iter().enumerate() {
            let likelihood = if rank < in_full {
                evidence.likelihood(&self.wiring, parts, &[fault])
            } else {
                // Estimated only, with deviations that are generous: it is no better than this.
                Likelihood { log: log - prior.ln(), ..Likelihood::default() }
            };
            found.push(hypothesis(vec![fault], false, prior, Rc::new(likelihood)));
        }
        (found, Likelihood::clone(&healthy))
    }

    /// The faults that a quick estimate leaves, the best first, each with that.
    fn screened(&self, evidence: &Evidence, variances: &[f64], touched: Vec<(Fault, f64)>) -> Vec<(Fault, f64, f64)> {
        let mut scored: Vec<(f64, (Fault, f64))> = touched
            .into_iter()
            .map(|(fault, prior)| (evidence.screen(&self.wiring, &[fault], variances) + prior.ln(), (fault, prior)))
            .collect();
        scored.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.0.cmp(&other.1.0)));
        let Some(best) = scored.first().map(|s| s.0) else { return Vec::new() };
        let kept = scored.into_iter().take_while(|s| s.0 > best - SCREEN);
        kept.map(|(log, (fault, prior))| (fault, prior, log)).collect()
    }

    /// Pairs of faults: the likeliest single ones with every other.
    fn pairs(&self, ranking: &Ranking) -> Vec<Hypothesis> {
        let long = self.wiring.circuit.edges.len() > crate::hunt::LONG;
        let mut firsts: Vec<(usize, Fault)> = Vec::new();
        for h in ranking.hypotheses.iter().filter(|h| h.faults.len() == 1 && !h.untouched) {
            let alike = firsts.iter().filter(|f| f.1.element() == h.faults[0].element()).count();
            if alike < 2 && firsts.len() < if long { FIRST_OF_PAIRS / 2 } else { FIRST_OF_PAIRS } {
                firsts.push((h.age, h.faults[0]));
            }
        }
        let mut found = Vec::new();
        let mut seen = BTreeSet::new();
        for (age, first) in firsts {
            let evidence = &self.evidence[age];
            let variances = evidence.sound_variances();
            let deviations: Vec<f64> = variances.iter().map(|v| v.sqrt()).collect();
            let priors = self.priors(age);
            let prior_of = |fault: Fault| {
                let suspect = self.wiring.suspects.iter().position(|s| s.element == fault.element())?;
                let share = self.wiring.suspects[suspect].faults.iter().find(|f| f.0 == fault)?.1;
                Some(priors[suspect] * share)
            };
            let Some(prior) = prior_of(first) else { continue };
            let mut scored = Vec::new();
            for (suspect, other_prior) in self.wiring.suspects.iter().zip(&priors) {
                let same = suspect.element == first.element();
                let touched = |f: &(Fault, f64)| evidence.is_touched(&self.wiring, f.0, &deviations);
                if same || !suspect.faults.first().is_some_and(touched) {
                    continue;
                }
                for (fault, share) in &suspect.faults {
                    let prior = prior * other_prior * share;
                    let log = evidence.screen(&self.wiring, &[first, *fault], &variances) + prior.ln();
                    scored.push((log, *fault, prior));
                }
            }
            scored.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
            let in_full = if long { PAIRS_IN_FULL_LONG } else { PAIRS_IN_FULL };
            for (_, fault, prior) in scored.into_iter().take(in_full) {
                let pair = [first.min(fault), first.max(fault)];
                if !seen.insert((age, pair)) {
                    continue;
                }
                let likelihood = Rc::new(evidence.likelihood(&self.wiring, &self.parts[age], &pair));
                found.push(Hypothesis {
                    age,
                    faults: pair.to_vec(),
                    untouched: false,
                    log_weight: self.ages[age].1 + prior.ln() + likelihood.log,
                    likelihood,
                    probability: 0.0,
                });
            }
        }
        found
    }
}

fn ranked(mut hypotheses: Vec<Hypothesis>, hunt: &Hunt) -> Ranking {
    let weights: Vec<f64> = hypotheses.iter().map(|h| h.log_weight).collect();
    let sum = log_sum(&weights);
    hypotheses.iter_mut().for_each(|h| h.probability = (h.log_weight - sum).exp());
    hypotheses.sort_by(|one, other| {
        other
            .probability
            .total_cmp(&one.probability)
            .then_with(|| (one.age, &one.faults).cmp(&(other.age, &other.faults)))
    });
    // What is at fault, in order, with its hypotheses beside each other and the likeliest of them first.
    let mut by_elements: Vec<([Option<Element>; 2], usize)> = Vec::with_capacity(hypotheses.len());
    let mut wrong = vec![0.0; hunt.evidence.first().map_or(0, |e| e.readings.len())];
    let mut ages = vec![0.0; hunt.ages.len()];
    for (index, h) in hypotheses.iter().enumerate() {
        let mut elements = [h.faults.first().map(Fault::element), h.faults.get(1).map(Fault::element)];
        if elements[1].is_some() && elements[1] < elements[0] {
            elements.swap(0, 1);
        }
        by_elements.push((elements, index));
        wrong.iter_mut().zip(&h.likelihood.wrong).for_each(|(sum, wrong)| *sum += h.probability * wrong);
        ages[h.age] += h.probability;
    }
    by_elements.sort_unstable();
    let mut ranked: Vec<Ranked> = by_elements
        .chunk_by(|one, other| one.0 == other.0)
        .map(|same| Ranked {
            elements: same[0].0.iter().flatten().copied().collect(),
            probability: same.iter().map(|(_, index)| hypotheses[*index].probability).sum(),
            best: same[0].1,
        })
        .collect();
    ranked.sort_by(|one, other| other.probability.total_cmp(&one.probability).then(one.best.cmp(&other.best)));
    Ranking { hypotheses, ranked, wrong, ages, healthy_fit: 1.0, best_fit: 1.0 }
}

/// A probability as people say it.
pub fn odds(probability: f64) -> String {
    if probability > 0.995 {
        "over 99 %".to_owned()
    } else if probability < 0.01 {
        "under 1 %".to_owned()
    } else {
        format!("{:.0} %", 100.0 * probability)
    }
}
