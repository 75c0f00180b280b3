//! The first evening with the program, as docs/first-yard.md tells it: every command on the page is run, and what it prints is on the
//! page word for word.
//!
//! A fenced block `console` holds commands (`$ gapwright …`) and what they print; a line `...` stands for lines that the page leaves
//! out. A block `diff` is a change of `my-yard.toml`: lines that stay, go and come. `GAPWRIGHT_WRITE_PAGE=1` writes the page
//! anew with what is printed now.

use std::path::{Path, PathBuf};
use std::process::Command;

const PLAN: &str = "my-yard.toml";

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/first-yard.md")
}

/// A word of a command line; double quotes hold blanks together.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// What a command prints, standard output alone.
fn run(folder: &Path, line: &str) -> String {
    let words = words(line);
    assert_eq!(words[0], "gapwright", "{line}");
    let output = Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .args(&words[1..])
        .current_dir(folder)
        .env("COLUMNS", "80")
        .output()
        .unwrap();
    assert!(output.status.code() != Some(2), "{line}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().trim_matches('\n').to_owned()
}

/// Makes a change of the plan.
fn change(folder: &Path, block: &[&str]) {
    let file = folder.join(PLAN);
    let text = std::fs::read_to_string(&file).unwrap();
    let of = |sign: &str| {
        let lines = block.iter().filter_map(|line| line.strip_prefix(sign).or(line.strip_prefix(' ')));
        lines.map(|line| format!("{line}\n")).collect::<String>()
    };
    let (old, new) = (of("-"), of("+"));
    assert_eq!(text.matches(&old).count(), 1, "the plan has this once:\n{old}");
    std::fs::write(&file, text.replacen(&old, &new, 1)).unwrap();
}

/// What the page shows of what was printed: where it leaves lines out, so many from the start and from the end as it has now.
fn shown(on_page: &[&str], printed: &str) -> String {
    let Some(left_out) = on_page.iter().position(|line| *line == "...") else { return printed.to_owned() };
    let lines: Vec<&str> = printed.lines().collect();
    let (first, last) = (left_out, on_page.len() - left_out - 1);
    assert!(lines.len() > first + last, "nothing is left out of\n{printed}");
    [&lines[..first], &["..."], &lines[lines.len() - last..]].concat().join("\n")
}

#[test]
fn every_output_on_the_page_is_what_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(page()).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let mut written: Vec<String> = Vec::new();
    let mut commands = 0;
    let mut at = 0;
    while at < lines.len() {
        written.push(lines[at].to_owned());
        let kind = lines[at].strip_prefix("```").unwrap_or_default();
        at += 1;
        if kind.is_empty() {
            continue;
        }
        let end = at + lines[at..].iter().position(|line| *line == "```").expect("a block that ends");
        let block = &lines[at..end];
        at = end;
        match kind {
            "diff" => {
                change(folder.path(), block);
                written.extend(block.iter().map(|line| (*line).to_owned()));
            }
            "console" => {
                let mut here = 0;
                while here < block.len() {
                    let command = block[here].strip_prefix("$ ").expect("a block begins with a command");
                    let next = block[here + 1..].iter().position(|line| line.starts_with("$ "));
                    let end = next.map_or(block.len(), |n| here + 1 + n);
                    let printed = run(folder.path(), command);
                    written.push(block[here].to_owned());
                    written.extend(shown(&block[here + 1..end], &printed).lines().map(str::to_owned));
                    here = end;
                    commands += 1;
                }
            }
            other => panic!("a block of another kind: {other}"),
        }
        written.push("```".to_owned());
        at += 1;
    }
    assert!(commands >= 8, "only {commands} commands are on the page");
    let written = written.join("\n") + "\n";
    let drawing = std::fs::read_to_string(folder.path().join("my-yard.svg")).expect("the page draws the yard");
    let picture = page().with_file_name("images").join("my-yard.svg");
    if std::env::var_os("GAPWRIGHT_WRITE_PAGE").is_some() {
        std::fs::write(page(), &written).unwrap();
        std::fs::write(&picture, &drawing).unwrap();
    }
    let different = written.lines().zip(text.lines()).find(|(now, then)| now != then);
    assert_eq!((different, written.len()), (None, text.len()), "GAPWRIGHT_WRITE_PAGE=1 writes the page anew");
    assert_eq!(std::fs::read_to_string(&picture).ok(), Some(drawing), "GAPWRIGHT_WRITE_PAGE=1 writes the picture anew");
}
