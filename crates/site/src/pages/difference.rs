//! Two texts line by line: what stands in only one of them is said by a word and a sign, never by colour alone.

use maud::{Markup, html};
use similar::{ChangeTag, TextDiff};

/// Lines shown around a change.
const AROUND: usize = 2;
/// Lines that are compared one by one, where the two texts are not alike at their ends; of more, only how many differ is said.
const MOST_COMPARED: usize = 6_000;
/// Lines that are shown.
const MOST_SHOWN: usize = 400;

/// What to call the two texts, in a short word each.
pub(crate) struct Called<'w> {
    pub first: &'w str,
    pub second: &'w str,
}

/// The lines that are not the same, each with the word of the text it stands in.
pub(crate) fn difference(first: &str, second: &str, called: &Called<'_>) -> Markup {
    // A line break of one kind or the other is no difference to a reader.
    let [first, second] = [first, second].map(|text| text.replace("\r\n", "\n"));
    if first == second {
        return html! { p { "They say the same, line by line." } };
    }
    if [&first, &second].iter().any(|text| uncommon(&first, &second, text) > MOST_COMPARED) {
        return html! { p { "They differ in too many lines to show them one by one." } };
    }
    let diff = TextDiff::from_lines(&first, &second);
    let mut left = MOST_SHOWN;
    html! {
        pre.difference tabindex="0" role="group"
            aria-label={ "Lines that stand only in one: − " (called.first) ", + " (called.second) } {
            @for (index, group) in diff.grouped_ops(AROUND).iter().enumerate() {
                @if index > 0 && left > 0 { "⋯\n" }
                @for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
                    @if left > 0 {
                        @let shown = change.value().trim_end_matches('\n');
                        @match change.tag() {
                            ChangeTag::Equal => { (pad("", called)) "  " (shown) "\n" },
                            ChangeTag::Delete => { del { (pad(called.first, called)) "− " (shown) } "\n" },
                            ChangeTag::Insert => { ins { (pad(called.second, called)) "+ " (shown) } "\n" },
                        }
                        ({ left -= 1; "" })
                    }
                }
            }
        }
        @if left == 0 { p { "And more lines than are shown here." } }
    }
}

/// A word with spaces behind it, so that all lines begin below each other.
fn pad(word: &str, called: &Called<'_>) -> String {
    let wide = called.first.chars().count().max(called.second.chars().count());
    format!("{word:wide$} ")
}

/// How many lines of one of two texts lie between what both begin with and what both end with.
fn uncommon(first: &str, second: &str, of: &str) -> usize {
    let start = first.lines().zip(second.lines()).take_while(|(a, b)| a == b).count();
    let end = first.lines().rev().zip(second.lines().rev()).take_while(|(a, b)| a == b).count();
    of.lines().count().saturating_sub(start + end)
}

#[cfg(test)]
mod tests {
    use super::{Called, difference};

    fn shown(first: &str, second: &str) -> String {
        difference(first, second, &Called { first: "file", second: "yours" }).into_string()
    }

    #[test]
    fn lines_of_one_text_alone_carry_its_word_and_sign() {
        let html = shown("a\nb\nc\n", "a\nB\nc\nd");
        for line in ["<del>file  − b</del>", "<ins>yours + B</ins>", "<ins>yours + d</ins>", "        a\n"] {
            assert!(html.contains(line), "{line:?} is not in {html}");
        }
        assert!(!html.contains("− a"));
        assert!(shown("a\r\nb\r\n", "a\nb\n").contains("say the same"));
        assert!(shown("<b>\n", "&\n").contains("− &lt;b&gt;"));
    }

    #[test]
    fn texts_of_many_lines_are_shown_or_told_to_be_too_many() {
        let long = |word: &str| (0..20_000).map(|n| format!("{word} {n}\n")).collect::<String>();
        assert!(shown(&long("a"), &long("b")).contains("too many lines"));
        let changed = long("a").replace("a 9999\n", "b\n");
        assert!(shown(&long("a"), &changed).contains("+ b"));
        let some = |word: &str| (0..1_000).map(|n| format!("{word} {n}\n")).collect::<String>();
        assert!(shown(&some("a"), &some("b")).contains("more lines than are shown"));
    }
}
