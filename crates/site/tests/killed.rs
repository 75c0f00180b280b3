//! A process that is killed while it saves leaves a whole file, whichever moment it was; one whose disk is full gives back what was
//! typed.

#[allow(dead_code)]
#[path = "it/web/client.rs"]
mod client;

use libtest_mimic::{Arguments, Failed, Trial};
use site::store::{Saved, Store};
use std::process::{Command, ExitCode, Stdio};
use std::time::Duration;

/// Names the file that a process started by the test saves to, until it is killed.
const SAVES: &str = "GAPWRIGHT_TEST_SAVES";

/// Names the file or folder that a process started by the test serves, at the port that its first argument names.
const SERVES: &str = "GAPWRIGHT_TEST_SERVES";

/// The texts it saves by turns, long enough that writing one takes a while.
fn text(turn: usize) -> Vec<u8> {
    let line = format!("# turn {}\n", turn % 7);
    line.repeat(20_000 + 9_000 * (turn % 7)).into_bytes()
}

fn main() -> ExitCode {
    if let Some(path) = std::env::var_os(SAVES) {
        let store = Store::open(path.as_ref()).expect("opened");
        for turn in 1.. {
            let saved = store.save(&text(turn), &store.content().version).expect("saved");
            assert!(matches!(saved, Saved::Done(_)));
        }
    }
    if let Some(path) = std::env::var_os(SERVES) {
        let path = std::path::PathBuf::from(path);
        let is_folder = path.is_dir();
        let options = site::Options {
            plan: (!is_folder).then(|| path.clone()),
            folder: is_folder.then_some(path),
            port: std::env::args().nth(1).and_then(|port| port.parse().ok()).unwrap_or(0),
            lan: std::env::args().nth(2).as_deref() == Some("lan"),
        };
        let bound = site::bind(&options).expect("bound");
        println!("{}", bound.address());
        if let Some((addresses, _)) = bound.pairing() {
            println!("{addresses:?}");
        }
        bound.serve().expect("served");
        return ExitCode::SUCCESS;
    }
    let trials = vec![
        Trial::test("a_killed_save_leaves_a_whole_file", killed),
        Trial::test("a_full_disk_gives_the_text_back", full_disk).with_ignored_flag(cfg!(not(unix))),
        Trial::test("a_hall_without_a_way_out_is_served", hall).with_ignored_flag(!networks_can_be_parted()),
    ];
    libtest_mimic::run(&Arguments::from_args(), trials).exit_code()
}

/// Whether a process can have a network of its own here (network_namespaces(7)).
fn networks_can_be_parted() -> bool {
    let tried =
        Command::new("unshare").args(["-rn", "ip", "link"]).stdout(Stdio::null()).stderr(Stdio::null()).status();
    tried.is_ok_and(|status| status.success())
}

/// A network of its own that leads nowhere: with no address yet, and with one that a hotspot gives.
fn hall() -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, "# short\n")?;
    let given = "ip link set lo up && ip addr add 10.42.0.1/24 dev lo && ";
    for (before, says) in [("", "[]"), (given, "10.42.0.1")] {
        let mut child = Command::new("unshare")
            .args(["-rn", "sh", "-c", &format!("{before}timeout 2 \"$0\" 0 lan; true")])
            .arg(std::env::current_exe()?)
            .env(SERVES, &path)
            .stdout(Stdio::piped())
            .spawn()?;
        let mut told = String::new();
        std::io::Read::read_to_string(&mut child.stdout.take().ok_or("no output")?, &mut told)?;
        child.wait()?;
        if told.lines().nth(1).is_none_or(|line| !line.contains(says)) {
            return Err(format!("with {before:?} it said {told:?}").into());
        }
    }
    Ok(())
}

/// A process that may write no long file stands for a disk that is full: in both cases the system refuses the write.
fn full_disk() -> Result<(), Failed> {
    use std::io::BufRead as _;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, "# short\n")?;
    let mut child = Command::new("sh")
        .args(["-c", "ulimit -f 8; trap '' XFSZ; exec \"$0\""])
        .arg(std::env::current_exe()?)
        .env(SERVES, &path)
        .stdout(Stdio::piped())
        .spawn()?;
    let mut line = String::new();
    let out = child.stdout.take().ok_or("no output")?;
    std::io::BufReader::new(out).read_line(&mut line)?;
    let told = line.trim().parse().map_err(Failed::from).map(|address| {
        let page = client::send_to(address, "GET", "/plan", &[], "");
        let typed = format!("# three evenings & more\n{}", "# a line\n".repeat(4000));
        let fields = ["token", "plan", "based-on"].map(|name| (name, page.hidden(name)));
        let mut fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
        fields.push(("text", &typed));
        (client::send_to(address, "POST", "/save", &[], &client::encoded(&fields)), typed)
    });
    child.kill()?;
    child.wait()?;
    let (told, typed) = told?;
    let back =
        told.body.split_once("<textarea").and_then(|(_, rest)| rest.split_once("</textarea>")).map(|(text, _)| text);
    let back = back.and_then(|text| text.split_once(">\n")).map(|(_, text)| text.replace("&amp;", "&"));
    if told.status != 507 || !told.body.contains("The disk is full") || back.as_deref() != Some(&typed) {
        return Err(format!("{}\n{}", told.head, told.body).into());
    }
    let (there, left) = (std::fs::read_to_string(&path)?, std::fs::read_dir(folder.path())?.count());
    if there != "# short\n" || left != 1 {
        return Err(format!("{there:?} is in the file, and {left} files are there").into());
    }
    Ok(())
}

fn killed() -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, text(0))?;
    let whole: Vec<Vec<u8>> = (0..7).map(text).collect();
    let mut seen = std::collections::BTreeSet::new();
    for round in 0..60_u64 {
        let mut child = Command::new(std::env::current_exe()?)
            .env(SAVES, &path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        // Uneven steps, so that the moments fall everywhere in the cycle of a save.
        std::thread::sleep(Duration::from_micros(15_000 + round * 1_379 % 40_000));
        if let Some(ended) = child.try_wait()? {
            return Err(format!("it ended by itself: {ended}").into());
        }
        child.kill()?;
        child.wait()?;
        let found = std::fs::read(&path)?;
        let Some(which) = whole.iter().position(|text| *text == found) else {
            return Err(format!("round {round}: {} bytes that are none of the texts", found.len()).into());
        };
        seen.insert(which);
    }
    if seen.len() < 3 {
        return Err(format!("only the texts {seen:?} were ever there, so hardly a save was cut short").into());
    }
    Ok(())
}
