//! Which entries are in force, given corrections, corrections of corrections, and things taken back.
//!
//! An entry stands for itself until a later one replaces it. The latest replacement that has not itself been taken
//! back counts. Taking back an entry that corrects another brings the earlier one back into force, so "undo" can be
//! undone. The order in which entries arrive plays no part: only when each was written, and its id.

use std::collections::HashMap;

use uuid::Uuid;

use super::Warning;
use crate::entry::{Body, Entry};
use crate::payload::Payload;

/// An entry in force and the one its thread began with.
pub(super) struct InForce<'a> {
    pub entry: &'a Entry,
    pub first: Uuid,
}

/// The entries in force, in the order things happened, and what does not fit.
pub(super) fn in_force<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> (Vec<InForce<'a>>, Vec<Warning>) {
    let mut by_id: HashMap<Uuid, &Entry> = HashMap::new();
    for entry in entries {
        // The same entry twice is one entry; should two differ, the choice must not hang on arrival.
        let known = by_id.entry(entry.id).or_insert(entry);
        if (entry.written, &entry.who) < (known.written, &known.who) {
            *known = entry;
        }
    }
    let mut replacements: HashMap<Uuid, Vec<&Entry>> = HashMap::new();
    for entry in by_id.values() {
        if let Some(earlier) = entry.replaces {
            replacements.entry(earlier).or_default().push(entry);
        }
    }
    for list in replacements.values_mut() {
        list.sort_unstable_by_key(|e| (e.written, e.id));
    }

    let (mut standing, mut warnings) = (Vec::with_capacity(by_id.len()), Vec::new());
    let mut reached = 0_usize;
    for entry in by_id.values() {
        let orphan = entry.replaces.filter(|earlier| !by_id.contains_key(earlier));
        if entry.replaces.is_some() && orphan.is_none() {
            continue;
        }
        if let Some(earlier) = orphan {
            warnings.push(Warning {
                entry: entry.id,
                sentence: format!(
                    "This entry corrects {earlier}, which is not in the book; it is taken on its own until that one \
                     arrives."
                ),
            });
        }
        let (found, seen) = resolve(entry, &replacements);
        reached += seen;
        match found {
            Some(e) if !is_withdrawal(e) => standing.push(InForce { entry: e, first: entry.id }),
            Some(e) if orphan.is_none() => warnings.push(Warning {
                entry: e.id,
                sentence: "This entry takes something back but does not say which entry; it has no effect."
                    .into(),
            }),
            _ => {}
        }
    }
    if reached < by_id.len() {
        warnings.extend(circular(&by_id));
    }
    standing.sort_unstable_by_key(|f| (f.entry.happened, f.entry.written, f.entry.id));
    warnings.sort_by(|a, b| (a.entry, &a.sentence).cmp(&(b.entry, &b.sentence)));
    (standing, warnings)
}

fn is_withdrawal(entry: &Entry) -> bool {
    matches!(entry.body, Body::Known(Payload::Withdrawn(_)))
}

/// What stands for `root`, or `None` when it has been taken back; and how many entries its thread holds.
///
/// Works through the thread without recursion: a thread may be as long as somebody's patience.
fn resolve<'a>(root: &'a Entry, replacements: &HashMap<Uuid, Vec<&'a Entry>>) -> (Option<&'a Entry>, usize) {
    if !replacements.contains_key(&root.id) {
        return (Some(root), 1);
    }
    // Parents before children; then from the leaves up.
    let mut order = vec![root];
    let mut next = 0;
    while next < order.len() {
        if let Some(children) = replacements.get(&order[next].id) {
            order.extend(children);
        }
        next += 1;
    }
    let mut stands: HashMap<Uuid, Option<&Entry>> = HashMap::with_capacity(order.len());
    for entry in order.iter().rev() {
        let mut outcome = Some(*entry);
        for child in replacements.get(&entry.id).into_iter().flatten().rev() {
            match stands.get(&child.id).copied().flatten() {
                None => {} // taken back itself: look at the one before
                Some(e) if is_withdrawal(e) => {
                    outcome = None;
                    break;
                }
                Some(e) => {
                    outcome = Some(e);
                    break;
                }
            }
        }
        stands.insert(entry.id, outcome);
    }
    (stands.get(&root.id).copied().flatten(), order.len())
}

/// Entries that replace one another in a circle, which no honest writer makes.
fn circular(by_id: &HashMap<Uuid, &Entry>) -> Vec<Warning> {
    by_id
        .values()
        .filter(|entry| {
            let mut at = entry.replaces;
            for _ in 0..by_id.len() {
                match at.and_then(|id| by_id.get(&id)) {
                    Some(e) => at = e.replaces,
                    None => return false,
                }
            }
            true
        })
        .map(|entry| Warning {
            entry: entry.id,
            sentence: "This entry and others replace one another in a circle; none of them counts.".into(),
        })
        .collect()
}
