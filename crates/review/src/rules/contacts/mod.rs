//! Contacts that move with turnouts.

pub(super) mod contact_overloaded;
pub(super) mod contact_rating_unknown;
pub(super) mod too_few_contacts;
