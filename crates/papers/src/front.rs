//! Papers about the plan itself: what its review found, and what it does not say.

use circuit::Origin;
use finding::Finding;
use schedule::Job;
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};

/// The title of the paper of findings.
pub const FINDINGS_TITLE: &str = "What the review found";

/// What is to be minded throughout. Sources: reference sheet of cautions of public bodies (flux fume HSE INDG248 and INDG249,
/// lead Control of Lead at Work Regulations 2002, eye protection EN 166).
pub const CAUTIONS: [&str; 3] = [
    "These papers cover the low-voltage side only. Mains work is for a licensed or registered electrician, and local codes rule. \
     Low voltage still starts fires: every wire must be protected by the breaker above it.",
    "Cutting discs throw splinters: wear eye protection. Flux fume harms the lungs: keep your head out of it and the room aired. \
     Solder may hold lead: wash your hands, do not eat at the bench.",
    "Switch off and unplug the supplies before you work on the wiring.",
];

/// Words as they stand on paper: what the plan says between proper quotes, nothing that does not print.
pub fn on_paper(words: &str) -> String {
    let mut opens = true;
    let quoted = |c: char| {
        if c != '`' {
            return c;
        }
        opens = !opens;
        if opens { '”' } else { '“' }
    };
    text::escape_control_chars(words).chars().map(quoted).collect()
}

/// What the review found, all of it, the worst first; no paper where it found nothing.
pub fn findings(job: &Job<'_>, findings: &[Finding]) -> Option<Paper> {
    if findings.is_empty() {
        return None;
    }
    let lines = job.facts.lines();
    let columns = vec![
        TableColumn::short("what"),
        TableColumn { unit: None, ..TableColumn::number("line", "") },
        TableColumn::words("found"),
        TableColumn::words("what to do"),
    ];
    let mut table = Table::new("findings", columns);
    for finding in findings {
        let line = match finding.place() {
            Some(place) => {
                let line = lines.line_column(place.clamped(job.facts.text).start).0;
                Cell::Number { value: line as f64, shown: line.to_string() }
            }
            None => Cell::Empty,
        };
        let help = finding.help.as_deref().or(finding.proposal.as_ref().map(|p| p.says.as_str()));
        let cells = vec![
            Cell::words(finding.severity.word()),
            line,
            Cell::words(on_paper(&finding.message)),
            Cell::words(on_paper(help.unwrap_or_default())),
        ];
        table.push(Some(finding.harm.heading().to_owned()), cells);
    }
    let says =
        "Lines are those of the plan. “gapwright check” shows each of these with the words at fault, and the reasons.";
    Some(Paper::new("findings", FINDINGS_TITLE, vec![Block::Text(says.to_owned()), Block::Table(table)]))
}

/// What the plan does not say and was taken from the handbook or from our own defaults; no paper where it says everything.
pub fn defaults(job: &Job<'_>) -> Option<Paper> {
    let columns = || vec![TableColumn::words("what"), TableColumn::words("value"), TableColumn::words("from")];
    let mut guessed = Table::new("defaults", columns());
    let mut handbook = Table::new("handbook-values", columns());
    for input in &job.facts.circuit.inputs {
        let (table, source) = match input.origin {
            Origin::Plan(_) => continue,
            Origin::Handbook(source) => (&mut handbook, source),
            Origin::Default(source) => (&mut guessed, source),
        };
        let name = [input.name.as_str(), input.value.as_str(), source].map(|text| Cell::words(on_paper(text)));
        table.push(None, name.to_vec());
    }
    if guessed.rows.is_empty() && handbook.rows.is_empty() {
        return None;
    }
    let mut blocks = Vec::new();
    for (heading, says, table) in [
        (
            "Not said by the plan",
            "The numbers on these papers rest on these guesses. Measure what you can, and say it in the plan.",
            guessed,
        ),
        ("From the handbook, for what the plan names", "", handbook),
    ] {
        if !table.rows.is_empty() {
            blocks.push(Block::Heading(heading.to_owned()));
            blocks.extend((!says.is_empty()).then(|| Block::Text(says.to_owned())));
            blocks.push(Block::Table(table));
        }
    }
    Some(Paper::new("defaults", "Where the numbers come from", blocks))
}
