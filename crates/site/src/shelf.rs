//! The plans that pages show, each under addresses of its own, and the others that could be.

use crate::bench_session::BenchSession;
use crate::binders::Binders;
use crate::demos::{DEMOS, ShippedDemo};
use crate::numbers::{Kept, KeptNumbers};
use crate::opened::PlanSession;
use crate::store::{Store, StoreError, StoredPlan, Version};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::watch;

/// Names that are listed.
const MOST_PLANS: usize = 500;
/// Plans that stay read and reviewed; of more, those asked longest ago are read again when they are asked.
const MOST_REVIEWED: usize = 6;

/// How long an editor may take between moving the old file away and the new one into its place.
const MOVING: std::time::Duration = std::time::Duration::from_millis(200);

/// Texts whose things are remembered.
const MOST_TEXTS: usize = 50;

/// What is told to pages that are open when the plan file is gone.
pub(crate) const GONE: &str = "gone";

/// What a plan is called, and where its pages are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PlanFace {
    /// What stands in front of the addresses of its pages: nothing where only one plan is served, else `/of/yard.toml`.
    pub base: String,
    /// The name of its file, or of the demo plan.
    pub file: String,
    /// What forms bring back, so that none writes into another plan: which file it is, wherever it lies.
    pub id: String,
}

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
            OpenPlan::demo(name)
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

/// A plan that is shown.
pub(crate) struct OpenPlan {
    pub face: PlanFace,
    /// The version that is shown, for pages that wait to hear of another.
    pub newest: watch::Sender<String>,
    /// Counts up with entries of the logbook, for pages that show them.
    pub book: watch::Sender<u64>,
    bench: Mutex<Option<(Version, Option<Arc<Kept>>, BenchSession)>>,
    /// Things of texts that pages were made of: what a phone sends later may be about them.
    things: Mutex<Vec<(String, String)>>,
    /// The logbook as the disk said last.
    logbook: Mutex<Vec<Option<(std::time::SystemTime, u64)>>>,
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
    pub fn file(path: &Path, base: String) -> Result<OpenPlan, StoreError> {
        let store = Store::open(path)?;
        let real = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let id = Version::from_content(real.as_os_str().as_encoded_bytes()).to_string();
        let file = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        Ok(OpenPlan::from_source(PlanSource::File(store), PlanFace { base, file, id }))
    }

    pub fn demo(name: &str) -> Option<OpenPlan> {
        let demo = DEMOS.iter().find(|d| d.name == name)?;
        let face = PlanFace { base: base_of_demo(name), file: name.to_owned(), id: format!("demo-{name}") };
        Some(OpenPlan::from_source(PlanSource::Demo(demo), face))
    }

    fn from_source(source: PlanSource, face: PlanFace) -> OpenPlan {
        let open = OpenPlan {
            face,
            newest: watch::Sender::new(String::new()),
            book: watch::Sender::new(0),
            bench: Mutex::default(),
            things: Mutex::default(),
            logbook: Mutex::default(),
            source,
            numbers: KeptNumbers::default(),
            asked: Mutex::default(),
            binders: Binders::default(),
        };
        open.tell();
        open
    }

    /// Tells pages that are open of the version that is shown, where it is another.
    pub fn tell(&self) {
        self.say(self.content().version.to_string());
    }

    fn say(&self, words: String) {
        self.newest.send_if_modified(|newest| {
            let another = *newest != words;
            *newest = words;
            another
        });
    }

    /// Looks at the file, and tells pages what became of it.
    pub fn look(&self) {
        self.look_at_logbook();
        match self.store().map(Store::look) {
            Some(Ok(_)) => self.tell(),
            // An editor moves a new file into its place; one that is not there at the next look either is gone.
            Some(Err(StoreError::Gone)) => {
                std::thread::sleep(MOVING);
                match self.store().map(Store::look) {
                    Some(Err(StoreError::Gone)) => self.say(GONE.to_owned()),
                    Some(Ok(_)) => self.tell(),
                    _ => {}
                }
            }
            // A file that cannot be read now may be on its way.
            Some(Err(_)) | None => {}
        }
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

    /// A content with its tests, jobs and logbook.
    pub fn bench(&self, content: &StoredPlan) -> io::Result<BenchSession> {
        let kept = self.kept();
        let mut bench = self.bench.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((version, from, session)) = bench.as_ref()
            && *version == content.version
            // Numbers that are kept while entries are made are those that tests have already.
            && (from.is_none() || *from == kept)
        {
            return Ok(session.clone());
        }
        let file = self.store().map(|store| store.path().to_owned());
        let session = BenchSession::open(Arc::clone(&content.bytes), kept.clone(), file)?;
        *bench = Some((content.version.clone(), kept, session.clone()));
        Ok(session)
    }

    /// Things of texts that entries may be about, by revision.
    pub fn earlier_things(&self) -> Vec<(String, String)> {
        self.things.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Remembers the things of a text.
    pub fn remember_things(&self, things: (String, String)) {
        let mut all = self.things.lock().unwrap_or_else(PoisonError::into_inner);
        if !all.iter().any(|(revision, _)| *revision == things.0) {
            all.push(things);
            let surplus = all.len().saturating_sub(MOST_TEXTS);
            all.drain(..surplus);
        }
    }

    /// Tells pages that there are entries.
    pub fn tell_of_entries(&self) {
        self.book.send_modify(|count| *count += 1);
    }

    /// Looks whether another program wrote the logbook.
    fn look_at_logbook(&self) {
        let Some(store) = self.store() else { return };
        let file = logbook::file_beside(store.path());
        let mut log = file.clone().into_os_string();
        log.push("-wal");
        let stamp = |path: &Path| {
            let stat = std::fs::metadata(path).ok()?;
            Some((stat.modified().ok()?, stat.len()))
        };
        let now = vec![stamp(&file), stamp(Path::new(&log))];
        let mut last = self.logbook.lock().unwrap_or_else(PoisonError::into_inner);
        if *last != now {
            let first = last.is_empty();
            *last = now;
            if !first {
                self.tell_of_entries();
            }
        }
    }

    /// The last version that was understood since this plan was opened, before the one that is shown; none where there was none.
    pub fn earlier(&self) -> Option<PlanSession> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).earlier.clone()
    }

    /// Forgets what was reviewed, after it fell over, or to make room.
    pub fn forget(&self) {
        *self.asked.lock().unwrap_or_else(PoisonError::into_inner) = Sessions::default();
        self.binders.forget();
        *self.bench.lock().unwrap_or_else(PoisonError::into_inner) = None;
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
