//! Drawings for machines that drill and cut: DXF as of release 12, plain text, in millimetres.
//!
//! Pairs of lines: a code that says what follows, and a value. Release 12 knows no units; the numbers are millimetres. Its text is
//! ASCII, and any other sign of a name is written as `\U+XXXX`, which readers of later releases understand too.

use std::fmt::Write as _;

/// A drawing under way. Its y points upwards, its zero is the lower left corner.
#[derive(Clone, Debug, Default)]
pub struct Dxf {
    entities: String,
    layers: Vec<&'static str>,
}

impl Dxf {
    /// An empty drawing.
    pub fn new() -> Dxf {
        Dxf::default()
    }

    fn entity(&mut self, kind: &str, layer: &'static str) {
        if !self.layers.contains(&layer) {
            self.layers.push(layer);
        }
        let _ = write!(self.entities, "0\n{kind}\n8\n{layer}\n");
    }

    fn point(&mut self, first: u32, [x, y]: [f64; 2]) {
        let _ = write!(self.entities, "{first}\n{x:.4}\n{}\n{y:.4}\n{}\n0.0\n", first + 10, first + 20);
    }

    /// A straight line.
    pub fn line(&mut self, layer: &'static str, from: [f64; 2], to: [f64; 2]) {
        self.entity("LINE", layer);
        self.point(10, from);
        self.point(11, to);
    }

    /// A circle.
    pub fn circle(&mut self, layer: &'static str, middle: [f64; 2], diameter: f64) {
        self.entity("CIRCLE", layer);
        self.point(10, middle);
        let _ = write!(self.entities, "40\n{:.4}\n", diameter / 2.0);
    }

    /// Words whose line has its middle at a place; `height` is that of capitals.
    pub fn words(&mut self, layer: &'static str, middle: [f64; 2], height: f64, words: &str) {
        self.entity("TEXT", layer);
        self.point(10, middle);
        let _ = write!(self.entities, "40\n{height:.4}\n1\n{}\n72\n1\n", ascii(words));
        self.point(11, middle);
    }

    /// The file: header, layers, and what is drawn, over so much width and height.
    pub fn finish(self, [width, height]: [f64; 2]) -> String {
        let mut file = String::from("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n");
        let _ = write!(file, "9\n$EXTMIN\n10\n0.0\n20\n0.0\n30\n0.0\n");
        let _ = write!(file, "9\n$EXTMAX\n10\n{width:.4}\n20\n{height:.4}\n30\n0.0\n0\nENDSEC\n");
        let _ = write!(file, "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n70\n{}\n", self.layers.len());
        for (colour, layer) in (1..).zip(&self.layers) {
            let _ = write!(file, "0\nLAYER\n2\n{layer}\n70\n0\n62\n{colour}\n6\nCONTINUOUS\n");
        }
        file.push_str("0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
        file.push_str(&self.entities);
        file.push_str("0\nENDSEC\n0\nEOF\n");
        file
    }
}

/// Words in ASCII.
fn ascii(words: &str) -> String {
    let mut text = String::new();
    for c in words.chars() {
        match u32::from(c) {
            0x20..=0x7e => text.push(c),
            code @ 0xa0..=0xffff => {
                let _ = write!(text, "\\U+{code:04X}");
            }
            _ => text.push('?'),
        }
    }
    text
}
