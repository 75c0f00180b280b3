//! Walks the parsed TOML, hands values to the records and collects everything that is wrong.

use crate::hints;
use crate::kind::Kind;
use crate::table_place::TablePlace;
use finding::{Finding, Harm};
use handbook::quantity::{Quantity, QuantityError, QuantityKind, Units};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Errors of one text beyond this many are counted, not told: nobody reads them.
const MOST_FINDINGS: usize = 500;

/// Reads one text; see the module.
pub struct TableReader<'t> {
    text: &'t str,
    /// The length of what the builder wrote; behind it may stand expanded tables.
    own: usize,
    findings: Vec<Finding>,
    dropped: usize,
    syntax_errors: bool,
    declared: BTreeMap<String, Kind>,
    /// How many quantities were written in each system of units: metric, imperial.
    written: [usize; 2],
}

impl<'t> TableReader<'t> {
    /// A reader over this text.
    pub fn new(text: &'t str) -> Self {
        TableReader {
            text,
            own: text.len(),
            findings: Vec::new(),
            dropped: 0,
            syntax_errors: false,
            declared: BTreeMap::new(),
            written: [0; 2],
        }
    }

    /// The same reader over the text with expanded tables behind it.
    pub(crate) fn over<'w>(self, whole: &'w str) -> TableReader<'w> {
        TableReader {
            text: whole,
            own: self.own,
            findings: self.findings,
            dropped: self.dropped,
            syntax_errors: self.syntax_errors,
            declared: self.declared,
            written: self.written,
        }
    }

    /// Counts nothing of what was written so far: what a composite says is said again where it is expanded to.
    pub(crate) fn forget_units(&mut self) {
        self.written = [0; 2];
    }

    /// The text as one TOML table, as far as it makes sense.
    pub(crate) fn root(&mut self) -> Spanned<DeTable<'t>> {
        let (root, errors) = DeTable::parse_recoverable(self.text);
        for error in &errors {
            self.syntax_errors = true;
            let span = error.span().unwrap_or(self.text.len()..self.text.len());
            let mut message = error.message().trim().replace('\n', "; ");
            if message.is_empty() {
                message = "this cannot be understood".to_owned();
            }
            let mut help = "a line is `key = \"value\"`; a table starts with `[layout]` or `[[track]]`".to_owned();
            if message.starts_with("string values must be quoted") {
                let (words, straight) = hints::quotes(self.text, &span, short);
                message = words.to_owned();
                help = straight.unwrap_or(help);
            }
            self.tell(
                Finding::error("plan-syntax", Harm::Unclear, message)
                    .at(span, "here the text stops making sense")
                    .help(help),
            );
        }
        root
    }

    /// Whether the TOML itself was broken, so that whatever is missing may only seem so.
    pub fn has_syntax_errors(&self) -> bool {
        self.syntax_errors
    }

    /// Every name the text gives to something, also where the thing itself could not be read.
    pub fn declared_names(&self) -> &BTreeMap<String, Kind> {
        &self.declared
    }

    /// Counts in which units a quantity was written.
    pub(crate) fn note_units(&mut self, text: &str) {
        if let Some(units) = Units::of_text(text) {
            self.written[usize::from(units == Units::Imperial)] += 1;
        }
    }

    /// The units in which most quantities were written.
    pub(crate) fn usual_units(&self) -> Units {
        if self.written[1] > self.written[0] { Units::Imperial } else { Units::Metric }
    }

    /// The text being read.
    pub(crate) fn text(&self) -> &'t str {
        self.text
    }

    /// Whether anything has been told so far.
    pub(crate) fn has_findings(&self) -> bool {
        !self.findings.is_empty()
    }

    /// How many findings have been told.
    pub(crate) fn told(&self) -> usize {
        self.findings.len()
    }

    /// Forgets findings of these names, of those told since there were so many.
    pub(crate) fn forget(&mut self, since: usize, names: &[&str]) {
        let later = self.findings.split_off(since.min(self.findings.len()));
        self.findings.extend(later.into_iter().filter(|finding| !names.contains(&finding.name)));
    }

    /// The findings, with one more where some were left out.
    pub fn finish(mut self) -> Vec<Finding> {
        if self.dropped > 0 {
            let words = format!("{} more faults like these are not shown", self.dropped);
            self.findings
                .push(Finding::error("plan-syntax", Harm::Unclear, words).help("fix the first ones and check again"));
        }
        self.findings
    }

    /// Notes the names that the tables give to things.
    pub(crate) fn declare(&mut self, root: &Spanned<DeValue<'_>>) {
        let DeValue::Table(tables) = root.get_ref() else { return };
        for (key, found) in tables.iter() {
            let Some(kind) = Kind::of_table(key.get_ref()) else { continue };
            let DeValue::Array(items) = found.get_ref() else { continue };
            for item in items.iter() {
                if let DeValue::Table(table) = item.get_ref()
                    && let Some(name) = table.get("name")
                    && let DeValue::String(name) = name.get_ref()
                {
                    self.declared.entry(name.clone().into_owned()).or_insert(kind);
                }
            }
        }
    }

    pub(crate) fn tell(&mut self, finding: Finding) {
        if self.findings.len() < MOST_FINDINGS {
            self.findings.push(finding);
        } else {
            self.dropped += 1;
        }
    }

    /// The table behind a value, with unknown keys told.
    pub(crate) fn table<'a, 'i>(
        &mut self,
        found: &'a Spanned<DeValue<'i>>,
        kind: &str,
        keys: &[&str],
    ) -> Option<(&'a DeTable<'i>, TablePlace)> {
        let DeValue::Table(table) = found.get_ref() else { return None };
        for (key, _) in table.iter() {
            let word: &str = key.get_ref();
            if !keys.contains(&word) {
                let near = nearest(word, keys.iter().copied());
                let mut report =
                    Finding::error("unknown-key", Harm::Unclear, format!("a {kind} has no key `{}`", short(word)))
                        .at(key.span(), "not known here");
                report = match near {
                    Some(near) => report.help(format!("did you mean `{near}`?")),
                    None => report.help(format!("a {kind} may have {}", listed(keys))),
                };
                self.tell(report);
            }
        }
        Some((table, place_of(self.text, self.own, found)))
    }

    pub(crate) fn missing_key(&mut self, place: &TablePlace, kind: &str, key: &str) {
        if self.syntax_errors {
            return; // the key may stand in the part that could not be read
        }
        self.tell(
            Finding::error("missing-key", Harm::Unclear, format!("this {kind} does not say its `{key}`"))
                .at(place.header.clone(), format!("`{key}` is missing"))
                .help(format!("add a line {}", hints::such_as(key))),
        );
    }

    pub(crate) fn wrong_kind(&mut self, found: &Spanned<DeValue<'_>>, due: &str) {
        let is = match found.get_ref() {
            DeValue::String(_) => "words",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.tell(
            Finding::error("wrong-kind", Harm::Unclear, format!("{due} is due here, but this is {is}"))
                .at(found.span(), format!("this is {is}")),
        );
    }

    /// Something stands where a table is due: shows one that would do.
    pub(crate) fn no_table(&mut self, found: &Spanned<DeValue<'_>>, kind: &str, schema: &serde_json::Value) {
        self.wrong_kind(found, &format!("a {kind} table"));
        if let Some(finding) = self.findings.last_mut().filter(|finding| finding.name == "wrong-kind") {
            finding.help = Some(format!("write it like this: `{}`", example(schema)));
        }
    }

    pub(crate) fn single_brackets(&mut self, found: &Spanned<DeValue<'_>>) {
        let words = "a table that may come more than once takes two brackets";
        let header = self.text.get(found.span()).map(str::trim).filter(|h| h.starts_with('[') && h.ends_with(']'));
        let header = header.filter(|h| !h.contains('\n')).unwrap_or("[track]").to_owned();
        self.tell(
            Finding::error("wrong-kind", Harm::Unclear, words)
                .at(found.span(), "one bracket")
                .help(format!("write `[{header}]`, not `{header}`")),
        );
    }

    pub(crate) fn bare_number<Q: Quantity>(&mut self, found: &Spanned<DeValue<'_>>) {
        let kind = Q::KIND;
        let written = self.text.get(found.span()).unwrap_or_default();
        self.tell(
            Finding::error(
                "bare-number",
                Harm::Unclear,
                format!("a {} needs a unit; {} alone could be anything", kind.name(), short(written)),
            )
            .at(found.span(), "no unit")
            .help(with_units(written, kind)),
        );
    }

    pub(crate) fn unclear_quantity(&mut self, span: Range<usize>, text: &str, error: QuantityError) {
        let at = inside(self.text, &span, text, error.at);
        self.tell(
            Finding::error("unclear-quantity", Harm::Unclear, error.message).at(at, "not understood").help(error.hint),
        );
    }

    pub(crate) fn unknown_word(&mut self, span: Range<usize>, word: &str, due: &str, words: &[&str]) {
        let report = Finding::error("unknown-word", Harm::Unclear, format!("there is no {due} `{}`", short(word)))
            .at(span, "not known");
        self.tell(match nearest(word, words.iter().copied()) {
            Some(near) => report.help(format!("did you mean `{near}`?")),
            None => report.help(format!("write {}", listed(words))),
        });
    }
}

