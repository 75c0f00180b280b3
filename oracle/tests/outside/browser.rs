//! The pages of the site used in a browser as a builder uses them, and read by a checker of accessibility.
//!
//! The stories are scripts in `oracle/browser`, run by Node.js with packages from there; `npm ci` in that folder installs
//! them. Each has a server and a plan of its own.

#[allow(dead_code)]
#[path = "../../../crates/site/tests/it/web/client.rs"]
mod client;

use crate::enumeration::require;
use crate::papers::{is_there, run};
use client::{Served, demo, serve, serve_at, serve_folder, serve_lan};
use libtest_mimic::{Failed, Trial};
use oracle::ladders::{LadderShape, plan};
use std::path::{Path, PathBuf};
use std::process::Command;

pub fn trials() -> Vec<Trial> {
    let packages = ["playwright-core", "axe-core"].iter().all(|name| folder().join("node_modules").join(name).is_dir());
    let browser = packages && is_there("node", "--version") && is_there("chromium", "--version");
    let poppler = is_there("pdftotext", "-v") && is_there("pdftoppm", "-v");
    // Without the tool a check is shown as ignored, not as passed; where all checks are asked for, it fails.
    let missing = |there: bool| !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none();
    let trial = |name: &str, there: bool, run: fn() -> Result<(), Failed>| {
        Trial::test(name, run).with_ignored_flag(missing(there))
    };
    // These take long, two minutes together.
    let long = |name: &str, run: fn() -> Result<(), Failed>| Trial::test(name, run).with_ignored_flag(true);
    vec![
        trial("browser::a_plan_is_thrown_broken_and_mended", browser, || {
            story("builds", &serve(demo("thistle-dock-mended")), &[])
        }),
        long("browser::the_same_without_script", || story("builds", &serve(demo("thistle-dock-mended")), &["plain"])),
        long("browser::the_same_by_keyboard", || story("keyboard", &serve(demo("thistle-dock")), &[])),
        long("browser::a_plan_grows_by_forms_and_its_papers_are_read", || {
            story("grows", &serve(demo("thistle-dock-mended")), &[])
        }),
        long("browser::forms_and_papers_without_script", || {
            story("grows", &serve(demo("thistle-dock-mended")), &["plain"])
        }),
        long("browser::two_builders_lose_nothing", || story("together", &serve(demo("thistle-dock")), &[])),
        trial("browser::pages_are_whole_on_paper", browser && poppler, || {
            story("printed", &serve(demo("thistle-dock")), &[])
        }),
        long("browser::pages_of_a_plan_are_for_everybody", || {
            let served = serve(demo("thistle-dock"));
            // There is something to undo, so that its buttons are looked at too.
            served.save(&format!("{}# one line more\n", demo("thistle-dock")), &served.form()).expect(303);
            story("everybody", &served, &["plan"])
        }),
        trial("browser::pages_without_a_plan_are_for_everybody", browser, || {
            story("everybody", &serve("[layout]\nnmae = \"Thistle Dock\"\n"), &["unread"])?;
            story("everybody", &serve_folder(), &["folder"])
        }),
        long("browser::pairing_is_for_everybody", pairing),
        trial("browser::a_bench_ticks_reads_and_hunts_also_without_a_connection", browser, || {
            story("bench", &serve(demo("thistle-dock-mended")), &[])
        }),
        long("browser::a_bench_without_script", || story("bench", &serve(demo("thistle-dock-mended")), &["plain"])),
        long("browser::typed_text_outlives_its_server", outlived),
        trial("browser::letters_can_be_read_and_throws_are_quick_at_7_turnouts", browser, || {
            story("drawing", &serve(demo("seven-tracks")), &["1"])
        }),
        long("browser::letters_can_be_read_and_throws_are_quick_at_200_turnouts", || {
            for (shape, turnouts) in [(LadderShape::Ladder, 200), (LadderShape::Yards, 198)] {
                story("drawing", &serve(&plan(shape, turnouts)), &[])?;
            }
            Ok(())
        }),
        trial("browser::a_phone_shows_every_page_of_a_plan_whole", browser, || phones(&["thistle-dock"])),
        long("browser::a_phone_shows_every_page_of_every_plan_whole", || {
            phones(&site::demos::DEMOS.iter().map(|demo| demo.name).collect::<Vec<_>>())
        }),
    ]
}

/// Where the stories are.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("browser")
}

fn story(name: &str, served: &Served, words: &[&str]) -> Result<(), Failed> {
    told(name, &format!("http://{}", served.address), &served.path, words)
}

fn told(name: &str, address: &str, plan: &Path, words: &[&str]) -> Result<(), Failed> {
    run(Command::new("node").arg(folder().join(name).with_extension("mjs")).arg(address).arg(plan).args(words))
        .map(|_| ())
}

/// Demo plans on a phone.
fn phones(plans: &[&str]) -> Result<(), Failed> {
    let bases: Vec<String> = plans.iter().map(|name| format!("/demo/{name}")).collect();
    story("phone", &serve_folder(), &[&bases.join(",")])
}

/// The story stops and starts the server itself: it says so in a line, and waits for a line.
fn outlived() -> Result<(), Failed> {
    use std::io::{BufRead as _, Write as _};
    let mut served = Some(serve(demo("thistle-dock")));
    let (address, path) = served.as_ref().map(|s| (s.address, s.path.clone())).ok_or("no server")?;
    let text = std::fs::read_to_string(&path)?;
    let kept = tempfile::tempdir()?;
    let plan = kept.path().join("plan.toml");
    std::fs::write(&plan, text)?;
    drop(served.take());
    let start = || serve_at(&plan, address.port());
    let mut served = Some(start());
    let mut story = Command::new("node")
        .arg(folder().join("outlives.mjs"))
        .arg(format!("http://{address}"))
        .arg(&plan)
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()?;
    let mut told = story.stdin.take().ok_or("no input")?;
    for line in std::io::BufReader::new(story.stdout.take().ok_or("no output")?).lines() {
        match line?.as_str() {
            "stop" => drop(served.take()),
            "start" => served = Some(start()),
            _ => continue,
        }
        writeln!(told, "done")?;
    }
    require(story.wait()?.success(), || "the story failed; what it said is above".to_owned())
}

/// Asked for at the address for other machines, a browser on this one is a stranger too.
fn pairing() -> Result<(), Failed> {
    let served = serve_lan(demo("thistle-dock"));
    let (address, _) = served.pairing.as_ref().ok_or("there is no address for other machines")?;
    require(!address.ip().is_loopback(), || "this machine has no network, so pairing cannot be tried".to_owned())?;
    told("everybody", &format!("http://{address}"), &served.path, &["pairing"])
}
