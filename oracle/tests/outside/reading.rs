//! Plans grown at random, against an independent reading of the plan language that tries every setting: both stand beside this
//! crate, in another language, and know nothing of ours.
//!
//! In the long run (`--ignored`) `GAPWRIGHT_GROWN=2000` grows so many plans without a fault, and a sixth of that of each kind of fault;
//! `GAPWRIGHT_GROWN_SEED` is the first seed.

use crate::enumeration::require;
use libtest_mimic::{Failed, Trial};
use proof::Proof;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Plans without a fault in the long run, where nothing else is said.
const GROWN: usize = 24;
/// Plans without a fault every day.
const FEW: usize = 18;
/// Numbers agree to this, relative.
const CLOSE: f64 = 1e-6;

pub fn trials() -> Vec<Trial> {
    let few = |name: &str, kind: &'static str, plans: usize| {
        Trial::test(format!("reading::a_few_{name}"), move || compare(kind, plans)).with_ignored_flag(ignored())
    };
    let all = |name: &str, kind: &'static str, plans: usize| {
        Trial::test(format!("reading::{name}"), move || compare(kind, plans)).with_ignored_flag(true)
    };
    vec![
        few("grown_plans", "none", FEW),
        few("grown_plans_with_drivers", "drivers", FEW / 2),
        few("grown_plans_with_a_planted_fault", "planted", FEW / 6),
        all("grown_plans", "none", count()),
        all("grown_plans_with_drivers", "drivers", count().div_ceil(2)),
        all("grown_plans_with_a_planted_fault", "planted", count().div_ceil(6)),
    ]
}

/// Without Python and its numbers the checks are shown as ignored, not as passed; where all checks are asked for, they fail.
pub(crate) fn ignored() -> bool {
    let there = Command::new("python3")
        .args(["-c", "import networkx, numpy, tomllib"])
        .output()
        .is_ok_and(|o| o.status.success());
    !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none()
}

/// So many plans without a fault are asked for.
pub(crate) fn count() -> usize {
    std::env::var("GAPWRIGHT_GROWN").ok().and_then(|n| n.parse().ok()).unwrap_or(GROWN)
}

/// A plan that was grown.
pub(crate) struct Grown {
    pub(crate) file: String,
    pub(crate) fault: Option<String>,
    pub(crate) closed: bool,
    /// Trackwork and tracks that have no power by intent.
    unfed: BTreeSet<String>,
}

pub(crate) fn python(script: &str, arguments: &[&str]) -> Result<Vec<Value>, Failed> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join(script);
    let out = Command::new("python3").arg("-B").arg(&script).args(arguments).output()?;
    require(out.status.success(), || format!("{}: {}", script.display(), String::from_utf8_lossy(&out.stderr)))?;
    let lines = String::from_utf8(out.stdout)?;
    Ok(lines.lines().map(serde_json::from_str).collect::<Result<_, _>>()?)
}

/// Grows plans with a kind of fault, in a folder of their own; `planted` stands for each kind in turn, `drivers` for plans without
/// a fault that say what throws their motors.
pub(crate) fn grown(kind: &str, each: usize, folder: &Path) -> Result<Vec<Grown>, Failed> {
    let seed = std::env::var("GAPWRIGHT_GROWN_SEED").unwrap_or_else(|_| "1".to_owned());
    let fault = match kind {
        "planted" => "all",
        "drivers" => "none",
        kind => kind,
    };
    let out = folder.to_string_lossy();
    let each = each.to_string();
    let mut arguments = vec!["--count", &each, "--seed", &seed, "--out", &out, "--controls", "7", "--fault", fault];
    arguments.extend((kind == "drivers").then_some("--drivers"));
    let lines = python("growing/grow_plans.py", &arguments)?;
    let words =
        |value: &Value| value.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect();
    let plans = lines.iter().map(|line| Grown {
        file: line["file"].as_str().unwrap_or_default().to_owned(),
        fault: line["fault"].as_str().map(str::to_owned),
        closed: line["closed"] == true,
        unfed: [words(&line["unfed"]), words(&line["unfed_stubs"])].into_iter().flat_map(|w: Vec<String>| w).collect(),
    });
    Ok(plans.filter(|p| fault == "none" || p.fault.is_some()).collect())
}

