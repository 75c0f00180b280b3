//! A plan that is shown: its file, what is known of the version in it, and who waits to hear of another.

use crate::bench_session::BenchSession;
use crate::binders::Binders;
use crate::demos::{DEMOS, ShippedDemo};
use crate::numbers::{Kept, KeptNumbers};
use crate::opened::PlanSession;
use crate::store::{Store, StoreError, StoredPlan, Version};
use std::io;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::watch;

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

/// A plan that is shown.
pub(crate) struct OpenPlan {
    pub face: PlanFace,
    /// The version that is shown, for pages that wait to hear of another.
    pub newest: watch::Sender<String>,
    /// Counts up with entries of the logbook, for pages that show them.
    pub book: watch::Sender<u64>,
    bench: Mutex<Option<AskedBench>>,
    /// Things of texts that pages were made of: what a phone sends later may be about them.
    things: Mutex<Vec<(String, String)>>,
    /// The logbook as the disk said last.
    logbook: Mutex<Vec<Option<Stamp>>>,
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

/// When the disk says a file was last written, and its length.
type Stamp = (std::time::SystemTime, u64);

/// Tests, jobs and logbook of a version, as they were asked last.
struct AskedBench {
    version: Version,
    /// The numbers it goes on from.
    numbers: Option<Arc<Kept>>,
    session: BenchSession,
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

    pub fn demo(name: &str, base: String) -> Option<OpenPlan> {
        let demo = DEMOS.iter().find(|d| d.name == name)?;
        let face = PlanFace { base, file: name.to_owned(), id: format!("demo-{name}") };
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
        if let Some(asked) = bench.as_ref()
            && asked.version == content.version
            // Numbers that are kept while entries are made are those that tests have already.
            && (asked.numbers.is_none() || asked.numbers == kept)
        {
            return Ok(asked.session.clone());
        }
        let file = self.store().map(|store| store.path().to_owned());
        let session = BenchSession::open(Arc::clone(&content.bytes), kept.clone(), file)?;
        let (version, session_kept) = (content.version.clone(), session.clone());
        *bench = Some(AskedBench { version, numbers: kept, session: session_kept });
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
