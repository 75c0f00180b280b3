//! `wire` and `import`: from bare track to a whole plan.

use super::{run, run_on};

const BARE: &str = "[layout]\nname = \"Bare, of course\" # mine\nscale = \"HO\"\n\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
                    trips = { at = \"5 A\" }\n\n[[track]]\nname = \"lead\"\nfrom = \"beyond\"\nto = \"T1.points\"\nlength = \"1 m\"\n\n\
                    [[track]]\nname = \"main\"\nfrom = \"T1.through\"\nto = \"beyond\"\nlength = \"2 m\"\n\n[[track]]\nname = \"spur\"\n\
                    from = \"T1.diverging\"\nto = \"buffer\"\nlength = \"1.2 m\"\n\n[[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"live-bonded\"\n";

#[test]
fn a_bare_plan_is_wired_in_one_step() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("my plan.toml");
    std::fs::write(&plan, BARE).expect("written");
    let before = run_on(&plan, "check");
    assert_eq!(before.status, 1);
    assert!(
        before.out().contains("This plan is not wired yet") && before.out().contains("gapwright wire"),
        "{}",
        before.out()
    );

    let shown = run_on(&plan, "wire --lines");
    assert_eq!(shown.status, 0, "{}", shown.err());
    for words in
        ["2 gaps behind frogs", "the least there can be", "no findings", "nothing is written yet", "+ gaps = ["]
    {
        assert!(shown.out().contains(words), "{words}:\n{}", shown.out());
    }
    assert!(
        shown.out().lines().all(|line| line.chars().count() <= 80 || line.contains("next:") || line.contains('"')),
        "{}",
        shown.out()
    );
    assert_eq!(std::fs::read_to_string(&plan).expect("a plan"), BARE);

    let written = run_on(&plan, "wire --write");
    assert_eq!((written.status, written.out().contains("written to")), (0, true), "{}", written.out());
    let review = run_on(&plan, "check --format concise");
    assert_eq!((review.status, review.out()), (0, ""), "nothing is found in it");
    let again = run_on(&plan, "wire");
    assert_eq!((again.status, again.err().contains("is wired already")), (2, true), "{}", again.err());
}

#[test]
fn a_spreadsheet_becomes_a_plan() {
    let folder = tempfile::tempdir().expect("a folder");
    let (table, plan) = (folder.path().join("tracks.csv"), folder.path().join("club.toml"));
    std::fs::write(
        &table,
        "name,from,to,length\nlead,beyond,T1.points,1 m\nmain,T1.through,beyond,2 m\nspur,T1.diverging,buffer,1.2 m\n",
    )
    .expect("written");
    let args = ["import".as_ref(), table.as_os_str(), "--plan".as_ref(), plan.as_os_str()];
    let ended = run(&args);
    assert_eq!(
        (ended.status, ended.out().contains("next: gapwright wire")),
        (0, true),
        "{}{}",
        ended.out(),
        ended.err()
    );
    assert_eq!(run_on(&plan, "wire --write").status, 0);
    assert_eq!(run_on(&plan, "check --format concise").out(), "");
    let taken = run(&args);
    assert_eq!((taken.status, taken.err().contains("is there already")), (2, true), "{}", taken.err());
}