fn compare(kind: &str, each: usize) -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let plans = grown(kind, each, folder.path())?;
    let mut told: BTreeMap<String, usize> = BTreeMap::new();
    let (mut numbers, mut closed, mut wrong) = (0, 0, Vec::new());
    for some in plans.chunks(100) {
        let mut files: Vec<&str> = vec!["-j", "2"];
        files.extend(some.iter().map(|p| p.file.as_str()));
        for (plan, read) in some.iter().zip(python("reading/read.py", &files)?) {
            require(read["plan"] == plan.file.as_str() && read["error"].is_null(), || read.to_string())?;
            let text = std::fs::read_to_string(PathBuf::from(&plan.file))?;
            let ours = ours(&text)?;
            let mut theirs = Verdict::theirs(&read);
            if let Err(what) = ours.differs(&theirs) {
                wrong.push(format!("{}: {what}", plan.file));
            }
            numbers += theirs.numbers.len();
            closed += usize::from(plan.closed);
            theirs.dead.retain(|name| !plan.unfed.contains(name));
            let fault = plan.fault.clone().unwrap_or_else(|| "none".to_owned());
            require(theirs.finds() == plan.fault.is_some(), || format!("{}: {fault} {read}", plan.file))?;
            *told.entry(fault).or_insert(0) += 1;
        }
    }
    println!(
        "{} plans ({closed} closed), {numbers} tracks with numbers, alike but {}: {told:?}",
        plans.len(),
        wrong.len()
    );
    if wrong.is_empty() {
        return Ok(());
    }
    // What differs is kept to be looked at.
    let kept = folder.keep();
    Err(format!("{} differ, in {}:\n{}", wrong.len(), kept.display(), wrong.join("\n")).into())
}

/// What is found of a plan.
#[derive(Debug, Default)]
struct Verdict {
    shorted: bool,
    /// Whether every setting has a short or supplies that meet.
    never_clean: bool,
    joined: bool,
    bridges: BTreeSet<String>,
    dead: BTreeSet<String>,
    wrong: BTreeSet<String>,
    storage: BTreeSet<String>,
    /// For each track the volts and the amperes of a short: best, usual, worst.
    numbers: BTreeMap<String, [f64; 6]>,
}

impl Verdict {
    fn finds(&self) -> bool {
        let sets = [&self.bridges, &self.dead, &self.wrong, &self.storage];
        self.shorted || self.joined || sets.iter().any(|set| !set.is_empty())
    }

    fn theirs(read: &Value) -> Verdict {
        let list = |key: &str| read[key].as_array().cloned().unwrap_or_default();
        let words = |value: &Value| match value.as_array() {
            Some(parts) => parts
                .iter()
                .map(|p| p.as_str().map_or_else(|| place(p.as_f64()), str::to_owned))
                .collect::<Vec<_>>()
                .join(" "),
            None => value.as_str().unwrap_or_default().to_owned(),
        };
        let set = |key: &str| list(key).iter().map(words).collect::<BTreeSet<_>>();
        let tracks = read["tracks"].as_object().into_iter().flatten();
        let numbers = tracks.map(|(name, track)| {
            let three = |key: &str| [0, 1, 2].map(|i| track[key][i].as_f64().unwrap_or(f64::NAN));
            let ([a, b, c], [d, e, f]) = (three("volts"), three("fault_amps"));
            (name.clone(), [a, b, c, d, e, f])
        });
        Verdict {
            shorted: read["shorted_count"].as_u64() != Some(0) || read["meet"] == true,
            never_clean: read["shorted_count"] == read["settings"] || read["meet"] == true,
            joined: read["joined"] == true,
            bridges: set("bridges").union(&set("bridged_works")).cloned().collect(),
            dead: set("dead"),
            wrong: set("wrong"),
            storage: set("storage"),
            numbers: numbers.collect(),
        }
    }