/// A bare number with each unit that it may have.
fn with_units(written: &str, kind: QuantityKind) -> String {
    let units = kind.units().iter().take(5).map(|unit| format!("`\"{written} {unit}\"`"));
    match units.collect::<Vec<_>>().as_slice() {
        [] => format!("write it in double quotes with a unit, such as {}", kind.examples()),
        [only] => format!("write {only}"),
        [all @ .., last] => format!("write {} or {last}, whichever you mean", all.join(", ")),
    }
}

/// A table as a record would have it: the keys that it must have, or its first one.
fn example(schema: &serde_json::Value) -> String {
    let Some(properties) = schema["properties"].as_object() else { return "{ … }".to_owned() };
    let must: Vec<&str> = schema["required"].as_array().into_iter().flatten().filter_map(|key| key.as_str()).collect();
    let keys = properties.iter().filter(|(key, _)| must.contains(&key.as_str()));
    let keys: Vec<_> = if must.is_empty() { properties.iter().take(1).collect() } else { keys.collect() };
    let value = |of: &serde_json::Value| match (&of["enum"][0], of["type"].as_str()) {
        (serde_json::Value::String(word), _) => format!("\"{word}\""),
        (_, Some("integer" | "number")) => "1".to_owned(),
        (_, Some("boolean")) => "true".to_owned(),
        _ => {
            let words = of["description"].as_str().unwrap_or_default();
            let such = words.split("such as `").nth(1).and_then(|rest| rest.split('`').next());
            format!("\"{}\"", such.unwrap_or("…"))
        }
    };
    let keys: Vec<String> = keys.into_iter().map(|(key, of)| format!("{key} = {}", value(of))).collect();
    format!("{{ {} }}", keys.join(", "))
}

