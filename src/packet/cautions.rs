//! What every paper says about itself before it says anything else.

/// The cautions, most important first. Each is one sentence that stands alone on paper.
pub const CAUTIONS: [&str; 4] = [
    "Not approved data: this paper comes from a design aid and approves nothing.",
    "The instructions of the makers of the aircraft or vessel, of the engine and of the instrument come first, then \
     the local regulations.",
    "Work on it is released by a licensed person only, after inspection against those instructions.",
    "Figures marked with * rest on a value that the spec left out; check it before you rely on it.",
];

/// What stands at the foot of every printed page.
pub use crate::draw::title_block::CAUTION as RUNNING;

/// The banner of a packet that was built although findings say stop.
pub fn banner(stops: usize) -> String {
    if stops == 1 {
        return "DO NOT BUILD FROM THIS PAPER: a finding says stop, and the paper was made despite it."
            .to_owned();
    }
    format!("DO NOT BUILD FROM THIS PAPER: {stops} findings say stop, and the paper was made despite them.")
}
