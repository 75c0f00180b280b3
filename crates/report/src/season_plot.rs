//! Gaps and sliding joints over the year as a plot on one sheet: a line for each, from its coldest to its hottest width.

use crate::svg::{Svg, TextAnchor, cut};
use analysis::season_table::{SeasonRow, SeasonTable};
use analysis::words::few;
use handbook::quantity::Units;
use movement::season::{OpeningVerdict, WidthFit};

/// The sheet, A4 lying: millimetres, and pixels of 1/96 inch.
const MILLIMETRES: [f64; 2] = [297.0, 210.0];
const SHEET: [f64; 2] = [1123.0, 794.0];
/// Where words start, where the plot starts and ends, to where words may go.
const MARGIN: f64 = 24.0;
const LEFT: f64 = 372.0;
const RIGHT: f64 = 862.0;
const EDGE: f64 = 1099.0;
const TOP: f64 = 148.0;
const BOTTOM: f64 = 722.0;
/// Rows that fit on a sheet.
const MOST_ROWS: usize = 26;
/// The highest a row grows, pixels.
const TALLEST: f64 = 40.0;
/// Size of most words.
const SIZE: f64 = 12.0;

/// Ink on paper: what is distinguished by colour is distinguished by shape as well. The two hues are the blue and the vermilion
/// of a palette for the colour-blind (Okabe and Ito, 2008).
const STYLE: &str = "\
text { font-family: Helvetica, Arial, 'DejaVu Sans', sans-serif; fill: #1a1a1a }
.paper { fill: #fff }
.strong { font-weight: bold }
.quiet { fill: #4d4d4d }
.bad { font-weight: bold; fill: #b34700 }
.frame { fill: none; stroke: #1a1a1a; stroke-width: 1 }
.grid { fill: none; stroke: #d0d0d0; stroke-width: 0.75 }
.not { fill: #8c8c8c; fill-opacity: 0.28; stroke: none }
.limit { fill: none; stroke: #1a1a1a; stroke-width: 1.6; stroke-dasharray: 12 3 2 3 }
.way { fill: none; stroke: #1a1a1a; stroke-width: 1.4 }
.coldband { fill: none; stroke: #0072b2; stroke-opacity: 0.35; stroke-width: 7 }
.hotband { fill: none; stroke: #d55e00; stroke-opacity: 0.35; stroke-width: 7 }
.cold { fill: #0072b2; stroke: #fff; stroke-width: 1 }
.hot { fill: #d55e00; stroke: #fff; stroke-width: 1 }
.day { fill: none; stroke: #1a1a1a; stroke-width: 2.6 }
";

/// The plot as SVG text: the same table, the same bytes.
pub fn to_svg(season: &SeasonTable) -> String {
    let mut svg = Svg::default();
    let mut shown: Vec<&SeasonRow> = season.rows.iter().collect();
    let more = shown.len().saturating_sub(MOST_ROWS);
    if more > 0 {
        shown.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
        shown.truncate(MOST_ROWS);
    }
    let height = ((BOTTOM - TOP) / shown.len().max(1) as f64).min(TALLEST);
    let bottom = TOP + height * shown.len() as f64;
    // No higher than it needs to be.
    let sheet = [SHEET[0], (bottom + 48.0).min(SHEET[1])];
    svg.rectangle("paper", [0.0, 0.0], sheet);
    let title = format!("Gaps and sliding joints over the year: {}", season.layout);
    svg.text("strong", 19.0, [MARGIN, 36.0], TextAnchor::Start, &cut(19.0, &title, EDGE - MARGIN));
    let [day, cold, hot] = &season.airs;
    let mut report = format!("Cut on a day of {day}; coldest {cold}, hottest {hot}. Widths as planned.");
    if more > 0 {
        report.push_str(&format!(" {more} with more to spare are left out."));
    }
    svg.text("quiet", SIZE, [MARGIN, 58.0], TextAnchor::Start, &cut(SIZE, &report, EDGE - MARGIN));
    verdict(&mut svg, &shown);
    key(&mut svg);
    let limits = most_common_limits(&shown);
    let axis = Axis::from_rows(&shown);
    axis.draw(season.units, &mut svg, bottom, limits);
    for (number, row) in shown.iter().enumerate() {
        let y = TOP + height * (number as f64 + 0.5);
        axis.row(season.units, &mut svg, row, y, height);
    }
    svg.rectangle("frame", [LEFT, TOP], [RIGHT, bottom]);
    svg.finish(sheet, [MILLIMETRES[0], MILLIMETRES[1] * sheet[1] / SHEET[1]], &title, STYLE)
}

/// The answer in one line.
fn verdict(svg: &mut Svg, shown: &[&SeasonRow]) {
    let with = |verdict: OpeningVerdict| -> Vec<String> {
        shown.iter().filter(|r| r.verdict == verdict).map(|r| r.name.clone()).collect()
    };
    let [closes, opens] = [with(OpeningVerdict::Closes), with(OpeningVerdict::Opens)];
    let mut words = Vec::new();
    if !closes.is_empty() {
        words.push(format!("closing: {}", few(closes.into_iter())));
    }
    if !opens.is_empty() {
        words.push(format!("opening too far: {}", few(opens.into_iter())));
    }
    let (class, words) = match (shown.is_empty(), words.is_empty()) {
        (true, _) => ("strong", "There is no gap and no joint that slides.".to_owned()),
        (_, true) => ("strong", "All stay open, and none opens too far.".to_owned()),
        _ => ("bad", words.join("; ")),
    };
    svg.text(class, 14.0, [MARGIN, 82.0], TextAnchor::Start, &cut(14.0, &words, EDGE - MARGIN));
}

/// What the marks mean.
fn key(svg: &mut Svg) {
    let y = 108.0;
    let mut x = MARGIN;
    let mut name = |svg: &mut Svg, words: &str, draw: fn(&mut Svg, [f64; 2])| {
        draw(svg, [x + 8.0, y - 4.0]);
        svg.text("", SIZE, [x + 22.0, y], TextAnchor::Start, words);
        x += 40.0 + crate::svg::width(SIZE, words);
    };
    name(svg, "on the day", day_mark);
    name(svg, "coldest", cold_mark);
    name(svg, "hottest", hot_mark);
    name(svg, "uncertain: material and alloy", |svg, [x, y]| {
        svg.line("coldband", [x - 8.0, y], [x, y]);
        svg.line("hotband", [x, y], [x + 8.0, y]);
    });
    name(svg, "not allowed", |svg, [x, y]| svg.rectangle("not", [x - 8.0, y - 6.0], [x + 8.0, y + 6.0]));
}

fn day_mark(svg: &mut Svg, [x, y]: [f64; 2]) {
    svg.line("day", [x, y - 7.0], [x, y + 7.0]);
}

fn cold_mark(svg: &mut Svg, at: [f64; 2]) {
    svg.circle("cold", at, 5.0);
}

fn hot_mark(svg: &mut Svg, [x, y]: [f64; 2]) {
    svg.through("hot", &[[x - 6.0, y + 5.0], [x + 6.0, y + 5.0], [x, y - 6.5]], true);
}

/// The limit for opening, which all rows share.
fn most_common_limits(shown: &[&SeasonRow]) -> f64 {
    shown.iter().map(|r| r.may_be[1]).fold(0.0, f64::max)
}

/// Widths along the sheet, metres.
struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn from_rows(shown: &[&SeasonRow]) -> Axis {
        let widths =
            || shown.iter().flat_map(|r| r.planned_widths.iter().flat_map(|w| [w.low, w.high]).chain(r.may_be));
        let low = widths().fold(0.0, f64::min);
        let high = widths().fold(0.5e-3, f64::max);
        let margin = 0.06 * (high - low);
        Axis { low: low - margin, high: high + margin }
    }

    fn x(&self, width: f64) -> f64 {
        LEFT + (width - self.low) / (self.high - self.low) * (RIGHT - LEFT)
    }

    fn draw(&self, units: Units, svg: &mut Svg, bottom: f64, largest: f64) {
        let inch = [0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0].map(|inches| Units::Imperial.from_short(inches));
        let metric = [0.2e-3, 0.5e-3, 1e-3, 2e-3, 5e-3, 10e-3, 20e-3, 50e-3];
        let steps = if units == Units::Metric { metric } else { inch };
        let step = steps.into_iter().find(|s| (self.high - self.low) / s <= 9.0).unwrap_or(50e-3);
        let first = (self.low / step).ceil() as i64;
        for k in (first..first + 40).take_while(|k| *k as f64 * step <= self.high) {
            let width = k as f64 * step;
            let x = self.x(width);
            svg.line("grid", [x, TOP], [x, bottom]);
            svg.text("quiet", SIZE, [x, bottom + 16.0], TextAnchor::Middle, &units.fine(width));
        }
        svg.rectangle("not", [LEFT, TOP], [self.x(0.0), bottom]);
        svg.text("quiet", SIZE, [self.x(0.0) - 4.0, TOP - 6.0], TextAnchor::End, "closed");
        if largest > 0.0 {
            svg.rectangle("not", [self.x(largest), TOP], [RIGHT, bottom]);
            svg.line("limit", [self.x(largest), TOP], [self.x(largest), bottom]);
            svg.text(
                "quiet",
                SIZE,
                [self.x(largest), TOP - 6.0],
                TextAnchor::Middle,
                &format!("at most {}", units.fine(largest)),
            );
        }
        svg.text("strong", SIZE, [EDGE, TOP - 6.0], TextAnchor::End, "leave on the day");
    }

    fn row(&self, units: Units, svg: &mut Svg, row: &SeasonRow, y: f64, height: f64) {
        let bad = matches!(row.verdict, OpeningVerdict::Closes | OpeningVerdict::Opens);
        let class = if bad { "bad" } else { "" };
        svg.text("strong", SIZE, [MARGIN, y + 4.0], TextAnchor::Start, &row.name);
        let room = LEFT - MARGIN - 48.0;
        svg.text(
            class,
            SIZE,
            [MARGIN + 40.0, y + 4.0],
            TextAnchor::Start,
            &cut(SIZE, &row.place.replace('`', ""), room),
        );
        if row.is_gap && row.may_be[0] > 0.0 {
            let half = height / 2.0;
            svg.rectangle("not", [self.x(0.0), y - half], [self.x(row.may_be[0]), y + half]);
        }
        let [cold, hot] = row.planned_widths;
        svg.line("coldband", [self.x(cold.low), y], [self.x(cold.high), y]);
        svg.line("hotband", [self.x(hot.low), y], [self.x(hot.high), y]);
        svg.line("way", [self.x(cold.typical), y], [self.x(hot.typical), y]);
        day_mark(svg, [self.x(row.planned), y]);
        cold_mark(svg, [self.x(cold.typical), y]);
        hot_mark(svg, [self.x(hot.typical), y]);
        let leave = match row.fit {
            WidthFit::Sure => units.fine(row.leave),
            WidthFit::Usual => format!("{} (tight)", units.fine(row.leave)),
            WidthFit::None => "no width will do".to_owned(),
        };
        svg.text(class, SIZE, [EDGE, y + 4.0], TextAnchor::End, &leave);
        let word = match row.verdict {
            OpeningVerdict::Closes => "closes",
            OpeningVerdict::Opens => "opens too far",
            _ => return,
        };
        svg.text("bad", SIZE, [RIGHT + 8.0, y + 4.0], TextAnchor::Start, word);
    }
}
