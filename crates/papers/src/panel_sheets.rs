//! The panel's booklet: what is on it, its wires, its front and its back at true size, and what to drill.

use crate::fonts::{Face, Fonts, POINT};
use crate::panel_machine::drilling_dxf;
use circuit::Spot;
use panel::parts::{PanelParts, Part, PartKind};
use plan::{Kind, driven};
use schedule::paper::{Block, Drawing, Label, Paper};
use schedule::tables::interlocking::interlocking;
use schedule::tables::panel_words::{drill, holes};
use schedule::tables::panels::{self, PanelTables};
use schedule::wires::wires;
use schedule::{Job, Number};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What is free around a panel on its sheets, millimetres.
const AROUND: f64 = 6.0;
/// The size of words that are no lettering of the panel, millimetres: 8 points, and 14 in large print.
const LETTERS: [f64; 2] = [2.85, 4.95];
/// How high a capital of the face is, as a part of its size.
const CAPITAL: f64 = 0.729;

/// What stands in the booklet of the panels, and what drills them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PanelSheets {
    /// The papers.
    pub papers: Vec<Paper>,
    /// Files for machines: name and content.
    pub machine_files: Vec<(String, String)>,
}

/// The sheets of every panel that has anything on it.
pub fn sheets(job: &Job<'_>) -> PanelSheets {
    let all = panels::panels(job);
    let several = all.len() > 1;
    let mut made = PanelSheets::default();
    for (at, tables) in all.iter().enumerate() {
        let suffix = if several { format!("-{}", at + 1) } else { String::new() };
        made.papers.push(words(job, tables, &suffix).apart());
        made.papers.push(drawings(job, tables, &suffix).apart());
        made.machine_files.push((format!("panel-drilling{suffix}.dxf"), drilling_dxf(tables)));
    }
    if !all.is_empty()
        && let Some((table, said)) = interlocking(job)
    {
        let mut blocks: Vec<Block> = said.into_iter().map(Block::Text).collect();
        blocks.push(Block::Table(table));
        made.papers.push(Paper::new("interlocking", "Which routes exclude each other", blocks).apart());
    }
    made
}

fn name(job: &Job<'_>, tables: &PanelTables) -> String {
    job.facts.plan.panel[tables.wired.parts.panel].name.value.clone()
}

