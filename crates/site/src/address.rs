//! What stands in the address of a page: a setting, a layer and a view, so that what one sees can be sent to a friend.

use crate::opened::VersionView;
use analysis::SettingError;
use circuit::{Circuit, ControlId};
use finding::Finding;
use std::fmt::Write as _;

/// The fields of a form or an address, in their order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Fields(Vec<(String, String)>);

impl Fields {
    pub fn read(encoded: &[u8]) -> Fields {
        Fields(form_urlencoded::parse(encoded).into_owned().collect())
    }

    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(n, _)| n == name).map(|(_, value)| value.as_str())
    }

    pub fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str()))
    }
}

/// Words of an address that are no names of turnouts.
const OWN: [&str; 8] = ["layer", "view", "at", "way", "done", "marks", "zoom", "was"];

/// How the layout is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Shown {
    /// A position for each control.
    pub positions: Vec<Option<u8>>,
    /// What the rails show.
    pub layer: LayerName,
    /// Whether it is seen by somebody who lies under it.
    pub below: bool,
    /// Whether findings are marked on the drawing.
    pub marks: bool,
    /// How near it is looked at.
    pub zoom: Zoom,
}

/// How near a drawing is looked at. Letters are never smaller than can be read: what would be is left out, and comes nearer by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Zoom {
    /// The whole of it on the screen, without letters.
    Whole,
    /// With names, which scrolls.
    Names,
    /// With all numbers too.
    Numbers,
}

impl Zoom {
    pub const ALL: [(Zoom, &str, &str); 3] = [
        (Zoom::Whole, "whole", "whole"),
        (Zoom::Names, "names", "names"),
        (Zoom::Numbers, "numbers", "numbers, near by"),
    ];

    pub fn word(self) -> &'static str {
        Zoom::ALL.iter().find(|z| z.0 == self).map_or("names", |z| z.1)
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LayerName {
    Phase,
    Volts,
    Fault,
    Movement,
    Failures,
    None,
}

impl LayerName {
    pub const ALL: [(LayerName, &str, &str); 6] = [
        (LayerName::Phase, "phase", "phases"),
        (LayerName::Volts, "volts", "volts"),
        (LayerName::Fault, "fault", "current of a short"),
        (LayerName::Movement, "movement", "movement"),
        (LayerName::Failures, "failures", "single failures"),
        (LayerName::None, "none", "bare rails"),
    ];

    /// The words of all.
    fn words() -> Vec<&'static str> {
        LayerName::ALL.iter().map(|l| l.1).collect()
    }

    pub fn word(self) -> &'static str {
        LayerName::ALL.iter().find(|l| l.0 == self).map_or("phase", |l| l.1)
    }
}

/// Why an address shows nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoView {
    /// It names nothing that has positions, or a position that it has not.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// It names no layer.
    #[error("there is no layer `{name}`; layers are {}", LayerName::words().join(", "))]
    Layer {
        /// The word.
        name: String,
    },
    /// It names no side.
    #[error("there is no view `{0}`; it is above or below")]
    Side(String),
    /// It asks for some marks only.
    #[error("marks are all or none, and not `{0}`")]
    Marks(String),
    /// It asks for no zoom.
    #[error("zoom is whole, names or numbers, and not `{0}`")]
    Zoom(String),
}

impl Shown {
    /// What an address asks for.
    ///
    /// # Errors
    /// Where it names nothing that has positions, or no layer.
    pub fn read(fields: &Fields, circuit: &Circuit) -> Result<Shown, NoView> {
        let named: Vec<String> = fields
            .all()
            .filter(|(name, _)| !OWN.contains(name))
            .map(|(name, position)| format!("{name}={position}"))
            .collect();
        let positions = analysis::setting_positions(circuit, &named)?;
        let layer = match fields.get("layer") {
            None => LayerName::Phase,
            Some(word) => {
                let known = LayerName::ALL.iter().find(|l| l.1 == word);
                known.map(|l| l.0).ok_or_else(|| NoView::Layer { name: word.to_owned() })?
            }
        };
        let below = match fields.get("view") {
            None | Some("above") => false,
            Some("below") => true,
            Some(word) => return Err(NoView::Side(word.to_owned())),
        };
        let marks = match fields.get("marks") {
            None | Some("all") => true,
            Some("none") => false,
            Some(word) => return Err(NoView::Marks(word.to_owned())),
        };
        let zoom = match fields.get("zoom") {
            None => Zoom::Names,
            Some(word) => {
                let known = Zoom::ALL.iter().find(|z| z.1 == word);
                known.map(|z| z.0).ok_or_else(|| NoView::Zoom(word.to_owned()))?
            }
        };
        Ok(Shown { positions, layer, below, marks, zoom })
    }

    /// The same with one control moved to its next position.
    pub fn thrown(&self, circuit: &Circuit, control: ControlId) -> Shown {
        let mut shown = self.clone();
        let of = circuit.controls.get(control.index()).map_or(1, |c| c.positions.len().max(1));
        if let Some(position) = shown.positions.get_mut(control.index()) {
            let next = (usize::from(position.unwrap_or(0)) + 1) % of;
            *position = u8::try_from(next).ok();
        }
        shown
    }

    /// The words of a position: `T1`, `diverging`.
    pub fn words<'c>(&self, circuit: &'c Circuit, control: ControlId) -> (&'c str, &'c str) {
        let c = &circuit.controls[control];
        let at = usize::from(self.positions.get(control.index()).copied().flatten().unwrap_or(c.usual));
        (&c.name, c.positions.get(at).map_or("", String::as_str))
    }

    /// What does not stand as it usually does, as `T1=diverging`.
    pub fn setting(&self, circuit: &Circuit) -> Vec<String> {
        self.set(circuit).map(|(name, position)| format!("{name}={position}")).collect()
    }

    pub fn set<'c>(&'c self, circuit: &'c Circuit) -> impl Iterator<Item = (&'c str, &'c str)> {
        let usual = circuit.complete(&[]);
        let moved = move |&control: &ControlId| {
            let position = self.positions.get(control.index()).copied().flatten();
            position.is_some() && position != usual[control.index()]
        };
        ControlId::all(circuit.controls.len()).filter(moved).map(|control| self.words(circuit, control))
    }

    /// The address of a page that shows this, with more fields in front.
    pub fn address(&self, circuit: &Circuit, page: &str, more: &[(&str, &str)]) -> String {
        let mut fields: Vec<(&str, &str)> = more.to_vec();
        fields.extend(self.set(circuit));
        if self.layer != LayerName::Phase {
            fields.push(("layer", self.layer.word()));
        }
        if self.below {
            fields.push(("view", "below"));
        }
        if !self.marks {
            fields.push(("marks", "none"));
        }
        if self.zoom != Zoom::Names {
            fields.push(("zoom", self.zoom.word()));
        }
        address(page, &fields)
    }
}

/// An address with fields.
pub(crate) fn address(page: &str, fields: &[(&str, &str)]) -> String {
    let mut out = page.to_owned();
    if !fields.is_empty() {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(fields);
        let _ = write!(out, "?{}", query.finish());
    }
    out
}

/// The address of the page of a finding.
pub(crate) fn page_of(opened: &VersionView<'_>, finding: &Finding) -> String {
    address("/finding", &[("name", finding.name), ("n", &number_of(opened, finding).to_string())])
}

/// Which of the findings of its name it is, from 1.
fn number_of(opened: &VersionView<'_>, finding: &Finding) -> usize {
    let alike = opened.review.findings.iter().filter(|f| f.name == finding.name);
    alike.take_while(|f| !std::ptr::eq(*f, finding)).count() + 1
}