    fn differs(&self, other: &Verdict) -> Result<(), String> {
        let same = |what: &str, a: &dyn std::fmt::Debug, b: &dyn std::fmt::Debug| {
            let (a, b) = (format!("{a:?}"), format!("{b:?}"));
            if a == b { Ok(()) } else { Err(format!("{what}: {a}, read as {b}")) }
        };
        same("shorted", &self.shorted, &other.shorted)?;
        // Where no setting is without a short nothing else is proved: what the review tells beside it serves to find the cause.
        if other.never_clean {
            return Ok(());
        }
        same("joined", &self.joined, &other.joined)?;
        same("bridges", &self.bridges, &other.bridges)?;
        // A storage track that is reported as dead against its policy need not be reported as dead rail too.
        let rail = |v: &Verdict| -> BTreeSet<String> {
            v.dead.iter().filter(|name| !v.storage.contains(&format!("{name} dead"))).cloned().collect()
        };
        same("dead", &rail(self), &rail(other))?;
        same("wrong", &self.wrong, &other.wrong)?;
        same("storage", &self.storage, &other.storage)?;
        same("tracks", &self.numbers.keys(), &other.numbers.keys())?;
        for ((name, a), b) in self.numbers.iter().zip(other.numbers.values()) {
            let far = a.iter().zip(b).any(|(a, b)| (a - b).abs() > CLOSE * b.abs().max(1e-3));
            if far {
                return Err(format!("{name}: {a:?}, read as {b:?}"));
            }
        }
        Ok(())
    }
}

fn place(x: Option<f64>) -> String {
    // A tenth of a millimetre; a nanometre more, so that halves fall one way.
    format!("{:.4}", x.unwrap_or(f64::NAN) + 1e-9)
}

fn ours(text: &str) -> Result<Verdict, Failed> {
    let reading = plan::read(text);
    require(reading.understood(), || format!("{:#?}\n{text}", reading.findings))?;
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let proof: &Proof = facts.proof().map_err(|e| format!("{e:?}"))?;
    let circuit = &facts.circuit;
    let name = |segment: usize| match circuit.segments[segment].owner {
        circuit::RailOwner::Track(index) => reading.plan.track[index].name.value.clone(),
        circuit::RailOwner::Work { kind, index, .. } => {
            let mut all = plan::names::each_name(&reading.plan);
            all.find(|w| (w.0, w.1) == (kind, index)).map_or_else(String::new, |w| w.2.value.clone())
        }
    };
    let bridges =
        proof.bridges.iter().map(|b| &circuit.gaps[b.gap]).map(|gap| match circuit.segments[gap.segment].owner {
            circuit::RailOwner::Track(_) => format!("{} {} {}", name(gap.segment), gap.side.word(), place(Some(gap.x))),
            circuit::RailOwner::Work { .. } => name(gap.segment),
        });
    let track = |index: usize| reading.plan.track[index].name.value.clone();
    let storage = proof.storage.iter().map(|s| format!("{} {}", track(s.track), if s.live { "live" } else { "dead" }));
    let numbers = facts.figures().into_iter().flat_map(|f| &f.tracks).map(|t| {
        let (v, a) = (t.volts, t.fault_amps);
        (track(t.track), [v.high, v.typical, v.low, a.high, a.typical, a.low])
    });
    Ok(Verdict {
        shorted: !proof.shorts.is_empty(),
        never_clean: false,
        joined: !proof.joined.is_empty(),
        bridges: bridges.collect(),
        dead: proof.dead.iter().flat_map(|d| &d.pieces).map(|p| name(p.segment)).collect(),
        wrong: proof.wrong_phases.iter().map(|w| format!("{} {}", track(w.track), w.side.word())).collect(),
        storage: storage.collect(),
        numbers: numbers.collect(),
    })
}
