//! The plan a builder writes: one TOML text in, a typed [`Plan`] out, every value with its place.
//!
//! ```text
//! text ──▶ toml ──▶ tables (this crate's records) ──▶ names and joins checked ──▶ Plan
//!            └─ every fault on the way becomes a finding; all of them are told in one run
//! ```
//!
//! Reading never fails: [`read`] returns what could be understood and a list of findings. The
//! records in [`tables`] are declared once; the reader, the unknown-key check and the JSON Schema
//! ([`schema::schema`]) all come from that one declaration, so they cannot drift apart.

pub mod acts;
pub mod bare;
mod check;
mod composite;
pub mod driven;
pub mod edit;
pub mod expansion;
mod hints;
pub mod keys;
mod kind;
pub mod names;
mod new_table;
pub mod pages;
mod quantities;
mod reader;
pub mod record;
pub mod schema;
mod stops;
mod table_place;
pub mod tables;
pub mod value;

pub use check::NUMBER_LETTERS;
pub use names::{Contact, EndOf, Kind, Moved, Names, Pole, RailOf, RailPlace, Terminal, TrackEnd};
pub use new_table::new_table;
pub use tables::Plan;
pub use value::At;

use expansion::Expansion;
use finding::{Finding, Harm};
use handbook::quantity::Units;
use reader::TableReader;
use toml::Spanned;
use toml::de::{DeTable, DeValue};
use value::Value as _;

/// The largest plan text that is read, in bytes. A museum layout of 10,000 feeders needs about 2 MB.
pub const LARGEST_PLAN: usize = 4 << 20;

/// What reading a text gave: the plan where one could be made out, and everything that was wrong.
#[derive(Debug)]
pub struct PlanReading {
    /// The plan, as far as it could be understood. Its references resolve only where `findings`
    /// has no error; engines must not be run on a plan with reading errors.
    pub plan: Plan,
    /// Names of everything in the plan, for looking up references.
    pub names: Names,
    /// What was wrong, in no particular order.
    pub findings: Vec<Finding>,
}

impl PlanReading {
    /// Whether the text was understood whole, so that the engines may trust the plan.
    pub fn understood(&self) -> bool {
        !self.findings.iter().any(|f| f.severity == finding::Severity::Error)
    }

    /// The same plan, everything said back in these units, whatever it says itself; as it says where none are given.
    #[must_use]
    pub fn in_units(mut self, units: Option<Units>) -> PlanReading {
        if let Some(units) = units {
            self.plan.set_units(units);
        }
        self
    }
}

/// Reads a plan from bytes: as [`read`], with a finding where the bytes are not UTF-8 text.
///
/// Returns the text too (with broken bytes replaced), for printing findings.
pub fn read_bytes(bytes: &[u8]) -> (String, PlanReading) {
    if bytes.len() > LARGEST_PLAN {
        return (String::new(), refused(too_large(bytes.len())));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => (text.to_owned(), read(text)),
        Err(error) => {
            let at = error.valid_up_to();
            let text = String::from_utf8_lossy(bytes).into_owned();
            let found = Finding::error(
                "plan-not-text",
                Harm::Unclear,
                format!("the file is not UTF-8 text from byte {} on", at + 1),
            )
            .at(at..at, "the first byte that is not text")
            .help("save the plan as UTF-8 text; a word processor's own format will not do");
            (text, refused(found))
        }
    }
}

