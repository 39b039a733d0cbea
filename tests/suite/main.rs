//! Tests over the whole library, in one binary so that it links once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod as_found;
mod bench_lists;
mod cli_build;
mod cli_check;
mod cli_words;
mod command_line;
mod currents;
mod diag_reports;
mod diag_text;
mod electrical;
mod example_specs;
mod examples;
mod gate;
mod generated;
#[path = "../benches/generator.rs"]
mod generator;
mod kept;
mod load;
mod loom;
mod mutated;
mod packet_agrees;
mod plan;
mod plan_examples;
mod published;
mod readme;
mod reference_colour;
mod reference_derating;
mod reference_installation;
mod reference_oracles;
mod reference_packing;
mod reference_readings;
mod reference_thermocouple;
mod reference_voltage_drop;
mod reference_wire;
mod reference_workmanship;
mod resolve;
mod resolve_installation;
mod routing;
mod routing_drawing;
mod routing_laws;
mod rules;
mod tidy;
mod tidy_docs;
mod why;
mod wiring;
