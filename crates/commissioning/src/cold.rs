//! The sheet of cold tests: the fewest that notice every mistake that can be noticed with every supply unplugged.

use crate::assess::{assess, is_long};
use crate::assessed::Assessed;
use crate::candidates::{candidates, own_elements, settings};
use crate::cover::cover;
use crate::mistake::{Mistake, mistakes};
use crate::test::{Element, How, ProbePoint, Test, TestKind, Topic, WouldRead};
use crate::unpowered::{Age, unpowered};
use crate::words::{JobWords, set_words};
use circuit::{Circuit, EdgeId, NodeId};
use network::BadConductance;
use schedule::Job;
use std::collections::{BTreeMap, BTreeSet};

/// Something that no test of a sheet proves, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct NotProved {
    /// What it is.
    pub element: Option<Element>,
    /// The mistake that would not be noticed.
    pub mistake: Option<Mistake>,
    /// In words.
    pub what: String,
    /// Why.
    pub why: String,
}

/// The cold tests of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct ColdSheet {
    /// How old the wiring is taken to be.
    pub age: Age,
    /// The tests, setting by setting.
    pub tests: Vec<Test>,
    /// Every mistake that was thought of.
    pub mistakes: Vec<Mistake>,
    /// For each of them the tests that notice it, by their index.
    pub noticed_by: Vec<Vec<usize>>,
    /// For each test what is usually read with each mistake that it notices, or that is made at its own pieces.
    pub readings: Vec<BTreeMap<Mistake, f64>>,
    /// No sheet with fewer tests notices as much.
    pub at_least: usize,
    /// What no cold test notices.
    pub not_proved: Vec<NotProved>,
}

/// Mistakes that a test lists at most; those at its own pieces come first.
const MOST_MISTAKES: usize = 12;

/// Makes the sheet.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn cold_sheet(job: &Job<'_>, age: Age) -> Result<ColdSheet, BadConductance> {
    let circuit = unpowered(&job.facts.circuit, age);
    let words = JobWords::new(job);
    let settings = settings(&circuit);
    let mistakes = mistakes(&circuit);
    let long = is_long(&circuit, &mistakes);
    let assessed = assess(&circuit, &settings, candidates(&circuit, &settings, long), &mistakes)?;
    let notices: Vec<BTreeSet<usize>> = assessed.iter().map(|a| a.notices.clone()).collect();
    let always: Vec<usize> = (0..assessed.len()).filter(|&i| parts_poles(&circuit, &assessed[i])).collect();
    let chosen = cover(&notices, &always);
    let mut picked: Vec<&Assessed> = chosen.chosen.iter().map(|&index| &assessed[index]).collect();
    // Setting by setting, so that little has to be thrown; by ohms first, then the bench supply comes out.
    picked.sort_by(|a, b| {
        let key = |a: &Assessed| (a.candidate.setting, a.how);
        key(a).cmp(&key(b)).then(a.range.most.total_cmp(&b.range.most))
    });
    let mut taken = BTreeSet::new();
    let mut noticed_by: Vec<Vec<usize>> = vec![Vec::new(); mistakes.len()];
    for (index, picked) in picked.iter().enumerate() {
        picked.notices.iter().for_each(|&m| noticed_by[m].push(index));
    }
    let made = picked.iter().map(|a| {
        let sheet = SheetWriter { circuit: &circuit, words: &words, mistakes: &mistakes, noticed_by: &noticed_by };
        sheet.test(a, &settings[a.candidate.setting], &mut taken)
    });
    let mut tests: Vec<Test> = made.collect();
    tests.iter_mut().enumerate().for_each(|(index, test)| test.number = index + 1);
    let reads = |a: &&Assessed| a.reads.iter().map(|(m, reading)| (mistakes[*m], *reading)).collect();
    let readings = picked.iter().map(reads).collect();
    let mut not_proved = unplugged(job, &words);
    let noticed: BTreeSet<usize> = notices.iter().flatten().copied().collect();
    let nearest = nearest_of(&assessed, mistakes.len());
    for (number, mistake) in mistakes.iter().enumerate().filter(|(number, _)| !noticed.contains(number)) {
        not_proved.push(NotProved {
            element: element_of(mistake),
            mistake: Some(*mistake),
            what: words.mistake(mistake),
            why: why_unseen(nearest[number].map(|index| &assessed[index]), number, mistake, long),
        });
    }
    Ok(ColdSheet { age, tests, mistakes, noticed_by, readings, at_least: chosen.at_least, not_proved })
}

