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
    exit::must_be_new(&asked.plan)?;
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
        let questions: Vec<&Question> = QUESTIONS.iter().filter(|q| !given.contains(&q.name)).collect();
        let mut at = 0;
        while let Some(question) = questions.get(at) {
            if question.matters(&answers) && ask(question, &mut answers, &mut lines)? == Asked::Back {
                // The last one before that was asked at all.
                at = (0..at).rev().find(|&k| questions[k].matters(&answers)).unwrap_or(0);
            } else {
                at += 1;
            }
        }
        look_over(&mut answers, &mut lines)?;
    }
    let text = design::propose(&answers)
        .map_err(|why| CliError::new(why.to_string()).help("answer one of the questions otherwise"))?;
    exit::write_new(&asked.plan, text.as_bytes())?;
    let path = asked.plan.display();
    print(&format!(
        "\nwritten to {path}: {} roads, {}\nread it with its comments, then: gapwright check {path}\n",
        answers.roads,
        answers.turnouts_in_words()
    ))?;
    Ok(true)
}

/// What a question ended with.
#[derive(PartialEq, Eq)]
enum Asked {
    Answered,
    /// The question before is wanted again.
    Back,
}

/// Asks until there is an answer that fits. An empty one takes what is proposed, `<` goes back to the question before.
fn ask(
    question: &Question,
    answers: &mut Answers,
    lines: &mut impl Iterator<Item = std::io::Result<String>>,
) -> Result<Asked, CliError> {
    let choices = question.choices(answers);
    let mut shown = format!("\n{} {}\n", question.asks, question.why);
    let width = choices.iter().map(|c| c.word.chars().count()).max().unwrap_or(0);
    for (number, choice) in choices.iter().enumerate() {
        shown.push_str(format!("  {:>2}  {:width$}  {}", number + 1, choice.word, choice.says).trim_end());
        shown.push('\n');
    }
    print(&shown)?;
    loop {
        let hint = match question.takes {
            Takes::Length | Takes::Lengths => ", with its unit",
            Takes::Choice => ", by its number or how it begins",
            _ => "",
        };
        print(&format!("{} [{}]{hint}: ", question.name, question.answer(answers)))?;
        let Some(line) = lines.next() else {
            return Err(CliError::new("there are no more answers, so nothing is written")
                .help("`--as-proposed` takes what is proposed for all that is left"));
        };
        let line = line.map_err(|e| CliError::new(format!("cannot read the answers: {e}")))?;
        match line.trim() {
            "" => return Ok(Asked::Answered),
            "<" => return Ok(Asked::Back),
            said => match answers.set(question.name, said) {
                Ok(()) => return Ok(Asked::Answered),
                Err(why) => print(&format!("  {}\n", text::escape_control_chars(&why.to_string())))?,
            },
        }
    }
}

/// Shows all answers, and takes another one where the number of its question is typed.
fn look_over(answers: &mut Answers, lines: &mut impl Iterator<Item = std::io::Result<String>>) -> Result<(), CliError> {
    loop {
        let asked: Vec<&Question> = QUESTIONS.iter().filter(|q| q.matters(answers)).collect();
        let mut shown = String::from("\nYour answers:\n");
        for (number, question) in asked.iter().enumerate() {
            let answer = text::escape_control_chars(&question.answer(answers));
            shown.push_str(&format!("  {:>2}  {:8}  {answer}\n", number + 1, question.name));
        }
        shown.push_str("\nA number or name asks that one again; Enter writes the plan: ");
        print(&shown)?;
        // Whoever has nothing more to say has said all.
        let Some(line) = lines.next() else { return Ok(()) };
        let line = line.map_err(|e| CliError::new(format!("cannot read the answers: {e}")))?;
        let said = line.trim();
        if said.is_empty() {
            return Ok(());
        }
        let by_number = said.parse::<usize>().ok().and_then(|n| asked.get(n.checked_sub(1)?));
        match by_number.or_else(|| asked.iter().find(|q| q.name == said)) {
            Some(question) => {
                ask(question, answers, lines)?;
            }
            None => print(&format!("  a number from 1 to {}, or a name of the list\n", asked.len()))?,
        }
    }
}
