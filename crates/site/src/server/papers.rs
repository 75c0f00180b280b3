//! Papers to read, to print and to take away.

use super::asking::{RequestAnswer, RequestContext, file, picture, plans, trouble};
use crate::binders::{NumberedBinder, in_turn};
use crate::pages::papers as pages;
use papers::file_names::safe;
use schedule::paper::Table;
use std::sync::Arc;
use std::time::Duration;

/// How long a page waits for a binder before it says that it comes by itself.
const PATIENCE: Duration = Duration::from_secs(2);

/// The addresses of papers and their files.
pub(super) const PATHS: [&str; 7] =
    ["/papers", "/paper", "/binder.pdf", "/paper.pdf", "/table.csv", "/tables.xlsx", "/drawing.svg"];

/// A page or a file of the papers.
pub(super) async fn papers(asking: &RequestContext) -> RequestAnswer {
    let Some((open, content)) = asking.open.clone() else { return plans(asking) };
    let usual = || plan::read_bytes(&content.bytes).1.plan.units();
    let (choices, turns) = (pages::choices(&asking.fields, usual), Arc::clone(&asking.site.binders));
    // Whoever goes away meanwhile does not stop it: the next one finds it made.
    let making = tokio::spawn(async move { open.binders.binder(&content, open.kept(), choices, turns).await });
    let is_page = ["/papers", "/paper"].contains(&asking.path.as_str());
    let made = if is_page {
        match tokio::time::timeout(PATIENCE, making).await {
            Ok(made) => made,
            Err(_) => return RequestAnswer::Raw(asking.not_yet().await),
        }
    } else {
        making.await
    };
    match made {
        Ok(Ok(bound)) => answer_with_binder(asking, bound).await,
        Ok(Err(why)) => RequestAnswer::Page(pages::none(&why.to_string())),
        Err(_) => RequestAnswer::Page(trouble("the papers could not be made")),
    }
}

async fn answer_with_binder(asking: &RequestContext, bound: Arc<NumberedBinder>) -> RequestAnswer {
    let name = asking.fields.get("name").unwrap_or_default().to_owned();
    let layout = safe(&bound.binder.layout);
    match asking.path.as_str() {
        "/papers" => RequestAnswer::Page(pages::list(&bound, asking.fields.get("of"))),
        "/paper" => RequestAnswer::Page(pages::sheet(&bound.binder, &name).unwrap_or_else(pages::no_such)),
        "/table.csv" => match bound.binder.tables().find(|table: &&Table| table.name == name) {
            Some(table) => {
                file("text/csv; charset=utf-8", &format!("{}.csv", safe(&name)), schedule::csv::table_csv(table))
            }
            None => RequestAnswer::Page(pages::no_such()),
        },
        "/drawing.svg" => match bound.binder.drawings().find(|drawing| drawing.name == name) {
            Some(drawing) if asking.fields.get("take").is_some() => {
                file("image/svg+xml", &format!("{}.svg", safe(&name)), drawing.svg.clone())
            }
            Some(drawing) => RequestAnswer::Raw(picture(drawing.svg.clone())),
            None => RequestAnswer::Page(pages::no_such()),
        },
        "/tables.xlsx" => {
            let kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
            let made =
                in_turn(Arc::clone(&asking.site.binders), move || papers::workbook::workbook(&bound.binder)).await;
            match made {
                Ok(Ok(Some(book))) => file(kind, &format!("{layout}.xlsx"), book),
                Ok(Ok(None)) => RequestAnswer::Page(pages::no_such()),
                Ok(Err(why)) => RequestAnswer::Page(trouble(&why.to_string())),
                Err(why) => RequestAnswer::Page(trouble(&why.to_string())),
            }
        }
        path => {
            let whole = path == "/binder.pdf";
            let called = if whole { format!("{layout}.pdf") } else { format!("{}.pdf", safe(&name)) };
            let made = in_turn(Arc::clone(&asking.site.binders), move || {
                let binder = &bound.binder;
                if whole {
                    Some(papers::pdf::pdf(binder))
                } else {
                    binder.of_paper(&name).as_ref().map(papers::pdf::pdf)
                }
            });
            match made.await {
                Ok(Some(Ok(pdf))) => file("application/pdf", &called, pdf),
                Ok(Some(Err(error))) => RequestAnswer::Page(trouble(&error.to_string())),
                Ok(None) => RequestAnswer::Page(pages::no_such()),
                Err(why) => RequestAnswer::Page(trouble(&why.to_string())),
            }
        }
    }
}
