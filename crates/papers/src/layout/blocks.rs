//! The blocks of a paper: titles, paragraphs, cautions, drawings.

use super::columns::SetColumns;
use super::flow::{BETWEEN_PAPERS, Flow};
use super::setting::TypeSetting;
use super::{Area, ElementKind, Heading, SheetItem};
use crate::fonts::Face;
use schedule::paper::{Block, Drawing, Paper};

/// A paper begins below another where at least this part of the sheet is free.
const RUNS_ON: f64 = 0.15;
/// Papers of more rows are not laid out twice to see which way they are lower.
const MOST_TRIED: usize = 2000;
/// What stands in front of every caution.
const CAUTION: &str = "CAUTION";

impl Flow<'_> {
    /// A paper with all its blocks: below what stands on the sheet where that leaves enough of it, else from a new sheet on.
    pub(super) fn whole_paper(&mut self, index: usize, paper: &Paper, lying: bool) {
        let blocks = paper.on_sheets();
        self.close(None);
        self.open(ElementKind::Paper);
        let heading = |place| Heading { words: paper.title.clone(), title: true, place };
        match blocks.first() {
            // A template or a drawing has its sheet for itself, so that the title stands in the header only.
            Some(Block::Template(drawing)) => {
                self.paper(index, self.template_lies(drawing));
                self.layout.headings.push(heading(self.place()));
            }
            Some(Block::Drawing(drawing)) => {
                self.paper(index, self.lies(drawing));
                self.layout.headings.push(heading(self.place()));
            }
            _ => {
                let lying = lying || self.shown_lying(blocks);
                let title = TypeSetting::new(Face::Bold, self.kind.title);
                if self.runs_on(blocks, lying) {
                    self.paper_below(index);
                } else {
                    self.paper(index, lying);
                }
                self.heading(title, &paper.title, true, 0.0);
                self.y += title.line() * 0.15;
            }
        }
        // Where a paper begins is known once its first block has a sheet.
        if let Some(&place) = self.layout.papers.get(&index) {
            self.layout.named.insert(paper.name.to_string(), place);
        }
        for at in 0..blocks.len() {
            self.block(&blocks[at..], lying);
        }
        self.close(None);
    }

    /// Whether a paper begins below what stands on the sheet: a good part of it is free, and its beginning fits.
    fn runs_on(&self, blocks: &[Block], lying: bool) -> bool {
        let setting = |size: f64| TypeSetting::new(Face::Bold, size);
        let begins: f64 = blocks.iter().take(3).map(|block| self.begins(block)).sum();
        let title = setting(self.kind.title).line() * 1.5 + 2.0 * BETWEEN_PAPERS;
        let least = (title + begins).max(RUNS_ON * self.body.height());
        !self.layout.sheets.is_empty() && self.lying == lying && self.fits(least)
    }

    /// How high the beginning of a block is, about.
    fn begins(&self, block: &Block) -> f64 {
        let lines =
            |words: &str| self.fonts.lines(Face::Regular, self.kind.body, words, self.body.width()).len() as f64 + 1.0;
        let line = TypeSetting::new(Face::Regular, self.kind.body).line();
        match block {
            Block::Heading(_) => self.kind.heading,
            Block::Text(words) | Block::Caution(words) => (lines(words) * line).min(self.body.height() * 0.5),
            Block::Table(table) => self.table_start(table),
            Block::Drawing(_) | Block::Template(_) | Block::NewPage => 0.0,
            Block::See(_) => line,
            Block::Labels(_) => 3.0 * line,
        }
    }

    /// How many sheets a paper takes, parts of them counted: of those that stand, and of those that lie. None where it has its own
    /// way of standing or lying.
    pub(super) fn taken(&self, paper: &Paper) -> Option<[f64; 2]> {
        let blocks = paper.on_sheets();
        if matches!(blocks.first(), Some(Block::Drawing(_) | Block::Template(_))) {
            return None;
        }
        let rows: usize = blocks.iter().map(|b| if let Block::Table(t) = b { t.rows.len() } else { 0 }).sum();
        if rows > MOST_TRIED {
            let upright = self.body_of(false).width();
            let wide = |block: &Block| match block {
                Block::Table(table) => SetColumns::prefers_landscape(self.fonts, table, &self.kind, upright),
                _ => false,
            };
            let lies = blocks.iter().any(wide);
            return Some(if lies { [2.0, 1.0] } else { [1.0, 2.0] });
        }
        Some([false, true].map(|lying| {
            let mut flow = self.empty();
            flow.whole_paper(0, paper, lying);
            let body = flow.body;
            flow.layout.sheets.len() as f64 - 1.0 + (flow.y - body.top) / body.height()
        }))
    }

    /// Whether what comes next is a drawing, perhaps under a heading, that is better shown on a sheet that lies.
    fn shown_lying(&self, blocks: &[Block]) -> bool {
        match blocks {
            [Block::Drawing(drawing), ..] | [Block::Heading(_), Block::Drawing(drawing), ..] => self.lies(drawing),
            _ => false,
        }
    }

    /// The first of these blocks; the others follow it.
    fn block(&mut self, blocks: &[Block], lying: bool) {
        let Some(block) = blocks.first() else { return };
        // Behind a drawing that took a sheet of the other kind, the paper goes on with its own.
        let lying = lying || self.shown_lying(blocks);
        if self.lying != lying && !matches!(block, Block::Template(_) | Block::NewPage | Block::See(_)) {
            self.sheet(lying);
        }
        match block {
            Block::Heading(words) => {
                if !self.is_fresh() {
                    self.y += self.kind.heading * 0.2;
                }
                let with = match blocks.get(1) {
                    Some(Block::Drawing(drawing)) => self.drawn_height(drawing),
                    Some(Block::Table(table)) => self.table_start(table),
                    Some(text @ (Block::Text(_) | Block::Caution(_))) => {
                        self.begins(text) + blocks.get(2).map_or(0.0, |next| self.begins(next))
                    }
                    _ => self.kind.body * 2.2,
                };
                self.heading(TypeSetting::new(Face::Bold, self.kind.heading), words, false, with);
            }
            Block::Text(words) => {
                let setting = TypeSetting::new(Face::Regular, self.kind.body);
                self.paragraph(setting, words, setting.line() * 0.4);
            }
            Block::Caution(words) => self.caution(words),
            Block::Table(table) => self.table(table),
            Block::Drawing(drawing) => self.drawing(drawing),
            Block::Template(drawing) => self.template(drawing),
            Block::Labels(labels) => self.labels(labels),
            Block::See(references) => self.see(references),
            Block::NewPage => {
                if !self.is_fresh() {
                    self.sheet(lying);
                }
            }
        }
    }

    /// A caution: a frame, the word, and what it says; the frame is not parted where it fits on a sheet.
    pub(super) fn caution(&mut self, text: &str) {
        let word = TypeSetting::new(Face::Bold, self.kind.body);
        let setting = TypeSetting::new(Face::Regular, self.kind.body);
        let inset = 1.4;
        let beside = self.fonts.width(word.face, word.size, CAUTION) + 4.0;
        let width = self.body.width() - beside - 2.0 * inset;
        let mut lines = self.fonts.lines(setting.face, setting.size, text, width);
        lines.reverse();
        let around = self.open(ElementKind::Paragraph);
        // One longer than a sheet begins where it comes.
        let whole = lines.len() as f64 * setting.line() + 2.0 * inset;
        self.make_room(if whole <= self.body.height() { whole } else { 4.0 * setting.line() });
        while !lines.is_empty() {
            let room = ((self.body.bottom - self.y - 2.0 * inset) / setting.line()).floor() as usize;
            if room == 0 && !self.is_fresh() {
                self.sheet(self.lying);
                continue;
            }
            let here = room.max(1).min(lines.len());
            let height = here as f64 * setting.line() + 2.0 * inset;
            let frame = Area::at([self.body.left, self.y], [self.body.width(), height]);
            self.put(SheetItem::Box { area: frame, edge: Some(0.5), fill: None, of: None });
            let top = self.y + inset;
            let named = Area::at([frame.left + inset, top], [beside, setting.line()]);
            self.put_words(word, CAUTION, named);
            for row in 0..here {
                let at = [frame.left + inset + beside, top + row as f64 * setting.line()];
                let within = Area::at(at, [width, setting.line()]);
                if let Some(line) = lines.pop() {
                    self.put_words(setting, &line, within);
                }
            }
            self.y += height + setting.line() * 0.4;
        }
        self.close(around);
    }

    /// By how much a drawing is scaled on a sheet that stands or lies: down to its width where it is wider, and to its height
    /// where it is still too high.
    fn scale(&self, drawing: &Drawing, lying: bool) -> f64 {
        let body = self.body_of(lying);
        let [width, height] = drawing.size;
        let below = self.under(drawing, body.width());
        (body.width() / width.max(1e-3)).min((body.height() - below - self.title_room()) / height.max(1e-3)).min(1.0)
    }

    /// What a heading takes of the sheet a drawing stands on.
    fn title_room(&self) -> f64 {
        self.kind.heading * 0.7
    }

    /// The height of the caption under a drawing.
    fn under(&self, drawing: &Drawing, width: f64) -> f64 {
        let caption = TypeSetting::new(Face::Regular, self.kind.small);
        let lines = self.fonts.lines(caption.face, caption.size, &drawing.caption, width).len();
        lines as f64 * caption.line() + 3.0
    }

    /// The height of a drawing on a sheet like this one, with its caption.
    fn drawn_height(&self, drawing: &Drawing) -> f64 {
        drawing.size[1] * self.scale(drawing, self.lying) + self.under(drawing, self.body.width())
    }

    /// Whether a drawing is shown larger on a sheet that lies.
    fn lies(&self, drawing: &Drawing) -> bool {
        self.scale(drawing, true) > self.scale(drawing, false) * 1.05
    }

    fn drawing(&mut self, drawing: &Drawing) {
        let scale = self.scale(drawing, self.lying);
        let size = drawing.size.map(|length| length * scale);
        self.make_room(size[1] + self.under(drawing, self.body.width()));
        let index = self.layout.drawing(drawing);
        let place = self.place();
        self.layout.named.insert(drawing.name.clone(), place);
        let at = [self.body.left + (self.body.width() - size[0]) / 2.0, self.y];
        let around = self.open(ElementKind::Figure(drawing.caption.clone()));
        self.put(SheetItem::Drawing { index, at, size, clip: Area::at(at, size), of: self.element });
        self.close(around);
        self.drawn_links(drawing, at, scale);
        self.y += size[1] + 1.0;
        self.paragraph(
            TypeSetting { grey: 60, ..TypeSetting::new(Face::Regular, self.kind.small) },
            &drawing.caption,
            2.0,
        );
    }
}
