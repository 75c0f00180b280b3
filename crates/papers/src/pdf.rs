//! Laid-out sheets as a PDF document: text that can be selected and searched, an outline, links, true sizes.

use crate::PapersError;
use crate::binder::Binder;
use crate::fonts::{Face, Fonts, POINT};
use crate::layout::{Area, Element, ElementKind, LaidSheet, Layout, PrintedPlace, SheetItem, Target, lay_out};
use crate::pdf_tags::PdfTags;
use crate::picture::{PER_INCH, read_svg};
use krilla::annotation::{Annotation, LinkAnnotation};
use krilla::color::rgb;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::{Destination, XyzDestination};
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};
use krilla::text::{Font, GlyphId, KrillaGlyph, TextDirection};
use krilla::{Document, SerializeSettings};
use krilla_svg::{SurfaceExt as _, SvgSettings};
use rayon::prelude::*;
use schedule::paper::{DrawingParts, Letters};
use std::collections::BTreeMap;
use usvg::Tree;

/// The PDF document of a binder.
///
/// # Errors
/// When the document cannot be written: a fault of ours.
pub fn pdf(binder: &Binder) -> Result<Vec<u8>, PapersError> {
    let fonts = Fonts::new();
    let layout = lay_out(binder, &fonts);
    let title = format!("{} · plan {}", binder.layout, binder.revision);
    write(&layout, &fonts, &title, &format!("Papers for building {}: {}", binder.layout, binder.extent))
}

/// A drawing as a PDF document of one page of its own size.
///
/// # Errors
/// When the drawing is no SVG, or the document cannot be written.
pub fn pdf_of_svg(svg: &str) -> Result<Vec<u8>, PapersError> {
    let tree = read_svg(svg)?;
    let size = [tree.size().width(), tree.size().height()].map(|length| f64::from(length) / PER_INCH * 72.0 * POINT);
    let clip = Area::at([0.0; 2], size);
    let items = vec![SheetItem::Drawing { index: 0, at: [0.0; 2], size, clip, of: Some(0) }];
    let elements = vec![Element { kind: ElementKind::Figure("Layout drawing".to_owned()), parent: None }];
    let sheets = vec![LaidSheet { size, papers: Vec::new(), items }];
    let whole = DrawingParts { bare: svg.to_owned(), ..DrawingParts::default() };
    let layout = Layout { sheets, drawings: vec![whole], elements, ..Layout::default() };
    write(&layout, &Fonts::new(), "Layout drawing", "A layout drawing")
}

/// The colour of the words of drawings, as their SVG has it.
const INK: [u8; 3] = [0x11; 3];

/// What is needed to draw.
struct PdfContext<'a> {
    fonts: &'a Fonts,
    faces: Vec<Font>,
    drawings: Vec<Tree>,
    parts: &'a [DrawingParts],
}

/// A document of laid-out sheets, tagged; one for accessible reading (PDF/UA-1) where all of it can be read out, which is not so
/// where a name has signs that our faces do not.
///
/// # Errors
/// When a drawing is no SVG, or the document cannot be written.
pub fn write(layout: &Layout, fonts: &Fonts, title: &str, about: &str) -> Result<Vec<u8>, PapersError> {
    let accessible = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let accessible = accessible.map_err(|e| PapersError::Pdf(format!("{e:?}")))?;
    written(layout, fonts, [title, about], accessible)
        .or_else(|_| written(layout, fonts, [title, about], Configuration::default()))
}

