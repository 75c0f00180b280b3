//! A new yard: a few questions, and a plan that answers them.

use super::{Page, shell::PageShell, words};
use crate::address::Fields;
use axum::http::StatusCode;
use design::{Answers, QUESTIONS, Question, Takes};
use maud::{Markup, html};
use text::escape_control_chars;

/// The answers of a form, and what does not fit, by question.
pub(crate) fn answers(fields: &Fields) -> (Answers, Vec<(&'static str, String)>) {
    let (mut answers, mut wrong) = (Answers::default(), Vec::new());
    for question in &QUESTIONS {
        if let Some(Err(why)) = fields.get(question.name).map(|said| answers.set(question.name, said)) {
            wrong.push((question.name, why.to_string()));
        }
    }
    (answers, wrong)
}

/// The questions as a form.
pub(crate) fn questions(around: &PageShell<'_>, fields: &Fields, trouble: Option<&str>) -> Page {
    let (answers, wrong) = answers(fields);
    let body = html! {
        h1 { "A new yard" }
        p { "Answer what you know, leave the rest as proposed. You get a whole plan with comments, which passes its own review; "
            "nothing of yours is overwritten." }
        @if let Some(trouble) = trouble { p.warning role="alert" { (escape_control_chars(trouble)) } }
        form.questions method="post" action="/new" {
            (around.carried())
            @for question in &QUESTIONS {
                (question_field(question, &answers, fields, wrong.iter().find(|w| w.0 == question.name).map(|w| w.1.as_str())))
            }
            div.question {
                label for="file" { "In which file shall it be?" }
                p.quiet #file-why { "A new name that ends in .toml." }
                input #file name="file" required aria-describedby="file-why" autocomplete="off"
                    value=(fields.get("file").unwrap_or("my-yard.toml"));
            }
            p {
                button type="submit" { "Write the plan" } " "
                button.second type="submit" name="only" value="choices" formnovalidate { "Only show what can be chosen now" }
            }
        }
    };
    let status = if trouble.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Page::new("A new yard", body).status(status).giving_back()
}

fn question_field(question: &Question, answers: &Answers, fields: &Fields, wrong: Option<&str>) -> Markup {
    let choices = question.choices(answers);
    let id = format!("q-{}", question.name);
    let why = format!("{id}-why");
    let proposed = question.answer(answers);
    let said = if wrong.is_some() { fields.get(question.name).unwrap_or(&proposed) } else { &proposed };
    html! {
        div.question {
            label for=(id) { (question.asks) }
            p.quiet id=(why) { (words(question.why)) }
            @if let Some(wrong) = wrong { p.warning { (escape_control_chars(wrong)) } }
            @match question.takes {
                Takes::Choice => {
                    select id=(id) name=(question.name) aria-describedby=(why) {
                        @for choice in &choices {
                            option value=(choice.word) selected[choice.word == proposed] {
                                (choice.word) @if !choice.says.is_empty() { ": " (choice.says) }
                            }
                        }
                    }
                },
                Takes::Number => {
                    input id=(id) name=(question.name) type="number" inputmode="numeric" aria-describedby=(why)
                        min=(question.bounds.0) max=(question.bounds.1) step="1" value=(said);
                },
                Takes::Words | Takes::Length | Takes::Lengths => {
                    input id=(id) name=(question.name) aria-describedby=(why) autocomplete="off" value=(said);
                },
            }
        }
    }
}
