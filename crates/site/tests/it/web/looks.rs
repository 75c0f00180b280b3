//! What the pages show.

use super::client::{demo, serve, serve_folder};

/// Every page of Thistle Dock.
pub const PAGES: &[&str] = &[
    "/",
    "/?T1=diverging&layer=phase&view=below",
    "/?layer=volts",
    "/?layer=fault",
    "/?layer=movement",
    "/?layer=failures",
    "/?layer=none",
    "/?zoom=whole",
    "/?zoom=numbers&T1=diverging",
    "/place?at=dock+1",
    "/place?at=T1",
    "/place?at=T1&T1=diverging",
    "/place?at=dock+1.right+%40+1+m",
    "/place?at=dock+1+%40+1+m&T1=diverging",
    "/place?at=F-1",
    "/place?at=G-1",
    "/place?at=J-1",
    "/place?at=W-1",
    "/findings",
    "/explain",
    "/explain?name=short-circuit",
    "/routes",
    "/profile?way=1",
    "/profile.svg?way=1",
    "/plan",
    "/lines",
    "/?marks=none",
    "/place?at=main+bus",
    "/place?at=M1",
    "/place?at=booster",
    "/change",
    "/changed",
    "/bench",
    "/bench?test=1",
    "/bench?order=2",
    "/bench?show=jobs",
    "/bench?show=tests",
    "/bench?show=book",
    "/hunt",
    "/hunt?kit=bench&age=8",
    "/papers",
    "/papers?of=F-1",
    "/papers?of=dock+1&page=Letter&large=yes",
    "/paper?name=wire-list",
    "/paper?name=gaps-and-joints&units=imperial",
    "/paper?name=drilling-templates",
];

#[test]
fn every_page_is_there_and_whole() {
    let served = serve(demo("thistle-dock"));
    for path in PAGES {
        let page = served.get(path).expect(200);
        if page.header("content-type") == Some("image/svg+xml") {
            assert!(page.body.starts_with("<svg") || page.body.starts_with("<?xml"), "{path}");
            continue;
        }
        for (what, of) in
            [("<h1", 1), ("<main", 1), ("<html lang=\"en\"", 1), ("<nav aria-label=\"Pages\"", 1), ("<title>", 1)]
        {
            let least = page.body.matches(what).count() >= of;
            assert!(least, "{path} lacks {what}");
        }
        assert_eq!(page.body.matches("<h1").count(), 1, "{path} has one first heading");
        assert!(page.body.contains("Thistle Dock"), "{path} does not say which layout it is of");
        ids_stand_once(path, &page.body);
        labels_have_their_fields(path, &page.body);
    }
}

fn values<'b>(body: &'b str, name: &str) -> Vec<&'b str> {
    let start = format!(" {name}=\"");
    body.match_indices(&start).filter_map(|(at, _)| body[at + start.len()..].split('"').next()).collect()
}

fn ids_stand_once(path: &str, body: &str) {
    let ids = values(body, "id");
    let once: std::collections::BTreeSet<_> = ids.iter().collect();
    assert_eq!(ids.len(), once.len(), "{path}: {ids:?}");
}

fn labels_have_their_fields(path: &str, body: &str) {
    let ids = values(body, "id");
    for name in ["for", "aria-labelledby", "aria-describedby"] {
        for of in values(body, name) {
            assert!(ids.contains(&of), "{path}: {name}={of} leads nowhere");
        }
    }
}

/// All links of all pages lead to pages, two steps deep.
#[test]
fn no_link_is_broken() {
    let served = serve(demo("thistle-dock"));
    let mut seen = std::collections::BTreeSet::new();
    let mut next: Vec<String> = PAGES.iter().map(|p| (*p).to_owned()).collect();
    for _ in 0..2 {
        let mut found = Vec::new();
        for path in next {
            let address = path.split('#').next().unwrap_or_default().to_owned();
            if address.is_empty() || !seen.insert(address.clone()) {
                continue;
            }
            let page = served.get(&address);
            assert!([200, 303].contains(&page.status), "{address}: {}", page.status);
            found.extend(values(&page.body, "href").into_iter().map(|h| h.replace("&amp;", "&")));
        }
        next = found;
    }
    assert!(seen.len() > 60, "only {} addresses were found", seen.len());
}

#[test]
fn a_thrown_turnout_moves_the_phases() {
    let served = serve(demo("thistle-dock-mended"));
    let [through, diverging] = ["/", "/?T1=diverging"].map(|path| served.get(path).expect(200).body);
    let rails = |body: &str| -> Vec<String> {
        body.lines()
            .filter(|l| l.contains("data-edge"))
            .filter_map(|l| l.split("class=\"").nth(1))
            .map(|l| l.split('"').next().unwrap_or_default().to_owned())
            .collect()
    };
    assert!(!rails(&through).is_empty());
    assert_ne!(rails(&through), rails(&diverging));
    assert!(through.contains("href=\"/?T1=diverging\""), "the turnout is a link that throws it");
    assert!(diverging.contains("T1</b> stands <em>diverging"));
    let way = served.get("/?way=1").expect(303);
    assert!(way.header("location").is_some_and(|to| to.starts_with('/')), "{}", way.head);
}

