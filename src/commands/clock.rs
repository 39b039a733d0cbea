//! The day of the run: the only place that reads the clock.

use crate::quantity::Date;

/// Today's date in UTC, for waivers that end.
pub(super) fn today() -> Option<Date> {
    let now = jiff::Timestamp::now().to_zoned(jiff::tz::TimeZone::UTC).date();
    Date::new(now.year(), now.month(), now.day())
}
