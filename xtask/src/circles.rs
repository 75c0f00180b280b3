//! Circles of files: no two files of a room import each other, directly or round about.
//!
//! Paths that start at `crate`, `super` or `self` are read from the tokens of each file. A module and those inside it are one
//! thing; modules for tests are left out.

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A module by the names that lead to it from the root of its room.
type Module = Vec<String>;

/// The circles of a room, each as the modules on it.
pub fn circles(source: &Path) -> Vec<Vec<Module>> {
    let mut files = Vec::new();
    crate::walk::walk(source, &mut files);
    let mut texts: BTreeMap<Module, String> = BTreeMap::new();
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "rs")) {
        let Ok(text) = std::fs::read_to_string(file) else { continue };
        let place = file.strip_prefix(source).unwrap_or(file).with_extension("");
        let mut module: Module = place.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        if module.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
            module.pop();
        }
        texts.insert(module, text);
    }
    let imports: BTreeMap<&Module, BTreeSet<&Module>> =
        texts.iter().map(|(module, text)| (module, imported(module, text, &texts))).collect();
    knots(&imports)
}

/// The modules that a file's paths lead to, its own parents and children left out.
fn imported<'m>(module: &Module, text: &str, all: &'m BTreeMap<Module, String>) -> BTreeSet<&'m Module> {
    let Ok(tokens) = text.parse::<TokenStream>() else { return BTreeSet::new() };
    let mut paths = Vec::new();
    read(tokens, module, &mut paths);
    let target = |path: &Module| {
        let mut path = path.clone();
        while !path.is_empty() && !all.contains_key(&path) {
            path.pop();
        }
        all.get_key_value(&path).map(|found| found.0)
    };
    let apart = |other: &&Module| !other.is_empty() && !module.starts_with(other) && !other.starts_with(module);
    paths.iter().filter_map(target).filter(apart).collect()
}

/// Gathers paths from the root of the room.
fn read(tokens: TokenStream, module: &Module, paths: &mut Vec<Module>) {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut at = 0;
    while at < tokens.len() {
        if is_test_module(&tokens[at..]) {
            at += 5;
            continue;
        }
        match &tokens[at] {
            TokenTree::Group(group) => read(group.stream(), module, paths),
            TokenTree::Ident(first) => {
                let mut base = match first.to_string().as_str() {
                    "crate" => Some(Vec::new()),
                    "self" => Some(module.clone()),
                    "super" => Some(parent(module)),
                    _ => None,
                };
                if let Some(base) = &mut base
                    && is_colons(&tokens[at + 1..])
                {
                    at = branch(&tokens, at + 3, base.clone(), paths);
                    continue;
                }
            }
            _ => {}
        }
        at += 1;
    }
}

/// Reads on behind a `::`; gives where the path ends.
fn branch(tokens: &[TokenTree], mut at: usize, mut path: Module, paths: &mut Vec<Module>) -> usize {
    while let Some(token) = tokens.get(at) {
        match token {
            TokenTree::Ident(name) => {
                let name = name.to_string();
                match name.as_str() {
                    "super" => path = parent(&path),
                    "self" => {}
                    _ => path.push(name),
                }
                at += 1;
                if !is_colons(&tokens[at..]) {
                    break;
                }
                at += 2;
            }
            TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                let inside: Vec<TokenTree> = group.stream().into_iter().collect();
                let is_comma = |token: &TokenTree| matches!(token, TokenTree::Punct(p) if p.as_char() == ',');
                for item in inside.split(is_comma).filter(|item| !item.is_empty()) {
                    branch(item, 0, path.clone(), paths);
                }
                return at + 1;
            }
            _ => break,
        }
    }
    paths.push(path);
    at
}

fn parent(module: &Module) -> Module {
    module[..module.len().saturating_sub(1)].to_vec()
}

fn is_colons(tokens: &[TokenTree]) -> bool {
    matches!(tokens, [TokenTree::Punct(a), TokenTree::Punct(b), ..] if a.as_char() == ':' && b.as_char() == ':')
}

/// `#[cfg(test)] mod tests { … }`.
fn is_test_module(tokens: &[TokenTree]) -> bool {
    let [TokenTree::Punct(hash), TokenTree::Group(attribute), TokenTree::Ident(module), _, TokenTree::Group(_), ..] =
        tokens
    else {
        return false;
    };
    hash.as_char() == '#' && attribute.stream().to_string().replace(' ', "") == "cfg(test)" && *module == "mod"
}

/// Sets of modules each of which leads to all others of its set.
fn knots(imports: &BTreeMap<&Module, BTreeSet<&Module>>) -> Vec<Vec<Module>> {
    let reached = |from: &Module| {
        let mut reached: BTreeSet<&Module> = BTreeSet::new();
        let mut queue: Vec<&Module> = imports[from].iter().copied().collect();
        while let Some(module) = queue.pop() {
            if reached.insert(module) {
                queue.extend(&imports[module]);
            }
        }
        reached
    };
    let all: BTreeMap<&Module, BTreeSet<&Module>> = imports.keys().map(|module| (*module, reached(module))).collect();
    let mut shown: BTreeSet<&Module> = BTreeSet::new();
    let mut knots = Vec::new();
    for (module, from_here) in &all {
        if from_here.contains(module) && shown.insert(module) {
            let knot: Vec<&Module> = from_here.iter().copied().filter(|other| all[other].contains(module)).collect();
            shown.extend(&knot);
            knots.push(knot.into_iter().cloned().collect());
        }
    }
    knots
}

#[cfg(test)]
mod tests {
    use std::fs::write;

    #[test]
    fn files_that_import_each_other_are_found() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = |name: &str| folder.path().join(name);
        write(file("lib.rs"), "mod a; mod b; mod c;")?;
        write(file("a.rs"), "use crate::{b::{self, B}, c};\npub struct A;")?;
        write(file("b.rs"), "fn f() { let _ = super::c::C; }")?;
        // In words, in a comment and in a test's module it is none.
        write(
            file("c.rs"),
            "// crate::a::A\nconst W: &str = \"crate::a\";\n#[cfg(test)]\nmod tests { use crate::a::A; }",
        )?;
        assert_eq!(super::circles(folder.path()), Vec::<Vec<Vec<String>>>::new());
        write(file("c.rs"), "fn f(_: &crate::a::A) {}")?;
        assert_eq!(super::circles(folder.path()), [[["a"], ["b"], ["c"]]]);
        Ok(())
    }
}
