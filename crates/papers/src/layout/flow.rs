//! Papers flow over sheets, one block after another.

use super::setting::{TypeSetting, words};
use super::{Area, Element, ElementKind, Heading, LaidSheet, Layout, PrintedPlace, SheetItem, Type, frame, headers};
use crate::binder::Binder;
use crate::fonts::Fonts;
use schedule::PageSize;
use schedule::paper::{Drawing, DrawingParts};

/// What is free above and below the line between two papers of one sheet, millimetres.
pub(super) const BETWEEN_PAPERS: f64 = 2.0;

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
    /// The element that is being laid out.
    pub element: Option<usize>,
    page: PageSize,
    header: f64,
    papers: Vec<usize>,
}

impl<'a> Flow<'a> {
    /// A flow without a sheet.
    pub fn new(fonts: &'a Fonts, binder: &Binder) -> Flow<'a> {
        let kind = Type::new(binder.choices.large_print);
        let header = headers::height(binder, &kind);
        let page = binder.choices.page;
        let (_, body) = frame(page, false, header);
        let layout = Layout::default();
        Flow { fonts, kind, layout, y: body.top, body, lying: false, element: None, page, header, papers: Vec::new() }
    }

    /// A flow like this one without a sheet.
    pub fn empty(&self) -> Flow<'a> {
        let (_, body) = frame(self.page, false, self.header);
        let layout = Layout::default();
        let papers = Vec::new();
        Flow { layout, body, y: body.top, lying: false, element: None, papers, ..*self }
    }

    /// The area papers fill on a sheet that stands or lies.
    pub fn body_of(&self, lying: bool) -> Area {
        frame(self.page, lying, self.header).1
    }

    /// Starts a sheet.
    pub fn sheet(&mut self, lying: bool) {
        let (size, body) = frame(self.page, lying, self.header);
        // What runs on from the sheet before is of the last paper that began there.
        self.papers.drain(..self.papers.len().saturating_sub(1));
        self.layout.sheets.push(LaidSheet { size, papers: self.papers.clone(), items: Vec::new() });
        (self.body, self.y, self.lying) = (body, body.top, lying);
    }

    /// Starts a paper on a sheet of its own.
    pub fn paper(&mut self, index: usize, lying: bool) {
        self.papers = vec![index];
        self.sheet(lying);
        let place = self.place();
        self.layout.papers.insert(index, place);
    }

    /// Starts a paper below what stands on the sheet, a line between them.
    pub fn paper_below(&mut self, index: usize) {
        self.papers.push(index);
        if let Some(sheet) = self.layout.sheets.last_mut() {
            sheet.papers.push(index);
        }
        self.y += BETWEEN_PAPERS;
        let (from, to) = ([self.body.left, self.y], [self.body.right, self.y]);
        self.put(SheetItem::Line { from, to, width: 0.5, grey: 0, dashed: false });
        self.y += BETWEEN_PAPERS;
        let place = self.place();
        self.layout.papers.insert(index, place);
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
    pub fn place(&self) -> PrintedPlace {
        PrintedPlace { sheet: self.layout.sheets.len().saturating_sub(1), y: self.y }
    }

    /// Puts something on the sheet.
    pub fn put(&mut self, item: SheetItem) {
        if let Some(sheet) = self.layout.sheets.last_mut() {
            sheet.items.push(item);
        }
    }

    /// Puts one line of words somewhere.
    pub fn put_words(&mut self, setting: TypeSetting, text: &str, within: Area) {
        if !text.is_empty() {
            let mut item = words(self.fonts, setting, text, within);
            if let SheetItem::Words { of, .. } = &mut item {
                *of = self.element;
            }
            self.put(item);
        }
    }

    /// Begins an element within the one that is being laid out; gives that one, to be handed to [`Flow::close`].
    pub fn open(&mut self, kind: ElementKind) -> Option<usize> {
        let parent = self.element;
        self.layout.elements.push(Element { kind, parent });
        self.element.replace(self.layout.elements.len() - 1)
    }

    /// Ends an element: what follows is of the one around it.
    pub fn close(&mut self, around: Option<usize>) {
        self.element = around;
    }

    /// A paragraph over the whole width, onto further sheets where it must; what follows it stands `after` millimetres below.
    pub fn paragraph(&mut self, setting: TypeSetting, text: &str, after: f64) {
        let around = self.open(ElementKind::Paragraph);
        self.lines(setting, text, after);
        self.close(around);
    }

    /// Lines of words over the whole width.
    fn lines(&mut self, setting: TypeSetting, text: &str, after: f64) {
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
    pub fn heading(&mut self, setting: TypeSetting, words: &str, is_title: bool, with: f64) {
        let lines = self.fonts.lines(setting.face, setting.size, words, self.body.width()).len() as f64;
        let after = setting.line() * 0.3;
        self.make_room(lines * setting.line() + after + with);
        let heading = Heading { words: words.to_owned(), title: is_title, place: self.place() };
        self.layout.headings.push(heading);
        let around = self.open(ElementKind::Heading { level: if is_title { 1 } else { 2 }, words: words.to_owned() });
        self.lines(setting, words, after);
        self.close(around);
    }
}

impl Layout {
    /// Adds a drawing; its index.
    pub(super) fn drawing(&mut self, drawing: &Drawing) -> usize {
        let whole = || DrawingParts { bare: drawing.svg.clone(), ..DrawingParts::default() };
        self.drawings.push(drawing.parts.clone().unwrap_or_else(whole));
        self.drawings.len() - 1
    }
}
