//! The rules, one finding to a file.

mod address_shared;
mod breaker_may_not_trip;
mod breaker_may_not_trip_after_failure;
mod breaker_may_not_trip_when_aged;
mod breaker_order;
mod bridged_gap;
mod clamp_misfit;
mod connector_misfit;
mod contact_overloaded;
mod contact_rating_unknown;
mod dead_rail;
mod districts_joined;
mod fed_past_its_breaker;
mod feeder_may_tear;
mod filter_too_hot;
mod frog_on_wrong_phase;
mod gap_beyond_fouling;
mod gap_closes;
mod gap_opens_too_far;
mod inductive_drop;
mod mid_throw_short;
mod motors_overload_supply;
mod not_covered;
mod rail_may_buckle;
mod rails_on_one_pole;
mod reserved_address;
mod reversing_section_too_short;
mod reversing_sections_touch;
mod reversing_without_section;
mod self_lockout;
mod short_circuit;
mod single_sliding_joint;
mod storage_live_unlined;
mod storage_not_live;
mod supplies_meet;
mod switch_on_trips;
mod throw_too_short;
mod throw_wire_binds;
mod throw_wire_overstressed;
mod throw_wire_too_soft;
mod throw_wire_too_stiff;
mod too_few_contacts;
mod track_voltage_too_high;
mod track_voltage_too_low;
mod tracks_too_close;
mod train_does_not_fit;
mod trip_unknown;
mod two_colours_joined;
mod voltage_drop;
mod wire_beyond_code;
mod wire_too_thin;
mod wrong_phase;

pub(crate) use dead_rail::longest_dead;

use crate::context::Context;
use finding::Finding;

/// What a finding means, for `explain` and for its page in the docs.
pub struct FindingPage {
    /// Its name.
    pub name: &'static str,
    /// What it says, in one line.
    pub title: &'static str,
    /// Half a page: what it means, how it comes about, how it is fixed.
    pub text: &'static str,
    /// The smallest drawing that shows it, of at most 76 columns.
    pub drawing: &'static str,
    /// The smallest plan that shows it. Empty where no small plan does; the rule has a test of its own then.
    pub example: &'static str,
}

/// A finding's rule and page.
pub struct Rule {
    /// What it means.
    pub page: FindingPage,
    /// Looks for it.
    pub find: fn(&Context<'_>, &mut Vec<Finding>),
}

/// Every rule, in the order of the harm it warns of.
pub const RULES: &[&Rule] = &[
    &not_covered::RULE,
    &short_circuit::RULE,
    &supplies_meet::RULE,
    &districts_joined::RULE,
    &frog_on_wrong_phase::RULE,
    &bridged_gap::RULE,
    &gap_beyond_fouling::RULE,
    &reversing_without_section::RULE,
    &reversing_section_too_short::RULE,
    &reversing_sections_touch::RULE,
    &mid_throw_short::RULE,
    &wrong_phase::RULE,
    &track_voltage_too_high::RULE,
    &breaker_may_not_trip::RULE,
    &wire_too_thin::RULE,
    &filter_too_hot::RULE,
    &clamp_misfit::RULE,
    &switch_on_trips::RULE,
    &contact_overloaded::RULE,
    &dead_rail::RULE,
    &too_few_contacts::RULE,
    &rails_on_one_pole::RULE,
    &storage_live_unlined::RULE,
    &storage_not_live::RULE,
    &self_lockout::RULE,
    &address_shared::RULE,
    &reserved_address::RULE,
    &fed_past_its_breaker::RULE,
    &breaker_order::RULE,
    &motors_overload_supply::RULE,
    &tracks_too_close::RULE,
    &train_does_not_fit::RULE,
    &track_voltage_too_low::RULE,
    &voltage_drop::RULE,
    &inductive_drop::RULE,
    &breaker_may_not_trip_when_aged::RULE,
    &breaker_may_not_trip_after_failure::RULE,
    &connector_misfit::RULE,
    &two_colours_joined::RULE,
    &single_sliding_joint::RULE,
    &gap_closes::RULE,
    &gap_opens_too_far::RULE,
    &rail_may_buckle::RULE,
    &feeder_may_tear::RULE,
    &throw_too_short::RULE,
    &throw_wire_too_soft::RULE,
    &throw_wire_binds::RULE,
    &throw_wire_too_stiff::RULE,
    &throw_wire_overstressed::RULE,
    &wire_beyond_code::RULE,
    &contact_rating_unknown::RULE,
    &trip_unknown::RULE,
];

/// Adds what every rule finds.
pub(crate) fn find_all(context: &Context<'_>, found: &mut Vec<finding::Finding>) {
    for rule in RULES {
        (rule.find)(context, found);
    }
}
