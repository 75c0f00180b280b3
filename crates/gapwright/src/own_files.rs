//! A folder of files that are made anew at each run, and nothing lost that somebody else put there.
//!
//! A list in the folder says which files are ours, each with the digest of what was written. Only files that are still as they
//! were written are replaced or taken away; one that was changed since (readings filled into a table) stops the run before
//! anything is touched.

use crate::exit::{CliError, write_whole};
use ::papers::files::{LIST, NUMBERS};
use ::papers::revision::digest;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// What stands at the top of it.
const HEAD: &str = "# These files were made by `gapwright papers` and are made anew by its next run.\n\
                    # One that is changed by hand is left alone: rename it, and it is yours.\n";
/// Files that one run leaves for the next, which reads them: they are carried on, never refused and never taken away.
const KEPT: [&str; 1] = [NUMBERS];

/// Puts these files into a folder: names relative to it, with `/` between folders.
pub fn write_files(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> Result<(), CliError> {
    let ours = listed(folder)?;
    let Some(ours) = ours else {
        refuse_strange_folder(folder)?;
        return write(folder, &BTreeMap::new(), files);
    };
    refuse_changed(folder, &ours, files)?;
    write(folder, &ours, files)
}

/// What the last run left in a file for this one.
pub fn kept(folder: &Path, name: &str) -> Result<Option<String>, CliError> {
    let path = folder.join(name);
    match std::fs::read_to_string(&path) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(CliError::reading(&path, &error)),
    }
}

/// Each of our files and the digests it may have; none where the folder holds no list.
type Ours = BTreeMap<String, BTreeSet<String>>;

fn listed(folder: &Path) -> Result<Option<Ours>, CliError> {
    let path = folder.join(LIST);
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(CliError::reading(&path, &error)),
    };
    let mut ours = Ours::new();
    let entries = text.lines().filter(|line| !line.starts_with('#')).filter_map(|line| line.split_once("  "));
    for (digest, name) in entries {
        // A list that somebody wrote must not lead out of its folder.
        if is_inside(name) {
            ours.entry(name.to_owned()).or_default().insert(digest.to_owned());
        }
    }
    Ok(Some(ours))
}

fn is_inside(name: &str) -> bool {
    let part = |part: &str| !part.is_empty() && part != "." && part != ".." && !part.contains('\\');
    name.split('/').all(part)
}

/// A folder that is not ours must be empty, or not there.
fn refuse_strange_folder(folder: &Path) -> Result<(), CliError> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(CliError::reading(folder, &error)),
    };
    for entry in entries {
        let entry = entry.map_err(|error| CliError::reading(folder, &error))?;
        if KEPT.iter().all(|kept| entry.file_name() != *kept) {
            let words = format!(
                "`{}` is not empty and holds no papers of ours: `{}` is there",
                folder.display(),
                entry.file_name().display()
            );
            return Err(CliError::new(words).help("name another folder; papers make one that is not there"));
        }
    }
    Ok(())
}

/// What lies where a file of ours would go.
fn now(path: &Path) -> Result<Option<String>, CliError> {
    match std::fs::symlink_metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(CliError::reading(path, &error)),
        Ok(is) if !is.is_file() => return Ok(Some("no file".to_owned())),
        Ok(_) => {}
    }
    std::fs::read(path).map(|bytes| Some(digest(&bytes))).map_err(|error| CliError::reading(path, &error))
}

/// Stops before a file that is no longer as we wrote it, or never was ours, would be lost.
fn refuse_changed(folder: &Path, ours: &Ours, files: &BTreeMap<String, Vec<u8>>) -> Result<(), CliError> {
    for name in ours.keys().chain(files.keys()).filter(|name| !KEPT.contains(&name.as_str())) {
        let Some(is) = now(&folder.join(name))? else { continue };
        let is_ours = ours.get(name).is_some_and(|digests| digests.contains(&is));
        let is_same = files.get(name).is_some_and(|bytes| digest(bytes) == is);
        if !is_ours && !is_same {
            let words = format!("`{}` was changed since it was made, and would be lost", folder.join(name).display());
            return Err(CliError::new(words).help("rename it or move it away, then ask again; nothing was written"));
        }
    }
    Ok(())
}

fn write(folder: &Path, ours: &Ours, files: &BTreeMap<String, Vec<u8>>) -> Result<(), CliError> {
    let made: BTreeMap<&str, String> = files.par_iter().map(|(name, bytes)| (name.as_str(), digest(bytes))).collect();
    let trouble = |path: &Path| {
        let path: PathBuf = path.to_owned();
        move |error: std::io::Error| CliError::new(format!("cannot write `{}`: {error}", path.display()))
    };
    std::fs::create_dir_all(folder).map_err(trouble(folder))?;
    // While files are replaced the list holds what they were and what they become, so that a run that is cut short leaves none
    // that nobody knows.
    let old = ours.iter().flat_map(|(name, digests)| digests.iter().map(move |digest| (name.as_str(), digest.clone())));
    let both: BTreeSet<(&str, String)> = old.chain(made.iter().map(|(name, digest)| (*name, digest.clone()))).collect();
    write_whole(&folder.join(LIST), list(both.iter().map(|(name, digest)| (*name, digest.as_str()))).as_bytes())?;
    for parent in files.keys().filter_map(|name| name.rsplit_once('/')).map(|(parent, _)| folder.join(parent)) {
        std::fs::create_dir_all(&parent).map_err(trouble(&parent))?;
    }
    // Each waits for the disk: several at a time wait no longer than one.
    files.par_iter().try_for_each(|(name, bytes)| write_whole(&folder.join(name), bytes))?;
    for name in ours.keys().filter(|name| !files.contains_key(*name) && !KEPT.contains(&name.as_str())) {
        let path = folder.join(name);
        match std::fs::remove_file(&path) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(trouble(&path)(error)),
            _ => {}
        }
    }
    write_whole(&folder.join(LIST), list(made.iter().map(|(name, digest)| (*name, digest.as_str()))).as_bytes())
}

fn list<'a>(entries: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let lines: String = entries.map(|(name, digest)| format!("{digest}  {name}\n")).collect();
    format!("{HEAD}{lines}")
}