/// Reads a plan. Never fails and never panics; what is wrong is in [`PlanReading::findings`].
pub fn read(text: &str) -> PlanReading {
    if text.len() > LARGEST_PLAN {
        return refused(too_large(text.len()));
    }
    let mut reader = TableReader::new(text);
    let mut root = reader.root();
    let expanded = if !reader.has_syntax_errors() {
        let known = reader.has_findings();
        let composites = composite::take(root.get_mut(), &mut reader);
        reader.forget_units();
        let written = composites.write_out(text, root.get_ref());
        let whole = reader.has_findings() == known && written.findings.is_empty();
        written.findings.iter().for_each(|finding| reader.tell(finding.clone()));
        written.is_something().then(|| (composites, Expansion::new(text, written), whole))
    } else {
        None
    };
    let Some((composites, mut expansion, whole)) = expanded else {
        let (plan, names, mut reader) = tables(root, reader);
        check_tables(&plan, &names, &mut reader);
        return PlanReading { plan, names, findings: reader.finish() };
    };
    if expansion.whole(text).len() > 2 * LARGEST_PLAN {
        return refused(too_large(expansion.whole(text).len()));
    }
    // Spaces in place of the builder's text, so that what stands behind it has the places of the whole.
    let behind = " ".repeat(text.len()) + expansion.behind();
    match DeTable::parse(&behind) {
        Ok(tables) => expansion::merge(&mut expansion, root.get_mut(), tables.into_inner()),
        Err(error) => reader.tell(unwritten(&error)),
    }
    let words = expansion.whole(text).to_owned();
    let (mut plan, mut names, mut reader) = tables(root, reader.over(&words));
    let told = reader.told();
    check_tables(&plan, &names, &mut reader);
    if !whole {
        // What a composite would have stood for is not there: what follows from that is no fault of its own.
        reader.forget(told, &["no-such-name", "end-unjoined", "ends-disagree", "feeder-without-bus", "missing-key"]);
    }
    composites.keep(&mut plan);
    let mut findings = reader.finish();
    findings.iter_mut().for_each(|finding| expansion.lead_back(finding));
    finding::dedup(&mut findings);
    names.expansion = expansion;
    PlanReading { plan, names, findings }
}

/// The tables of a plan and the names in them.
fn tables<'t>(root: Spanned<DeTable<'_>>, mut reader: TableReader<'t>) -> (Plan, Names, TableReader<'t>) {
    let root = Spanned::new(root.span(), DeValue::Table(root.into_inner()));
    reader.declare(&root);
    let mut plan = Plan::read(&root, &mut reader).unwrap_or_default();
    plan.usual_units(reader.usual_units());
    // A bumper is a buffer.
    for end in plan.track.iter_mut().flat_map(|track| [&mut track.from, &mut track.to]) {
        if let Some(word) = stops::stop(&end.value) {
            end.value = word.to_owned();
        }
    }
    let names = Names::from_plan(&plan).with_unread(reader.declared_names());
    (plan, names, reader)
}

/// Behind broken syntax whole tables may be lost; what then seems missing may be there.
fn check_tables(plan: &Plan, names: &Names, reader: &mut TableReader<'_>) {
    if !reader.has_syntax_errors() {
        check::check(plan, names, reader);
    }
}

/// The plan with every composite table written out as the ordinary tables it stands for; the same text where it has none. None
/// where the text cannot be read as a plan.
pub fn ordinary(text: &str) -> Option<String> {
    let reading = read(text);
    reading.understood().then(|| reading.names.expansion.ordinary(text))
}

fn unwritten(error: &toml::de::Error) -> Finding {
    Finding::error(
        "plan-syntax",
        Harm::Unclear,
        "a composite table could not be written out, which is a fault of the program",
    )
    .fact(error.message().to_owned())
    .help("write what it stands for in ordinary tables")
}

/// The layout's name, also of a text that cannot be read whole: a mistake further down does not hide which plan it is in.
pub fn layout_name(text: &str) -> Option<String> {
    let mut from = None;
    let mut place = 0;
    let mut end = text.len();
    for line in text.split_inclusive('\n') {
        let words = line.trim_start();
        if from.is_some() && words.starts_with('[') {
            end = place;
            break;
        }
        if words.split('#').next().is_some_and(|head| head.trim_end() == "[layout]") {
            from = Some(place);
        }
        place += line.len();
    }
    let (root, _) = DeTable::parse_recoverable(&text[from?..end]);
    let DeValue::Table(layout) = root.get_ref().get("layout")?.get_ref() else { return None };
    match layout.get("name")?.get_ref() {
        DeValue::String(name) => Some(name.clone().into_owned()),
        _ => None,
    }
}

/// The name most like a word, where one is near enough to have been meant.
pub fn nearest_name<'c>(word: &str, names: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    reader::nearest(word, names)
}

fn refused(finding: Finding) -> PlanReading {
    let plan = Plan::default();
    let names = Names::from_plan(&plan);
    PlanReading { plan, names, findings: vec![finding] }
}

fn too_large(bytes: usize) -> Finding {
    Finding::error(
        "plan-too-large",
        Harm::Unclear,
        format!("the plan is {:.1} MB long; the longest that is read is {} MB", bytes as f64 / 1e6, LARGEST_PLAN >> 20),
    )
    .help("check that this is the file you meant; no real layout needs so many words")
}
