//! Ends of tracks and trackwork that a new track or turnout can join.

use super::{ActRefused, CurrentPlan, refuse};
use crate::edit::{quoted, set};
use crate::names::{each_name, ports};
use crate::{At, EndOf, Kind, Names, Plan, TrackEnd};
use finding::Edit;
use std::collections::BTreeSet;

/// An end that nothing joins yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenEnd {
    /// As the plan names it: `T1.through`, `dock 1.to`.
    pub words: String,
    /// What a track says of its own end now: `buffer` or `beyond`. None of trackwork, where nothing is said.
    pub now: Option<&'static str>,
}

/// Every open end: first those of trackwork that no track joins, then those of tracks that end at a buffer or go beyond the plan.
pub fn open_ends(plan: &Plan, names: &Names) -> Vec<OpenEnd> {
    let tracks = || plan.track.iter().flat_map(|track| [(track, TrackEnd::From), (track, TrackEnd::To)]);
    let joined: BTreeSet<(Kind, usize, String)> = tracks()
        .filter_map(|(track, end)| match names.end(plan, &said(track, end).value) {
            Ok(EndOf::Work(kind, index, port)) => Some((kind, index, port)),
            _ => None,
        })
        .collect();
    let works = each_name(plan).flat_map(|(kind, index, name)| {
        let free = ports(plan, kind, index).into_iter().map(move |port| (kind, index, port));
        free.filter(|port| !joined.contains(port))
            .map(|port| OpenEnd { words: format!("{}.{}", name.value, port.2), now: None })
            .collect::<Vec<_>>()
    });
    let stops = tracks().filter_map(|(track, end)| {
        let now = match said(track, end).value.as_str() {
            "buffer" => "buffer",
            "beyond" => "beyond",
            _ => return None,
        };
        Some(OpenEnd { words: format!("{}.{}", track.name.value, end.word()), now: Some(now) })
    });
    works.chain(stops).collect()
}

fn said(track: &crate::tables::Track, end: TrackEnd) -> &At<String> {
    match end {
        TrackEnd::From => &track.from,
        TrackEnd::To => &track.to,
    }
}

/// Makes an end join another: where it is a track's, its own words for it are changed too, since both sides must agree.
pub(super) fn join(
    at: &CurrentPlan<'_>,
    field: &'static str,
    end: &str,
    other: &str,
    edits: &mut Vec<Edit>,
) -> Result<(), ActRefused> {
    let taken = |what: &str| {
        let why = format!("`{end}` {what}");
        refuse(field, why, "choose an end that is open, `buffer` or `beyond`")
    };
    match at.names.end(at.plan, end) {
        Ok(EndOf::Buffer | EndOf::Beyond) => Ok(()),
        Ok(EndOf::Work(..)) if open_ends(at.plan, at.names).iter().any(|open| open.words == end) => Ok(()),
        Ok(EndOf::Work(..)) => taken("joins a track already"),
        Ok(EndOf::Track(track, which)) => {
            let now = said(&at.plan.track[track], which);
            if !matches!(now.value.as_str(), "buffer" | "beyond") {
                return taken(&format!("joins `{}` already", now.value));
            }
            edits.push(set(now, &quoted(other)));
            Ok(())
        }
        Err(_) => taken("is no end of this plan"),
    }
}