/// Whether a candidate looks at the two poles of one breaker, which must be apart before power is put on: such a test is
/// made in every setting of the sheet, whatever else would do, since it notices what no list of mistakes holds.
fn parts_poles(circuit: &Circuit, assessed: &Assessed) -> bool {
    let [a, b] = assessed.candidate.pair;
    assessed.how == How::Open && circuit.breakers.iter().any(|breaker| breaker.node == [a, b])
}

/// The element that a mistake spoils, where it is an open piece or a bridged gap.
pub fn element_of(mistake: &Mistake) -> Option<Element> {
    match *mistake {
        Mistake::Open(edge) => Some(Element::Edge(edge)),
        Mistake::Bridged(a, b) => Some(Element::Gap(a, b)),
        Mistake::Resistive(_) | Mistake::Exchanged(..) => None,
    }
}

/// What the tests of a sheet are put into words from.
struct SheetWriter<'s, 'j, 'p> {
    circuit: &'s Circuit,
    words: &'s JobWords<'j, 'p>,
    mistakes: &'s [Mistake],
    noticed_by: &'s [Vec<usize>],
}

impl SheetWriter<'_, '_, '_> {
    fn test(&self, assessed: &Assessed, setting: &[Option<u8>], taken: &mut BTreeSet<String>) -> Test {
        let SheetWriter { circuit, words, mistakes, noticed_by } = *self;
        let candidate = &assessed.candidate;
        let set = set_words(circuit, setting);
        let own = own_elements(candidate);
        let proves: BTreeSet<Element> = assessed.notices.iter().filter_map(|&m| element_of(&mistakes[m])).collect();
        let is_own = |mistake: &Mistake| {
            mistake.edges().iter().any(|e| candidate.chain.contains(e))
                || element_of(mistake).is_some_and(|e| own.contains(&e))
        };
        let at_own = |m: usize| is_own(&mistakes[m]);
        // Those at its own pieces, and those that no other test of the sheet notices.
        let reads = assessed.reads.iter().map(|(m, reading)| (*m, *reading));
        let mut own_mistakes: Vec<(usize, f64)> =
            reads.filter(|(m, _)| at_own(*m) || noticed_by[*m].len() == 1).collect();
        if own_mistakes.is_empty() {
            own_mistakes = assessed.reads.iter().map(|(m, reading)| (*m, *reading)).collect();
        }
        own_mistakes.sort_by_key(|(m, _)| (!at_own(*m), *m));
        own_mistakes.truncate(MOST_MISTAKES);
        let own_mistakes = alike(words, assessed.how, mistakes, &own_mistakes, is_own);
        let base = words.name_of(candidate, &set);
        let mut name = format!("cold {base}");
        let mut count = 1;
        while !taken.insert(name.clone()) {
            count += 1;
            name = format!("cold {base}, {count}");
        }
        Test {
            name,
            number: 0,
            kind: TestKind::Cold,
            topic: Topic::Wiring,
            about: words.about(candidate),
            between: Some(points(words, candidate.pair)),
            on: Vec::new(),
            setting: setting.to_vec(),
            set,
            how: assessed.how,
            range: assessed.range.words.to_owned(),
            expected: Some(assessed.expected),
            passes: assessed.passes,
            chain: candidate.chain.clone(),
            proves: proves.into_iter().collect(),
            mistakes: own_mistakes,
        }
    }
}

