//! What is printed is what the files of tables hold: denser, but nothing that must be built is lost, and what was assumed has a star on
//! its row.

use crate::common::{demos, with_job};
use schedule::paper::{Block, Paper, Table};
use schedule::tables::papers;
use std::collections::{BTreeMap, BTreeSet};

/// A row as words by the titles of its columns, with its group.
type Row = BTreeMap<String, String>;

fn rows(table: &Table) -> Vec<Row> {
    let row = |row: &schedule::paper::TableRow| {
        let mut words: Row = BTreeMap::from([("group".to_owned(), row.group.clone().unwrap_or_default())]);
        for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
            // Columns of one title are told apart by where they stand.
            let title = column.title.to_string();
            let title = if words.contains_key(&title) { format!("{title} {at}") } else { title };
            words.insert(title, cell.shown().to_owned());
        }
        words
    };
    table.rows.iter().map(row).collect()
}

struct Both {
    files: BTreeMap<String, Vec<Row>>,
    printed: BTreeMap<String, Vec<Row>>,
}

impl Both {
    fn of(papers: &[Paper]) -> Both {
        let of = |blocks: Vec<&Block>| {
            let tables =
                blocks.into_iter().filter_map(|b| if let Block::Table(table) = b { Some(table) } else { None });
            tables.map(|table| (table.name.to_string(), rows(table))).collect()
        };
        let files = of(papers.iter().flat_map(|p| &p.blocks).collect());
        Both { files, printed: of(papers.iter().flat_map(Paper::on_sheets).collect()) }
    }

    fn pairs<'b>(&'b self, name: &str) -> impl Iterator<Item = (&'b Row, &'b Row)> {
        let (files, printed) = (&self.files[name], &self.printed[name]);
        assert_eq!(files.len(), printed.len(), "rows of {name}");
        files.iter().zip(printed)
    }
}

/// Whether a row of a file says that it was assumed.
fn assumed(row: &Row, what: &str) -> bool {
    row.get("assumed").is_some_and(|words| words.split(", ").any(|word| word == what))
}

/// What a place is printed as whose tap was assumed.
fn place(words: &str) -> String {
    let cut = [" (assumed: nearest point)", " (far end assumed for the sums: join it at the nearest point)"];
    let found = cut.iter().find_map(|behind| words.strip_suffix(behind));
    found.map_or_else(|| measured(words), |place| format!("{}*", measured(place)))
}

/// A place in whole millimetres, as they are printed: files have it to a hundredth.
fn measured(words: &str) -> String {
    let Some((name, rest)) = words.rsplit_once(" @ ") else { return words.to_owned() };
    let (number, behind) = rest.split_once(" mm").unwrap();
    format!("{name} @ {} mm{behind}", whole(number))
}

fn whole(number: &str) -> String {
    number.parse::<f64>().map_or_else(|_| number.to_owned(), |number| format!("{number:.0}"))
}

fn starred(words: &str, is_assumed: bool) -> String {
    if is_assumed && !words.is_empty() { format!("{words}*") } else { words.to_owned() }
}

fn each_demo(then: impl Fn(&str, &Both)) {
    for (name, text) in demos() {
        with_job(&text, |job| then(&name, &Both::of(&papers(job))));
    }
}

fn each_demo_large(then: impl Fn(&str, &Both)) {
    for (name, text) in demos() {
        with_job(&text, |job| {
            let facts = analysis::Analysis::of(&text, job.facts.plan, job.facts.names);
            let choices = schedule::Choices { large_print: true, ..job.choices };
            then(&name, &Both::of(&papers(&schedule::Job::new(facts, choices))));
        });
    }
}

#[test]
fn every_wire_is_printed_with_all_that_cuts_and_connects_it() {
    each_demo(|plan, both| {
        let mut stars = 0;
        for (file, printed) in both.pairs("wires") {
            assert_eq!(file["number"], printed["no."], "{plan}");
            for end in ["from", "to"] {
                assert_eq!(place(&file[end]), printed[end], "{plan}: {}", file["number"]);
            }
            assert_eq!(starred(&file["colour"], assumed(file, "colour")), printed["colour"], "{plan}");
            assert_eq!(starred(&file["size"], assumed(file, "size")), printed["size"], "{plan}");
            let cut = match (file["cut"].as_str(), assumed(file, "measure")) {
                ("", true) => "measure".to_owned(),
                (cut, _) => starred(cut, assumed(file, "length")),
            };
            assert_eq!(cut, printed["cut"], "{plan}: {}", file["number"]);
            for within in ["bundle", "district"] {
                let told = file["what"] == "bond" || printed["group"].contains(&file[within]);
                assert!(told, "{plan}: {} of {within} {} under {:?}", file["number"], file[within], printed["group"]);
            }
            stars += printed.values().filter(|words| words.ends_with('*')).count();
        }
        println!("{plan}: {stars} stars in the wire list");
    });
}

