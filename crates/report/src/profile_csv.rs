//! The profile of a way as comma-separated values: every piece, its parabolas and its extremes.

use analysis::way_piece::{PointResult, WayPiece, result_at_level};
use analysis::way_profile::WayProfile;
use electrics::Level;
use handbook::Spread;
use std::fmt::Write as _;
use text::csv;

/// The profile as comma-separated values (RFC 4180, lines ending in a line feed). One line for each stretch over which
/// neither rail has a stop; columns are only ever added, at the end. Numbers have as many digits as it takes to read
/// them back as they were; where there is no power those of current and voltage are empty.
///
/// The loop resistance at fraction s of a stretch is `(1−s)·from + s·to + s·(1−s)·bow`; `fault_least` is exact, and
/// stands at `worst_at` along the way; so is `volts_least`, at `volts_worst_at`, which is elsewhere only where trains stand.
pub fn to_csv(profile: &WayProfile) -> String {
    let mut out = String::from(
        "along_from_m,along_to_m,segment,segment_from_m,segment_to_m,power,supply,supply_V,least_accepted_V,trip_A,\
         trip_breaker",
    );
    for level in LEVELS {
        let word = word(level);
        let _ = write!(
            out,
            ",loop_from_{word}_ohm,loop_to_{word}_ohm,loop_bow_{word}_ohm,worst_at_{word}_m,volts_from_{word}_V,\
             volts_to_{word}_V,volts_least_{word}_V,fault_from_{word}_A,fault_to_{word}_A,fault_least_{word}_A"
        );
    }
    for level in LEVELS {
        let word = word(level);
        let _ = write!(
            out,
            ",volts_worst_at_{word}_m,decoder_from_{word}_V,decoder_to_{word}_V,decoder_at_volts_worst_{word}_V"
        );
    }
    out.push('\n');
    for piece in &profile.pieces {
        line(&mut out, profile, piece);
    }
    out
}

/// As they stand in the columns.
const LEVELS: [Level; 3] = [Level::Typical, Level::High, Level::Low];

/// `usual`, `aged`, `new`: as in all that is printed for people.
fn word(level: Level) -> &'static str {
    match level {
        Level::Low => "new",
        Level::Typical => "usual",
        Level::High => "aged",
    }
}

fn line(out: &mut String, profile: &WayProfile, piece: &WayPiece) {
    let step = &profile.steps[piece.step];
    let [from, to] = [piece.from, piece.to].map(|along| step.place(along));
    let _ = write!(out, "{},{},{},{from},{to}", piece.from, piece.to, csv::field(&step.name));
    let (fed, got, worst, lost) = match (&piece.feed, piece.greatest(), piece.most_lost(&profile.load_case)) {
        (Ok(fed), Some(worst), Some(lost)) => {
            (fed, |along: f64| piece.point_result(along, &profile.load_case), worst, lost)
        }
        (fed, ..) => {
            let why = fed.as_ref().err().copied().unwrap_or_default();
            let _ = writeln!(out, ",{why}{}", ",".repeat(5 + 14 * LEVELS.len()));
            return;
        }
    };
    let limit = profile.volts_limit(fed);
    let _ = write!(out, ",yes,{},{},{limit}", csv::field(&fed.supply), fed.supply_volts);
    match &fed.trip {
        Some((breaker, amps)) => {
            let _ = write!(out, ",{amps},{}", csv::field(breaker));
        }
        None => out.push_str(",,"),
    }
    for level in LEVELS {
        let parabola = level.pick(fed.loop_ohms);
        let at = level.pick(worst).0;
        let _ = write!(out, ",{},{},{},{at}", parabola.start, parabola.end, parabola.bow);
        let of = |at: f64, pick: fn(&PointResult) -> Spread<f64>| {
            [piece.from, piece.to, at].map(|at| got(at).map_or(f64::NAN, |got| result_at_level(pick(&got), level)))
        };
        for value in of(level.pick(lost).0, |g| g.volts).into_iter().chain(of(at, |g| g.fault_amps)) {
            let _ = write!(out, ",{value}");
        }
    }
    for level in LEVELS {
        let at = level.pick(lost).0;
        let _ = write!(out, ",{at}");
        for place in [piece.from, piece.to, at] {
            match got(place).and_then(|got| got.decoder) {
                Some(decoder) => {
                    let _ = write!(out, ",{}", result_at_level(decoder, level));
                }
                None => out.push(','),
            }
        }
    }
    out.push('\n');
}
