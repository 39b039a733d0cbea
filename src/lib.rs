//! fairlead turns one YAML netlist of an engine-instrument harness into findings, drawings and shop papers.
//!
//! The flow goes one way; each stage reads only what stands to its left:
//!
//! ```text
//! spec text ─ spec ─ parts ─ harness ─ graph ─┬─ rules ─ findings
//!                                             ├─ plan ── cut and crimp lists
//!                                             └─ draw ── wiring, routing
//!                                    plan + draw + findings ─ packet ─ files on disk
//! ```
//!
//! `workers`, `diag`, `quantity` and `trade` are the ground floor under all of them; `commands` stands above and wires them.

pub mod commands;
pub mod diag;
pub mod draw;
pub mod graph;
pub mod harness;
pub mod packet;
pub mod parts;
pub mod pipeline;
pub mod plan;
pub mod quantity;
pub mod rules;
pub mod spec;
pub mod trade;
pub mod workers;
