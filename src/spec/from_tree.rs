//! A [`Tree`] in, any typed value out: the second reader, used when the first has found a fault.
//!
//! `serde_yaml` stops at the first fault and does not always say where. This reader takes the same decisions about
//! what a scalar means, knows the node it stands on, and can be told to leave nodes out, so that reading can be tried
//! again past a fault. A property test holds the two readers together.

use std::borrow::Cow;

use serde::Deserializer;
use serde::de::{self, DeserializeSeed, Error, IgnoredAny, MapAccess, SeqAccess, Unexpected, Visitor};

use super::fault::{Fault, Place};
use super::scalar::{Meaning, fraction, meaning, signed, truth, whole};
use super::tree::{Entry, Kind, NodeId, Tree};

/// Nodes that are passed over, each with all that lies below it.
#[derive(Clone, Debug)]
pub(super) struct LeftOut(Vec<bool>);

impl LeftOut {
    /// Leaves nothing out of `tree`.
    pub(super) fn none(tree: &Tree) -> LeftOut {
        LeftOut(vec![false; tree.len()])
    }

    /// Leaves `node` out. False where it was out already.
    pub(super) fn add(&mut self, node: NodeId) -> bool {
        self.0.get_mut(node.0 as usize).is_some_and(|out| !std::mem::replace(out, true))
    }

    pub(super) fn has(&self, node: NodeId) -> bool {
        self.0.get(node.0 as usize).copied().unwrap_or(false)
    }
}

/// The reader, standing on one node.
#[derive(Clone, Copy)]
pub(super) struct Reader<'t> {
    pub tree: &'t Tree,
    pub left_out: &'t LeftOut,
    pub node: NodeId,
}

impl<'t> Reader<'t> {
    fn on(self, node: NodeId) -> Reader<'t> {
        Reader { node, ..self }
    }

    fn place(self) -> Place {
        Place::Value(self.node)
    }

    fn plain(self) -> Option<&'t str> {
        self.tree.scalar(self.node).filter(|_| self.tree.is_plain(self.node))
    }

    /// True where nothing is written: an empty section reads as an empty map or list.
    fn is_empty(self) -> bool {
        self.plain() == Some("")
    }

    fn unexpected(self) -> Unexpected<'t> {
        match self.tree.kind(self.node) {
            Kind::Map => Unexpected::Map,
            Kind::List => Unexpected::Seq,
            Kind::Scalar => match self.plain().map(meaning) {
                None => Unexpected::Str(self.tree.scalar(self.node).unwrap_or("")),
                Some(Meaning::Nothing) => Unexpected::Unit,
                Some(Meaning::Truth(b)) => Unexpected::Bool(b),
                Some(Meaning::Whole(n)) => Unexpected::Unsigned(n),
                Some(Meaning::Negative(n)) => Unexpected::Signed(n),
                Some(Meaning::Fraction(n)) => Unexpected::Float(n),
                Some(Meaning::Text(text)) => Unexpected::Str(text),
            },
        }
    }

    fn wrong<V: Visitor<'t>>(self, visitor: &V) -> Fault {
        Fault::invalid_type(self.unexpected(), visitor)
    }

    fn any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.tree.kind(self.node) {
            Kind::Map => self.map(visitor),
            Kind::List => self.list(visitor),
            Kind::Scalar => match self.plain().map(meaning) {
                None => visitor.visit_borrowed_str(self.tree.scalar(self.node).unwrap_or("")),
                Some(Meaning::Nothing) => visitor.visit_unit(),
                Some(Meaning::Truth(b)) => visitor.visit_bool(b),
                Some(Meaning::Whole(n)) => visitor.visit_u64(n),
                Some(Meaning::Negative(n)) => visitor.visit_i64(n),
                Some(Meaning::Fraction(n)) => visitor.visit_f64(n),
                Some(Meaning::Text(text)) => visitor.visit_borrowed_str(text),
            },
        }
    }

    fn map<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        let mut entries = Entries { reader: self, position: 0, value: None };
        let value = visitor.visit_map(&mut entries)?;
        while entries.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(value)
    }

    fn list<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        let all: Vec<NodeId> = self.tree.items(self.node).filter(|n| !self.left_out.has(*n)).collect();
        let total = all.len();
        let mut items = Items { reader: self, left: all.into_iter() };
        let value = visitor.visit_seq(&mut items)?;
        match total - items.left.len() {
            read if read < total => {
                let expected: Cow<'_, str> = format!("an array of length {read}").into();
                Err(Fault::invalid_length(total, &expected.as_ref()))
            }
            _ => Ok(value),
        }
    }
}

