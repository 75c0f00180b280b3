//! The store of the binary decision diagrams (ROBDD) behind [`Diagrams`](crate::Diagrams): a unique table, in which every node is once,
//! and an operation cache of what was worked out of pairs of them.

/// A Boolean operator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Junction {
    And,
    Or,
    AndNot,
}

/// A decision: its variable, and the nodes that follow where that is 0 or 1. Both end nodes, 0 and 1, have the variable behind
/// the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Cofactors {
    pub(crate) variable: u32,
    pub(crate) low: u32,
    pub(crate) high: u32,
}

/// An entry of the operation cache.
#[derive(Clone, Copy, Debug)]
struct Remembered {
    one: u32,
    other: u32,
    junction: u8,
    joined: u32,
}

/// A piece of work on a pair of nodes.
#[derive(Debug)]
enum Task {
    Look(u32, u32),
    /// Both parts lie ready: for which variable, and of which pair they are.
    Join(u32, u32, u32),
}

const NOTHING: Remembered = Remembered { one: 0, other: 0, junction: u8::MAX, joined: 0 };
/// Places for nodes at first, and always twice as many as nodes.
const PLACES: usize = 1 << 10;
/// For so many places for nodes there is one for what was joined.
const FEWER: usize = 4;

#[derive(Debug)]
pub(crate) struct Store {
    /// What follows a node has a lower number than the node.
    pub(crate) nodes: Vec<Cofactors>,
    /// For each node no fewer than the nodes of its diagram.
    pub(crate) at_most: Vec<u32>,
    /// For each node the nodes of its diagram, 0 where they were not counted yet.
    exactly: Vec<u32>,
    /// Nodes by what they hold, in open addressing; 0 is an empty place.
    places: Vec<u32>,
    remembered: Vec<Remembered>,
    /// For each node the walk that met it last, and what that found.
    met: Vec<(u32, u32)>,
    walk: u32,
    pub(crate) steps: usize,
    /// Memory for junctions.
    tasks: Vec<Task>,
    done: Vec<u32>,
}

impl Store {
    pub(crate) fn new(variables: usize) -> Store {
        let end = |node| Cofactors { variable: variables as u32, low: node, high: node };
        Store {
            nodes: vec![end(0), end(1)],
            at_most: vec![1, 2],
            exactly: vec![1, 2],
            places: vec![0; PLACES],
            remembered: vec![NOTHING; PLACES / FEWER],
            met: vec![(0, 0); 2],
            walk: 0,
            steps: 0,
            tasks: Vec::new(),
            done: Vec::new(),
        }
    }

    /// The node that asks for a variable; none, where both answers lead to the same.
    pub(crate) fn node(&mut self, variable: u32, low: u32, high: u32) -> u32 {
        if low == high {
            return low;
        }
        let cofactors = Cofactors { variable, low, high };
        let mut place = scattered(low, high, variable) & (self.places.len() - 1);
        loop {
            match self.places[place] {
                0 => break,
                node if self.nodes[node as usize] == cofactors => return node,
                _ => place = (place + 1) & (self.places.len() - 1),
            }
        }
        let node = self.nodes.len() as u32;
        self.places[place] = node;
        self.nodes.push(cofactors);
        let [below, above] = [low, high].map(|n| self.at_most[n as usize]);
        // The end nodes are counted once, in whichever part has any other.
        let most = if low < 2 || high < 2 {
            below.max(above).max(2).saturating_add(1)
        } else {
            below.saturating_add(above).saturating_sub(1)
        };
        self.at_most.push(most);
        self.exactly.push(0);
        self.met.push((0, 0));
        if 2 * self.nodes.len() > self.places.len() {
            self.grow();
        }
        node
    }

    /// Twice as many places.
    fn grow(&mut self) {
        let count = 2 * self.places.len();
        self.places.clear();
        self.places.resize(count, 0);
        for (node, c) in self.nodes.iter().enumerate().skip(2) {
            let mut place = scattered(c.low, c.high, c.variable) & (count - 1);
            while self.places[place] != 0 {
                place = (place + 1) & (count - 1);
            }
            self.places[place] = node as u32;
        }
        let count = (count / FEWER).max(self.remembered.len());
        let old = std::mem::replace(&mut self.remembered, vec![NOTHING; count]);
        for known in old.into_iter().filter(|r| r.junction != u8::MAX) {
            let place = scattered(known.one, known.other, u32::from(known.junction));
            self.remembered[place & (count - 1)] = known;
        }
    }

    /// What a junction of two nodes is, where that is plain to see; else the pair in its order.
    pub(crate) fn plain(junction: Junction, one: u32, other: u32) -> Result<u32, (u32, u32)> {
        match junction {
            Junction::And => match (one, other) {
                (0, _) | (_, 0) => Ok(0),
                (1, same) | (same, 1) => Ok(same),
                _ if one == other => Ok(one),
                _ => Err((one.min(other), one.max(other))),
            },
            Junction::Or => match (one, other) {
                (1, _) | (_, 1) => Ok(1),
                (0, same) | (same, 0) => Ok(same),
                _ if one == other => Ok(one),
                _ => Err((one.min(other), one.max(other))),
            },
            Junction::AndNot => match (one, other) {
                (0, _) | (_, 1) => Ok(0),
                (same, 0) => Ok(same),
                _ if one == other => Ok(0),
                _ => Err((one, other)),
            },
        }
    }

