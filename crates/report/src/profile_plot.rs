//! The profile of a way as a plot on one sheet: volts, amperes of a short, and the rails under them.

use crate::profile_print::set_words;
use crate::svg::{Svg, TextAnchor, cut};
use analysis::way_piece::{PointResult, StretchFeed, result_at_level};
use analysis::way_profile::WayProfile;
use electrics::Level;
use handbook::Spread;
use handbook::quantity::{Amps, Fraction, Ohms, Volts, show_amps, show_ohms, show_percent, show_volts};
use text::paragraph;
use text::xml::number as n;

mod strip;

/// The sheet, A4 lying: millimetres, and pixels of 1/96 inch.
const MILLIMETRES: [f64; 2] = [297.0, 210.0];
const SHEET: [f64; 2] = [1123.0, 794.0];
/// Where way and axis start and end.
pub(crate) const LEFT: f64 = 76.0;
pub(crate) const RIGHT: f64 = 950.0;
/// To where words may go.
pub(crate) const EDGE: f64 = 1099.0;
/// Size of most words.
pub(crate) const SIZE: f64 = 12.0;
/// A curve has a point each so many pixels at least: less than an eye sees between them.
const STEP: f64 = 3.0;

/// Ink on paper: what is distinguished by colour is distinguished by the kind of line as well. The two hues are the blue and the
/// vermilion of a palette for the colour-blind (Okabe and Ito, 2008).
const STYLE: &str = "\
text { font-family: Helvetica, Arial, 'DejaVu Sans', sans-serif; fill: #1a1a1a }
.paper { fill: #fff }
.strong { font-weight: bold }
.quiet { fill: #4d4d4d }
.frame { fill: none; stroke: #1a1a1a; stroke-width: 1 }
.grid { fill: none; stroke: #d0d0d0; stroke-width: 0.75 }
.bound { fill: none; stroke: #8c8c8c; stroke-width: 0.75; stroke-dasharray: 1 3 }
.lead { fill: none; stroke: #8c8c8c; stroke-width: 0.75 }
.band { fill: #0072b2; fill-opacity: 0.13; stroke: none }
.usual { fill: none; stroke: #0072b2; stroke-width: 2.2; stroke-linejoin: round }
.aged { fill: none; stroke: #d55e00; stroke-width: 1.8; stroke-dasharray: 7 3; stroke-linejoin: round }
.new { fill: none; stroke: #0072b2; stroke-width: 0.8; stroke-linejoin: round }
.decoder { fill: none; stroke: #009e73; stroke-width: 1.6; stroke-dasharray: 2 2; stroke-linejoin: round }
.limit { fill: none; stroke: #1a1a1a; stroke-width: 1.6; stroke-dasharray: 12 3 2 3 }
.hard { fill: none; stroke: #1a1a1a; stroke-width: 2.4 }
.dot { fill: #fff; stroke: #1a1a1a; stroke-width: 1.6 }
.hatch { fill: none; stroke: #8c8c8c; stroke-width: 1 }
.rail { fill: none; stroke: #1a1a1a; stroke-width: 2.6 }
.thin { fill: none; stroke: #1a1a1a; stroke-width: 1.2 }
.full { fill: #1a1a1a; stroke: #1a1a1a; stroke-width: 1 }
.open { fill: #fff; stroke: #1a1a1a; stroke-width: 1.2 }
";

/// The plot as SVG text: the same profile, the same bytes.
pub fn to_svg(profile: &WayProfile) -> String {
    let mut svg = Svg::default();
    svg.rectangle("paper", [0.0, 0.0], SHEET);
    let title = format!("Voltage and fault current: {}", profile.name);
    svg.text("strong", 19.0, [LEFT, 36.0], TextAnchor::Start, &cut(19.0, &title, EDGE - LEFT));
    let shown = format!(
        "{}, {}. Current of {}. Amperes are drawn by ratios: equal heights are equal ratios. Set {}.",
        profile.layout,
        profile.units.metres(profile.length),
        profile.load_case.train_from.replace('`', "'"),
        set_words(profile)
    );
    let characters = ((EDGE - LEFT) / (SIZE * crate::svg::CHARACTER_WIDTH)) as usize;
    let lines = paragraph("", &shown, characters);
    let room = EDGE - LEFT;
    for (index, line) in lines.lines().take(2).enumerate() {
        let more = if index == 1 && lines.lines().count() > 2 { " …" } else { "" };
        let line = cut(SIZE, &format!("{line}{more}"), room);
        svg.text("quiet", SIZE, [LEFT, 56.0 + 15.0 * index as f64], TextAnchor::Start, &line);
    }
    volts(&mut svg, profile);
    amps(&mut svg, profile);
    strip::axis(&mut svg, profile, BOTTOM);
    strip::strip(&mut svg, profile);
    svg.finish(SHEET, MILLIMETRES, &title, STYLE)
}

/// Where the lower panel ends.
const BOTTOM: f64 = 568.0;

/// Where a place along the way stands on the sheet.
pub(crate) fn across(profile: &WayProfile, along: f64) -> f64 {
    let share = if profile.length > 0.0 { along / profile.length } else { 0.0 };
    LEFT + share.clamp(0.0, 1.0) * (RIGHT - LEFT)
}

/// One of the two panels.
struct Panel<'p> {
    profile: &'p WayProfile,
    top: f64,
    bottom: f64,
    /// The values at the bottom and at the top.
    range: [f64; 2],
    /// Whether equal ratios are equally high.
    ratios: bool,
    of: fn(&PointResult) -> Spread<f64>,
    beside: Option<ExtraCurve>,
}

/// A curve more.
#[derive(Clone, Copy)]
struct ExtraCurve {
    class: &'static str,
    name: &'static str,
    value: fn(&PointResult) -> Option<f64>,
}

fn volts(svg: &mut Svg, profile: &WayProfile) {
    let fed = || profile.pieces.iter().filter_map(|p| p.feed.as_ref().ok());
    let least = profile.least(|_| true, Level::High, |g| g.volts).map_or(0.0, |w| w.got);
    let decoder: fn(&PointResult) -> Option<f64> = |got| got.decoder.map(|d| d.typical);
    let along = profile.pieces.iter().flat_map(|p| [p.from, (p.from + p.to) / 2.0, p.to]);
    let least = along.filter_map(|x| decoder(&profile.got(x)?)).fold(least, f64::min);
    let low = fed().map(|f| profile.volts_limit(f)).fold(least, f64::min);
    let high = fed().map(|f| f.supply_volts).fold(low, f64::max);
    let margin = (0.08 * (high - low)).max(0.01);
    let range = [(low - margin).max(0.0), high + margin];
    let beside = Some(ExtraCurve { class: "decoder", name: "a decoder sees", value: decoder });
    let panel = Panel { profile, top: 112.0, bottom: 322.0, range, ratios: false, of: |g| g.volts, beside };
    let train = show_amps(Amps(profile.load_case.train_amps));
    let heading = format!("Volts under a train that draws {train}");
    let drop = show_percent(Fraction(profile.load_case.drop));
    let limit = |f: &StretchFeed| {
        let volts = profile.volts_limit(f);
        Some((
            volts,
            format!("limit {}", show_volts(Volts(volts))),
            format!("({drop} below {})", show_volts(Volts(f.supply_volts))),
        ))
    };
    let show = |v: f64| if v > -0.005 { show_volts(Volts(v)) } else { "nothing".to_owned() };
    panel.draw(svg, &heading, show, &[("limit", &limit)]);
}

fn amps(svg: &mut Svg, profile: &WayProfile) {
    let margin = profile.load_case.fault_margin;
    let trips = || profile.pieces.iter().filter_map(|p| Some(p.feed.as_ref().ok()?.trip.as_ref()?.1));
    let ends = profile.pieces.iter().flat_map(|p| [p.from, p.to].map(|x| p.point_result(x, &profile.load_case)));
    // Most flows at the ends of a stretch: its loop resistance is nowhere hollow.
    let most = ends.flatten().map(|g| g.fault_amps.high).fold(0.0, f64::max);
    let least = profile.least(|_| true, Level::High, |g| g.fault_amps).map_or(1.0, |w| w.got);
    let most = trips().map(|trip| trip * margin).fold(most.max(least), f64::max);
    let range = [trips().fold(least, f64::min) / 1.3, most * 1.1];
    let panel = Panel { profile, top: 358.0, bottom: BOTTOM, range, ratios: true, of: |g| g.fault_amps, beside: None };
    let bridge = profile.load_case.bridge_ohms.map(|ohms| show_ohms(Ohms(ohms)));
    let heading = format!("Amperes of a short through wheels of {} (aged {})", bridge.typical, bridge.high);
    let trip = |f: &StretchFeed| {
        let (name, amps) = f.trip.as_ref()?;
        Some((*amps, format!("trips {}", show_amps(Amps(*amps))), format!("({name})")))
    };
    let due = |f: &StretchFeed| {
        let amps = f.trip.as_ref()?.1 * margin;
        Some((amps, format!("due {}", show_amps(Amps(amps))), format!("({margin} × trip)")))
    };
    panel.draw(svg, &heading, |v| show_amps(Amps(v)), &[("limit", &due), ("hard", &trip)]);
}

/// A limit: its value, what it is called, and what more there is to say of it.
type LimitOf<'l> = &'l dyn Fn(&StretchFeed) -> Option<(f64, String, String)>;

/// A name for what ends on the right: where it ends, and its words, line by line.
type RightName = ([f64; 2], Vec<String>);

impl Panel<'_> {
    fn y(&self, value: f64) -> f64 {
        let [low, high] = self.range;
        let share = if self.ratios { (value / low).ln() / (high / low).ln() } else { (value - low) / (high - low) };
        self.bottom - share.clamp(0.0, 1.0) * (self.bottom - self.top)
    }

    fn draw(&self, svg: &mut Svg, heading: &str, show: impl Fn(f64) -> String, limits: &[(&str, LimitOf<'_>)]) {
        let profile = self.profile;
        for value in self.ticks() {
            let y = self.y(value);
            svg.line("grid", [LEFT, y], [RIGHT, y]);
            svg.text("quiet", SIZE, [LEFT - 8.0, y + 4.0], TextAnchor::End, &show(value));
        }
        for step in &profile.steps[1.min(profile.steps.len())..] {
            let x = across(profile, step.from);
            svg.line("bound", [x, self.top], [x, self.bottom]);
        }
        for (from, to, why) in profile.breaks() {
            self.gap_in_power(svg, across(profile, from), across(profile, to), why);
        }
        let mut names: Vec<RightName> = Vec::new();
        for run in self.runs() {
            let [new, usual, aged] =
                Level::ALL.map(|level| self.curve(run.clone(), |got| Some(result_at_level((self.of)(got), level))));
            svg.through("band", &new.iter().chain(aged.iter().rev()).copied().collect::<Vec<_>>(), true);
            let ends = [(&new, "as new"), (&usual, "as usual"), (&aged, "all aged")];
            names = ends.iter().filter_map(|(c, word)| Some((*c.last()?, vec![(*word).to_owned()]))).collect();
            for (class, curve) in [("new", &new), ("aged", &aged), ("usual", &usual)] {
                svg.through(class, curve, false);
            }
            if let Some(ExtraCurve { class, name, value }) = self.beside {
                let curve = self.curve(run, value);
                svg.through(class, &curve, false);
                names.extend(curve.last().map(|end| (*end, vec![name.to_owned()])));
            }
        }
        for (class, limit) in limits {
            names.extend(self.limit(svg, class, *limit));
        }
        let mut shown = Vec::new();
        for (level, word) in [(Level::Typical, "least"), (Level::High, "aged")] {
            let Some(worst) = profile.least(|_| true, level, self.of) else { continue };
            svg.circle("dot", [across(profile, worst.along), self.y(worst.got)], 4.0);
            let place = profile.place_words(worst.step, worst.along);
            shown.push((format!("{word} {}", show(worst.got)), format!(", at {place}")));
        }
        if let [usual, aged] = &mut shown[..]
            && usual.1 == aged.1
        {
            usual.1.clear();
        }
        let shown: Vec<String> = shown.into_iter().map(|(amount, place)| amount + &place).collect();
        let heading = cut(13.0, &format!("{heading}: {}", shown.join(", ")), EDGE - LEFT);
        svg.text("strong", 13.0, [LEFT, self.top - 9.0], TextAnchor::Start, &heading);
        svg.rectangle("frame", [LEFT, self.top], [RIGHT, self.bottom]);
        self.name(svg, names);
    }

    /// Stretches that follow one another with power on each, as ranges of pieces.
    fn runs(&self) -> Vec<std::ops::Range<usize>> {
        let pieces = &self.profile.pieces;
        let mut runs: Vec<std::ops::Range<usize>> = Vec::new();
        for index in (0..pieces.len()).filter(|&i| pieces[i].feed.is_ok()) {
            match runs.last_mut() {
                Some(run) if run.end == index => run.end += 1,
                _ => runs.push(index..index + 1),
            }
        }
        runs
    }

    fn curve(&self, run: std::ops::Range<usize>, value: impl Fn(&PointResult) -> Option<f64>) -> Vec<[f64; 2]> {
        let profile = self.profile;
        let mut points = Vec::new();
        for piece in &profile.pieces[run] {
            let pixels = across(profile, piece.to) - across(profile, piece.from);
            let parts = (pixels / STEP).ceil().max(1.0) as usize;
            for part in 0..=parts {
                let along = piece.from + (piece.to - piece.from) * part as f64 / parts as f64;
                let got = piece.point_result(along, &profile.load_case).and_then(|got| value(&got));
                points.extend(got.map(|value| [across(profile, along), self.y(value)]));
            }
        }
        points
    }

    /// Draws a limit over all it holds for; gives its last value with its name for the right edge.
    fn limit(&self, svg: &mut Svg, class: &str, limit: LimitOf<'_>) -> Vec<RightName> {
        let profile = self.profile;
        let mut runs: Vec<(f64, f64, (f64, String, String))> = Vec::new();
        for piece in &profile.pieces {
            let Some(found) = piece.feed.as_ref().ok().and_then(limit) else { continue };
            match runs.last_mut() {
                Some((_, to, last)) if *last == found && piece.from - *to < 1e-6 => *to = piece.to,
                _ => runs.push((piece.from, piece.to, found)),
            }
        }
        let mut names = Vec::new();
        let count = runs.len();
        for (index, (from, to, (value, name, detail))) in runs.into_iter().enumerate() {
            let y = self.y(value);
            let [from, to] = [from, to].map(|along| across(profile, along));
            svg.line(class, [from, y], [to, y]);
            if index + 1 == count {
                names = vec![([to, y], vec![name, detail])];
            } else {
                let places = [([from + 6.0, y - 5.0], TextAnchor::Start), ([from + 6.0, y + 14.0], TextAnchor::Start)];
                svg.text_where_free("", SIZE, &places, &format!("{name} {detail}"));
            }
        }
        names
    }

    /// Names at the right edge, pushed apart where they would touch.
    fn name(&self, svg: &mut Svg, mut names: Vec<RightName>) {
        const LINE: f64 = 14.0;
        names.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
        let height = |name: &RightName| LINE * name.1.len() as f64;
        let mut at: Vec<f64> = names.iter().map(|(place, _)| place[1].max(self.top + 4.0)).collect();
        for i in 1..at.len() {
            at[i] = at[i].max(at[i - 1] + height(&names[i - 1]));
        }
        let mut floor = self.bottom + 20.0;
        for (y, name) in at.iter_mut().zip(&names).rev() {
            *y = y.min(floor - height(name));
            floor = *y;
        }
        for (([x, y], lines), at) in names.iter().zip(at) {
            svg.line("lead", [*x, *y], [RIGHT + 14.0, at]);
            for (number, words) in lines.iter().enumerate() {
                let place = [RIGHT + 18.0, at + 4.0 + LINE * number as f64];
                svg.text("", SIZE, place, TextAnchor::Start, &cut(SIZE, words, EDGE - RIGHT - 14.0));
            }
        }
    }

    /// A stretch without power: hatched, with no curve over it.
    fn gap_in_power(&self, svg: &mut Svg, from: f64, to: f64, why: &str) {
        let mut path = String::new();
        // Lines that rise to the right, 8 pixels apart, cut at the sides of the stretch.
        let height = self.bottom - self.top;
        let mut start = from - height;
        while start < to {
            let (left, right) = (start.max(from), (start + height).min(to));
            let (low, high) = (self.bottom - (left - start), self.bottom - (right - start));
            path.push_str(&format!("M{} {}L{} {}", n(left), n(low), n(right), n(high)));
            start += 8.0;
        }
        svg.path("hatch", &path);
        let middle = (self.top + self.bottom) / 2.0;
        let room = to - from > crate::svg::width(SIZE, why) + 8.0;
        let (x, anchor) = match (room, to > (LEFT + RIGHT) / 2.0) {
            (true, _) => ((from + to) / 2.0, TextAnchor::Middle),
            (false, true) => (from - 5.0, TextAnchor::End),
            (false, false) => (to + 5.0, TextAnchor::Start),
        };
        if room {
            let half = crate::svg::width(SIZE, why) / 2.0 + 4.0;
            svg.rectangle("paper", [x - half, middle - 13.0], [x + half, middle + 5.0]);
        }
        let places = [0.0, 16.0, -16.0, 32.0, -32.0].map(|shift| ([x, middle + shift], anchor));
        svg.text_where_free("strong", SIZE, &places, why);
    }

    /// Values to draw a line at: round ones, some five of them.
    fn ticks(&self) -> Vec<f64> {
        let [low, high] = self.range;
        if self.ratios {
            let decades = low.log10().floor() as i32..=high.log10().ceil() as i32;
            let all = decades.flat_map(|decade| [1.0, 2.0, 5.0].map(|first| first * 10f64.powi(decade)));
            return all.filter(|value| (low..=high).contains(value)).collect();
        }
        let rough = (high - low) / 5.0;
        let decade = 10f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].map(|first| first * decade).into_iter().find(|s| *s >= rough).unwrap_or(rough);
        let first = (low / step).ceil() as i64;
        (first..first + 20).map(|k| k as f64 * step).take_while(|value| *value <= high).collect()
    }
}
