//! Binders of the version that is shown: each made once, away from the threads that answer, and kept while nothing changes.

use crate::numbers::Kept;
use crate::store::{StoredPlan, Version};
use papers::Binder;
use schedule::Choices;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::{OnceCell, Semaphore};

/// Binders that are kept; of more, the oldest is forgotten.
const MOST_KEPT: usize = 4;

/// A binder, or why there is none.
type Made = Result<Arc<NumberedBinder>, NoBinder>;

/// Why there is no binder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoBinder {
    /// The plan is not understood.
    #[error("the plan as it stands is not understood, and papers of it would not be true")]
    Unread,
    /// The work fell over: that is our fault.
    #[error("the papers brought the program out of step, which is a fault of the program")]
    FellOver,
}

/// What makes a binder another one.
#[derive(Clone, Debug, PartialEq)]
struct BinderKey {
    version: Version,
    kept: Option<Arc<Kept>>,
    choices: Choices,
}

/// The binders of a plan.
#[derive(Debug, Default)]
pub(crate) struct Binders {
    made: Mutex<Vec<(BinderKey, Arc<OnceCell<Made>>)>>,
}

/// A binder and where its numbers come from.
#[derive(Debug)]
pub(crate) struct NumberedBinder {
    pub binder: Binder,
    pub whose: NumbersFrom,
}

/// Whose numbers wires, gaps and joints have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum NumbersFrom {
    /// Those of papers made before, in a folder of this name.
    Carried(String),
    /// Those kept over changes of the plan, in a file of this name beside it.
    Beside(String),
    /// Given in the order of the plan: no papers were made before.
    New,
    /// The same, and a folder of papers that lies beside the plan has others, for this reason.
    NewBeside(String, String),
}

impl Binders {
    /// The binder of a version; waits until it is made.
    pub async fn binder(
        &self,
        content: &StoredPlan,
        kept: Option<Arc<Kept>>,
        choices: Choices,
        turns: Arc<Semaphore>,
    ) -> Made {
        let key = BinderKey { version: content.version.clone(), kept: kept.clone(), choices };
        let cell = self.cell(&key);
        let bytes = Arc::clone(&content.bytes);
        let make = || async move { in_turn(turns, move || make_binder(&bytes, kept.as_deref(), choices)).await? };
        cell.get_or_init(make).await.clone()
    }

    /// Forgets all, to make room.
    pub fn forget(&self) {
        self.made.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }

    fn cell(&self, key: &BinderKey) -> Arc<OnceCell<Made>> {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        // What was made of another text is never asked for again.
        made.retain(|(k, _)| k.version == key.version);
        if let Some((_, cell)) = made.iter().find(|(k, _)| k == key) {
            return Arc::clone(cell);
        }
        let cell = Arc::new(OnceCell::new());
        made.push((key.clone(), Arc::clone(&cell)));
        let over = made.len().saturating_sub(MOST_KEPT);
        made.drain(..over);
        cell
    }
}

/// Does long work away from the threads that answer, some at once at most.
///
/// # Errors
/// Where the work fell over: that is our fault.
pub(crate) async fn in_turn<T: Send + 'static>(
    turns: Arc<Semaphore>,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, NoBinder> {
    let _turn = turns.acquire_owned().await;
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|_| NoBinder::FellOver)
}

fn make_binder(bytes: &[u8], kept: Option<&Kept>, choices: Choices) -> Made {
    let (text, reading) = plan::read_bytes(bytes);
    if !reading.understood() {
        return Err(NoBinder::Unread);
    }
    let record = kept.and_then(|kept| kept.record_of(&reading.names));
    let whose = match (kept, record) {
        (Some(kept), Some(_)) if kept.beside => NumbersFrom::Beside(kept.folder.clone()),
        (Some(kept), Some(_)) => NumbersFrom::Carried(kept.folder.clone()),
        (Some(kept), None) => {
            let why = match &kept.record {
                Err(why) => why.to_string(),
                Ok(_) => "most of what is numbered there is not in this plan".to_owned(),
            };
            NumbersFrom::NewBeside(format!("{} {}", if kept.beside { "file" } else { "folder" }, kept.folder), why)
        }
        (None, _) => NumbersFrom::New,
    };
    let records: Vec<_> = record.cloned().into_iter().collect();
    let (binder, _, _) = papers::binder_of_plan(&text, reading, choices, &records.iter().collect::<Vec<_>>(), None);
    Ok(Arc::new(NumberedBinder { binder, whose }))
}
