//! Every gap and sliding joint of a plan over the year, in rows.

use crate::Analysis;
use crate::season_words::{air_words, growth_causes, place, practicable_width};
use circuit::Circuit;
use handbook::Spread;
use handbook::materials;
use handbook::quantity::{self, Celsius, Fraction, Newtons, Units};
use movement::growth::Air;
use movement::runs::Joint;
use movement::season::{OpeningVerdict, WidthFit, movement_from};
use movement::{Movement, NotTold};
use plan::Plan;
use plan::tables::Fixing;

/// The gaps and sliding joints of a plan.
#[derive(Debug)]
pub struct SeasonTable {
    /// What the layout is called.
    pub layout: String,
    /// In which units widths are said.
    pub units: Units,
    /// The day, the coldest and the hottest air, in words.
    pub airs: [String; 3],
    /// What rail and base do to the coldest and to the hottest air, and what holds rail down, in sentences.
    pub rail_and_base: Vec<String>,
    /// What the plan does not say: what, its value, its source.
    pub defaults: Vec<[String; 3]>,
    /// One for each gap and sliding joint, in the order of the plan.
    pub rows: Vec<SeasonRow>,
}

/// A gap or sliding joint. Widths in metres.
#[derive(Debug)]
pub struct SeasonRow {
    /// `G-1` for a gap, `J-1` for a joint that slides: the number it has on all papers where the caller told it.
    pub name: String,
    /// Where it is.
    pub place: String,
    /// Whether it insulates.
    pub is_gap: bool,
    /// How wide to leave it on the day: a width that can be made with what is at hand, where one will do.
    pub leave: f64,
    /// Between what widths on the day will do; the first is the greater where none does.
    pub window: [f64; 2],
    /// How sure that is.
    pub fit: WidthFit,
    /// What holds it open at that width; none where nothing at hand does.
    pub with: Option<String>,
    /// The width of the plan, or the usual one.
    pub planned: f64,
    /// Whether the plan says that width.
    pub said: bool,
    /// What becomes of it at that width.
    pub verdict: OpeningVerdict,
    /// Its width in the coldest and the hottest air when left as wide as `leave`.
    pub widths: [Spread<f64>; 2],
    /// The same when left as wide as `planned`.
    pub planned_widths: [Spread<f64>; 2],
    /// The least and the greatest it may be.
    pub may_be: [f64; 2],
}

/// Words that are no air: a temperature and a humidity are due.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no air; write temperature and humidity, as in `22 °C, 45 %`")]
pub struct NoAir(String);

/// What the plan does not tell, so that nothing can be said of its gaps.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the plan does not tell what rails and base do over the year: it lacks {}", crate::words::list(&.0.missing.iter().map(|&m| m.to_owned()).collect::<Vec<_>>()))]
pub struct SeasonUntold(NotTold);

impl Analysis<'_> {
    /// What gaps and sliding joints do over the year; `day` is the air of the day on which they are cut, that of laying where none
    /// is said. They are counted in the order of the plan.
    ///
    /// # Errors
    /// What is missing in the plan.
    pub fn season_table(&self, day: Option<Air>) -> Result<SeasonTable, SeasonUntold> {
        self.season_table_numbered(day, |_, _, _| Vec::new())
    }

    /// The same with the numbers that `numbered` gives the joints: one for each, in their order.
    ///
    /// # Errors
    /// As [`Analysis::season_table`].
    pub fn season_table_numbered(
        &self,
        day: Option<Air>,
        numbered: impl FnOnce(&Plan, &Circuit, &[&Joint]) -> Vec<Option<String>>,
    ) -> Result<SeasonTable, SeasonUntold> {
        let movement = movement_from(self.plan, &self.circuit, day).map_err(SeasonUntold)?;
        Ok(table(self.plan, &self.circuit, &movement, numbered))
    }
}

fn table(
    plan: &Plan,
    circuit: &Circuit,
    movement: &Movement,
    numbered: impl FnOnce(&Plan, &Circuit, &[&Joint]) -> Vec<Option<String>>,
) -> SeasonTable {
    let mut numbers = [0usize; 2];
    let joints: Vec<&Joint> = movement.runs.openings.iter().map(|p| &p.joint).collect();
    let mut told_numbers = numbered(plan, circuit, &joints).into_iter();
    let rows = movement.runs.openings.iter().zip(&movement.places).map(|(opening, p)| {
        let number = &mut numbers[usize::from(p.is_gap)];
        *number += 1;
        let made = practicable_width(p.leave.window, p.leave.width);
        let leave = made.as_ref().map_or(p.leave.width, |made| made.width);
        SeasonRow {
            name: told_numbers
                .next()
                .flatten()
                .unwrap_or_else(|| format!("{}-{number}", if p.is_gap { "G" } else { "J" })),
            place: place(plan, circuit, &opening.joint),
            is_gap: p.is_gap,
            leave,
            window: p.leave.window,
            fit: p.leave.fit,
            with: made.map(|made| made.with),
            planned: p.left,
            said: p.left_said.is_some(),
            verdict: p.verdict(p.left),
            widths: p.widths(leave),
            planned_widths: p.widths(p.left),
            may_be: p.allowed_width,
        }
    });
    let rows = rows.collect();
    let units = plan.units();
    let layout = plan.layout.as_ref().map_or_else(String::new, |l| l.value.name.value.clone());
    let defaults = movement.defaults.iter();
    SeasonTable {
        layout,
        units,
        airs: movement.rest.airs.map(|air| air_words(units, air)),
        rail_and_base: rail_and_base_lines(plan, movement),
        defaults: defaults.map(|d| [d.what.to_owned(), d.value.clone(), d.source.to_owned()]).collect(),
        rows,
    }
}

