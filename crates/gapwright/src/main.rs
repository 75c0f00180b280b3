//! The command.
fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let bytes = std::fs::read(&path).unwrap_or_default();
    let (text, review) = review::review_bytes(&bytes);
    print!("{}", finding::render_full(&review.findings, &text, &path, finding::Style::default()));
}
