//! What is handed to people without a compiler: an archive and a Debian package.
//!
//! Both hold the program, its manual pages, completions for shells, the demo plans, the docs, and the licence of everything that is
//! linked into it.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Builds both below `target/dist-files`; needs `tar` and `dpkg-deb`.
///
/// # Errors
/// In words, with the step that did not work.
pub fn dist(root: &Path) -> Result<String, String> {
    run(Command::new("cargo").args(["build", "--locked", "--profile", "dist", "-p", "gapwright"]).current_dir(root))?;
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), PathBuf::from);
    let program = target.join("dist/gapwright");
    let version = env!("CARGO_PKG_VERSION");
    let out = target.join("dist-files");
    let _ = fs::remove_dir_all(&out);

    let name = format!("gapwright-{version}");
    let tree = out.join(&name);
    make(&tree.join("licences"))?;
    copy(&program, &tree.join("gapwright"))?;
    run(Command::new(&program).arg("packaging").arg(&tree))?;
    for file in ["LICENSE", "README.md", "CHANGELOG.md"] {
        copy(&root.join(file), &tree.join(file))?;
    }
    for folder in ["plans", "docs"] {
        run(Command::new("cp").arg("-r").arg(root.join(folder)).arg(&tree))?;
    }
    let linked = licences(root, &tree.join("licences"))?;
    let archive = out.join(format!("{name}.tar.gz"));
    run(Command::new("tar").arg("-czf").arg(&archive).arg("-C").arg(&out).arg(&name))?;

    let package = debian(&tree, &out, version)?;
    Ok(format!("{}\n{}\n{linked} licences of what is linked in", archive.display(), package.display()))
}

/// Puts what the archive holds where a Debian system has it.
fn debian(tree: &Path, out: &Path, version: &str) -> Result<PathBuf, String> {
    let root = out.join("debian");
    let share = root.join("usr/share");
    let doc = share.join("doc/gapwright");
    let machine = output(Command::new("dpkg").arg("--print-architecture"))?;
    for folder in ["man/man1", "bash-completion/completions", "zsh/vendor-completions", "fish/vendor_completions.d"] {
        make(&share.join(folder))?;
    }
    make(&root.join("usr/bin"))?;
    make(&root.join("DEBIAN"))?;
    make(&doc)?;
    copy(&tree.join("gapwright"), &root.join("usr/bin/gapwright"))?;
    for page in list(&tree.join("man"))? {
        copy(&page, &share.join("man/man1").join(page.file_name().unwrap_or_default()))?;
    }
    let shells = tree.join("completions");
    copy(&shells.join("gapwright.bash"), &share.join("bash-completion/completions/gapwright"))?;
    copy(&shells.join("_gapwright"), &share.join("zsh/vendor-completions/_gapwright"))?;
    copy(&shells.join("gapwright.fish"), &share.join("fish/vendor_completions.d/gapwright.fish"))?;
    copy(&tree.join("LICENSE"), &doc.join("copyright"))?;
    for folder in ["licences", "plans", "docs"] {
        run(Command::new("cp").arg("-r").arg(tree.join(folder)).arg(&doc))?;
    }
    let control = format!(
        "Package: gapwright\nVersion: {version}\nArchitecture: {}\nMaintainer: the Gapwright builders <nobody@localhost>\n\
         Depends: libc6, libgcc-s1\nSection: electronics\nPriority: optional\n\
         Description: proves the wiring of a model railway before it is built\n \
         Reads a plan of the layout, proves it in every setting of the turnouts, works out\n \
         volts and fault currents, and prints work orders, tests and drawings.\n",
        machine.trim()
    );
    fs::write(root.join("DEBIAN/control"), control).map_err(|e| e.to_string())?;
    let package = out.join(format!("gapwright_{version}_{}.deb", machine.trim()));
    run(Command::new("dpkg-deb").args(["--root-owner-group", "--build"]).arg(&root).arg(&package))?;
    Ok(package)
}

/// Copies the licence files of every package that is linked into the program; gives how many packages those are.
fn licences(root: &Path, into: &Path) -> Result<usize, String> {
    let metadata =
        output(Command::new("cargo").args(["metadata", "--locked", "--format-version", "1"]).current_dir(root))?;
    let metadata: Value = serde_json::from_str(&metadata).map_err(|e| e.to_string())?;
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let packages = metadata["packages"].as_array().into_iter().flatten();
    let by_name: BTreeMap<(String, String), &Value> =
        packages.map(|p| ((text(&p["name"]), text(&p["version"])), p)).collect();
    let tree = ["tree", "--locked", "-p", "gapwright", "-e", "normal", "--prefix", "none", "--format", "{p}"];
    let tree = output(Command::new("cargo").args(tree).current_dir(root))?;
    let linked: BTreeSet<(String, String)> = tree
        .lines()
        .filter_map(|line| {
            let mut words = line.split(' ');
            Some((words.next()?.to_owned(), words.next()?.trim_start_matches('v').to_owned()))
        })
        .collect();
    let mut count = 0;
    let mut all = String::new();
    for key in &linked {
        // Our own rooms have the licence of the whole.
        let Some(package) = by_name.get(key).filter(|p| !p["source"].is_null()) else { continue };
        let folder = PathBuf::from(text(&package["manifest_path"])).parent().map(Path::to_owned).unwrap_or_default();
        let is_licence = |file: &PathBuf| {
            let name = file.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
            file.is_file() && ["licen", "copying", "notice", "unlicense"].iter().any(|start| name.starts_with(start))
        };
        let files: Vec<PathBuf> = list(&folder)?.into_iter().filter(is_licence).collect();
        let own = into.join(format!("{} {}", key.0, key.1));
        make(&own)?;
        for file in &files {
            copy(file, &own.join(file.file_name().unwrap_or_default()))?;
        }
        let authors: Vec<String> = package["authors"].as_array().into_iter().flatten().map(text).collect();
        all.push_str(&format!("{} {}: {} ({})\n", key.0, key.1, text(&package["license"]), authors.join(", ")));
        count += 1;
    }
    fs::write(into.join("LIST.txt"), all).map_err(|e| e.to_string())?;
    Ok(count)
}

fn list(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = fs::read_dir(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut files: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    files.sort();
    Ok(files)
}

fn make(folder: &Path) -> Result<(), String> {
    fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))
}

fn copy(from: &Path, to: &Path) -> Result<(), String> {
    fs::copy(from, to).map(|_| ()).map_err(|e| format!("{} to {}: {e}", from.display(), to.display()))
}

fn run(command: &mut Command) -> Result<(), String> {
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{command:?} ended with {status}")),
        Err(error) => Err(format!("{command:?}: {error}")),
    }
}

fn output(command: &mut Command) -> Result<String, String> {
    let output = command.output().map_err(|error| format!("{command:?}: {error}"))?;
    if !output.status.success() {
        return Err(format!("{command:?}: {}", String::from_utf8_lossy(&output.stderr)));
    }
    String::from_utf8(output.stdout).map_err(|error| error.to_string())
}