    /// The junction of a pair that is not plain to see; none, where it takes more new nodes than `most`.
    pub(crate) fn joined(&mut self, junction: Junction, pair: (u32, u32), most: usize) -> Option<u32> {
        let most = self.nodes.len().saturating_add(most);
        let (mut tasks, mut done) = (std::mem::take(&mut self.tasks), std::mem::take(&mut self.done));
        tasks.clear();
        done.clear();
        tasks.push(Task::Look(pair.0, pair.1));
        while let Some(task) = tasks.pop() {
            match task {
                Task::Look(one, other) => match self.looked_at(junction, one, other) {
                    Ok(joined) => done.push(joined),
                    Err(to_do) => tasks.extend(to_do),
                },
                Task::Join(variable, one, other) => {
                    let (Some(high), Some(low)) = (done.pop(), done.pop()) else { continue };
                    let joined = self.node(variable, low, high);
                    let place = self.place(junction, one, other);
                    self.remembered[place] = Remembered { one, other, junction: junction as u8, joined };
                    done.push(joined);
                    // All of them are part of what comes out.
                    if self.nodes.len() > most {
                        tasks.clear();
                        done.clear();
                    }
                }
            }
        }
        let joined = done.pop();
        (self.tasks, self.done) = (tasks, done);
        joined
    }

    /// What a pair is joined to, where that is known; else what is to be done for it, last things first.
    fn looked_at(&mut self, junction: Junction, one: u32, other: u32) -> Result<u32, [Task; 3]> {
        let (one, other) = match Store::plain(junction, one, other) {
            Ok(plain) => return Ok(plain),
            Err(pair) => pair,
        };
        let known = self.remembered[self.place(junction, one, other)];
        if (known.one, known.other, known.junction) == (one, other, junction as u8) {
            return Ok(known.joined);
        }
        self.steps += 1;
        let (a, b) = (self.nodes[one as usize], self.nodes[other as usize]);
        let variable = a.variable.min(b.variable);
        let parts = |c: Cofactors, own| if c.variable == variable { (c.low, c.high) } else { (own, own) };
        let ((a_low, a_high), (b_low, b_high)) = (parts(a, one), parts(b, other));
        Err([Task::Join(variable, one, other), Task::Look(a_high, b_high), Task::Look(a_low, b_low)])
    }

    fn place(&self, junction: Junction, one: u32, other: u32) -> usize {
        scattered(one, other, junction as u32) & (self.remembered.len() - 1)
    }

    /// Begins a walk: no node is met yet.
    fn begin(&mut self) {
        if self.walk == u32::MAX {
            self.met.fill((0, 0));
            self.walk = 0;
        }
        self.walk += 1;
    }

    /// Whether a node is met for the first time.
    fn meet(&mut self, node: u32) -> bool {
        let walk = self.walk;
        std::mem::replace(&mut self.met[node as usize].0, walk) != walk
    }

    /// The nodes of some diagrams without the end nodes, what follows a node before it.
    fn nodes_of(&mut self, roots: impl IntoIterator<Item = u32>) -> Vec<u32> {
        let mut found = Vec::new();
        self.each_of(roots, |node| found.push(node));
        found.sort_unstable();
        found
    }

    /// Walks over the nodes of some diagrams without the end nodes, in no order.
    fn each_of(&mut self, roots: impl IntoIterator<Item = u32>, mut tell: impl FnMut(u32)) {
        self.begin();
        let mut stack: Vec<u32> = Vec::new();
        for root in roots {
            stack.push(root);
            while let Some(node) = stack.pop() {
                if node > 1 && self.meet(node) {
                    tell(node);
                    let Cofactors { low, high, .. } = self.nodes[node as usize];
                    stack.extend([low, high]);
                }
            }
        }
    }

    /// What a walk leaves at a node; the end nodes keep their own numbers.
    fn left_at(&self, node: u32) -> u32 {
        if node < 2 { node } else { self.met[node as usize].1 }
    }

    /// A node with some variables fixed, none of them behind `last`.
    pub(crate) fn restricted(&mut self, root: u32, last: u32, value: impl Fn(u32) -> Option<bool>) -> u32 {
        self.begin();
        let mut stack = vec![root];
        let mut found = Vec::new();
        while let Some(node) = stack.pop() {
            let Cofactors { variable, low, high } = self.nodes[node as usize];
            if variable > last {
                // The end nodes are behind all.
                self.met[node as usize] = (self.walk, node);
            } else if self.meet(node) {
                found.push(node);
                match value(variable) {
                    Some(true) => stack.push(high),
                    Some(false) => stack.push(low),
                    None => stack.extend([low, high]),
                }
            }
        }
        found.sort_unstable();
        for node in found {
            let Cofactors { variable, low, high } = self.nodes[node as usize];
            let found = match value(variable) {
                Some(true) => self.left_at(high),
                Some(false) => self.left_at(low),
                None => {
                    let (low, high) = (self.left_at(low), self.left_at(high));
                    self.node(variable, low, high)
                }
            };
            self.met[node as usize].1 = found;
        }
        self.left_at(root)
    }