/// Whatever page it is typed on, the search leads to what is meant.
#[test]
fn the_search_minds_neither_case_nor_blanks() {
    let served = serve(demo("thistle-dock-mended"));
    for path in PAGES.iter().filter(|path| !path.contains(".svg")) {
        let page = served.get(path).body;
        assert!(page.contains("role=\"search\"") && page.contains("action=\"/place\""), "{path} has no search");
    }
    for (typed, to) in [
        ("DOCK1", "/place?at=dock+1"),
        ("  dock   1 ", "/place?at=dock+1"),
        ("t 1", "/place?at=T1"),
        ("f1", "/place?at=F-1"),
        ("g - 1", "/place?at=G-1"),
        ("Dock1.RIGHT@1,2 m", "/place?at=dock+1.right+%40+1.2+m"),
        ("main BUS", "/place?at=main+bus"),
        ("Test 12", "/bench?test=12"),
        ("12", "/bench?test=12"),
    ] {
        let told = served.get(&format!("/place?{}", super::client::encoded(&[("at", typed)]))).expect(303);
        assert_eq!(told.header("location"), Some(to), "{typed:?}");
        served.get(to).expect(200);
    }
    // The setting stays on the way there; what is called so already is shown at once.
    let told = served.get("/place?at=DOCK+1&T1=diverging").expect(303);
    assert_eq!(told.header("location"), Some("/place?at=dock+1&T1=diverging"));
    served.get("/place?at=dock+1").expect(200);
    let none = served.get("/place?at=doc").expect(404).body;
    assert!(none.contains("Perhaps you mean") && none.contains("dock 2</a>"), "{none}");
}

#[test]
fn a_throw_is_what_the_page_of_the_new_setting_shows() {
    let mut sent = 0;
    for name in ["thistle-dock-mended", "two-ladders", "wye", "two-districts"] {
        let served = serve(demo(name));
        let home = served.get("/?zoom=numbers").expect(200).body;
        let known: std::collections::BTreeSet<&str> = values(&home, "data-control").into_iter().collect();
        for layer in ["phase", "volts", "failures"] {
            let mut was = format!("layer={layer}&zoom=numbers");
            for control in known.iter().take(4) {
                let page = served.get(&format!("/?{was}")).expect(200).body;
                let then = page.split(&format!("data-control=\"{control}\" data-then=\"")).nth(1).expect("a link");
                let then = then.split('"').next().unwrap_or_default();
                let fields = [("was", was.as_str())];
                let now = format!("{was}&{}", super::client::encoded(&[(control, then)]));
                let told = served.get(&format!("/thrown?{now}&{}", super::client::encoded(&fields)));
                let page_now = served.get(&format!("/?{now}")).expect(200).body;
                if told.status == 400 {
                    // The legend is another one: the whole page is asked for.
                    was = now;
                    continue;
                }
                let mut rails = rails_of(&page);
                for line in told.expect(200).body.lines() {
                    let cells: Vec<&str> = line.split('\t').collect();
                    if cells[0] == "R" {
                        rails.insert(cells[1].to_owned(), cells[2].to_owned());
                        sent += 1;
                    }
                }
                let there = rails_of(&page_now);
                let differ: Vec<_> = there.iter().filter(|(edge, class)| rails.get(*edge) != Some(class)).collect();
                assert!(differ.is_empty() && !there.is_empty(), "{name} {layer} {control}: {differ:?}");
                was = now;
            }
        }
    }
    assert!(sent > 50, "hardly anything changed: {sent}");
}

/// The class of each piece of rail on a drawing.
fn rails_of(page: &str) -> std::collections::BTreeMap<String, String> {
    let paths = page.split("<path class=\"").filter(|path| path.contains(" data-edge=\""));
    let between =
        |path: &str, start: &str| path.split_once(start).and_then(|p| p.1.split_once('"')).map(|p| p.0.to_owned());
    paths.filter_map(|path| Some((between(path, "data-edge=\"")?, path.split_once('"')?.0.to_owned()))).collect()
}

#[test]
fn a_page_of_200_turnouts_is_short_on_its_way() {
    use oracle::ladders::{LadderShape, plan};
    for (shape, turnouts) in [(LadderShape::Ladder, 200), (LadderShape::Yards, 198)] {
        let served = serve(&plan(shape, turnouts));
        let squeezed = || served.send("GET", "/", &["Accept-Encoding: gzip"], "");
        let mut told = squeezed();
        for _ in 0..60 {
            if told.header("refresh").is_none() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(500));
            told = squeezed();
        }
        assert_eq!(told.header("content-encoding"), Some("gzip"));
        let length: usize = told.header("content-length").expect("a length").parse().expect("a number");
        eprintln!("{shape:?}, {turnouts} turnouts: {length} bytes squeezed");
        assert!(length < 150_000 && length > 20_000, "{length}");
        let whole = served.send("GET", "/", &["Accept-Encoding: gzip;q=0"], "");
        assert_eq!(whole.header("content-encoding"), None);
    }
}

