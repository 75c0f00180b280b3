//! The elements of a document as the tags of a PDF document (ISO 32000-1, 14.7 and 14.8).

use crate::layout::{Element, ElementKind};
use krilla::tagging::{Identifier, Node, TableHeaderScope, Tag, TagGroup, TagKind, TagTree};
use std::num::{NonZeroU16, NonZeroU32};

/// What is written of each element, in the order it is read.
pub struct PdfTags {
    written: Vec<Vec<Identifier>>,
}

impl PdfTags {
    /// Of so many elements nothing is written yet.
    pub fn new(elements: usize) -> PdfTags {
        PdfTags { written: (0..elements).map(|_| Vec::new()).collect() }
    }

    /// Something of an element was written.
    pub fn put(&mut self, element: usize, id: Identifier) {
        if let Some(written) = self.written.get_mut(element) {
            written.push(id);
        }
    }

    /// The tree; an element of which nothing is written is none.
    pub fn tree(self, elements: &[Element]) -> TagTree {
        // A part comes behind the whole it is of, so that from the last on all parts are there before the whole.
        let mut parts: Vec<Vec<Node>> = elements.iter().map(|_| Vec::new()).collect();
        let mut top = Vec::new();
        for ((at, element), written) in elements.iter().enumerate().zip(self.written).rev() {
            let mut children: Vec<Node> = written.into_iter().map(Node::from).collect();
            let mut of_it = std::mem::take(&mut parts[at]);
            of_it.reverse();
            children.extend(of_it);
            if children.is_empty() {
                continue;
            }
            let node = Node::Group(TagGroup::with_children(kind(&element.kind), children));
            match element.parent {
                Some(parent) => parts[parent].push(node),
                None => top.push(node),
            }
        }
        let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
        top.into_iter().rev().for_each(|node| tree.push(node));
        tree
    }
}

fn kind(kind: &ElementKind) -> TagKind {
    match kind {
        ElementKind::Paper => Tag::Section.into(),
        ElementKind::Heading { level, words } => {
            Tag::Hn(NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN), Some(words.clone())).into()
        }
        ElementKind::Paragraph => Tag::P.into(),
        ElementKind::Contents => Tag::TOC.into(),
        ElementKind::ContentsLine => Tag::TOCI.into(),
        ElementKind::Link => Tag::Link.into(),
        ElementKind::Table => Tag::Table.into(),
        ElementKind::Row => Tag::TR.into(),
        ElementKind::Header => Tag::TH(TableHeaderScope::Column).into(),
        ElementKind::Band(columns) => Tag::TH(TableHeaderScope::Row).with_col_span(NonZeroU32::new(*columns)).into(),
        ElementKind::Cell => Tag::TD.into(),
        ElementKind::Figure(words) => Tag::Figure(Some(words.clone())).into(),
    }
}