fn written(
    layout: &Layout,
    fonts: &Fonts,
    [title, about]: [&str; 2],
    configuration: Configuration,
) -> Result<Vec<u8>, PapersError> {
    let faces = Face::ALL.iter().filter_map(|face| Font::new(face.data().to_vec().into(), 0)).collect();
    let drawings = layout.drawings.par_iter().map(|parts| read_svg(&parts.bare)).collect::<Result<Vec<_>, _>>()?;
    let ink = PdfContext { fonts, faces, drawings, parts: &layout.drawings };
    let mut tags = PdfTags::new(layout.elements.len());
    let mut document = Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    for sheet in &layout.sheets {
        let [width, height] = sheet.size.map(points);
        let settings = PageSettings::from_wh(width, height)
            .ok_or_else(|| PapersError::Pdf(format!("a page of {width} by {height} points")))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        // What is drawn later lies on a drawing; all else that stands on a sheet lies beside each other.
        for part in sheet.items.split_inclusive(|item| matches!(item, SheetItem::Drawing { .. })) {
            ink.draw(&mut surface, part, &mut tags);
        }
        surface.finish();
        for item in &sheet.items {
            let SheetItem::Link { of, .. } = item else { continue };
            if let (Some(annotation), Some(element)) = (link(layout, item), of) {
                tags.put(*element, page.add_tagged_annotation(annotation));
            }
        }
        page.finish();
    }
    document.set_outline(outline(layout));
    document.set_tag_tree(tags.tree(&layout.elements));
    let program = "gapwright".to_owned();
    let metadata = Metadata::new().title(title.to_owned()).description(about.to_owned()).language("en".to_owned());
    document.set_metadata(metadata.creator(program.clone()).producer(program));
    document.finish().map_err(|e| PapersError::Pdf(format!("{e:?}")))
}

fn points(millimetres: f64) -> f32 {
    (millimetres / POINT) as f32
}

fn destination(place: PrintedPlace) -> XyzDestination {
    XyzDestination::new(place.sheet, Point::from_xy(0.0, points((place.y - 2.0).max(0.0))))
}

fn outline(layout: &Layout) -> Outline {
    let mut outline = Outline::new();
    let mut open: Option<OutlineNode> = None;
    for heading in &layout.headings {
        let node = OutlineNode::new(heading.words.clone(), destination(heading.place));
        match (heading.title, &mut open) {
            (false, Some(title)) => title.push_child(node),
            _ => {
                if let Some(done) = open.replace(node) {
                    outline.push_child(done);
                }
            }
        }
    }
    if let Some(done) = open {
        outline.push_child(done);
    }
    outline
}

fn link(layout: &Layout, item: &SheetItem) -> Option<Annotation> {
    let SheetItem::Link { area, to, .. } = item else { return None };
    let (place, words) = match to {
        Target::Paper(index) => (layout.papers.get(index), "to this paper".to_owned()),
        Target::Thing(number) => (layout.things.get(number), format!("to the row of {number}")),
        Target::Named(name) => (layout.named.get(name), "to what is named here".to_owned()),
    };
    let target = Destination::Xyz(destination(*place?));
    let area = rectangle(*area)?;
    Some(Annotation::new_link(LinkAnnotation::new(area, krilla::annotation::Target::Destination(target)), Some(words)))
}

fn rectangle(area: Area) -> Option<Rect> {
    Rect::from_ltrb(points(area.left), points(area.top), points(area.right), points(area.bottom))
}

fn fill([red, green, blue]: [u8; 3]) -> Fill {
    Fill { paint: rgb::Color::new(red, green, blue).into(), ..Fill::default() }
}

fn stroke(width: f64, grey: u8, dash: Option<StrokeDash>) -> Stroke {
    Stroke { paint: rgb::Color::new(grey, grey, grey).into(), width: points(width), dash, ..Stroke::default() }
}

/// A box less half of its edge, which runs on the inside.
fn inner(area: Area, edge: Option<f64>) -> Option<Rect> {
    let inside = edge.unwrap_or(0.0) / 2.0;
    rectangle(Area {
        left: area.left + inside,
        top: area.top + inside,
        right: area.right - inside,
        bottom: area.bottom - inside,
    })
}

/// What boxes look like: the thickness of their edge, what fills them.
type Boxed = (Option<u64>, Option<[u8; 3]>);
/// What lines look like: their thickness, how light they are, whether they are broken.
type Ruled = (u64, u8, bool);
/// What words have in common that stand behind each other: how far down, their size, their face, how light they are.
type Written = (u64, u64, Face, u8);

