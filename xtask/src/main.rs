//! Chores of the project: `cargo xtask docs` writes what is generated, `cargo xtask check` holds the
//! repository to its own rules, `cargo xtask dist` makes an archive and a Debian package.

mod circles;
mod dependencies;
mod dist;
mod generate;
mod links;
mod readers;
mod rules;
mod walk;
mod words;

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let done = match std::env::args().nth(1).as_deref() {
        Some("docs") => generate::write(&root),
        Some("check") => rules::check(&root),
        Some("dist") => dist::dist(&root),
        _ => Err("usage: cargo xtask docs | check | dist".to_owned()),
    };
    match done {
        Ok(words) => {
            println!("{words}");
            ExitCode::SUCCESS
        }
        Err(words) => {
            eprintln!("{words}");
            ExitCode::FAILURE
        }
    }
}
