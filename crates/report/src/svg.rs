//! A drawing as SVG text: lines, shapes and words, and where words already stand.

use std::fmt::Write as _;
use text::xml::{escaped, number as n};

/// How wide a character is taken to be, as a part of the size of its letters: wider than the mean of the usual faces, so
/// that words drawn in any of them keep apart.
pub(crate) const CHARACTER_WIDTH: f64 = 0.6;

/// Which side of the words a place is.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum TextAnchor {
    Start,
    Middle,
    End,
}

/// A drawing under way. Lengths are pixels of 1/96 inch, y grows downwards.
#[derive(Default)]
pub(crate) struct Svg {
    body: String,
    /// Left, top, right and bottom of all words.
    words: Vec<[f64; 4]>,
}

impl Svg {
    /// A shape by its path; `class` says how it looks.
    pub(crate) fn path(&mut self, class: &str, path: &str) {
        let _ = writeln!(self.body, "<path class=\"{class}\" d=\"{path}\"/>");
    }

    /// A straight line.
    pub(crate) fn line(&mut self, class: &str, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2]) {
        self.path(class, &format!("M{} {}L{} {}", n(x1), n(y1), n(x2), n(y2)));
    }

    /// A line through points.
    pub(crate) fn through(&mut self, class: &str, points: &[[f64; 2]], closed: bool) {
        let mut path: String = points.iter().map(|[x, y]| format!("L{} {}", n(*x), n(*y))).collect();
        if !path.is_empty() {
            path.replace_range(..1, "M");
            path.push_str(if closed { "Z" } else { "" });
            self.path(class, &path);
        }
    }

    /// A rectangle by its corners.
    pub(crate) fn rectangle(&mut self, class: &str, [left, top]: [f64; 2], [right, bottom]: [f64; 2]) {
        self.through(class, &[[left, top], [right, top], [right, bottom], [left, bottom]], true);
    }

    /// A circle.
    pub(crate) fn circle(&mut self, class: &str, [x, y]: [f64; 2], radius: f64) {
        let _ = writeln!(self.body, "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{radius}\"/>", n(x), n(y));
    }

    /// Words, whatever stands there already.
    pub(crate) fn text(&mut self, class: &str, size: f64, at: [f64; 2], anchor: TextAnchor, words: &str) {
        self.words.push(extent(size, at, anchor, words));
        let word = match anchor {
            TextAnchor::Start => "start",
            TextAnchor::Middle => "middle",
            TextAnchor::End => "end",
        };
        let (x, y, words) = (n(at[0]), n(at[1]), escaped(words));
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" font-size=\"{size}\" x=\"{x}\" y=\"{y}\" text-anchor=\"{word}\">{words}</text>"
        );
    }

    /// Words at the first of some places where they touch no others; not at all where there is none.
    pub(crate) fn text_where_free(&mut self, class: &str, size: f64, places: &[([f64; 2], TextAnchor)], words: &str) {
        let free = places.iter().find(|(at, anchor)| {
            let [left, top, right, bottom] = extent(size, *at, *anchor, words);
            !self.words.iter().any(|w| left < w[2] && w[0] < right && top < w[3] && w[1] < bottom)
        });
        if let Some(&(at, anchor)) = free {
            self.text(class, size, at, anchor, words);
        }
    }

    /// The whole drawing, on a sheet of this many pixels and millimetres.
    pub(crate) fn finish(self, [width, height]: [f64; 2], millimetres: [f64; 2], title: &str, style: &str) -> String {
        let [mm_width, mm_height] = millimetres;
        let title = escaped(title);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{mm_width}mm\" height=\"{mm_height}mm\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n\
             <style>\n{style}</style>\n{}</svg>\n",
            self.body
        )
    }
}

/// How wide words are taken to be.
pub(crate) fn width(size: f64, words: &str) -> f64 {
    CHARACTER_WIDTH * size * words.chars().count() as f64
}

/// Words cut to fit a width, the cut marked; empty where nothing to speak of is left.
pub(crate) fn cut(size: f64, words: &str, room: f64) -> String {
    if width(size, words) <= room {
        return words.to_owned();
    }
    let fit = (room / (CHARACTER_WIDTH * size)).floor() as usize;
    if fit < 3 { String::new() } else { words.chars().take(fit - 1).chain(['…']).collect() }
}

fn extent(size: f64, [x, y]: [f64; 2], anchor: TextAnchor, words: &str) -> [f64; 4] {
    let width = width(size, words);
    let left = match anchor {
        TextAnchor::Start => x,
        TextAnchor::Middle => x - width / 2.0,
        TextAnchor::End => x - width,
    };
    [left, y - 0.8 * size, left + width, y + 0.25 * size]
}
