//! Prints a long plan: `cargo run -p oracle --example long_plan -- tree 400`.

use oracle::shapes::{SHAPES, text_of};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let shape = arguments.next().unwrap_or_default();
    let size = arguments.next().and_then(|size| size.parse().ok()).unwrap_or(200);
    match text_of(&shape, size) {
        Some(text) => print!("{text}"),
        None => eprintln!("shapes: {}", SHAPES.join(", ")),
    }
}
