//! A plan file under many hands: nothing is lost, and conflicts are reported.

use site::store::{HistoryStep, Saved, Store, Version};
use std::collections::BTreeSet;
use std::path::PathBuf;

struct Desk {
    _folder: tempfile::TempDir,
    path: PathBuf,
    store: Store,
}

fn desk(text: &str) -> Desk {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, text).expect("written");
    let store = Store::open(&path).expect("opened");
    Desk { _folder: folder, path, store }
}

impl Desk {
    fn on_disk(&self) -> String {
        std::fs::read_to_string(&self.path).expect("readable")
    }

    fn version(&self) -> Version {
        self.store.content().version
    }

    fn save(&self, text: &str, based_on: &Version) -> Saved {
        self.store.save(text.as_bytes(), based_on).expect("no trouble with the disk")
    }

    fn step(&self, step: HistoryStep) -> Saved {
        self.store.step(step, &self.version()).expect("no trouble with the disk")
    }
}

#[test]
fn a_save_is_on_the_disk() {
    let desk = desk("one\n");
    let Saved::Done(content) = desk.save("two\n", &desk.version()) else { panic!("not saved") };
    assert_eq!((desk.on_disk().as_str(), content.version), ("two\n", Version::from_content(b"two\n")));
}

#[test]
fn who_comes_late_is_told_both_texts() {
    let desk = desk("one\n");
    let old = desk.version();
    desk.save("two\n", &old);
    let Saved::Conflict { mine, theirs } = desk.save("three\n", &old) else { panic!("no conflict") };
    assert_eq!((&mine[..], &theirs.bytes[..]), (&b"three\n"[..], &b"two\n"[..]));
    assert_eq!(desk.on_disk(), "two\n");
}

#[test]
fn an_editor_on_the_disk_is_never_written_over() {
    let desk = desk("one\n");
    let old = desk.version();
    // The same length, in the same moment: only the content tells.
    std::fs::write(&desk.path, "ONE\n").expect("written");
    assert!(matches!(desk.save("two\n", &old), Saved::Conflict { .. }));
    assert_eq!(desk.on_disk(), "ONE\n");
    assert!(matches!(desk.step(HistoryStep::Undo), Saved::Done(_)));
    assert_eq!(desk.on_disk(), "one\n", "an outside change can be undone too");
}

#[test]
fn outside_changes_are_noticed_once() {
    let desk = desk("one\n");
    assert!(!desk.store.look().expect("readable"));
    std::fs::write(&desk.path, "two\n").expect("written");
    assert!(desk.store.look().expect("readable"));
    assert!(!desk.store.look().expect("readable"));
    assert_eq!(&desk.store.content().bytes[..], b"two\n");
}

#[test]
fn undo_and_redo_walk_through_all_texts() {
    let desk = desk("0");
    for text in ["1", "2", "3"] {
        desk.save(text, &desk.version());
    }
    for (step, there) in [
        (HistoryStep::Undo, "2"),
        (HistoryStep::Undo, "1"),
        (HistoryStep::Redo, "2"),
        (HistoryStep::Undo, "1"),
        (HistoryStep::Undo, "0"),
        (HistoryStep::Undo, "0"),
        (HistoryStep::Redo, "1"),
        (HistoryStep::Redo, "2"),
        (HistoryStep::Redo, "3"),
        (HistoryStep::Redo, "3"),
    ] {
        desk.step(step);
        assert_eq!(desk.on_disk(), there);
    }
    desk.step(HistoryStep::Undo);
    desk.save("other", &desk.version());
    assert!(matches!(desk.step(HistoryStep::Redo), Saved::Nothing(_)), "a new change ends what could be made again");
    desk.step(HistoryStep::Undo);
    assert_eq!(desk.on_disk(), "2");
}

#[test]
fn a_step_on_an_old_version_is_a_conflict() {
    let desk = desk("0");
    let old = desk.version();
    desk.save("1", &old);
    assert!(matches!(desk.store.step(HistoryStep::Undo, &old), Ok(Saved::Conflict { .. })));
    assert_eq!(desk.on_disk(), "1");
}

#[test]
fn a_file_that_is_gone_is_an_error_and_no_panic() {
    let desk = desk("0");
    std::fs::remove_file(&desk.path).expect("removed");
    assert!(desk.store.look().is_err());
    assert!(desk.store.save(b"1", &desk.version()).is_err());
    std::fs::create_dir(&desk.path).expect("made");
    assert!(desk.store.save(b"1", &desk.version()).is_err());
}

#[cfg(unix)]
#[test]
fn links_and_permissions_stay() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = desk("0");
    let link = desk.path.with_file_name("link.toml");
    std::os::unix::fs::symlink(&desk.path, &link).expect("linked");
    std::fs::set_permissions(&desk.path, std::fs::Permissions::from_mode(0o640)).expect("set");
    let store = Store::open(&link).expect("opened");
    assert!(matches!(store.save(b"1", &store.content().version), Ok(Saved::Done(_))));
    assert!(link.symlink_metadata().expect("there").is_symlink());
    assert_eq!(desk.on_disk(), "1");
    assert_eq!(std::fs::metadata(&desk.path).expect("there").permissions().mode() & 0o777, 0o640);
    let left: Vec<_> = std::fs::read_dir(desk.path.parent().expect("a folder")).expect("readable").collect();
    assert_eq!(left.len(), 2, "nothing is left beside: {left:?}");
}

/// Fifty people add a line each, again and again, while an editor writes on the disk; whoever is reported of a conflict
/// takes the new text and tries again.
#[test]
fn fifty_at_once_lose_no_edit() {
    let desk = desk("start\n");
    let conflicts = std::sync::atomic::AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for person in 0..50 {
            let (store, conflicts) = (&desk.store, &conflicts);
            scope.spawn(move || {
                let mut seen = store.content();
                for round in 0..4 {
                    loop {
                        let mut text = seen.bytes.to_vec();
                        text.extend_from_slice(format!("person {person} round {round}\n").as_bytes());
                        match store.save(&text, &seen.version).expect("no trouble") {
                            Saved::Done(content) => {
                                seen = content;
                                break;
                            }
                            Saved::Conflict { theirs, .. } => {
                                conflicts.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                                seen = theirs;
                            }
                            Saved::Nothing(_) => panic!("a save is no step"),
                        }
                    }
                }
            });
        }
    });
    let text = desk.on_disk();
    let lines: BTreeSet<&str> = text.lines().collect();
    assert_eq!((text.lines().count(), lines.len()), (201, 201), "each edit once");
    assert!(conflicts.into_inner() > 0, "they never met, so nothing was shown");
}
