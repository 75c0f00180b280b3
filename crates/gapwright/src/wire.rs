//! From bare track to a whole plan: what to cut, what to feed, and with what wire.

use crate::check::width;
use crate::exit::{self, CliError, print};
use design::wiring::{NoWiring, ProposedWiring, propose_wiring};
use std::path::PathBuf;

/// Wire a bare plan: propose every gap, feeder, contact, reverser, bus and wire size, with the reason for each
#[derive(clap::Args)]
pub struct WireCommand {
    /// The plan, a TOML file with tracks, turnouts and supplies, and nothing that is wired yet
    plan: PathBuf,
    /// Write the plan; without this the proposal is only shown
    #[arg(long)]
    write: bool,
    /// Show the lines that are added to the plan, too
    #[arg(long)]
    lines: bool,
}

/// Most places of one kind of thing that are named.
const MOST_PLACES: usize = 12;

/// Proposes, and writes where that is asked for.
pub fn wire(asked: &WireCommand) -> Result<bool, CliError> {
    let bytes = exit::read(&asked.plan)?;
    let shown = review::terminal::quoted_argument(&asked.plan.display().to_string());
    let source =
        std::str::from_utf8(&bytes).map_err(|_| exit::check_it(&asked.plan)("the plan is not text in UTF-8"))?;
    let proposed = propose_wiring(source).map_err(|why| {
        let error = CliError::new(why.to_string());
        match why {
            NoWiring::NotUnderstood => error.help(format!("gapwright check {shown}")),
            NoWiring::Wired { .. } => error.help(format!("gapwright fix {shown}")),
            _ => error,
        }
    })?;
    let mut out = page(&proposed);
    if asked.lines {
        out.push_str("\nthe lines of the plan\n\n");
        out.push_str(&finding::render_edits(source, &proposed.edits, width()));
    }
    if asked.write {
        // Whoever changed the file meanwhile must not lose what they wrote.
        if exit::read(&asked.plan)? != bytes {
            let words = format!("`{shown}` was changed while its wiring was worked out, so nothing is written");
            return Err(CliError::new(words).help("run the command again"));
        }
        exit::write_whole(&asked.plan, proposed.text.as_bytes())?;
        out.push_str(&format!("\nwritten to {shown}\nnext: gapwright check {shown}\n"));
    } else {
        out.push_str(&format!(
            "\nnothing is written yet\nnext: gapwright wire {shown} --write puts it into the plan; --lines shows every line first\n"
        ));
    }
    print(&out)?;
    Ok(!proposed.left.iter().any(|f| f.severity == finding::Severity::Error))
}

fn page(proposed: &ProposedWiring) -> String {
    let width = width().min(100);
    let mut out = String::from("what to build, and why\n");
    for reason in &proposed.reasons {
        out.push_str(&text::paragraph("\n  ", &reason.what, width));
        out.push_str(&text::paragraph("     ", &reason.why, width));
        for place in reason.places.iter().take(MOST_PLACES) {
            out.push_str(&text::paragraph("     - ", &text::escape_control_chars(place), width));
        }
        if reason.places.len() > MOST_PLACES {
            out.push_str(&format!("     - and {} more: add --lines\n", reason.places.len() - MOST_PLACES));
        }
    }
    out.push_str("\nhow many, and the least there can be\n\n");
    for count in &proposed.counts {
        let least = match count.least {
            Some(least) if least == count.count => "the least there can be".to_owned(),
            Some(least) => format!("at least {least} are needed"),
            None => "not known what the least is".to_owned(),
        };
        out.push_str(&text::paragraph(
            "  ",
            &format!("{} {}: {least} ({})", count.count, count.words(), count.because),
            width,
        ));
    }
    match proposed.left.as_slice() {
        [] => out.push_str("\nthe review of the plan with all of it: no findings\n"),
        left => {
            out.push_str("\nwhat the review finds then all the same\n\n");
            for finding in left {
                let words = format!("{} [{}]", finding.message, finding.name);
                out.push_str(&text::paragraph("  - ", &text::escape_control_chars(&words), width));
            }
        }
    }
    out
}
