//! Papers to read, print and take away.

use super::client::{Served, demo, serve, serve_folder};
use schedule::{Choices, Job};
use std::collections::BTreeSet;

fn papers(body: &str, base: &str) -> BTreeSet<String> {
    let start = format!("href=\"{base}/paper?");
    let links = body.match_indices(&start).filter_map(|(at, _)| body[at + 6..].split('"').next());
    links.map(|link| link.replace("&amp;", "&")).collect()
}

#[test]
fn every_paper_of_every_demo_plan_is_a_page() {
    let served = serve_folder();
    for demo in site::demos::DEMOS {
        let base = format!("/demo/{}", demo.name);
        let list = served.get(&format!("{base}/papers")).expect(200).body;
        let papers = papers(&list, &base);
        assert!(papers.len() >= 15, "{}: {papers:?}", demo.name);
        for paper in &papers {
            let page = served.get(paper).expect(200).body;
            assert_eq!(page.matches("<h1").count(), 1, "{paper}");
            let ids: Vec<&str> =
                page.match_indices(" id=\"").filter_map(|(at, _)| page[at + 5..].split('"').next()).collect();
            let once: BTreeSet<&&str> = ids.iter().collect();
            assert_eq!(ids.len(), once.len(), "{} {paper}: a row is named twice", demo.name);
            // Every table lies in a box that scrolls, is named and can be reached by the keyboard; and no two names are alike.
            assert_eq!(page.matches("<table").count(), page.matches("This table as CSV</a>").count(), "{paper}");
            let regions: Vec<&str> = page
                .match_indices("tabindex=\"0\" role=\"region\" aria-label=\"")
                .filter_map(|(at, start)| page[at + start.len()..].split('"').next())
                .collect();
            assert!(regions.len() >= page.matches("<table").count(), "{paper}");
            assert_eq!(regions.len(), regions.iter().collect::<BTreeSet<_>>().len(), "{paper}: {regions:?}");
            assert!(!page.contains(" style=\""), "{paper}: the pages allow no styles inside them");
        }
    }
}

#[test]
fn rows_lead_to_places_and_places_to_rows() {
    let served = serve(demo("thistle-dock-mended"));
    let wires = served.get("/paper?name=wire-list").expect(200).body;
    assert!(wires.contains("<tr id=\"F-1\"") && wires.contains("href=\"/place?at=F-1\""), "{wires}");
    assert!(served.get("/place?at=F-1").expect(200).body.contains("href=\"/papers?of=F-1\""));
    let rows = served.get("/papers?of=F-1").expect(200).body;
    let made = "&amp;page=A4&amp;units=metric";
    for place in ["wire-list&#F-1", "feeders&", "cold-tests&#"].map(|p| format!("/paper?name={}", p.replace('&', made)))
    {
        assert!(rows.contains(&place), "{place} is not in {rows}");
    }
    for link in rows.match_indices("href=\"/paper?name=").filter_map(|(at, _)| rows[at + 6..].split('"').next()) {
        let (page, row) = link.split_once('#').unwrap_or((link, ""));
        let page = served.get(&page.replace("&amp;", "&")).expect(200).body;
        assert!(row.is_empty() || page.contains(&format!("<tr id=\"{row}\"")), "{link} leads to no row");
    }
    assert!(served.get("/papers?of=dock+1").expect(200).body.contains("dock 1 in the papers"));
    assert!(served.get("/papers?of=dock+9").expect(200).body.contains("No row of a table names it"));
    assert_eq!(served.get("/paper?name=../plan").status, 404);
}

/// The files as their own tables say them; what is in them is held against the command's in its own tests.
#[test]
fn papers_are_taken_away_as_files() {
    let served = serve(demo("thistle-dock-mended"));
    for (path, kind, starts, name) in [
        ("/binder.pdf", "application/pdf", "%PDF-", "Thistle-Dock.pdf"),
        ("/binder.pdf?page=Letter&large=yes", "application/pdf", "%PDF-", "Thistle-Dock.pdf"),
        ("/paper.pdf?name=drilling-templates", "application/pdf", "%PDF-", "drilling-templates.pdf"),
        (
            "/tables.xlsx",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            "PK",
            "Thistle-Dock.xlsx",
        ),
        ("/table.csv?name=wires", "text/csv; charset=utf-8", "number,", "wires.csv"),
        ("/drawing.svg?name=layout-from-above&take=yes", "image/svg+xml", "<svg", "layout-from-above.svg"),
    ] {
        let told = served.get(path).expect(200);
        assert_eq!(told.header("content-type"), Some(kind), "{path}");
        assert!(told.body.starts_with(starts), "{path}");
        let kept = told.header("content-disposition").unwrap_or_default();
        assert!(kept.starts_with("attachment") && kept.contains(name), "{path}: {kept}");
    }
    let picture = served.get("/drawing.svg?name=layout-from-above").expect(200);
    assert!(picture.header("content-disposition").is_none(), "shown in a page");
    for path in ["/paper.pdf", "/paper.pdf?name=x", "/table.csv?name=..%2Fplan.toml", "/drawing.svg?name=x"] {
        served.get(path).expect(404);
    }
    served.post("/papers", &[]).expect(405);
}