#[test]
fn every_hole_strip_and_tap_is_printed() {
    each_demo(|plan, both| {
        for (file, printed) in both.pairs("feeders") {
            assert_eq!(file["number"], printed["no."], "{plan}");
            assert_eq!([&file["rail"], &whole(&file["hole at"])], [&printed["rail"], &printed["hole at"]], "{plan}");
            assert_eq!(starred(&file["colour"], assumed(file, "colour")), printed["colour"], "{plan}");
            assert_eq!(place(&file["goes to"]), printed["goes to"], "{plan}");
            assert_eq!(file["group"], printed["track"], "{plan}");
            assert!(file["where"].ends_with(&printed["where"]), "{plan}: {:?}", file["where"]);
        }
        for (file, printed) in both.pairs("strips") {
            assert_eq!(file["group"], printed["group"], "{plan}");
            assert_eq!(
                [&file["position"], &file["right: wire"]],
                [&printed["pos."], &printed["right: wire"]],
                "{plan}"
            );
            assert_eq!(starred(&file["colour"], assumed(file, "colour")), printed["colour"], "{plan}");
            assert_eq!(place(&file["goes to"]), printed["goes to"], "{plan}");
            let bridge = if file["bridge"].is_empty() { "" } else { ", bridge" };
            assert_eq!(format!("{}{bridge}", file["left: terminal"]), printed["left: terminal"], "{plan}");
        }
        // In usual print the schematics of buses show the taps.
        assert!(!both.printed.contains_key("bus-taps"), "{plan}");
    });
    each_demo_large(|plan, both| {
        for (file, printed) in both.pairs("bus-taps") {
            for column in ["group", "wire"] {
                assert_eq!(file[column], printed[column], "{plan}");
            }
            assert_eq!(place(&file["its other end"]), place(&printed["its other end"]), "{plan}");
            assert_eq!(whole(&file["at"]), printed["at"], "{plan}");
        }
    });
}

#[test]
fn every_gap_and_joint_is_printed_once_with_how_it_is_made() {
    each_demo(|plan, both| {
        let printed: BTreeMap<&str, &Row> = both.printed["gaps"].iter().map(|row| (row["no."].as_str(), row)).collect();
        assert_eq!(printed.len(), both.files["gaps"].len(), "{plan}");
        for file in &both.files["gaps"] {
            let row = printed[file["number"].as_str()];
            let own = !file["leave"].is_empty();
            for column in ["rail", "purpose", "across it"] {
                assert_eq!(file[column], row[column], "{plan}");
            }
            let at =
                if own { file["where"].clone() } else { format!("{} – {}", file["one side"], file["other side"]) };
            assert_eq!(at, row["where"], "{plan}");
            let star = if assumed(file, "width") { "*" } else { "" };
            let leave = format!("Leave {} mm{star}: {}", file["leave"], file["made by"]);
            assert!(!own || row["group"] == leave, "{plan}: {leave:?} under {:?}", row["group"]);
        }
        let mut places: BTreeMap<&str, (&Row, &str)> = BTreeMap::new();
        for row in &both.printed["joints"] {
            for (column, rail) in [("left rail", "left"), ("right rail", "right")] {
                let number = row[column].as_str();
                if !number.is_empty() {
                    assert!(places.insert(number, (row, rail)).is_none(), "{plan}: {number} twice");
                }
            }
        }
        assert_eq!(places.len(), both.files["joints"].len(), "{plan}");
        for file in &both.files["joints"] {
            let (row, rail) = places[file["number"].as_str()];
            let on_rail = !file["where"].is_empty();
            let place = if on_rail {
                file["where"].clone()
            } else {
                format!("{} – {}", measured(&file["from"]), measured(&file["to"]))
            };
            assert_eq!(place, row["where"], "{plan}");
            assert!(row["group"].starts_with(&starred(&file["kind"], assumed(file, "kind"))), "{plan}: {row:?}");
            let width = format!("leave {} mm{}", file["leave"], if assumed(file, "width") { "*" } else { "" });
            assert!(
                file["leave"].is_empty() || row["group"].ends_with(&width),
                "{plan}: {width} under {:?}",
                row["group"]
            );
            // Which rail it is stands in the name of the place.
            let side = format!(".{rail} @ ");
            assert!(
                !on_rail || file["from"].contains(&side) || file["to"].contains(&side),
                "{plan}: {file:?} as {rail}"
            );
        }
    });
}

