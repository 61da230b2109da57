//! Every form, by the subject it belongs to: one file each.

use super::{Form, barn, harvest, inputs, keeping, manure, scouting, seen, set_up, spraying, work, yard};

const SUBJECTS: &[&[Form]] = &[
    seen::FORMS,
    scouting::FORMS,
    work::FORMS,
    inputs::put_on::FORMS,
    inputs::seed::FORMS,
    inputs::guide::FORMS,
    inputs::drill::FORMS,
    spraying::FORMS,
    harvest::FORMS,
    yard::FORMS,
    manure::FORMS,
    barn::FORMS,
    super::sale::FORMS,
    super::money::FORMS,
    set_up::FORMS,
    keeping::FORMS,
];

/// Every form.
pub fn all() -> impl Iterator<Item = &'static Form> {
    SUBJECTS.iter().copied().flatten()
}

/// The form of a kind.
pub fn find(kind: &str) -> Option<&'static Form> {
    all().find(|f| f.kind == kind)
}
