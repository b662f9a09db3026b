//! Writes a message in postcard's wire format without a panic.
//!
//! The format is postcard's, version 1 (its published wire format specification): integers of
//! more than a byte as little-endian base-128 varints, signed ones zigzagged first, floats as
//! their little-endian bits, an option as 0 or 1 and its value, an enum as the varint of its
//! variant, a sequence as the varint of its length and its items, a struct as its fields.
//!
//! Why not postcard's own writer: it indexes an array as it writes a varint, and whether a
//! compiler can prove those indices right changes with its version and its level of
//! optimisation. Here there is no index to prove. Reading stays with postcard.

use core::fmt;

use serde::ser::{self, Impossible, Serialize};

/// A message does not fit its buffer, or holds something that no message of the link holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WriteError;

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the message cannot be written")
    }
}

impl ser::Error for WriteError {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }
}

impl ser::StdError for WriteError {}

/// Writes `message` into `buffer`; the bytes of it.
///
/// # Errors
/// [`WriteError`] when the buffer is too small, or for strings, maps, characters, tuples in
/// variants and integers of 128 bits, which no message has.
pub fn write<'b>(message: &impl Serialize, buffer: &'b mut [u8]) -> Result<&'b [u8], WriteError> {
    let mut writer = Writer { buffer, length: 0 };
    message.serialize(&mut writer)?;
    let Writer { buffer, length } = writer;
    buffer.get(..length).ok_or(WriteError)
}

struct Writer<'b> {
    buffer: &'b mut [u8],
    length: usize,
}

type Written = Result<(), WriteError>;

impl Writer<'_> {
    fn byte(&mut self, byte: u8) -> Written {
        *self.buffer.get_mut(self.length).ok_or(WriteError)? = byte;
        self.length = self.length.saturating_add(1);
        Ok(())
    }

    fn bytes(&mut self, bytes: &[u8]) -> Written {
        bytes.iter().try_for_each(|&byte| self.byte(byte))
    }

    fn varint(&mut self, mut value: u64) -> Written {
        while value >= 0x80 {
            // The lowest seven bits, and the mark that more follow.
            self.byte(value as u8 | 0x80)?;
            value >>= 7;
        }
        self.byte(value as u8)
    }

    fn zigzag(&mut self, value: i64) -> Written {
        self.varint(((value << 1) ^ (value >> 63)) as u64)
    }
}

impl ser::Serializer for &mut Writer<'_> {
    type Ok = ();
    type Error = WriteError;
    type SerializeSeq = Self;
    type SerializeTuple = Self;
    type SerializeTupleStruct = Self;
    type SerializeTupleVariant = Impossible<(), WriteError>;
    type SerializeMap = Impossible<(), WriteError>;
    type SerializeStruct = Self;
    type SerializeStructVariant = Self;

    fn serialize_bool(self, value: bool) -> Written {
        self.byte(value.into())
    }

    fn serialize_i8(self, value: i8) -> Written {
        self.byte(value as u8)
    }

    fn serialize_i16(self, value: i16) -> Written {
        self.zigzag(value.into())
    }

    fn serialize_i32(self, value: i32) -> Written {
        self.zigzag(value.into())
    }

    fn serialize_i64(self, value: i64) -> Written {
        self.zigzag(value)
    }

    fn serialize_u8(self, value: u8) -> Written {
        self.byte(value)
    }

    fn serialize_u16(self, value: u16) -> Written {
        self.varint(value.into())
    }

    fn serialize_u32(self, value: u32) -> Written {
        self.varint(value.into())
    }

    fn serialize_u64(self, value: u64) -> Written {
        self.varint(value)
    }

    fn serialize_f32(self, value: f32) -> Written {
        self.bytes(&value.to_le_bytes())
    }

    fn serialize_f64(self, value: f64) -> Written {
        self.bytes(&value.to_le_bytes())
    }

    fn serialize_char(self, _: char) -> Written {
        Err(WriteError)
    }

    fn serialize_str(self, _: &str) -> Written {
        Err(WriteError)
    }

    fn serialize_bytes(self, value: &[u8]) -> Written {
        self.varint(value.len() as u64)?;
        self.bytes(value)
    }

    fn serialize_none(self) -> Written {
        self.byte(0)
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Written {
        self.byte(1)?;
        value.serialize(self)
    }

    fn serialize_unit(self) -> Written {
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Written {
        Ok(())
    }

    fn serialize_unit_variant(self, _: &'static str, index: u32, _: &'static str) -> Written {
        self.varint(index.into())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Written {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        index: u32,
        _: &'static str,
        value: &T,
    ) -> Written {
        self.varint(index.into())?;
        value.serialize(self)
    }

    fn serialize_seq(self, length: Option<usize>) -> Result<Self, WriteError> {
        self.varint(length.ok_or(WriteError)? as u64)?;
        Ok(self)
    }

    fn serialize_tuple(self, _: usize) -> Result<Self, WriteError> {
        Ok(self)
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Self, WriteError> {
        Ok(self)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, WriteError> {
        Err(WriteError)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Self::SerializeMap, WriteError> {
        Err(WriteError)
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, WriteError> {
        Ok(self)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        index: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self, WriteError> {
        self.varint(index.into())?;
        Ok(self)
    }

    fn collect_str<T: fmt::Display + ?Sized>(self, _: &T) -> Written {
        Err(WriteError)
    }

    fn is_human_readable(&self) -> bool {
        false
    }
}

/// Things made of parts are their parts, one after the other.
macro_rules! parts {
    ($($kind:ident: $part:ident($($name:ty)?);)*) => {$(
        impl ser::$kind for &mut Writer<'_> {
            type Ok = ();
            type Error = WriteError;

            fn $part<T: Serialize + ?Sized>(&mut self, $(_: $name,)? value: &T) -> Written {
                value.serialize(&mut **self)
            }

            fn end(self) -> Written {
                Ok(())
            }
        }
    )*};
}

parts! {
    SerializeSeq: serialize_element();
    SerializeTuple: serialize_element();
    SerializeTupleStruct: serialize_field();
    SerializeStruct: serialize_field(&'static str);
    SerializeStructVariant: serialize_field(&'static str);
}
