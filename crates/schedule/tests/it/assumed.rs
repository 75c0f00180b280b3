//! What the plan does not say is marked as assumed on the very row where it stands.
//!
//! The keys are those of the language's schema, so that a new one is asked too: every optional quantity, number and choice,
//! and those optional words that are no reference. Each one that a demo plan writes is taken out by itself, and every row of
//! the papers that a builder works from, and that says something else then, must be marked for it.

use crate::common::demos;
use schedule::paper::{Cell, Table};
use schedule::{Choices, Job, NumbersRecord};
use serde_json::Value as Schema;
use std::collections::{BTreeMap, BTreeSet};
use toml::{Table as Toml, Value};

/// Optional words that are no quantity and no choice: those that have a default, and those that name something or are there or
/// not. A new key must be put into one of the two.
const WITH_DEFAULT: [&str; 3] = ["wire", "feeder_wire", "rail"];
const WITHOUT: [&str; 14] = [
    "behind", "beside", "commands", "driver", "follows", "from", "left", "notes", "right", "stands", "supply", "to",
    "is", "colour",
];

/// What the layout says for all that say nothing of their own.
const FALLBACKS: &[&str] = &["feeder_wire", "feeder_length", "joint", "rail", "gap_width"];

/// Keys that say that something is there, and nothing where they are not: rail of one length has no joints by itself, a driver
/// has one output, a sub-breaker opens both poles. What papers say then is what the plan says.
const STATEMENTS: [&str; 3] = ["stock", "outputs", "opens"];

/// Where a key stands: keys and places in lists, from the root.
type Path = Vec<Step>;

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Key(String),
    At(usize),
}

fn is_value(key: &str, schema: &Schema) -> bool {
    if schema.get("enum").is_some() || matches!(schema["type"].as_str(), Some("number" | "integer")) {
        return true;
    }
    let words = schema["description"].as_str().unwrap_or_default();
    if schema["type"] == "string" && words.contains("(a ") && words.contains(", such as ") {
        return true;
    }
    if schema["type"] != "string" {
        return false;
    }
    assert!(WITH_DEFAULT.contains(&key) || WITHOUT.contains(&key), "has `{key}` a default? say so in this test");
    WITH_DEFAULT.contains(&key)
}

/// Every key with a default that is written below a value.
fn written(value: &Value, schema: &Schema, path: &Path, found: &mut Vec<Path>) {
    let choices: Vec<&Schema> = schema["anyOf"].as_array().map_or_else(|| vec![schema], |all| all.iter().collect());
    for schema in choices {
        match value {
            Value::Table(table) if schema["properties"].is_object() => {
                for (key, inner) in table {
                    let below = &schema["properties"][key];
                    let required = schema["required"].as_array().is_some_and(|all| all.iter().any(|k| k == key));
                    let here = [path.clone(), vec![Step::Key(key.clone())]].concat();
                    // A gap or feeder that names no rail is one in both: that is said by saying nothing.
                    let both = key == "rail" && below.get("enum").is_some();
                    let statement = STATEMENTS.contains(&key.as_str());
                    if !required && !both && !statement && is_value(key, below) {
                        found.push(here.clone());
                    }
                    written(inner, below, &here, found);
                }
            }
            Value::Array(items) if schema["items"].is_object() => {
                for (index, item) in items.iter().enumerate() {
                    written(item, &schema["items"], &[path.clone(), vec![Step::At(index)]].concat(), found);
                }
            }
            _ => {}
        }
    }
}

fn without(plan: &Toml, path: &Path) -> String {
    let mut plan = Value::Table(plan.clone());
    let (last, way) = path.split_last().unwrap();
    let mut at = &mut plan;
    for step in way {
        at = match step {
            Step::Key(key) => at.get_mut(key).unwrap(),
            Step::At(index) => at.get_mut(index).unwrap(),
        };
    }
    let Step::Key(key) = last else { panic!("a key is taken out") };
    at.as_table_mut().unwrap().remove(key).unwrap();
    let Value::Table(plan) = plan else { panic!("a plan is a table") };
    plan.to_string()
}

/// Tables that a builder works from, the columns that tell their rows apart, and those that are worked out of everything: what
/// is measured, and what stands there for information.
const TABLES: [(&str, &[&str], &[&str]); 10] = [
    ("wires", &["number"], &["district"]),
    // Where something is stands there in words of what can be seen from it: another key, other words of the same place.
    ("feeders", &["number"], &["where"]),
    ("bus-taps", &["wire"], &[]),
    ("gaps", &["number"], &["across it", "where"]),
    ("joints", &["number"], &["where"]),
    ("strips", &["position", "right: wire"], &[]),
    ("drivers", &["driver", "output"], &[]),
    ("drives", &["motor", "when"], &[]),
    ("loads", &["motor"], &[]),
    ("shopping", &["what"], &[]),
];

/// For a column the words of which one must stand in `assumed`.
fn marks(column: &str) -> &'static [&'static str] {
    match column {
        "run" | "cut" => &["length", "measure"],
        "size" => &["size"],
        "colour" => &["colour"],
        "plug" => &["plug"],
        "kind" => &["kind"],
        "leave" | "made by" => &["width"],
        "keeps" => &["keeps"],
        "gets" => &["gets"],
        "made for" | "least" => &["made for"],
        "draws" => &["draws"],
        _ => &[],
    }
}

fn words(cell: &Cell) -> String {
    match cell {
        Cell::Words(words) => words.to_string(),
        Cell::Number { shown, .. } => shown.clone(),
        Cell::Colour { word, .. } => word.clone(),
        _ => String::new(),
    }
}

type Row = BTreeMap<String, String>;

/// Rows by their table and what tells them apart in it.
type Rows = BTreeMap<(String, String), Row>;

