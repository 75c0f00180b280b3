//! What a hunt is made with: the kit, the age, and what may be pulled.

use crate::address::{Fields, address};
use crate::hunted::kit_word;
use diagnosis::Kit;
use maud::{Markup, html};

/// What is hunted with.
pub(super) struct Means {
    pub kit: Kit,
    /// As it was typed: `8`, or empty where nobody knows.
    pub age: String,
    pub pulling: bool,
    pub skipped: usize,
    /// Whether the drawing is seen from below.
    pub below: bool,
}

impl Means {
    pub fn read(fields: &Fields) -> Means {
        let kits = [Kit::Bench, Kit::Ohmmeter, Kit::Buzzer, Kit::Volts];
        let kit = kits.into_iter().find(|kit| Some(kit_word(*kit)) == fields.get("kit")).unwrap_or(Kit::Ohmmeter);
        let age = fields.get("age").unwrap_or_default().trim().to_owned();
        let skipped = fields.get("skip").and_then(|skip| skip.parse().ok()).unwrap_or(0);
        Means {
            kit,
            age,
            pulling: fields.get("pulling") != Some("no"),
            skipped,
            below: fields.get("seen") == Some("below"),
        }
    }

    pub fn years(&self) -> Option<f64> {
        self.age.replace(',', ".").parse().ok().filter(|years| (0.0..=100.0).contains(years))
    }

    pub fn address(&self, skipped: usize) -> String {
        let skip = skipped.to_string();
        let mut fields = vec![("kit", kit_word(self.kit))];
        fields.extend(Some(("age", self.age.as_str())).filter(|age| !age.1.is_empty()));
        fields.extend(Some(("pulling", "no")).filter(|_| !self.pulling));
        fields.extend(Some(("skip", skip.as_str())).filter(|_| skipped > 0));
        fields.extend(Some(("seen", "below")).filter(|_| self.below));
        address("/hunt", &fields)
    }

    /// The same page with the drawing from the other side.
    pub fn other_side(&self) -> String {
        let other = Means { age: self.age.clone(), below: !self.below, ..*self };
        other.address(self.skipped)
    }
}

/// What is measured with, and what else is known.
pub(super) fn choices(means: &Means) -> Markup {
    let kits = [
        (Kit::Ohmmeter, "an ohmmeter"),
        (Kit::Bench, "a bench supply at 1 A and millivolts"),
        (Kit::Buzzer, "a buzzer or lamp"),
        (Kit::Volts, "a load of 1 A and a voltmeter, power on"),
    ];
    html! {
        section aria-labelledby="with" {
            h2 id="with" { "What you have" }
            form.choices method="get" action="/hunt" {
                @if means.below { input type="hidden" name="seen" value="below"; }
                p {
                    label for="kit" { "To measure with" }
                    select #kit name="kit" { @for (kit, says) in kits { option value=(kit_word(kit)) selected[kit == means.kit] { (says) } } }
                }
                p {
                    label for="age" { "Years the layout has behind it" }
                    input #age name="age" value=(means.age) inputmode="decimal" autocomplete="off" placeholder="not known";
                }
                p {
                    label for="pulling" { "May feeders be pulled?" }
                    select #pulling name="pulling" {
                        option value="yes" selected[means.pulling] { "yes" }
                        option value="no" selected[!means.pulling] { "no" }
                    }
                }
                p { button.second type="submit" { "Go on with this" } }
            }
        }
    }
}
