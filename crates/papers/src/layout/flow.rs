//! Papers flow over sheets, one block after another.

use super::{Area, Heading, Item, LEADING, Layout, Place, Sheet, Type, frame, front, headers};
use crate::binder::Binder;
use crate::fonts::{ASCENT, DESCENT, Face, Fonts, POINT};
use rayon::prelude::*;
use schedule::PageSize;
use schedule::paper::{Drawing, Parts};

/// To which side words are set in their area.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// From the left.
    Left,
    /// To the right.
    Right,
    /// In the middle.
    Middle,
}

/// How words are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Their face.
    pub face: Face,
    /// Their size in points.
    pub size: f64,
    /// To which side.
    pub side: Side,
    /// How light they are.
    pub grey: u8,
}

impl Setting {
    /// Black, from the left.
    pub fn of(face: Face, size: f64) -> Setting {
        Setting { face, size, side: Side::Left, grey: 0 }
    }

    /// Set to this side.
    pub fn to(self, side: Side) -> Setting {
        Setting { side, ..self }
    }

    /// The height of a line, millimetres.
    pub fn line(&self) -> f64 {
        self.size * POINT * LEADING
    }
}

/// One line of words, in an area as high as the line.
pub fn words(fonts: &Fonts, setting: Setting, text: &str, within: Area) -> Item {
    let text = text.replace(char::is_control, " ");
    let width = fonts.width(setting.face, setting.size, &text);
    let x = match setting.side {
        Side::Left => within.left,
        Side::Right => within.right - width,
        Side::Middle => (within.left + within.right - width) / 2.0,
    };
    let em = setting.size * POINT;
    let baseline = within.top + (within.height() - (ASCENT + DESCENT) * em) / 2.0 + ASCENT * em;
    Item::Words { at: [x, baseline], size: setting.size, face: setting.face, text, grey: setting.grey, within }
}

/// What is being laid out.
pub struct Flow<'a> {
    /// The faces.
    pub fonts: &'a Fonts,
    /// Sizes of type.
    pub kind: Type,
    /// What has been laid out.
    pub layout: Layout,
    /// The area of the sheet that is filled.
    pub body: Area,
    /// How far down it is filled.
    pub y: f64,
    /// Whether the sheet lies.
    pub lying: bool,
    page: PageSize,
    header: f64,
    paper: Option<usize>,
}

