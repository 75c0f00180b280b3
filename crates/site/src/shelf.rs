//! The plan that the pages show, and the others that could be.

use crate::binders::Binders;
use crate::demos::{DEMOS, ShippedDemo};

use crate::numbers::{Kept, KeptNumbers};
use crate::opened::PlanSession;
use crate::store::{Store, StoreError, StoredPlan, Version};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Names that are listed.
const MOST_PLANS: usize = 500;

/// A plan that is shown.
pub(crate) struct OpenPlan {
    source: PlanSource,
    numbers: KeptNumbers,
    asked: Mutex<Sessions>,
    /// Binders of the version that is shown, by what was chosen for them.
    pub binders: Binders,
}

/// The version that is asked, and the last one before it that was understood.
#[derive(Default)]
struct Sessions {
    now: Option<(Version, PlanSession)>,
    earlier: Option<PlanSession>,
}

impl Sessions {
    /// Keeps what is asked now for its drawing, where it has one.
    fn put_by(&mut self) {
        if let Some((_, asked)) = self.now.take().filter(|(_, asked)| asked.is_understood()) {
            self.earlier = Some(asked);
        }
    }
}

enum PlanSource {
    File(Store),
    Demo(&'static ShippedDemo),
}

impl OpenPlan {
    pub fn file(path: &Path) -> Result<OpenPlan, StoreError> {
        Ok(OpenPlan::from_source(PlanSource::File(Store::open(path)?)))
    }

    pub fn demo(name: &str) -> Option<OpenPlan> {
        let demo = DEMOS.iter().find(|d| d.name == name)?;
        Some(OpenPlan::from_source(PlanSource::Demo(demo)))
    }

    fn from_source(source: PlanSource) -> OpenPlan {
        OpenPlan { source, numbers: KeptNumbers::default(), asked: Mutex::default(), binders: Binders::default() }
    }

    /// The numbers of papers that were made before and lie beside the plan file.
    pub fn kept(&self) -> Option<Arc<Kept>> {
        self.numbers.beside(self.store()?.path())
    }

    /// Its file; none of a demo plan, which cannot be changed.
    pub fn store(&self) -> Option<&Store> {
        match &self.source {
            PlanSource::File(store) => Some(store),
            PlanSource::Demo(_) => None,
        }
    }

    pub fn content(&self) -> StoredPlan {
        match &self.source {
            PlanSource::File(store) => store.content(),
            PlanSource::Demo(demo) => {
                let bytes: Arc<[u8]> = demo.text.as_bytes().into();
                StoredPlan { version: Version::from_content(&bytes), bytes, can: [false, false] }
            }
        }
    }

    /// A content read and reviewed; what was reviewed last is asked again as long as nothing changes.
    pub fn session(&self, content: &StoredPlan) -> io::Result<PlanSession> {
        let kept = self.kept();
        let mut asking = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        let same = |(version, asked): &&(Version, PlanSession)| {
            *version == content.version && asked.goes_on_from(kept.as_ref())
        };
        if let Some((_, asked)) = asking.now.as_ref().filter(same) {
            return Ok(asked.clone());
        }
        let asked = PlanSession::open(Arc::clone(&content.bytes), kept)?;
        asking.put_by();
        asking.now = Some((content.version.clone(), asked.clone()));
        Ok(asked)
    }

    /// The last version that was understood since this plan was opened, before the one that is shown; none where there was none.
    pub fn earlier(&self) -> Option<PlanSession> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).earlier.clone()
    }

    /// Forgets what was reviewed, after it fell over.
    pub fn forget(&self) {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).now = None;
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