fn words(job: &Job<'_>, tables: &PanelTables, suffix: &str) -> Paper {
    let parts = &tables.wired.parts;
    let units = job.choices.units;
    let mut blocks = vec![Block::Caution("Clamp the panel before you drill, and wear eye protection.".to_owned())];
    blocks.extend(tables.open.iter().cloned().map(Block::Caution));
    let assumed = |is: bool| if is { " (assumed)" } else { "" };
    blocks.push(Block::Text(format!(
        "The panel is {}{} wide and {}{} high. It is read from {}{}; so capitals are at least {} high (ISO 9241-3, 22 minutes of \
         arc). Places are those of the middle of each hole, seen from the front.",
        units.metres(parts.size[0]),
        assumed(parts.size_assumed[0]),
        units.metres(parts.size[1]),
        assumed(parts.size_assumed[1]),
        units.metres(parts.viewed),
        assumed(parts.viewed_assumed),
        units.fine(parts.letters),
    )));
    blocks.push(Block::Text(
        "Front, back and holes follow at true size. Print those sheets at 100 %, measure the ruler on each, and throw them away if a \
         ruler is wrong. Where one sheet does not hold the whole panel, lay the crosses of like letters upon each other. Prick the \
         middle of each hole through the drilling sheet, drill small first, and measure the thread of your parts before the last drill."
            .to_owned(),
    ));
    blocks.push(Block::Text(holes(units)));
    blocks.push(Block::Table(tables.parts.clone()));
    if !tables.buttons.rows.is_empty() {
        blocks.push(Block::Heading("What each button does".to_owned()));
        blocks.push(Block::Table(tables.buttons.clone()));
    }
    if !tables.wired.matrices.is_empty() {
        blocks.push(Block::Text(
            "A coil takes (V + n·Vd)·I·t joules, with n diodes before it; the capacitor holds ½·C·V². In brackets from the least to \
             the most: the coil's current and pulse where the plan does not say them, 0.7 V to 1.1 V for a diode, and a capacitor \
             20 % off (from memory, confirm)."
                .to_owned(),
        ));
        blocks.push(Block::Heading("Diode matrix".to_owned()));
        blocks.extend(tables.proved.iter().cloned().map(Block::Text));
        let pole = match tables.wired.common {
            plan::Pole::A => "+ (A)",
            plan::Pole::B => "- (B)",
        };
        blocks.push(Block::Text(format!(
            "The common wires of the motors lie on {pole} of their supply{}. Check each diode by its band before you solder.",
            assumed(tables.wired.common_assumed)
        )));
        if !tables.diodes.rows.is_empty() {
            blocks.push(Block::Table(tables.diodes.clone()));
        }
    }
    let commands = tables.wired.wires.iter().any(|w| matches!(w.ends[1], panel::PanelEnd::Input(_)));
    if commands {
        blocks.push(Block::Text(
            "Motors with an address are thrown by commands. Each button closes one input of a unit that sends the commands listed \
             beside it; which unit that is the plan does not say (assumed: one input for each button, all with one common)."
                .to_owned(),
        ));
    }
    if !tables.wire_list.rows.is_empty() {
        blocks.push(Block::Heading("Wires of the panel".to_owned()));
        blocks.push(Block::Text(format!(
            "All of {} (assumed). Wires that stay on the panel are cut along its edges with {} to spare, the strip along the lower \
             edge. Measure those that leave it.",
            schedule::panel_wires::wire_size(units),
            units.metres(handbook::panel::PANEL_SLACK.value.0),
        )));
        blocks.push(Block::Table(tables.wire_list.clone()));
    }
    if tables.wired.wires.iter().any(|w| w.kind == panel::PanelWireKind::Lamp) {
        blocks.push(Block::Text(
            "Solder a resistor between terminal 1 of each lamp and its wire. A lamp on track power also needs a small diode across \
             its terminals, the other way round than the lamp. Values are in the list of what it takes."
                .to_owned(),
        ));
    }
    if !tables.bench.is_empty() || commands {
        blocks.push(Block::Heading("Test it before you join it to the layout".to_owned()));
    }
    if !tables.bench.is_empty() {
        blocks.push(Block::Text(
            "These readings find every wire of the matrix that is missing, and every diode that is missing, bridged or the wrong way \
             round. A diode shows 0.4 V to 0.8 V (common practice, no source). Press one button at a time."
                .to_owned(),
        ));
    }
    for bench in &tables.bench {
        blocks.push(Block::Text(bench.how.clone()));
        blocks.push(Block::Table(bench.readings.clone()));
    }
    if commands {
        blocks.push(Block::Text(
            "Command inputs: meter on continuity, one lead on the common wire. On each input's wire it beeps while that button is \
             pressed, and only then."
                .to_owned(),
        ));
    }
    let labels = tables.wires.iter().filter(|w| w.wire.kind != panel::PanelWireKind::Diode).flat_map(|wire| {
        // Each end says where the other one is.
        [1, 0].map(|other| Label { number: wire.number.to_string(), says: wire.ends[other].clone() })
    });
    let labels: Vec<Label> = labels.collect();
    if !labels.is_empty() {
        blocks.push(Block::Heading("Labels for both ends of each wire".to_owned()));
        blocks.push(Block::Labels(labels));
    }
    if !tables.components.rows.is_empty() {
        blocks.push(Block::Heading("What it takes".to_owned()));
        blocks.push(Block::Table(tables.components.clone()));
    }
    Paper::new(format!("panel{suffix}"), format!("Panel: {}", name(job, tables)), blocks)
}

/// A panel under way: millimetres from its left and top edge, seen from one side.
struct PanelInk {
    body: String,
    size: [f64; 2],
    letters: f64,
}

impl PanelInk {
    fn new(tables: &PanelTables, letters: f64) -> PanelInk {
        let size = tables.wired.parts.size.map(|s| s * 1e3);
        let mut ink = PanelInk { body: String::new(), size, letters };
        let _ = writeln!(
            ink.body,
            "<rect x=\"0\" y=\"0\" width=\"{:.3}\" height=\"{:.3}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\"/>",
            size[0], size[1]
        );
        ink
    }

    fn circle(&mut self, [x, y]: [f64; 2], diameter: f64, look: &str) {
        let _ = writeln!(self.body, "<circle cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{:.3}\" {look}/>", diameter / 2.0);
    }

    fn line(&mut self, [x, y]: [f64; 2], [to_x, to_y]: [f64; 2]) {
        let _ = writeln!(
            self.body,
            "<path d=\"M{x:.3} {y:.3}L{to_x:.3} {to_y:.3}\" stroke=\"#000\" stroke-width=\"0.13\"/>"
        );
    }

    fn cross(&mut self, [x, y]: [f64; 2], arm: f64) {
        self.line([x - arm, y], [x + arm, y]);
        self.line([x, y - arm], [x, y + arm]);
    }

