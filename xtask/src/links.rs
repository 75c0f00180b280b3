//! Links between pages of the repository.

use std::path::Path;

/// Links of a page to files that are not there.
pub fn broken(page: &Path, text: &str) -> Vec<String> {
    let beside = page.parent().unwrap_or(page);
    let targets = text.split("](").skip(1).filter_map(|rest| rest.split(')').next());
    let files = targets.filter_map(|target| target.split('#').next()).filter(|file| !file.is_empty());
    let ours = files.filter(|file| !file.contains("://") && !file.contains(char::is_whitespace));
    ours.filter(|file| !beside.join(file).exists()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_there_is_told() {
        let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/page.md");
        let text = "[a](links.rs) [b](../Cargo.toml#x) [c](src/links.rs) [d](#here) [e](https://example.org/x.md) `x](not a link)`";
        assert_eq!(broken(&page, text), ["src/links.rs"]);
    }
}
