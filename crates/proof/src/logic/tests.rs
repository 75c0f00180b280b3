//! Controls of several positions against plain enumeration.

use super::*;
use circuit::Control;

fn circuit(positions: &[usize], settles: &[usize], illegal: Vec<Vec<Literal>>) -> Circuit {
    let control = |(index, &count): (usize, &usize)| Control {
        name: format!("C{index}"),
        parts: Vec::new(),
        toggles: Vec::new(),
        positions: (0..count).map(|p| p.to_string()).collect(),
        usual: 0,
        settles: settles.contains(&index),
        span: 0..0,
    };
    Circuit { controls: positions.iter().enumerate().map(control).collect(), illegal, ..Circuit::default() }
}

/// Every combination of positions, legal or not.
fn all(circuit: &Circuit) -> Vec<Vec<u8>> {
    circuit.controls.iter().fold(vec![Vec::new()], |settings, control| {
        let with =
            |s: &Vec<u8>| (0..control.positions.len() as u8).map(|p| [s.as_slice(), &[p]].concat()).collect::<Vec<_>>();
        settings.iter().flat_map(with).collect()
    })
}

fn legal(circuit: &Circuit) -> Vec<Vec<u8>> {
    let mut settings = all(circuit);
    settings.retain(|s| circuit.is_legal(&s.iter().map(|&p| Some(p)).collect::<Vec<_>>()));
    settings
}

/// A condition that holds in these settings only, each a position for each control.
fn of_settings(logic: &Logic, settings: &[Vec<u8>]) -> Condition {
    settings.iter().fold(logic.never(), |any, setting| {
        let guard: Vec<Literal> =
            ControlId::each(setting).map(|(control, &position)| Literal { control, position }).collect();
        logic.or(any, logic.guard(&guard).unwrap()).unwrap()
    })
}

/// How few positions tell a condition, by trying all sets of them.
fn fewest(circuit: &Circuit, holds: &[Vec<u8>]) -> Option<usize> {
    let there = legal(circuit);
    // A position or none for each control.
    let mut cubes: Vec<Vec<Option<u8>>> = vec![Vec::new()];
    for control in &circuit.controls {
        let choices: Vec<Option<u8>> = (0..control.positions.len() as u8).map(Some).chain([None]).collect();
        cubes = cubes.iter().flat_map(|c| choices.iter().map(move |&p| [c.as_slice(), &[p]].concat())).collect();
    }
    let fits = |cube: &[Option<u8>], s: &[u8]| cube.iter().zip(s).all(|(c, &p)| c.is_none_or(|c| c == p));
    let implies = |cube: &&Vec<Option<u8>>| {
        let mut covered = there.iter().filter(|s| fits(cube, s)).peekable();
        covered.peek().is_some() && covered.all(|s| holds.contains(s))
    };
    cubes.iter().filter(implies).map(|c| c.iter().flatten().count()).min()
}

/// A few numbers in no order, the same every time.
fn scattered(seed: u64) -> impl FnMut(u64) -> u64 {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    move |below| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) % below
    }
}

#[test]
fn digits_of_positions() {
    assert_eq!([1, 2, 3, 4, 5, 8, 9, 255].map(digits), [0, 1, 2, 2, 3, 3, 4, 8]);
}

#[test]
fn legal_settings_are_counted_exactly() {
    let literal = |(control, position)| Literal { control: ControlId::new(control), position };
    let never = |a: (usize, u8), b: (usize, u8)| vec![literal(a), literal(b)];
    let circuit = circuit(&[3, 2, 1, 5], &[], vec![never((0, 2), (1, 1)), never((1, 1), (3, 4))]);
    let logic = Logic::new(&circuit, 1 << 20).unwrap();
    assert_eq!(logic.diagrams.settings(logic.restrict_to_legal(logic.always()).unwrap()), legal(&circuit).len() as f64);
    for setting in all(&circuit) {
        let there = legal(&circuit).contains(&setting);
        assert_eq!(logic.value(logic.restrict_to_legal(logic.always()).unwrap(), &setting), there, "{setting:?}");
    }
}

/// On random conditions: what is reported holds wherever it can be set, can be set, and no fewer positions would do.
#[test]
fn the_smallest_witness_is_an_implicant_of_the_fewest_positions() {
    let mut conditions = 0;
    for seed in 1..400 {
        let mut random = scattered(seed);
        let positions: Vec<usize> = (0..3 + random(2)).map(|_| 1 + random(4) as usize).collect();
        let illegal = (0..random(4))
            .map(|_| {
                let mut literal = |control: usize| {
                    let control = ControlId::new(control);
                    // Never the first position: those of all controls together are a setting that there is.
                    let count = positions[control] as u64;
                    (count > 1).then(|| Literal { control, position: 1 + random(count - 1) as u8 })
                };
                [literal(0), literal(1)].into_iter().flatten().collect::<Vec<_>>()
            })
            .filter(|guard| guard.len() == 2)
            .collect();
        let circuit = circuit(&positions, &[], illegal);
        let logic = Logic::new(&circuit, 1 << 20).unwrap();
        let share = 1 + random(8);
        let holds: Vec<Vec<u8>> = legal(&circuit).into_iter().filter(|_| random(9) < share).collect();
        let condition = of_settings(&logic, &holds);
        let shortest = logic.shortest_cube(condition);
        let expected = fewest(&circuit, &holds);
        assert_eq!(expected.is_none(), holds.is_empty());
        let Some(expected) = expected else {
            assert!(shortest.is_empty());
            continue;
        };
        conditions += 1;
        assert_eq!(shortest.len(), expected, "{positions:?} {holds:?} {shortest:?}");
        let fits = |s: &Vec<u8>| shortest.iter().all(|l| s[l.control] == l.position);
        let covered: Vec<Vec<u8>> = legal(&circuit).into_iter().filter(fits).collect();
        assert!(!covered.is_empty() && covered.iter().all(|s| holds.contains(s)), "{shortest:?}");
        // The thinned one of long searches is an implicant too.
        let possible = logic.restrict_to_legal(condition).unwrap();
        let wanted = logic.or(condition, logic.illegal).unwrap();
        let small = logic.small(possible, wanted);
        let fits = |s: &Vec<u8>| small.iter().all(|l| s[l.control] == l.position);
        let covered: Vec<Vec<u8>> = legal(&circuit).into_iter().filter(fits).collect();
        assert!(!covered.is_empty() && covered.iter().all(|s| holds.contains(s)), "{small:?}");
    }
    assert!(conditions > 300, "only {conditions} conditions");
}

#[test]
fn what_settles_is_a_fault_only_where_it_is_one_both_ways() {
    let circuit = circuit(&[2, 2], &[1], Vec::new());
    let logic = Logic::new(&circuit, 1 << 20).unwrap();
    // In position 1 of the first control whichever way the second settles, in position 0 one way only.
    let condition = of_settings(&logic, &[vec![1, 0], vec![1, 1], vec![0, 1]]);
    let fault = logic.forall_automatic(condition).unwrap();
    assert_eq!(logic.shortest_cube(fault), [Literal { control: ControlId::new(0), position: 1 }]);
    assert!(!logic.value(fault, &[0, 1]));
}
