//! Draws a plan: `cargo run -p drawing --example look -- plan.toml out.svg`.
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&args[1]).unwrap();
    let reading = plan::read(&text);
    let t = std::time::Instant::now();
    let facts = review::facts(&text, &reading.plan, &reading.names);
    let job = schedule::Job::new(facts, schedule::Choices::default());
    println!("facts {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let mut frame = if args.get(4).is_some() { drawing::frame(&job) } else { drawing::whole(&job) };
    println!("frame {:?}", t.elapsed());
    if args.get(3).is_some_and(|a| a == "below") {
        frame = frame.mirrored();
    }
    println!("{} sheets, {} labels, left out {:?}", frame.sheets.len(), frame.labels.len(), frame.left_out);
    let t = std::time::Instant::now();
    for s in 0..frame.sheets.len() {
        let svg = drawing::svg(&frame, s, &drawing::Look::default());
        std::fs::write(args[2].replace(".svg", &format!("-{s}.svg")), svg).unwrap();
    }
    println!("svg {:?}", t.elapsed());
}
