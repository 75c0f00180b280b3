//! Changes as text for a terminal, and as a table.

use crate::changes::Changes;
use crate::counts_in_runs;
use crate::paper::{Cell, Table, TableColumn};
use text::paragraph;

/// What there is to do and to test, in lines of at most `width` columns where words allow it.
pub fn render(changes: &Changes, width: usize) -> String {
    let tests = changes.tests.lists().into_iter().filter(|(_, numbers)| !numbers.is_empty());
    if changes.list.is_empty() && changes.retest.is_empty() && tests.clone().count() == 0 {
        return "nothing changes: no wire, gap, joint or label, and no test to repeat\n".to_owned();
    }
    let mut out = String::new();
    for change in &changes.list {
        let number = change.number.map_or_else(String::new, |n| n.to_string());
        let label = format!("{:<15}  {number:<6}", change.act.words());
        let how = if change.how.is_empty() { String::new() } else { format!(": {}", change.how) };
        out.push_str(&paragraph(&label, &text::escape_control_chars(&format!("{}{how}", change.what)), width));
    }
    if changes.list.is_empty() {
        out.push_str("nothing is to be built\n");
    }
    if changes.retest.is_empty() && tests.clone().count() == 0 {
        out.push_str("\nno test is to be repeated\n");
        return out;
    }
    out.push_str("\ntests to repeat\n");
    for (words, numbers) in tests {
        let numbers = counts_in_runs(numbers.iter().copied());
        out.push_str(&paragraph(&format!("  {words:<12}"), &numbers, width));
    }
    for (word, names) in changes.retest.lists().into_iter().filter(|(_, names)| !names.is_empty()) {
        out.push_str(&paragraph(&format!("  {word:<12}"), &text::escape_control_chars(&names.join(", ")), width));
    }
    out
}

/// What there is to do and to test as a table: one row for each act, and one for each thing to test again.
pub fn table(changes: &Changes) -> Table {
    let columns = vec![
        TableColumn::short("act"),
        TableColumn::short("number"),
        TableColumn::words("what"),
        TableColumn::words("how"),
        TableColumn::boxes("done"),
    ];
    let mut table = Table::new("changes", columns);
    for change in &changes.list {
        let number = change.number.map_or(Cell::Empty, |n| Cell::words(n.to_string()));
        let how = if change.how.is_empty() { Cell::Empty } else { Cell::words(&change.how) };
        table.push(None, vec![Cell::words(change.act.words()), number, Cell::words(&change.what), how, Cell::Box]);
    }
    for (words, numbers) in changes.tests.lists() {
        let act = match words {
            "new tests" => "test",
            "tests gone" => "no longer test",
            _ => "test again",
        };
        for number in numbers {
            let cells = [act, &number.to_string(), words].map(Cell::words);
            table.push(None, cells.into_iter().chain([Cell::Empty, Cell::Box]).collect());
        }
    }
    for (word, names) in changes.retest.lists() {
        for name in names {
            let what = Cell::words(format!("{word} {name}"));
            table.push(None, vec![Cell::words("test again"), Cell::Empty, what, Cell::Empty, Cell::Box]);
        }
    }
    table
}
