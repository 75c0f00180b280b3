//! Prints the cold sheet of a plan, for looking at.
fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let reading = plan::read(&text);
    let facts = review::facts(&text, &reading.plan, &reading.names);
    let job = schedule::Job::new(facts, schedule::Choices::default());
    let started = std::time::Instant::now();
    let Ok(sheet) = bench::cold_sheet(&job, bench::Age::New) else { return };
    println!(
        "{} tests, at least {}, {} mistakes, {:?}",
        sheet.tests.len(),
        sheet.at_least,
        sheet.mistakes.len(),
        started.elapsed()
    );
    for test in &sheet.tests {
        println!(
            "{} | {} | {} | {} | {}",
            test.name,
            test.about,
            test.range,
            test.expected_words(),
            test.passes_words()
        );
        for m in &test.mistakes {
            println!("      {}: {}", m.what, bench::test::shown(test.how, m.reading));
        }
    }
    for n in &sheet.not_proved {
        println!("NOT {}: {}", n.what, n.why);
    }
}
