//! What composite tables were expanded into, and the way back to the builder's own words.
//!
//! Behind the builder's text stand the ordinary tables that its composites stand for. Both together are one text, and the places
//! of a plan are places in it: every value has a place of its own, and words to be looked at. Whatever is shown to the builder,
//! findings and edits, is led back first, so that it is about what was written.

mod edits;
mod merge;
mod ordinary_text;

pub(crate) use merge::merge;

use crate::composite::WrittenOut;
use crate::value::TablePlace;
use finding::{Edit, Finding, FindingLabel, Place};
use std::ops::Range;

/// See the module. Empty where a plan has no composites.
#[derive(Clone, Debug, Default)]
pub struct Expansion {
    /// The builder's text with the ordinary tables behind it.
    whole: String,
    /// The length of the builder's text.
    own: usize,
    /// Where values of expanded tables come from, in order.
    marks: Vec<Mark>,
    tables: Vec<ExpandedTable>,
    composites: Vec<TablePlace>,
}

/// Words behind the builder's text, and the words they come from.
#[derive(Clone, Debug)]
struct Mark {
    at: Range<usize>,
    of: Range<usize>,
    /// Whether both are the same, letter by letter.
    as_written: bool,
}

/// A table that a composite stands for.
#[derive(Clone, Debug)]
struct ExpandedTable {
    kind: &'static str,
    /// Where it stands.
    at: Range<usize>,
    name: Option<String>,
    /// The composite, by its number.
    composite: usize,
    /// Whether it only adds keys to a table that stands elsewhere.
    adds: bool,
    /// Its keys, and the places of their values.
    keys: Vec<(String, Range<usize>)>,
    /// The table of the builder's own that overrides it, or that it adds to.
    own: Option<TablePlace>,
}

impl Expansion {
    /// Puts the tables behind the text.
    pub(crate) fn new(text: &str, written: WrittenOut) -> Expansion {
        let mut expansion =
            Expansion { whole: text.to_owned(), own: text.len(), composites: written.places, ..Expansion::default() };
        let whole = &mut expansion.whole;
        whole.push('\n');
        for (composite, table) in written.tables {
            let start = whole.len();
            whole.push_str(&format!("\n[[{}]]\n", table.kind));
            expansion.marks.push(Mark { at: start..whole.len(), of: table.of.clone(), as_written: false });
            let widest = table.keys.iter().map(|(key, _)| key.len()).max().unwrap_or(0);
            let mut keys = Vec::new();
            for (key, words) in table.keys {
                whole.push_str(&format!("{key:widest$} = "));
                let at = whole.len()..whole.len() + words.toml.len();
                whole.push_str(&words.toml);
                whole.push('\n');
                let as_written = words.as_written && text.get(words.of.clone()) == Some(words.toml.as_str());
                expansion.marks.push(Mark { at: at.clone(), of: words.of, as_written });
                keys.push((key, at));
            }
            expansion.tables.push(ExpandedTable {
                kind: table.kind,
                at: start..whole.len(),
                name: table.name,
                composite,
                adds: table.adds,
                keys,
                own: None,
            });
        }
        expansion
    }

    /// Whether the plan has no composites.
    pub fn is_empty(&self) -> bool {
        self.whole.is_empty()
    }

    /// The text that the places of the plan are in: the builder's own, or that with the expanded tables behind it.
    pub fn whole<'s>(&'s self, text: &'s str) -> &'s str {
        if self.is_empty() { text } else { &self.whole }
    }

    /// The ordinary tables behind the builder's text.
    pub(crate) fn behind(&self) -> &str {
        self.whole.get(self.own..).unwrap_or_default()
    }

    /// What of such a text the builder wrote.
    pub fn own<'s>(&self, whole: &'s str) -> &'s str {
        if self.is_empty() { whole } else { whole.get(..self.own).unwrap_or(whole) }
    }

    /// Whether a place is one behind the builder's text.
    fn is_expanded(&self, span: &Range<usize>) -> bool {
        !self.is_empty() && span.start > self.own
    }

    /// The builder's own words that a place comes from.
    pub fn origin(&self, span: &Range<usize>) -> Range<usize> {
        if !self.is_expanded(span) {
            return span.clone();
        }
        let before = self.marks.partition_point(|mark| mark.at.start <= span.start);
        let Some(mark) = before.checked_sub(1).and_then(|at| self.marks.get(at)) else { return self.own..self.own };
        if mark.as_written && span.end <= mark.at.end {
            return mark.of.start + (span.start - mark.at.start)..mark.of.start + (span.end - mark.at.start);
        }
        mark.of.clone()
    }

    /// The words of the expanded table that a byte behind the builder's text is in.
    pub fn table_at(&self, at: usize) -> Option<Range<usize>> {
        let before = self.tables.partition_point(|table| table.at.start <= at);
        let table = before.checked_sub(1).and_then(|index| self.tables.get(index))?;
        table.at.contains(&at).then(|| table.at.clone())
    }

    /// Of each stretch behind the builder's text, where it starts and where it comes from: for telling lines.
    pub fn origins(&self) -> Vec<(usize, usize)> {
        self.marks.iter().map(|mark| (mark.at.start, mark.of.start)).collect()
    }

    /// Leads a finding back to the builder's own words, its proposal too; one that cannot be made there is dropped.
    pub fn lead_back(&self, finding: &mut Finding) {
        if self.is_empty() {
            return;
        }
        for label in finding.at.iter_mut().chain(&mut finding.also) {
            self.lead_label_back(label);
        }
        if let Some(proposal) = finding.proposal.take() {
            finding.proposal =
                self.written(&proposal.edits).map(|edits| finding::Proposal { says: proposal.says, edits });
        }
    }

    fn lead_label_back(&self, label: &mut FindingLabel) {
        if self.is_expanded(&label.place.span) {
            let origin = Place::new(self.origin(&label.place.span));
            let expanded = std::mem::replace(&mut label.place, origin);
            label.expanded = Some(expanded);
        }
    }

    /// Edits of the whole text as edits of what the builder wrote: a composite's own words where these alone say it, else an ordinary
    /// table that overrides what the composite stands for. None where neither can say it.
    pub fn written(&self, edits: &[Edit]) -> Option<Vec<Edit>> {
        if self.is_empty() { Some(edits.to_vec()) } else { edits::written(self, edits) }
    }

    /// The plan with every composite written out: the same plan in ordinary tables.
    ///
    /// `text` is what the builder wrote.
    pub fn ordinary(&self, text: &str) -> String {
        if self.is_empty() { text.to_owned() } else { ordinary_text::written_out(self, text) }
    }
}
