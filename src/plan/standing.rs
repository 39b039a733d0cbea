//! Whether a figure of the ground network keeps to its limit in; the words that lists print of it out.

use super::ground_words::unsure;
use crate::graph::Unsure;
use crate::graph::ground_limit::Held;
use crate::harness::Harness;

/// How a figure of the ground network stands to its limit, on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Within it.
    Within,
    /// Past it: a finding tells it.
    Over,
    /// Past it in a state of the grounds that no rule holds against it: a bond that has opened.
    Beyond,
    /// Not judged, and why.
    NotJudged(String),
}

impl Standing {
    /// Words for the papers.
    pub fn words(&self) -> String {
        match self {
            Standing::Within => "within".to_owned(),
            Standing::Over => "OVER, see the findings".to_owned(),
            Standing::Beyond => "over, while it is open".to_owned(),
            Standing::NotJudged(why) => format!("not judged: {why}"),
        }
    }

    /// Why it is not judged; empty where it is.
    pub fn why(&self) -> &str {
        match self {
            Standing::NotJudged(why) => why,
            _ => "",
        }
    }

    /// A word for machines.
    pub fn word(&self) -> &'static str {
        match self {
            Standing::Within => "within",
            Standing::Over | Standing::Beyond => "over",
            Standing::NotJudged(_) => "not judged",
        }
    }

    pub(super) fn of(h: &Harness, held: Held) -> Standing {
        match held {
            Held::Within => Standing::Within,
            Held::Over => Standing::Over,
            Held::Open(through) => Standing::NotJudged(unsure(h, Unsure::Resistance(through))),
            Held::Unwarmed(wire) => {
                let mark = &h.conductor(wire).mark;
                Standing::NotJudged(format!("how far its current warms {mark} is not known"))
            }
            Held::AtLeast => {
                Standing::NotJudged("it is more by a load of unknown current on the same wires".to_owned())
            }
        }
    }
}