#[test]
fn every_throw_of_every_contact_is_printed() {
    // In usual print the schematics show the throws; what each contact must bear is told here.
    each_demo(|plan, both| {
        let printed = both.printed.get("contacts").cloned().unwrap_or_default();
        for file in both.files.get("contacts").into_iter().flatten() {
            let row = printed.iter().find(|row| row["common"] == file["is joined to"]);
            let row = row.unwrap_or_else(|| panic!("{plan}: {} is not printed", file["is joined to"]));
            let bears = format!("Must bear {} A", file["must bear"]);
            assert!(file["must bear"].is_empty() || row["group"] == bears, "{plan}: {bears}");
        }
    });
    each_demo_large(|plan, both| {
        let printed = both.printed.get("contacts").cloned().unwrap_or_default();
        for file in both.files.get("contacts").into_iter().flatten() {
            let throw = format!("{} ({}): ", file["terminal"], file["when"]);
            let row = printed
                .iter()
                .find(|row| row["common"] == file["is joined to"] && row["throws: when, wires"].contains(&throw));
            let row = row.unwrap_or_else(|| panic!("{plan}: {throw:?} is not printed"));
            // Each wire in the words of the file begins with its number.
            let numbers = |words: &str| -> BTreeSet<String> {
                let wires = words.split("; ").filter(|wire| !wire.is_empty());
                wires.filter_map(|wire| wire.split(' ').next().map(str::to_owned)).collect()
            };
            let behind = row["throws: when, wires"].split(&throw).nth(1).unwrap();
            let own = behind.split("; ").next().unwrap();
            assert_eq!(expanded(own), numbers(&file["wires"]), "{plan}: {throw}");
            assert_eq!(expanded(&row["its wires"]), numbers(&file["wires at the other"]), "{plan}: {throw}");
            let bears = format!("Must bear {} A", file["must bear"]);
            assert!(file["must bear"].is_empty() || row["group"] == bears, "{plan}: {bears}");
        }
    });
}

/// The numbers in words like `W-1 to W-3, W-7`.
fn expanded(words: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for run in words.split(", ").filter(|run| *run != "no wire") {
        let ends: Vec<&str> = run.split(" to ").collect();
        let count = |end: &str| end.split('-').nth(1).unwrap().parse::<u32>().unwrap();
        let class = ends[0].split('-').next().unwrap();
        let (from, to) = (count(ends[0]), count(ends[ends.len() - 1]));
        found.extend((from..=to).map(|n| format!("{class}-{n}")));
    }
    found
}

#[test]
fn motors_drivers_addresses_and_supplies_are_printed() {
    each_demo(|plan, both| {
        for name in ["drivers", "drives", "loads"] {
            let count = |of: &BTreeMap<String, Vec<Row>>| of.get(name).map_or(0, Vec::len);
            assert_eq!(count(&both.files), count(&both.printed), "{plan}: {name}");
        }
        for file in both.files.get("drives").into_iter().flatten() {
            let same =
                |row: &&Row| ["motor", "when", "on its terminals"].iter().all(|column| row[*column] == file[*column]);
            let row = both.printed["drives"].iter().find(same).unwrap_or_else(|| panic!("{plan}: {file:?}"));
            for (column, before) in [("gets", "gets"), ("made for", "made for"), ("draws", "draws")] {
                if !file[column].is_empty() {
                    let unit = if column == "draws" { "A" } else { "V" };
                    let told =
                        format!("{before} {}", starred(&format!("{} {unit}", file[column]), assumed(file, column)));
                    let parts: Vec<&str> = row["group"].split(", ").collect();
                    assert!(parts.contains(&told.as_str()), "{plan}: {told:?} under {:?}", row["group"]);
                }
            }
        }
        let sent: String =
            both.printed["addresses"].iter().map(|row| row["position: output, packet"].clone() + "; ").collect();
        for file in &both.files["addresses"] {
            let told = format!("{}: {}, {}", file["position"], file["output"], file["packet"]);
            assert!(sent.contains(&told), "{plan}: {told} is not printed");
        }
        for (file, printed) in both.pairs("districts") {
            assert_eq!(file["supply"], printed["supply"], "{plan}");
            assert_eq!(starred(&file["kind"], assumed(file, "kind")), printed["kind"], "{plan}");
        }
        let fed: String =
            both.printed.get("district-tracks").into_iter().flatten().map(|row| row["tracks"].clone()).collect();
        assert!(both.files["districts"].iter().all(|file| fed.contains(&file["tracks"])), "{plan}");
    });
}
