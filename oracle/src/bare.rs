//! Plans from which everything that is wired has been taken, as every newcomer's plan is.

use toml::{Table, Value};

/// What is left of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// All but gaps, contacts and what follows them.
    Feeders,
    /// Track, trackwork, supplies, buses, motors and drivers, and which conductor each rail belongs to.
    Conductors,
    /// The same without conductors.
    Motors,
    /// Track, trackwork and supplies.
    Track,
}

/// The plan in ordinary tables, bare.
///
/// # Errors
/// When it cannot be read.
pub fn bare(text: &str, left: Left) -> Result<String, String> {
    let text = plan::ordinary(text).ok_or("the plan cannot be read")?;
    let mut plan: Table = text.parse().map_err(|e| format!("{e}"))?;
    let followed = followed(&plan);
    each(&mut plan, "track", |track| {
        for key in ["gaps", "slides"] {
            track.remove(key);
        }
        if left != Left::Feeders {
            for key in ["feeders", "feeder_wire", "feeder_length"] {
                track.remove(key);
            }
        }
        if track.get("joint").and_then(Value::as_str) == Some("gap") {
            track.remove("joint");
        }
        if !matches!(left, Left::Conductors | Left::Feeders) {
            for key in ["left", "right", "along"] {
                track.remove(key);
            }
        }
        true
    });
    each(&mut plan, "motor", |motor| {
        for key in ["contact", "wire", "wire_length", "contacts"] {
            motor.remove(key);
        }
        if left == Left::Track {
            for key in ["driver", "address", "supply", "kind", "current"] {
                motor.remove(key);
            }
        }
        left != Left::Track || followed.contains(&name(motor))
    });
    each(&mut plan, "toggle", |toggle| {
        toggle.remove("contact");
        followed.contains(&name(toggle))
    });
    // Boards hold wires and buses by their names; those are gone.
    for kind in ["relay", "reverser", "detector", "panel", "never", "board"] {
        plan.remove(kind);
    }
    if let Some(Value::Table(layout)) = plan.get_mut("layout") {
        for key in ["feeder_wire", "feeder_length", "gap_width"] {
            layout.remove(key);
        }
    }
    if left == Left::Track {
        plan.remove("driver");
        plan.remove("bus");
    }
    Ok(written(&plan))
}

/// As a builder writes it: one header for each table, everything in it on lines of its own.
fn written(plan: &Table) -> String {
    let mut text = String::new();
    for (kind, value) in plan {
        let (open, close) = if value.is_array() { ("[[", "]]") } else { ("[", "]") };
        let one = std::slice::from_ref(value);
        for table in value.as_array().map_or(one, Vec::as_slice).iter().filter_map(Value::as_table) {
            text.push_str(&format!("{open}{kind}{close}\n"));
            for (key, value) in table {
                text.push_str(&format!("{key} = {value}\n"));
            }
            text.push('\n');
        }
    }
    text
}

fn name(table: &Table) -> String {
    table.get("name").and_then(Value::as_str).unwrap_or_default().to_owned()
}

/// What crossings and drivers follow: without that they are no plan.
fn followed(plan: &Table) -> Vec<String> {
    let kinds = ["crossing", "driver"].into_iter().filter_map(|kind| plan.get(kind)?.as_array());
    let follows = kinds.flatten().filter_map(|t| t.get("follows")?.as_str());
    follows.map(str::to_owned).collect()
}

/// Changes every table of a kind; those for which `keep` is false go.
fn each(plan: &mut Table, kind: &str, keep: impl Fn(&mut Table) -> bool) {
    let Some(Value::Array(list)) = plan.get_mut(kind) else { return };
    list.retain_mut(|table| table.as_table_mut().is_some_and(&keep));
    if list.is_empty() {
        plan.remove(kind);
    }
}
