//! The checks: facts of the stages before in, findings and what could not be judged out.
//!
//! One file a rule, each with its words, its limit, its source and its check; they are told family by family below.
//! Rules look at [`Facts`] only, never change the model and never look at each other's results. Where the spec leaves
//! out what a rule needs, the rule says `not judged`, with the reason; it never guesses.

mod amps;
mod explain;
mod facts;
mod ground_words;
mod judge;
mod parts_in_use;
mod rule;
mod verdict;

mod avionics_ground;
mod bare_magneto_lead;
mod broken_alloy;
mod cavity_used_twice;
mod colour_against_polarity;
mod contact_range;
mod cover_misfit;
mod crosses_twice;
mod crossing_without_hole;
mod crowded_bundle;
mod crowded_hole;
mod crowded_wire;
mod dead_short;
mod drop_over_limit;
mod far_clamps;
mod far_isolation;
mod far_protector;
mod few_terminations;
mod forbidden_splice;
mod ground_loop;
mod groundless_gauge;
mod hole_count;
mod hole_fill;
mod holes_used;
mod hot_insulation;
mod hot_part;
mod hot_terminal;
mod insulating_bond;
mod large_protector;
mod long_mark;
mod loose_run;
mod loose_screen;
mod mixed_currents;
mod near_fluid_line;
mod near_ignition;
mod no_drip_loop;
mod no_way;
mod open_cavity;
mod open_pin;
mod overloaded_bus;
mod parted_pair;
mod probe_distance;
mod reach;
mod resistive_strap;
mod screen_both_ends;
mod sender_offset;
mod shared_protector;
mod shared_sender;
mod shifted_probe;
mod short_cut;
mod small_protector;
mod splices_abreast;
mod split_crossing;
mod split_engine_ground;
mod strap_open;
mod stud_stack;
mod swapped_legs;
mod swapped_twice;
mod thin_wire;
mod tight_bend;
mod unbonded_engine;
mod unfused_supply;
mod unseen_indicator;
mod untwisted_pair;
mod unused_part;
mod waiver_expired;
mod waiver_matches_nothing;
mod waiver_without_reason;
mod wide_end;
mod wrong_port;

pub use explain::{explain, list, reference};
pub use facts::{Base, Facts};
pub use judge::{Count, Outcome, Report, Standing, judge};
pub use rule::{Rule, Source};
pub use verdict::{Fault, Unjudged, Verdict};

/// Rules that belong together, under the heading that people look for.
#[derive(Clone, Copy, Debug)]
pub struct Family {
    /// Heading.
    pub title: &'static str,
    /// Its rules.
    pub rules: &'static [&'static Rule],
}

/// Every rule. The families of waivers come last: they look at what the others found.
pub static FAMILIES: &[Family] = &[
    Family {
        title: "Thermocouples",
        rules: &[
            &swapped_legs::RULE,
            &swapped_twice::RULE,
            &colour_against_polarity::RULE,
            &broken_alloy::RULE,
            &probe_distance::RULE,
            &hot_terminal::RULE,
            &shifted_probe::RULE,
        ],
    },
    Family {
        title: "Pairs, screens and what disturbs them",
        rules: &[
            &parted_pair::RULE,
            &untwisted_pair::RULE,
            &near_ignition::RULE,
            &screen_both_ends::RULE,
            &loose_screen::RULE,
            &bare_magneto_lead::RULE,
            &far_isolation::RULE,
        ],
    },
    Family {
        title: "Grounds and supply",
        rules: &[
            &split_engine_ground::RULE,
            &avionics_ground::RULE,
            &ground_loop::RULE,
            &strap_open::RULE,
            &unbonded_engine::RULE,
            &insulating_bond::RULE,
            &resistive_strap::RULE,
            &sender_offset::RULE,
            &groundless_gauge::RULE,
            &dead_short::RULE,
            &drop_over_limit::RULE,
            &unfused_supply::RULE,
            &stud_stack::RULE,
        ],
    },
    Family {
        title: "Current and heat",
        rules: &[
            &thin_wire::RULE,
            &crowded_wire::RULE,
            &large_protector::RULE,
            &small_protector::RULE,
            &shared_protector::RULE,
            &far_protector::RULE,
            &overloaded_bus::RULE,
            &mixed_currents::RULE,
            &hot_insulation::RULE,
            &hot_part::RULE,
        ],
    },
    Family {
        title: "Holes and the way along the structure",
        rules: &[
            &hole_count::RULE,
            &hole_fill::RULE,
            &crowded_hole::RULE,
            &wide_end::RULE,
            &holes_used::RULE,
            &crosses_twice::RULE,
            &split_crossing::RULE,
            &crossing_without_hole::RULE,
            &no_way::RULE,
            &reach::RULE,
            &cover_misfit::RULE,
            &short_cut::RULE,
        ],
    },
    Family {
        title: "Pins and contacts",
        rules: &[&wrong_port::RULE, &open_pin::RULE, &cavity_used_twice::RULE, &contact_range::RULE],
    },
    Family { title: "Splices", rules: &[&forbidden_splice::RULE, &splices_abreast::RULE] },
    Family {
        title: "Laid in the machine",
        rules: &[
            &far_clamps::RULE,
            &loose_run::RULE,
            &tight_bend::RULE,
            &near_fluid_line::RULE,
            &few_terminations::RULE,
            &no_drip_loop::RULE,
            &open_cavity::RULE,
            &crowded_bundle::RULE,
        ],
    },
    Family {
        title: "Fit for service",
        rules: &[&shared_sender::RULE, &unseen_indicator::RULE, &long_mark::RULE, &unused_part::RULE],
    },
    Family {
        title: "Waivers",
        rules: &[&waiver_without_reason::RULE, &waiver_expired::RULE, &waiver_matches_nothing::RULE],
    },
];

/// Every rule, family by family.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    FAMILIES.iter().flat_map(|f| f.rules.iter().copied())
}

/// The rule of a name.
pub fn find(name: &str) -> Option<&'static Rule> {
    all().find(|r| r.name == name)
}
