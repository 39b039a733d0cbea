//! Tests over the whole library, in one binary so that it links once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod as_found;
mod bench_cautions;
mod bench_lists;
mod board;
mod board_held;
mod board_sheet;
mod board_tiles;
#[cfg(feature = "book")]
mod book;
#[cfg(feature = "book")]
mod book_links;
#[cfg(feature = "book")]
mod book_tiles;
mod cli_build;
mod cli_check;
mod cli_words;
mod command_line;
mod currents;
mod diag_reports;
mod diag_text;
mod drawing_words;
mod electrical;
mod example_specs;
mod examples;
mod faces;
mod feeding;
mod gate;
mod generated;
#[path = "../benches/generator.rs"]
mod generator;
mod ground_drive;
mod ground_network;
mod ground_warmth;
mod holes;
mod hostile;
mod install_sheet;
mod kept;
mod load;
mod load_table;
mod loom;
mod mass;
mod mutated;
mod networks;
mod offsets;
mod packet_agrees;
#[cfg(feature = "book")]
mod pdf;
mod plan;
mod plan_examples;
mod published;
mod readme;
mod reference_colour;
mod reference_derating;
mod reference_installation;
mod reference_networks;
mod reference_oracles;
mod reference_packing;
mod reference_readings;
mod reference_symbols;
mod reference_thermocouple;
mod reference_voltage_drop;
mod reference_wire;
mod reference_workmanship;
mod resolve;
mod resolve_cores;
mod resolve_installation;
mod routing;
mod routing_audit;
mod routing_drawing;
mod routing_laws;
mod routing_map;
mod rules;
mod splices;
mod steiner;
mod tidy;
mod tidy_docs;
mod why;
mod why_current;
mod why_ground;
mod why_install;
mod wiring;
mod wiring_signs;