/// The bytes of the plan that hold a part of a quoted value, where the literal is written without
/// escapes; else the whole value.
pub(crate) fn inside(source: &str, span: &Range<usize>, value: &str, part: Range<usize>) -> Range<usize> {
    let body = span.start + 1..span.end.saturating_sub(1);
    match source.get(body.clone()) {
        Some(literal) if literal == value && part.end <= value.len() => {
            let end = part.end.max(part.start);
            body.start + part.start..body.start + end
        }
        _ => span.clone(),
    }
}

/// Where a table stands. Values behind `own`, the length of what the builder wrote, are not in a table of the builder's.
pub(crate) fn place_of(text: &str, own: usize, found: &Spanned<DeValue<'_>>) -> TablePlace {
    let header = found.span();
    let inline = text.get(header.clone()).is_some_and(|t| t.starts_with('{'));
    let DeValue::Table(table) = found.get_ref() else {
        return TablePlace { end: header.end, last: header.end, header, inline };
    };
    let most = if header.start < own { own } else { usize::MAX };
    let (end, last) = body_ends(text, most, table, if inline { header.start } else { header.end });
    let [end, last] = if inline { [end, last] } else { [end, last].map(|at| line_end(text, at)) };
    TablePlace { header, end, last, inline }
}

/// Behind the last value of a table itself, and behind that of all tables in it: what has a header of its own, such as
/// `[[track.gaps]]`, ends the table's own keys.
fn body_ends(text: &str, most: usize, table: &DeTable<'_>, header_end: usize) -> (usize, usize) {
    let has_header = |at: usize| text.get(at..).is_some_and(|t| t.starts_with('['));
    let (mut own, mut last) = (header_end, header_end);
    for (_, value) in table.iter().filter(|(_, value)| value.span().start < most) {
        let span = value.span();
        match value.get_ref() {
            DeValue::Table(inner) => {
                let (inner_own, inner_last) = body_ends(text, most, inner, span.end);
                last = last.max(inner_last);
                if !has_header(span.start) {
                    own = own.max(inner_own);
                }
            }
            DeValue::Array(items) => {
                // A list in brackets starts before its first item; of tables with headers the first header is the start.
                let headers =
                    items.iter().filter(|i| matches!(i.get_ref(), DeValue::Table(_)) && has_header(i.span().start));
                let inner = headers.filter_map(|item| match item.get_ref() {
                    DeValue::Table(table) => Some(body_ends(text, most, table, item.span().end).1),
                    _ => None,
                });
                match inner.max() {
                    Some(end) => last = last.max(end),
                    None => own = own.max(span.end),
                }
            }
            _ => own = own.max(span.end),
        }
    }
    (own, last.max(own))
}

/// The end of the line in which a byte stands, its comment included and its line break not.
fn line_end(text: &str, at: usize) -> usize {
    let line = text.get(at..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    at + line.len()
}

/// The candidate that is near enough to a word to be what was meant.
pub(crate) fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    if word.len() > 80 {
        return None;
    }
    let lower = word.to_lowercase();
    candidates
        .map(|c| {
            let known = c.to_lowercase();
            let one_letter = word.len() > 1 && strsim::damerau_levenshtein(&lower, &known) <= 1;
            let likeness = strsim::normalized_damerau_levenshtein(&lower, &known);
            (if one_letter { likeness.max(0.55) } else { likeness }, c)
        })
        .filter(|(likeness, _)| *likeness >= 0.55)
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(a.1)))
        .map(|(_, c)| c)
}

/// A word short enough for a message.
pub(crate) fn short(word: &str) -> String {
    if word.chars().count() <= 40 { word.to_owned() } else { word.chars().take(37).chain("…".chars()).collect() }
}

/// "`a`, `b` or `c`".
pub(crate) fn listed(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("`{w}`")).collect();
    match quoted.split_last() {
        None => "nothing".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
    }
}