/// Answers a question of serde's by what the scalar means, or says what stands there instead.
macro_rules! scalars {
    ($($ask:ident => |$text:ident| $found:expr, $visit:ident;)*) => {$(
        fn $ask<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
            match self.plain().and_then(|$text| $found) {
                Some(value) => visitor.$visit(value),
                None => Err(self.wrong(&visitor)),
            }
            .map_err(|fault| fault.at(self.place()))
        }
    )*};
}

/// Asks that are answered by another one.
macro_rules! same_as {
    ($($ask:ident => $other:ident;)*) => {$(
        fn $ask<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
            self.$other(visitor)
        }
    )*};
}

impl<'t> Deserializer<'t> for Reader<'t> {
    type Error = Fault;

    fn deserialize_any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.any(visitor).map_err(|fault| fault.at(self.place()))
    }

    scalars! {
        deserialize_bool => |text| truth(text), visit_bool;
        deserialize_u64 => |text| whole(text), visit_u64;
        deserialize_i64 => |text| signed(text), visit_i64;
        deserialize_f64 => |text| fraction(text), visit_f64;
    }

    same_as! {
        deserialize_u8 => deserialize_u64;
        deserialize_u16 => deserialize_u64;
        deserialize_u32 => deserialize_u64;
        deserialize_i8 => deserialize_i64;
        deserialize_i16 => deserialize_i64;
        deserialize_i32 => deserialize_i64;
        deserialize_f32 => deserialize_f64;
        deserialize_char => deserialize_str;
        deserialize_string => deserialize_str;
        deserialize_identifier => deserialize_str;
    }

    fn deserialize_str<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        // Asked for text, a number is its text: a drawing number `4711` needs no quotes.
        match self.tree.scalar(self.node) {
            Some(text) => visitor.visit_borrowed_str(text),
            None => Err(self.wrong(&visitor)),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_bytes<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        Err(self.wrong(&visitor).at(self.place()))
    }

    fn deserialize_byte_buf<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.deserialize_bytes(visitor)
    }

    fn deserialize_option<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.plain().map(meaning) {
            Some(Meaning::Nothing) => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_unit<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.plain().map(meaning) {
            Some(Meaning::Nothing) => visitor.visit_unit(),
            _ => Err(self.wrong(&visitor)),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_unit_struct<V: Visitor<'t>>(self, _: &'static str, visitor: V) -> Result<V::Value, Fault> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'t>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        visitor.visit_newtype_struct(self).map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_seq<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.tree.kind(self.node) {
            Kind::List => self.list(visitor),
            _ if self.is_empty() => visitor.visit_seq(Items { reader: self, left: Vec::new().into_iter() }),
            _ => Err(self.wrong(&visitor)),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_tuple<V: Visitor<'t>>(self, _: usize, visitor: V) -> Result<V::Value, Fault> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_tuple_struct<V: Visitor<'t>>(
        self,
        _: &'static str,
        _: usize,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_map<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.tree.kind(self.node) {
            Kind::Map => self.map(visitor),
            // An empty scalar has no entries either.
            _ if self.is_empty() => visitor.visit_map(Entries { reader: self, position: 0, value: None }),
            _ => Err(self.wrong(&visitor)),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_struct<V: Visitor<'t>>(
        self,
        name: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match self.tree.kind(self.node) {
            Kind::Map => self.map(visitor),
            _ if self.is_empty() => visitor.visit_map(Entries { reader: self, position: 0, value: None }),
            _ => Err(self.wrong(&visitor)),
        }
        .map_err(|fault| fault.of(name).at(self.place()))
    }

    fn deserialize_enum<V: Visitor<'t>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match self.tree.kind(self.node) {
            Kind::Scalar => visitor.visit_enum(Word(self)),
            _ => Err(Fault::invalid_type(self.unexpected(), &"a word")),
        }
        .map_err(|fault| fault.at(self.place()))
    }

    fn deserialize_ignored_any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_unit()
    }
}