/// Mistakes that read alike on the meter, together.
fn alike(
    words: &JobWords<'_, '_>,
    how: How,
    mistakes: &[Mistake],
    own_mistakes: &[(usize, f64)],
    is_own: impl Fn(&Mistake) -> bool,
) -> Vec<WouldRead> {
    let mut found: Vec<(f64, Vec<&Mistake>)> = Vec::new();
    for &(m, reading) in own_mistakes {
        let shown = crate::test::shown(how, reading);
        match found.iter_mut().find(|f| crate::test::shown(how, f.0) == shown) {
            Some(same) => same.1.push(&mistakes[m]),
            None => found.push((reading, vec![&mistakes[m]])),
        }
    }
    found
        .into_iter()
        .map(|(reading, same)| {
            let at_own = if same.iter().all(|m| is_own(m)) {
                same.iter().map(|m| m.wrong()).collect::<BTreeSet<_>>().into_iter().collect()
            } else {
                Vec::new()
            };
            WouldRead { what: words.mistakes(&same), reading, in_any_of: None, at_own }
        })
        .collect()
}

fn points(words: &JobWords<'_, '_>, pair: [NodeId; 2]) -> [ProbePoint; 2] {
    let [one, other] = pair.map(|node| words.node(node));
    let same = one == other;
    let side = |word: &str| if same { format!(", {word} side") } else { String::new() };
    [
        ProbePoint { words: format!("{one}{}", side("from")), node: pair[0] },
        ProbePoint { words: format!("{other}{}", side("to")), node: pair[1] },
    ]
}

/// What is inside supplies, breakers and reversers that sense shorts.
fn unplugged(job: &Job<'_>, words: &JobWords<'_, '_>) -> Vec<NotProved> {
    let circuit = &job.facts.circuit;
    let unpowered = unpowered(circuit, Age::New);
    let edges = EdgeId::each(&circuit.edges).zip(&unpowered.edges);
    edges
        .filter(|(_, unpowered)| unpowered.removed)
        .map(|((id, _), _)| NotProved {
            element: Some(Element::Edge(id)),
            mistake: None,
            what: words.edge(id),
            why: "unplugged in cold tests; only tests with power on can prove it".to_owned(),
        })
        .collect()
}

/// For each mistake the candidate whose reading it moves most, of those that read it.
fn nearest_of(assessed: &[Assessed], mistakes: usize) -> Vec<Option<usize>> {
    let mut nearest: Vec<Option<usize>> = vec![None; mistakes];
    for (index, test) in assessed.iter().enumerate() {
        for &number in test.reads.keys() {
            let before = nearest[number].map(|n| change(&assessed[n], number));
            if before.is_none_or(|before| change(test, number).total_cmp(&before).is_ge()) {
                nearest[number] = Some(index);
            }
        }
    }
    nearest
}

/// Why no candidate notices a mistake.
fn why_unseen(nearest: Option<&Assessed>, number: usize, mistake: &Mistake, long: bool) -> String {
    let shown = |a: &Assessed, reading: f64| crate::test::shown_with_unit(a.how, reading);
    match (nearest, mistake) {
        (Some(a), _) => {
            let (usual, well) = (a.reads[&number], [a.passes[0], a.passes[1]].map(|limit| shown(a, limit)));
            let nearest = a.nearest.get(&number).copied().unwrap_or(usual);
            // Where something lies beside it, that is a way through other feeders and the bus.
            let shows = match mistake {
                Mistake::Open(_) | Mistake::Resistive(_) => "; lift the feeders on one side of it, and it shows",
                _ => "",
            };
            let well = format!("{} to {} is well{shows}", well[0], well[1]);
            if nearest == usual {
                let [usual, instead] = [usual, a.expected.typical].map(|reading| shown(a, reading));
                format!("what lies beside it hides it: {usual} instead of {instead}; {well}")
            } else {
                format!(
                    "seen as a rule, not surely: {} as a rule, {} at worst; {well}",
                    shown(a, usual),
                    shown(a, nearest)
                )
            }
        }
        (None, _) if long => {
            "not looked for: the plan is so long that tests are held against the mistakes at their own pieces only"
                .into()
        }
        (None, Mistake::Bridged(..)) => {
            "its two sides are joined elsewhere by so little that no meter tells; look at it with a glass".to_owned()
        }
        (None, _) => "nothing that can be measured changes".to_owned(),
    }
}

fn change(assessed: &Assessed, number: usize) -> f64 {
    (assessed.reads[&number] / assessed.expected.typical).ln().abs()
}
