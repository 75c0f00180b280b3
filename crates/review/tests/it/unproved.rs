//! A plan whose proof outgrew the limit. No small plan does, so the failure is put in by hand.

use analysis::{Analysis, Unproved};

#[test]
fn a_plan_that_outgrew_the_limit_is_reported_as_not_proved() {
    let text = "[layout]\nname = \"t\"\nscale = \"OO\"\n\
                [[track]]\nname = \"a\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"1 m\"\n";
    let reading = plan::read(text);
    let outgrew = "the plan is too tangled to be proved: a condition outgrew 1048576 decision nodes";
    let reported = |analysis: &Analysis<'_>| {
        let mut found = Vec::new();
        let summary = review::run_rules(analysis, &mut found).render(80);
        (found.iter().any(|f| f.message == outgrew), summary.contains("nothing: see below"))
    };
    let analysis = Analysis::of(text, &reading.plan, &reading.names);
    assert_eq!(reported(&analysis), (false, false));
    let unproved = Err(Unproved::TooComplex(1 << 20));
    let analysis = Analysis::of_proved((text, &reading.plan, &reading.names), analysis.circuit, unproved);
    assert_eq!(reported(&analysis), (true, true));
}