/// The number of a way differs between the table, sorted by where ways lead, and the order in which they are found.
#[test]
fn a_way_sets_what_its_name_says() {
    let served = serve(demo("seven-tracks"));
    let home = served.get("/").expect(200).body;
    let ways = served.get("/routes").expect(200).body;
    for (road, turnout) in [(1, "T1"), (3, "T3"), (6, "T6")] {
        let name = format!("yard lead to road {road}<");
        let (option, _) = home.split_once(&name).expect("an option");
        let number = option.rsplit_once("value=\"").expect("its value").1.split('"').next().unwrap_or_default();
        let to = served.get(&format!("/?way={number}")).expect(303).header("location").expect("an address").to_owned();
        let (link, _) = ways.split_once(&name).expect("a link");
        let from_table = link.rsplit_once("href=\"").expect("its address").1.split('"').next().unwrap_or_default();
        for address in [to, from_table.replace("&amp;", "&")] {
            let page = served.get(&address).expect(200).body;
            for control in 1..=6 {
                let stands = if format!("T{control}") == turnout { "diverging" } else { "through" };
                let said = format!("T{control}</b> stands <em>{stands}");
                assert!(page.contains(&said), "{address}, for road {road}, lacks {said}");
            }
        }
        let plot = format!("/profile?way={road}");
        assert!(served.get(&plot).expect(200).body.contains(&format!("<h1>yard lead to road {road}</h1>")), "{plot}");
    }
}

#[test]
fn a_place_tells_its_volts() {
    let served = serve(demo("thistle-dock-mended"));
    let page = served.get("/place?at=dock+1+%40+1+m&T1=diverging").expect(200).body;
    for words in ["A train gets", "A short draws", " V;", "booster.A", "line "] {
        assert!(page.contains(words), "no {words:?} in\n{page}");
    }
    let dead = served.get("/place?at=dock+1+%40+1+m").expect(200).body;
    assert!(dead.contains("It is dead") || dead.contains("gets nothing"), "{dead}");
}

#[test]
fn the_drawing_of_seven_tracks_is_no_burden() {
    let served = serve(demo("seven-tracks"));
    let page = served.get("/").expect(200).body.len();
    let with_all = page
        + served.get("/style.css").body.len()
        + ["/site.js", "/drawing.js", "/kept.js", "/bench.js"]
            .map(|path| served.get(path).body.len())
            .iter()
            .sum::<usize>()
        + served.get("/icon.svg").body.len();
    assert!(with_all < 300_000, "{with_all} bytes");
    for path in ["/site.js", "/drawing.js", "/kept.js"] {
        assert!(served.get(path).body.len() < 9_000, "{path}");
    }
    assert!(served.get("/bench.js").body.len() < 14_000);
    eprintln!("home page of seven tracks: {page} bytes, {with_all} with style, script and sign");
}

#[test]
fn all_demo_plans_open() {
    let served = serve_folder();
    let start = served.get("/").expect(200);
    assert!(start.body.contains("Demo plans"));
    for demo in site::demos::DEMOS {
        assert!(start.body.contains(&format!("href=\"/demo/{}/\"", demo.name)));
        for path in ["/", "/findings", "/routes", "/plan", "/lines", "/?layer=volts", "/bench", "/hunt"] {
            let page = served.get(&format!("/demo/{}{path}", demo.name)).expect(200);
            assert!(page.body.contains("(a demo plan)"), "{} {path}", demo.name);
        }
    }
}

#[test]
fn words_of_a_plan_are_words_and_nothing_else() {
    let sly = demo("thistle-dock").replace("Thistle Dock", "<script>alert(1)</script> & co").replace("dock 1", "d<b>1");
    let served = serve(&sly);
    for path in ["/", "/findings", "/plan", "/lines", "/routes", "/place?at=d%3Cb%3E1"] {
        let body = served.get(path).body;
        assert!(!body.contains("<script>alert") && !body.contains("d<b>1"), "{path}");
    }
}

#[test]
fn a_plan_that_cannot_be_read_still_shows_its_text() {
    for text in ["", "[layout\nname = 3", "\u{feff}[[track]]", "[layout]\nname = \"x\"\n[[track]]\nname = 4\n"] {
        let served = serve(text);
        for path in ["/", "/findings", "/routes", "/plan", "/lines", "/place?at=T1", "/place?at=F-1"] {
            let page = served.get(path);
            assert!(page.status < 500, "{path} of {text:?}: {}", page.status);
        }
        if !text.is_empty() {
            assert!(served.get("/plan").body.contains("textarea"));
        }
    }
}
