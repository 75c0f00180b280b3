//! The plans that pages show, each under addresses of its own, and the others that could be.

use crate::open_plan::OpenPlan;
use crate::store::StoreError;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Names that are listed.
const MOST_PLANS: usize = 500;
/// Plans that stay read and reviewed; of more, those asked longest ago are read again when they are asked.
const MOST_REVIEWED: usize = 6;

/// The plans that are open, and the folder of those that can be.
pub(crate) struct Shelf {
    /// Where plans are looked for and new ones written; none where only one is shown.
    pub folder: Option<PathBuf>,
    only: Option<Arc<OpenPlan>>,
    /// The one asked last is the last one.
    open: Mutex<Vec<Arc<OpenPlan>>>,
}

/// What an address is about.
pub(crate) enum Located {
    /// A page of a plan.
    Plan(Arc<OpenPlan>, String),
    /// A page of no plan.
    Elsewhere,
    /// There is no such plan.
    Missing,
    /// It is there and cannot be read.
    Unreadable(StoreError),
}

impl Shelf {
    pub fn new(only: Option<OpenPlan>, folder: Option<PathBuf>) -> Shelf {
        Shelf { folder, only: only.map(Arc::new), open: Mutex::default() }
    }

    /// The plan that an address names, and the address of the page among its own.
    pub fn locate(&self, path: &str) -> Located {
        if let Some(only) = &self.only {
            return Located::Plan(Arc::clone(only), path.to_owned());
        }
        let Some(rest) = path.strip_prefix(OF).or_else(|| path.strip_prefix(DEMO)) else { return Located::Elsewhere };
        let end = rest.find('/').unwrap_or(rest.len());
        let (name, page) = rest.split_at(end);
        let base = &path[..path.len() - page.len()];
        match self.at(base, &decoded(name)) {
            Ok(Some(open)) => Located::Plan(open, page.to_owned()),
            Ok(None) => Located::Missing,
            Err(error) => Located::Unreadable(error),
        }
    }

    fn at(&self, base: &str, name: &str) -> Result<Option<Arc<OpenPlan>>, StoreError> {
        let mut all = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = all.iter().position(|open| open.face.base == base) {
            let open = all.remove(at);
            all.push(Arc::clone(&open));
            return Ok(Some(open));
        }
        let opened = if base.starts_with(DEMO) {
            OpenPlan::demo(name, base.to_owned())
        } else {
            // Only what the folder lists is opened, so a name cannot lead out of it.
            match self.folder.as_ref().filter(|folder| plans_in(folder).iter().any(|n| n == name)) {
                Some(folder) => Some(OpenPlan::file(&folder.join(name), base.to_owned())?),
                None => None,
            }
        };
        let Some(open) = opened.filter(|open| open.face.base == base).map(Arc::new) else { return Ok(None) };
        let reviewed = all.len().saturating_sub(MOST_REVIEWED - 1);
        all.iter().take(reviewed).for_each(|open| open.forget());
        all.push(Arc::clone(&open));
        Ok(Some(open))
    }

    /// All that are open.
    pub fn all(&self) -> Vec<Arc<OpenPlan>> {
        let mut all = self.open.lock().unwrap_or_else(PoisonError::into_inner).clone();
        all.extend(self.only.clone());
        all
    }
}

/// What addresses of plan files begin with,
const OF: &str = "/of/";
/// and those of demo plans.
const DEMO: &str = "/demo/";

/// What stands in front of the addresses of the pages of a plan in the folder.
pub(crate) fn base_of_file(name: &str) -> String {
    let encoded: String = form_urlencoded::byte_serialize(name.as_bytes()).collect();
    format!("{OF}{encoded}")
}

/// The same of a demo plan.
pub(crate) fn base_of_demo(name: &str) -> String {
    format!("{DEMO}{name}")
}

fn decoded(name: &str) -> String {
    let mut parts = form_urlencoded::parse(name.as_bytes());
    match (parts.next(), parts.next()) {
        (Some((name, value)), None) if value.is_empty() => name.into_owned(),
        _ => String::new(),
    }
}

/// The plans of a folder, by their names in order.
pub(crate) fn plans_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .filter_map(|e| e.ok().filter(|e| e.path().is_file())?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".toml") && !name.starts_with('.'))
        .collect();
    names.sort();
    names.truncate(MOST_PLANS);
    names
}

/// Why no new plan was written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum NotWritten {
    /// It is longer than a plan may be.
    #[error("a plan has {} MB at most", plan::LARGEST_PLAN >> 20)]
    TooLong,
    /// Only one plan is served.
    #[error("new plans are not written here")]
    NotHere,
    /// The name is none for a plan.
    #[error("a name has up to 60 letters, digits, spaces and hyphens, such as my-yard.toml")]
    Name,
    /// The name is taken.
    #[error("`{0}` is there already, and nothing of yours is overwritten; take another name")]
    Taken(String),
    /// The disk refuses.
    #[error("`{0}` cannot be written: {1}")]
    Disk(String, io::Error),
    /// What was written cannot be opened.
    #[error(transparent)]
    Opening(#[from] StoreError),
}

/// Writes a plan in a new file of a folder.
///
/// # Errors
/// Where the name is none for a plan, is taken, or the disk refuses.
pub(crate) fn write_plan(folder: &Path, name: &str, text: &str) -> Result<PathBuf, NotWritten> {
    let name = fit_name(name)?;
    let path = folder.join(&name);
    match files::write_new(&path, text.as_bytes()) {
        Ok(()) => Ok(path),
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(NotWritten::Taken(name)),
        Err(e) => Err(NotWritten::Disk(name, e)),
    }
}

/// A name for a file in the folder itself and nowhere else.
fn fit_name(name: &str) -> Result<String, NotWritten> {
    let name = name.trim();
    let stem = name.strip_suffix(".toml").unwrap_or(name);
    let fits = |c: char| c.is_ascii_alphanumeric() || " -_".contains(c);
    if stem.is_empty() || stem.len() > 60 || stem.starts_with([' ', '-']) || !stem.chars().all(fits) {
        return Err(NotWritten::Name);
    }
    Ok(format!("{stem}.toml"))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::fit_name;

    #[test]
    fn names_stay_in_their_folder() {
        assert_eq!(fit_name(" my yard 2 ").unwrap(), "my yard 2.toml");
        assert_eq!(fit_name("my-yard.toml").unwrap(), "my-yard.toml");
        for wrong in
            ["", ".toml", "../up", "a/b", "a\\b", "/etc", ".hidden", "-x", "a.b", "a\0b", "é", &"a".repeat(61), ".."]
        {
            assert!(fit_name(wrong).is_err(), "{wrong:?}");
        }
    }
}
