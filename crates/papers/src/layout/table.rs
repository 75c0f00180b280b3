//! Tables over as many sheets as they need: headers repeated, rows of a group together, never more rows on a sheet than can be
//! followed with a finger.

use super::columns::{PADDING, SetColumns, header, is_written_into, on_page, swatch};
use super::flow::Flow;
use super::setting::{TypeSetting, WordsSide, words};
use super::{Area, ElementKind, SheetItem, Target};
use crate::fonts::Face;
use crate::things;
use schedule::paper::{Cell, ColumnSet, Table, TableRow};

/// The most rows of wires, gaps or joints on one sheet; of other tables as many as there is room for.
pub const MOST_ROWS: usize = 40;
/// What is free above and below the words of a row, millimetres.
const LOOSE: f64 = 0.32;

/// A row with its words broken into lines.
pub(super) struct Broken<'t> {
    pub(super) row: &'t TableRow,
    cells: Vec<Vec<String>>,
    /// Lines of its highest cell.
    lines: usize,
}

/// The bold face beside a face.
fn bold(face: Face) -> Face {
    if face == Face::Narrow { Face::NarrowBold } else { Face::Bold }
}

impl Flow<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        if table.on_pages().is_empty() {
            return;
        }
        let around = self.open(ElementKind::Table);
        match self.in_columns(table) {
            Some(narrow) => self.columns_beside(table, &narrow),
            None => self.one_column(table),
        }
        self.close(around);
    }

    fn one_column(&mut self, table: &Table) {
        let columns = SetColumns::fit(self.fonts, table, &self.kind, self.body.width());
        let cells = TypeSetting::new(columns.face, columns.size);
        let rows: Vec<Broken<'_>> = table.rows.iter().map(|row| self.broken(row, table, &columns)).collect();
        let height = |row: &Broken<'_>| self.row_height(row, cells);
        let heights: Vec<f64> = rows.iter().map(height).collect();
        let first = heights.iter().take(2).sum::<f64>();
        self.make_room(self.started(self.before_rows(table, &columns) + first));
        self.caption(table);
        self.table_header(table, &columns, false);
        if rows.is_empty() {
            let within = Area::at([self.body.left + PADDING, self.y + LOOSE], [self.body.width(), cells.line()]);
            let around = self.open(ElementKind::Row);
            self.open(ElementKind::Band(table.on_pages().len() as u32));
            self.put_words(cells, "none in this plan", within);
            self.close(around);
            self.y += cells.line() + 2.0 * LOOSE;
        }
        let mut group: Option<&str> = None;
        let mut on_sheet = 0;
        let is_of_things = table.rows.iter().any(|row| row.cells.first().is_some_and(|c| things::is_number(c.shown())));
        let most = if is_of_things { MOST_ROWS } else { usize::MAX };
        for (at, row) in rows.iter().enumerate() {
            let starts = row.row.group.as_deref() != group;
            group = row.row.group.as_deref();
            let titled = group.map_or(0.0, |words| self.group_height(words, cells, self.body.width()));
            let needed = if starts {
                let together = rows[at..].iter().take_while(|r| r.row.group.as_deref() == group).count();
                self.kept_together(&heights[at..at + together], titled, most - on_sheet)
            } else {
                heights[at]
            };
            let needed = needed.min(self.body.height() * 0.9);
            let new = on_sheet > 0 && (on_sheet >= most || !self.fits(needed));
            if new {
                self.sheet(self.lying);
                self.table_header(table, &columns, true);
                on_sheet = 0;
            }
            if let (Some(words), true) = (group, starts || new) {
                self.group_title(words, !starts, cells, table);
            }
            self.row(row, table, &columns, cells);
            on_sheet += 1;
        }
        self.y += cells.line() * 0.8;
    }

    /// The height of what a table begins with: all that stands above its rows, and its first two rows.
    pub(super) fn table_start(&self, table: &Table) -> f64 {
        let columns = SetColumns::fit(self.fonts, table, &self.kind, self.body.width());
        let cells = TypeSetting::new(columns.face, columns.size);
        let rows = table.rows.iter().take(2).map(|row| self.row_height(&self.broken(row, table, &columns), cells));
        self.started(self.before_rows(table, &columns) + rows.sum::<f64>())
    }

    /// The start of a table keeps with its heading, but where its rows are so high that this would leave sheets half empty, a row
    /// is rather parted.
    fn started(&self, height: f64) -> f64 {
        height.min(self.body.height() * 0.6)
    }

    fn before_rows(&self, table: &Table, columns: &SetColumns) -> f64 {
        let cells = TypeSetting::new(columns.face, columns.size);
        self.caption_height(table) + self.header_height(table, columns) + 2.0 * cells.line()
    }

    /// How much room the start of a group asks for: all of it where it is small, else its title and two rows. Rows that would be
    /// more than a sheet may hold ask for a new one.
    fn kept_together(&self, heights: &[f64], titled: f64, left: usize) -> f64 {
        let whole: f64 = titled + heights.iter().sum::<f64>();
        let small = whole <= self.body.height() * 0.15;
        if small && heights.len() > left {
            return f64::INFINITY;
        }
        if small { whole } else { titled + heights.iter().take(2).sum::<f64>() }
    }

    pub(super) fn broken<'t>(&self, row: &'t TableRow, table: &Table, columns: &SetColumns) -> Broken<'t> {
        let broken = |(at, cell): (usize, &Cell)| {
            let beside = if matches!(cell, Cell::Colour { .. }) { swatch(columns.size) } else { 0.0 };
            let width = (columns.widths[at] - 2.0 * PADDING - beside).max(1.0);
            let text = on_page(cell);
            if text.is_empty() { Vec::new() } else { self.fonts.lines(columns.face, columns.size, text, width) }
        };
        let cells: Vec<Vec<String>> = row.cells.iter().take(table.on_pages().len()).enumerate().map(broken).collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
        Broken { row, cells, lines }
    }

    pub(super) fn row_height(&self, row: &Broken<'_>, setting: TypeSetting) -> f64 {
        let words = row.lines as f64 * setting.line();
        let boxed = row.row.cells.iter().any(|cell| matches!(cell, Cell::Box));
        words.max(if boxed { self.kind.tick } else { 0.0 }) + 2.0 * LOOSE
    }

    pub(super) fn group_height(&self, words: &str, cells: TypeSetting, width: f64) -> f64 {
        self.group_lines(words, cells, width).len() as f64 * cells.line() + 2.0 * LOOSE
    }

    fn group_lines(&self, words: &str, cells: TypeSetting, width: f64) -> Vec<String> {
        self.fonts.lines(bold(cells.face), cells.size, words, width - 2.0 * PADDING)
    }

    pub(super) fn caption_height(&self, table: &Table) -> f64 {
        let setting = TypeSetting::new(Face::Bold, self.kind.small);
        let Some(caption) = &table.caption else { return 0.0 };
        let lines = self.fonts.lines(setting.face, setting.size, caption, self.body.width()).len();
        lines as f64 * setting.line() + 1.0
    }

    pub(super) fn caption(&mut self, table: &Table) {
        if let Some(caption) = &table.caption {
            self.paragraph(TypeSetting::new(Face::Bold, self.kind.small), caption, 1.0);
        }
    }

    fn header_lines(&self, table: &Table, columns: &SetColumns) -> Vec<Vec<String>> {
        let lines = |(at, column): (usize, &schedule::paper::TableColumn)| {
            let width = (columns.widths[at] - 2.0 * PADDING).max(1.0);
            self.fonts.lines(columns.bold, columns.size, &header(column), width)
        };
        table.on_pages().iter().enumerate().map(lines).collect()
    }

    pub(super) fn header_height(&self, table: &Table, columns: &SetColumns) -> f64 {
        let lines = self.header_lines(table, columns).iter().map(Vec::len).max().unwrap_or(1);
        lines as f64 * TypeSetting::new(columns.bold, columns.size).line() + 2.0 * LOOSE + 0.6
    }

    /// The titles of the columns; who hears the table needs them only once.
    pub(super) fn table_header(&mut self, table: &Table, columns: &SetColumns, again: bool) {
        let around = if again { self.element.take() } else { self.open(ElementKind::Row) };
        let setting = TypeSetting::new(columns.bold, columns.size);
        let titles = self.header_lines(table, columns);
        let height = self.header_height(table, columns);
        let most = titles.iter().map(Vec::len).max().unwrap_or(1);
        let mut x = self.body.left;
        for ((lines, column), width) in titles.iter().zip(table.on_pages()).zip(&columns.widths) {
            let side = if column.set == ColumnSet::Number { WordsSide::Right } else { WordsSide::Left };
            let row = if again { None } else { self.open(ElementKind::Header) };
            for (n, line) in lines.iter().enumerate() {
                // Titles stand on the rule below them.
                let row = (n + most - lines.len()) as f64;
                let top = self.y + LOOSE + row * setting.line();
                let within = Area::at([x + PADDING, top], [width - 2.0 * PADDING, setting.line()]);
                self.put_words(setting.to(side), line, within);
            }
            self.close(row);
            x += width;
        }
        self.close(around);
        self.y += height;
        self.rule(columns, 0.35, 0);
    }

    fn rule(&mut self, columns: &SetColumns, width: f64, grey: u8) {
        let from = [self.body.left, self.y];
        let to = [self.body.left + columns.widths.iter().sum::<f64>(), self.y];
        self.put(SheetItem::Line { from, to, width, grey, dashed: false });
    }

    /// The title over rows of a group; `again` where they go on on another sheet, of which who hears the table knows nothing.
    pub(super) fn group_title(&mut self, words: &str, again: bool, cells: TypeSetting, table: &Table) {
        let see = table.see.get(words).cloned();
        let continued = format!("{words}, continued");
        let words = if again { &continued } else { words };
        let around = if again { self.element.take() } else { self.open(ElementKind::Row) };
        if !again {
            self.open(ElementKind::Band(table.on_pages().len() as u32));
        }
        let setting = TypeSetting::new(bold(cells.face), cells.size);
        let width = self.body.width();
        let lines = self.group_lines(words, cells, width);
        let height = self.group_height(words, cells, width);
        let band = Area::at([self.body.left, self.y], [self.body.width(), height]);
        self.put(SheetItem::Box { area: band, edge: None, fill: Some([232; 3]), of: None });
        let spare = (height - lines.len() as f64 * setting.line()) / 2.0;
        for (n, line) in lines.iter().enumerate() {
            let top = band.top + spare + n as f64 * setting.line();
            let within = Area::at([band.left + PADDING, top], [band.width() - 2.0 * PADDING, setting.line()]);
            self.put_words(setting, line, within);
        }
        if let Some(named) = see.filter(|_| !again) {
            self.group_page(&named, cells, band);
        }
        self.close(around);
        self.y += height;
    }

    /// A row; one higher than a sheet goes on on the next.
    pub(super) fn row(&mut self, row: &Broken<'_>, table: &Table, columns: &SetColumns, setting: TypeSetting) {
        // The first row that shows a thing is where its number leads from everywhere else.
        let place = self.place();
        for number in row.row.cells.iter().map(Cell::shown).filter(|text| things::is_number(text)) {
            self.layout.things.entry(number.to_owned()).or_insert(place);
        }
        let around = self.open(ElementKind::Row);
        let of_row = self.element;
        let elements: Vec<Option<usize>> = (0..columns.widths.len())
            .map(|_| {
                self.open(ElementKind::Cell);
                let cell = self.element;
                self.close(of_row);
                cell
            })
            .collect();
        let mut done = 0;
        loop {
            let room = ((self.body.bottom - self.y - 2.0 * LOOSE) / setting.line()).floor().max(1.0) as usize;
            let here = room.min(row.lines - done);
            let boxed = row.row.cells.iter().any(|cell| matches!(cell, Cell::Box));
            let tick = if boxed { self.kind.tick } else { 0.0 };
            let height = (here as f64 * setting.line()).max(tick) + 2.0 * LOOSE;
            let mut x = self.body.left;
            for (at, width) in columns.widths.iter().enumerate() {
                let area = Area::at([x, self.y], [*width, height]);
                self.close(elements[at]);
                self.cell(row, at, (done, here), table, setting, area);
                x += width;
            }
            self.y += height;
            self.rule(columns, 0.12, 150);
            done += here;
            self.close(around);
            if done >= row.lines {
                return;
            }
            self.sheet(self.lying);
            self.table_header(table, columns, true);
        }
    }

    /// Lines of one cell, from `from` on as many as `here`.
    fn cell(
        &mut self,
        row: &Broken<'_>,
        at: usize,
        (from, here): (usize, usize),
        table: &Table,
        setting: TypeSetting,
        area: Area,
    ) {
        let Some(cell) = row.row.cells.get(at) else { return };
        let column = &table.on_pages()[at];
        let mut left = area.left + PADDING;
        match cell {
            Cell::Box if from == 0 => {
                let width = if is_written_into(column) { area.width() - 2.0 * PADDING } else { self.kind.tick };
                let size = [width.min(area.width() - 2.0 * PADDING), self.kind.tick.min(area.height() - 0.4)];
                let top = area.top + (area.height() - size[1]) / 2.0;
                self.put(SheetItem::Box {
                    area: Area::at([left, top], size),
                    edge: Some(0.25),
                    fill: None,
                    of: self.element,
                });
            }
            Cell::Colour { rgb, .. } if from == 0 => {
                let high = setting.size * 0.26;
                let top = area.top + LOOSE + (setting.line() - high) / 2.0;
                let area = Area::at([left, top], [swatch(setting.size) * 0.7, high]);
                self.put(SheetItem::Box { area, edge: Some(0.15), fill: Some(*rgb), of: None });
            }
            _ => {}
        }
        if matches!(cell, Cell::Colour { .. }) {
            left += swatch(setting.size);
        }
        let side = if column.set == ColumnSet::Number { WordsSide::Right } else { WordsSide::Left };
        if let Cell::Page { of, .. } = cell {
            if from == 0 {
                let within = Area { left, top: area.top + LOOSE, right: area.right - PADDING, ..area };
                let within = Area { bottom: within.top + setting.line(), ..within };
                self.page_reference(setting, of, within);
            }
            return;
        }
        // The number of a thing leads to the row that tells of it.
        let leads = things::is_number(cell.shown());
        let here_already = self.layout.things.get(cell.shown()).is_some_and(|place| *place == self.place());
        let leads = leads && !here_already;
        if leads {
            self.open(ElementKind::Link);
        }
        if row.cells[at].is_empty() && !matches!(cell, Cell::Box) && from == 0 {
            // A cell without words is a cell too, or the rows of a table would not be alike.
            let mut nothing = words(self.fonts, setting, "", area);
            if let SheetItem::Words { of, .. } = &mut nothing {
                *of = self.element;
            }
            self.put(nothing);
        }
        let lines = row.cells[at].iter().skip(from).take(here);
        for (n, line) in lines.enumerate() {
            let top = area.top + LOOSE + n as f64 * setting.line();
            let within = Area { left, top, right: area.right - PADDING, bottom: top + setting.line() };
            self.put_words(setting.to(side), line, within);
        }
        if leads {
            self.put(SheetItem::Link { area, to: Target::Thing(cell.shown().to_owned()), of: self.element });
        }
    }
}