/// The entries of a map that are not left out.
struct Entries<'t> {
    reader: Reader<'t>,
    position: usize,
    value: Option<NodeId>,
}

impl<'t> Entries<'t> {
    fn next(&mut self) -> Option<Entry<'t>> {
        loop {
            let entry = self.reader.tree.entry_at(self.reader.node, self.position)?;
            self.position += 1;
            if !self.reader.left_out.has(entry.value) {
                return Some(entry);
            }
        }
    }
}

impl<'t> MapAccess<'t> for Entries<'t> {
    type Error = Fault;

    fn next_key_seed<K: DeserializeSeed<'t>>(&mut self, seed: K) -> Result<Option<K::Value>, Fault> {
        let Some(entry) = self.next() else { return Ok(None) };
        self.value = Some(entry.value);
        let (key, value) = (entry.key_node, entry.value);
        seed.deserialize(self.reader.on(key)).map(Some).map_err(|mut fault| {
            fault.place = Place::Key { key, value };
            fault
        })
    }

    fn next_value_seed<V: DeserializeSeed<'t>>(&mut self, seed: V) -> Result<V::Value, Fault> {
        let value = self.value.take().ok_or_else(|| Fault::custom("a value is asked for before its key"))?;
        seed.deserialize(self.reader.on(value)).map_err(|fault| fault.at(Place::Value(value)))
    }
}

/// The items of a list that are not left out.
struct Items<'t> {
    reader: Reader<'t>,
    left: std::vec::IntoIter<NodeId>,
}

impl<'t> SeqAccess<'t> for Items<'t> {
    type Error = Fault;

    fn next_element_seed<T: DeserializeSeed<'t>>(&mut self, seed: T) -> Result<Option<T::Value>, Fault> {
        let Some(node) = self.left.next() else { return Ok(None) };
        seed.deserialize(self.reader.on(node)).map(Some).map_err(|fault| fault.at(Place::Value(node)))
    }
}

/// One word out of several.
struct Word<'t>(Reader<'t>);

impl<'t> de::EnumAccess<'t> for Word<'t> {
    type Error = Fault;
    type Variant = OnlyTheWord;

    fn variant_seed<V: DeserializeSeed<'t>>(self, seed: V) -> Result<(V::Value, OnlyTheWord), Fault> {
        Ok((seed.deserialize(self.0)?, OnlyTheWord))
    }
}

/// A word carries nothing with it.
struct OnlyTheWord;

impl<'t> de::VariantAccess<'t> for OnlyTheWord {
    type Error = Fault;

    fn unit_variant(self) -> Result<(), Fault> {
        Ok(())
    }

    fn newtype_variant_seed<T: DeserializeSeed<'t>>(self, _: T) -> Result<T::Value, Fault> {
        Err(Fault::invalid_type(Unexpected::UnitVariant, &"a map"))
    }

    fn tuple_variant<V: Visitor<'t>>(self, _: usize, _: V) -> Result<V::Value, Fault> {
        Err(Fault::invalid_type(Unexpected::UnitVariant, &"a list"))
    }

    fn struct_variant<V: Visitor<'t>>(self, _: &'static [&'static str], _: V) -> Result<V::Value, Fault> {
        Err(Fault::invalid_type(Unexpected::UnitVariant, &"a map"))
    }
}
