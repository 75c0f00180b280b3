//! The smaller acts of the command.

use crate::check::width;
use crate::exit::{self, CliError, print};
use analysis::sources::SourceTopic;
use std::path::Path;

/// Says what a finding means, or names all of them.
pub fn explain(name: Option<&str>) -> Result<bool, CliError> {
    let Some(name) = name else {
        let longest = review::explain::pages().map(|p| p.0.len()).max().unwrap_or(0);
        let list: String =
            review::explain::pages().map(|(name, title, _)| format!("{name:longest$}  {title}\n")).collect();
        let words: Vec<&str> = review::trade_words::TRADE_WORDS.iter().map(|word| word.word).collect();
        let words = text::paragraph("\nwords of the trade: ", &words.join(", "), width().min(100));
        print(&format!("{list}{words}"))?;
        return Ok(true);
    };
    let width = width().min(100);
    match review::explain::explain(name, width).or_else(|| review::explain::explain_word(name, width)) {
        Some(page) => print(&page).map(|()| true),
        None => Err(CliError::new(format!("there is no finding and no word `{name}`"))
            .help("`gapwright explain` without a name lists them all")),
    }
}

/// Applies the proposed edits of a review, one finding after another, each to the plan as it then is.
pub fn fix(path: &Path, write: bool) -> Result<bool, CliError> {
    let bytes = exit::read(path)?;
    let fixed = review::fix_all(&bytes);
    let ask_check = |what: &str| {
        let words = format!("{what}; gapwright check {} says what to do", path.display());
        text::paragraph("", &text::escape_control_chars(&words), width())
    };
    if fixed.steps.is_empty() {
        let left = if fixed.errors_left {
            ask_check("no edit is sure to put this plan right")
        } else {
            "there is no proposed edit for this plan\n".to_owned()
        };
        print(&left)?;
        return Ok(!fixed.errors_left);
    }
    let mut shown = String::new();
    for step in &fixed.steps {
        shown.push_str(&format!("- {}\n", text::escape_control_chars(&step.says)));
        shown.push_str(&finding::render_edits(&step.before, &step.edits, width()));
    }
    if write {
        exit::replace(path, &bytes, fixed.text.as_bytes())?;
        shown.push_str(&format!("written to {}\n", text::escape_control_chars(&path.display().to_string())));
        let words = match site::numbers::keep(path, &bytes, fixed.text.as_bytes()) {
            Ok(Some(file)) => {
                // Named as the plan was, not by its whole path.
                let file = path.with_file_name(file.file_name().unwrap_or_default());
                format!("wires, gaps, joints and tests keep their numbers: they are in {}", file.display())
            }
            Ok(None) => String::new(),
            Err(error) => format!("numbers are not kept, wires and tests may have others now: {error}"),
        };
        if !words.is_empty() {
            shown.push_str(&format!("{}\n", text::escape_control_chars(&words)));
        }
    } else {
        shown.push_str("nothing is written yet; add --write to change the plan\n");
    }
    if fixed.errors_left {
        shown.push_str(&ask_check("faults are left that no edit is sure to end"));
    }
    print(&shown)?;
    Ok(!fixed.errors_left)
}

/// Prints the plan with its composite tables written out.
pub fn expand(path: &Path, out: Option<&Path>) -> Result<bool, CliError> {
    let untrue = "the plan has errors; what its tables stand for is not known";
    let (text, reading) = exit::understood(path, untrue)?;
    let ordinary = reading.names.expansion.ordinary(&text);
    match out {
        Some(out) => exit::must_be_new(out).and_then(|()| exit::write_new(out, ordinary.as_bytes()))?,
        None => print(&ordinary)?,
    }
    Ok(true)
}

/// Tells where the numbers of a plan come from; nothing of one that is not understood, which was told already.
pub fn sources(path: &Path, topics: &[SourceTopic]) -> Result<(), CliError> {
    let (text, reading) = exit::read_plan(&exit::read(path)?);
    if !reading.understood() {
        return Ok(());
    }
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    print(&report::sources_print::render(&facts, &text, topics, width()))
}

/// Writes a setting of the plan as a SPICE netlist.
pub fn netlist(path: &Path, setting: &[String], loads: &[String]) -> Result<bool, CliError> {
    let untrue = "the plan has errors; a netlist of it would not be true";
    let text = exit::ask(path, untrue, |facts| facts.netlist(setting, loads).map_err(exit::check_it(path)))?;
    print(&text)?;
    Ok(true)
}

/// Prints the JSON Schema of plans.
pub fn schema() -> Result<bool, CliError> {
    let schema = serde_json::to_string_pretty(&plan::schema::schema())
        .map_err(|e| CliError::new(format!("the schema cannot be written: {e}")))?;
    print(&format!("{schema}\n"))?;
    Ok(true)
}