    fn words(&mut self, [x, y]: [f64; 2], size: f64, bold: bool, words: &str) {
        let weight = if bold { " font-weight=\"bold\"" } else { "" };
        let _ = writeln!(
            self.body,
            "<text x=\"{x:.3}\" y=\"{y:.3}\" font-family=\"DejaVu Sans, sans-serif\" font-size=\"{size:.3}\"{weight} text-anchor=\"middle\">{}</text>",
            text::xml::escaped(words)
        );
    }

    fn finish(self, name: String, caption: String) -> Drawing {
        let size = self.size.map(|s| ((s + 2.0 * AROUND) * 10.0).ceil() / 10.0);
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}mm\" height=\"{h:.1}mm\" viewBox=\"{left:.3} {left:.3} {w:.1} {h:.1}\">\n{}</svg>\n",
            self.body,
            left = -AROUND,
            w = size[0],
            h = size[1],
        );
        Drawing { name, caption, svg, size, parts: None, whole: None }
    }
}

fn drawings(job: &Job<'_>, tables: &PanelTables, suffix: &str) -> Paper {
    let title = name(job, tables);
    let letters = LETTERS[usize::from(job.choices.large_print)];
    let blocks = vec![
        Block::Template(front(tables, format!("panel-front{suffix}"), &title)),
        Block::Template(back(job, tables, (format!("panel-back{suffix}"), letters), &title)),
        Block::Template(drilling(job, tables, (format!("panel-drilling{suffix}"), letters), &title)),
    ];
    Paper::new(format!("panel-sheets{suffix}"), format!("Front, back and holes of panel: {title}"), blocks)
}

fn at(part: &Part) -> [f64; 2] {
    part.at.map(|a| a * 1e3)
}

/// Parts whose holes lie no further above each other than so many millimetres stand in one row: their names lie beside each other.
const ROW: f64 = 15.0;

/// How wide the name of a part may be without lying on that of another, or beside the panel, millimetres.
fn name_width(parts: &PanelParts, part: &Part) -> f64 {
    let [x, y] = at(part);
    let edges = 2.0 * x.min(parts.size[0] * 1e3 - x);
    let others = parts.on_panel().map(|(_, other)| at(other));
    let beside = others.filter(|[_, other]| (other - y).abs() < ROW).map(|[other, _]| (other - x).abs());
    beside.filter(|apart| *apart > 1.0).fold(edges, f64::min)
}

fn front(tables: &PanelTables, name: String, title: &str) -> Drawing {
    let parts = &tables.wired.parts;
    let mut ink = PanelInk::new(tables, 0.0);
    let capital = parts.letters * 1e3;
    let fonts = Fonts::new();
    for (_, part) in parts.on_panel() {
        let hole = part.hole * 1e3;
        let look = match part.kind {
            PartKind::Button(_) => "fill=\"#ddd\" stroke=\"#000\" stroke-width=\"0.35\"",
            PartKind::Switch(_) => "fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.35\"",
            PartKind::Lamp(_) => "fill=\"#888\" stroke=\"#000\" stroke-width=\"0.35\"",
        };
        ink.circle(at(part), hole, look);
        if matches!(part.kind, PartKind::Switch(_)) {
            // The lever, so that a switch is told from a button without colour.
            let [x, y] = at(part);
            ink.line([x, y - hole], [x, y + hole / 2.0]);
        }
        let [x, y] = at(part);
        let size = capital / CAPITAL;
        let lines = fonts.lines(Face::Regular, size / POINT, &part.name, name_width(parts, part) - capital);
        for (row, words) in lines.iter().enumerate() {
            ink.words([x, y + hole / 2.0 + capital * 2.0 + row as f64 * size * 1.15], size, false, words);
        }
    }
    for words in &parts.lettering {
        let height = words.height * 1e3;
        let [x, y] = words.at.map(|a| a * 1e3);
        ink.words([x, y + height / 2.0], height / CAPITAL, false, &words.text);
    }
    let caption =
        format!("Panel {title}, front, true size: round and light a button, dark a lamp, with a lever a switch");
    ink.finish(name, caption)
}

/// Wires of the layout's own list that end at a switch, by its terminals in words.
fn switch_wires(job: &Job<'_>, toggle: usize) -> BTreeMap<String, Vec<Number>> {
    let (circuit, plan, names) = (&job.facts.circuit, job.facts.plan, job.facts.names);
    let mut found: BTreeMap<String, Vec<Number>> = BTreeMap::new();
    for wire in wires(job) {
        for node in wire.ends.iter().filter_map(|end| end.node) {
            let terminal = match &circuit.nodes[node].spot {
                Spot::Terminal { kind: Kind::Toggle, index, contact, terminal } if *index == toggle => {
                    format!("{}.{terminal}", contact + 1)
                }
                Spot::Driver { driver, terminal } if driven::toggle_of_driver(plan, names, *driver) == Some(toggle) => {
                    terminal.words()
                }
                _ => continue,
            };
            found.entry(terminal).or_default().push(wire.number);
        }
    }
    found
}

