//! How long the papers of a long plan take: a chain of tracks with two feeders each, some 5,000 wires, in all their forms.
//!
//! `cargo bench -p papers --bench long` asks for the usual length, `-- TRACKS` for another; each step is timed by itself,
//! then all forms together. `-- TRACKS plan` prints the plan instead, for `gapwright papers`.

use std::time::Instant;

/// A chain of tracks of 0.3 m, each with a feeder to both rails, along one bus.
fn chain(tracks: usize) -> String {
    let metres = |tracks: usize| tracks as f64 * 0.3;
    let mut text = format!(
        "[layout]\nname = \"Chain\"\nscale = \"OO\"\njoint = \"soldered\"\n\n\
         [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\ntrips = {{ at = \"2 A\", after = \"100 ms\" }}\n\n\
         [[bus]]\nname = \"b\"\nsupply = \"booster\"\nwire = \"6 mm²\"\nlength = \"{:.1} m\"\n",
        metres(tracks) + 2.0
    );
    for at in 1..=tracks {
        let from = if at == 1 { "beyond".to_owned() } else { format!("t{}.to", at - 1) };
        let to = if at == tracks { "beyond".to_owned() } else { format!("t{}.from", at + 1) };
        text.push_str(&format!(
            "\n[[track]]\nname = \"t{at}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"0.3 m\"\nleft = \"b.A\"\nright = \"b.B\"\n\
             along = {{ bus = \"b\", from = \"{:.1} m\", to = \"{:.1} m\" }}\nfeeders = [\"0.1 m\"]\n",
            metres(at - 1),
            metres(at)
        ));
    }
    text
}

fn timed<T>(what: &str, make: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let made = make();
    println!("{what:40} {:7.3} s", start.elapsed().as_secs_f64());
    made
}

fn main() {
    let tracks = std::env::args().nth(1).and_then(|words| words.parse().ok()).unwrap_or(2500);
    let text = chain(tracks);
    if std::env::args().nth(2).as_deref() == Some("plan") {
        print!("{text}");
        return;
    }
    let reading = timed("read", || plan::read_bytes(text.as_bytes()).1);
    assert!(reading.understood(), "the plan is understood");
    let choices = schedule::Choices::default();
    let plan::PlanReading { plan, names, mut findings } = reading;
    let facts = timed("facts", || analysis::Analysis::of(&text, &plan, &names));
    let summary = timed("review", || review::run_rules(&facts, &mut findings));
    let job = timed("wires and numbers", || schedule::Job::carried_where_kept(facts, choices, None));
    timed("tests and orders", || commissioning::papers(&job));
    timed("tables", || schedule::tables::papers(&job));
    let binder = timed("all papers, side by side", || papers::binder(&job, &findings, &summary, None));
    let fonts = papers::fonts::Fonts::new();
    let layout = timed("layout", || papers::layout::lay_out(&binder, &fonts));
    let pdf = timed("pdf of layout", || papers::pdf::write(&layout, &fonts, "x", "y").expect("written"));
    println!("  {} pages, {} bytes", layout.sheets.len(), pdf.len());
    let web = timed("web", || papers::web::pages(&binder));
    println!("  {} bytes", web.iter().map(|p| p.1.len()).sum::<usize>());
    timed("csv", || {
        for table in binder.tables() {
            std::hint::black_box(schedule::csv::table_csv(table));
        }
    });
    let json = timed("json", || papers::json::tables(&binder).expect("json"));
    println!("  {} bytes", json.len());
    timed("workbook", || papers::workbook::workbook(&binder).expect("book"));
    let files = timed("all forms, side by side", || papers::files::files(&binder).expect("files"));
    timed("digests", || files.values().map(|b| papers::revision::digest(b)).collect::<Vec<_>>());
    timed("netlist", || analysis::netlist_at_first(&job.facts.circuit));
}