/// Air from words such as `22 °C, 45 %`.
///
/// # Errors
/// When they are none.
pub fn air_from_words(words: &str) -> Result<Air, NoAir> {
    let due = || NoAir(words.to_owned());
    let (temperature, humidity) = words.split_once(',').ok_or_else(due)?;
    let temperature: Celsius = quantity::parse(temperature.trim()).map_err(|_| due())?;
    let humidity: Fraction = quantity::parse(humidity.trim()).map_err(|_| due())?;
    if !(0.0..=1.0).contains(&humidity.0) || !(-60.0..=90.0).contains(&temperature.0) {
        return Err(due());
    }
    Ok(Air { temperature, humidity })
}

/// What rail and base do, and what held rail would bear: for each rail that there is.
fn rail_and_base_lines(plan: &Plan, movement: &Movement) -> Vec<String> {
    let units = plan.units();
    let mut shown: Vec<String> = Vec::new();
    let boards = || plan.board.iter().zip(&movement.boards);
    for (board, climate) in boards().filter(|(_, climate)| climate.airs != movement.rest.airs) {
        let [day, cold, hot] = climate.airs.map(|air| air_words(units, air));
        shown.push(format!("on `{}`: cut on a day of {day}; coldest {cold}, hottest {hot}", board.name.value));
    }
    let mut rails: Vec<(&str, Option<usize>)> = Vec::new();
    for (index, run) in movement.runs.list.iter().enumerate() {
        let here = (run.rail.name, run.board);
        if rails.contains(&here) {
            continue;
        }
        rails.push(here);
        for air in 0..2 {
            let words = growth_causes(units, movement, index, air);
            let board = run.board.and_then(|board| plan.board.get(board));
            let words = board.map_or(words.clone(), |board| format!("on `{}`: {words}", board.name.value));
            if !shown.contains(&words) {
                shown.push(words);
            }
        }
        shown.extend(held(units, movement, index));
    }
    shown
}

/// What a rail would bear that could not grow at all.
fn held(units: Units, movement: &Movement, run: usize) -> Option<String> {
    let strain = [0, 1].map(|air| movement.mismatch(run, air).strain.typical).into_iter().fold(0.0, f64::max);
    if strain <= 0.0 {
        return None;
    }
    let rail = movement.runs.list[run].rail;
    let stiffness = movement.stiffness(run).typical;
    let expansion = materials::rail_metal(rail.metal)?.thermal_expansion.value.typical;
    let kelvin = |strain: f64| units.temperature_step(strain / expansion);
    let force = units.force(Newtons(movement::force::restrained_force(stiffness, strain)));
    let start =
        format!("{} that cannot move at all pushes with up to {force}, as if warmed by {}", rail.name, kelvin(strain));
    let by = movement.held_by(run);
    let breathes = by.grip.map_or_else(String::new, |grip| {
        let length = movement::force::breathing_length(stiffness * strain, grip);
        format!("; gripped as you measured, it moves over {} from each free end", units.metres(length))
    });
    let buckles = movement.buckles(run).map_or_else(String::new, |buckles| match &by.fixing {
        Some(Fixing::Pins(spacing)) => format!(
            "; with pins {} apart a rise of {} bends it out where they are loose, {} at most where they clamp it",
            units.length(*spacing),
            kelvin(buckles.typical),
            kelvin(buckles.high)
        ),
        _ => format!("; held sideways as you measured, a rise of {} can bend it out", kelvin(buckles.typical)),
    });
    let sideways = by.sideways.is_none() && !matches!(by.fixing, Some(Fixing::Pins(_)));
    let unknown = if sideways { "; the plan does not say what holds it sideways" } else { "" };
    Some(format!("{start}{breathes}{buckles}{unknown}"))
}

impl SeasonRow {
    /// What becomes of it as planned, in words.
    pub fn verdict_words(&self) -> &'static str {
        match self.verdict {
            OpeningVerdict::Well => "well",
            OpeningVerdict::Usually => "usually well",
            OpeningVerdict::Closes => "CLOSES",
            OpeningVerdict::Opens => "OPENS TOO FAR",
        }
    }

    /// How little is left between its widths and what they may be, for usual values; less than nothing where it fails.
    pub fn margin(&self) -> f64 {
        let [cold, hot] = self.planned_widths.map(|w| w.typical);
        let [narrow, wide] = [cold.min(hot).min(self.planned), cold.max(hot).max(self.planned)];
        (narrow - self.may_be[0]).min(self.may_be[1] - wide)
    }
}
