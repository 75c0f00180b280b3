//! Gaps and sliding joints over the year as a table for people, and as comma-separated values.

use analysis::season_table::{SeasonRow, SeasonTable};
use handbook::Spread;
use handbook::quantity::Units;
use movement::season::{OpeningVerdict, WidthFit};
use std::fmt::Write as _;
use text::csv;
use text::escape_control_chars;
use text::{paragraph, table};

/// The table in lines of at most `width` columns where words allow it; at most so many rows, those with the least margin
/// where there are more.
pub fn render(season: &SeasonTable, width: usize, most: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&season.layout), width);
    let [day, cold, hot] = &season.airs;
    out.push_str(&paragraph("", &format!("cut on a day of {day}; coldest {cold}, hottest {hot}"), width));
    for report in &season.rail_and_base {
        out.push_str(&paragraph("  ", &escape_control_chars(report), width));
    }
    out.push('\n');
    if season.rows.is_empty() {
        out.push_str("there is no gap and no joint that slides in its tracks\n");
    } else {
        rows(&mut out, season, width, most);
    }
    out.push_str("gaps inside trackwork are its maker's and are not listed\n");
    if !season.defaults.is_empty() {
        out.push_str("\nnot in the plan, and taken as\n");
        for [what, value, source] in &season.defaults {
            out.push_str(&paragraph("  ", &format!("{what}: {value} ({source})"), width));
        }
    }
    out
}

fn rows(out: &mut String, season: &SeasonTable, width: usize, most: usize) {
    let mut shown: Vec<&SeasonRow> = season.rows.iter().collect();
    let more = shown.len().saturating_sub(most);
    if more > 0 {
        shown.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
        shown.truncate(most);
    }
    let heads = ["", "leave", "coldest (band)", "hottest (band)", "as planned"];
    let mut lines = vec![heads.map(str::to_owned).to_vec()];
    for row in &shown {
        let sure = match row.fit {
            WidthFit::Sure => "",
            WidthFit::Usual => " ?",
            WidthFit::None => " !",
        };
        let [cold, hot] = row.widths.map(|w| band(season.units, w));
        let leave = format!("{}{sure}", fine_figures(season.units, row.leave));
        let planned = format!("{}: {}", fine_figures(season.units, row.planned), row.verdict_words());
        lines.push(vec![row.name.clone(), leave, cold, hot, planned]);
    }
    let unit = if season.units == Units::Metric { "mm" } else { "inches" };
    out.push_str(&format!("widths in {unit}: to leave on the day, then in the coldest and the hottest air\n"));
    // Each place stands over its numbers: names of places are long, terminals are not.
    let mut numbers = table(&lines).lines().map(str::to_owned).collect::<Vec<_>>().into_iter();
    if let Some(heads) = numbers.next() {
        let _ = writeln!(out, "{heads}");
    }
    for (row, line) in shown.iter().zip(numbers) {
        let with = row.with.as_ref().map_or_else(String::new, |with| format!(", held open with {with}"));
        out.push_str(&paragraph("", &escape_control_chars(&format!("{}{with}", row.place)), width));
        let _ = writeln!(out, "{line}");
    }
    if more > 0 {
        let _ = writeln!(out, "and {more} more with more to spare; `--most` shows them, `--format csv` has all");
    }
    let has = |fit: WidthFit| shown.iter().any(|r| r.fit == fit);
    if has(WidthFit::Usual) {
        let words = "? = fine with typical values; no width suits every wood and alloy";
        out.push_str(&paragraph("", words, width));
    }
    if has(WidthFit::None) {
        out.push_str(&paragraph(
            "",
            "! = no width will do: it would open too far; `gapwright check` says what helps",
            width,
        ));
    }
}

/// A width in hundredths of a millimetre or thousandths of an inch, without its unit: "1.58", "0.062".
fn fine_figures(units: Units, metres: f64) -> String {
    match units {
        Units::Metric => format!("{:.2}", units.in_short(metres)),
        // As callipers in inches are read: .062, -.007.
        Units::Imperial => format!("{:.3}", units.in_short(metres)).replacen("0.", ".", 1),
    }
}

/// A width with its band: "1.58 (1.28 to 1.90)".
fn band(units: Units, width: Spread<f64>) -> String {
    let [low, typical, high] = [width.low, width.typical, width.high].map(|w| fine_figures(units, w));
    format!("{typical} ({low} to {high})")
}

/// The table as comma-separated values (RFC 4180, lines ending in a line feed), a line for each gap and sliding joint;
/// columns are only ever added, at the end. Widths in millimetres, to a thousandth; less than nothing where rails press.
pub fn to_csv(season: &SeasonTable) -> String {
    let mut out = String::from(
        "name,kind,place,leave_mm,leave_from_mm,leave_to_mm,sure,with,coldest_low_mm,coldest_mm,coldest_high_mm,\
         hottest_low_mm,hottest_mm,hottest_high_mm,planned_mm,planned_said,planned_verdict,may_be_from_mm,may_be_to_mm\n",
    );
    let millimetres = |metres: f64| format!("{:.3}", metres * 1e3);
    for row in &season.rows {
        let kind = if row.is_gap { "gap" } else { "sliding" };
        let sure = match row.fit {
            WidthFit::Sure => "yes",
            WidthFit::Usual => "usually",
            WidthFit::None => "no",
        };
        let verdict = match row.verdict {
            OpeningVerdict::Well => "well",
            OpeningVerdict::Usually => "usually",
            OpeningVerdict::Closes => "closes",
            OpeningVerdict::Opens => "opens",
        };
        let mut cells = vec![row.name.clone(), kind.to_owned(), csv::field(&row.place)];
        cells.extend([row.leave, row.window[0], row.window[1]].map(millimetres));
        cells.extend([sure.to_owned(), csv::field(row.with.as_deref().unwrap_or_default())]);
        cells.extend(row.widths.iter().flat_map(|w| [w.low, w.typical, w.high]).map(millimetres));
        cells.extend([millimetres(row.planned), if row.said { "yes" } else { "no" }.to_owned(), verdict.to_owned()]);
        cells.extend(row.may_be.map(millimetres));
        let _ = writeln!(out, "{}", cells.join(","));
    }
    out
}