#[test]
fn a_plan_that_is_not_understood_has_no_papers_and_says_why() {
    let served = serve("[layout");
    for path in ["/papers", "/paper?name=wire-list", "/binder.pdf", "/tables.xlsx"] {
        assert!(served.get(path).expect(200).body.contains("not understood"), "{path}");
    }
}

/// Puts papers beside a plan, in which the first feeder has the number 77.
fn kept(served: &Served, of: &str, folder: &str) {
    let reading = plan::read(of);
    let job = Job::new(analysis::Analysis::of(of, &reading.plan, &reading.names), Choices::default());
    let record = job.record().to_csv().replace("number,F-1,", "number,F-77,");
    assert!(record.contains("F-77"));
    let folder = served.folder.path().join(folder);
    std::fs::create_dir(&folder).expect("made");
    std::fs::write(folder.join("gapwright-papers.txt"), "# ours\n").expect("written");
    std::fs::write(folder.join("numbers.csv"), record).expect("written");
}

#[test]
fn numbers_of_papers_made_before_go_on_everywhere() {
    let text = demo("thistle-dock-mended");
    let served = serve(text);
    assert!(served.get("/papers").expect(200).body.contains("numbered in the order of the plan"));
    assert!(!served.get("/").expect(200).body.contains("F-77"));
    kept(&served, text, "papers");
    assert!(served.get("/papers").expect(200).body.contains("numbers of the papers in the folder <b>papers</b>"));
    for path in ["/", "/paper?name=wire-list", "/place?at=F-77", "/place?at=approach"] {
        assert!(served.get(path).expect(200).body.contains("F-77"), "{path}");
    }
    assert_eq!(served.get("/place?at=F-1").status, 404, "the number is F-77 now, on every page");
    let files = || std::fs::read_dir(served.folder.path().join("papers")).expect("there").count();
    served.get("/binder.pdf").expect(200);
    assert_eq!(files(), 2, "nothing is written there");
}

#[test]
fn numbers_of_another_layout_are_not_taken() {
    let served = serve(demo("wye"));
    kept(&served, demo("seven-tracks"), "other");
    let list = served.get("/papers").expect(200).body;
    assert!(list.contains("are not used") && list.contains("folder other"), "{list}");
    std::fs::write(served.folder.path().join("other/numbers.csv"), "nonsense\n").expect("written");
    let list = served.get("/papers").expect(200).body;
    assert!(list.contains("are not used") && list.contains("record,1"), "{list}");
}

#[test]
fn others_are_answered_while_binders_are_made() {
    let served = serve(demo("seven-tracks"));
    std::thread::scope(|all| {
        let served = &served;
        let makers: Vec<_> = ["", "?page=Letter", "?large=yes", "?units=imperial", "?colours=nem-605"]
            .map(|how| all.spawn(move || served.get(&format!("/binder.pdf{how}")).expect(200)))
            .into();
        for _ in 0..20 {
            served.get("/findings").expect(200);
        }
        for maker in makers {
            assert!(maker.join().expect("answered").body.starts_with("%PDF-"));
        }
    });
}

/// Whoever changes the plan on a page keeps the numbers: what was put in before a wire leaves that wire's number alone.
#[test]
fn numbers_stay_over_changes_made_on_pages() {
    let text = demo("thistle-dock-mended");
    let served = serve(text);
    let number_of = |what: &str| {
        let list = served.get("/table.csv?name=wires").body;
        let row =
            list.lines().find(|line| line.contains(what)).unwrap_or_else(|| panic!("no {what} in {list}")).to_owned();
        row.split(',').next().unwrap_or_default().to_owned()
    };
    let before = number_of("feeder of dock 2");
    let page = served.get("/place?at=approach").expect(200);
    let (token, based_on) = (page.hidden("token"), page.hidden("based-on"));
    let fields = [("of", "approach"), ("at", "0.1 m"), ("rail", "left"), ("to", "")];
    let form = [("token", token.as_str()), ("based-on", based_on.as_str()), ("act", "add-feeder")];
    served.post("/act", &[&form[..], &fields[..]].concat()).expect(303);
    assert_eq!(number_of("feeder of dock 2"), before);
    assert!(served.get("/papers").expect(200).body.contains("kept in the file <b>"));
    let kept: Vec<_> = std::fs::read_dir(served.folder.path())
        .expect("there")
        .filter_map(|entry| entry.expect("there").file_name().into_string().ok())
        .filter(|name| name.ends_with(".numbers.csv"))
        .collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    let record = std::fs::read_to_string(served.folder.path().join(&kept[0])).expect("read");
    assert!(record.contains("\ntest,") || record.contains("\r\ntest,"), "tests have their numbers there too");

    // What is no record is left as it is, and whoever changes the plan is told that the numbers may be others now.
    std::fs::write(served.folder.path().join(&kept[0]), "nonsense\n").expect("written");
    let page = served.get("/place?at=approach").expect(200);
    let (token, based_on) = (page.hidden("token"), page.hidden("based-on"));
    let fields = [("of", "approach"), ("at", "0.2 m"), ("rail", "left"), ("to", "")];
    let form = [("token", token.as_str()), ("based-on", based_on.as_str()), ("act", "add-feeder")];
    let told = served.post("/act", &[&form[..], &fields[..]].concat()).expect(200).body;
    assert!(told.contains("its numbers are not kept") && told.contains(&kept[0]), "{told}");
    assert!(served.get("/lines").expect(200).body.contains("0.2 m"), "the change stands");
}