/// What stands at each part on the back: its name, and a line for each terminal with its wires.
fn back_lines(job: &Job<'_>, tables: &PanelTables) -> Vec<(usize, [Vec<String>; 2])> {
    let mut lines = Vec::new();
    for (index, part) in tables.wired.parts.on_panel() {
        let by_terminal: BTreeMap<String, Vec<Number>> = if let PartKind::Switch(toggle) = part.kind {
            switch_wires(job, toggle)
        } else {
            let mut found: BTreeMap<String, Vec<Number>> = BTreeMap::new();
            for wire in &tables.wires {
                for end in &wire.wire.ends {
                    if let panel::PanelEnd::Part(at, terminal) = end
                        && *at == index
                    {
                        found.entry(terminal.to_string()).or_default().push(wire.number);
                    }
                }
            }
            found
        };
        let own = by_terminal.into_iter().map(|(terminal, numbers)| {
            let numbers: Vec<String> = numbers.iter().map(Number::to_string).collect();
            format!("{terminal}: {}", numbers.join(" "))
        });
        lines.push((index, [vec![part.name.clone()], own.collect()]));
    }
    lines
}

fn back(job: &Job<'_>, tables: &PanelTables, (name, letters): (String, f64), title: &str) -> Drawing {
    let parts = &tables.wired.parts;
    let mut ink = PanelInk::new(tables, letters);
    let line = letters * 1.25;
    let mut lines = back_lines(job, tables);
    let fonts = Fonts::new();
    for (index, [name, _]) in &mut lines {
        let width = name_width(parts, &parts.parts[*index]) - letters;
        *name = fonts.lines(Face::Bold, letters / POINT, &name.concat(), width);
    }
    let width = ink.size[0];
    let mirrored = |part: &Part| {
        let [x, y] = at(part);
        [width - x, y]
    };
    // Names stand above the hole, terminals below it; where two parts' words would lie on each other, terminals are in the list alone.
    let area = |index: usize, [name, own]: &[Vec<String>; 2]| {
        let [x, y] = mirrored(&parts.parts[index]);
        let wide = |face, words: &String| fonts.width(face, letters / POINT, words) / 2.0;
        let names = name.iter().map(|w| wide(Face::Bold, w));
        let half = names.chain(own.iter().map(|w| wide(Face::Regular, w))).fold(0.0, f64::max);
        let hole = parts.parts[index].hole * 500.0;
        [x - half, x + half, y - hole - line * name.len() as f64, y + hole + line * own.len() as f64]
    };
    let areas: Vec<[f64; 4]> = lines.iter().map(|(index, own)| area(*index, own)).collect();
    let crowded = |at: usize| {
        let a = areas[at];
        areas.iter().enumerate().any(|(o, b)| o != at && a[0] < b[1] && b[0] < a[1] && a[2] < b[3] && b[2] < a[3])
    };
    let shortened: Vec<bool> = (0..areas.len()).map(crowded).collect();
    for ((_, [_, own]), short) in lines.iter_mut().zip(&shortened) {
        if *short {
            own.clear();
        }
    }
    for (index, [name, own]) in &lines {
        let part = &parts.parts[*index];
        let [x, y] = mirrored(part);
        let hole = part.hole * 1e3;
        ink.circle([x, y], hole, "fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\"");
        for (row, words) in name.iter().rev().enumerate() {
            ink.words([x, y - hole / 2.0 - letters * 0.3 - line * row as f64], letters, true, words);
        }
        for (row, words) in own.iter().enumerate() {
            ink.words([x, y + hole / 2.0 + line * (row + 1) as f64], letters, false, words);
        }
    }
    let more = if shortened.contains(&true) {
        "; where there is no room for wire numbers, they are in the wire list"
    } else {
        ""
    };
    let caption =
        format!("Panel {title}, back, true size, as you see it from behind: wire numbers at each terminal{more}");
    ink.finish(name, caption)
}

fn drilling(job: &Job<'_>, tables: &PanelTables, (name, letters): (String, f64), title: &str) -> Drawing {
    let mut ink = PanelInk::new(tables, letters);
    for (_, part) in tables.wired.parts.on_panel() {
        let hole = part.hole * 1e3;
        let [x, y] = at(part);
        ink.circle([x, y], hole, "fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\"");
        ink.cross([x, y], hole / 2.0 + 1.5);
        let words = drill(job.choices.units, part.hole);
        ink.words([x, y + hole / 2.0 + 1.7 + ink.letters], letters, false, &words);
    }
    let caption = format!("Panel {title}, holes, true size, seen from the front: drill to the size beside each hole");
    ink.finish(name, caption)
}
