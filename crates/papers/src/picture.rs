//! Single drawings as pictures.

use crate::PapersError;
use crate::fonts::Face;
use std::sync::{Arc, OnceLock};
use usvg::fontdb::Database;
use usvg::{Options, Tree};

/// Pictures with more pixels than this are not made: they would take gigabytes.
const MOST_PIXELS: u64 = 200_000_000;
/// Pixels of a drawing to the inch, as SVG has them (CSS Values and Units 3, section 6.2: 1 in is 96 px).
pub(crate) const PER_INCH: f64 = 96.0;

fn faces() -> Arc<Database> {
    static FACES: OnceLock<Arc<Database>> = OnceLock::new();
    let load = || {
        let mut faces = Database::new();
        for face in Face::ALL {
            faces.load_font_data(face.data().to_vec());
        }
        // Whatever family a drawing asks for, it is set in ours, so that it looks the same everywhere.
        faces.set_sans_serif_family("DejaVu Sans");
        faces.set_serif_family("DejaVu Sans");
        faces.set_monospace_family("DejaVu Sans");
        Arc::new(faces)
    };
    FACES.get_or_init(load).clone()
}

/// Reads a drawing, its text set in our own faces.
///
/// # Errors
/// When it is no SVG.
pub fn read_svg(svg: &str) -> Result<Tree, PapersError> {
    let options = Options { font_family: "DejaVu Sans".to_owned(), fontdb: faces(), ..Options::default() };
    Tree::from_str(svg, &options).map_err(|e| PapersError::Drawing(e.to_string()))
}

/// A drawing as a PNG picture on white, with so many pixels to the inch.
///
/// # Errors
/// When it is no SVG, or too large for a picture.
pub fn png(svg: &str, dots_per_inch: f64) -> Result<Vec<u8>, PapersError> {
    let tree = read_svg(svg)?;
    let scale = (dots_per_inch / PER_INCH) as f32;
    let size = [tree.size().width(), tree.size().height()].map(|length| (length * scale).ceil().max(1.0) as u32);
    let [width, height] = size;
    let too_large = || PapersError::TooLarge(width, height);
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(too_large());
    }
    let mut picture = resvg::tiny_skia::Pixmap::new(width, height).ok_or_else(too_large)?;
    picture.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, resvg::tiny_skia::Transform::from_scale(scale, scale), &mut picture.as_mut());
    picture.encode_png().map_err(|e| PapersError::Drawing(e.to_string()))
}
