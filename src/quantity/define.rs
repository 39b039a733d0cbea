//! One macro that gives every scalar quantity the same set of operations.

/// Defines `$name` over the `Scale` constant `$scale`; `$from`/`$get` are in the base unit, of which one holds
/// `$steps` steps.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident, $scale:ident, $steps:literal, $describe:literal,
        $(#[$from_doc:meta])* $from:ident, $try_from:ident,
        $(#[$get_doc:meta])* $get:ident
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(i64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: $name = $name(0);

            $(#[$from_doc])*
            ///
            /// Rounded to the nearest step and held at the ends of the storable range; NaN gives zero, so use the
            /// `try_` form where the number may come out of a division.
            pub fn $from(value: f64) -> $name {
                $name($crate::quantity::scale::from_float(value, $steps).unwrap_or(0))
            }

            /// The same; None where the number is not finite.
            pub fn $try_from(value: f64) -> Option<$name> {
                value.is_finite().then(|| $name::$from(value))
            }

            $(#[$get_doc])*
            pub fn $get(self) -> f64 {
                self.0 as f64 / $steps
            }

            /// Without its sign.
            pub fn abs(self) -> $name {
                $name(self.0.saturating_abs())
            }

            /// Rounded for people, in the units they chose.
            pub fn show(self, units: $crate::quantity::Units) -> String {
                $scale.shown(self.0, units)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&$scale.canonical(self.0))
            }
        }

        impl $crate::quantity::Quantity for $name {
            const NOUN: &'static str = $scale.noun;
            const EXAMPLE: &'static str = $scale.example;
            const DESCRIPTION: &'static str = $describe;
        }

        $crate::quantity::text_form!($name);

        impl std::ops::Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name {
                $name(self.0.saturating_add(other.0))
            }
        }

        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: $name) {
                *self = *self + other;
            }
        }

        impl std::ops::Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name {
                $name(self.0.saturating_sub(other.0))
            }
        }

        impl std::ops::Neg for $name {
            type Output = $name;
            fn neg(self) -> $name {
                $name(self.0.saturating_neg())
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = $name;
            fn mul(self, factor: f64) -> $name {
                $name::$from(self.$get() * factor)
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = $name>>(all: I) -> $name {
                all.fold($name::ZERO, |a, b| a + b)
            }
        }
    };
}

/// `FromStr` by the scale alone; lengths read more than that.
macro_rules! plain_text {
    ($name:ident, $scale:ident) => {
        impl std::str::FromStr for $name {
            type Err = $crate::quantity::QuantityError;
            fn from_str(text: &str) -> Result<$name, Self::Err> {
                $scale.read(text).map($name)
            }
        }
    };
}

/// Canonical text of any value in range reads back to the value.
#[cfg(test)]
macro_rules! round_trip {
    ($name:ident, $scale:ident) => {
        proptest::proptest! {
            #[test]
            fn canonical_text_reads_back(steps in $scale.least..=$scale.most) {
                let value = $name(steps);
                proptest::prop_assert_eq!(value.to_string().parse::<$name>(), Ok(value));
            }

            #[test]
            fn small_values_read_back(steps in (-5_000_000_i64).max($scale.least)..=5_000_000) {
                let value = $name(steps);
                proptest::prop_assert_eq!(value.to_string().parse::<$name>(), Ok(value));
            }

            #[test]
            fn no_text_panics(text in ".{0,24}") {
                let _ = text.parse::<$name>();
            }
        }
    };
}

pub(super) use plain_text;
pub(super) use quantity;
#[cfg(test)]
pub(super) use round_trip;
