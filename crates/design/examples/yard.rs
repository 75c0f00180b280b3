//! Writes a plan from answers given as `question=answer`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut answers = design::Answers::default();
    for said in std::env::args().skip(1) {
        let Some((question, answer)) = said.split_once('=') else {
            eprintln!("`{said}` is no `question=answer`");
            return ExitCode::from(2);
        };
        if let Err(why) = answers.set(question, answer) {
            eprintln!("{question}: {why}");
            return ExitCode::from(2);
        }
    }
    match design::propose(&answers) {
        Ok(plan) => {
            print!("{plan}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
