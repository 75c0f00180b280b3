//! A plan in a folder of its own, with its logbook.

use crate::common::fits;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A plan in a folder of its own, with its logbook.
pub struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub fn new(plan: &str) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("dock.toml"), text_of(plan)).unwrap();
        Bench { folder }
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_gapwright"));
        command.args(["log", "dock.toml"]).args(arguments).current_dir(&self.folder);
        command.env("COLUMNS", "80").env("GAPWRIGHT_WHO", "Kim").env("GAPWRIGHT_DEVICE", "bench").env("TZ", "UTC");
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).stdin(Stdio::null()).output().unwrap()
    }

    /// What is printed, where the command ends with this status.
    #[track_caller]
    pub fn says(&self, status: i32, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(
            output.status.code(),
            Some(status),
            "{arguments:?}: {}{errors}",
            String::from_utf8_lossy(&output.stdout)
        );
        let text = String::from_utf8(output.stdout).unwrap();
        if status < 2 {
            assert!(errors.is_empty(), "{errors}");
            fits(&text);
            return text;
        }
        assert!(text.is_empty(), "{text}");
        errors
    }

    /// The entries as a table.
    pub fn entries(&self) -> Vec<logbook::Entry> {
        logbook::table::from_csv(&String::from_utf8(self.run(&["export"]).stdout).unwrap()).unwrap()
    }
}

pub fn text_of(plan: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../plans/{plan}/plan.toml")))
        .unwrap()
}