    pub(crate) fn holds(&mut self, root: u32, value: impl Fn(u32) -> Option<bool>) -> bool {
        self.begin();
        let mut stack = vec![root];
        while let Some(node) = stack.pop() {
            if node == 0 {
                return false;
            }
            if node == 1 || !self.meet(node) {
                continue;
            }
            let Cofactors { variable, low, high } = self.nodes[node as usize];
            let value = value(variable);
            if value != Some(true) {
                stack.push(low);
            }
            if value != Some(false) {
                stack.push(high);
            }
        }
        true
    }

    pub(crate) fn support(&mut self, root: u32) -> Vec<u32> {
        let nodes = self.nodes_of([root]);
        let mut variables: Vec<u32> = nodes.into_iter().map(|node| self.nodes[node as usize].variable).collect();
        variables.sort_unstable();
        variables.dedup();
        variables
    }

    pub(crate) fn size(&mut self, root: u32) -> usize {
        let known = self.exactly[root as usize];
        if known > 0 {
            return known as usize;
        }
        // Of a single chain no two parts have to be told apart.
        let mut chain = 0;
        let mut at = root;
        while self.exactly[at as usize] == 0 {
            let Cofactors { low, high, .. } = self.nodes[at as usize];
            if low > 1 && high > 1 {
                break;
            }
            chain += 1;
            at = low.max(high);
        }
        let rest = match self.exactly[at as usize] {
            0 => {
                let mut count = 2;
                self.each_of([at], |_| count += 1);
                count
            }
            known => known.max(2),
        };
        self.exactly[at as usize] = self.exactly[at as usize].max(if at > 1 { rest } else { 0 });
        self.exactly[root as usize] = rest + chain;
        self.at_most[root as usize] = rest + chain;
        (rest + chain) as usize
    }

    pub(crate) fn settings(&mut self, root: u32) -> f64 {
        let nodes = self.nodes_of([root]);
        let mut count = vec![0.0; nodes.len()];
        let of = |at: u32, count: &[f64]| match at {
            0 | 1 => f64::from(at),
            _ => nodes.binary_search(&at).map_or(0.0, |place| count[place]),
        };
        for (place, &node) in nodes.iter().enumerate() {
            let Cofactors { variable, low, high } = self.nodes[node as usize];
            let free = |at: u32| 2.0_f64.powi((self.nodes[at as usize].variable - variable - 1) as i32);
            count[place] = of(low, &count) * free(low) + of(high, &count) * free(high);
        }
        let all = of(root, &count) * 2.0_f64.powi(self.nodes[root as usize].variable as i32);
        if all.is_nan() { f64::INFINITY } else { all }
    }

    pub(crate) fn most_free_clause(&mut self, root: u32) -> Option<Vec<(u32, bool)>> {
        if root == 0 {
            return None;
        }
        // For each node how many variables are named from there on, and the value of its own, packed so that of two the less
        // names fewer.
        let nodes = self.nodes_of([root]);
        for &node in &nodes {
            let Cofactors { low, high, .. } = self.nodes[node as usize];
            let [below, above] = [low, high].map(|n| self.left_at(n));
            let value = low == 0 || (high != 0 && above < below);
            let named = if value { above } else { below } / 2 + 1;
            self.met[node as usize].1 = 2 * named + u32::from(value);
        }
        let mut clause = Vec::new();
        let mut at = root;
        while at > 1 {
            let Cofactors { variable, low, high } = self.nodes[at as usize];
            let value = self.left_at(at) % 2 == 1;
            clause.push((variable, value));
            at = if value { high } else { low };
        }
        Some(clause)
    }

    pub(crate) fn written_out(&mut self, roots: impl Iterator<Item = u32> + Clone) -> (Vec<Cofactors>, Vec<u32>) {
        let nodes = self.nodes_of(roots.clone());
        let mut written = self.nodes[..2].to_vec();
        for node in nodes {
            let Cofactors { variable, low, high } = self.nodes[node as usize];
            self.met[node as usize].1 = written.len() as u32;
            written.push(Cofactors { variable, low: self.left_at(low), high: self.left_at(high) });
        }
        let roots = roots.map(|root| self.left_at(root)).collect();
        (written, roots)
    }
}

/// Where to look for a pair. What is made one after the other has numbers, and so places, one beside the other: a long diagram is
/// written and read along the memory, not all over it.
fn scattered(one: u32, other: u32, third: u32) -> usize {
    (one.wrapping_mul(0x9E37_79B1).wrapping_add(other)).wrapping_add(third.wrapping_mul(11)) as usize
}
