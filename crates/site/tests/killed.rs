//! A process that is killed while it saves leaves a whole file, whichever moment it was.

use libtest_mimic::{Arguments, Failed, Trial};
use site::store::{Saved, Store};
use std::process::{Command, ExitCode, Stdio};
use std::time::Duration;

/// Names the file that a process started by the test saves to, until it is killed.
const SAVES: &str = "GAPWRIGHT_TEST_SAVES";

/// The texts it saves by turns, long enough that writing one takes a while.
fn text(turn: usize) -> Vec<u8> {
    let line = format!("# turn {}\n", turn % 7);
    line.repeat(20_000 + 9_000 * (turn % 7)).into_bytes()
}

fn main() -> ExitCode {
    if let Some(path) = std::env::var_os(SAVES) {
        let store = Store::open(path.as_ref()).expect("opened");
        for turn in 1.. {
            let saved = store.save(&text(turn), &store.content().version).expect("saved");
            assert!(matches!(saved, Saved::Done(_)));
        }
    }
    let trial = Trial::test("a_killed_save_leaves_a_whole_file", killed);
    libtest_mimic::run(&Arguments::from_args(), vec![trial]).exit_code()
}

fn killed() -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, text(0))?;
    let whole: Vec<Vec<u8>> = (0..7).map(text).collect();
    let mut seen = std::collections::BTreeSet::new();
    for round in 0..60_u64 {
        let mut child = Command::new(std::env::current_exe()?)
            .env(SAVES, &path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        // Uneven steps, so that the moments fall everywhere in the cycle of a save.
        std::thread::sleep(Duration::from_micros(15_000 + round * 1_379 % 40_000));
        if let Some(ended) = child.try_wait()? {
            return Err(format!("it ended by itself: {ended}").into());
        }
        child.kill()?;
        child.wait()?;
        let found = std::fs::read(&path)?;
        let Some(which) = whole.iter().position(|text| *text == found) else {
            return Err(format!("round {round}: {} bytes that are none of the texts", found.len()).into());
        };
        seen.insert(which);
    }
    if seen.len() < 3 {
        return Err(format!("only the texts {seen:?} were ever there, so hardly a save was cut short").into());
    }
    Ok(())
}
