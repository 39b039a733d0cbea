//! Ground floor: the laws and tables of the trade, each with its source. Knows nothing of harnesses.
//!
//! Pure functions of typed quantities. A figure is from a named document, or says `from memory` or `common
//! practice, no source` where it stands.

pub mod allowances;
pub mod bend;
pub mod blocks;
pub mod bundled;
pub mod colour;
pub mod contact_pull;
pub mod coupling;
pub mod derating;
pub mod free_air;
pub mod installation;
pub mod instruments;
pub mod limit;
pub mod network;
pub mod network_alone;
pub mod network_drive;
pub mod network_opened;
mod network_rings;
mod network_stars;
pub mod network_unknown;
pub mod packing;
pub mod protection;
pub mod source_load;
pub mod stud;
pub mod table_rating;
pub mod thermocouple;
pub mod thermocouple_chain;
pub mod thermocouple_colour;
pub mod thermocouple_limits;
mod thermocouple_reference;
pub mod voltage_drop;
pub mod wire_mark;
mod wire_metric;
pub mod wire_table;
pub mod workmanship;
