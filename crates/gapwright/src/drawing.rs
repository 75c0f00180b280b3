//! The act that draws a layout.

use crate::exit::{CliError, check_it, understood, write_output, write_whole};
use analysis::Analysis;
use clap::{Args, ValueEnum};
use drawing::{Layer, Look, layers};
use schedule::{Choices, Job, PageSize};
use std::path::{Path, PathBuf};

#[derive(Args)]
pub struct DrawingCommand {
    /// The plan, a TOML file
    plan: PathBuf,
    /// As seen by somebody who lies under it: left and right exchanged, words upright
    #[arg(long)]
    below: bool,
    /// What the rails show; needs no setting for `movement` and `failures`
    #[arg(long, value_enum)]
    layer: Option<LayerWord>,
    /// A position, such as `T1=diverging`; whatever is not named stands in its first position
    #[arg(long, value_name = "NAME=POSITION")]
    setting: Vec<String>,
    /// Cut it into sheets of paper, and give this one of them; without it the whole drawing, as large as it has to be
    #[arg(long, value_name = "NUMBER")]
    sheet: Option<usize>,
    /// The paper that sheets are cut for; that of the plan's units where not said
    #[arg(long, value_enum)]
    page: Option<PaperArgument>,
    /// Write it to this file instead; as PNG or PDF where its name ends so, else as SVG
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum LayerWord {
    /// The pole of each rail in a setting
    Phase,
    /// The volts under a train in a setting
    Volts,
    /// The current of a short in a setting
    Fault,
    /// How far rails move over the year
    Movement,
    /// What hangs on single joints, contacts and wires
    Failures,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperArgument {
    A4,
    Letter,
}

/// Draws the layout of a plan.
pub fn drawing(asked: &DrawingCommand) -> Result<bool, CliError> {
    let path = &asked.plan;
    let (text, reading) = understood(path, "the plan has errors; a drawing of it would not be true")?;
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    let positions = analysis::setting_positions(&facts.circuit, &asked.setting).map_err(check_it(path))?;
    let layer = match asked.layer {
        None if !asked.setting.is_empty() => Some(layer(LayerWord::Phase, &facts, &positions)?),
        None => None,
        Some(word) => Some(layer(word, &facts, &positions)?),
    };
    let mut choices = Choices::usual(&reading.plan);
    if let Some(page) = asked.page {
        choices.page = if page == PaperArgument::Letter { PageSize::Letter } else { PageSize::A4 };
    }
    let kept = site::numbers::kept_for(path, &reading.names);
    let job = Job::carried_where_kept(facts, choices, kept.as_ref());
    let mut frame = if asked.sheet.is_some() { drawing::frame(&job) } else { drawing::whole(&job) };
    if asked.below {
        frame = frame.mirrored();
    }
    let sheets = frame.sheets.len();
    let sheet = asked.sheet.unwrap_or(1);
    if !(1..=sheets).contains(&sheet) {
        let help = if sheets == 1 { "there is one sheet".to_owned() } else { format!("sheets are 1 to {sheets}") };
        return Err(CliError::new(format!("the drawing has no sheet {sheet}")).help(help));
    }
    let svg = drawing::svg(&frame, sheet - 1, &Look { layer: layer.as_ref() });
    let ending = asked.out.as_deref().and_then(Path::extension).and_then(|e| e.to_str()).unwrap_or_default();
    let made = match (ending.to_ascii_lowercase().as_str(), asked.out.as_deref()) {
        ("png", Some(out)) => papers::picture::png(&svg, DOTS_PER_INCH).map(|bytes| (out, bytes)),
        ("pdf", Some(out)) => papers::pdf_of_svg(&svg).map(|bytes| (out, bytes)),
        _ => return write_output(&svg, asked.out.as_deref()),
    };
    let (out, bytes) = made.map_err(|error| CliError::new(error.to_string()))?;
    write_whole(out, &bytes)?;
    Ok(true)
}

/// Of pictures: fine enough to be printed.
const DOTS_PER_INCH: f64 = 200.0;

fn layer(word: LayerWord, facts: &Analysis<'_>, positions: &[Option<u8>]) -> Result<Layer, CliError> {
    let failed = |e: electrics::Failed| CliError::new(e.to_string());
    match word {
        LayerWord::Phase => Ok(layers::phase(facts, positions)),
        LayerWord::Volts => layers::volts(facts, positions).map_err(failed),
        LayerWord::Fault => layers::fault(facts, positions).map_err(failed),
        LayerWord::Failures => Ok(layers::failures(facts)),
        LayerWord::Movement => layers::movement(facts).ok_or_else(|| {
            let missing = facts.movement().err().map(|m| m.missing.join(", ")).unwrap_or_default();
            CliError::new(format!("the plan does not tell how its rails move: {missing} is not there"))
                .help("`gapwright gaps` tells what it needs, and what becomes of each gap")
        }),
    }
}
