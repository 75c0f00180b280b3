//! What is what on laid-out sheets: headings, paragraphs, tables with their rows and cells, drawings with what they show. Who hears
//! a document instead of seeing it is led by this (ISO 14289-1, PDF/UA-1).

/// An element of a document.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// What it is.
    pub kind: ElementKind,
    /// The element it is a part of; none of those that stand for themselves.
    pub parent: Option<usize>,
}

/// What an element is.
#[derive(Clone, Debug, PartialEq)]
pub enum ElementKind {
    /// A paper with all that stands on it.
    Paper,
    /// A heading.
    Heading {
        /// 1 for papers, 2 for what stands in them.
        level: u16,
        /// What it says.
        words: String,
    },
    /// A paragraph.
    Paragraph,
    /// The table of contents.
    Contents,
    /// A line of it.
    ContentsLine,
    /// Words that lead elsewhere.
    Link,
    /// A table.
    Table,
    /// A row of a table.
    Row,
    /// The title of a column.
    Header,
    /// A title over rows, so many columns wide.
    Band(u32),
    /// A cell.
    Cell,
    /// A drawing, with words for who cannot see it.
    Figure(String),
}
