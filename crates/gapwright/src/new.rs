//! Asks a few questions and writes a plan.

use crate::exit::{self, CliError, print};
use design::{Answers, QUESTIONS, Question, Takes};
use std::io::BufRead;
use std::path::PathBuf;

/// Ask a few questions about a yard and write a complete plan that passes its review
#[derive(clap::Args)]
pub struct NewCommand {
    /// The file to write; it must not exist yet
    plan: PathBuf,
    /// An answer given beforehand, such as `roads=7`; it is not asked again
    #[arg(long = "answer", value_name = "QUESTION=ANSWER")]
    answers: Vec<String>,
    /// Ask nothing: what is not answered beforehand is answered as proposed
    #[arg(long)]
    as_proposed: bool,
}

/// Asks, writes, and says what to do next.
pub fn new(asked: &NewCommand) -> Result<bool, CliError> {
    if asked.plan.symlink_metadata().is_ok() {
        let words = format!("`{}` is there already", asked.plan.display());
        return Err(CliError::new(words).help("name a new file; nothing of yours is overwritten"));
    }
    let mut answers = Answers::default();
    let mut given = Vec::new();
    for said in &asked.answers {
        let Some((name, answer)) = said.split_once('=') else {
            return Err(CliError::new(format!("`{said}` is no answer")).help("write `--answer roads=7`"));
        };
        answers.set(name.trim(), answer).map_err(|why| {
            let names: Vec<&str> = QUESTIONS.iter().map(|q| q.name).collect();
            CliError::new(format!("{name}: {why}")).help(format!("the questions are {}", names.join(", ")))
        })?;
        given.push(name.trim());
    }
    if !asked.as_proposed {
        let mut lines = std::io::stdin().lock().lines();
        for question in QUESTIONS.iter().filter(|q| !given.contains(&q.name)) {
            if question.matters(&answers) {
                ask(question, &mut answers, &mut lines)?;
            }
        }
    }
    let text = design::propose(&answers)
        .map_err(|why| CliError::new(why.to_string()).help("answer one of the questions otherwise"))?;
    exit::write_new(&asked.plan, text.as_bytes())?;
    let path = asked.plan.display();
    print(&format!(
        "\nwritten to {path}: {} roads, {} turnouts\nread it with its comments, then: gapwright check {path}\n",
        answers.roads,
        answers.turnouts()
    ))?;
    Ok(true)
}

/// Asks until there is an answer that fits. An empty one takes what is proposed.
fn ask(
    question: &Question,
    answers: &mut Answers,
    lines: &mut impl Iterator<Item = std::io::Result<String>>,
) -> Result<(), CliError> {
    let choices = question.choices(answers);
    let mut shown = format!("\n{} {}\n", question.asks, question.why);
    let width = choices.iter().map(|c| c.word.chars().count()).max().unwrap_or(0);
    for choice in &choices {
        shown.push_str(format!("  {:width$}  {}", choice.word, choice.says).trim_end());
        shown.push('\n');
    }
    print(&shown)?;
    loop {
        let hint = match question.takes {
            Takes::Length => ", with its unit",
            _ => "",
        };
        print(&format!("{} [{}]{hint}: ", question.name, question.answer(answers)))?;
        let Some(line) = lines.next() else {
            return Err(CliError::new("there are no more answers, so nothing is written")
                .help("`--as-proposed` takes what is proposed for all that is left"));
        };
        let line = line.map_err(|e| CliError::new(format!("cannot read the answers: {e}")))?;
        if line.trim().is_empty() {
            return Ok(());
        }
        match answers.set(question.name, &line) {
            Ok(()) => return Ok(()),
            Err(why) => print(&format!("  {}\n", text::escape_control_chars(&why.to_string())))?,
        }
    }
}