impl<'a> Flow<'a> {
    /// A flow without a sheet.
    pub fn new(fonts: &'a Fonts, binder: &Binder) -> Flow<'a> {
        let kind = Type::of(binder.choices.large_print);
        let header = headers::height(binder, &kind);
        let page = binder.choices.page;
        let (_, body) = frame(page, false, header);
        let layout = Layout::default();
        Flow { fonts, kind, layout, y: body.top, body, lying: false, page, header, paper: None }
    }

    /// The area papers fill on a sheet that stands or lies.
    pub fn body_of(&self, lying: bool) -> Area {
        frame(self.page, lying, self.header).1
    }

    /// Starts a sheet.
    pub fn sheet(&mut self, lying: bool) {
        let (size, body) = frame(self.page, lying, self.header);
        self.layout.sheets.push(Sheet { size, paper: self.paper, items: Vec::new() });
        (self.body, self.y, self.lying) = (body, body.top, lying);
    }

    /// Starts a paper.
    pub fn paper(&mut self, index: usize, lying: bool) {
        self.paper = Some(index);
        self.sheet(lying);
        let place = self.place();
        self.layout.papers.push(place);
    }

    /// Whether nothing stands on the sheet yet.
    pub fn is_fresh(&self) -> bool {
        self.y <= self.body.top + 1e-9
    }

    /// Whether so much fits below what is there.
    pub fn fits(&self, height: f64) -> bool {
        self.y + height <= self.body.bottom + 1e-6
    }

    /// A sheet on which so much fits, if any sheet does.
    pub fn make_room(&mut self, height: f64) {
        if !self.fits(height) && !self.is_fresh() {
            self.sheet(self.lying);
        }
    }

    /// Where the next thing will stand.
    pub fn place(&self) -> Place {
        Place { sheet: self.layout.sheets.len().saturating_sub(1), y: self.y }
    }

    /// Puts something on the sheet.
    pub fn put(&mut self, item: Item) {
        if let Some(sheet) = self.layout.sheets.last_mut() {
            sheet.items.push(item);
        }
    }

    /// Puts one line of words somewhere.
    pub fn put_words(&mut self, setting: Setting, text: &str, within: Area) {
        if !text.is_empty() {
            self.put(words(self.fonts, setting, text, within));
        }
    }

    /// A paragraph over the whole width, onto further sheets where it must; what follows it stands `after` millimetres below.
    pub fn paragraph(&mut self, setting: Setting, text: &str, after: f64) {
        let lines = self.fonts.lines(setting.face, setting.size, text, self.body.width());
        for line in lines {
            self.make_room(setting.line());
            let within = Area::at([self.body.left, self.y], [self.body.width(), setting.line()]);
            self.put_words(setting, &line, within);
            self.y += setting.line();
        }
        self.y += after;
    }

    /// A heading that the outline lists; at least `with` millimetres of what follows stand on its sheet.
    pub fn heading(&mut self, setting: Setting, words: &str, is_title: bool, with: f64) {
        let lines = self.fonts.lines(setting.face, setting.size, words, self.body.width()).len() as f64;
        let after = setting.line() * 0.3;
        self.make_room(lines * setting.line() + after + with);
        let heading = Heading { words: words.to_owned(), title: is_title, place: self.place() };
        self.layout.headings.push(heading);
        self.paragraph(setting, words, after);
    }
}

/// Lays a binder out: the front with its contents, then the papers, then the headers of all sheets.
pub fn lay_out(binder: &Binder, fonts: &Fonts) -> Layout {
    // Each paper begins on a sheet of its own, so that they are laid out beside each other.
    let alone = |(index, paper)| {
        let mut flow = Flow::new(fonts, binder);
        flow.whole_paper(index, paper);
        flow.layout
    };
    let each: Vec<Layout> = binder.papers.par_iter().enumerate().map(alone).collect();
    let mut papers = Layout::default();
    each.into_iter().for_each(|paper| papers.add(paper));
    // Words that may mean two things lead nowhere.
    papers.things.retain(|number, _| !binder.names.contains(number));
    // How many sheets the front takes hangs on how many papers it lists, not on their page numbers: so it is laid out once to
    // count them, and once with the numbers.
    let counted = front::front(binder, fonts, &papers, 0).sheets.len();
    let mut layout = front::front(binder, fonts, &papers, counted);
    layout.add(papers);
    headers::headers(binder, fonts, &mut layout);
    layout
}

impl Layout {
    /// Adds a drawing; its index.
    pub(super) fn drawing(&mut self, drawing: &Drawing) -> usize {
        let whole = || Parts { bare: drawing.svg.clone(), letters: Vec::new() };
        self.drawings.push(drawing.parts.clone().unwrap_or_else(whole));
        self.drawings.len() - 1
    }

    /// Adds the sheets of another behind those of this one.
    fn add(&mut self, other: Layout) {
        let (sheets, drawings) = (self.sheets.len(), self.drawings.len());
        let moved = |place: Place| Place { sheet: place.sheet + sheets, ..place };
        self.drawings.extend(other.drawings);
        self.papers.extend(other.papers.into_iter().map(moved));
        // The first row that tells of a thing is where its number leads.
        for (name, place) in other.things {
            self.things.entry(name).or_insert(moved(place));
        }
        self.headings.extend(other.headings.into_iter().map(|h| Heading { place: moved(h.place), ..h }));
        for mut sheet in other.sheets {
            for item in &mut sheet.items {
                if let Item::Drawing { index, .. } = item {
                    *index += drawings;
                }
            }
            self.sheets.push(sheet);
        }
    }
}
