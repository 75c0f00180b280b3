//! Serves the pages of a plan on this machine.

use crate::exit::{CliError, print};
use site::Options;
use std::path::{Path, PathBuf};

/// Open local web pages: see the layout, throw its turnouts, change its plan
#[derive(clap::Args)]
pub struct ServeCommand {
    /// The plan, a TOML file; a folder of plans; or nothing, to choose from this folder, from demo plans, or to begin a new one
    plan: Option<PathBuf>,
    /// The port on this machine; 0 for any that is free
    #[arg(long, default_value_t = 4747)]
    port: u16,
    /// Let phones and other machines of the local network look and change, each once it told the code that is shown here
    #[arg(long)]
    lan: bool,
}

/// Serves until Ctrl-C.
pub fn serve(asked: &ServeCommand) -> Result<bool, CliError> {
    let (plan, folder) = match &asked.plan {
        Some(path) if path.is_dir() => (None, Some(path.clone())),
        Some(path) => (Some(path.clone()), None),
        None => (None, Some(Path::new(".").to_owned())),
    };
    let options = Options { plan, folder, port: asked.port, lan: asked.lan };
    let bound = site::bind(&options).map_err(|error| {
        let help = match &error {
            site::SiteError::Plan(_) => "check the name and place of the file",
            _ => "`--port 0` takes a port that is free",
        };
        CliError::new(error.to_string()).help(help)
    })?;
    let mut shown = format!("open http://{}\n", bound.address());
    if let Some((addresses, code)) = bound.pairing() {
        shown.push_str(&others(&addresses, code, bound.address().port()));
        let link = addresses.first().map(|address| format!("http://{address}/pair?code={code}"));
        if let Some(square) = link.and_then(|link| site::qr::in_terminal(&link)) {
            shown.push_str(&format!("\n{square}"));
        }
        shown.push_str(
            "\nwhat is sent over the network is not encrypted: whoever can listen to it can read and change the plan\n",
        );
    }
    shown.push_str("Ctrl-C ends it\n");
    print(&shown)?;
    bound.serve().map_err(|error| CliError::new(format!("the pages stopped: {error}")))?;
    Ok(true)
}

/// Where phones and other machines find the pages.
fn others(addresses: &[std::net::SocketAddr], code: &str, port: u16) -> String {
    let mut shown = match addresses {
        [] => format!(
            "\nthis machine is on no network yet: join one, or open a hotspot, and phones find the pages at its address, port {port}\n"
        ),
        [one] => format!("\nother machines of this network: http://{one}\n"),
        [first, rest @ ..] => {
            let rest: Vec<String> = rest.iter().map(|address| format!("http://{address}")).collect();
            format!("\nother machines of this network: http://{first}\non its other networks: {}\n", rest.join(", "))
        }
    };
    shown.push_str(&format!("the code they are asked for: {} {}\n", &code[..4], &code[4..]));
    shown
}