/// The rows of the tables by what tells them apart, and the record of the numbers.
fn rows(text: &str, record: Option<&NumbersRecord>) -> Option<(Rows, NumbersRecord)> {
    let reading = plan::read(text);
    if !reading.understood() {
        return None;
    }
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = Job::carried_where_kept(facts, Choices::default(), record);
    let mut found = BTreeMap::new();
    let all = schedule::tables::papers(&job);
    for table in all.iter().flat_map(|paper| paper.tables()) {
        let Some((name, by, _)) = TABLES.iter().find(|t| t.0 == table.name) else { continue };
        gather(table, name, by, &mut found);
    }
    Some((found, job.record()))
}

fn gather(table: &Table, name: &str, by: &[&str], found: &mut Rows) {
    for row in &table.rows {
        let cells: Row = table
            .columns
            .iter()
            .zip(&row.cells)
            .map(|(column, cell)| (column.title.to_string(), words(cell)))
            .collect();
        let mut key: String = by.iter().map(|column| format!("{} | ", cells[*column])).collect();
        key.push_str(row.group.as_deref().unwrap_or_default());
        while found.contains_key(&(name.to_owned(), key.clone())) {
            key.push('+');
        }
        found.insert((name.to_owned(), key), cells);
    }
}

/// What of a row is another one now without being marked; nothing where all is well.
fn unmarked(table: &str, before: &Row, after: &Row) -> Vec<String> {
    let ignored = TABLES.iter().find(|t| t.0 == table).unwrap().2;
    let assumed = after.get("assumed").map_or("", String::as_str);
    let whole: String = after.values().map(|words| format!("{words} | ")).collect();
    let changed = after.iter().filter(|(column, is)| before[*column] != **is && !is.is_empty());
    changed
        .filter(|(column, _)| *column != "assumed" && !ignored.contains(&column.as_str()))
        .filter(|(column, is)| {
            let marked = marks(column).iter().any(|mark| assumed.split(", ").any(|word| word == *mark));
            let told = marks(column).is_empty() && (is.contains("assumed") || whole.contains("assumed"));
            !marked && !told
        })
        .map(|(column, is)| format!("{column}: {} -> {is}", before[column]))
        .collect()
}

#[test]
fn every_default_is_marked_on_the_row_that_uses_it() {
    let schema = plan::schema::schema();
    let (mut keys, mut asked, mut changed) = (BTreeSet::new(), 0, 0);
    let mut wrong: Vec<String> = Vec::new();
    let every_driver = include_str!("common/every_driver.toml").to_owned();
    let plans = demos().into_iter().chain([("every driver".to_owned(), every_driver)]);
    let plans = plans.flat_map(|(name, text)| [(format!("{name}, bare"), text.clone(), true), (name, text, false)]);
    for (name, text, bare) in plans {
        let mut plan: Toml = text.parse().unwrap();
        // What the layout says of all is no default; it is taken out first, so that what tables say of themselves has none to
        // fall back on.
        for fallback in if bare { FALLBACKS } else { &[] } {
            plan.get_mut("layout").and_then(|l| l.as_table_mut()).and_then(|l| l.remove(*fallback));
        }
        let text = plan.to_string();
        let has = |key: &str| plan.get("layout").is_some_and(|layout| layout.get(key).is_some());
        let (before, record) = rows(&text, None).unwrap();
        let mut paths = Vec::new();
        written(&Value::Table(plan.clone()), &schema, &Vec::new(), &mut paths);
        paths.sort();
        paths.dedup();
        // Of many alike tables a few stand for all.
        let mut alike: BTreeMap<Vec<String>, usize> = BTreeMap::new();
        for path in paths {
            let Some(Step::Key(last)) = path.last() else { continue };
            let falls_back = match last.as_str() {
                "wire" | "feeder_wire" => Some("feeder_wire"),
                "length" | "wire_length" | "feeder_length" => Some("feeder_length"),
                "joint" | "kind" => Some("joint"),
                "width" => Some("gap_width"),
                "rail" => Some("rail"),
                _ => None,
            };
            if path[0] != Step::Key("layout".to_owned()) && falls_back.is_some_and(has) {
                continue;
            }
            let kind: Vec<String> =
                path.iter().filter_map(|s| if let Step::Key(k) = s { Some(k.clone()) } else { None }).collect();
            let count = alike.entry(kind.clone()).or_default();
            *count += 1;
            if *count > 2 {
                continue;
            }
            let Some((after, _)) = rows(&without(&plan, &path), Some(&record)) else { continue };
            asked += 1;
            keys.insert(kind.join("."));
            for (key, now) in &after {
                let Some(then) = before.get(key) else { continue };
                changed += usize::from(then != now);
                for what in unmarked(&key.0, then, now) {
                    wrong.push(format!("{name} without {path:?}: {} {}: {what}", key.0, key.1));
                }
            }
        }
    }
    println!("{asked} times a key was left out, {} kinds of keys; {changed} rows are others then", keys.len());
    // Each kind of key once, so that all that is wrong is seen.
    let mut kinds = BTreeSet::new();
    wrong.retain(|words| {
        let kind: String = words.split(": ").take(2).collect::<Vec<_>>().join(" ");
        let kind: String = kind.chars().filter(|c| !c.is_ascii_digit()).collect();
        let kind = kind.split(" without ").nth(1).unwrap_or_default().to_owned();
        kinds.insert(
            kind.split("] ").map(|part| part.split(' ').next().unwrap_or_default()).collect::<Vec<_>>().join(" "),
        )
    });
    wrong.truncate(80);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(asked > 150 && keys.len() > 25 && changed > 150, "{asked}, {keys:?}, {changed}");
}
