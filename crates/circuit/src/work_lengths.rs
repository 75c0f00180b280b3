//! How long special trackwork is.

use handbook::quantity::{Metres, Quantity};
use handbook::scales;
use plan::{At, Kind, Plan};

/// The lengths of a piece of trackwork, in metres.
#[derive(Clone, Copy, Debug)]
pub struct WorkLengths {
    /// The frog's number.
    pub number: f64,
    /// From the points to the frog.
    pub lead: f64,
    /// From the frog to the far ends.
    pub tail: f64,
    /// From an acute frog to an obtuse crossing.
    pub span: f64,
}

impl Default for WorkLengths {
    /// Lengths for whoever asks a template for nothing but its words.
    fn default() -> Self {
        WorkLengths { number: 1.0, lead: 1.0, tail: 1.0, span: 1.0 }
    }
}

impl WorkLengths {
    /// As the plan says or, where it does not, as they are guessed from the frog's number and the scale.
    pub fn from_plan(plan: &Plan, kind: Kind, index: usize) -> WorkLengths {
        let none = (None, None, None, None);
        let (number, angle, lead, tail) = match kind {
            Kind::Turnout => {
                let t = &plan.turnout[index];
                (t.number.as_ref(), t.angle.as_ref(), t.lead.as_ref(), t.tail.as_ref())
            }
            Kind::Crossing => (plan.crossing[index].number.as_ref(), plan.crossing[index].angle.as_ref(), None, None),
            Kind::Slip => (plan.slip[index].number.as_ref(), None, None, None),
            Kind::ThreeWay => (plan.three_way[index].number.as_ref(), None, None, None),
            _ => none,
        };
        let one_in = (kind == Kind::Turnout).then(|| plan.turnout[index].one_in.as_ref()).flatten();
        let number = match (angle, number, one_in) {
            (Some(angle), ..) => scales::frog_number(angle.value),
            (None, Some(number), _) => number.value,
            (None, None, Some(n)) => scales::frog_number(scales::continental_frog_angle(n.value)),
            (None, None, None) => 6.0,
        };
        let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
        let guess = scale.or_else(|| scales::scale("OO"));
        let measured = |said: Option<&At<Metres>>, guess: f64| said.map_or(guess, |m| m.value.si());
        // Rails that cross at a frog are a gauge apart after number × gauge; so far apart lie the frogs of a crossing too.
        let apart = guess.map_or(0.1, |s| number * s.gauge.value.si());
        WorkLengths {
            number,
            lead: measured(lead, guess.map_or(0.15, |s| scales::turnout_lead(s, number).typical.si())),
            tail: measured(tail, apart),
            span: apart,
        }
    }
}
