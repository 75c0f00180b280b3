//! The binder and its other forms: pages to print, pages to read, tables for other programs.
//!
//! [`binder()`] gathers the papers of a plan; [`files()`] makes every form of them as names and bytes. Nothing here writes a
//! file, reads a clock or knows what a wire is: the papers are made from [`schedule::paper::Paper`] alone, but for those about
//! the plan itself and the drilling templates.

pub mod binder;
mod drawings;
pub mod dxf;
pub mod file_names;
pub mod files;
pub mod fonts;
pub mod front;
pub mod json;
pub mod layout;
mod panel_machine;
pub mod panel_sheets;
pub mod pdf;
mod pdf_tags;
pub mod picture;
pub mod revision;
pub mod schematics;
pub mod templates;
pub mod things;
pub mod web;
pub mod workbook;

pub use binder::{Binder, binder, binder_of_plan};
pub use files::files;
pub use pdf::pdf_of_svg;
pub use picture::png;

use thiserror::Error;

/// What kept papers from being made.
#[derive(Debug, Error)]
pub enum PapersError {
    /// A drawing is no SVG.
    #[error("the drawing cannot be read: {0}")]
    Drawing(String),
    /// The pages could not be written as a PDF document.
    #[error("the pages cannot be written: {0}")]
    Pdf(String),
    /// The workbook could not be written.
    #[error("the workbook cannot be written: {0}")]
    Workbook(String),
    /// The tables could not be written as JSON.
    #[error("the tables cannot be written as JSON: {0}")]
    Json(String),
    /// Two papers, tables or drawings have one name: our fault.
    #[error("two papers would be one file, `{0}`")]
    Twice(String),
    /// A picture would be larger than can be held.
    #[error("a picture of {0} by {1} pixels is too large")]
    TooLarge(u32, u32),
}
