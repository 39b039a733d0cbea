//! Ground floor: quantities that carry their unit, read from and printed as text.
//!
//! Every quantity is a whole number of a fixed small step (a [`Length`] counts micrometres), so sums are exact,
//! values have a total order and no NaN or infinity can be stored. Text always names its unit: `14 V`, never `14`.
//! `Display` is the canonical text and reads back to the same value; `show` rounds for people, in [`Units`].

mod angle;
mod area;
mod beside;
mod bounds;
mod current;
mod date;
mod define;
mod error;
mod force;
mod fraction;
mod gauge;
mod laws;
mod length;
mod linear_resistance;
mod mass;
mod moment;
mod number;
mod pressure;
mod reading;
mod resistance;
mod scale;
mod signal;
mod station;
mod temperature;
mod text_form;
mod units;
mod voltage;

pub use angle::Angle;
pub use area::Area;
pub use beside::{beside, finer_inches, lengths_beside};
pub use bounds::Bounds;
pub use current::Current;
pub use date::Date;
pub use error::QuantityError;
pub use force::Force;
pub use fraction::Fraction;
pub use gauge::Gauge;
pub use length::Length;
pub use linear_resistance::LinearResistance;
pub use mass::{LinearMass, Mass};
pub use moment::Moment;
pub use pressure::Pressure;
pub use reading::{Reading, ReadingUnit};
pub use resistance::Resistance;
pub use signal::Signal;
pub use station::Station;
pub use temperature::{Temperature, TemperatureDifference};
pub(crate) use text_form::text_form;
pub use text_form::{Quantity, TextVisitor};
pub use units::Units;
pub use voltage::Voltage;
