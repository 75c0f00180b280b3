//! The file from which a machine drills a panel.

use crate::dxf::Dxf;
use schedule::tables::panels::PanelTables;

/// The holes and the edge of a panel for a machine, seen from the front, zero at the lower left corner.
pub(crate) fn drilling_dxf(tables: &PanelTables) -> String {
    let parts = &tables.wired.parts;
    let [width, height] = parts.size.map(|s| s * 1e3);
    let mut dxf = Dxf::new();
    let corners = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
    for n in 0..4 {
        dxf.line("EDGE", corners[n], corners[(n + 1) % 4]);
    }
    for (_, part) in parts.on_panel() {
        let [x, y] = part.at.map(|a| a * 1e3);
        dxf.circle("HOLES", [x, height - y], part.hole * 1e3);
    }
    let capital = parts.letters * 1e3;
    for (_, part) in parts.on_panel() {
        let [x, y] = part.at.map(|a| a * 1e3);
        dxf.words("NAMES", [x, height - (y + part.hole * 500.0 + capital * 2.0)], capital, &part.name);
    }
    for words in &parts.lettering {
        let [x, y] = words.at.map(|a| a * 1e3);
        let capital = words.height * 1e3;
        dxf.words("NAMES", [x, height - y - capital / 2.0], capital, &words.text);
    }
    dxf.finish([width, height])
}
