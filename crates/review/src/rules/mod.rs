//! The rules, one finding to a file, in folders by trade. The plan that shows a finding is a file in `examples`, the closest plan
//! that must not give it stands beside it as `.near-miss.toml`.

mod addresses;
mod boards;
mod contacts;
mod detectors;
mod linkage;
mod motors;
mod movement;
mod not_covered;
mod panels;
mod phase;
mod promises;
mod protection;
mod reversing;
mod shorts;
mod storage;
mod trackwork;
mod voltage;
mod wiring;

pub(crate) use voltage::dead_rail::longest_dead;

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
    &promises::no_setting_left::RULE,
    &shorts::short_circuit::RULE,
    &shorts::supplies_meet::RULE,
    &shorts::districts_joined::RULE,
    &phase::frog_on_wrong_phase::RULE,
    &phase::bridged_gap::RULE,
    &trackwork::gap_beyond_fouling::RULE,
    &reversing::reversing_without_section::RULE,
    &reversing::reversing_section_too_short::RULE,
    &reversing::reversing_sections_touch::RULE,
    &reversing::reverser_trips_late::RULE,
    &shorts::mid_throw_short::RULE,
    &phase::wrong_phase::RULE,
    &voltage::track_voltage_too_high::RULE,
    &protection::breaker_may_not_trip::RULE,
    &wiring::wire_too_thin::RULE,
    &protection::filter_too_hot::RULE,
    &protection::clamp_misfit::RULE,
    &protection::switch_on_trips::RULE,
    &contacts::contact_overloaded::RULE,
    &boards::plug_overloaded::RULE,
    &voltage::dead_rail::RULE,
    &contacts::too_few_contacts::RULE,
    &phase::rails_on_one_pole::RULE,
    &storage::storage_live_unlined::RULE,
    &storage::storage_not_live::RULE,
    &motors::self_lockout::RULE,
    &detectors::detector_sees_too_much::RULE,
    &detectors::detector_fed_round::RULE,
    &promises::promise_bars_route::RULE,
    &addresses::address_shared::RULE,
    &addresses::reserved_address::RULE,
    &protection::fed_past_its_breaker::RULE,
    &protection::breaker_order::RULE,
    &motors::motor_without_driver::RULE,
    &panels::button_sets_nothing::RULE,
    &panels::panel_too_full::RULE,
    &motors::motors_overload_supply::RULE,
    &motors::motor_lacks_volts::RULE,
    &trackwork::crossing_set_against::RULE,
    &trackwork::wheel_bridges_frog::RULE,
    &trackwork::tracks_too_close::RULE,
    &trackwork::train_does_not_fit::RULE,
    &storage::keep_alive_overruns::RULE,
    &voltage::track_voltage_too_low::RULE,
    &voltage::voltage_drop::RULE,
    &voltage::inductive_drop::RULE,
    &protection::breaker_may_not_trip_when_aged::RULE,
    &protection::breaker_may_not_trip_after_failure::RULE,
    &wiring::connector_misfit::RULE,
    &wiring::wire_too_short::RULE,
    &wiring::two_colours_joined::RULE,
    &boards::joint_across_boards::RULE,
    &movement::single_sliding_joint::RULE,
    &movement::gap_closes::RULE,
    &movement::gap_opens_too_far::RULE,
    &movement::rail_may_buckle::RULE,
    &movement::feeder_may_tear::RULE,
    &movement::room_beyond_tables::RULE,
    &linkage::throw_too_short::RULE,
    &linkage::throw_wire_too_soft::RULE,
    &linkage::throw_wire_binds::RULE,
    &linkage::throw_wire_too_stiff::RULE,
    &linkage::throw_wire_overstressed::RULE,
    &wiring::wire_beyond_code::RULE,
    &boards::wire_across_boards::RULE,
    &contacts::contact_rating_unknown::RULE,
    &protection::trip_unknown::RULE,
];

/// Adds what every rule finds.
pub(crate) fn find_all(context: &Context<'_>, found: &mut Vec<finding::Finding>) {
    context.run_ahead();
    for rule in RULES {
        (rule.find)(context, found);
    }
}