impl PdfContext<'_> {
    /// Items that lie beside each other: what only decorates a sheet first, what looks alike at one time, since each change of the pen
    /// costs as much as what it writes; then each element in its turn.
    fn draw(&self, surface: &mut Surface<'_>, items: &[SheetItem], tags: &mut PdfTags) {
        surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)));
        self.decorations(surface, items);
        let plain = items.iter().filter(|item| matches!(item, SheetItem::Words { of: None, .. }));
        self.lines(surface, plain);
        surface.end_tagged();
        let of = |item: &SheetItem| match item {
            SheetItem::Words { of, .. } | SheetItem::Box { of, .. } => *of,
            _ => None,
        };
        let read: Vec<&SheetItem> = items.iter().filter(|item| of(item).is_some()).collect();
        for part in read.chunk_by(|one, other| of(one) == of(other)) {
            let Some(element) = of(part[0]) else { continue };
            let boxed = part.iter().any(|item| matches!(item, SheetItem::Box { .. }));
            let span = SpanTag::empty().with_alt_text(boxed.then_some("a box to fill in"));
            tags.put(element, surface.start_tagged(ContentTag::Span(span)));
            for item in part {
                if let SheetItem::Box { area, edge, fill: filled, .. } = item {
                    let mut path = PathBuilder::new();
                    if let Some(area) = inner(*area, *edge) {
                        path.push_rect(area);
                    }
                    self.boxes(surface, (edge.map(f64::to_bits), *filled), path);
                }
            }
            surface.set_stroke(None);
            self.lines(surface, part.iter().copied());
            surface.end_tagged();
        }
        if let Some(SheetItem::Drawing { index, at, size, clip, of }) = items.last() {
            let id = surface.start_tagged(ContentTag::Other);
            self.drawing(surface, *index, *at, *size, *clip);
            surface.end_tagged();
            if let Some(element) = of {
                tags.put(*element, id);
            }
        }
    }

    /// Boxes and lines that nobody reads out.
    fn decorations(&self, surface: &mut Surface<'_>, items: &[SheetItem]) {
        let mut boxes: BTreeMap<Boxed, PathBuilder> = BTreeMap::new();
        let mut lines: BTreeMap<Ruled, PathBuilder> = BTreeMap::new();
        for item in items {
            match item {
                SheetItem::Line { from, to, width, grey, dashed } => {
                    let path = lines.entry((width.to_bits(), *grey, *dashed)).or_default();
                    path.move_to(points(from[0]), points(from[1]));
                    path.line_to(points(to[0]), points(to[1]));
                }
                SheetItem::Box { area, edge, fill: filled, of: None } => {
                    if let Some(area) = inner(*area, *edge) {
                        boxes.entry((edge.map(f64::to_bits), *filled)).or_default().push_rect(area);
                    }
                }
                _ => {}
            }
        }
        for (looks, path) in boxes {
            self.boxes(surface, looks, path);
        }
        surface.set_fill(None);
        for ((width, grey, dashed), path) in lines {
            let dash = dashed.then(|| StrokeDash { array: vec![points(0.9), points(0.9)], offset: 0.0 });
            surface.set_stroke(Some(stroke(f64::from_bits(width), grey, dash)));
            path.finish().into_iter().for_each(|path| surface.draw_path(&path));
        }
        surface.set_stroke(None);
    }

    fn boxes(&self, surface: &mut Surface<'_>, (edge, filled): Boxed, path: PathBuilder) {
        surface.set_fill(filled.map(fill));
        surface.set_stroke(edge.map(|width| stroke(f64::from_bits(width), 0, None)));
        path.finish().into_iter().for_each(|path| surface.draw_path(&path));
    }

    /// Words in the order they come, those on one line as a row.
    fn lines<'i>(&self, surface: &mut Surface<'_>, items: impl Iterator<Item = &'i SheetItem>) {
        let mut rows: Vec<(Written, Vec<(f64, &str)>)> = Vec::new();
        for item in items {
            let SheetItem::Words { at, size, face, text, grey, .. } = item else { continue };
            let alike = (at[1].to_bits(), size.to_bits(), *face, *grey);
            match rows.last_mut() {
                Some((last, row)) if *last == alike && row.last().is_some_and(|word| word.0 <= at[0]) => {
                    row.push((at[0], text));
                }
                _ => rows.push((alike, vec![(at[0], text)])),
            }
        }
        for ((y, size, face, grey), row) in rows {
            surface.set_fill(Some(fill([grey; 3])));
            self.row(surface, f64::from_bits(y), (face, f64::from_bits(size)), &row);
        }
    }

    /// Words behind each other, each with where it starts: what lies between two is written as one space of that width, so that
    /// who selects or hears the page has them as a row.
    fn row(&self, surface: &mut Surface<'_>, y: f64, (face, size): (Face, f64), words: &[(f64, &str)]) {
        let mut glyphs: Vec<KrillaGlyph> = Vec::new();
        let mut text = String::new();
        let [mut start, mut end] = [0.0; 2];
        for &(x, words) in words {
            let apart = x - end;
            if !text.is_empty() && (apart < 0.0 || !words.chars().all(is_plain)) {
                self.glyphs(surface, [start, y], (face, size), &text, &glyphs);
                text.clear();
            }
            if !words.chars().all(is_plain) {
                self.words(surface, [x, y].map(points), size, face, words);
                continue;
            }
            if text.is_empty() {
                glyphs.clear();
                (start, end) = (x, x);
            } else {
                let advance = (apart / POINT / size) as f32;
                let space = self.fonts.glyph(face, ' ');
                let range = text.len()..text.len() + 1;
                glyphs.push(KrillaGlyph::new(GlyphId::new(space.id), advance, 0.0, 0.0, 0.0, range, None));
                text.push(' ');
                end = x;
            }
            let from = text.len();
            text.push_str(words);
            for (at, character) in words.char_indices() {
                let glyph = self.fonts.glyph(face, character);
                let range = from + at..from + at + character.len_utf8();
                glyphs.push(KrillaGlyph::new(GlyphId::new(glyph.id), glyph.advance, 0.0, 0.0, 0.0, range, None));
                end += f64::from(glyph.advance) * size * POINT;
            }
        }
        if !text.is_empty() {
            self.glyphs(surface, [start, y], (face, size), &text, &glyphs);
        }
    }

    fn glyphs(
        &self,
        surface: &mut Surface<'_>,
        at: [f64; 2],
        (face, size): (Face, f64),
        text: &str,
        glyphs: &[KrillaGlyph],
    ) {
        let Some(font) = self.faces.get(face as usize) else { return };
        let [x, y] = at.map(points);
        surface.draw_glyphs(Point::from_xy(x, y), glyphs, font.clone(), text, size as f32, false);
    }

    fn drawing(&self, surface: &mut Surface<'_>, index: usize, at: [f64; 2], size: [f64; 2], clip: Area) {
        let mut path = PathBuilder::new();
        let (Some(tree), Some(clip)) = (self.drawings.get(index), rectangle(clip)) else { return };
        path.push_rect(clip);
        let (Some(path), Some(size)) = (path.finish(), Size::from_wh(points(size[0]), points(size[1]))) else { return };
        surface.push_clip_path(&path, &FillRule::NonZero);
        surface.push_transform(&Transform::from_translate(points(at[0]), points(at[1])));
        // A drawing's own text is text here too.
        let _ = surface.draw_svg(tree, size, SvgSettings::default());
        self.letters(surface, &self.parts[index].letters, tree, size);
        surface.pop();
        surface.pop();
    }

    /// The words of a drawing that are set apart from it, in the millimetres of the drawing.
    fn letters(&self, surface: &mut Surface<'_>, letters: &[Letters], tree: &Tree, size: Size) {
        // As large as its SVG says, a drawing has 96 units to the inch.
        let scale = f64::from(size.width() / tree.size().width()) * PER_INCH / 72.0;
        surface.set_stroke(None);
        surface.set_fill(Some(fill(INK)));
        for line in letters {
            let face = if line.bold { Face::Bold } else { Face::Regular };
            let size = line.size / POINT * scale;
            let aside = if line.middle { self.fonts.width(face, size, &line.text) / 2.0 } else { 0.0 };
            let at = [line.at[0] * scale - aside, line.at[1] * scale];
            self.row(surface, at[1], (face, size), &[(at[0], &line.text)]);
        }
    }

    /// One line of words that needs more than letters behind each other: shaped.
    fn words(&self, surface: &mut Surface<'_>, [x, y]: [f32; 2], size: f64, face: Face, text: &str) {
        let Some(font) = self.faces.get(face as usize) else { return };
        surface.draw_text(Point::from_xy(x, y), font.clone(), size as f32, text, false, TextDirection::Auto);
    }
}

/// Whether a character stands by itself: Latin, Greek and Cyrillic letters, signs, arrows, boxes.
fn is_plain(character: char) -> bool {
    matches!(u32::from(character), 0x20..=0x2ff | 0x370..=0x482 | 0x48a..=0x52f | 0x1e00..=0x1fff | 0x2010..=0x2027
        | 0x202f..=0x205e | 0x2070..=0x209c | 0x20a0..=0x20bf | 0x2100..=0x2bff)
}
